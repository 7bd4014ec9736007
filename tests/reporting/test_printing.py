"""The report as a command: what reaches a console, a pipe and a full disk."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FULL = Path("/dev/full")


def report(*arguments, encoding="utf-8", stdout=subprocess.PIPE):
    return subprocess.run(
        [sys.executable, "-m", "planner.report", "damson-stopped", *arguments], cwd=ROOT, check=False, timeout=100,
        env=os.environ | {"PYTHONIOENCODING": encoding}, stdout=stdout, stderr=subprocess.PIPE,
    )  # fmt: skip


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-16"])
def test_that_json_is_utf_8_on_any_console(encoding):
    done = report("--json", encoding=encoding)
    assert done.returncode == 0, done.stderr
    assert done.stdout == report("--json").stdout
    assert json.loads(done.stdout.decode("utf-8"))["name"]


def test_that_text_on_a_poorer_console_lacks_only_the_signs_that_it_has_not():
    done = report(encoding="ascii")
    assert done.returncode == 0, done.stderr
    whole = report().stdout.decode("utf-8")
    assert done.stdout.decode("ascii") == whole.encode("ascii", "replace").decode("ascii")
    assert "°" in whole  # so that there was something to replace


@pytest.mark.skipif(not FULL.exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize("form", ["--json", "--text"])
def test_that_a_full_disk_is_told_in_one_sentence(form):
    with FULL.open("wb") as full:
        done = report(form, stdout=full)
    assert done.returncode == 2
    assert done.stderr.decode() == "The report could not be written: No space left on device.\n"


@pytest.mark.skipif(os.name != "posix", reason="pipes end otherwise there")
def test_that_a_reader_who_has_read_enough_ends_it_quietly():
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as closed:
        done = report("--json", stdout=closed)
    assert done.returncode == 0
    assert done.stderr == b""
