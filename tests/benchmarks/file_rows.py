"""How fast files are read and written, and doses and recipes found.

Of an import the file counts as it comes from a program: a sensor's day in all its digits (a tenth of an hour is no short
number of days), gravity with four decimals and temperature with two. Both sides read the same bytes from the same file.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import cycle
from pathlib import Path

import numpy as np

from planner.adjusting import dose
from planner.adjusting.dose import Bound
from planner.document import edits
from planner.document.batch import Batch, Wish, new_batch
from planner.evaluation.outcome import evaluate
from planner.importing.reading import added, guess, new_only, read_table, readings
from planner.model.liquid import Liquid
from planner.planning.solve import solve_wish
from planner.reference.catalogue import Catalogue, catalogue
from planner.reporting.batch_file import load
from tests.benchmarks.measuring import Growth, Row, growth, paired, timed

ROWS_OF_A_SEASON = 100_000
SAMPLES = ("quince-planned", "blackcurrant-half-way", "damson-stopped", "raspberry-finished")
NOW = datetime(2026, 11, 1, tzinfo=UTC)


# --- import


def _values(rows: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Days, gravities and temperatures of a sensor, every ten minutes."""
    rng = np.random.default_rng(7)
    days = np.arange(rows) / 144.0
    gravity = 1.0 + 0.09 * np.exp(-days / max(days[-1] / 6.0, 1.0)) + rng.normal(0.0, 0.0004, rows)
    return days, gravity, 20.0 + 2.0 * np.sin(days) + rng.normal(0.0, 0.1, rows)


def numeric_file(folder: Path, rows: int) -> Path:
    """A table of days, gravities and temperatures."""
    path = folder / f"{rows}.csv"
    lines = (
        f"{day!r},{sg:.4f},{warm:.2f}\n" for day, sg, warm in zip(*(v.tolist() for v in _values(rows)), strict=True)
    )
    path.write_text("day,gravity,temperature\n" + "".join(lines))
    return path


def dated_file(folder: Path, rows: int) -> Path:
    """The same with a date and time of day, without an offset, in place of the day."""
    path = folder / f"{rows} dated.csv"
    start = datetime(2024, 8, 14, 12)
    _, gravity, warm = (v.tolist() for v in _values(rows))
    moments = ((start + timedelta(minutes=10 * place)).isoformat() for place in range(rows))
    lines = (f"{at},{sg:.4f},{warm:.2f}\n" for at, sg, warm in zip(moments, gravity, warm, strict=True))
    path.write_text("time,gravity,temperature\n" + "".join(lines))
    return path


def imported(path: Path, batch: Batch, rows: int) -> Batch:
    """A file with all that the dialog does with it, as readings in the batch."""
    table = read_table(path.read_bytes())
    found = readings(table, guess(table), UTC, NOW)
    after = added(batch, new_only(found, batch))
    if len(after.log.readings) != rows:
        raise AssertionError(f"{len(after.log.readings)} of {rows} rows came in")
    return after


def _in_turn(ours: Callable[[], object], reference: Callable[[], object], rounds: int = 21) -> tuple[float, ...]:
    """As `paired`, but what is made is kept until the clock has stopped: to throw a batch away is no part of an import."""
    kept: list[object] = []
    ratios = []
    for _ in range(3 + rounds):
        mine = timed(lambda: kept.append(ours()))
        kept.clear()
        theirs = timed(lambda: kept.append(reference()))
        kept.clear()
        ratios.append(mine / theirs)
    return tuple(ratios[3:])


def import_rows() -> Row:
    """A season of a sensor by days."""
    with tempfile.TemporaryDirectory() as folder:
        path = numeric_file(Path(folder), ROWS_OF_A_SEASON)
        ours = partial(imported, path, new_batch(), ROWS_OF_A_SEASON)
        ratios = _in_turn(ours, partial(np.loadtxt, path, delimiter=",", skiprows=1))
    return Row("import_rows", "file of 100,000 rows → readings in the batch", "numpy.loadtxt of the file", ratios, 1.0)


def import_dates() -> Row:
    """A season of a sensor by dates."""
    kinds = [("at", "datetime64[s]"), ("gravity", float), ("temperature", float)]
    with tempfile.TemporaryDirectory() as folder:
        path = dated_file(Path(folder), ROWS_OF_A_SEASON)
        ours = partial(imported, path, new_batch(), ROWS_OF_A_SEASON)
        ratios = _in_turn(ours, partial(np.loadtxt, path, dtype=kinds, delimiter=",", skiprows=1))
    return Row("import_dates", "the same with dates", "numpy.loadtxt of that, dates as datetime64", ratios, 1.0)


def growths() -> Iterator[Growth]:
    """How an import grows with its rows."""
    with tempfile.TemporaryDirectory() as folder:

        def at(size: float) -> Callable[[], object]:
            return partial(imported, numeric_file(Path(folder), int(size)), new_batch(), int(size))

        yield growth("readings_import", "readings that are imported", (10, 100, 1_000, 10_000, 100_000), at)


# --- doses and recipes


def _frame(shelf: Catalogue) -> Callable[[], object]:
    """A full draw of the curve of a sample, in the size it has in the window."""
    from matplotlib.backends.backend_qtagg import FigureCanvasQTAgg
    from PySide6.QtWidgets import QApplication

    from planner.ui import theme
    from planner.ui.curve.canvas import CurveCanvas
    from planner.ui.curve.plot_data import scene_of
    from planner.ui.display import Display

    app = QApplication.instance() or QApplication([])
    canvas = CurveCanvas(Display(), theme.LIGHT)
    canvas.resize(560, 600)
    canvas.show_scene(scene_of(evaluate(load("blackcurrant-half-way"), shelf), lambda key: shelf.nutrient(key).name))
    canvas.show()
    app.processEvents()
    return partial(FigureCanvasQTAgg.draw, canvas)


def doses(shelf: Catalogue) -> list[Callable[[], object]]:
    """Wishes for a finished mead, from one with a single additive to one with the whole shelf."""
    base: Liquid = evaluate(load("raspberry-finished"), shelf, 0).mead.base.member(0)  # type: ignore[union-attr]
    now = {
        key: float(value[0])
        for key, value in dose.values_of(Liquid(base.masses[:, None]), ("sweetness", "viscosity", "acid"), {}).items()
    }
    sweet = Bound("sweetness", now["sweetness"] + 20.0, now["sweetness"] + 20.0)
    body = Bound("viscosity", 1.15 * now["viscosity"])
    sour = Bound("acid", now["acid"] + 1.0, now["acid"] + 1.0)
    found = []
    for wanted in ((sweet,), (sweet, body), (sweet, body, sour)):
        few = ("erythritol", "glycerol", "citric-acid")
        for allowed in (few[: len(wanted)], tuple(dose.sensible(tuple(shelf.additives), wanted, shelf))):
            found.append(partial(dose.find, base, wanted, allowed, shelf))
    return found


def recipes(shelf: Catalogue) -> list[Callable[[], object]]:
    """Wishes for the planned sample: solved, with room left, and at odds."""
    batch = load("quince-planned")
    open_ = ("fruit", "honey", "water")
    wishes = (
        Wish(left_open=("honey", "water"), volume=20e-3, gravity=1.100),
        Wish(left_open=open_, volume=20e-3, gravity=1.100, acid=6.0),
        Wish(left_open=open_, volume=20e-3, alcohol=0.11, acid=6.0),
        Wish(left_open=open_, volume=20e-3, alcohol=0.11),
        Wish(left_open=("honey", "water"), volume=20e-3, alcohol=0.10, gravity=1.110),
        Wish(left_open=open_, volume=20e-3, gravity=1.060, acid=14.0),
    )
    return [partial(solve_wish, edits.change_recipe(batch, wish=wish), shelf) for wish in wishes]


def _against_a_frame(key: str, what: str, of: Callable[[Catalogue], list[Callable[[], object]]]) -> Row:
    """All cases in turn, each beside a frame."""
    shelf = catalogue()
    cases, frame = of(shelf), _frame(shelf)
    turn = cycle(cases)
    for case in cases:
        case()
    ratios = paired(lambda: next(turn)(), frame, rounds=6 * len(cases))
    return Row(key, what, "matplotlib's full draw of the curve", ratios, 1.0)


def solve_dose() -> Row:
    """Find the dose."""
    return _against_a_frame("solve_dose", "find the dose, six wishes in turn", doses)


def solve_recipe() -> Row:
    """Find the recipe."""
    return _against_a_frame("solve_recipe", "find the recipe, six wishes in turn", recipes)


def solve() -> Row:
    """The slower of both."""
    slower = max((solve_dose(), solve_recipe()), key=lambda row: row.median)
    return Row("solve", f"the slower of both: {slower.key}", slower.reference, slower.ratios, slower.reach)


# --- report


def report() -> Row:
    """The report of each sample in turn, each process beside one that only imports numpy."""
    with tempfile.TemporaryDirectory() as folder:
        # Both as installed: with their modules compiled once, wherever this runs.
        surroundings = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
        surroundings["PYTHONPYCACHEPREFIX"] = folder
        run = partial(subprocess.run, check=True, env=surroundings, stdout=subprocess.DEVNULL)
        turn = cycle(SAMPLES)
        ratios = paired(
            lambda: run([sys.executable, "-m", "planner.report", next(turn), "--json"]),
            lambda: run([sys.executable, "-c", "import numpy"]),
            rounds=8 * len(SAMPLES),
            warm_up=len(SAMPLES),
        )
    return Row(
        "report", "report as JSON of the four samples in turn, whole process", "python -c “import numpy”", ratios, 3.0
    )


ROWS = {
    "import_rows": import_rows,
    "import_dates": import_dates,
    "solve": solve,
    "solve_dose": solve_dose,
    "solve_recipe": solve_recipe,
    "report": report,
}
"""Each row by its key."""

GROWTHS = {"readings_import": lambda: next(growths())}
"""Growth by its key."""


def rows() -> Iterator[Row]:
    """All rows."""
    for measure in ROWS.values():
        yield measure()
