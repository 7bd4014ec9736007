"""How long a hand ever waits: frames while honey is dragged, and the longest stop of the window's thread.

A stop is the time between two beats of a timer of one millisecond, by the clock on the wall: what another thread keeps from the window
counts as well.
"""

from __future__ import annotations

import itertools
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from time import perf_counter, sleep

import numpy as np
from PySide6.QtWidgets import QApplication

from planner.document import edits
from planner.document.codec import SUFFIX, encode
from planner.ui.shell.window import Window
from tests import screen
from tests.benchmarks.cellar import generated
from tests.benchmarks.file_rows import ROWS_OF_A_SEASON, numeric_file
from tests.benchmarks.measuring import Row, timed
from tests.benchmarks.window_rows import (
    FERMENTING,
    SAMPLE,
    Pulse,
    application,
    come_to_rest,
    full_draw,
    last_painted,
    opened,
    other_honey,
    sixty_readings,
)

FRAME, DRAGGED = 1.0 / 60.0, 5.0
"""Time of a frame on a usual screen, and how long honey is dragged. [s]"""

LEARNT = 40
"""Batches in the folder that is learnt from. [-]"""


def drag() -> Row:
    """Honey moved sixty times in a second, or as soon as the frame before is painted: from each input to its paint."""
    with opened(FERMENTING) as window:
        window.store.edit(next(sixty_readings(window)), "log")
        come_to_rest(window)
        canvas = window.curve.build_canvas()
        painted = last_painted(canvas)
        draw, waits = full_draw(canvas), []
        plain = [timed(draw) for _ in range(11)]
        edited = other_honey(window)
        begun = due = perf_counter()
        while perf_counter() < begun + DRAGGED:
            while perf_counter() < due:
                application().processEvents()
            drawn, began = canvas.draws, perf_counter()
            window.store.edit(next(edited), "honey", "honey")
            while canvas.draws == drawn or painted[0] < began:
                application().processEvents()
            waits.append(painted[0] - began)
            due = max(began + FRAME, perf_counter())
        come_to_rest(window)
        plain += [timed(draw) for _ in range(11)]
    ratios = np.array(waits) / float(np.median(plain))
    return Row("drag", "honey dragged with 60 readings: from an input to its paint", "a full draw of the same figure",
               tuple(ratios.tolist()), 1.2, 2.0)  # fmt: skip


# --- the longest stop


def longest_stop(act: Callable[[], object], at_rest: Callable[[], bool], settle: float = 0.1) -> float:
    """The longest stop of the window's thread from an act until all is at rest for a while. [s]"""
    pulse = Pulse()
    for _ in range(3):
        application().processEvents()
    pulse.start()
    act()
    end = perf_counter() + settle
    while perf_counter() < end:
        application().processEvents()
        sleep(0.0002)
        if not at_rest():
            end = perf_counter() + settle
    return pulse.longest


def _stops(key: str, what: str, found: list[float]) -> Row:
    return Row(key, f"longest stop of the window: {what}", "16.7 ms", tuple(stop / FRAME for stop in found), 1.0, 2.0)


def _is_idle(window: Window) -> bool:
    return not window.recalculator.is_busy


@contextmanager
def _with_season() -> Iterator[tuple[Window, Path]]:
    """A window with a batch of a hundred thousand readings, saved; and a folder."""
    with tempfile.TemporaryDirectory() as place, opened(SAMPLE) as window:
        folder = Path(place)
        _import(window, numeric_file(folder, ROWS_OF_A_SEASON))
        window.documents._write(folder / f"season{SUFFIX}")
        come_to_rest(window)
        yield window, folder


def _import(window: Window, table: Path) -> float:
    """A table imported with all that the dialog does; the longest stop meanwhile. [s]"""
    exchange = window.exchange
    pressed = False

    def at_rest() -> bool:
        nonlocal pressed
        if exchange.dialog is not None and exchange.dialog.add_button.isEnabled() and not pressed:
            pressed = True
            exchange.dialog.consent.setChecked(True)
            exchange.dialog.add_button.click()
        return pressed and exchange.dialog is None and _is_idle(window)

    return longest_stop(partial(exchange.import_file, table, window.colours), at_rest)


def blocked_import(rounds: int = 5) -> Row:
    """A table of a season looked at, taken, and shown."""
    found = []
    with tempfile.TemporaryDirectory() as place:
        table = numeric_file(Path(place), ROWS_OF_A_SEASON)
        for _ in range(rounds):
            with opened(SAMPLE) as window:
                found.append(_import(window, table))
    return _stops("blocked_import", "100,000 readings imported", found)


def _renamed(window: Window, turn: int) -> None:
    window.store.edit(edits.describe(window.store.batch, name=f"Season {turn}"), "name")


def blocked_save(rounds: int = 7) -> Row:
    """A batch with a season saved."""
    found = []
    with _with_season() as (window, _):
        for turn in range(rounds):
            _renamed(window, turn)
            come_to_rest(window)
            found.append(longest_stop(window.documents.save, lambda: not window.store.is_modified))
    return _stops("blocked_save", "100,000 readings saved", found)


def blocked_copy(rounds: int = 7) -> Row:
    """A batch with a season copied for safety."""
    found = []
    with _with_season() as (window, _):
        copies = window._recovery
        for turn in range(rounds):
            _renamed(window, turn)
            come_to_rest(window)
            found.append(longest_stop(copies.write_now, lambda: not copies._pool.activeThreadCount()))
    return _stops("blocked_copy", "100,000 readings copied for safety", found)


def blocked_undo(rounds: int = 7) -> Row:
    """An import of a season taken back and made again."""
    found = []
    with _with_season() as (window, _):
        for _ in range(rounds):
            for act in (window.store.undo_stack.undo, window.store.undo_stack.redo):
                found.append(longest_stop(act, partial(_is_idle, window)))
    return _stops("blocked_undo", "an import of 100,000 readings undone and done again", found)


DIALOGS = (
    "show_routes", "show_schedule", "scale_batch", "show_lessons", "show_learning", "show_sheets", "show_tests", "show_cellar",
    "edit_ingredients", "compare_batches", "show_preferences", "find_anything", "show_findings", "show_papers", "show_reasons",
    "show_keys", "show_sources", "show_provenance", "show_first_steps", "about",
)  # fmt: skip
"""Entries of the menus that open a window or a page."""

_OPENINGS = """
import json
from tests.benchmarks.waiting_rows import openings
print(json.dumps(openings()))
"""


def openings() -> dict[str, float]:
    """The longest stop while each window opens for the first time in this process. [s]"""
    found = {}
    with tempfile.TemporaryDirectory() as folder, opened(FERMENTING) as window:
        window.settings.cellar = Path(folder)
        for name in DIALOGS:
            found[name] = longest_stop(getattr(window, name), lambda: True, 0.5)
            for other in QApplication.topLevelWidgets():
                if other is not window and other.isVisible():
                    other.close()
            longest_stop(lambda: None, partial(_is_idle, window))
    return found


def blocked_dialogs(rounds: int = 3) -> Row:
    """Each window of the menus opened for the first time, in processes of their own."""
    every: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        surroundings = os.environ | {
            "QT_QPA_PLATFORM": screen.PLATFORM,
            "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
            "PYTHONPYCACHEPREFIX": f"{folder}/bytecode",
        }
        surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
        for turn in range(rounds + 1):
            done = subprocess.run([sys.executable, "-c", _OPENINGS], capture_output=True, text=True, env=surroundings,
                                  check=True, timeout=300)  # fmt: skip
            for name, stop in json.loads(done.stdout).items() if turn else ():
                every.setdefault(name, []).append(stop)
    slowest = max(every, key=lambda name: float(np.median(every[name])))
    what = f"each window of the menus opened; slowest {slowest}, {1e3 * float(np.median(every[slowest])):.0f} ms"
    return _stops("blocked_dialogs", what, [stop for stops in every.values() for stop in stops])


def blocked_routes(rounds: int = 5) -> Row:
    """Ways to finish worked out while their window is seen."""
    found = []
    with opened(SAMPLE) as window:
        windows = window.recipe_windows

        def at_rest() -> bool:
            return windows.routes is not None and not windows.routes.recalculator.is_busy

        for edited in itertools.islice(other_honey(window), rounds + 1):
            window.store.edit(edited, "honey")
            come_to_rest(window)
            found.append(longest_stop(window.show_routes, at_rest, 0.3))
            assert windows.routes is not None
            windows.routes.close()
    return _stops("blocked_routes", "six ways to finish worked out", found[1:])


def blocked_learning(rounds: int = 3) -> Row:
    """A folder of earlier batches read and learnt from."""
    found = []
    with tempfile.TemporaryDirectory() as place, opened(FERMENTING) as window:
        for number, batch in enumerate(generated(LEARNT)):
            (Path(place) / f"batch-{number}{SUFFIX}").write_bytes(encode(batch))
        window.settings.learning = Path(place)
        window.show_learning()
        dialog = window.recipe_windows.learning
        assert dialog is not None
        for _ in range(rounds):
            found.append(
                longest_stop(dialog.read.click, lambda: not dialog.reader.is_reading and _is_idle(window), 0.3)
            )
        dialog.close()
    return _stops("blocked_learning", f"{LEARNT} batches read and learnt from", found)


_PARTS = {
    "blocked_import": blocked_import,
    "blocked_save": blocked_save,
    "blocked_copy": blocked_copy,
    "blocked_undo": blocked_undo,
    "blocked_dialogs": blocked_dialogs,
    "blocked_routes": blocked_routes,
    "blocked_learning": blocked_learning,
}


@cache
def _measured(key: str) -> Row:
    return _PARTS[key]()


def blocked() -> Row:
    """The worst of all."""
    worst = max(map(_measured, _PARTS), key=lambda row: row.median)
    return replace(worst, key="blocked", what=f"the worst of all: {worst.what}")


ROWS = {"drag": drag, "blocked": blocked, **{key: partial(_measured, key) for key in _PARTS}}
"""Each row by its key."""


def rows() -> Iterator[Row]:
    """All rows."""
    for measure in ROWS.values():
        yield measure()
