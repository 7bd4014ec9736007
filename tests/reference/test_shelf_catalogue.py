"""The shelf as a whole: lookups, immutability, and damage that is noticed."""

from __future__ import annotations

import shutil

import msgspec
import pytest

from planner.reference.catalogue import Catalogue, UnknownIngredient, catalogue, read_catalogue
from planner.reference.shipped import resources
from planner.reference.tables import TableError

KINDS = ("fruit", "honey", "additive", "yeast", "nutrient", "caution", "source")


def shelf_of(kind: str):
    """The mapping of one kind."""
    name = {"honey": "honeys"}.get(kind, f"{kind}s")
    return getattr(catalogue(), name)


@pytest.mark.parametrize("kind", KINDS)
def test_that_every_row_is_found_by_its_key(kind):
    rows = shelf_of(kind)
    assert rows
    for key, row in rows.items():
        assert getattr(catalogue(), kind)(key) is row
        assert row.key == key


@pytest.mark.parametrize("kind", KINDS)
def test_that_an_unknown_key_is_named_together_with_its_kind(kind):
    with pytest.raises(UnknownIngredient, match=f"The shelf holds no {kind} 'zzzz'. Known are: "):
        getattr(catalogue(), kind)("zzzz")


def test_that_a_mistyped_key_is_answered_with_the_closest_ones():
    with pytest.raises(UnknownIngredient, match=r"no fruit 'blackcurant'\. Did you mean blackcurrant"):
        catalogue().fruit("blackcurant")
    with pytest.raises(LookupError, match=r"Did you mean .*maltodextrin-10"):
        catalogue().additive("maltodextrin")


@pytest.mark.parametrize("kind", KINDS)
def test_that_names_tell_the_rows_of_a_kind_apart(kind):
    names = [getattr(row, "name", row.key) for row in shelf_of(kind).values()]
    assert len(set(names)) == len(names)


def test_that_the_shelf_is_read_once():
    assert catalogue() is catalogue()


def test_that_nothing_on_the_shelf_can_be_changed():
    with pytest.raises(AttributeError):
        catalogue().fruit("plum").stone = 0.5
    with pytest.raises(TypeError):
        catalogue().fruits["plum"] = catalogue().fruit("damson")
    with pytest.raises(AttributeError):
        catalogue().fruits = {}


def test_that_rows_are_equal_when_read_twice():
    again = read_catalogue(resources())
    assert again is not catalogue()
    for field in msgspec.structs.fields(Catalogue):
        assert getattr(again, field.name) == getattr(catalogue(), field.name)


@pytest.fixture
def copy(tmp_path):
    """A copy of the shelf's files that a test may damage."""
    shutil.copytree(resources(), tmp_path / "resources")
    return tmp_path / "resources"


@pytest.mark.parametrize(
    ("file", "old", "new", "problem"),
    [
        ("tables/fruits.csv", "apple,Apple,A", "apple,Apple,E", r"fruits.csv, row 2 \(apple\), column confidence: 'E'"),
        ("tables/fruits.csv", "A,verified,85.56", "A,certain,85.56", "column status: 'certain' is not known"),
        ("tables/fruits.csv", "apple,Apple,A", "appel,Apple,A", "do not hold the same fruit: appel, apple"),
        ("tables/fruits.csv", "stone-kernels", "stone-cold", "column cautions: 'stone-cold' is not the key"),
        (
            "tables/fruit_acids.csv",
            "0.93,0.02,,0.05,",
            ",,,,",
            r"fruit_acids.csv, row 2 \(apple\).*no acid has a share",
        ),
        ("tables/fruit_acids.csv", "aronia,one-source,7.0,", "aronia,one-source,,", "column acid_low.*empty"),
        ("tables/fruit_yields.csv", "no,whole,memory,50,,75", "no,half,memory,50,,75", "column basis: 'half'"),
        ("tables/fruit_brix.csv", "13.3,midpoint", "13.3,guess", "column typical_from: 'guess' is not known"),
        ("tables/fruit_nitrogen.csv", "9,59,249", "9,590,249", r"column yan_typical\[mg/L\]: .* do not rise"),
        ("tables/yeasts.csv", "13,14.5,16", "13,,", r"yeasts.csv, row 2 \(all-rounder\), column tolerance_high"),
        ("tables/nutrients.csv", "21.2,no", "21.2,maybe", "column organic: 'maybe' is not known"),
        ("sources.csv", "\nusda-sr28,", "\nusda-sr27,", "column source: 'usda-sr28' is not the key"),
    ],
)
def test_that_damage_is_refused_with_its_place(copy, file, old, new, problem):
    path = copy / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(TableError, match=problem):
        read_catalogue(copy)
