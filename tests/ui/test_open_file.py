"""The file of the open batch is watched: what changes it behind the program's back is told."""

from __future__ import annotations

import os

import pytest

from planner.ui.files import write_whole
from planner.ui.shell.open_file import OpenFile, State, fingerprint


@pytest.fixture
def file(qtbot, tmp_path):
    path = tmp_path / "a.batch"
    path.write_bytes(b"one")
    file = OpenFile()
    file.take(path, fingerprint(b"one"))
    yield file
    file.take(None)


def test_that_a_file_as_it_was_read_is_the_same(file):
    assert file.state is State.SAME
    assert file.look() is State.SAME


def in_place(path, content):
    path.write_bytes(content)


@pytest.mark.parametrize("write", [in_place, write_whole])
def test_that_changes_from_outside_are_noticed_without_being_asked_for(file, qtbot, write):
    for content, state in ((b"two", State.CHANGED), (b"one", State.SAME), (b"three", State.CHANGED)):
        with qtbot.waitSignal(file.moved, timeout=10_000):
            write(file.path, content)
        assert file.state is state


def test_that_a_file_written_anew_with_the_same_content_is_the_same(file):
    write_whole(file.path, b"one")
    assert file.look() is State.SAME


def test_that_a_change_of_the_same_length_and_time_of_a_file_put_in_its_place_is_seen(file, tmp_path):
    when = os.stat(file.path)
    other = tmp_path / "other"
    other.write_bytes(b"two")
    os.utime(other, ns=(when.st_atime_ns, when.st_mtime_ns))
    other.replace(file.path)
    assert file.look() is State.CHANGED


def test_that_a_file_that_is_gone_is_told_and_one_that_comes_back_too(file, qtbot):
    with qtbot.waitSignal(file.moved, timeout=10_000):
        file.path.unlink()
    assert file.state is State.GONE
    with qtbot.waitSignal(file.moved, timeout=10_000):
        file.path.write_bytes(b"one")
    assert file.state is State.SAME


def test_that_a_batch_without_a_file_has_nothing_to_tell(qtbot, tmp_path):
    file = OpenFile()
    assert file.look() is State.SAME
    file.take(tmp_path / "nowhere" / "a.batch", "")
    assert file.state is State.GONE
    file.take(None)
    assert file.state is State.SAME
