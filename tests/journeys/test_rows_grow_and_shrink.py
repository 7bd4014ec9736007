"""Every list of rows in the window follows its batch: it grows, shrinks and grows again, and shows no row too many."""

from __future__ import annotations

from functools import partial

import msgspec
import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QModelIndex

from planner.document.batch import (
    Addition,
    Feed,
    FruitLine,
    Glass,
    HoneyLine,
    HydrometerReading,
    StepFeed,
    Tasting,
    TemperatureStep,
    Trial,
    TrialPart,
)

COUNTS = (0, 3, 1, 6, 2, 0, 1)
FRUITS = ("apple", "blackcurrant", "raspberry", "redcurrant", "damson", "quince")
SOLIDS = ("sugar", "fructose", "glycerol", "tannin", "citric-acid", "lactose")


def of_recipe(batch, **lines):
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, **lines))


def of_adjustment(batch, **parts):
    return msgspec.structs.replace(batch, adjustment=msgspec.structs.replace(batch.adjustment, **parts))


def trial(count):
    parts = (TrialPart(key="sugar", dose=10.0),)
    glasses = tuple(Glass(strength=n / 10.0) for n in range(count))
    return (Trial(parts=parts, glasses=glasses),) if count else ()


def fold_of(window):
    fold = window.adjustment.tools.trial
    fold.heading.setChecked(True)
    return fold.tool


LISTS = {
    "fruits": (
        lambda batch, n: of_recipe(batch, fruits=tuple(FruitLine(key=key, mass=1.0) for key in FRUITS[:n])),
        lambda window: len(window.recipe.fruit.editor.rows),
    ),
    "honeys": (
        lambda batch, n: of_recipe(batch, honeys=(HoneyLine(key="blossom", mass=1.0),) * n),
        lambda window: len(window.recipe.honey.editor.rows),
    ),
    "feeds": (
        lambda batch, n: of_recipe(batch, feeds=(Feed(key="yeast-autolysate", mass=0.002, day=1.0),) * n),
        lambda window: len(window.recipe.feeding.editor.rows),
    ),
    "later honey": (
        lambda batch, n: of_recipe(batch, step_feeds=(StepFeed(key="blossom", mass=0.2, day=3.0),) * n),
        lambda window: len(window.recipe.step_feeding.editor.rows),
    ),
    "temperature steps": (
        lambda batch, n: of_recipe(batch, temperatures=tuple(TemperatureStep(day=float(d), temperature=291.0) for d in range(n))),
        lambda window: len(window.recipe.temperature.editor.rows),
    ),
    "prices": (
        lambda batch, n: of_recipe(batch, fruits=tuple(FruitLine(key=key, mass=1.0) for key in FRUITS[:n]), honeys=(), feeds=()),
        lambda window: len([key for key in window.recipe.prices.lines if key in FRUITS]),
    ),
    "additions": (
        lambda batch, n: of_adjustment(batch, additions=tuple(Addition(key=key, mass=0.01) for key in SOLIDS[:n])),
        lambda window: len(window.adjustment.additions.editor.rows),
    ),
    "glasses": (
        lambda batch, n: of_adjustment(batch, trials=trial(n)),
        lambda window: len([row for row in fold_of(window).rows if not row[0].isHidden()]),
    ),
    "tastings": (
        lambda batch, n: msgspec.structs.replace(batch, tastings=(Tasting(note="dry"),) * n),
        lambda window: len(window.adjustment.tastings.lines) - 1,  # one is always there to be filled
    ),
    "readings": (
        lambda batch, n: msgspec.structs.replace(batch, log=msgspec.structs.replace(
            batch.log, readings=tuple(HydrometerReading(day=float(d), gravity=1.05) for d in range(n)))),
        lambda window: window.curve.table.model().rowCount(QModelIndex()),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LISTS)
def test_that_a_list_of_rows_grows_and_shrinks_with_its_batch(visit, name):
    at = visit(sample="raspberry-finished")
    assert at.outcome.mead is not None
    change, shown = LISTS[name]
    before, there = at.batch, partial(shown, at.window)
    for count in COUNTS:
        at.window.store.edit(change(before, count), name)
        assert at.outcome.batch == at.batch
        at.qtbot.waitUntil(lambda count=count: there() == count)
    while at.window.store.undo_stack.canUndo():
        at.window.store.undo_stack.undo()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert at.outcome.batch == before
    if name != "prices":
        at.qtbot.waitUntil(lambda: at.batch == before)
