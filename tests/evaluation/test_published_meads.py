"""Meads of the literature lie within the band that is drawn for musts like theirs."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain

from planner.document.batch import Feed, FruitLine, HoneyLine, TemperatureStep, Yeast
from planner.model.liquid import alcohol, concentration, fermentable, gravity, volume
from planner.model.random_scores import MEMBERS
from planner.model.span import Span
from planner.recipe.must import must
from planner.timeline.course import expected


def mead(honey, water, celsius, feeds=(), pitch=0.006, fruits=()):
    """A mead of about twenty litres."""
    return plain(
        fruits=fruits,
        honeys=(HoneyLine(key="blossom", mass=honey),),
        water=water,
        temperatures=(TemperatureStep(day=0.0, temperature=celsius + 273.15),),
        feeds=feeds,
        yeast=Yeast(key="all-rounder", pitch=pitch),
    )


def course_of(batch, members=MEMBERS):
    return expected(batch.recipe, must(batch, SHELF, members), SHELF)


def on_day(course, table, day):
    return Span.of([np.interp(day, course.days, member) for member in table.T])


def holds(span, value):
    return span.low <= value <= span.high


def test_that_the_mead_of_gomes_lies_within_the_band():
    # Gomes et al. 2013 (abstract): 24 °C, 0.88 g/L of nutrient; 10.2 % vol, acetic acid 0.54 g/L, glucose 1.8 and fructose
    # 2.5 g/L left, glycerol 7.8 g/L. Strength of the must not stated: that which makes so much.
    course = course_of(mead(4.7, 16.9, 24.0, (Feed(key="blend", mass=0.0176, day=0.0),)))
    assert holds(Span.of(alcohol(course.finished)), 0.102)
    assert holds(Span.of(fermentable(course.finished) / volume(course.finished)), 4.3)
    assert holds(Span.of(concentration(course.finished, "glycerol")), 7.8)
    for day in (8.0, 10.0, 14.0):  # when it was read is not stated
        assert holds(on_day(course, course.sugar, day), 4.3)


def test_that_a_mead_of_twelve_and_a_half_percent_may_be_done_in_ten_days():
    # Blanco et al.: the control finished in 10 days at 12.6 % vol. Temperature not read; ambient in Colombia.
    course = course_of(mead(5.8, 16.2, 25.0, (Feed(key="diammonium-phosphate", mass=0.016, day=0.0),)))
    assert holds(on_day(course, course.alcohol, 10.0), 0.126)
    assert holds(Span.of(course.finish_day), 10.0)


def test_that_a_fed_mead_of_twelve_percent_may_be_dry_in_two_weeks():
    # Steinkraus & Morse 1966 (abstract): with salts, vitamins and nitrogen, dry at 12 % vol in about two weeks.
    course = course_of(mead(5.4, 16.4, 22.0, (Feed(key="diammonium-phosphate", mass=0.016, day=0.0),)))
    assert holds(on_day(course, course.alcohol, 14.0), 0.12)
    assert holds(on_day(course, course.sugar, 14.0), 4.0)
    assert Span.of(course.finish_day).low <= 14.0 <= Span.of(course.finish_day).high


def test_that_honey_without_food_does_not_finish_in_two_weeks():
    # Practice and several papers: unsupplemented honey musts hold tens of mg N/L at most, and are sluggish or stop.
    hungry = course_of(mead(5.4, 16.4, 22.0))
    assert on_day(hungry, hungry.sugar, 14.0).typical > 60.0


@pytest.mark.parametrize("pitch", [0.003, 0.012])
def test_that_the_pitch_does_not_decide_the_strength(pitch):
    # Papuga et al. 2022: 150 to 600 mg/L of yeast made no difference to the final alcohol of mead.
    feeds = (Feed(key="blend", mass=0.010, day=0.0),)
    usual, other = (course_of(mead(4.7, 16.9, 22.0, feeds, p), 0) for p in (0.006, pitch))
    assert alcohol(other.finished)[0] == pytest.approx(alcohol(usual.finished)[0], abs=0.002)


def test_that_a_fifth_of_blackberry_juice_quickens_a_mead():
    # Savic et al. 2021: with up to 20 % of juice the rate was about 25 % higher than without.
    juice = (FruitLine(key="blackberry", mass=4.0, as_juice=True),)
    feeds = (Feed(key="diammonium-phosphate", mass=0.008, day=0.0),)
    without, with_juice = (
        course_of(mead(4.7, 16.9, 22.0, feeds), 0),
        course_of(mead(4.4, 13.2, 22.0, feeds, fruits=juice), 0),
    )
    fastest = [float(np.max(-np.gradient(c.gravity[:, 0], c.days))) for c in (without, with_juice)]
    assert fastest[1] == pytest.approx(1.25 * fastest[0], rel=0.20)
    assert gravity(without.start.liquid)[0] == pytest.approx(gravity(with_juice.start.liquid)[0], abs=0.004)
