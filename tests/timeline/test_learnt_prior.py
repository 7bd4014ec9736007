"""What earlier batches taught enters a ferment at one place: its traits, and the course that is expected of it."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import plain

from planner.evaluation.outcome import evaluate
from planner.model.kinetics import TREND_FROM, Culture, law, pace
from planner.reference.catalogue import catalogue
from planner.reference.rows import Habits
from planner.timeline.particles import ParticleEnsemble, Traits
from planner.timeline.prior import AS_EXPECTED, LEARNT, UNLIKE, as_learnt, familiar
from tests.benchmarks.verdict_maker import prior_for
from tests.benchmarks.verdict_population import population

SHELF = catalogue()
LEARNED = Habits(pace=-0.3, pace_sd=0.1, trend=0.4, trend_sd=0.2, lag=0.2, lag_sd=0.15, shape=0.5)
AVERAGE = Culture(tolerance=120.0, vigour=1.0, growth=1.0, decline=1.0, lag=1.0, pitch=0.25, ethanol_yield=0.465)


@pytest.fixture(scope="module")
def prior():
    return prior_for(population(1, 20)[0], 600)


def shelf_that_knows(key, habits):
    row = msgspec.structs.replace(SHELF.yeast(key), habits=habits)
    return msgspec.structs.replace(SHELF, yeasts={**SHELF.yeasts, key: row})


def test_that_without_earlier_batches_nothing_is_changed(prior):
    assert as_learnt(prior, None) is prior


def test_that_familiar_particles_have_what_was_learnt_and_the_others_what_the_shelf_says(prior):
    usual, learnt = ParticleEnsemble(prior), ParticleEnsemble(as_learnt(prior, LEARNED))
    mine = familiar(prior.size)
    assert np.mean(~mine) == pytest.approx(UNLIKE, abs=1.0 / prior.size)
    for name, what in LEARNT.items():
        before, after = getattr(usual.traits, name), getattr(learnt.traits, name)
        moved, spread = getattr(LEARNED, what), getattr(LEARNED, f"{what}_sd")
        scores = (before - before.mean()) / before.std()
        assert after[mine] == pytest.approx(before.mean() + AS_EXPECTED[what] + moved + spread * scores[mine])
        assert np.array_equal(after[~mine], before[~mine])
    for name in set(Traits._fields) - set(LEARNT) - {"warmth"}:
        before, after = getattr(usual.traits, name), getattr(learnt.traits, name)
        assert np.std(after[mine]) == pytest.approx(LEARNED.shape * np.std(before[mine]))
    assert np.ptp(learnt.prior.culture.vigour[mine]) == pytest.approx(0.0, abs=1e-12)
    assert np.array_equal(learnt.prior.culture.vigour[~mine], prior.culture.vigour[~mine])


def test_that_a_trend_leaves_the_first_part_of_a_ferment_alone_and_is_whole_at_its_end():
    def uptake(trend, used):
        yeast = AVERAGE._replace(trend=trend)
        sugar = 200.0 * (1.0 - used)
        return law(200.0, pace(293.15, yeast), yeast)(0.0, sugar, 0.0, 2.0, 1.0)[1]

    upkeep = uptake(-40.0, 1.0 - 1e-9)
    assert uptake(0.7, 0.9 * TREND_FROM) == uptake(0.0, 0.9 * TREND_FROM)
    end = 1.0 - 1e-9
    assert (uptake(0.7, end) - upkeep) / (uptake(0.0, end) - upkeep) == pytest.approx(np.exp(0.7))


def test_that_the_expected_course_and_its_band_start_from_what_was_learnt():
    batch = plain()
    key = batch.recipe.yeast.key
    usual = evaluate(batch, SHELF)
    sure = msgspec.structs.replace(LEARNED, pace=0.0, trend=0.0, lag=0.0)
    narrow, slow = (evaluate(batch, shelf_that_knows(key, habits)) for habits in (sure, LEARNED))
    width = [outcome.curve.band[3] - outcome.curve.band[0] for outcome in (usual, narrow)]
    assert np.median(width[1]) < np.median(width[0])
    assert slow.finish.day.typical > narrow.finish.day.typical == pytest.approx(usual.finish.day.typical, rel=1e-6)
