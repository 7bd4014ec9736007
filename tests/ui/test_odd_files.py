"""Names that are no text or too long, pipes, devices: one clear message, nothing waited for, and the original stays."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from planner.cellar.folder import read as read_for_cellar
from planner.document.batch import new_batch
from planner.document.codec import BatchFileError, encode
from planner.importing.table import ImportRefused
from planner.library import open_batch
from planner.ui.files import FileError, free_name, is_there, read_whole, same_place, write_whole
from planner.ui.importing.work import read_file

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="names are text there, and pipes are elsewhere")
LONG = "a" * 300 + ".meadbatch"


@pytest.fixture
def pipe(tmp_path):
    path = tmp_path / "pipe.meadbatch"
    os.mkfifo(path)
    return path


@pytest.mark.parametrize("read", [read_whole, read_for_cellar, open_batch, read_file])
def test_that_a_pipe_is_never_waited_for(pipe, read):
    with pytest.raises((FileError, BatchFileError, ImportRefused), match="is a pipe or a device, not a file"):
        read(pipe)


def test_that_a_device_is_neither_read_nor_replaced(pipe):
    with pytest.raises(FileError, match="is a pipe or a device"):
        read_whole(Path(os.devnull))
    for place in (Path(os.devnull), pipe):
        with pytest.raises(FileError, match=r"is a pipe or a device, not a file\. Choose a file name"):
            write_whole(place, b"data")
    assert not Path(os.devnull).is_file()
    assert pipe.is_fifo()


@pytest.mark.parametrize("read", [read_whole, read_for_cellar, open_batch, read_file])
def test_that_a_name_too_long_is_one_clear_message(tmp_path, read):
    with pytest.raises((FileError, BatchFileError, ImportRefused), match=r"File name too long|There is no file"):
        read(tmp_path / LONG)


def test_that_nothing_is_written_under_a_name_too_long(tmp_path):
    with pytest.raises(FileError, match=r"cannot be written: File name too long\. Choose another place"):
        write_whole(tmp_path / LONG, b"data")
    assert list(tmp_path.iterdir()) == []
    assert not is_there(tmp_path / LONG)
    assert free_name(tmp_path / LONG) == tmp_path / LONG
    assert not same_place(tmp_path / LONG, tmp_path / "a")
    assert same_place(tmp_path / LONG, tmp_path / LONG)


def test_that_a_name_that_is_not_utf_8_is_never_written_as_another(tmp_path):
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/h\xf6ney.meadbatch"))
    odd.write_bytes(encode(new_batch()))
    assert open_batch(odd) == new_batch()
    with pytest.raises(
        FileError, match=r"The name “h�ney\.meadbatch” is not in UTF-8. Give the file another name first"
    ):
        write_whole(odd, b"data")
    assert [os.fsencode(entry.name) for entry in tmp_path.iterdir()] == [b"h\xf6ney.meadbatch"]
    assert open_batch(odd) == new_batch()
