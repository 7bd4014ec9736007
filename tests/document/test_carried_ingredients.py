"""A person's own ingredients travel inside the batch that uses them."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, worked_out

from planner.document import edits
from planner.document.batch import FruitLine, HoneyLine
from planner.document.codec import BatchFileError, decode, encode
from planner.reference.own import OwnFruit, OwnIngredients, OwnYeast

SWEET = OwnFruit(key="own-sweet", name="Sweet currants", based_on="blackcurrant", sugar=(0.12, 0.13, 0.14))
STRONG = OwnYeast(key="own-strong", name="Sachet", based_on="all-rounder", tolerance=(0.19, 0.20, 0.21))


def with_own(*rows, fruit="own-sweet"):
    own = OwnIngredients()
    for row in rows:
        own = own.having(row)
    batch = msgspec.structs.replace(plain(), own=own)
    return edits.change_recipe(batch, fruits=(FruitLine(key=fruit, mass=6.0),))


def test_that_a_batch_is_worked_out_with_the_rows_it_brings():
    ours, shelf = worked_out(with_own(SWEET)), worked_out(with_own(SWEET, fruit="blackcurrant"))
    assert ours.must is not None
    assert ours.must.sugar.typical > shelf.must.sugar.typical
    assert "own-sweet" not in SHELF.fruits


def test_that_a_stronger_yeast_of_ones_own_is_obeyed():
    strong = edits.change_yeast(with_own(SWEET, STRONG), key="own-strong")
    strong = edits.add_line(strong, "honeys", HoneyLine(key="blossom", mass=4.0))
    usual = edits.change_yeast(strong, key="all-rounder")
    assert worked_out(strong).finish.alcohol.typical > worked_out(usual).finish.alcohol.typical


def test_that_own_rows_travel_in_the_file_with_their_units_in_the_keys():
    batch = with_own(SWEET, STRONG)
    data = encode(batch)
    assert decode(data) == batch
    assert b'"sugar_fraction"' in data
    assert b'"alcohol_tolerance_volume_fraction"' in data


def test_that_a_file_from_before_opens_without_own_rows():
    raw = msgspec.json.decode(encode(plain()))
    del raw["batch"]["own"]
    assert decode(msgspec.json.encode(raw)).own == OwnIngredients()


def test_that_a_fruit_of_110_grams_of_sugar_in_100_is_refused_by_the_file():
    raw = msgspec.json.decode(encode(with_own(SWEET)))
    raw["batch"]["own"]["fruits"][0]["sugar_fraction"] = [1.1, 1.1, 1.1]
    with pytest.raises(BatchFileError, match=r"batch\.own\.fruits.*sugars of the flesh: 110 %"):
        decode(msgspec.json.encode(raw))


def test_that_a_row_that_cannot_be_made_is_told_where_it_is_used():
    wet = OwnFruit(key="own-sweet", name="Sweet currants", based_on="blackcurrant", sugar=(0.9, 0.95, 0.99))
    outcome = worked_out(with_own(wet))
    assert outcome.must is None
    assert any("leave no water" in str(finding.text) for finding in outcome.findings)
    assert worked_out(with_own(wet, fruit="blackcurrant")).must is not None


@pytest.mark.parametrize(
    ("edit", "named"),
    [
        (lambda b: edits.add_line(b, "honeys", HoneyLine(key="blossom", mass=1.0, moisture=1.2)), "moisture_fraction"),
        (lambda b: edits.change_line(b, "fruits", 0, mass=-1.0), "mass_kg"),
        (lambda b: edits.change_line(b, "temperatures", 0, temperature=-26.85), "temperature_k"),
        (lambda b: edits.change_recipe(b, water=float("nan")), "water_kg"),
    ],
    ids=["120 % moisture", "negative mass", "-300 °C", "not a number"],
)
def test_that_the_impossible_is_refused_by_the_batch_with_the_name_of_the_field(edit, named):
    with pytest.raises(edits.EditRefused, match=named):
        edit(with_own(SWEET))
