"""The window as a screen reader has it, through the accessibility bus of Linux (AT-SPI) on a display of its own."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from planner.document.codec import decode

HERE = Path(__file__).parent
NEEDED = ("xvfb-run", "openbox", "dbus-run-session", "gdbus", "/usr/libexec/at-spi-bus-launcher", "/usr/bin/python3")


def can_read() -> bool:
    """Whether this machine has all of it: Debian's xvfb, openbox, dbus, libglib2.0-bin, at-spi2-core and python3-pyatspi."""
    return (
        all(map(shutil.which, NEEDED))
        and not subprocess.run(["/usr/bin/python3", "-c", "import pyatspi"], capture_output=True).returncode
    )


pytestmark = pytest.mark.skipif(not can_read(), reason="no accessibility bus here")


def session(tmp_path_factory, arguments, script, *its):
    """Run a script that reads a window which was opened with some arguments; what it printed."""
    home = tmp_path_factory.mktemp("home")
    home.chmod(0o700)
    done = subprocess.run(
        ["xvfb-run", "-a", "-s", "-screen 0 1440x900x24", "dbus-run-session", "--", str(HERE / "session.sh"),
         str(home), sys.executable, arguments, str(HERE / script), *its],
        capture_output=True, text=True, timeout=300, check=False, cwd=HERE.parent.parent,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def read(tmp_path_factory):
    """What was read, and done, through the bus."""
    return json.loads(session(tmp_path_factory, "--sample damson-stopped", "reader.py").splitlines()[-1])


def test_that_all_that_takes_the_focus_has_a_name(read):
    unnamed = [one for one in read["tree"] if one["focusable"] and one["showing"] and not one["name"]]
    named_by_content = {"table cell", "list item", "frame"}
    assert [one for one in unnamed if one["role"] not in named_by_content] == []


def test_that_nothing_is_read_out_as_markup(read):
    shown = [one for one in read["tree"] if one["showing"]]
    assert [one for one in shown if "<p>" in one["description"] or "<br>" in one["description"]] == []
    assert [one for one in shown if "<" in one["name"]] == []


def test_that_results_the_curve_the_stage_and_the_doubts_are_told(read):
    told = {one["name"]: one["description"] for one in read["tree"]}
    assert any(name.startswith("Alcohol: ") for name in told)
    assert any(one["name"] == "Fermentation curve" and "Expected to fall" in one["description"] for one in read["tree"])
    assert told["Stage of the batch"].startswith("Stalled")
    assert any(name.startswith("Doubts about this batch: ") for name in told)


def test_that_the_log_has_heads_and_names_of_rows(read):
    assert read["heads"][:3] == ["Day", "When", "Reading"]
    assert read["row"].startswith("Day 0")


def test_that_a_reading_is_typed_and_added_through_the_bus_alone(read):
    assert read["after"] == read["before"] + 1


def test_that_folds_are_read_as_what_opens_and_closes(read):
    folds = [
        one for one in read["tree"] if one["name"] in ("Targets", "House rules", "Other measurements", "Trial glasses")
    ]
    assert len(folds) >= 4
    assert {(one["role"], one["expandable"], one["expanded"]) for one in folds} == {("push button", True, False)}
    assert [one["expanded"] for one in read["opened"]] == [True]


def test_that_a_batch_is_made_logged_saved_and_printed_through_the_bus_alone(tmp_path_factory):
    place = tmp_path_factory.mktemp("kept")
    batch, printed = place / "quince.meadbatch", place / "quince.pdf"
    session(tmp_path_factory, "", "journey.py", str(batch), str(printed))
    kept = decode(batch.read_bytes())
    assert [(line.key, line.mass) for line in kept.recipe.fruits] == [("quince", 8.0)]
    assert len(kept.log.readings) == 1
    assert len(PdfReader(printed).pages) >= 2
