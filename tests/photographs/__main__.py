"""`python -m tests.photographs FOLDER [--whole]`: photographs every pane, fold, dialog and menu, and finds what is cut.

Each screen is a display of its own with a window manager (Debian's xvfb and openbox); letters, scale and theme are those
of a corner of the matrix; without `--whole` a few corners. What is cut, lies over something else, scrolls sideways or
stands beyond its screen is printed; the command then ends with 1. Looking at the pictures is up to a person.
"""

from __future__ import annotations

import argparse
import itertools
import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

SIZES = ((1024, 700), (1280, 720), (1440, 900), (1920, 1080), (2560, 1440), (3840, 2160))
"""Of screens. [px]"""
LETTERS, SCALES, THEMES = (9, 11, 14, 20), (1.0, 1.5, 2.0), ("light", "dark")
FIGURE = 0.86
"""Width of a figure of a wide usual font beside its size. [-]"""
LEAST = 58
"""Figures beside one another from which a screen is one to work on; its letters would be chosen smaller. [-]"""


LINE, LEAST_LINES = 1.57, 28
"""Height of a line of such letters beside their size [-], and lines from which a screen is one to work on."""


class Corner(NamedTuple):
    """One place in the matrix: a screen [px], letters [pt], scale and theme."""

    width: int
    height: int
    letters: int
    scale: float
    theme: str

    @property
    def figures(self) -> float:
        """How many figures stand beside one another on the screen."""
        return self.width / (self.scale * self.letters * FIGURE)

    @property
    def lines(self) -> float:
        """How many lines stand below one another on the screen."""
        return self.height / (self.scale * self.letters * LINE)

    def __str__(self) -> str:
        return f"{self.width}x{self.height}-{self.letters}pt-{self.scale:g}x-{self.theme}"


CORNERS = (
    Corner(1280, 800, 10, 1.0, "light"), Corner(1280, 800, 10, 1.0, "dark"), Corner(1024, 700, 9, 1.0, "light"),
    Corner(1280, 720, 14, 1.0, "dark"), Corner(1920, 1080, 20, 1.0, "light"), Corner(2560, 1440, 10, 2.0, "dark"),
    Corner(2560, 1440, 10, 2.0, "light"), Corner(3840, 2160, 20, 2.0, "dark"),
)  # fmt: skip
"""Those that are photographed where not the whole matrix is asked for."""


def matrix() -> list[Corner]:
    """All corners on which somebody would work."""
    every = itertools.starmap(
        lambda size, *rest: Corner(*size, *rest), itertools.product(SIZES, LETTERS, SCALES, THEMES)
    )
    return [corner for corner in every if corner.figures >= LEAST and corner.lines >= LEAST_LINES]


def main() -> int:
    """Photograph all of it; returns 1 where something is wrong."""
    parser = argparse.ArgumentParser(prog="tests.photographs")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--whole", action="store_true", help="the whole matrix")
    parser.add_argument("--only", default="", help="corners whose names hold this")
    parser.add_argument("--inside", nargs=5, help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.inside:
        from tests.photographs.album import photograph

        width, height, letters, scale, theme = chosen.inside
        corner = Corner(int(width), int(height), int(letters), float(scale), theme)
        return photograph(chosen.folder / str(corner), corner)
    corners = [one for one in (matrix() if chosen.whole else CORNERS) if chosen.only in str(one)]
    return max([outside(chosen.folder, corner) for corner in corners], default=0)


def outside(folder: Path, corner: Corner) -> int:
    """One corner on a display and in a process of its own: Qt reads the scale when it begins."""
    with Display(corner.width, corner.height) as name:
        environment = {**os.environ, "DISPLAY": name, "QT_QPA_PLATFORM": "xcb", "QT_SCALE_FACTOR": str(corner.scale)}
        command = [sys.executable, "-m", "tests.photographs", str(folder), "--inside", *map(str, corner)]
        return subprocess.run(command, env=environment, check=False).returncode


class Display:
    """A display with a window manager, for as long as it is used."""

    def __init__(self, width: int, height: int) -> None:
        self._screen = f"{width}x{height}x24"

    def __enter__(self) -> str:
        self._ends = read, write = os.pipe()
        self._server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", self._screen, "-nolisten", "tcp"],
            pass_fds=(write,), stderr=subprocess.DEVNULL,
        )  # fmt: skip
        name = f":{os.read(read, 16).decode().strip()}"
        self._manager = subprocess.Popen(["openbox"], env={**os.environ, "DISPLAY": name}, stderr=subprocess.DEVNULL)
        return name

    def __exit__(self, *_failure: object) -> None:
        for process in (self._manager, self._server):
            process.terminate()
            process.wait()
        for end in self._ends:
            os.close(end)


if __name__ == "__main__":
    sys.exit(main())
