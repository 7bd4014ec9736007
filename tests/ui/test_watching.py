"""A file that grows while the program runs: what is new goes into the log once, whatever happens to the file."""

from __future__ import annotations

import os

import fermenting
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QLocale, QSettings

from planner.document import edits
from planner.document.batch import SensorReading
from planner.document.columnar_log import Run
from planner.importing import table as tables
from planner.ui.importing import watching as watched
from planner.ui.importing.watching import Watch, Watching, WatchWork, newest_table, whole_lines
from planner.ui.settings import Settings
from planner.ui.store import BatchStore

HEAD = "time,SG,temp C\n"
LINES = [f"2026-10-{18 + n}T11:00+02:00,{1.095 - 0.005 * n:.3f},{18 + n / 2}\n" for n in range(8)]


class Bench:
    """A batch, a file and a watch on it."""

    def __init__(self, qtbot, tmp_path):
        self.qtbot, self.file = qtbot, tmp_path / "spindle.csv"
        self.store = BatchStore(fermenting.planned())
        ini = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
        self.watching = Watching(self.store, Settings(ini, QLocale("en_GB")), delay_ms=0)
        self.said = []
        self.watching.said.connect(self.said.append)

    @property
    def readings(self):
        return self.store.batch.log.readings

    def write(self, *lines, head=HEAD):
        self.file.write_text(head + "".join(lines), encoding="utf-8")

    def append(self, text):
        with self.file.open("a", encoding="utf-8") as file:
            file.write(text)

    def has(self, count):
        self.qtbot.waitUntil(lambda: len(self.readings) == count, timeout=10_000)

    def settled(self):
        """A look has been taken at the file as it is now."""
        self.watching.look()
        self.qtbot.waitUntil(lambda: not self.watching._recalculator.is_busy, timeout=10_000)


@pytest.fixture
def bench(qtbot, tmp_path):
    made = Bench(qtbot, tmp_path)
    yield made
    made.watching.shut_down()


def test_that_what_is_there_and_what_is_appended_comes_in_marked_by_its_instrument(bench):
    bench.write(*LINES[:2])
    bench.watching.watch(bench.file)
    bench.has(2)
    bench.append(LINES[2] + LINES[3])
    bench.has(4)
    assert all(isinstance(entry, SensorReading) and entry.instrument == "spindle" for entry in bench.readings)
    assert [entry.gravity for entry in bench.readings] == [1.095, 1.09, 1.085, 1.08]
    assert bench.store.undo_stack.undoText() == "2 readings from spindle.csv"
    bench.store.undo_stack.undo()
    assert len(bench.readings) == 2
    assert bench.said == ["2 readings came in from spindle.csv"] * 2
    assert "4 readings taken" in bench.watching.text


def test_that_what_was_undone_or_removed_does_not_come_again(bench):
    bench.write(*LINES[:3])
    bench.watching.watch(bench.file)
    bench.has(3)
    bench.store.undo_stack.undo()
    bench.append(LINES[3])
    bench.has(1)
    bench.settled()
    assert [entry.gravity for entry in bench.readings] == [1.08]


def test_that_a_line_that_is_still_being_written_is_waited_for(bench):
    bench.write(LINES[0], LINES[1][:30])
    bench.watching.watch(bench.file)
    bench.has(1)
    bench.append(LINES[1][30:])
    bench.has(2)
    assert bench.readings[1].gravity == 1.09


def test_that_a_file_that_shrinks_vanishes_and_comes_back_loses_nothing_and_doubles_nothing(bench):
    bench.write(*LINES[:4])
    bench.watching.watch(bench.file)
    bench.has(4)
    bench.write(*LINES[:1])
    bench.settled()
    assert len(bench.readings) == 4
    bench.file.unlink()
    bench.settled()
    assert "not there now" in bench.watching.text
    bench.write(*LINES[:6])
    bench.has(6)
    assert "not there" not in bench.watching.text
    assert len({entry.gravity for entry in bench.readings}) == 6


def test_that_a_row_that_was_removed_does_not_come_again_after_the_file_began_anew(bench):
    bench.write(*LINES[:4])
    bench.watching.watch(bench.file)
    bench.has(4)
    bench.store.edit(edits.remove_readings(bench.store.batch, [1, 2]), "remove")
    bench.write(*LINES[:2])
    bench.settled()
    bench.append("".join(LINES[2:5]))
    bench.has(3)
    bench.settled()
    assert [entry.gravity for entry in bench.readings] == [1.095, 1.08, 1.075]


def test_that_of_a_long_file_that_grows_the_rows_stay_columns(bench, monkeypatch):
    monkeypatch.setattr(tables, "_LONG", 3)
    bench.write(*LINES[:5])
    bench.watching.watch(bench.file)
    bench.has(5)
    bench.append("".join(LINES[5:7]))
    bench.has(7)
    assert [type(piece) for piece in bench.store.batch.log.entries.pieces] == [Run, Run]
    assert {entry.instrument for entry in bench.readings} == {"spindle"}
    assert [entry.gravity for entry in bench.readings] == [round(1.095 - 0.005 * n, 3) for n in range(7)]


def test_that_a_file_replaced_as_a_whole_is_still_watched(bench, tmp_path):
    bench.write(*LINES[:2])
    bench.watching.watch(bench.file)
    bench.has(2)
    other = tmp_path / "new.tmp"
    other.write_text(HEAD + "".join(LINES[:3]), encoding="utf-8")
    os.replace(other, bench.file)
    bench.has(3)
    bench.append(LINES[3])
    bench.has(4)


def test_that_a_file_that_turns_into_something_else_is_told_and_the_watch_goes_on(bench):
    bench.write(*LINES[:2])
    bench.watching.watch(bench.file)
    bench.has(2)
    bench.file.write_bytes(b"\x00\x01\x02\xff\n" * 200)
    bench.settled()
    assert "cannot be read now" in bench.watching.text
    bench.write(*LINES[:3])
    bench.has(3)
    assert "cannot" not in bench.watching.text


def test_that_an_empty_file_is_watched_until_something_comes(bench):
    bench.file.write_text("", encoding="utf-8")
    bench.watching.watch(bench.file)
    bench.settled()
    assert bench.readings == ()
    bench.write(*LINES[:2])
    bench.has(2)


def test_that_of_a_folder_the_newest_table_is_read(bench, tmp_path):
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "picture.png").write_bytes(b"x")
    assert newest_table(folder) is None
    old, new = folder / "monday.csv", folder / "tuesday.csv"
    old.write_text(HEAD + LINES[0], encoding="utf-8")
    os.utime(old, (1.0, 1.0))
    new.write_text(HEAD + LINES[1], encoding="utf-8")
    bench.watching.watch(folder)
    bench.has(1)
    assert bench.readings[0].instrument == "tuesday"


def test_that_another_batch_ends_the_watch(bench):
    bench.write(*LINES[:2])
    bench.watching.watch(bench.file)
    bench.has(2)
    bench.store.load(fermenting.planned())
    assert bench.watching.path is None
    assert bench.watching.text == ""
    bench.append(LINES[2])
    bench.watching.look()
    assert bench.readings == ()


def test_that_readings_the_log_has_already_are_not_taken_twice(bench):
    bench.write(*LINES[:2])
    bench.watching.watch(bench.file)
    bench.has(2)
    bench.watching.watch(bench.file)  # begun anew, as after a restart
    bench.settled()
    assert len(bench.readings) == 2


def test_that_a_file_too_large_is_refused_without_being_read(tmp_path, monkeypatch):
    file = tmp_path / "large.csv"
    with file.open("wb") as large:
        large.truncate(1_000_000_000)  # a gigabyte that takes no room on the disk
    monkeypatch.setattr("pathlib.Path.read_bytes", lambda _path: pytest.fail("it was read"))
    look = WatchWork().look(Watch(file))
    assert "larger than 200 MB" in look.trouble


@given(st.binary(max_size=80), st.binary(max_size=20).filter(lambda tail: b"\n" not in tail))
def test_that_whole_lines_end_with_a_line_feed_and_lose_only_the_last(data, tail):
    kept = whole_lines(data + b"\n" + tail)
    assert (data + b"\n").startswith(kept[: len(data) + 1])
    assert kept.rstrip(b"\x00").endswith(b"\n") or data.startswith(b"\xff\xfe")
    assert whole_lines(tail) == b""


def test_that_the_system_is_asked_now_and_then_even_if_it_says_nothing(bench):
    bench.watching.watch(bench.file)
    assert bench.watching._poll.isActive()
    assert bench.watching._poll.interval() == watched.POLL
    bench.watching.stop()
    assert not bench.watching._poll.isActive()
