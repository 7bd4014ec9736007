"""What was worked out is given in amounts that a scale can show; what the person typed stays."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import plain, with_adjustment, worked_out
from hypothesis import given
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import FruitLine, HoneyLine, Wish
from planner.planning.rounding import STEPS, on_the_scale, weighable
from planner.planning.solve import solve_wish
from planner.reference.catalogue import catalogue

TYPED = FruitLine(key="plum", mass=9.123456)
BEFORE = edits.change_recipe(plain(), fruits=(TYPED,), honeys=(HoneyLine(key="blossom", mass=1.0),), water=2.0)


def test_that_what_was_typed_stays_and_what_was_worked_out_is_weighable():
    worked = edits.change_recipe(BEFORE, honeys=(HoneyLine(key="blossom", mass=1.46438),), water=3.33337)
    taken = weighable(with_adjustment(worked, ("honey", 0.19604)), BEFORE)
    assert taken.recipe.fruits == (TYPED,)
    assert taken.recipe.honeys[0].mass == 1.464
    assert taken.recipe.water == 3.333
    assert taken.adjustment.additions[0].mass == pytest.approx(0.196)


@given(st.floats(min_value=1e-6, max_value=1e4))
def test_that_no_amount_moves_by_more_than_half_a_step(mass):
    step = next(step for most, step in STEPS if mass <= most)
    assert abs(on_the_scale(mass) - mass) <= step / 2.0 + 1e-6
    assert on_the_scale(mass) > 0.0


def test_that_a_wish_is_still_met_as_finely_as_it_is_told():
    wish = Wish(alcohol=0.13, left_open=("honey",))
    batch = edits.change_recipe(BEFORE, wish=wish)
    answer = solve_wish(batch, catalogue())
    taken = weighable(answer.batch, batch)
    exact, weighed = (worked_out(one).finish.alcohol.typical for one in (answer.batch, taken))
    assert weighed == pytest.approx(exact, abs=0.0005)  # alcohol is told to 0.1 % vol
    assert msgspec.structs.replace(taken.recipe, honeys=()) == msgspec.structs.replace(batch.recipe, honeys=())
