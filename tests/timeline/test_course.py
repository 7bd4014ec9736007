"""The expected course: where it starts, when feeds fall due, when and where it comes to rest, and what makes that."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, plain
from hypothesis import given, settings
from random_batches import recipes

from planner.document.batch import Feed, FruitLine, HoneyLine, TemperatureStep, Yeast
from planner.model.constants import ETHANOL_DENSITY
from planner.model.liquid import Liquid, alcohol, concentration, density, fermentable, gravity, volume
from planner.model.random_scores import MEMBERS
from planner.recipe.must import anchored, must
from planner.timeline.course import AT_REST, LONGEST, UNPLANNED, expected
from planner.timeline.finish_budget import finish_budget


def course_of(batch, members=0, at_least=0.0):
    return expected(batch.recipe, must(batch, SHELF, members), SHELF, at_least)


def only(fruit=None, honey="blossom", **recipe):
    """A must of one fruit's juice and honey."""
    fruits = () if fruit is None else (FruitLine(key=fruit, mass=14.0, as_juice=True),)
    return plain(fruits=fruits, honeys=(HoneyLine(key=honey, mass=4.2),), water=5.0 if fruit else 17.0, **recipe)


FED = only(
    "sour-cherry",
    feeds=(Feed(key="diammonium-phosphate", mass=0.015, day=1.0),),
    yeast=Yeast(key="dry-finisher", pitch=0.008),
)


def test_that_the_course_starts_from_the_must():
    batch = plain()
    start = must(batch, SHELF, 50)
    course = expected(batch.recipe, start, SHELF)
    assert course.days[0] == 0.0
    assert course.gravity[0] == pytest.approx(gravity(start.liquid), abs=1e-9)
    assert course.alcohol[0] == pytest.approx(np.zeros(51), abs=1e-12)
    assert course.sugar[0] == pytest.approx(fermentable(start.liquid) / volume(start.liquid), rel=1e-9)


def test_that_an_anchored_must_starts_its_course_at_the_measured_gravity():
    batch = plain()
    course = expected(batch.recipe, anchored(must(batch, SHELF, 50), 1.112), SHELF)
    assert course.gravity[0, 0] == pytest.approx(1.112, abs=1e-6)


def test_that_gravity_and_sugar_fall_and_alcohol_rises():
    course = course_of(plain(), 50)
    assert np.all(np.diff(course.gravity, axis=0) <= 1e-5)
    assert np.all(np.diff(course.sugar, axis=0) <= 1e-2)
    assert np.all(np.diff(course.alcohol, axis=0) >= -1e-5)


def test_that_the_day_of_rest_is_the_first_from_which_gravity_stays_near_its_end():
    course = course_of(plain(), 50)
    end = gravity(course.finished)
    for member in range(51):
        before = course.days < course.finish_day[member] - 1e-9
        drawn_after = course.days >= course.finish_day[member]
        assert np.all(np.abs(course.gravity[drawn_after, member] - end[member]) <= AT_REST + 1e-12)
        if before.any():
            assert abs(course.gravity[before, member][-1] - end[member]) > AT_REST


def test_that_the_curve_is_drawn_beyond_the_end_and_beyond_the_last_reading():
    quick = course_of(plain())
    assert quick.days[-1] >= max(21.0, 1.2 * quick.finish_day[0])
    late = course_of(plain(), at_least=90.0)
    assert late.days[-1] > 90.0
    assert course_of(plain(), at_least=4000.0).days[-1] == LONGEST
    assert late.finish_day[0] == pytest.approx(quick.finish_day[0], abs=1.0)  # drawn by other days, the same ferment


def test_that_a_drink_of_honey_alone_ends_below_water_and_one_of_much_sorbitol_above():
    """The finish is not 1.000 by decree: what yeast leaves decides it."""
    fed = {"feeds": FED.recipe.feeds, "yeast": FED.recipe.yeast}
    assert float(gravity(course_of(only(**fed)).dry)[0]) < 1.000
    for fruit in (
        "sour-cherry",
        "pear",
        "aronia",
    ):  # 2.4 to 6.6 g of sorbitol in 100 g (national tables; see the shelf)
        dry = course_of(only(fruit, **fed)).dry
        assert float(gravity(dry)[0] - gravity(dry.without("sorbitol"))[0]) > 0.002, fruit
    assert float(gravity(dry)[0]) > 1.005  # aronia


def test_that_a_litre_of_sorbitol_rich_juice_in_four_lifts_the_finish_by_what_its_sorbitol_weighs():
    # 25 g/L of sorbitol in a quarter of the batch: 6 g/L stay, +0.002 (arithmetic with 0.347 kg/m3 per g/L).
    plain_mead = Liquid.of(water=0.9, ethanol=0.1)
    six = plain_mead.plus(sorbitol=6.25e-3 * float(volume(plain_mead)) * 1e3)
    (part,) = [p for p in finish_budget(Liquid(six.masses[:, None])) if p.name == "sorbitol"]
    assert part.lifts.typical == pytest.approx(0.00215, abs=2e-4)


@settings(max_examples=15)
@given(recipes())
def test_that_the_finish_budget_adds_up_for_each_member(recipe):
    batch = msgspec.structs.replace(plain(), recipe=msgspec.structs.replace(plain().recipe, fruits=recipe.fruits))
    start = must(batch, SHELF, 6)
    finished = expected(batch.recipe, start, SHELF).finished
    for member in range(7):
        one = Liquid(finished.masses[:, member : member + 1])
        assert sum(part.lifts.typical for part in finish_budget(one)) == pytest.approx(
            float(gravity(one)[0]) - 1.0, abs=1e-12
        )


def test_that_every_substance_of_a_finished_mead_has_its_part():
    finished = course_of(plain()).finished
    parts = {part.name: part.lifts.typical for part in finish_budget(finished)}
    assert parts["alcohol"] < 0.0
    assert all(lift >= 0.0 for name, lift in parts.items() if name != "alcohol")
    # Alcohol and water alone are the alcoholometric formula.
    alone = Liquid.of(water=finished["water"], ethanol=finished["ethanol"])
    assert parts["alcohol"] == pytest.approx(float(gravity(alone)[0]) - 1.0, abs=1e-12)


def test_that_a_feed_by_day_falls_on_its_day_and_one_by_sugar_when_that_is_used():
    feeds = (
        Feed(key="blend", mass=0.004, sugar_used=1.0 / 3.0), Feed(key="diammonium-phosphate", mass=0.004, day=2.0),
        Feed(key="blend", mass=0.002, sugar_used=0.1),
    )  # fmt: skip
    course = course_of(plain(feeds=feeds))
    due = {moment.feed: moment.day for moment in course.feeds}
    assert due[1] == 2.0
    assert [moment.day for moment in course.feeds] == sorted(moment.day for moment in course.feeds)
    for feed, share in ((0, 1.0 / 3.0), (2, 0.1)):
        # Sugar used is counted in mass: the concentration alone also shifts with the shrinking volume.
        used = 1.0 - np.interp(due[feed], course.days, _hexose(course)) / _hexose(course)[0]
        assert used == pytest.approx(share, abs=0.02)  # feeds found before others were known move it a little


def _hexose(course):
    """Hexose left of the typical member, from sugar and gravity: concentration times volume."""
    mass = 1.0 - (course.alcohol[:, 0] * ETHANOL_DENSITY / density(course.start.liquid)[0])  # about the gas that left
    return course.sugar[:, 0] * mass / course.gravity[:, 0]


def test_that_a_feed_that_never_falls_due_is_not_given():
    weak = plain(feeds=(Feed(key="blend", mass=0.01, sugar_used=1.0),), yeast=Yeast(key="sweet-leaver", pitch=0.005),
                 honeys=(HoneyLine(key="blossom", mass=8.0),))  # fmt: skip
    assert course_of(weak).feeds == ()


def test_that_a_feed_before_pitching_is_given_at_pitching():
    early = course_of(plain(feeds=(Feed(key="diammonium-phosphate", mass=0.01, day=-3.0),)))
    at_once = course_of(plain(feeds=(Feed(key="diammonium-phosphate", mass=0.01, day=0.0),)))
    assert early.gravity == pytest.approx(at_once.gravity, abs=1e-12)


def test_that_feeding_a_poor_must_hastens_it():
    poor = plain(fruits=(), water=17.0, feeds=())
    fed = plain(fruits=(), water=17.0, feeds=(Feed(key="diammonium-phosphate", mass=0.015, day=1.0),))
    assert course_of(fed).finish_day[0] < 0.7 * course_of(poor).finish_day[0]


def test_that_temperatures_count_by_their_days_in_whatever_order_they_stand():
    steps = (TemperatureStep(day=0.0, temperature=288.15), TemperatureStep(day=4.0, temperature=295.15))
    straight, crooked = course_of(plain(temperatures=steps)), course_of(plain(temperatures=steps[::-1]))
    assert crooked.gravity == pytest.approx(straight.gravity, abs=1e-12)
    assert list(crooked.temperature) == list(straight.temperature)


def test_that_where_no_temperature_is_planned_twenty_degrees_are_assumed():
    assert UNPLANNED == 293.15
    none, twenty = (
        course_of(plain(temperatures=())),
        course_of(plain(temperatures=(TemperatureStep(day=0.0, temperature=293.15),))),
    )
    assert none.gravity == pytest.approx(twenty.gravity, abs=1e-12)


def test_that_a_yeast_stops_near_its_tolerance_and_leaves_the_rest_sweet():
    strong = plain(honeys=(HoneyLine(key="blossom", mass=7.5),), yeast=Yeast(key="fruit-keeper", pitch=0.010),
                   feeds=(Feed(key="diammonium-phosphate", mass=0.018, day=1.0),))  # fmt: skip
    course = course_of(strong)
    tolerance = SHELF.yeasts["fruit-keeper"].tolerance
    assert tolerance.low - 0.015 <= float(alcohol(course.finished)[0]) <= tolerance.high
    assert float(concentration(course.finished, "glucose", "fructose")[0]) > 30.0
    assert gravity(course.finished)[0] > gravity(course.dry)[0] + 0.01


def test_that_without_yeast_nothing_ferments():
    course = course_of(plain(yeast=Yeast(key="all-rounder", pitch=0.0)))
    assert course.gravity[-1] == pytest.approx(course.gravity[0], abs=1e-9)
    assert course.third_day is None


def test_that_a_third_of_the_sugar_is_used_on_the_day_told():
    course = course_of(plain())
    used = 1.0 - np.interp(course.third_day, course.days, _hexose(course)) / _hexose(course)[0]
    assert used == pytest.approx(1.0 / 3.0, abs=0.02)


def test_that_the_typical_member_is_the_run_without_an_ensemble():
    alone, among = course_of(plain()), course_of(plain(), MEMBERS)
    assert np.interp(5.0, among.days, among.gravity[:, 0]) == pytest.approx(
        np.interp(5.0, alone.days, alone.gravity[:, 0]), abs=3e-4
    )  # drawn on the same days; the solver's steps differ
    assert gravity(among.finished)[0] == pytest.approx(gravity(alone.finished)[0], abs=1e-4)


def test_that_the_band_is_wide_while_it_ferments_and_holds_the_typical_course():
    course = course_of(plain(), MEMBERS)
    low, high = np.percentile(course.gravity[:, 1:], [5, 95], axis=1)
    inside = (low - 1e-9 <= course.gravity[:, 0]) & (course.gravity[:, 0] <= high + 1e-9)
    assert inside.all()
    assert np.max(high - low) > 0.02
