"""A long table of plain figures is read as a whole: the same readings, remarks and refusals as cell by cell, or none of it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import HydrometerReading, new_batch
from planner.document.columnar_log import Entries, Run
from planner.importing import table as tables
from planner.importing.reading import (
    Imported,
    ImportStopped,
    Mapping,
    Meaning,
    Table,
    added,
    guess,
    new_only,
    read_table,
    readings,
)

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)
START = datetime(2026, 3, 28, 22, 50)  # a day before clocks go forward in most of Europe: tz database, Europe/Vienna
VIENNA = ZoneInfo("Europe/Vienna")


@pytest.fixture(autouse=True)
def even_short_tables(monkeypatch):
    """Tables of any length are tried as a whole."""
    monkeypatch.setattr(tables, "_LONG", 0)


def cell_by_cell(data: bytes) -> Table:
    """The table read without any short cut."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tables, "_LONG", 10**9)
        return read_table(data)


def both(data: bytes, change=None, zone: tzinfo = UTC, day_first: bool = True) -> tuple[Imported, Imported]:
    """What the table gives as a whole and cell by cell, both by the first guess or after a change of it."""
    results = []
    for table in (read_table(data), cell_by_cell(data)):
        mapping = guess(table, day_first)
        results.append(readings(table, change(mapping) if change else mapping, zone, NOW))
    return results[0], results[1]


def assert_same(one: Imported, other: Imported) -> None:
    assert one.readings == other.readings
    assert tuple(one.lines) == tuple(other.lines)
    assert (one.refused, one.notices, one.assumed) == (other.refused, other.notices, other.assumed)


def written(rows, head: str = "day,gravity,temperature", end: str = "\n") -> bytes:
    return (end.join([head, *rows]) + end).encode()


PLAIN = written(f"{day}.25,1.0{90 - day},{18 + day % 4}.5" for day in range(40))


def test_that_a_plain_table_is_read_as_a_whole_and_one_with_words_is_not():
    assert read_table(PLAIN).figures is not None
    assert read_table(PLAIN.replace(b"19.5", b"19.5 C", 1)).figures is None


def test_that_short_tables_go_cell_by_cell(monkeypatch):
    monkeypatch.setattr(tables, "_LONG", 1000)
    assert read_table(PLAIN).figures is None


def test_that_the_table_looks_the_same_row_by_row():
    whole, cells = read_table(PLAIN), cell_by_cell(PLAIN)
    assert (whole.headings, whole.named, whole.above) == (cells.headings, cells.named, cells.above)
    assert tuple(whole.rows) == tuple(cells.rows)
    assert len(whole.rows) == len(cells.rows)
    assert [whole.rows[place] for place in (0, 5, -1)] == [cells.rows[place] for place in (0, 5, -1)]
    assert tuple(whole.rows[3:40:7]) == cells.rows[3:40:7]
    assert whole.column(1) == cells.column(1)
    assert tuple(whole.lines) == cells.lines
    with pytest.raises(IndexError):
        whole.rows[40]


def refusal_of(read, data: bytes) -> str:
    """Why a table is refused; empty where it is not."""
    try:
        read(data)
    except tables.ImportRefused as refused:
        return str(refused)
    return ""


figures = st.one_of(
    st.floats(-30.0, 120.0).map(lambda value: f"{value:.4f}"),
    st.floats(0.68, 1.62).map(lambda value: f"{value:.4f}"),
    st.floats(allow_nan=False, allow_infinity=False, width=32).map(repr),
    st.integers(-5, 1100).map(str),
    st.sampled_from(
        ["", " 1.05", "1.05 ", "-0", "1e0", "01.5", "+1.0", ".98", "1.", "1.050 SG", "null", "true", "1'060"]
    ),
)
sane = st.tuples(
    st.floats(0.0, 300.0).map(repr),
    st.floats(0.99, 1.12).map(lambda value: f"{value:.4f}"),
    st.floats(10.0, 30.0).map(lambda value: f"{value:.2f}"),
)


@given(
    rows=st.lists(st.one_of(sane, sane, sane, st.tuples(figures, figures, figures)), min_size=2, max_size=25),
    separator=st.sampled_from([",", ";", "\t", "|"]),
    end=st.sampled_from(["\n", "\r\n"]),
    meanings=st.sampled_from([
        (Meaning.DAY, Meaning.GRAVITY, Meaning.CELSIUS), (Meaning.HOURS, Meaning.GRAVITY, Meaning.FAHRENHEIT),
        (Meaning.DAY, Meaning.GRAVITY, Meaning.IGNORED), (Meaning.DAY, Meaning.SUGAR, Meaning.CELSIUS),
        (Meaning.DAY, Meaning.BRIX, Meaning.CELSIUS),
    ]),
)  # fmt: skip
def test_that_any_table_gives_the_same_both_ways(rows, separator, end, meanings):
    data = written((separator.join(row) for row in rows), separator.join(["day", "gravity", "temperature"]), end)
    assert refusal_of(read_table, data) == refusal_of(cell_by_cell, data)
    if refusal_of(read_table, data):
        return
    table = cell_by_cell(data)
    if table.width == 3:
        assert_same(*both(data, lambda mapping: Mapping(meanings, mapping.decimal, mapping.day_first)))
    if not guess(table).problem():
        assert_same(*both(data))


FORMS = ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M", "%Y/%m/%d %H:%M:%S", "%d.%m.%Y %H:%M",
         "%d/%m/%Y %H:%M:%S", "%m/%d/%Y %H:%M", "%d-%m-%Y %H:%M", "%Y-%m-%dT%H:%M:%SZ", "%Y-%m-%d %H:%M:%S+05:30",
         "%Y-%m-%dT%H:%M-00:30"]  # fmt: skip


def dated(form: str, step: timedelta, count: int = 120, start: datetime = START) -> bytes:
    rows = (f"{(start + place * step).strftime(form)},1.0{99 - place % 90:02},20.5" for place in range(count))
    return written(rows, "time,gravity,temperature")


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("zone", [UTC, timezone(timedelta(hours=-3.5)), VIENNA], ids=str)
@pytest.mark.parametrize("step", [timedelta(minutes=10), timedelta(hours=37)], ids=str)
def test_that_moments_in_figures_are_the_same_both_ways_also_where_clocks_change(form, zone, step):
    data = dated(form, step)
    table = read_table(data)
    assert table.figures is not None
    assert 0 in table.figures.moments
    for day_first in (True, False):
        assert_same(*both(data, lambda mapping, order=day_first: Mapping(mapping.meanings, ".", order), zone))
    assert_same(*both(data, zone=zone))
    assert_same(*both(data, zone=zone, day_first=False))


@pytest.mark.parametrize("wrong", [
    "2026-02-30T10:00:00", "2026-13-01T10:00:00", "2026-01-01T24:00:00", "2026-01-01T10:60:00", "2026-01-01T10:00:61",
    "0026-01-01T10:00:00", "9026-01-01T10:00:00", "2026-01-01T10-00-00", "2026-01-0bT10:00:00",
    "                   ", "2026-01-01T10:00:0é", "2026-01-01T10:0\t:00", "2100-02-29T10:00:00",
])  # fmt: skip
def test_that_one_moment_that_is_none_is_refused_with_its_line(wrong):
    rows = dated("%Y-%m-%dT%H:%M:%S", timedelta(hours=1)).decode().split("\n")
    rows[50] = f"{wrong},1.050,20.5"
    whole, cells = both("\n".join(rows).encode())
    assert_same(whole, cells)
    assert [refusal.line for refusal in whole.refused] == [51]


def test_that_a_moment_behind_the_readings_is_found_there():
    rows = (f"1.0{99 - place % 90:02},{(START + timedelta(hours=place)).isoformat()},20.5" for place in range(100))
    data = written(rows, "gravity,time,temperature")
    assert read_table(data).figures is not None
    assert_same(*both(data, zone=VIENNA))


def test_that_days_in_the_future_are_told_with_their_line():
    whole, cells = both(dated("%Y-%m-%dT%H:%M:%S", timedelta(hours=6), 60, datetime(2026, 10, 25, 3)))
    assert_same(whole, cells)
    assert any("in the future" in notice.text for notice in whole.notices)


def test_that_fahrenheit_among_celsius_and_doubled_times_are_told_both_ways():
    hot = written((f"{day},1.0{90 - day},{68 + day % 4}.5" for day in range(40)), "day,gravity,temperature °C")
    whole, cells = both(hot)
    assert_same(whole, cells)
    assert any(notice.offer == "Read as °F" for notice in whole.notices)
    doubled = written(f"{day // 2},1.0{90 - day},20.5" for day in range(40))
    whole, cells = both(doubled)
    assert_same(whole, cells)
    assert any("more than once" in notice.text for notice in whole.notices)


def test_that_a_table_with_a_title_and_units_below_its_headings_is_the_same_both_ways():
    rows = PLAIN.decode().split("\n")
    data = "\n".join(["Cellar", rows[0], "d,SG,°C", *rows[1:]]).encode()
    assert read_table(data).figures is not None
    assert_same(*both(data))


def test_that_a_row_with_a_cell_too_many_or_too_few_sends_the_table_cell_by_cell():
    for row in ("3,1.05", "3,1.05,20,7", "3,1.05,", ""):
        rows = PLAIN.decode().split("\n")
        rows[20] = row
        rows[21] = "4,1.05,20,7" if row.count(",") == 1 else rows[21]
        data = "\n".join(rows).encode()
        assert read_table(data).figures is None
        assert_same(*both(data))


def test_that_a_table_beyond_one_chunk_is_put_together_without_a_seam(monkeypatch):
    from planner.importing import numeric_table as module

    monkeypatch.setattr(module, "_CHUNK", 100)
    assert_same(*both(PLAIN))


def test_that_whoever_no_longer_wants_the_table_stops_its_reading():
    with pytest.raises(ImportStopped):
        read_table(PLAIN, lambda: True)


def test_that_readings_taken_as_a_whole_enter_the_batch_as_any_others():
    imported, _ = both(PLAIN)
    batch = new_batch()
    assert [type(piece) for piece in imported.readings.pieces] == [Run]
    assert added(batch, imported) == edits.add_readings(batch, *imported.readings)
    assert new_only(imported, added(batch, imported)).readings == ()


def test_that_readings_taken_cell_by_cell_are_tried_before_they_enter():
    imported, _ = both(PLAIN)
    wide = Entries((HydrometerReading(day=1.0, gravity=1.05, doubt=0.9),))
    imported = msgspec.structs.replace(imported, readings=wide, lines=(2,))
    with pytest.raises(edits.EditRefused, match="doubt_gravity"):
        added(new_batch(), imported)
