"""Honey, juice and sugar added while it works: in the course, in what the log says of it, and in the alcohol."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, plain, read, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document.batch import Event, HoneyLine, Log, Preparation, StepFeed, What, Yeast
from planner.document.edits import add_readings
from planner.model.components import COMPONENTS
from planner.model.fermentation import ETHANOL_PER_MALIC
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume
from planner.recipe.must import must
from planner.recipe.step_feeding import brought, together
from planner.timeline.actual_recipe import as_given, replaced_feeds
from planner.timeline.course import expected

LIGHT = {"honeys": (HoneyLine(key="blossom", mass=2.0),), "yeast": Yeast(key="dry-finisher", pitch=0.010)}
"""A must whose yeast bears all that is given to it here."""


def course_of(batch, members=0):
    return expected(batch.recipe, must(batch, SHELF, members), SHELF)


def fed(*lines, **recipe):
    return plain(**(LIGHT | {"step_feeds": lines} | recipe))


def test_that_an_addition_of_nothing_changes_nothing():
    bare, nothing = course_of(fed(), 20), course_of(fed(StepFeed(key="blossom", mass=0.0, day=6.0)), 20)
    for name in ("gravity", "alcohol", "sugar", "finish_day"):
        assert np.array_equal(getattr(bare, name), getattr(nothing, name))


def test_that_two_halves_are_one_addition():
    once = course_of(fed(StepFeed(key="dark", mass=1.0, day=6.0)), 20)
    half = StepFeed(key="dark", mass=0.5, day=6.0)
    twice = course_of(fed(half, half), 20)
    assert twice.gravity == pytest.approx(once.gravity, abs=1e-9)
    assert twice.finished.masses == pytest.approx(once.finished.masses, abs=1e-9)


def test_that_what_gets_dry_is_the_same_mead_whenever_its_honey_went_in():
    all_at_once = course_of(plain(**(LIGHT | {"honeys": (HoneyLine(key="blossom", mass=3.0),)})), 20)
    later = course_of(
        fed(StepFeed(key="blossom", mass=0.4, day=4.0), StepFeed(key="blossom", mass=0.6, gravity=1.015)), 20
    )
    assert len(later.step_feeds) == 2
    # Yeast uses 0.08 to 0.27 of the malic acid by the pH at pitching (see MALIC_USED), to which later honey adds nothing.
    malic = 0.19 * float(all_at_once.whole["malic"].max())
    assert later.dry.masses == pytest.approx(all_at_once.dry.masses, abs=malic)
    assert later.whole.masses == pytest.approx(all_at_once.whole.masses, abs=1e-9)
    assert alcohol(later.finished) == pytest.approx(alcohol(all_at_once.finished), abs=2e-4)


KINDS = st.builds(
    lambda key, mass, due: StepFeed(key=key, mass=mass, **due),
    st.sampled_from(["blossom", "dark", "apple", "sour-cherry", "sugar", "dextrose", "water"]),
    st.floats(0.0, 1.5),
    st.one_of(
        st.builds(lambda day: {"day": day}, st.floats(0.0, 30.0)),
        st.builds(lambda heavy: {"gravity": heavy}, st.floats(1.0, 1.05)),
        st.builds(lambda used: {"sugar_used": used}, st.floats(0.0, 0.95)),
    ),
)


@settings(max_examples=25, deadline=None)
@given(st.lists(KINDS, max_size=4), st.booleans())
def test_that_every_gram_is_accounted_for(lines, whole):
    batch = fed(*lines, preparation=Preparation(whole=whole, on_fruit=6.0))
    start = must(batch, SHELF, 3)
    course = expected(batch.recipe, start, SHELF)
    given_then = [lines[moment.feed] for moment in course.step_feeds]
    total = start.liquid.masses + sum(brought(line, batch.recipe, SHELF, 3)[0].masses for line in given_then)
    assert course.stages[-1][1].masses == pytest.approx(total, rel=1e-9, abs=1e-12)
    assert course.whole.masses == pytest.approx(total * course.comes_off, rel=1e-9, abs=1e-12)
    # Yeast makes of the sugar what its yields say, and nothing of the rest.
    taken = fermentable(course.whole) - fermentable(course.finished)
    malic = course.whole["malic"] * course.yields.malic * taken / fermentable(course.whole)
    ethanol = course.yields.ethanol * taken + ETHANOL_PER_MALIC * malic
    assert course.finished["ethanol"] == pytest.approx(ethanol, rel=1e-9, abs=1e-12)
    # What ammonium frees is found of all acids alike.
    freed = course.finished["gluconic"] / course.whole["gluconic"]
    assert course.finished["malic"] == pytest.approx((course.whole["malic"] - malic) * freed, rel=1e-9, abs=1e-12)
    flown = (1.0 - ETHANOL_PER_MALIC) * malic
    left = course.finished.mass + (course.yields.gas + course.yields.biomass) * taken + flown
    assert left == pytest.approx(course.whole.mass, rel=1e-9)


def test_that_the_course_rises_with_honey_and_is_diluted():
    course = course_of(fed(StepFeed(key="blossom", mass=1.0, day=6.0)))
    before, after = np.searchsorted(course.days, 6.0) - 1, np.searchsorted(course.days, 6.0)
    assert course.gravity[after, 0] > course.gravity[before, 0] + 0.005
    assert course.alcohol[after, 0] < course.alcohol[before, 0] + 0.001


def test_that_a_dose_tells_what_one_who_follows_the_ferment_another_way_needs():
    recipe = fed(StepFeed(key="blossom", mass=1.0, gravity=1.02), preparation=Preparation(whole=True)).recipe
    start = must(plain(**{"preparation": Preparation(whole=True), **LIGHT}), SHELF, 8)
    course = expected(recipe, start, SHELF)
    assert [dose.day for dose in course.doses] == sorted(dose.day for dose in course.doses)
    there = start.free().masses + sum(d.liquid.masses * course.room for d in course.doses if d.liquid is not None)
    assert there == pytest.approx(start.liquid.masses + together(recipe, SHELF, 8).masses, rel=1e-9, abs=1e-12)
    assert all(np.shape(dose.nitrogen) == (9,) for dose in course.doses)
    food = start.free_nitrogen + sum(dose.nitrogen for dose in course.doses) * course.room
    assert np.all(food > start.nitrogen)  # with the feeds and what honey brings


# --- what was logged


def added(day, mass, key="blossom", **more):
    return Event(what=What.ADDED, key=key, mass=mass, day=day, **more)


def test_that_what_was_added_takes_the_place_of_what_was_planned():
    batch = fed(StepFeed(key="dark", mass=0.5, day=9.0), StepFeed(key="blossom", mass=1.0, gravity=1.02))
    batch = msgspec.structs.replace(batch, log=Log(readings=(added(7.0, 0.8),)))
    assert replaced_feeds(batch, What.ADDED) == {0: 1}
    assert as_given(batch).step_feeds == (batch.recipe.step_feeds[0], StepFeed(key="blossom", mass=0.8, day=7.0))


def test_that_honey_that_was_not_planned_counts_too():
    batch = add_readings(fed(), added(7.0, 0.8))
    assert as_given(batch).step_feeds == (StepFeed(key="blossom", mass=0.8, day=7.0),)
    with_it, without = worked_out(batch).finish, worked_out(fed()).finish
    assert with_it.alcohol.typical > without.alcohol.typical + 0.01
    assert with_it.volume.typical > without.volume.typical + 0.0004


def test_that_what_was_left_out_or_says_no_amount_counts_for_nothing():
    for entry in (added(7.0, 0.8, excluded=True), Event(what=What.ADDED, key="blossom", day=3.0)):
        assert as_given(add_readings(fed(), entry)) == fed().recipe


# --- the alcohol


def test_that_the_alcohol_of_a_reading_counts_the_honey_that_came_in_before_it():
    """By mass balance: all sugar that went in, less what the gravity leaves, became alcohol."""
    line = StepFeed(key="blossom", mass=2.0, day=5.0)
    batch = fed(line)
    start = must(batch, SHELF, 0)
    ahead = expected(batch.recipe, start, SHELF)
    last = float(gravity(ahead.finished)[0])
    first = float(gravity(start.liquid)[0])
    logged = with_log(fed(), read(0.0, first), read(4.0, 1.03), read(40.0, last))
    logged = add_readings(logged, added(5.0, 2.0))
    told = worked_out(logged, 40)
    real = float(alcohol(ahead.finished)[0])
    assert told.log[2].alcohol == pytest.approx(real, abs=0.001)
    assert told.so_far.start.grown
    assert told.so_far.alcohol.low <= real <= told.so_far.alcohol.high
    assert told.so_far.alcohol.typical == pytest.approx(real, abs=0.003)
    # Before the honey, the balance is that of the must as it was.
    alone = worked_out(with_log(fed(), read(0.0, first), read(4.0, 1.03)))
    assert told.log[1].alcohol == pytest.approx(alone.log[1].alcohol, abs=1e-9)


def test_that_a_start_read_after_honey_went_in_counts_that_honey():
    line = StepFeed(key="blossom", mass=1.0, day=0.1)
    course = course_of(fed(line))
    first = float(gravity(course.stages[-1][1])[0])
    logged = add_readings(with_log(fed(), read(0.2, first)), added(0.1, 1.0))
    told = worked_out(logged)
    assert told.starting_gravity == pytest.approx(first, abs=1e-6)
    assert told.finish.alcohol.typical == pytest.approx(float(alcohol(course.finished)[0]), abs=5e-4)


def test_that_gravity_is_that_of_a_mixture_of_must_and_honey():
    """Masses add: the gravity after an addition is that of both together, by the density of solutions."""
    line = StepFeed(key="blossom", mass=1.5, day=0.0)
    course = course_of(fed(line, yeast=Yeast(key="dry-finisher", pitch=0.0)))
    both = must(fed(), SHELF, 0).liquid + brought(line, fed().recipe, SHELF, 0)[0]
    assert course.gravity[0, 0] == pytest.approx(float(gravity(both)[0]), abs=1e-9)
    assert float(both.mass[0]) == pytest.approx(float(must(fed(), SHELF, 0).liquid.mass[0]) + 1.5, abs=1e-9)


def test_that_no_component_is_lost_from_the_list():
    assert set(COMPONENTS) >= {"glucose", "fructose", "sucrose", "maltose"}
    assert isinstance(together(fed().recipe, SHELF, 0), Liquid)
    assert float(volume(together(fed().recipe, SHELF, 0))[0]) == 0.0
