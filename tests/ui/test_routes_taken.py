"""Routes in their window: what the table promises is what taking one gives, for every sample and every route."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from adjust_bench import SHELF
from example_batches import routes
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QLabel, QWidget

from planner.document.batch import Batch, Wish
from planner.document.codec import decode
from planner.document.edits import change_recipe
from planner.evaluation.outcome import evaluate
from planner.ui.display import Display
from planner.ui.recipe.routes import RoutesDialog
from planner.ui.recipe.windows import RecipeWindows
from planner.ui.settings import Settings
from planner.ui.store import BatchStore
from tests.helpers import ScriptedAsk

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.meadbatch"))
BY_HAND = {"cold": "quince-planned"}
"""A ferment that a person stops: no model of the planner's stops by itself there."""


@pytest.fixture
def take(qtbot, tmp_path):
    """Takes a route of a batch in the window, and gives the batch that is there then."""
    made = []

    def run(batch, route) -> Batch:
        parent = QWidget()
        qtbot.addWidget(parent)
        settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
        store = BatchStore(batch)
        windows = RecipeWindows(store, SHELF, settings, ScriptedAsk(tmp_path / "none"), parent)
        made.append((store, windows))
        windows._take_route(route.batch, route.name)
        return store.batch

    yield run
    for store, windows in made:
        windows.shut_down()
        store.undo_stack.clear()


def figures(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]


def decimals(text: str) -> int:
    first = re.search(r"\d+(?:\.(\d+))?", text)
    return len(first[1] or "")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_that_what_the_table_promises_is_what_taking_it_gives(qtbot, take, path):
    batch = decode(path.read_bytes())
    dialog = RoutesDialog(SHELF, Display())
    qtbot.addWidget(dialog)
    found = routes(batch, SHELF)
    rows = {line.caption: line.text for line in dialog._rows()}
    for route in found:
        if route.batch is None or "glass" in route.key or path.stem == BY_HAND.get(route.key):
            continue  # sweetened in the glass: nothing of it is in the batch
        taken = evaluate(take(batch, route), SHELF).mead.after
        for caption, value in (
            ("Alcohol", 100.0 * taken.alcohol.typical), ("Gravity in the glass", taken.gravity.typical),
            ("Sweet as sugar", taken.sweetness.typical), ("Body", 1e3 * taken.viscosity.typical),
            ("Acid", taken.acid.typical),
        ):  # fmt: skip
            printed = rows[caption](route)
            # within its printed figure: half of its last place
            assert figures(printed)[0] == pytest.approx(value, abs=0.51 * 10.0 ** -decimals(printed)), (
                route.key,
                caption,
            )
    dialog.shut_down()


def test_that_the_window_says_that_a_made_batch_is_compared_from_here_on_and_that_nobody_wished(qtbot):
    made = decode(next(path for path in SAMPLES if path.stem == "raspberry-finished").read_bytes())
    dialog = RoutesDialog(SHELF, Display())
    qtbot.addWidget(dialog)
    dialog.show_batch(made)
    said = dialog.intro.text()
    assert "from here on" in said
    assert "You set no sweetness. The ways are compared for a mead as sweet as 30" in said.replace(
        "\u202f", " "
    ).replace("\xa0", " ")
    assert "% vol" not in said  # it is what it is
    qtbot.waitUntil(lambda: bool(dialog.buttons) and dialog.columns.isEnabled(), timeout=30_000)
    captions = {label.text() for label in dialog.columns.findChildren(QLabel)}
    assert not {"Honey in all", "Starting gravity", "Yeast"} & captions
    assert dialog.buttons["heat"].toolTip().startswith("The additions become")
    assert not any("Taken" in button.text() for button in dialog.buttons.values())
    dialog.show_batch(change_recipe(made, wish=Wish(sweetness=20.0)))
    assert dialog.intro.text().startswith("Targets: as sweet as 20")
    qtbot.waitUntil(dialog.columns.isEnabled, timeout=30_000)
    dialog.shut_down()
