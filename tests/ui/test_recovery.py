"""Unsaved work survives a crash, and nothing else is ever offered."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import datetime, timedelta

import pytest
from PySide6.QtCore import QLockFile

from planner.ui.files import FileError
from planner.ui.shell.recovery import Recovery


def encode(batch):
    return json.dumps(batch).encode()


@pytest.fixture
def open_recovery(qapp, tmp_path):
    opened = []

    def make(delay_ms=0, **codec):
        opened.append(Recovery(tmp_path / "copies", codec.get("encode", encode), json.loads, delay_ms))
        return opened[-1]

    yield make
    for recovery in opened:
        recovery.close()


def copies(tmp_path):
    return sorted(entry.name for entry in (tmp_path / "copies").glob("*.copy"))


def crash(folder, batch, origin=None):
    """Another program that writes its copy and dies."""
    code = (
        "import json, os, sys; from pathlib import Path; from PySide6.QtCore import QCoreApplication\n"
        "from planner.ui.shell.recovery import Recovery\n"
        "app = QCoreApplication([])\n"
        "folder, batch, origin = json.loads(sys.argv[1])\n"
        "r = Recovery(Path(folder), lambda b: json.dumps(b).encode(), json.loads)\n"
        "r.remember(batch, Path(origin) if origin else None); r.write_now(); r.finish(); os._exit(9)\n"
    )
    told = json.dumps([str(folder), batch, None if origin is None else str(origin)])
    assert subprocess.run([sys.executable, "-c", code, told], check=False).returncode == 9


def test_that_a_copy_is_written_after_a_while_without_being_asked(open_recovery, qtbot, tmp_path):
    recovery = open_recovery()
    recovery.remember({"honey": 6.2})
    recovery.remember({"honey": 6.4})
    assert copies(tmp_path) == []
    qtbot.waitUntil(lambda: copies(tmp_path) == ["unsaved-1.copy"])
    assert b"6.4" in (tmp_path / "copies" / "unsaved-1.copy").read_bytes()


def test_that_without_a_folder_it_says_so_and_copies_as_soon_as_there_is_one(open_recovery, tmp_path):
    (tmp_path / "copies").write_bytes(b"in the way")
    recovery, said = open_recovery(delay_ms=100_000), []
    recovery.failed.connect(said.append)
    assert "copies cannot be written" in recovery.problem
    assert recovery.leftovers() == []
    recovery.remember({"honey": 6.2})
    recovery.write_now()
    recovery.finish()
    assert said == [f"Unsaved work could not be copied for safety: {recovery.problem}"]
    recovery.forget()
    (tmp_path / "copies").unlink()
    recovery.remember({"honey": 6.4})
    recovery.write_now()
    recovery.finish()
    assert recovery.problem == ""
    assert copies(tmp_path) == ["unsaved-1.copy"]
    assert len(said) == 1


def test_that_copies_are_offered_where_no_lock_can_be_written(open_recovery, tmp_path, monkeypatch):
    crash(tmp_path / "copies", {"honey": 6.2})
    recovery = open_recovery()
    monkeypatch.setattr(QLockFile, "tryLock", lambda *_: False)
    monkeypatch.setattr(QLockFile, "error", lambda _: QLockFile.LockError.UnknownError)
    (leftover,) = recovery.leftovers()
    assert recovery.restore(leftover) == {"honey": 6.2}
    recovery.adopt(leftover)
    recovery.remember({"honey": 6.4})
    recovery.write_now()
    recovery.finish()
    assert b"6.4" in leftover.file.read_bytes()


def test_that_what_cannot_be_taken_away_stays_without_a_fault(open_recovery, tmp_path, monkeypatch):
    crash(tmp_path / "copies", {"honey": 6.2})
    recovery = open_recovery()
    (leftover,) = recovery.leftovers()

    def refuse(*_arguments, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(tmp_path), "unlink", refuse)
    monkeypatch.setattr(type(tmp_path), "replace", refuse)
    assert recovery.set_aside(leftover) == leftover.file
    recovery.discard(leftover)
    assert leftover.file.exists()


def test_that_a_save_removes_the_copy_and_the_one_that_was_due(open_recovery, tmp_path):
    recovery = open_recovery(delay_ms=100_000)
    recovery.remember({"honey": 6.2})
    recovery.write_now()
    recovery.finish()
    recovery.remember({"honey": 6.4})
    recovery.forget()
    recovery.write_now()
    recovery.finish()
    assert copies(tmp_path) == []


def test_that_a_proper_end_leaves_nothing_behind(open_recovery, tmp_path):
    recovery = open_recovery()
    recovery.remember({"honey": 6.2})
    recovery.write_now()
    recovery.finish()
    recovery.close()
    assert list((tmp_path / "copies").iterdir()) == []


def test_that_the_copy_of_a_crashed_program_is_offered_and_restored(open_recovery, tmp_path):
    origin = tmp_path / "süß.batch"
    crash(tmp_path / "copies", {"honey": 6.2}, origin)
    recovery = open_recovery()
    (leftover,) = recovery.leftovers()
    assert leftover.origin == origin
    assert abs(leftover.when - datetime.now()) < timedelta(minutes=5)
    assert recovery.restore(leftover) == {"honey": 6.2}
    recovery.remember({"honey": 7.0})
    recovery.write_now()
    recovery.finish()
    assert recovery.restore(leftover) == {"honey": 6.2}  # the own copy has another slot
    recovery.discard(leftover)
    assert recovery.leftovers() == []
    assert copies(tmp_path) == ["unsaved-2.copy"]


def test_that_a_restored_copy_that_is_adopted_stays_until_it_is_forgotten(open_recovery, tmp_path):
    crash(tmp_path / "copies", {"honey": 6.2})
    recovery, other = open_recovery(), open_recovery()
    (leftover,) = recovery.leftovers()
    recovery.adopt(leftover)
    assert copies(tmp_path) == ["unsaved-1.copy"]
    assert recovery.leftovers() == other.leftovers() == []
    recovery.remember({"honey": 7.0})
    recovery.write_now()
    recovery.finish()
    assert copies(tmp_path) == ["unsaved-1.copy"]
    assert recovery.restore(leftover) == {"honey": 7.0}
    recovery.forget()
    assert copies(tmp_path) == []


def test_that_what_was_known_of_the_file_is_kept_with_the_copy(open_recovery, tmp_path):
    first = open_recovery()
    first.remember({"honey": 6.2}, tmp_path / "a.batch", "abc")
    first.write_now()
    first.finish()
    first._lock.unlock()
    assert [leftover.known for leftover in open_recovery().leftovers()] == ["abc"]


def test_that_a_batch_never_saved_has_no_origin(open_recovery, tmp_path):
    crash(tmp_path / "copies", {"honey": 6.2})
    assert open_recovery().leftovers()[0].origin is None


def test_that_several_copies_come_newest_first(open_recovery, tmp_path):
    for honey in (1, 2):
        crash(tmp_path / "copies", {"honey": honey})
    os.utime(tmp_path / "copies" / "unsaved-2.copy", (1e9, 1e9))
    recovery = open_recovery()
    assert [recovery.restore(leftover) for leftover in recovery.leftovers()] == [{"honey": 1}, {"honey": 2}]


def test_that_the_copy_of_a_running_program_is_not_offered(open_recovery):
    first, second = open_recovery(), open_recovery()
    first.remember({"honey": 6.2})
    first.write_now()
    first.finish()
    assert second.leftovers() == []
    assert first.leftovers() == []


def test_that_a_leftover_is_offered_to_one_program_only(open_recovery, tmp_path):
    crash(tmp_path / "copies", {"honey": 6.2})
    first, second = open_recovery(), open_recovery()
    assert len(first.leftovers()) == 1
    assert len(first.leftovers()) == 1
    assert second.leftovers() == []
    first.close()
    assert len(second.leftovers()) == 1


def test_that_a_copy_not_restored_is_offered_again_at_the_next_start(open_recovery, tmp_path):
    crash(tmp_path / "copies", {"honey": 6.2})
    first = open_recovery()
    assert len(first.leftovers()) == 1
    first.close()
    assert len(open_recovery().leftovers()) == 1


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"[]\n{", b'{"origin": 5}\n{'], ids=repr)
def test_that_a_damaged_copy_is_offered_and_says_that_it_is_damaged(open_recovery, tmp_path, content):
    (tmp_path / "copies").mkdir()
    (tmp_path / "copies" / "unsaved-1.copy").write_bytes(content)
    recovery = open_recovery()
    (leftover,) = recovery.leftovers()
    assert leftover.origin is None
    with pytest.raises(ValueError):
        recovery.restore(leftover)


def test_that_a_copy_that_is_gone_says_so(open_recovery, tmp_path):
    crash(tmp_path / "copies", {"honey": 6.2})
    recovery = open_recovery()
    (leftover,) = recovery.leftovers()
    leftover.file.unlink()
    with pytest.raises(FileError):
        recovery.restore(leftover)
    recovery.discard(leftover)


def test_that_a_copy_that_cannot_be_written_is_told_and_work_goes_on(open_recovery, qapp, tmp_path):
    def refuse(_batch):
        raise ValueError("not a batch")

    told = []
    recovery = open_recovery(encode=refuse)
    recovery.failed.connect(told.append)
    recovery.remember({"honey": 6.2})
    recovery.write_now()
    recovery.finish()
    qapp.processEvents()  # it is told by another thread
    assert len(told) == 1
    assert "not a batch" in told[0]
    assert copies(tmp_path) == []
