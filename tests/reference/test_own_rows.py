"""A person's own ingredients: rows of the shelf with values of their own, impossible ones refused by name."""

from __future__ import annotations

import math

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.reference.catalogue import catalogue
from planner.reference.own import (
    KINDS,
    OwnAdditive,
    OwnFileError,
    OwnFruit,
    OwnHoney,
    OwnIngredients,
    OwnNutrient,
    OwnValueError,
    OwnYeast,
    decode_own,
    encode_own,
)
from planner.reference.own_rows import impossible, new_key, row_of, shelf_with
from planner.reference.status import Status

SHELF = catalogue()
MINE = OwnFruit(
    key="own-hedge", name="Currants of our hedge", based_on="blackcurrant", sugar=(0.09, 0.10, 0.11), note="my juice"
)
YEAST = OwnYeast(
    key="own-yeast", name="From the sachet", based_on="all-rounder", tolerance=(0.13, 0.14, 0.15), t_low=286.15
)
SYRUP = OwnAdditive(key="own-syrup", name="Syrup", based_on="sugar", composition=(("glucose", 0.5), ("water", 0.5)), density=1230.0)  # fmt: skip
HONEY = OwnHoney(key="own-honey", name="Our bees", based_on="blossom", moisture=(0.16, 0.165, 0.17))
FOOD = OwnNutrient(key="own-food", name="Sachet", based_on="diammonium-phosphate", nitrogen=(0.09, 0.10, 0.11))
ALL = OwnIngredients(fruits=(MINE,), honeys=(HONEY,), additives=(SYRUP,), yeasts=(YEAST,), nutrients=(FOOD,))


@pytest.mark.parametrize(
    ("kind", "values", "named"),
    [
        (OwnFruit, {"sugar": (1.1, 1.1, 1.1)}, "sugars of the flesh: 110 %"),
        (OwnFruit, {"acid": (-0.01, 0.0, 0.1)}, "acid of the flesh: -1 %"),
        (OwnFruit, {"sugar": (0.1, math.nan, 0.2)}, "sugars of the flesh: what is not a finite number"),
        (OwnFruit, {"ph": (3.0, 2.9, 3.5)}, "pH of the juice: 3, 2.9, 3.5 do not rise"),
        (OwnHoney, {"moisture": (1.2, 1.2, 1.2)}, "moisture: 120 %"),
        (OwnYeast, {"t_low": -26.85}, "works from: -300 °C"),
        (OwnYeast, {"t_high": math.inf}, "works up to: what is not a finite number"),
        (OwnAdditive, {"teaspoon": -0.001}, "level teaspoon: -1 g"),
        (OwnAdditive, {"composition": (("glucose", 0.5),)}, "the parts come to 50.0%"),
        (OwnAdditive, {"composition": (("stardust", 1.0),)}, "'stardust' is not a substance"),
        (OwnAdditive, {"composition": (("water", 0.5), ("water", 0.5))}, "a substance stands there twice"),
        (OwnNutrient, {"nitrogen": (0.1, 0.2, 0.9)}, "nitrogen for yeast: 90 %"),
        (OwnFruit, {"name": " "}, "name of an ingredient"),
    ],
)
def test_that_an_impossible_value_is_refused_and_named(kind, values, named):
    with pytest.raises(OwnValueError) as caught:
        kind(**({"key": "own-x", "name": "X", "based_on": "blackcurrant"} | values))
    assert named in str(caught.value)


def test_that_an_own_value_is_used_and_marked_and_the_rest_keeps_its_sources():
    row, base = row_of(MINE, SHELF), SHELF.fruit("blackcurrant")
    assert tuple(row.sugar) == (0.09, 0.10, 0.11)
    assert row.status is Status.OWN
    assert (row.acid, row.acid_status, row.nitrogen) == (base.acid, base.acid_status, base.nitrogen)
    assert row.sources == ("own", *base.sources)
    assert row.note == "my juice"
    # Flesh stays whole: what there is more of sugar is less of water.
    assert row.water + row.soluble == pytest.approx(base.water + base.soluble, abs=1e-12)


def test_that_a_copy_without_own_values_is_the_row_of_the_shelf():
    row, base = row_of(OwnFruit(key="own-x", name="X", based_on="damson"), SHELF), SHELF.fruit("damson")
    assert (row.status, row.sources, row.sugar, row.water) == (
        base.status,
        base.sources,
        base.sugar,
        pytest.approx(base.water),
    )


def test_that_a_drier_honey_still_comes_to_a_whole():
    row = row_of(HONEY, SHELF)
    parts = (row.fructose, row.glucose, row.sucrose, row.disaccharides, row.higher_sugars, row.acid, row.ash_protein)
    assert sum(parts) + row.undetermined + row.moisture.typical == pytest.approx(
        1.0, abs=1e-4
    )  # three printed decimals
    assert row.fermentable.typical > SHELF.honey("blossom").fermentable.typical


def test_that_a_syrup_says_what_yeast_does_with_it():
    row = row_of(SYRUP, SHELF)
    assert row.fermentable_note == "Yeast can ferment 50% of it."
    assert (row.liquid, row.density, row.cold_ceilings, row.status) == (True, 1230.0, (), Status.OWN)


@pytest.mark.parametrize(
    ("own", "named"),
    [
        (OwnFruit(key="a", name="A", based_on="blackcurrant", sugar=(0.9, 0.95, 1.0)), "leave no water"),
        (OwnFruit(key="a", name="A", based_on="blackcurrant", yield_enzyme=(0.1, 0.1, 0.1)), "with enzyme"),
        (OwnHoney(key="a", name="A", based_on="blossom", fermentable=(0.9, 0.92, 0.95)), "at most 100 %"),
        (OwnYeast(key="a", name="A", based_on="all-rounder", t_low=300.15), "do not rise"),
        (OwnFruit(key="a", name="A", based_on="moonberry"), "does not hold 'moonberry'"),
    ],
)
def test_that_values_that_cannot_be_together_are_told_and_left_out(own, named):
    with pytest.raises(OwnValueError, match=named):
        row_of(own, SHELF)
    held = OwnIngredients().having(own)
    assert named in impossible(SHELF, held)[0]
    assert "a" not in getattr(shelf_with(SHELF, held), own.KIND)


def test_that_the_shelf_holds_all_kinds_of_own_rows_beside_its_own():
    shelf = shelf_with(SHELF, ALL)
    for row in ALL.rows():
        assert getattr(shelf, row.KIND)[row.key].name == row.name
        assert row.key not in getattr(SHELF, row.KIND)
    assert shelf.source("own").citation.startswith("Your own value")
    assert shelf_with(SHELF, OwnIngredients()) is SHELF


def test_that_a_file_of_own_ingredients_comes_back_the_same():
    assert decode_own(encode_own(ALL)) == ALL
    assert decode_own(encode_own(OwnIngredients())) == OwnIngredients()


@pytest.mark.parametrize("data", [
    b"", b"{", b"[]", b"\xff\xfe", encode_own(ALL).replace(b'"schema": 1', b'"schema": 2'),
    encode_own(ALL).replace(b"/ingredients", b"/batch"), encode_own(ALL).replace(b"0.11", b"1.11"),
])  # fmt: skip
def test_that_a_spoilt_file_is_refused_in_a_sentence(data):
    with pytest.raises(OwnFileError) as caught:
        decode_own(data)
    assert str(caught.value).endswith(".")


def test_that_an_impossible_value_in_a_file_is_named_with_its_place():
    with pytest.raises(OwnFileError, match=r"sugars of the flesh: 111 % is impossible.*\$\.own\.fruits"):
        decode_own(encode_own(ALL).replace(b"0.11", b"1.11", 1) if b"0.11" in encode_own(ALL) else b"")


def test_that_a_key_stands_once_within_a_kind():
    with pytest.raises(OwnValueError, match="twice"):
        OwnIngredients(fruits=(MINE, MINE))
    other = msgspec.structs.replace(MINE, name="Other")
    assert OwnIngredients(fruits=(MINE,)).having(other).fruits == (other,)
    assert not OwnIngredients(fruits=(MINE,)).lacking(other)


@given(st.text(min_size=1, max_size=100))
def test_that_a_new_key_is_free_and_fits_a_file(name):
    key = new_key(name, "fruits", SHELF, ALL)
    assert key not in SHELF.fruits
    assert key not in {row.key for row in ALL.fruits}
    assert 1 <= len(key) <= 80


@pytest.mark.parametrize("kind", KINDS)
def test_that_every_value_that_can_be_owned_stands_in_the_row_of_the_shelf(kind):
    base = next(iter(getattr(SHELF, kind.KIND).values()))
    for quantity in kind.QUANTITIES:
        assert hasattr(base, quantity.field)
        assert quantity.low < quantity.high


@pytest.mark.parametrize("kind", KINDS)
def test_that_every_row_of_the_shelf_can_be_copied_with_all_its_values_as_own(kind):
    for key, base in getattr(SHELF, kind.KIND).items():
        values = {q.field: getattr(base, q.field) for q in kind.QUANTITIES if getattr(base, q.field) is not None}
        row = row_of(kind(key="own-copy", name="Copy", based_on=key, **values), SHELF)
        for field, value in values.items():
            assert getattr(row, field) == value, (key, field)
