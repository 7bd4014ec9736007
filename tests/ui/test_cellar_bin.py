"""Files in the bin of the desktop, and back from it."""

from __future__ import annotations

import pytest

from planner.ui.cellar.bin import Bin
from planner.ui.files import FileError


@pytest.fixture
def file(tmp_path, monkeypatch):
    (tmp_path / "data").mkdir()
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))  # so that no test fills the bin of a person
    path = tmp_path / "a.meadbatch"
    path.write_bytes(b"one")
    return path


def test_that_what_was_moved_to_the_bin_comes_back_whole_the_last_one_first(file, tmp_path):
    other = tmp_path / "b.meadbatch"
    other.write_bytes(b"two")
    bin_ = Bin()
    for path in (file, other):
        bin_.move(path)
        assert not path.exists()
    assert bin_.last == other
    assert [bin_.take_back(), bin_.take_back()] == [other, file]
    assert (file.read_bytes(), other.read_bytes()) == (b"one", b"two")
    assert bin_.last is None


def test_that_what_took_its_place_meanwhile_is_not_replaced(file):
    bin_ = Bin()
    bin_.move(file)
    file.write_bytes(b"new")
    back = bin_.take_back()
    assert back != file
    assert (file.read_bytes(), back.read_bytes()) == (b"new", b"one")


def test_that_what_cannot_be_put_back_can_be_tried_again(file, tmp_path):
    folder = tmp_path / "folder"
    folder.mkdir()
    path = file.rename(folder / file.name)
    bin_ = Bin()
    bin_.move(path)
    folder.rmdir()
    with pytest.raises(FileError, match="no folder"):
        bin_.take_back()
    folder.mkdir()
    assert bin_.take_back().read_bytes() == b"one"


def test_that_a_file_which_is_not_there_cannot_be_moved(tmp_path):
    bin_ = Bin()
    with pytest.raises(FileError, match="no file"):
        bin_.move(tmp_path / "none")
    assert bin_.last is None
