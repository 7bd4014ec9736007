"""Papers as a command: files, what stands in their way, and a machine without a screen."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from planner.reference.shipped import samples
from planner.report import main

ROOT = Path(__file__).resolve().parents[2]
FULL = Path("/dev/full")


def test_that_a_machine_without_a_screen_writes_both(tmp_path):
    bare = {
        key: value for key, value in os.environ.items() if key not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    }
    done = subprocess.run(
        [sys.executable, "-m", "planner.report", "damson-stopped", "raspberry-finished", "--units", "us",
         "--html", str(tmp_path / "a.html"), "--pdf", str(tmp_path / "a.pdf"), "--paper", "letter"],
        cwd=ROOT, check=False, timeout=200, env=bare, capture_output=True,
    )  # fmt: skip
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    first = pypdf.PdfReader(tmp_path / "a.pdf").pages[0]
    assert float(first.mediabox.width) == pytest.approx(612.0)
    assert "lb" in first.extract_text()
    assert "US gal" in (tmp_path / "a.html").read_text(encoding="utf-8")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.html", "a.pdf"]


def test_that_what_cannot_be_read_is_told_and_the_others_are_printed(tmp_path, capsys):
    (tmp_path / "broken.meadbatch").write_text("{", encoding="utf-8")
    shutil.copy(samples() / "damson-stopped.meadbatch", tmp_path)
    assert main([str(tmp_path), "--html", str(tmp_path / "a.html")]) == 1
    (line,) = capsys.readouterr().err.splitlines()
    assert "broken.meadbatch" in line
    assert "Lane Damson" in (tmp_path / "a.html").read_text(encoding="utf-8")


def test_that_nothing_is_written_where_nothing_could_be_read(tmp_path, capsys):
    assert main([str(tmp_path / "nowhere.meadbatch"), "--html", str(tmp_path / "a.html")]) == 2
    assert "nowhere" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(not FULL.exists(), reason="this system has no device that is always full")
def test_that_a_full_disk_is_told_in_one_sentence(capsys):
    assert main(["damson-stopped", "--html", str(FULL)]) == 2
    assert capsys.readouterr().err == "/dev/full could not be written: No space left on device.\n"


def test_that_a_missing_folder_is_told_and_leaves_nothing(tmp_path, capsys):
    assert main(["damson-stopped", "--html", str(tmp_path / "no" / "a.html")]) == 2
    assert "could not be written: No such file or directory." in capsys.readouterr().err


def test_that_a_paper_never_replaces_a_batch(tmp_path, capsys):
    batch = tmp_path / "mine.meadbatch"
    shutil.copy(samples() / "damson-stopped.meadbatch", batch)
    before = batch.read_bytes()
    with pytest.raises(SystemExit) as end:
        main(["--pdf", str(batch), str(batch)])
    assert end.value.code == 2
    assert "has the name of a batch" in capsys.readouterr().err
    assert batch.read_bytes() == before


def test_that_papers_and_prints_are_not_asked_for_together(capsys):
    with pytest.raises(SystemExit) as end:
        main(["damson-stopped", "--json", "--html", "a.html"])
    assert end.value.code == 2
    assert "without --html and --pdf" in capsys.readouterr().err


@pytest.mark.skipif(os.name != "posix", reason="links ask for a permission there")
def test_that_a_link_stays_a_link_and_no_file_is_left_beside_it(tmp_path):
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "real.html").write_text("old", encoding="utf-8")
    (tmp_path / "link.html").symlink_to(tmp_path / "there" / "real.html")
    assert main(["damson-stopped", "--html", str(tmp_path / "link.html")]) == 0
    assert (tmp_path / "link.html").is_symlink()
    assert "<!DOCTYPE html>" in (tmp_path / "there" / "real.html").read_text(encoding="utf-8")
    assert [path.name for path in (tmp_path / "there").iterdir()] == ["real.html"]


@pytest.mark.skipif(os.name != "posix", reason="that system has no such device")
def test_that_a_paper_goes_into_a_pipe(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "planner.report", "damson-stopped", "--pdf", "/dev/stdout"],
        cwd=ROOT, check=False, timeout=200, capture_output=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(b"%PDF")
