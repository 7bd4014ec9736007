"""What one batch tells is what its log and its measurements say beside the shelf, with its doubt."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from made_batches import SHELF, batch, having, logged

from planner.document import edits
from planner.document.batch import Event, FruitLine, HydrometerReading, What
from planner.document.learnt import Source, Told
from planner.document.shelf import USUAL, shelf_of
from planner.evaluation.outcome import evaluate
from planner.learning.batch import STRENGTH_ERROR, source_of, told_by
from planner.learning.pool import learnt, leaving_out, of_recipe, taught_by, unlike
from planner.model.span import Z_90
from planner.recipe.must import press_yield
from planner.reference.rows import Habits

YEAST, FRUIT = "all-rounder", "damson"
DAYS = tuple(float(day) for day in (0, 1, 2, 3, 4, 5, 6, 7, 9, 11, 13, 16, 19, 23, 28, 35, 45, 60))


def went(habits=None, days=DAYS, told=None):
    """A batch whose log is of a yeast with such habits."""
    row = msgspec.structs.replace(SHELF.yeast(YEAST), habits=habits)
    shelf = msgspec.structs.replace(SHELF, yeasts={**SHELF.yeasts, YEAST: row})
    curve = evaluate(batch(), shelf, 0).curve
    read = np.interp(days, curve.days, curve.gravity)
    readings = tuple(
        HydrometerReading(day=d, gravity=round(float(g), 3), temperature=293.15)
        for d, g in zip(days, read, strict=True)
    )
    return edits.change_log(told or batch(), readings=readings, pitched_at="2025-09-20T18:00+02:00")


def one(told, trait, of=YEAST):
    return next((each for each in told if (each.trait, each.of) == (trait, of)), None)


@pytest.fixture(scope="module")
def usual():
    return told_by(went(), SHELF)


@pytest.mark.parametrize(("trait", "true"), [("pace", 0.4), ("pace", -0.4), ("trend", -0.6), ("trend", 0.5)])
def test_that_a_log_tells_by_how_much_its_yeast_was_quicker_or_bent(usual, trait, true):
    """Beside a log of the shelf's own yeast: the possible ferments of a log are not quite the expected course in each must."""
    told = told_by(went(Habits(**{trait: true})), SHELF)
    before, after = one(usual, trait), one(told, trait)
    assert after.value - before.value == pytest.approx(true, abs=2.5 * math.hypot(before.sd, after.sd))


def test_that_a_log_that_goes_as_expected_teaches_next_to_nothing(usual):
    """Within half of what the shelf itself leaves open (USUAL), so that no batch is called faster for the model's sake."""
    for trait in ("pace", "trend", "lag"):
        told = one(usual, trait)
        assert abs(told.value) < 0.5 * math.hypot(*USUAL[trait]) + 2.0 * told.sd


def test_that_a_log_of_the_first_days_tells_no_trend():
    told = told_by(went(days=(0.0, 0.5, 1.0, 1.5, 2.0)), SHELF)
    assert one(told, "trend") is None
    assert one(told, "dry_gravity", "") is None


def test_that_a_batch_without_a_log_tells_only_what_was_measured_of_its_fruit():
    line = FruitLine(key=FRUIT, mass=10.0, press_yield=0.7, juice_gravity=1.060)
    told = told_by(batch(fruits=(line,)), SHELF)
    assert {each.trait for each in told} == {"juice_yield", "sugar"}
    recipe = batch().recipe
    moved = 0.7 - press_yield(SHELF.fruit(FRUIT), recipe.preparation).typical
    assert one(told, "juice_yield", FRUIT).value == pytest.approx(moved)


def test_that_a_heavier_must_tells_of_sweeter_fruit_and_less_surely_than_its_juice():
    sweet = having(batch(), fruits=(FruitLine(key=FRUIT, mass=10.0, juice_gravity=1.080),))
    must = evaluate(sweet, SHELF, 0).must.gravity.typical
    reading = HydrometerReading(day=0.0, gravity=round(must, 4), temperature=293.15)
    by_must = told_by(
        edits.add_readings(edits.change_log(batch(), pitched_at="2025-09-20T18:00+02:00"), reading), SHELF
    )
    by_juice = told_by(sweet, SHELF)
    heavy, juice = one(by_must, "sugar", FRUIT), one(by_juice, "sugar", FRUIT)
    assert heavy.value > 0.0
    assert heavy.value == pytest.approx(juice.value, abs=2.0 * heavy.sd)
    assert heavy.sd > juice.sd


def test_that_what_it_had_learnt_itself_does_not_teach_again():
    taught = edits.learn(went(), taught_by(batch(), [source_of(went(Habits(pace=0.5)), "a", SHELF)]))
    assert told_by(taught, SHELF) == told_by(went(), SHELF)


def test_that_a_ferment_that_stopped_sweet_at_its_strength_tells_the_strength():
    strong = having(batch(), honeys=tuple(msgspec.structs.replace(h, mass=9.0) for h in batch().recipe.honeys))
    told = told_by(went_strong(strong), SHELF)
    limit = one(told, "tolerance")
    row = SHELF.yeast(YEAST).tolerance
    assert limit.sd == STRENGTH_ERROR
    assert row.low <= row.typical + limit.value <= row.high


def went_strong(told):
    curve = evaluate(told, SHELF, 0).curve
    days = (0.0, 2.0, 4.0, 6.0, 9.0, 12.0, 16.0, 20.0, 26.0, 32.0, 40.0, 50.0, 60.0, 75.0, 90.0, 110.0, 130.0, 140.0)
    read = np.interp(days, curve.days, curve.gravity)
    readings = tuple(
        HydrometerReading(day=d, gravity=round(float(g), 3), temperature=293.15)
        for d, g in zip(days, read, strict=True)
    )
    return edits.change_log(told, readings=readings, pitched_at="2025-09-20T18:00+02:00")


def test_that_a_log_that_is_not_of_its_recipe_teaches_nothing_of_the_yeast():
    weaker = having(batch(), honeys=tuple(msgspec.structs.replace(h, mass=1.0) for h in batch().recipe.honeys))
    log = went().log
    told = told_by(msgspec.structs.replace(weaker, log=msgspec.structs.replace(log, readings=log.readings[3:])), SHELF)
    assert one(told, "pace") is None
    assert one(told, "dry_gravity", "") is None


def test_that_bottles_tell_the_losses_beside_the_usual_ones():
    made = logged(batch())
    bottles = Event(what=What.BOTTLED, bottles=20, size=0.00075, day=200.0)
    told = one(told_by(edits.add_readings(made, bottles), SHELF), "losses", "")
    assert told is not None
    fewer = msgspec.structs.replace(bottles, bottles=18)
    assert one(told_by(edits.add_readings(made, fewer), SHELF), "losses", "").value > told.value


def pace(value, sd=0.08):
    return Told(trait="pace", of=YEAST, value=value, sd=sd)


def test_that_a_recipe_with_another_yeast_goes_by_what_was_read_without_reading_again():
    other = Source(name="b", told=(Told(trait="pace", of="fruit-keeper", value=0.4, sd=0.1),))
    sources = [Source(name="a", told=(pace(0.3),)), other, Source(name="of nothing")]
    taught = edits.learn(batch(), taught_by(batch(), sources))
    assert [source.name for source in of_recipe(taught).sources] == ["a"]
    assert shelf_of(taught, SHELF).yeast(YEAST).habits.pace == taught.learning.of("pace", YEAST).mean
    changed = having(taught, yeast=msgspec.structs.replace(taught.recipe.yeast, key="fruit-keeper"))
    assert [source.name for source in of_recipe(changed).sources] == ["b"]
    assert shelf_of(changed, SHELF).yeast("fruit-keeper").habits.pace == taught.learning.of("pace", "fruit-keeper").mean


def test_that_a_figure_taken_over_from_the_batch_before_counts_once():
    same = Told(trait="juice_yield", of=FRUIT, value=0.05, sd=0.012)
    values = learnt([Source(name=name, told=(same,)) for name in "abc"])
    assert [each.batches for each in values] == [1]


def test_that_a_batch_left_out_teaches_nothing_and_with_it_again_all_is_as_before():
    learning = taught_by(batch(), [Source(name=name, told=(pace(value),)) for name, value in (("a", 0.4), ("b", -0.1))])
    held = edits.learn(batch(), learning)
    without = leaving_out(held, 0, left_out=True)
    assert without.of("pace", YEAST).mean < 0.0 < learning.of("pace", YEAST).mean
    assert leaving_out(edits.learn(batch(), without), 0, left_out=False) == learning


def test_that_a_batch_unlike_the_others_is_named():
    sources = [
        Source(name=name, told=(pace(value),)) for name, value in (("a", 0.1), ("b", 0.15), ("c", 0.1), ("d", -1.9))
    ]
    assert unlike(sources, {YEAST}) == {"d"}
    assert unlike(sources[:3], {YEAST}) == frozenset()


def test_that_the_doubt_of_a_yield_is_that_of_the_lesson():
    line = FruitLine(key=FRUIT, mass=10.0, press_yield=0.7)
    assert one(told_by(batch(fruits=(line,)), SHELF), "juice_yield", FRUIT).sd == pytest.approx(0.02 / Z_90)
