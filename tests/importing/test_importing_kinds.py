"""Tables with more than gravity and sugar: what is read, and that an exported log of any kind comes back whole."""

from __future__ import annotations

from datetime import UTC, datetime

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_batches import entries, numbers, offsets, temperatures

from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Event,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TitrationReading,
    WarmthReading,
    WeightReading,
    What,
    new_batch,
)
from planner.importing.reading import Mapping, Meaning, export_csv, guess, new_only, read_table, readings

printable = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=20)
in_these_times = st.datetimes(datetime(1977, 1, 1), datetime(2076, 1, 1), timezones=offsets).map(datetime.isoformat)
shared = {
    "at": st.none() | in_these_times, "day": st.none() | numbers(-365.0, 3660.0), "temperature": st.none() | temperatures,
    "note": printable, "excluded": st.booleans(), "instrument": printable,
}  # fmt: skip


def taken(text, mapping=None, **options):
    table = read_table(text.encode())
    return readings(table, mapping or guess(table), UTC, **options)


@given(st.lists(entries(shared), min_size=1, max_size=6))
def test_that_an_exported_log_of_any_kind_is_read_back_without_loss(found):
    batch = edits.add_readings(new_batch(), *found)
    imported = taken(export_csv(batch))
    assert imported.refused == ()
    assert imported.readings == batch.log.readings


def test_that_headings_tell_what_else_was_measured():
    table = read_table(
        b"Day,SG,Refractometer (Brix),pH,Weight lost (kg),Temp C\n0,1.090,21.5,3.60,0,18\n3,1.060,17.0,3.42,0.61,19\n"
    )
    assert guess(table).meanings == (
        Meaning.DAY, Meaning.GRAVITY, Meaning.REFRACTOMETER, Meaning.PH, Meaning.WEIGHT, Meaning.CELSIUS,
    )  # fmt: skip
    found = readings(table, guess(table), UTC).readings
    assert [type(entry) for entry in found[:4]] == [
        HydrometerReading, RefractometerReading, WeightReading, AcidityReading,
    ]  # fmt: skip
    assert found[5].brix == 17.0
    assert {entry.temperature for entry in found} == {291.15, 292.15}


@pytest.mark.parametrize(
    ("heading", "cell", "acid"),
    [
        ("TA", "6.5", 6.5),
        ("Titratable acidity (g/L)", "6.5", 6.5),
        ("acid g/100 mL", "0.65", 6.5),
        ("TA %", "0.65 %", 6.5),
        ("TA as tartaric (g/L)", "6.5", 6.5),
        ("Säure [g/l]", "6,5", 6.5),
    ],
)
def test_that_titrated_acid_is_known_by_its_heading_and_unit(heading, cell, acid):
    found = taken(f"Day;SG;{heading}\n0;1.090;{cell}\n30;1.002;{cell}\n").readings
    titrated = [entry for entry in found if isinstance(entry, TitrationReading)]
    assert [entry.acid for entry in titrated] == pytest.approx([acid, acid])


@pytest.mark.parametrize(
    "heading", ["Volatile acid g/L", "Tartaric Acid(g/L)", "malic acid", "Acid added g/L", "TA meq/L", "Acid as H2SO4"]
)
def test_that_other_acid_is_not_taken_for_titrated_acid(heading):
    found = taken(f"Day,SG,{heading}\n0,1.090,0.4\n30,1.002,0.5\n").readings
    assert [type(entry) for entry in found] == [HydrometerReading, HydrometerReading]


def test_that_less_than_the_lowest_mark_is_kept_as_such():
    found = taken("Day,Sugar g/L\n1,80\n20,<2\n").readings
    assert found[1] == SugarReading(day=20.0, sugar=2.0, below=True)


def test_that_a_table_of_temperatures_alone_is_a_log_of_temperatures():
    found = taken("Day,Temperature C\n1,18\n2,19.5\n").readings
    assert found == (WarmthReading(day=1.0, temperature=291.15), WarmthReading(day=2.0, temperature=292.65))


def test_that_brix_may_be_said_to_be_off_a_refractometer():
    imported = taken("Day,Brix\n0,22.5\n5,12.0\n")
    offer = next(notice for notice in imported.notices if notice.offer == "Read as a refractometer")
    again = taken("Day,Brix\n0,22.5\n5,12.0\n", offer.mapping).readings
    assert again == (RefractometerReading(day=0.0, brix=22.5), RefractometerReading(day=5.0, brix=12.0))


def test_that_gravities_of_a_sensor_are_taken_as_such_and_known_again_as_a_hydrometers():
    imported = taken("Day,SG\n1,1.080\n2,1.075\n", Mapping((Meaning.DAY, Meaning.GRAVITY), floats=True))
    assert all(isinstance(entry, SensorReading) for entry in imported.readings)
    batch = edits.add_readings(new_batch(), HydrometerReading(day=1.0, gravity=1.08))
    assert [entry.day for entry in new_only(imported, batch).readings] == [2.0]


def test_that_entries_of_different_kinds_at_one_moment_are_not_taken_for_one():
    batch = edits.add_readings(
        new_batch(), AcidityReading(day=1.0, ph=3.4), Event(day=1.0, what=What.RACKING), WarmthReading(day=1.0, temperature=290.0)
    )  # fmt: skip
    text = export_csv(batch)
    assert new_only(taken(text), batch).readings == ()
    other = edits.change_reading(batch, 1, what=What.STIRRING)
    assert [entry.what for entry in new_only(taken(text), other).readings] == [What.RACKING]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("Day,pH\n1,3.4\n2,34\n3,3.3\n", "not a pH"),
        ("Day,Refractometer\n1,20\n2,19\n3,99\n", "°Brix"),
        ("Day,SG,Kind\n1,1.080,hydrometer\n2,,hydrometer\n3,1.06,hydrometer\n", "kind needs"),
    ],
)
def test_that_what_cannot_be_is_listed_with_its_line(text, reason):
    imported = taken(text)
    assert len(imported.refused) == 1
    assert reason in imported.refused[0].text
    assert imported.refused[0].line in (3, 4)


def test_that_an_exported_plain_log_has_no_more_columns_than_it_needs():
    batch = edits.add_readings(new_batch(), HydrometerReading(day=1.0, gravity=1.08))
    assert "Kind" not in export_csv(batch)
    named = edits.change_reading(batch, 0, instrument="the long one")
    assert "Instrument" in export_csv(named)
    assert msgspec.structs.replace(taken(export_csv(named)).readings[0], instrument="") == batch.log.readings[0]
