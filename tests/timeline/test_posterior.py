"""The posterior: what the log makes of the expected course."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document.batch import HoneyLine, HydrometerReading, SensorReading
from planner.recipe.must import must
from planner.timeline.course import expected
from planner.timeline.fit_log import MOST_READINGS, observations_of, prior_of_recipe
from planner.timeline.observations import BAD_READING, DOUBTED, Observation, reading_doubt, suspicions
from planner.timeline.particle_filter import quantiles, systematic
from planner.timeline.particles import WANDER, WANDER_DAYS, ParticleEnsemble
from planner.timeline.posterior import LONGEST, follow, posterior

MEMBERS = 60
FEW = 300  # particles: enough for what is asked here


@pytest.fixture(scope="module")
def course():
    return expected(plain().recipe, must(plain(), SHELF, MEMBERS), SHELF)


@pytest.fixture(scope="module")
def start(course):
    return prior_of_recipe(plain().recipe, course, SHELF, FEW)


def gravities(*pairs):
    return [Observation(i, float(day), "gravity", value, 0.001) for i, (day, value) in enumerate(pairs)]


def on_the_way(course, member, days):
    """Readings of one member of the expected course: a ferment that the planner could have foreseen."""
    return gravities(*((day, float(np.interp(day, course.days, course.gravity[:, member]))) for day in days))


def test_that_without_readings_the_particles_follow_the_expected_course(course, start):
    # The particles are the ensemble, with a wandering pace and the chance of stopping: wider, but about the same middle.
    particles = ParticleEnsemble(start)
    particles.predict(3.0, noisy=True)
    low, high = np.percentile(course.gravity[:, 1:], [5.0, 95.0], axis=1)
    day = int(np.searchsorted(course.days, 3.0))
    assert low[day] < np.median(particles.gravity) < high[day]


def test_that_particles_keep_the_balance_of_sugar_and_alcohol(start):
    # The cubics stand for the liquid by mass balance: at the start no alcohol, when dry no sugar (definition).
    particles = ParticleEnsemble(start)
    assert np.allclose(particles.alcohol, 0.0, atol=1e-6)
    particles.predict(LONGEST, noisy=True)
    dry = particles.share < 1e-4
    assert dry.any()
    assert np.all(particles.sugar[dry] < 0.1)
    assert np.all(np.isfinite(particles.gravity))


def test_that_the_same_log_gives_the_same_answer(start):
    log = gravities((2, 1.085), (4, 1.060), (6, 1.040))
    one, other = posterior(start, log), posterior(start, log)
    assert np.array_equal(one.band, other.band)
    assert one.steps == other.steps


def test_that_a_reading_narrows_the_band_about_itself(course, start):
    before = posterior(start, [])
    log = on_the_way(course, 3, [2.0, 4.0, 6.0])
    after = posterior(start, log)

    def width(p):
        return float(np.interp(6.0, p.days, p.band[3]) - np.interp(6.0, p.days, p.band[0]))

    assert width(after) < 0.5 * width(before)
    assert (
        np.interp(6.0, after.days, after.band[0]) - 0.002
        < log[-1].value
        < np.interp(6.0, after.days, after.band[3]) + 0.002
    )


def test_that_bands_are_in_order_and_reach_from_pitching_to_the_longest_forecast(start):
    after = posterior(start, gravities((3, 1.070)))
    assert after.days[0] == 0.0
    assert after.days[-1] == pytest.approx(LONGEST)
    assert np.all(np.diff(after.days) > 0.0)
    assert np.all(np.diff(after.band, axis=0) >= 0.0)
    for span in (after.finish_gravity, after.finish_sugar, after.finish_alcohol, after.finish_day):
        assert span.low <= span.typical <= span.high


def test_that_the_truth_lies_within_the_spans_for_ferments_that_the_planner_could_have_foreseen(course, start):
    # Nine in ten by definition; eight members leave chance enough for two outside (binomial, p = 0.04 for three).
    outside = 0
    days = np.arange(1.0, 7.0)
    for member in range(1, 9):
        after = posterior(start, on_the_way(course, member, days))
        truth = float(np.interp(6.0, course.days, course.sugar[:, member]))
        outside += not after.now.sugar.low - 1.0 <= truth <= after.now.sugar.high + 1.0
    assert outside <= 2


@pytest.mark.parametrize("slip", [-0.060, -0.020, 0.020, 0.060])
def test_that_one_bad_reading_does_not_steer_it(course, start, slip):
    # Slips of two to six numbers of the stem (common practice, no source).
    days = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]
    log = on_the_way(course, 5, days)
    spoilt = [msgspec.structs.replace(e, value=e.value + slip) if e.day == 4.0 else e for e in log]
    clean, dirty = posterior(start, log), posterior(start, spoilt)
    assert dirty.steps[3].bad > 0.5
    assert all(step.bad < 0.5 for step in dirty.steps if step.evidence.day != 4.0)
    # Within the spread that is left in the clean answer.
    assert clean.now.sugar.low - 2.0 <= dirty.now.sugar.typical <= clean.now.sugar.high + 2.0


def test_that_later_readings_tell_whether_an_earlier_one_was_bad(course, start):
    # Ten points above, one number of the stem, is on the day itself no more than a slow ferment; the next readings tell.
    log = on_the_way(course, 5, [1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
    log[3] = msgspec.structs.replace(log[3], value=log[3].value + 0.010)
    at_once, later = posterior(start, log[:4]).now.bad, posterior(start, log).steps[3].bad
    assert at_once < 0.5 < later


def test_that_a_standstill_far_above_dry_is_seen_and_dated(course, start):
    log = on_the_way(course, 0, [1.0, 2.0, 3.0, 4.0])
    stop = log[-1].value
    log += [Observation(9, day, "gravity", stop, 0.001) for day in (6.0, 8.0, 10.0, 13.0)]
    now = posterior(start, log).now
    assert now.standing > 0.9
    assert 2.5 < now.ceased_on < 6.5


def test_that_a_sugar_test_settles_how_much_is_left(course, start):
    log = on_the_way(course, 0, [2.0, 5.0, 8.0])
    test = Observation(9, 8.5, "sugar", 25.0, 1.5)
    after = follow(start, [*log, test])[-1]
    # A test of 25 with a standard deviation of 1.5 leaves 22 to 28 (two deviations); what was thought before may pull a bit.
    assert 20.0 < after[-1].sugar.typical < 30.0
    assert after[-1].tested
    assert not after[-2].tested


def test_that_what_a_sugar_test_settled_stays_settled(course, start):
    # Gravities at rest after a dry test say nothing of sugar that it has not found; a strip's doubt is 1.5 g/L.
    log = on_the_way(course, 0, [2.0, 5.0, 8.0, 11.0, 14.0])
    rest = log[-1].value
    log += [Observation(9, 15.0, "sugar", 1.0, 0.9)]
    log += [Observation(10 + n, 16.0 + 2.0 * n, "gravity", rest, 0.001) for n in range(8)]
    after = follow(start, log)[-1]
    assert after[-1].tested
    assert after[-1].sugar.high < 1.0 + 2.0 * 1.5
    assert after[-1].done > 0.9


def test_that_what_the_log_says_up_to_a_reading_rests_on_no_later_one(course, start):
    log = on_the_way(course, 2, [1.0, 3.0, 5.0, 7.0])
    whole, part = follow(start, log), follow(start, log[:2])
    assert whole[:2] == part


def test_that_following_and_weighing_at_once_agree(course, start):
    log = on_the_way(course, 2, [1.0, 3.0, 5.0, 7.0])
    assert follow(start, log)[-1] == posterior(start, log).steps


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(st.floats(0.2, 80.0), st.floats(0.98, 1.12)), min_size=1, max_size=6))
def test_that_any_log_gives_finite_numbers_and_probabilities_that_add_up(pairs):
    ahead = expected(plain().recipe, must(plain(), SHELF, 6), SHELF)
    after = posterior(prior_of_recipe(plain().recipe, ahead, SHELF, 60), gravities(*sorted(pairs)))
    assert np.all(np.isfinite(after.band))
    for step in after.steps:
        assert step.moving + step.standing + step.done == pytest.approx(1.0)
        assert 0.0 <= step.dry <= 1.0
        assert 0.0 <= step.bad <= 1.0
        for span in (step.sugar, step.alcohol, step.uptake, step.share_left):
            assert np.all(np.isfinite(span))


def test_that_a_reading_below_its_followers_is_the_one_to_be_doubted():
    doubts = suspicions(gravities((1, 1.080), (2, 1.070), (3, 1.040), (4, 1.052), (5, 1.045)))
    assert doubts[2] == DOUBTED
    assert doubts[0] == doubts[1] == doubts[3] == doubts[4] == BAD_READING


def test_that_two_readings_that_cannot_both_be_right_are_both_doubted_while_nothing_tells():
    doubts = suspicions(gravities((1, 1.080), (2, 1.040), (3, 1.060)))
    assert BAD_READING < doubts[1] == doubts[2] < DOUBTED


def test_that_sugar_tests_and_small_rises_are_not_doubted():
    log = [*gravities((1, 1.080), (2, 1.081)), Observation(2, 3.0, "sugar", 150.0, 5.0)]
    assert suspicions(log) == [BAD_READING] * 3
    assert suspicions([]) == []


def test_that_quantiles_heed_their_weights():
    values, weights = np.array([3.0, 1.0, 2.0]), np.array([0.0, 0.5, 0.5])
    assert quantiles(values, weights, (0.0, 0.5, 1.0)) == [1.0, 1.0, 2.0]


@pytest.mark.parametrize(
    ("weights", "start", "expected"),
    [
        ([0.1, 0.2, 0.3, 0.4], 0.3, [0, 2, 2, 3]),
        ([0.1, 0.2, 0.3, 0.4], 0.5, [1, 2, 3, 3]),
        ([0.05, 0.05, 0.6, 0.05, 0.25], 0.5, [2, 2, 2, 3, 4]),
        ([0.05, 0.05, 0.6, 0.05, 0.25], 0.8, [2, 2, 2, 4, 4]),
        ([0.0, 0.5, 0.0, 0.5], 0.0, [1, 1, 3, 3]),
        ([0.97, 0.01, 0.01, 0.01], 0.9, [0, 0, 0, 1]),
    ],
)
def test_that_systematic_resampling_keeps_its_formula(weights, start, expected):
    # Index = first whose cumulative weight exceeds (start + k) / n; worked by hand from Douc & Cappé 2005, section 2.4.
    assert systematic(np.array(weights), len(weights), start).tolist() == expected


def test_that_the_mean_of_a_wandering_pace_has_the_variance_of_its_process(start):
    # Ornstein and Uhlenbeck's process simulated in small steps, against the formula that stands in for it.
    particles = ParticleEnsemble(start)
    particles.predict(6.0)
    mean, covariance, later = particles.pace_variance()
    dice, step, n = np.random.default_rng(8), 0.02, 20_000
    keep = np.exp(-step / WANDER_DAYS)
    pace, total = np.zeros(n), np.zeros(n)
    for _ in range(300):
        pace = keep * pace + WANDER * np.sqrt(1.0 - keep**2) * dice.standard_normal(n)
        total += pace / 300.0
    # 20,000 draws: a variance is known to one per cent, three times that with the steps.
    assert mean == pytest.approx(float(np.var(total)), rel=0.05)
    assert later == pytest.approx(float(np.var(pace)), rel=0.05)
    assert covariance == pytest.approx(float(np.mean(total * pace)), rel=0.05)


def test_that_coarse_stems_are_less_sure():
    # Rounding to a step adds a twelfth of its square to the variance (uniform distribution).
    fine, coarse = reading_doubt([1.001, 1.002, 1.003, 1.004]), reading_doubt([1.002, 1.004, 1.006, 1.008])
    assert coarse**2 - fine**2 == pytest.approx((0.002**2 - 0.001**2) / 12.0)
    assert reading_doubt([]) == fine


def evidence_of(*entries, anchored=False):
    batch = with_log(plain(), *entries)
    return observations_of(batch, worked_out(batch).log, anchored)


def test_that_excluded_undated_and_early_readings_are_no_evidence():
    found = evidence_of(
        read(0.0, 1.098),
        read(3.0, 1.070),
        read(4.0, 1.060, excluded=True),
        HydrometerReading(gravity=1.050),
        anchored=True,
    )
    assert [e.day for e in found] == [3.0]


def test_that_a_sugar_test_below_its_mark_is_evidence_with_the_doubt_of_that():
    found = evidence_of(read(20.0, 1.000), sugar_test(20.0, 2.0))
    assert [e.kind for e in found] == ["gravity", "sugar"]
    assert found[1].value == 2.0


def test_that_a_sensors_many_readings_are_gathered_and_the_last_day_is_kept():
    many = tuple(SensorReading(day=1.0 + 0.02 * i, gravity=1.09 - 5e-5 * i) for i in range(1000))
    found = evidence_of(*many)
    assert len(found) <= MOST_READINGS
    assert found[-1].place == 999
    assert found[-1].day > 20.0


def test_that_a_batch_without_an_ensemble_or_without_readings_has_no_posterior():
    assert worked_out(plain(), 0).posterior is None
    assert worked_out(plain(), 6).posterior is None
    assert worked_out(with_log(plain(), read(3.0, 1.070)), 0).posterior is None
    assert worked_out(with_log(plain(), read(3.0, 1.070)), 6).posterior is not None


def test_that_a_must_beyond_its_yeast_is_foretold_to_end_sweet_as_the_recipe_expects():
    strong = plain(fruits=(), honeys=(HoneyLine(key="blossom", mass=5.1),), water=12.0)
    course = expected(strong.recipe, must(strong, SHELF, MEMBERS), SHELF)
    low, high = np.percentile(course.sugar[-1], [25.0, 75.0])  # the yeast's alcohol tolerance ends most of them
    after = posterior(
        prior_of_recipe(strong.recipe, course, SHELF, FEW), on_the_way(course, 0, (0.0, 3.0, 6.0, 9.0, 12.0))
    )
    assert after.sticks > 0.5
    assert low < after.finish_sugar.typical < high
