"""The window of what was expected and what came."""

from __future__ import annotations

import pytest
from made_batches import SHELF, batch, having, logged, outcome
from PySide6.QtCore import QLocale, QSettings

from planner.document.batch import TemperatureStep, new_batch
from planner.ui.comparing.lessons import LessonsDialog
from planner.ui.display import Display
from planner.ui.settings import Settings
from planner.units import System
from tests.helpers import ScriptedAsk


@pytest.fixture
def dialog(qtbot, tmp_path):
    settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat), QLocale("en_GB"))
    made = LessonsDialog(SHELF, settings, ScriptedAsk())
    qtbot.addWidget(made)
    with qtbot.waitExposed(made):
        made.show()
    yield made
    made.shut_down()


def cold():
    return logged(batch(), having(batch(), temperatures=(TemperatureStep(day=0.0, temperature=283.15),)))


def show(qtbot, dialog, told):
    dialog.show_outcome(outcome(told))
    qtbot.waitUntil(lambda: not dialog.recalculator.is_busy, timeout=60_000)


def cells(dialog, column):
    return [dialog.table.item(row, column).text() for row in range(dialog.table.rowCount())]


def test_that_each_lesson_is_a_row_with_figures_in_the_readers_units(qtbot, dialog):
    show(qtbot, dialog, cold())
    assert cells(dialog, 0) == [lesson.name for lesson in dialog.lessons]
    celsius = cells(dialog, 1)
    dialog.set_display(Display(system=System.US))
    assert len(cells(dialog, 1)) == len(celsius)
    assert "figures" in dialog.intro.text()


def test_that_what_is_ticked_goes_into_the_next_batch_and_nothing_else(qtbot, dialog):
    told = cold()
    show(qtbot, dialog, told)
    assert len(dialog.boxes) == 1  # the pace
    with qtbot.waitSignal(dialog.next_wanted) as begun:
        dialog.next.click()
    assert begun.args[0].own.yeasts
    assert begun.args[0].log.readings == ()
    dialog.boxes[0].setChecked(False)
    with qtbot.waitSignal(dialog.next_wanted) as begun:
        dialog.next.click()
    assert begun.args[0].recipe == told.recipe


def test_that_an_empty_batch_says_what_would_fill_the_page(qtbot, dialog):
    show(qtbot, dialog, new_batch())
    assert "Enter fruit and honey" in dialog.intro.text()
    assert not dialog.next.isEnabled()


def test_that_it_goes_to_paper(qtbot, dialog):
    show(qtbot, dialog, cold())
    dialog.paper.click()
    papers = dialog.papers
    qtbot.waitUntil(lambda: bool(papers.pages) and not papers.drawing.is_busy, timeout=60_000)
    assert len(papers.pages) == 1
    papers.done(0)
