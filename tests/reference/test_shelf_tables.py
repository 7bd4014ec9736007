"""The reader of tables: units, spans, and errors that name file, row and column."""

from __future__ import annotations

import pytest

from planner.model.span import Span
from planner.reference.tables import UNITS, TableError, by_key, read

# What each heading's unit is in pint's words, and the SI unit it becomes.
MEANING = {
    "-": ("", ""),
    "parts": ("", ""),
    "%": ("percent", ""),
    "g/100g": ("g / hectogram", ""),
    "mg/g": ("mg / g", ""),
    "mg/kg": ("mg / kg", ""),
    "g": ("g", "kg"),
    "g/L": ("g / L", "kg / m^3"),
    "mg/L": ("mg / L", "kg / m^3"),
    "kg/m3": ("kg / m^3", "kg / m^3"),
    "meq/L": ("mmol / L", "mol / m^3"),
    "degC": ("degC", "K"),
}


@pytest.fixture
def table(tmp_path):
    """Writes a table and reads it."""

    def make(text: str):
        path = tmp_path / "berries.csv"
        path.write_text(text, encoding="utf-8")
        return read(path)

    return make


def test_that_the_meaning_of_every_heading_unit_is_known():
    assert MEANING.keys() == UNITS.keys()


@pytest.mark.parametrize("unit", UNITS)
def test_that_heading_units_become_si_as_pint_has_it(unit):
    import pint

    registry = pint.UnitRegistry()
    printed, si = MEANING[unit]
    for value in (0.0, 1.0, 83.7):
        expected = registry.Quantity(value, printed).to(si).magnitude
        assert value / float(UNITS[unit].divisor) + float(UNITS[unit].offset) == pytest.approx(expected, rel=1e-12)


def test_that_numbers_come_out_in_si(table):
    (row,) = table("key,water[g/100g],warmth[degC],nitrogen[mg/L]\nsloe,38.19,18.5,100\n")
    assert row.number("water") == 0.3819
    assert row.number("warmth") == 291.65
    assert row.number("nitrogen") == 0.1


def test_that_a_span_without_a_typical_value_takes_the_middle(table):
    (row,) = table("key,ph_low[-],ph_typical[-],ph_high[-]\nsloe,2.8,,3.6\n")
    assert row.span("ph") == Span(2.8, 3.2, 3.6)


@pytest.mark.parametrize(
    ("cell", "problem"),
    [
        ("8 3", "'8 3' is not a number"),
        ("83,0", "'83,0' is not a number"),
        ("inf", "'inf' is not a number"),
        ("nan", "'nan' is not a number"),
        ("", "is empty; expected a number"),
    ],
)
def test_that_a_bad_number_is_refused_with_file_row_and_column(table, cell, problem):
    _, row = table(f'key,water[g/100g]\nrowan,77.6\nsloe,"{cell}"\n')
    with pytest.raises(TableError) as caught:
        row.number("water")
    text = str(caught.value)
    assert text.startswith("berries.csv, row 3 (sloe), column water[g/100g]: ")
    assert problem in text


def test_that_a_span_that_does_not_rise_is_refused(table):
    (row,) = table("key,ph_low[-],ph_typical[-],ph_high[-]\nsloe,2.8,3.7,3.6\n")
    with pytest.raises(TableError, match=r"berries.csv, row 2 \(sloe\), column ph_typical\[-\]: .* do not rise"):
        row.span("ph")


def test_that_an_unknown_word_is_refused_with_those_that_are_known(table):
    (row,) = table("key,stone\nsloe,maybe\n")
    with pytest.raises(TableError, match=r"column stone: 'maybe' is not known; expected one of yes, no"):
        row.yes("stone")


def test_that_an_unknown_source_is_refused(table):
    (row,) = table("key,source\nsloe,handbook hearsay\n")
    with pytest.raises(TableError, match=r"column source: 'hearsay' is not the key"):
        row.sources({"handbook"})


def test_that_a_row_without_a_source_is_refused(table):
    (row,) = table("key,source\nsloe,\n")
    with pytest.raises(TableError, match="column source: is empty"):
        row.sources({"handbook"})


def test_that_a_column_that_is_not_there_is_named_with_those_that_are(table):
    (row,) = table("key,water[g/100g]\nsloe,83\n")
    with pytest.raises(TableError, match=r"column fibre: is not in the table; its columns are key, water\[g/100g\]"):
        row.number("fibre")


def test_that_numbers_need_a_unit_in_the_heading(table):
    (row,) = table("key,water\nsloe,83\n")
    with pytest.raises(TableError, match=r"column water: .* carries no unit such as \[g/100g\]"):
        row.number("water")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "is empty; expected a line of headings"),
        ("key,Water Content\n", "heading 'Water Content' is not understood"),
        ("key,water[stone]\n", r"unit 'stone' of heading 'water\[stone\]' is not one of"),
        ("key,water[%],water[g]\n", "heading 'water' stands there twice"),
        ("key,water[%]\nsloe\n", r"row 2 \(sloe\): has 1 cells, but there are 2 headings"),
        ("key,water[%]\nsloe,83,5\n", r"row 2 \(sloe\): has 3 cells, but there are 2 headings"),
        ('key,water[%]\nsloe,"83\n', "cannot be read as a table"),
    ],
)
def test_that_a_damaged_table_is_refused(table, text, problem):
    with pytest.raises(TableError, match=rf"berries.csv.*{problem}"):
        table(text)


def test_that_a_missing_table_is_refused_by_name(tmp_path):
    with pytest.raises(TableError, match=r"hips\.csv: cannot be read as a table"):
        read(tmp_path / "hips.csv")


def test_that_a_key_stands_only_once(table):
    with pytest.raises(TableError, match=r"row 4 \(sloe\), column key: 'sloe' stands in row 2 already"):
        by_key(table("key,water[%]\nsloe,83\nrowan,77.6\nsloe,82\n"))
