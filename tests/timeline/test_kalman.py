"""The filter where everything is linear and Gaussian: there Kalman's formulas are exact, and it has to agree with them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from example_batches import SHELF, plain
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.recipe.must import must
from planner.timeline.course import expected
from planner.timeline.fit_log import prior_of_recipe
from planner.timeline.observations import Observation
from planner.timeline.particle_filter import ParticleFilter, span_of, systematic

# A level that walks, x(t + D) = x(t) + N(0, 0.30 D), read with N(0, 0.25), known beforehand as N(10, 4). Means and variances by
# Kalman 1960, J Basic Eng 82:35, worked out with numpy.
WALK = (
    (0.0, 10.2, 10.188235, 0.235294), (1.0, 9.1, 9.446442, 0.170412), (2.0, 8.7, 8.959033, 0.163244),
    (4.0, 7.9, 8.161298, 0.188317), (5.0, 6.0, 6.731833, 0.165348), (8.0, 5.5, 5.734127, 0.202484),
    (9.0, 5.9, 5.844891, 0.166942), (12.0, 4.4, 4.674289, 0.202542), (13.0, 3.1, 3.622991, 0.166948),
    (17.0, 3.4, 3.434477, 0.211347),
)  # fmt: skip
LOG_LIKELIHOOD = -17.625634


def test_that_the_table_is_kalmans():
    mean, variance, before, told = 10.0, 4.0, 0.0, 0.0
    for day, read, wanted, wide in WALK:
        variance += 0.30 * (day - before)
        off, innovation = read - mean, variance + 0.25
        told -= 0.5 * (math.log(2.0 * math.pi * innovation) + off**2 / innovation)
        mean, variance, before = mean + variance / innovation * off, variance * 0.25 / innovation, day
        assert (mean, variance) == pytest.approx((wanted, wide), abs=1e-6)
    assert told == pytest.approx(LOG_LIKELIHOOD, abs=1e-5)


@pytest.mark.parametrize("seed", range(5))
def test_that_particles_and_systematic_resampling_agree_with_kalman(seed):
    dice, n, before, told = np.random.default_rng(seed), 8000, 0.0, 0.0
    x, weights, off = dice.normal(10.0, 2.0, n), np.full(n, 1.0 / n), []
    for day, read, wanted, wide in WALK:
        x = x + dice.normal(0.0, math.sqrt(0.30 * (day - before)), n)
        likely = np.exp(-0.5 * (read - x) ** 2 / 0.25) / math.sqrt(2.0 * math.pi * 0.25)
        told += math.log(float(weights @ likely))
        weights = weights * likely / float(weights @ likely)
        off.append((float(weights @ x) - wanted) / math.sqrt(wide))
        # Nine of ten lie within 1.645 standard deviations, as far as 8000 of unequal weight tell.
        low, _, high = span_of(x, weights)
        assert high - low == pytest.approx(2.0 * 1.645 * math.sqrt(wide), rel=0.2)
        if 1.0 / np.sum(weights**2) < n / 2:
            x, weights = x[systematic(weights, n, float(dice.random()))], np.full(n, 1.0 / n)
        before = day
    # Over 200 seeds the error of the mean is 0.022 standard deviations (rms of all days), 0.13 at most; that of the
    # log-likelihood 0.085 (standard deviation): four of those.
    assert math.sqrt(np.mean(np.square(off))) < 3.0 * 0.022
    assert max(map(abs, off)) < 0.13 * 1.5
    assert told == pytest.approx(LOG_LIKELIHOOD, abs=4.0 * 0.085)


def resting(size=64):
    """A ferment that stands still with three tenths of its sugar: what is read of it is level, extract, instruments and noise."""
    start = must(plain(), SHELF, 20)
    leader = ParticleFilter(prior_of_recipe(plain().recipe, expected(plain().recipe, start, SHELF), SHELF, size))
    particles = leader.particles
    particles.pick(np.zeros(size, dtype=int))
    particles.state[:2] *= 0.3
    particles.creep[:] = 0.0
    particles.hold(np.ones(size, dtype=bool))
    particles.begin_gap()
    leader.after_test = 0.0  # sugar and extract are not exchanged
    return leader


readings = st.lists(
    st.tuples(st.sampled_from(["stem", "other stem"]), st.floats(-0.004, 0.004)), min_size=1, max_size=8
)


@settings(max_examples=25, deadline=None)
@given(readings)
def test_that_a_ferment_that_stands_still_is_read_as_kalman_reads_it(found):
    leader = resting()
    particles = leader.particles
    used, level = float(1.0 - particles.share[0]), float(particles.model_gravity[0])
    sds = {"stem": 0.0007, "other stem": 0.0012}
    rows = list(dict.fromkeys(name for name, _ in found))
    prior = np.diag([float(particles.offsets.first_sd[0]) ** 2, *(sds[name] ** 2 for name in rows)])
    mean, covariance = np.zeros(1 + len(rows)), prior
    for day, (name, off) in enumerate(found, start=1):
        leader.update(
            Observation(day, float(day), "gravity", level + off, 0.0008, instrument=name, offset_sd=sds[name]), 0.0
        )
        seen = np.zeros(1 + len(rows))
        seen[0], seen[1 + rows.index(name)] = used, 1.0
        gain = covariance @ seen / (seen @ covariance @ seen + 0.0008**2)
        mean, covariance = mean + gain * (off - seen @ mean), covariance - np.outer(gain, seen @ covariance)
    assert particles.share == pytest.approx(1.0 - used, rel=1e-9)
    for member in (0, -1):
        assert particles.offsets.mean[:, member] == pytest.approx(mean, rel=1e-6, abs=1e-12)
        assert particles.offsets.covariance[..., member] == pytest.approx(covariance, rel=1e-6, abs=1e-15)
    assert leader.weights == pytest.approx(1.0 / leader.weights.size)  # none of them is any likelier


@pytest.mark.parametrize(
    ("weights", "start", "expected"),
    [
        ((0.1, 0.2, 0.3, 0.4), 0.0, (0, 1, 2, 3)), ((0.05, 0.05, 0.6, 0.05, 0.25), 0.2, (0, 2, 2, 2, 4)),
        ((0.0, 0.5, 0.0, 0.5), 0.5, (1, 1, 3, 3)), ((0.97, 0.01, 0.01, 0.01), 0.5, (0, 0, 0, 0)),
        ((0.125,) * 8, 0.37, tuple(range(8))),
    ],
)  # fmt: skip
def test_that_more_of_systematic_resampling_keeps_its_formula(weights, start, expected):
    # Points (u + k) / n, each the first whose cumulative weight lies above it; worked by hand (Douc & Cappé 2005, section 2.4).
    assert systematic(np.array(weights), len(weights), start).tolist() == list(expected)


def test_that_over_all_combs_each_survives_as_often_as_its_weight_says():
    weights, combs = np.array([0.05, 0.05, 0.6, 0.05, 0.25]), (np.arange(1000) + 0.5) / 1000.0
    counts = np.mean([np.bincount(systematic(weights, 5, comb), minlength=5) for comb in combs], axis=0)
    assert counts == pytest.approx(5.0 * weights, abs=2e-3)
