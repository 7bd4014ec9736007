"""`python -m tests.photographs FOLDER [--whole]`: photographs the window, its folds, dialogs and menus, and finds cut text.

On a display of its own with a window manager (Debian's xvfb and openbox), at many sizes, letters, scales and in both
themes; without `--whole` at the corners of that matrix. What is cut is printed; the command then ends with 1. Looking at
the pictures is up to a person.
"""

from __future__ import annotations

import argparse
import itertools
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

SIZES = ((1024, 700), (1280, 720), (1440, 900), (1920, 1080), (2560, 1440), (3840, 2160))
"""Of the window. [px of the display]"""
LETTERS, SCALES, THEMES = (9, 11, 14, 20), (1.0, 1.5, 2.0), ("light", "dark")
CORNERS = ((10, 1.0, "light"), (14, 1.0, "dark"), (10, 2.0, "dark"), (20, 1.0, "light"))
"""Letters [pt], scale and theme where not the whole matrix is asked for."""
SAMPLES = ("quince-planned", "blackcurrant-half-way", "damson-stopped", "raspberry-finished")


def main() -> int:
    """Photograph all of it; returns 1 where something is cut."""
    parser = argparse.ArgumentParser(prog="tests.photographs")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--whole", action="store_true", help="the whole matrix")
    parser.add_argument("--inside", nargs=3, metavar=("LETTERS", "SCALE", "THEME"), help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.inside:
        letters, scale, theme = chosen.inside
        return photograph(chosen.folder, int(letters), float(scale), theme)
    matrix = tuple(itertools.product(LETTERS, SCALES, THEMES)) if chosen.whole else CORNERS
    with display() as name:
        ended = [outside(chosen.folder, name, *corner) for corner in matrix]
    return max(ended)


class display:  # noqa: N801  it is used as a function
    """A display with a window manager, for as long as it is used."""

    def __enter__(self) -> str:
        read, write = os.pipe()
        self._server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", "3840x2160x24", "-nolisten", "tcp"],
            pass_fds=(write,), stderr=subprocess.DEVNULL,
        )  # fmt: skip
        name = f":{os.read(read, 16).decode().strip()}"
        self._manager = subprocess.Popen(["openbox"], env={**os.environ, "DISPLAY": name}, stderr=subprocess.DEVNULL)
        return name

    def __exit__(self, *_failure: object) -> None:
        for process in (self._manager, self._server):
            process.terminate()
            process.wait()


def outside(folder: Path, name: str, letters: int, scale: float, theme: str) -> int:
    """One corner of the matrix in a process of its own: Qt reads the scale when it begins."""
    environment = {**os.environ, "DISPLAY": name, "QT_QPA_PLATFORM": "xcb", "QT_SCALE_FACTOR": str(scale)}
    corner = [str(letters), str(scale), theme]
    command = [sys.executable, "-m", "tests.photographs", str(folder), "--inside", *corner]
    return subprocess.run(command, env=environment, check=False).returncode


def photograph(folder: Path, letters: int, scale: float, theme: str) -> int:
    """Photograph one corner of the matrix."""
    from PySide6.QtCore import QLocale, QSettings

    from planner.app import Dresser, build
    from planner.ui import theme as dress
    from planner.ui.settings import Appearance, Settings
    from planner.ui.shell.screen import begin
    from tests.helpers import ScriptedAsk

    application = begin()
    dress.set_letters(application, letters)
    place = folder / f"{letters}pt-{scale:g}x-{theme}"
    place.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        settings = Settings(QSettings(f"{home}/s.ini", QSettings.Format.IniFormat), QLocale("en_GB"))
        settings.appearance = Appearance(theme)
        window = build(settings, Path(home) / "copies", ScriptedAsk(), delay_ms=0)
        dresser = Dresser(application, window)
        window.first.show_page()
        window.show()
        dresser.dress()
        cut = list(_everything(window, place, scale))
        window.unentered.forget()
        window.store.mark_saved()
        window.close()
    for line in cut:
        print(f"{place.name}/{line}")
    return 1 if cut else 0


def _everything(window, place: Path, scale: float) -> Iterator[str]:
    from planner.reference.shipped import samples

    for size in SIZES:
        window.resize(int(size[0] / scale), int(size[1] / scale) - 40)
        yield from _taken(window, place, f"{size[0]}-start")
    for sample in SAMPLES:
        window.documents.open_sample(samples() / f"{sample}.meadbatch")
        _settle(window)
        for size in SIZES:
            window.resize(int(size[0] / scale), int(size[1] / scale) - 40)
            yield from _taken(window, place, f"{size[0]}-{sample}")
        window.resize(int(1920 / scale), int(1080 / scale))
        yield from _dialogs(window, place, sample)
        window.store.mark_saved()
    for title, menu in window.menus.menus.items():
        menu.ensurePolished()
        menu.adjustSize()
        menu.grab().save(str(place / f"menu-{title.replace('&', '')}.png"))
    yield from _folds(window, place)


def _folds(window, place: Path) -> Iterator[str]:
    """Every fold, opened."""
    from planner.ui.widgets.disclosure import Disclosure

    while closed := [d for d in window.findChildren(Disclosure) if not d.isChecked() and d.window() is window]:
        for fold in closed:
            fold.setChecked(True)
    _settle(window)
    for name in ("recipe", "curve", "adjustment"):
        pane = getattr(window, name)
        for area in pane.findChildren(type(window.room)):
            content = area.widget()
            if content is not None and content.isVisible() and content.height() > area.height():
                content.grab().save(str(place / f"folds-{name}-{content.metaObject().className()}.png"))
        yield from _taken(window, place, f"folds-{name}")


def _dialogs(window, place: Path, sample: str) -> Iterator[str]:
    """Every dialog that blocks nothing, once for each sample."""
    from PySide6.QtWidgets import QApplication, QDialog

    acts = ("show_preferences", "find_anything", "show_findings", "show_schedule", "show_routes", "scale_batch",
            "show_cellar", "edit_ingredients", "show_reasons", "show_keys", "about", "show_sources", "show_provenance")  # fmt: skip
    for act in acts:
        window.menus.actions[act].trigger()
        _settle(window)
        for dialog in [w for w in QApplication.topLevelWidgets() if isinstance(w, QDialog) and w.isVisible()]:
            if act == "show_routes":
                _wait(dialog.columns.isEnabled)
            yield from _taken(dialog, place, f"{act}-{sample}")
            dialog.close()


def _taken(window, place: Path, name: str) -> Iterator[str]:
    """Photograph a window, and find what is cut in it."""
    from tests.cut_figures import cut_figures, cut_words

    _settle(window)
    window.grab().save(str(place / f"{name}.png"))
    yield from (f"{name}: {line}" for line in dict.fromkeys((*cut_figures(window), *cut_words(window))))


def _settle(window) -> None:
    """Until everything is worked out and drawn."""
    worker = getattr(window, "recalculator", None)
    _wait(lambda: worker is None or not worker.is_busy)
    for _ in range(4):
        _turn()


def _wait(ready) -> None:
    end = time.monotonic() + 60.0
    while not ready() and time.monotonic() < end:
        _turn()
        time.sleep(0.01)


def _turn() -> None:
    from PySide6.QtWidgets import QApplication

    QApplication.processEvents()


if __name__ == "__main__":
    sys.exit(main())
