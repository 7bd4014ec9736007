"""Headline, line, band, reasons, findings and report tell one story of a ferment, from one set of possible ones."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from example_batches import SHELF, plain, read, with_log, worked_out

from planner.document.batch import Feed, FruitLine, HoneyLine, TemperatureStep, Wish, Yeast
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.timeline.current_gravity import present_gravity
from planner.timeline.observations import Falls, Observation
from planner.timeline.particle_filter import HALF
from planner.timeline.verdict_rule import ON_COURSE, SLOW, STALLED, TOO_EARLY

MEMBERS = 200
WISHED = Wish(alcohol=0.13, sweetness=30.0)


def raspberry(*pairs, wish=WISHED):
    """Six litres of raspberry, lemon and honey, strong, cool and with little yeast food, wished half sweet."""
    batch = plain(
        fruits=(FruitLine(key="raspberry", mass=5.0), FruitLine(key="lemon", mass=1.6)),
        honeys=(HoneyLine(key="blossom", mass=1.46),), water=0.0,
        yeast=Yeast(key="fruit-keeper", pitch=0.005), temperatures=(TemperatureStep(day=0.0, temperature=289.15),),
        feeds=(Feed(key="yeast-autolysate", mass=0.0015, day=1.0), Feed(key="diammonium-phosphate", mass=0.0007, sugar_used=0.33)),
        vessel=0.010, wish=wish,
    )  # fmt: skip
    return worked_out(with_log(batch, *(read(float(day), gravity) for day, gravity in pairs)), MEMBERS)


BEGINNING = [(0, 1.108), (1.8, 1.095)]
STEADY = [*BEGINNING, (4.1, 1.082), (6.1, 1.070), (7.8, 1.060)]
LATE = [*STEADY, (10.8, 1.051), (13.8, 1.044)]
STOPPED = [*STEADY, (10.8, 1.052), (13.8, 1.051), (16.8, 1.051), (20.8, 1.051)]


def at(outcome, day):
    after = outcome.posterior
    return float(np.interp(day, after.days, after.gravity))


@pytest.mark.parametrize("found", [1.070, 1.078, 1.082, 1.084])
def test_that_a_must_that_falls_four_points_a_day_or_more_is_likely_at_work(found):
    # Five points a day on the fourth day are a slow ferment, and no stopped one (common practice, no source).
    outcome = raspberry(*BEGINNING, (4.1, found))
    assert outcome.verdict.kind in (ON_COURSE, SLOW)
    assert outcome.posterior.now.moving > 0.9
    assert outcome.verdict.probability > HALF
    # It falls further: at half the pace of its last days at least in the three days that follow.
    assert at(outcome, 7.1) < found - 0.5 * 3.0 * (1.095 - found) / 2.3


def test_that_a_slower_fall_is_forecast_to_end_later():
    falls = [raspberry(*BEGINNING, (4.1, found)).posterior for found in (1.070, 1.076, 1.082, 1.088)]
    days = [after.finish_day.typical for after in falls]
    assert all(later > 0.9 * sooner for sooner, later in itertools.pairwise(days))  # of some hundred ferments each
    assert days[-1] > days[0]
    soon = [float(np.interp(7.1, after.days, after.gravity)) for after in falls]
    assert soon == sorted(soon)


@pytest.mark.parametrize("upto", range(3, len(STEADY) + 1))
def test_that_line_headline_and_rest_of_what_is_on_course_are_one_forecast(upto):
    outcome = raspberry(*STEADY[:upto])
    after, said = outcome.posterior, str(outcome.verdict.sentence)
    assert outcome.verdict.kind == ON_COURSE
    assert f"{after.finish_gravity.typical:.3f}" in said
    early, _, late = after.finish_day
    assert f"day {late:.0f}" in said
    assert f"about day {after.finish_day.typical:.0f}, hardly later" in said or f"between day {early:.0f} and" in said
    # Once nineteen in twenty have stopped, the line is where it is said to come to rest, within a line of the hydrometer.
    assert at(outcome, np.percentile(after.finish_days, 95.0)) == pytest.approx(after.finish_gravity.typical, abs=0.001)


def test_that_the_line_leaves_from_the_reading_it_believes():
    outcome = raspberry(*STEADY[:3])
    after, last = outcome.posterior, outcome.posterior.now.evidence
    low, high = (float(np.interp(last.day, after.days, after.band[edge])) for edge in (0, 3))
    assert low - 0.002 < last.value < high + 0.002
    assert at(outcome, last.day) == pytest.approx(last.value, abs=3.0 * last.sd)


def test_that_what_stalled_rests_where_it_stands():
    outcome = raspberry(*STOPPED)
    after, here = outcome.posterior, present_gravity(outcome.posterior)
    assert outcome.verdict.kind == STALLED
    assert after.held
    assert after.finish_gravity == here.gravity
    assert after.finish_gravity.typical == pytest.approx(here.gravity.typical, abs=0.002)  # two lines of the hydrometer
    assert at(outcome, 100.0) == pytest.approx(here.gravity.typical, abs=0.002)
    assert after.finish_sugar.low > 80.0  # of the 240 g/L of the must, with less than six in ten points gone
    report = as_text(as_data(outcome, SHELF))
    assert "Forecast: at its present gravity, 1.051" in report


def test_that_a_ferment_at_work_is_not_held():
    assert not raspberry(*STEADY).posterior.held


def test_that_dry_is_said_only_of_what_likely_gets_dry():
    for pairs in (BEGINNING, STEADY[:3], STEADY):
        outcome = raspberry(*pairs)
        dry = float(np.mean(np.isfinite(outcome.posterior.dry_days)))
        said = str(outcome.verdict.sentence)
        assert ("dry" in said) == (outcome.verdict.kind == ON_COURSE and dry >= 0.75)
        if "dry" in said:
            assert outcome.posterior.finish_sugar.typical < 4.0  # OIV labelling standard: dry up to 4 g/L


def test_that_staying_sweet_is_no_fault_where_sweetness_is_wished():
    wished, other = raspberry(*LATE), raspberry(*LATE, wish=Wish())
    assert [each.verdict.kind for each in (wished, other)] == [ON_COURSE, ON_COURSE]
    assert wished.posterior.sticks == other.posterior.sticks >= HALF
    assert "but" not in str(wished.verdict.sentence)
    assert "g/L of sugar" in str(wished.verdict.sentence)
    assert any("Sugar left when it stops" in str(words) for words in wished.verdict.evidence)


def test_that_staying_sweet_against_the_plan_is_told():
    outcome = raspberry(*LATE, wish=Wish())
    assert outcome.finish.sugar.typical < 10.0  # what was planned
    assert "but likely to stay sweet" in str(outcome.verdict.sentence)


def test_that_no_verdict_is_less_likely_than_not():
    for upto in range(2, len(STOPPED) + 1):
        said = raspberry(*STOPPED[:upto]).verdict
        assert said.probability >= HALF or said.kind == TOO_EARLY, str(said.sentence)


def test_that_a_gross_jump_is_asked_about_as_soon_as_it_is_entered_and_not_refused():
    outcome = raspberry(*STEADY, (9.1, 1.006))  # 54 points in 1.3 days: no yeast does that (common practice, no source)
    place = f"log.readings.{len(STEADY)}"
    [doubt] = [finding for finding in outcome.findings if finding.place == place]
    assert "1.006 does not fit the readings before it" in str(doubt.text)
    assert outcome.log[-1].counts
    told = float(str(doubt.text).split("about ")[1].split(". ")[0])
    assert 1.045 < told < 1.060  # between the last pace and a standstill
    assert outcome.so_far.alcohol.typical < 0.09  # what 1.050 tells, not the 13.6 % vol of 1.006


def test_that_one_doubt_about_a_reading_is_enough():
    outcome = raspberry(*STEADY, (9.1, 1.006), (10.8, 1.052), (13.8, 1.051))
    place = f"log.readings.{len(STEADY)}"
    assert len([finding for finding in outcome.findings if finding.place == place]) == 1


def test_that_good_readings_are_not_doubted():
    for pairs in (STEADY, STOPPED):
        assert not [f for f in raspberry(*pairs).findings if "does not fit" in str(f.text)]


def readings(*pairs):
    return [Observation(place, float(day), "gravity", value, 0.001) for place, (day, value) in enumerate(pairs)]


@pytest.mark.parametrize(
    ("pairs", "is_so"),
    [
        ([(1, 1.095), (3.3, 1.082)], True),
        ([(1, 1.090), (2, 1.087), (3, 1.084)], True),
        ([(1, 1.060), (2, 1.060), (3, 1.057)], False),  # three points after a rest may be the doubt of two readings
        ([(1, 1.060), (2, 1.046), (3, 1.042)], False),  # and so may a pace that breaks off
        ([(1, 1.060), (6, 1.040)], False),  # what fell within five days may have come to rest since
        ([(1, 1.060)], False),
        ([], False),
    ],
)
def test_that_only_a_steady_fall_beyond_doubt_speaks_for_itself(pairs, is_so):
    assert Falls.of(readings(*pairs)).at_work == is_so


def test_that_the_same_readings_with_another_wish_have_the_same_forecast():
    one, other = raspberry(*STEADY).posterior, raspberry(*STEADY, wish=Wish()).posterior
    assert one.finish_gravity == other.finish_gravity
    assert np.array_equal(one.band, other.band)
