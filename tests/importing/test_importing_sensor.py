"""Tables of floating sensors are known as such, and lines that were written twice count once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import Event, HydrometerReading, SensorReading, What, new_batch
from planner.importing.reading import export_csv, guess, read_table, readings

START = datetime(2026, 11, 10, 20)


def table(head: str, hours: float, rows: int, more: str = "", slip: timedelta = timedelta()) -> str:
    """A table with a row every so many hours, the odd ones by `slip` later."""
    lines = (
        f"{START + n * timedelta(hours=hours) + (n % 2) * slip:%Y-%m-%d %H:%M},{1.11 - 0.0004 * n:.4f}{more}\n"
        for n in range(rows)
    )
    return f"{head}\n{''.join(lines)}"


def taken(text: str, **change):
    found = read_table(text.encode())
    return readings(found, msgspec.structs.replace(guess(found), **change), UTC)


def kinds(text: str) -> set[type]:
    return {type(entry) for entry in taken(text).readings}


@pytest.mark.parametrize(
    "text",
    [
        table("time,floating sensor", 24.0, 5),
        table("time,SG,Battery", 24.0, 5, ",4.1"),
        table("time,SG,instrument", 24.0, 5, ",floating sensor"),
        table("time,SG,instrument", 24.0, 5, ",the sensor in bucket two"),
        table("time,SG", 2.0, 60),
        table("time,SG", 6.0, 20),
        table("time,SG", 0.25, 200, slip=timedelta(minutes=2)),
        "Day,SG\n" + "".join(f"{n / 24:.4f},{1.1 - n / 5000:.4f}\n" for n in range(40)),
    ],
    ids=["heading", "battery", "instrument", "name of one", "two-hourly", "six-hourly", "not to the minute", "by day"],
)
def test_that_a_floating_sensor_is_known_by_its_headings_or_its_even_times(text):
    assert kinds(text) == {SensorReading}


@pytest.mark.parametrize(
    "text",
    [
        table("time,SG", 24.0, 60),
        table("time,SG", 2.0, 12),
        table("time,SG", 5.0, 40, slip=timedelta(hours=4)),
        table("time,SG,instrument", 24.0, 5, ",the long spindle"),
        table("time,SG,instrument", 24.0, 5, ",hydrometer"),
    ],
    ids=["daily", "few", "uneven", "instrument", "kind"],
)
def test_that_what_a_person_may_have_read_is_taken_for_a_hydrometers(text):
    assert kinds(text) == {HydrometerReading}


def test_that_a_column_of_instruments_tells_each_row_apart():
    text = "day,SG,instrument\n1,1.080,hydrometer\n2,1.070,floating sensor\n"
    assert [type(entry) for entry in taken(text).readings] == [HydrometerReading, SensorReading]


def test_that_what_was_guessed_can_be_said_otherwise():
    assert {type(entry) for entry in taken(table("time,SG", 2.0, 60), floats=False).readings} == {HydrometerReading}


def test_that_an_exported_log_of_a_diligent_reader_stays_a_hydrometers():
    log = [HydrometerReading(day=n / 12, gravity=1.1 - n / 1000) for n in range(40)]
    batch = edits.add_readings(new_batch(), *log, log[-1])
    assert taken(export_csv(batch)).readings == batch.log.readings


def test_that_lines_written_twice_count_once_and_it_is_said():
    lines = table("time,SG,temp", 2.0, 168, ",18.1").splitlines()
    text = "\n".join([*lines[:41], lines[40], *lines[41:], lines[-1]])
    imported = taken(text)
    assert len(imported.readings) == 168
    assert len(imported.lines) == 168
    assert 42 not in imported.lines
    notice = next(n for n in imported.notices if "repeat" in n.text)
    assert notice.text == "2 rows repeat others to the last figure, and are left out."
    found = read_table(text.encode())
    assert len(readings(found, notice.mapping, UTC).readings) == 170


@given(st.lists(st.sampled_from(["1,1.080", "1,1.081", "2,1.080", "2,1.070"]), min_size=1, max_size=12))
def test_that_as_many_readings_are_taken_as_there_are_different_lines(lines):
    imported = taken("Day,SG\n" + "\n".join(lines) + "\n")
    assert len(imported.readings) == len(set(lines))
    assert len(taken("Day,SG\n" + "\n".join(lines) + "\n", repeats=True).readings) == len(lines)


def test_that_what_was_done_twice_on_one_day_was_done_twice():
    imported = taken("Day,Kind,Note\n1,stirred,\n1,stirred,\n")
    assert imported.readings == (Event(day=1.0, what=What.STIRRING),) * 2
