"""Full disks, places that may only be read, two programs on one file, and files of every schema."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import msgspec
import pytest

from planner.document import edits
from planner.document.batch import new_batch
from planner.document.codec import SCHEMA, BatchFileError, decode, encode, encode_quickly
from planner.evaluation.outcome import evaluate
from planner.library import save_batch
from planner.reference.catalogue import catalogue
from planner.ui.asking import Clash
from planner.ui.files import FileError, why_nothing_is_kept, write_whole
from planner.ui.settings import Settings
from planner.ui.shell.recovery import Recovery
from tests.helpers import ScriptedAsk

DATA = Path(__file__).resolve().parents[1] / "data"
SMALL_KB = 256


def mounted(folder: Path, options: str) -> bool:
    """Lay a small file system of its own over a folder; False where this user or machine may not."""
    if sys.platform != "linux" or os.geteuid() != 0 or shutil.which("mount") is None:
        return False
    command = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


@pytest.fixture
def disk(tmp_path):
    """A real disk with room for a quarter of a megabyte."""
    folder = tmp_path / "disk"
    folder.mkdir()
    if not mounted(folder, f"size={SMALL_KB}k"):
        pytest.skip("no small disk can be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def fill(folder: Path) -> None:
    """Leave no room at all."""
    with (folder / "filler").open("wb", buffering=0) as file:
        try:
            while file.write(bytes(4096)):
                pass
        except OSError:
            return


def test_that_a_full_disk_costs_neither_the_file_nor_the_work(disk, qapp, figures):
    path, batch = disk / "a.meadbatch", edits.describe(new_batch(), notes="x" * 3000)
    write_whole(path, encode(batch))
    before = path.read_bytes()
    fill(disk)
    with pytest.raises(FileError, match=r"was not saved and is as it was before|cannot be written"):
        write_whole(path, encode(edits.describe(batch, notes="y" * 19_000)))
    assert path.read_bytes() == before
    with pytest.raises(OSError, match="No space left"):
        save_batch(edits.describe(batch, notes="y" * 19_000), disk / "b.meadbatch")
    assert sorted(entry.name for entry in disk.iterdir()) == ["a.meadbatch", "filler"]
    assert "cannot be written" in why_nothing_is_kept(disk / "copies")
    figures("full disk", {"kb": SMALL_KB, "files_damaged": 0})


def test_that_a_copy_on_a_full_disk_is_told_and_made_as_soon_as_there_is_room(disk, qapp):
    recovery, said = Recovery(disk / "copies", encode_quickly, decode, delay_ms=100_000), []
    recovery.failed.connect(said.append)
    recovery.remember(new_batch())
    recovery.write_now()
    recovery.finish()
    (copy,) = (disk / "copies").glob("*.copy")
    before = copy.read_bytes()
    fill(disk)
    recovery.remember(edits.describe(new_batch(), notes="y" * 19_000))
    recovery.write_now()
    recovery.finish()
    qapp.processEvents()  # it is told by another thread
    assert len(said) == 1
    assert "could not be copied for safety" in said[0]
    assert copy.read_bytes() == before
    (disk / "filler").unlink()
    recovery.remember(edits.describe(new_batch(), notes="z"))
    recovery.write_now()
    recovery.finish()
    assert len(said) == 1
    assert b'"z"' in copy.read_bytes()
    recovery.close()


def test_that_a_disk_that_may_only_be_read_is_told(disk):
    path = disk / "a.meadbatch"
    path.write_bytes(encode(new_batch()))
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    with pytest.raises(FileError, match="cannot be written"):
        write_whole(path, b"data")
    assert decode(path.read_bytes()) == new_batch()
    assert "Read-only file system" in why_nothing_is_kept(disk / "copies")


def test_that_a_folder_of_another_user_is_told(request):
    if sys.platform == "win32" or os.geteuid() != 0:
        pytest.skip("only the superuser can become another")
    folder = Path(tempfile.mkdtemp(prefix="others-"))  # those of the tests are closed to others
    request.addfinalizer(lambda: shutil.rmtree(folder))
    folder.chmod(0o755)
    path = folder / "a.meadbatch"
    path.write_bytes(encode(new_batch()))
    code = (
        "import os, sys; from pathlib import Path\n"
        "from planner.ui.files import FileError, why_nothing_is_kept, write_whole\n"
        "import PySide6.QtCore\n"
        "path = Path(sys.argv[1]); os.setgid(65534); os.setuid(65534)\n"
        "print(why_nothing_is_kept(path.parent / 'copies'))\n"
        "try: write_whole(path, b'data')\n"
        "except FileError as error: print(error)\n"
    )
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], cwd=root, capture_output=True, text=True, check=False
    )
    if done.returncode:
        pytest.skip("another user cannot run this Python")
    said = done.stdout.splitlines()
    assert "Permission denied" in said[0]
    assert "cannot be written" in said[1]
    assert decode(path.read_bytes()) == new_batch()


def test_that_two_windows_on_one_file_lose_nothing_of_each_other(tmp_path, qapp):
    from PySide6.QtCore import QLocale, QSettings

    from planner.app import build

    path = tmp_path / "shared.meadbatch"
    path.write_bytes(encode(new_batch()))
    windows = []
    for number in range(2):
        store = QSettings(str(tmp_path / f"{number}.ini"), QSettings.Format.IniFormat)
        answers = () if number == 0 else (Clash.KEEP_BOTH, tmp_path / "mine.meadbatch")
        window = build(Settings(store, QLocale("en_GB")), tmp_path / "copies", ScriptedAsk(*answers), delay_ms=0)
        window.documents.load(path)
        windows.append(window)
    first, second = windows
    first.store.edit(edits.describe(first.store.batch, notes="first"), "notes")
    second.store.edit(edits.describe(second.store.batch, notes="second"), "notes")
    assert first.documents.save()
    assert second.documents.save()  # asked, and both are kept
    assert decode(path.read_bytes()).notes == "first"
    assert decode((tmp_path / "mine.meadbatch").read_bytes()).notes == "second"
    for window in windows:
        window.close()
        window.deleteLater()


@pytest.mark.parametrize("schema", range(1, SCHEMA + 1))
def test_that_a_file_of_each_schema_ever_shipped_opens_for_ever(schema):
    data = (DATA / f"schema-{schema}.meadbatch").read_bytes()
    assert json.loads(data)["schema"] == schema
    batch = decode(data)
    assert decode(encode(batch)) == batch
    assert evaluate(batch, catalogue(), 0).headline.stage


def test_that_a_newer_file_is_refused_and_stays_untouched(tmp_path):
    newer = json.loads((DATA / f"schema-{SCHEMA}.meadbatch").read_bytes()) | {"schema": SCHEMA + 1}
    path = tmp_path / "newer.meadbatch"
    path.write_bytes(msgspec.json.encode(newer))
    before = path.read_bytes(), path.stat().st_mtime_ns
    with pytest.raises(BatchFileError, match="newer version of this program"):
        decode(before[0])
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
