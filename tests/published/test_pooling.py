"""Partial pooling beside an independent integration of the same model (a note on forecasting with a grid of 4,001 spreads).

The vectors were worked out with numpy outside of this project: mu ~ N(0, 0.25^2), tau half-normal of scale 0.25, tau from 0 to 2.
They are printed to five decimals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner.learning.pooling import pooled

VECTORS = [
    ((), (), 0.0, 0.25, 0.35355),
    ((-0.30,), (0.10,), -0.18002, 0.17041, 0.29029),
    ((-0.30, -0.10), (0.10, 0.10), -0.15304, 0.12529, 0.23549),
    ((-0.30, -0.10, 0.05), (0.10, 0.10, 0.15), -0.11277, 0.10973, 0.21976),
    ((-0.30, -0.10, 0.05, -0.25, -0.20), (0.10, 0.10, 0.15, 0.08, 0.12), -0.16830, 0.07119, 0.14556),
    ((-0.30, -0.10, 0.05, -0.25, -0.20, -0.15, -0.35, -0.05, -0.22, -0.28),
     (0.10, 0.10, 0.15, 0.08, 0.12, 0.10, 0.10, 0.12, 0.09, 0.10), -0.19768, 0.04015, 0.08495),
]  # fmt: skip


@pytest.mark.parametrize(("values", "sds", "mean", "mean_sd", "next_sd"), VECTORS, ids=lambda v: str(v)[:20])
def test_that_pooling_agrees_with_the_published_integration(values, sds, mean, mean_sd, next_sd):
    told = pooled(values, sds, 0.25, 0.25, odd=0.0, spreads=4001)
    # The grid of the vectors ends at 2.0 as this one does, so that only their last printed digit is open.
    assert told.mean == pytest.approx(mean, abs=1e-5)
    assert told.mean_sd == pytest.approx(mean_sd, abs=1e-5)
    assert told.sd == pytest.approx(next_sd, abs=1e-5)


@pytest.mark.parametrize(("scale", "next_sd"), [(0.1, 0.13), (0.25, 0.24), (0.5, 0.35)])
def test_that_with_two_batches_the_prior_of_the_spread_is_the_answer(scale, next_sd):
    # The same note, printed to two decimals; its batches are the first two of the vectors. Its figure for a scale of 1.0 is
    # left out: there its grid ends at two scales.
    assert pooled((-0.30, -0.10), (0.10, 0.10), 0.25, scale, odd=0.0).sd == pytest.approx(next_sd, abs=0.0051)


def test_that_moments_would_be_far_too_sure_of_the_same_five_batches():
    # DerSimonian and Laird's moments of these five give tau^2 = 0.003171 (the same note), a spread of 0.056.
    y, s = np.array(VECTORS[4][0]), np.array(VECTORS[4][1])
    weights = 1.0 / s**2
    about = float(np.sum(weights * y) / weights.sum())
    q = float(np.sum(weights * (y - about) ** 2))
    tau = (q - (y.size - 1)) / (weights.sum() - np.sum(weights**2) / weights.sum())
    assert (about, q, tau) == pytest.approx((-0.19298, 5.14526, 0.003171), abs=1e-5)
    told = pooled(y, s, 0.25, 0.25, odd=0.0)
    assert math.sqrt(told.sd**2 - told.mean_sd**2) > 1.5 * math.sqrt(tau)
