"""Saving replaces all of a file or nothing; reading says why it could not."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys

import msgspec
import numpy as np
import pytest

from planner.document import whole_file
from planner.document.batch import Log, SensorReading, new_batch
from planner.document.codec import decode, encode
from planner.document.columnar_log import Entries, Run
from planner.ui.files import FileError, read_whole, same_place, why_nothing_is_kept, write_whole


def test_that_bytes_come_back_as_they_were_written(tmp_path):
    path = tmp_path / "black currant ½.batch"
    data = bytes(range(256)) * 40
    write_whole(path, data)
    assert read_whole(path) == data
    write_whole(path, b"")
    assert read_whole(path) == b""


def test_that_writing_leaves_nothing_else_behind(tmp_path):
    write_whole(tmp_path / "a.batch", b"one")
    write_whole(tmp_path / "a.batch", b"two")
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.batch"]


@pytest.mark.skipif(sys.platform == "win32", reason="needs links and modes")
def test_that_a_link_stays_a_link_and_permissions_stay(tmp_path):
    path, link = tmp_path / "real.batch", tmp_path / "link.batch"
    path.write_bytes(b"old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(os.stat(path).st_mode) == 0o640


def test_that_a_write_that_fails_half_way_leaves_the_old_file(tmp_path):
    pytest.importorskip("resource", reason="file size limits are a Unix thing")
    path = tmp_path / "a.batch"
    path.write_bytes(b"old")
    code = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from planner.ui.files import FileError, write_whole\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))\n"
        "try: write_whole(Path(sys.argv[1]), bytes(1_000_000))\n"
        "except FileError as error: print(error)\n"
    )
    said = subprocess.run([sys.executable, "-c", code, str(path)], check=True, capture_output=True, text=True).stdout
    assert "was not saved and is as it was before" in said
    assert "Unknown error" not in said
    assert path.read_bytes() == b"old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.batch"]


@pytest.mark.parametrize(
    ("where", "said"),
    [("nowhere/a.batch", "There is no folder"), ("folder", "is a folder")],
)
def test_that_a_place_that_cannot_be_written_is_named(tmp_path, where, said):
    (tmp_path / "folder").mkdir()
    with pytest.raises(FileError, match=said) as caught:
        write_whole(tmp_path / where, b"data")
    assert str(tmp_path) in str(caught.value)


def test_that_a_folder_that_may_not_be_written_to_is_named(tmp_path):
    if sys.platform == "win32" or os.geteuid() == 0:
        pytest.skip("permissions do not bind this user")
    tmp_path.chmod(0o500)
    with pytest.raises(FileError, match="Save As"):
        write_whole(tmp_path / "a.batch", b"data")


def test_that_a_folder_with_room_is_made_and_nothing_stays_in_it(tmp_path):
    folder = tmp_path / "not" / "yet"
    assert why_nothing_is_kept(folder) == ""
    assert list(folder.iterdir()) == []


def test_that_a_folder_that_cannot_be_made_is_named_with_the_reason(tmp_path):
    (tmp_path / "home").write_bytes(b"no folder")
    said = why_nothing_is_kept(tmp_path / "home" / "settings")
    assert said == f"{tmp_path / 'home' / 'settings'} cannot be written: {os.strerror(errno.ENOTDIR)}."


def test_that_a_full_disk_is_named_and_no_empty_file_stays(tmp_path, monkeypatch):
    def write(path, _data):
        path.touch()
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(type(tmp_path), "write_bytes", write)
    assert why_nothing_is_kept(tmp_path) == f"{tmp_path} cannot be written: {os.strerror(errno.ENOSPC)}."
    assert list(tmp_path.iterdir()) == []


def test_that_a_missing_file_is_named(tmp_path):
    with pytest.raises(FileError, match=r"There is no file “a\.batch” in"):
        read_whole(tmp_path / "a.batch")


def test_that_a_folder_is_not_read(tmp_path):
    with pytest.raises(FileError, match="is a folder"):
        read_whole(tmp_path)


def test_that_a_file_that_may_not_be_read_is_named(tmp_path, monkeypatch):
    def refuse(*_arguments, **_options):
        raise PermissionError(13, "Permission denied")

    (tmp_path / "a.batch").touch()
    monkeypatch.setattr(type(tmp_path), "open", refuse)
    with pytest.raises(FileError, match="not permitted to read"):
        read_whole(tmp_path / "a.batch")


def test_that_other_trouble_is_told_in_the_words_of_the_system(tmp_path, monkeypatch):
    def fail(*_arguments, **_options):
        raise OSError(5, "Input/output error")

    (tmp_path / "a.batch").touch()
    monkeypatch.setattr(type(tmp_path), "open", fail)
    with pytest.raises(FileError, match="Input/output error"):
        read_whole(tmp_path / "a.batch")


def test_that_a_file_too_large_to_be_a_batch_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(whole_file, "LARGEST", 1024**2)
    path = tmp_path / "film.batch"
    path.write_bytes(bytes(1024**2))
    assert len(read_whole(path)) == 1024**2
    path.write_bytes(bytes(1024**2 + 1))
    with pytest.raises(FileError, match="larger than 1 MB"):
        read_whole(path)


def test_that_one_file_written_two_ways_is_the_same_place(tmp_path):
    (tmp_path / "folder").mkdir()
    path = tmp_path / "a.batch"
    assert same_place(path, tmp_path / "a.batch")
    assert not same_place(path, tmp_path / "b.batch")
    path.touch()
    assert same_place(path, tmp_path / "folder" / ".." / "a.batch")


def test_that_a_year_of_a_sensor_is_saved_and_opened_again(tmp_path):
    count = 100_000
    moments = (np.datetime64("2025-09-01T00:00:00") + np.arange(count) * np.timedelta64(300, "s")).astype("S19")
    columns = {
        "at": np.char.add(moments, b"+01:00"),
        "gravity": 1.1 - np.arange(count) / 1e6,
        "temperature": 290.0 + np.arange(count) % 7,
    }
    log = Log(readings=Entries(Run(SensorReading(gravity=1.0, instrument="grey"), columns)))
    batch = msgspec.structs.replace(new_batch(), log=log)
    data = encode(batch)
    assert len(data) < 20 * 1024**2
    write_whole(tmp_path / "a.batch", data)
    assert decode(read_whole(tmp_path / "a.batch")) == batch
    assert encode(msgspec.structs.replace(batch, log=Log(readings=tuple(log.entries)))) == data


def test_that_nothing_is_written_that_could_not_be_read_again(tmp_path, monkeypatch):
    monkeypatch.setattr(whole_file, "LARGEST", 1024**2)
    path = tmp_path / "a.batch"
    write_whole(path, bytes(1024**2))
    with pytest.raises(FileError, match="could not be opened again"):
        write_whole(path, bytes(1024**2 + 1))
    assert len(read_whole(path)) == 1024**2
