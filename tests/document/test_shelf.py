"""The shelf as a batch has it starts from what earlier batches taught, once, and only as long as it goes by that."""

from __future__ import annotations

import math

import msgspec
import pytest
from example_batches import plain

from planner.document import edits
from planner.document.batch import FruitLine, Losses
from planner.document.learnt import Learning, Learnt
from planner.document.shelf import USUAL, shelf_of
from planner.evaluation.outcome import evaluate
from planner.model.span import Z_90
from planner.recipe.must import press_yield
from planner.recipe.vessels import losses_of
from planner.reference.catalogue import catalogue

SHELF = catalogue()
YEAST, FRUIT = "all-rounder", "sour-cherry"


def learnt(trait, of, mean, sd):
    return Learnt(trait=trait, of=of, mean=mean, sd=sd, batches=3, shelf=0.3)


TAUGHT = Learning(
    values=(
        learnt("pace", YEAST, 0.2, 0.1),
        learnt("tolerance", YEAST, 0.01, 0.004),
        learnt("juice_yield", FRUIT, -0.05, 0.02),
        learnt("sugar", FRUIT, 0.1, 0.05),
        learnt("ph", FRUIT, -0.1, 0.05),
        learnt("dry_gravity", "", 0.002, 0.001),
        learnt("losses", "", math.log(2.0), 0.2),
        learnt("scatter", "", math.log(2.0), 0.2),
    )
)


def taught(batch=None):
    return edits.learn(plain() if batch is None else batch, TAUGHT)


def test_that_yeast_and_fruit_of_the_recipe_have_what_was_taught_and_nothing_else_has():
    shelf = shelf_of(taught(), SHELF)
    usual, mine = SHELF.yeast(YEAST), shelf.yeast(YEAST)
    assert (mine.habits.pace, mine.habits.pace_sd) == (0.2, 0.1)
    assert (mine.habits.trend, mine.habits.trend_sd) == (0.0, math.hypot(*USUAL["trend"]))
    assert mine.tolerance.typical == pytest.approx(usual.tolerance.typical + 0.01)
    before, after = SHELF.fruit(FRUIT), shelf.fruit(FRUIT)
    assert after.sugar.typical == pytest.approx(before.sugar.typical * math.exp(0.1))
    assert after.ph.high - after.ph.low == pytest.approx(2.0 * Z_90 * 0.05)
    preparation = plain().recipe.preparation
    moved = press_yield(after, preparation).typical - press_yield(before, preparation).typical
    assert moved == pytest.approx(-0.05)
    assert after.water + after.soluble == pytest.approx(before.water + before.soluble)
    changed = {key for key, row in shelf.fruits.items() if row is not SHELF.fruits[key]}
    assert changed == {FRUIT}


def test_that_it_is_taught_once_however_often_it_is_asked_for():
    once = shelf_of(taught(), SHELF)
    assert shelf_of(taught(), once) is once


def test_that_the_shelf_is_left_alone_where_the_batch_does_not_go_by_it():
    assert shelf_of(edits.go_by_learning(taught(), False), SHELF) is SHELF
    assert shelf_of(plain(), SHELF) is SHELF


def test_that_left_out_it_leaves_no_trace_in_any_figure():
    apart, never = evaluate(edits.go_by_learning(taught(), False), SHELF, 20), evaluate(plain(), SHELF, 20)
    assert apart.finish == never.finish
    assert apart.must == never.must


def test_that_expectation_yield_and_dry_gravity_start_from_it():
    usual, mine = evaluate(plain(), SHELF, 50), evaluate(taught(), SHELF, 50)
    assert mine.finish.day.typical < usual.finish.day.typical
    assert mine.must.juices[0].typical < usual.must.juices[0].typical
    apart = msgspec.structs.replace(TAUGHT, values=tuple(one for one in TAUGHT.values if one.trait != "dry_gravity"))
    without = evaluate(edits.learn(plain(), apart), SHELF, 50)
    # The gravity when dry is what was taught; sugar that weighs as much more than it did in the must is none of it.
    assert mine.finish.dry_gravity.typical - without.finish.dry_gravity.typical == pytest.approx(0.002, rel=0.15)


def test_that_a_yield_that_was_measured_goes_before_one_that_was_learnt():
    line = FruitLine(key=FRUIT, mass=12.0, press_yield=0.8)
    batch = plain(fruits=(line,))
    apart = Learning(values=tuple(one for one in TAUGHT.values if one.trait == "juice_yield"))
    assert evaluate(edits.learn(batch, apart), SHELF, 0).must.volume == evaluate(batch, SHELF, 0).must.volume


def test_that_losses_are_as_learnt_where_the_recipe_has_the_usual_and_else_as_it_says():
    usual = Losses()
    assert losses_of(plain()) == usual
    assert losses_of(taught()).lees == pytest.approx(1.0 - (1.0 - usual.lees) ** 2)
    own = edits.change_losses(taught(), lees=0.02)
    assert losses_of(own) == own.recipe.losses
