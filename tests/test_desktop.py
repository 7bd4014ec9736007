"""At home on a desktop: the files that say so are whole, and come and go by one command."""

from __future__ import annotations

import configparser
import runpy
import shutil
import subprocess
import sys
from xml.etree import ElementTree

import pytest

from planner import desktop
from planner.document.codec import SUFFIX
from planner.reference.shipped import resources

ICONS = resources() / "icons"
MADE = runpy.run_path(str(ICONS / "make.py"))["texts"]()


@pytest.mark.parametrize("place", sorted(MADE))
def test_that_each_icon_is_what_its_script_writes(place):
    assert (ICONS / place).read_text(encoding="utf-8") == MADE[place]
    ElementTree.fromstring(MADE[place])


def test_that_there_are_twelve_drawings_for_light_and_for_dark():
    names = [{path.name for path in folder.glob("*.svg")} - {"program.svg"} for folder in (ICONS, ICONS / "dark")]
    assert names[0] == names[1]
    assert len(names[0]) == 12


def test_that_installing_writes_everything_and_removing_takes_it_back(tmp_path):
    written = desktop.install(tmp_path)
    assert all(path.stat().st_size > 0 for path in written)
    assert {path.name for path in written} >= {f"{desktop.ID}.desktop", f"{desktop.ID}.svg", f"{desktop.ID}.xml"}
    assert desktop.remove(tmp_path) == written
    assert not any(path.exists() for path in written)
    assert desktop.remove(tmp_path) == []


def test_that_the_entry_starts_this_very_program_with_a_file(tmp_path):
    desktop.install(tmp_path)
    entry = configparser.RawConfigParser()
    entry.optionxform = str
    entry.read(tmp_path / "applications" / f"{desktop.ID}.desktop", encoding="utf-8")
    assert entry["Desktop Entry"]["Exec"] == f'"{sys.executable}" -m planner %f'
    assert entry["Desktop Entry"]["StartupWMClass"] == desktop.ID


@pytest.mark.parametrize(
    ("program", "quoted"),
    [("/usr/bin/python3", '"/usr/bin/python3"'), ("/a b/$x/5%", '"/a b/\\$x/5%%"')],
)
def test_that_any_place_of_the_program_is_written_as_the_desktop_reads_it(program, quoted):
    # Desktop Entry Specification 1.5, "The Exec key": quote the argument; escape ", `, $ and \; % is doubled.
    assert desktop._quoted(program) == quoted


def test_that_the_kind_of_file_and_what_opens_it_are_one():
    kind = ElementTree.parse(resources() / "desktop" / f"{desktop.ID}.xml").getroot()[0]
    space = "{http://www.freedesktop.org/standards/shared-mime-info}"
    assert kind.find(f"{space}glob").get("pattern") == f"*{SUFFIX}"
    entry = (resources() / "desktop" / f"{desktop.ID}.desktop").read_text(encoding="utf-8")
    assert f"MimeType={kind.get('type')};" in entry
    told = ElementTree.parse(resources() / "desktop" / f"{desktop.ID}.metainfo.xml")
    assert told.find("id").text == desktop.ID
    assert told.find("launchable").text == f"{desktop.ID}.desktop"
    assert told.find("provides/mediatype").text == kind.get("type")


@pytest.mark.skipif(not shutil.which("desktop-file-validate"), reason="a tool of desktops; .ci/run installs it")
def test_that_the_installed_entry_is_valid(tmp_path):
    desktop.install(tmp_path)
    entry = tmp_path / "applications" / f"{desktop.ID}.desktop"
    assert subprocess.run(["desktop-file-validate", str(entry)], capture_output=True, text=True).stdout == ""


def test_that_one_command_installs_and_removes(tmp_path):
    home = {"XDG_DATA_HOME": str(tmp_path), "PATH": "/usr/bin:/bin", "PYTHONPATH": str(resources().parent)}
    for flag, there in (("--install-desktop", True), ("--remove-desktop", False)):
        done = subprocess.run([sys.executable, "-m", "planner", flag], env=home, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        assert (tmp_path / "applications" / f"{desktop.ID}.desktop").exists() is there
