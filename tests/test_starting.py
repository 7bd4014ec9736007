"""What a start says where the window's libraries or a screen are missing."""

from __future__ import annotations

import errno
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from planner.starting import DEBIAN, lacking

ROOT = Path(__file__).resolve().parent.parent

WITHOUT_QT = """
import runpy, sys
class Lacking:
    def find_spec(self, name, *_):
        if name.startswith("PySide6"):
            raise ImportError("libEGL.so.1: cannot open shared object file: No such file or directory")
sys.meta_path.insert(0, Lacking())
runpy.run_module("planner", run_name="__main__", alter_sys=True)
"""
"""The program on a system without a library of Qt's; the words are the loader's."""


def run(*command, **environment):
    kept = {key: value for key, value in os.environ.items() if key not in ("DISPLAY", "WAYLAND_DISPLAY")}
    return subprocess.run([sys.executable, *command], cwd=ROOT, env=kept | environment, capture_output=True, text=True,
                          check=False, timeout=100)  # fmt: skip


@pytest.mark.parametrize("wish", ["--version", "--help"])
def test_that_version_and_help_need_no_library_of_a_screen(wish):
    done = run("-c", WITHOUT_QT, wish)
    assert done.returncode == 0, done.stderr
    assert "planner" in done.stdout


def test_that_a_missing_library_is_told_with_the_line_that_installs_it():
    done = run("-c", WITHOUT_QT)
    assert done.returncode == 2
    assert done.stderr.startswith("The window needs libEGL.so.1, which this system lacks.")
    assert DEBIAN in done.stderr
    assert "Traceback" not in done.stderr


def test_that_another_fault_of_an_import_keeps_its_own_words():
    assert lacking(ImportError("cannot import name 'QLabel' from 'PySide6'")) is None


@pytest.mark.skipif(sys.platform != "linux", reason="other desktops always have a screen")
def test_that_without_a_screen_one_sentence_is_said_and_nothing_aborts():
    done = run("-m", "planner", QT_QPA_PLATFORM="xcb")
    assert done.returncode == 2
    # A machine that lacks the libraries of a screen is told so first.
    assert done.stderr.startswith(("There is no screen to open a window on.", "The window needs libx")), done.stderr
    assert "Qt" not in done.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="other desktops bring what a screen needs")
def test_that_a_library_which_only_the_screen_needs_is_named(monkeypatch):
    import ctypes

    from planner.ui.shell.screen import why

    def load(path):
        assert path.endswith("libqxcb.so")
        raise OSError("libxcb-shape.so.0: cannot open shared object file: No such file or directory")

    monkeypatch.setattr(ctypes, "CDLL", load)
    monkeypatch.setenv("QT_QPA_PLATFORM", "xcb")
    said = why(["From 6.5.0, xcb-cursor0 or libxcb-cursor0 is needed to load the Qt xcb platform plugin."])
    assert said.startswith("The window needs libxcb-shape.so.0,")


def test_that_a_screen_of_no_known_kind_is_told():
    done = run("-m", "planner", QT_QPA_PLATFORM="none-such")
    assert done.returncode == 2
    assert re.fullmatch(r"The window cannot be opened: .*none-such.*\n", done.stderr), done.stderr


def test_that_an_unknown_sample_is_answered_with_those_there_are():
    done = run("-m", "planner", "--sample", "durian")
    assert done.returncode == 2
    assert "there is no sample 'durian'; known are blackcurrant-half-way" in done.stderr


def test_that_the_readme_and_the_program_name_the_same_packages():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"<!-- on a bare Debian -->\n```sh\n{DEBIAN}\n```" in readme


START = """
import sys, tempfile
if sys.argv.pop(1) == "full":
    def nowhere():
        raise FileNotFoundError(2, "No usable temporary directory")
    tempfile._get_default_tempdir = nowhere
from planner.ui import asking
def tell(self, *said):
    print(*said, self._window.isVisible(), flush=True)
    self._window.close()
asking.AskWithDialogs.tell = tell
from planner.__main__ import main
sys.exit(main())
"""


@pytest.mark.skipif(sys.platform != "linux", reason="other systems keep these folders elsewhere")
@pytest.mark.parametrize("passing", ["writable", "full"])
def test_that_the_window_opens_where_nothing_can_be_kept_and_says_what_is_not(tmp_path, passing):
    home = tmp_path / "home"
    home.write_bytes(b"no folder")
    nowhere = {name: str(home) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    done = run("-c", START, passing, "--sample", "raspberry-finished", "--seconds", "90", QT_QPA_PLATFORM="offscreen",
               MPLCONFIGDIR=str(home), **nowhere)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert "Some things will not be kept when the program ends." in done.stdout
    assert "Copies of unsaved work: " in done.stdout
    assert "Preferences and ingredients of your own: " in done.stdout
    assert done.stdout.count(os.strerror(errno.ENOTDIR)) == 2
    assert done.stdout.endswith(" True\n")  # it was open
