"""A first recipe from a harvest alone."""

from __future__ import annotations

import pytest

from planner.document.batch import FruitLine, new_batch
from planner.evaluation.outcome import evaluate
from planner.planning.first_recipe import PLEASANT, SOUR, first_recipe
from planner.reference.catalogue import DEFAULT_HONEY, catalogue

SHELF = catalogue()
WHOLE_PERCENT = 0.005
"""Strengths are offered in whole percents. [m^3/m^3]"""


def made(key, mass=9.5, alcohol=0.12):
    return first_recipe(new_batch(), SHELF, [FruitLine(key=key, mass=mass)], DEFAULT_HONEY, alcohol)


@pytest.mark.parametrize("key", sorted(SHELF.fruits))
def test_that_every_fruit_of_the_shelf_gives_a_recipe_of_the_strength(key):
    batch = made(key)
    mead = evaluate(batch, SHELF, 0).mead
    assert batch.recipe.fruits[0].mass == 9.5
    hampered = key in ("cranberry", "lingonberry")  # their benzoic acid keeps yeast from its end
    if batch.recipe.honeys[0].mass > 0.0 and not hampered:  # else the fruit alone is stronger
        assert mead.after.alcohol.typical == pytest.approx(0.12, abs=WHOLE_PERCENT)


def test_that_water_thins_only_what_is_too_sour():
    assert made("apple").recipe.water == 0.0
    sour = made("blackcurrant")
    assert sour.recipe.water > 0.0
    assert evaluate(sour, SHELF, 0).mead.after.acid.typical < SOUR
    assert PLEASANT < SOUR


def test_that_the_batch_is_called_by_its_fruit():
    lines = [FruitLine(key="quince", mass=6.0), FruitLine(key="apple", mass=3.0)]
    assert first_recipe(new_batch(), SHELF, lines, DEFAULT_HONEY, 0.12).name == "Quince and Apple"
