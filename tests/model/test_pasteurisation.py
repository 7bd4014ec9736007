"""Units of heat: their definition, whole courses, and how long to hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model import pasteurisation
from planner.model.pasteurisation import minutes_for, units_of, units_per_minute

SIXTY = 333.15


def test_that_a_minute_at_sixty_degrees_is_one_unit():
    assert units_per_minute(SIXTY) == 1.0  # definition
    assert units_of([0.0, 1.0], [SIXTY, SIXTY]) == pytest.approx(1.0, abs=1e-12)


# Units per minute and minutes for 50 units by °C: 1.393^(T - 60), printed to two or three figures.
@pytest.mark.parametrize(
    ("celsius", "rate", "minutes"),
    [
        (55, 0.19, 262),
        (62, 1.94, 25.8),
        (63, 2.70, 18.5),
        (65, 5.25, 9.5),
        (67, 10.2, 4.9),
        (68, 14.2, 3.5),
        (70, 27.5, 1.8),
    ],
)
def test_that_rates_and_times_are_those_of_the_formula(celsius, rate, minutes):
    assert units_per_minute(celsius + 273.15) == pytest.approx(rate, rel=0.01)
    assert minutes_for(50.0, celsius + 273.15) == pytest.approx(minutes, rel=0.015)


@given(st.floats(293.15, 353.15), st.floats(0.1, 60.0))
def test_that_holding_for_the_minutes_asked_gives_the_units_wanted(kelvin, target):
    held = float(minutes_for(target, kelvin))
    assert units_of([0.0, held], [kelvin, kelvin]) == pytest.approx(target, rel=1e-9)


@given(st.lists(st.tuples(st.floats(0.0, 100.0), st.floats(283.15, 353.15)), min_size=2, max_size=8))
def test_that_a_course_adds_up_from_its_pieces_and_from_fine_steps(points):
    points = sorted(points)
    times, kelvins = zip(*points, strict=True)
    pieces = sum(units_of(times[i : i + 2], kelvins[i : i + 2]) for i in range(len(times) - 1))
    assert units_of(times, kelvins) == pytest.approx(pieces, rel=1e-9, abs=1e-12)
    fine = np.linspace(times[0], times[-1], 40001)  # so that a tenth of a kelvin is a step
    rate = pasteurisation.PER_KELVIN ** (np.interp(fine, times, kelvins) - SIXTY)
    if len(set(times)) == len(times):
        slowest = min(np.diff(times))
        if slowest > 1.0:  # else the fine steps are too coarse to check by
            assert units_of(times, kelvins) == pytest.approx(float(np.trapezoid(rate, fine)), rel=2e-3)


def test_that_a_moment_is_no_time():
    assert units_of([3.0], [SIXTY]) == 0.0
