"""What only shifts a gravity: constant errors of instruments and other extract, by Kalman's formulas."""

from __future__ import annotations

import numpy as np
import pytest

from planner.timeline.offsets import Offsets

ONE, ALL, NOT_USED = np.ones(1), np.ones(1, dtype=bool), np.zeros(1)


def after(offsets, instrument, reads, noise, used=ONE, sd=1.0):
    row = offsets.row(instrument, sd)
    off = reads - offsets.shift(row, used)
    offsets.update(row, used, np.asarray(off), noise * ONE, ALL)
    return row


def test_that_checks_in_water_narrow_an_instruments_error():
    # b ~ N(0, 1), two checks of +1.5 and +0.8 with a standard deviation of 0.5: conjugate normal updates, by hand
    # 1.5 * 1 / 1.25 = 1.2, variance 0.2; then 1.2 + 0.2 / 0.45 * (0.8 - 1.2) = 1.0222, variance 0.2 * 0.25 / 0.45 = 0.1111.
    offsets = Offsets(np.zeros(1))
    row = after(offsets, "stem", 1.5, 0.25, NOT_USED)
    assert offsets.mean[row, 0] == pytest.approx(1.2)
    assert np.sqrt(offsets.covariance[row, row, 0]) == pytest.approx(0.4472, abs=1e-4)
    after(offsets, "stem", 0.8, 0.25, NOT_USED)
    assert offsets.mean[row, 0] == pytest.approx(1.0222, abs=1e-4)
    assert np.sqrt(offsets.covariance[row, row, 0]) == pytest.approx(0.3333, abs=1e-4)


def test_that_two_instruments_share_the_level_and_keep_their_own_errors():
    # The same as one joint normal distribution conditioned by linear algebra: level N(0, 9), errors N(0, 1) and N(0, 4).
    offsets = Offsets(3.0 * ONE)
    first, second = after(offsets, "one", 1.2, 0.49), after(offsets, "other", -1.1, 0.09, sd=2.0)
    prior, seen = np.diag([9.0, 1.0, 4.0]), np.array([[1.0, 1.0, 0.0], [1.0, 0.0, 1.0]])
    gain = prior @ seen.T @ np.linalg.inv(seen @ prior @ seen.T + np.diag([0.49, 0.09]))
    assert offsets.mean[:, 0] == pytest.approx(gain @ np.array([1.2, -1.1]))
    assert offsets.covariance[..., 0] == pytest.approx(prior - gain @ seen @ prior)
    assert {first, second} == {1, 2}


def test_that_many_readings_of_one_instrument_do_not_make_it_true():
    # Its error of one point stays, however often it is read: only the noise of 0.7 points goes.
    offsets = Offsets(3.0 * ONE)
    for _ in range(400):
        after(offsets, "stem", 2.0, 0.49)
    level = np.sqrt(offsets.covariance[0, 0, 0])
    # 9 and 1 + 0.49 / 400 joined: 1 / (1 / 9 + 1 / 1.0012)
    assert level == pytest.approx(np.sqrt(1.0 / (1.0 / 9.0 + 1.0 / (1.0 + 0.49 / 400.0))), rel=1e-6)


def test_that_a_reading_that_is_not_believed_moves_nothing():
    offsets = Offsets(np.full(2, 3.0))
    row = offsets.row("stem", 1.0)
    offsets.update(row, np.ones(2), np.full(2, 5.0), np.full(2, 0.5), np.array([True, False]))
    assert offsets.mean[0, 0] > 1.0
    assert offsets.mean[0, 1] == 0.0
    assert offsets.covariance[0, 0, 1] == 9.0
