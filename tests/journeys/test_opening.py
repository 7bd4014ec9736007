"""The window opens: the curve is there first, nothing moves while the rest comes, and what is typed meanwhile waits."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEventLoop, QLocale, QPoint, QSettings

from planner.app import build
from planner.reference.shipped import samples
from planner.ui.settings import Settings
from planner.ui.shell import opening
from tests.helpers import ScriptedAsk

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))
ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def opened(qtbot, tmp_path):
    """Shows a window with a sample, or with an empty batch; `at_first` is called when its curve is on the screen."""
    windows = []

    def show(sample, at_first, folded=()):
        settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat), QLocale("en_GB"))
        settings.folded_panes = folded
        window = build(settings, tmp_path / "copies", ScriptedAsk(), delay_ms=0)
        windows.append(window)
        if sample is not None:
            window.documents.open_sample(samples() / f"{sample}.meadbatch")
        # The first to hear of it: before the window goes on.
        window.curve.curve_painted.disconnect(window.opening.go)
        window.curve.curve_painted.connect(lambda: at_first(window))
        window.curve.curve_painted.connect(window.opening.go)
        window.show()
        qtbot.waitUntil(lambda: window.opening.is_finished, timeout=20_000)
        return window

    yield show
    for window in windows:
        window.store.mark_saved()
        window.close()
        window.deleteLater()


def made(window):
    """Which of the parts that come later are there."""
    parts = [name for name in ("recipe", "adjustment", "explaining", "exchange") if name in vars(window)]
    return [*parts, *(["log"] if window.curve._log is not None else [])]


def places(window):
    """Where what is seen from the first stands in the window."""
    seen = {
        "menus": window.menuBar(), "recipe": window.recipe_fold, "headline": window.curve.headline,
        "curve": window.curve.canvas, "adjustment": window.adjustment_fold, "foot": window.status,
        "handle": window.splitter.handle(1), "other handle": window.splitter.handle(2),
        "between curve and log": window.curve._splitter.handle(1),
    }  # fmt: skip
    return {name: (part.mapTo(window, QPoint()).toTuple(), part.size().toTuple()) for name, part in seen.items()}


def test_that_the_curve_is_painted_before_the_rest_is_made(opened):
    at_first = []
    window = opened(SAMPLES[0], lambda w: at_first.append((made(w), w.curve.canvas.draws, w.curve.canvas.scene.curve)))
    ((parts, draws, curve),) = at_first
    assert parts == []
    assert draws == 1
    assert curve is not None
    assert made(window) == ["recipe", "adjustment", "explaining", "log"]


@pytest.mark.parametrize("folded", [(), ("recipe", "adjustment")], ids=["open", "folded"])
@pytest.mark.parametrize("sample", [*SAMPLES, None])
def test_that_nothing_moves_while_the_rest_comes(opened, qtbot, sample, folded):
    at_first = []
    window = opened(sample, lambda w: at_first.append(places(w)), folded)
    assert places(window) == at_first[0]
    qtbot.waitUntil(lambda: not window.recalculator.is_busy, timeout=20_000)
    assert places(window) == at_first[0]


def test_that_the_first_picture_has_its_sentence(opened):
    at_first = []
    opened(SAMPLES[0], lambda w: at_first.append(w.curve.headline.sentence.text()))
    assert at_first[0]


def test_that_what_is_typed_and_clicked_waits_until_all_is_there(opened, monkeypatch):
    turns = []

    class Loop:
        """Keeps with which flags a turn was taken, and what was there by then."""

        @staticmethod
        def processEvents(flags):
            turns.append((flags, made(window_of[0])))
            QCoreApplication.processEvents(flags)

    window_of = []
    monkeypatch.setattr(opening, "QCoreApplication", Loop)
    window = opened(SAMPLES[0], window_of.append)
    assert {flags for flags, _ in turns} == {QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents}
    assert turns[0][1] == []
    assert turns[-1][1] == made(window)


def test_that_a_part_can_be_asked_for_before_the_window_is_shown(qtbot, tmp_path):
    settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat), QLocale("en_GB"))
    window = build(settings, tmp_path / "copies", ScriptedAsk(), delay_ms=0)
    qtbot.addWidget(window)
    window.documents.open_sample(samples() / f"{SAMPLES[0]}.meadbatch")
    assert window.recipe.name.text() == window.store.batch.name
    assert window.curve.table.log_model.rowCount() == len(window.store.batch.log.readings)


def test_that_a_window_closed_while_it_opens_makes_nothing_more(opened):
    window = opened(SAMPLES[0], lambda w: w.close())
    assert made(window) == []


def test_that_a_part_that_fails_keeps_no_other_away_and_is_told(qapp):
    taken, finished = [], []

    def fail():
        raise ArithmeticError("a fault")

    steps = opening.Opening((fail, lambda: taken.append("the next")))
    steps.finished.connect(lambda: finished.append(True))
    with pytest.raises(ArithmeticError, match="a fault"):
        steps.go()
    assert taken == ["the next"]
    assert finished == [True]


START = """
import sys
from planner.__main__ import program
from planner.starting import parse
app = program()
from planner.ui.shell.window import Window
def look(window):
    slow = ("scipy", "pint", "icalendar", "typing_extensions", "mpl_toolkits.mplot3d", "matplotlib.pyplot")
    rooms = ("planner.ui.importing.dialog", "planner.ui.ingredients.editor", "planner.ui.recipe.routes")
    print([name for name in slow + rooms if name in sys.modules])
    window.close()
def busy(is_busy):
    if not is_busy and opened[0].opening.is_finished:
        look(opened[0])
opened = []
build = app.build
def watched(*arguments):
    opened.append(build(*arguments))
    opened[0].recalculator.busy.connect(busy)
    return opened[0]
app.build = watched
sys.exit(app.main(parse(["--sample", sys.argv[1], "--seconds", "60"])))
"""


def test_that_a_sample_opens_without_what_it_does_not_need(tmp_path):
    environment = os.environ | {"XDG_DATA_HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", START, "raspberry-finished"], cwd=ROOT, env=environment, timeout=100,
                          capture_output=True, text=True, check=False)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"
