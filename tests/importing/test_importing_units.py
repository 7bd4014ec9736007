"""The unit in the heading of a column is understood or asked about, and never dropped."""

from __future__ import annotations

from datetime import UTC

import pytest

from planner.document.batch import SugarReading, WeightReading
from planner.importing.heading_units import unit_meaning
from planner.importing.mapping import Meaning
from planner.importing.reading import guess, read_table, readings


def table_of(heading: str, *cells: str, units: str = ""):
    """A table of days and one more column."""
    rows = [f"day;{heading}", *([f"-;{units}"] if units else []), *(f"{day};{cell}" for day, cell in enumerate(cells))]
    return read_table("\n".join(rows).encode())


def read(heading: str, *cells: str, units: str = ""):
    table = table_of(heading, *cells, units=units)
    return readings(table, guess(table), UTC)


# Grams in a litre: the litre and its parts by the SI Brochure, 9th ed., table 8; a mole of glucose is 180.16 g (IUPAC).
IN_GRAMS_PER_LITRE = [
    ("sugar", 2.0), ("sugar g/L", 2.0), ("Total Sugar(g/L)", 2.0), ("sugar [kg/m³]", 2.0), ("sugar_g_l", 2.0),
    ("Sugar.g.L.", 2.0), ("sugar g L-1", 2.0), ("sugar, g·L⁻¹", 2.0), ("Residual sugar, grams per litre", 2.0),
    ("sugar g/100 mL", 20.0), ("sugar (g/dL)", 20.0), ("sugar %", 20.0), ("Zucker % w/v", 20.0), ("sugar mg/L", 0.002),
    ("sugar mg/dL", 0.02), ("sugar mg per 100 ml", 0.02), ("glucose mmol/L", 0.36032), ("glucose (mmol per litre)", 0.36032),
    ("sugar (vat 3)", 2.0), ("C_17L_A sugar", 2.0), ("sugar (glucose/fructose)", 2.0),
]  # fmt: skip


@pytest.mark.parametrize(("heading", "sugar"), IN_GRAMS_PER_LITRE, ids=[heading for heading, _ in IN_GRAMS_PER_LITRE])
def test_that_sugar_is_read_in_the_unit_of_its_heading(heading, sugar):
    found = read(heading, "2", "< 2").readings
    assert [type(reading) for reading in found] == [SugarReading, SugarReading]
    assert [reading.sugar for reading in found] == pytest.approx([sugar, sugar])
    assert found[1].below


# Pound and ounce by NIST SP 811.
@pytest.mark.parametrize(
    ("heading", "lost"),
    [
        ("weight lost", 2.0),
        ("weight lost [kg]", 2.0),
        ("weight lost (g)", 0.002),
        ("weight lost in grams", 0.002),
        ("weight_lost_lb", 0.90718474),
        ("WeightLost (oz)", 0.05669904625),
    ],
)
def test_that_weight_is_read_in_the_unit_of_its_heading(heading, lost):
    (found,) = read(heading, "2").readings
    assert isinstance(found, WeightReading)
    assert found.lost == pytest.approx(lost, rel=1e-9)


@pytest.mark.parametrize(
    ("heading", "days"),
    [
        ("time (min)", 0.5),
        ("elapsed minutes", 0.5),
        ("time [s]", 720.0 / 86400.0),
        ("time (h)", 30.0),
        ("time (d)", 720.0),
    ],
)
def test_that_times_are_read_in_the_unit_of_their_heading(heading, days):
    table = read_table(f"{heading};gravity\n0;1.090\n720;1.080\n".encode())
    assert readings(table, guess(table), UTC).readings[1].day == pytest.approx(days)


def test_that_a_temperature_in_kelvin_is_one():
    table = read_table(b"day;gravity;temperature (K)\n0;1.090;293.15\n1;1.080;291.15\n")
    assert [reading.temperature for reading in readings(table, guess(table), UTC).readings] == [293.15, 291.15]


def test_that_degrees_oechsle_are_points_above_water():
    table = read_table("day;Gravity (°Oe)\n0;90\n1;80\n".encode())
    assert [reading.gravity for reading in readings(table, guess(table), UTC).readings] == pytest.approx([1.09, 1.08])


def test_that_a_row_of_units_below_the_headings_counts():
    assert read("sugar", "2", "3", units="g/100 mL").readings[0].sugar == pytest.approx(20.0)
    assert read("sugar", "2", "3", units="(mmol/L)").readings[0].sugar == pytest.approx(0.36032)
    assert read("weight lost", "250", "300", units="[g]").readings[0].lost == pytest.approx(0.25)


UNKNOWN = [
    "sugar g/kg", "sugar (g/100 g)", "sugar % w/w", "sugar wt%", "sugar oz/gal", "sugar ppm", "sucrose mmol/L", "weight lost (mg)",
    "weight lost %", "gravity Baumé", "Gravity (°Bé)", "density lb/gal", "refractometer nD", "Amount given (g)", "Bottle size (mL)",
    "weight lost (t)",
]  # fmt: skip


@pytest.mark.parametrize("heading", UNKNOWN)
def test_that_a_unit_that_is_not_known_is_asked_about(heading):
    table = read_table(f"day;gravity;{heading}\n0;1.090;12\n1;1.080;11\n".encode())
    mapping = guess(table)
    assert mapping.meanings[2] is Meaning.IGNORED
    found = readings(table, mapping, UTC)
    assert [reading.gravity for reading in found.readings] == [1.09, 1.08]
    assert any(heading in notice.text and "unit" in notice.text for notice in found.notices)
    chosen = mapping.with_meaning(2, Meaning.SUGAR)
    assert not any(heading in notice.text for notice in readings(table, chosen, UTC).notices)


def test_that_per_cent_is_told_and_can_be_left_out():
    table = read_table(b"day;gravity;sugar %\n0;1.090;20\n1;1.080;18\n")
    found = readings(table, guess(table), UTC)
    (notice,) = [notice for notice in found.notices if "100 mL" in notice.text]
    assert notice.mapping is not None
    assert all(not isinstance(reading, SugarReading) for reading in readings(table, notice.mapping, UTC).readings)


def test_that_what_was_used_up_is_not_what_is_left():
    table = read_table(b"day;gravity;sugar used %\n0;1.090;0\n1;1.080;10\n")
    assert guess(table).meanings[2] is Meaning.IGNORED


def test_that_a_unit_behind_a_number_goes_before_that_of_the_heading():
    assert read("sugar g/100 mL", "2", "20 g/L").readings[1].sugar == pytest.approx(20.0)
    assert read("weight lost (g)", "250", "0.25 kg").readings[1].lost == pytest.approx(0.25)


@pytest.mark.parametrize(
    "heading", ["specific gravity", "SG (20/20)", "density g/cm^3", "Gravity kg m-3", "gravity (week 3)"]
)
def test_that_usual_headings_of_gravity_are_not_asked_about(heading):
    assert not unit_meaning("gravity", heading)[1]
