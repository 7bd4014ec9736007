"""No text of a log is run by a spreadsheet, comes back changed, or freezes the import."""

from __future__ import annotations

import csv
import io
from datetime import UTC

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import HydrometerReading, Log, new_batch
from planner.document.spreadsheet import guarded, unguarded
from planner.importing import table as tables
from planner.importing.mapping import Meaning
from planner.importing.reading import ImportRefused, export_csv, guess, read_table, readings

RUN = ["=1+1", "+1", "-1", "@sum", "\tx", "\rx", "'=1", "''-1", "'tis", "=cmd|' /C calc'!A1"]
HEAD = "when,gravity,note\n"


def with_notes(*notes):
    log = Log(readings=tuple(HydrometerReading(day=float(n), gravity=1.05, note=note, instrument=note[:80])
                             for n, note in enumerate(notes, start=1)))  # fmt: skip
    return msgspec.structs.replace(new_batch(), log=log)


def back(text):
    table = read_table(text.encode("utf-8-sig"))
    return readings(table, guess(table, True).settled(table), UTC)


def test_that_no_cell_of_an_export_begins_as_a_formula_does():
    for row in csv.reader(io.StringIO(export_csv(with_notes(*RUN)), newline="")):
        for cell in row:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell


@given(st.lists(st.sampled_from(RUN) | st.text(min_size=1, max_size=20), min_size=1, max_size=4))
def test_that_the_own_import_takes_every_text_back_unchanged(notes):
    writable = [note for note in notes if note.strip() and note.isprintable()] or ["=1"]
    batch = with_notes(*writable)
    assert tuple(back(export_csv(batch)).readings) == tuple(batch.log.entries)


@given(st.text(max_size=8) | st.sampled_from(RUN))
def test_that_a_guard_is_taken_off_again(text):
    assert unguarded(guarded(text)) == text
    assert guarded(text) == text or guarded(text) == f"'{text}"


def test_that_signs_no_screen_shows_are_told_of_and_kept():
    imported = back(export_csv(with_notes("bell \x07 rang", "fine")))
    assert [entry.note for entry in imported.readings] == ["bell \x07 rang", "fine"]
    assert "1 note holds signs that no screen shows. They are kept." in [notice.text for notice in imported.notices]


def test_that_signs_outside_quotes_are_still_no_text():
    with pytest.raises(ImportRefused, match="not text"):
        read_table(b"when,gravity\n2026-01-01,\x001.05\n2026-01-02,1.04\n")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r", "\r\n"])
def test_that_an_endless_line_is_one_clear_message_with_its_number(encoding, end):
    lines = [*HEAD.split(), "2026-01-01,1.05,ok", "2026-01-02,1.04," + "x" * tables.LONGEST_LINE, "2026-01-03,1.03,ok"]
    with pytest.raises(ImportRefused, match=r"Line 3 is longer than 131,072 characters\. Each reading needs"):
        read_table(end.join(lines).encode(encoding))


def test_that_a_cell_over_many_lines_is_bounded_too():
    text = HEAD + '2026-01-01,1.05,"' + "x\n" * tables.LONGEST_LINE + '"\n2026-01-02,1.04,ok\n'
    with pytest.raises(ImportRefused, match=r"Line 2 is longer than 131,072 characters"):
        read_table(text.encode())


def test_that_the_longest_line_is_read():
    note = "ö" * (tables.LONGEST_LINE - 17)
    table = read_table(f"{HEAD}2026-01-01,1.05,{note}\n2026-01-02,1.04,ok\n".encode())
    assert table.rows[0][2] == note


def test_that_more_rows_with_words_than_memory_allows_are_one_clear_message(monkeypatch):
    monkeypatch.setattr(tables, "MOST_ROWS", 50)
    rows = "".join(f"2026-01-01T10:{n:02},1.05,note {n}\n" for n in range(60))
    with pytest.raises(ImportRefused, match="The table has more than 50 rows, and some hold words or gaps"):
        read_table((HEAD + rows).encode())


def test_that_a_range_too_wide_for_its_reading_is_a_trouble_of_its_row():
    table = read_table(b"when,gravity,doubt,what\n2026-01-01,1.05,0.002,hydrometer\n2026-01-02,1.04,0.7,hydrometer\n")
    mapping = guess(table, True).settled(table)
    assert mapping.column(Meaning.DOUBT) == 2
    imported = readings(table, mapping, UTC)
    assert len(imported.readings) == 1
    assert [(refusal.line, refusal.text) for refusal in imported.refused] == [
        (3, "A range of ±0.7 is too wide; up to ±0.5 is accepted.")
    ]


def test_that_a_moment_of_the_first_year_and_a_cell_without_end_do_no_harm():
    rows = b"".join(b"0001-01-01T00:%02d,1.05\n" % minute for minute in range(30))
    table = read_table(b"when,gravity\n" + rows)
    readings(table, guess(table, True).settled(table), UTC)
    with pytest.raises(ImportRefused, match="131,072 characters"):
        read_table(b'when,gravity\n2026-01-01,"1.05\n' + b"x" * 70_000 + b"\n" + b"x" * 70_000)
