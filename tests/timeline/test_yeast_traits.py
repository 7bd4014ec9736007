"""What a yeast of one's own, from its datasheet, does to a batch."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain

from planner.document import edits
from planner.document.codec import decode, encode
from planner.evaluation.outcome import evaluate
from planner.model.liquid import Liquid, fermentable
from planner.recipe.must import for_yeast
from planner.reference.own import OwnIngredients, OwnYeast


def with_yeast(**traits):
    mine = OwnYeast(key="own-yeast", name="From its datasheet", based_on="all-rounder", **traits)
    batch = edits.change_yeast(plain(), key=mine.key)
    return msgspec.structs.replace(batch, own=OwnIngredients(yeasts=(mine,)))


def test_that_maltose_that_a_yeast_cannot_take_stays_in_the_mead():
    usual, picky = (evaluate(with_yeast(maltose=share), SHELF, 0) for share in (1.0, 0.0))
    assert picky.must.sugar.typical < usual.must.sugar.typical
    assert picky.must.gravity.typical == pytest.approx(usual.must.gravity.typical, abs=1e-4)
    assert picky.finish.dry_gravity.typical > usual.finish.dry_gravity.typical
    stays = {part.name: part.lifts.typical for part in picky.finish.parts}
    usually = {part.name: part.lifts.typical for part in usual.finish.parts}
    assert stays["honey's higher sugars"] > usually["honey's higher sugars"]


def test_that_the_must_keeps_every_gram_whatever_its_yeast_takes():
    whole = Liquid.of(water=1.0, glucose=0.1, maltose=0.02, higher_sugars=0.005)
    yeast = SHELF.yeast("all-rounder")
    half = for_yeast(whole, msgspec.structs.replace(yeast, maltose=0.5))
    assert float(half.mass) == pytest.approx(float(whole.mass), rel=1e-15)
    assert float(half["maltose"]) == pytest.approx(0.01)
    assert float(fermentable(half)) < float(fermentable(whole))
    assert for_yeast(whole, yeast) is whole


def test_that_a_yeast_that_wakes_late_reaches_the_third_of_the_sugar_later():
    early, late = (evaluate(with_yeast(lag=lag), SHELF, 0) for lag in (0.5, 3.0))
    assert late.curve.third_day > early.curve.third_day + 0.5


def test_that_the_traits_travel_inside_the_batch():
    batch = with_yeast(lag=1.5, maltose=0.2, tolerance=(0.11, 0.12, 0.13))
    assert decode(encode(batch)).own == batch.own
