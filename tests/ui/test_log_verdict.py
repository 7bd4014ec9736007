"""The reasons of a verdict, in a window that follows the log."""

from __future__ import annotations

import fermenting
import pytest
from PySide6.QtCore import QLocale, Qt

from planner.reference.catalogue import catalogue
from planner.ui import theme
from planner.ui.curve.pane import CurvePane
from planner.ui.display import Display
from planner.ui.log.verdict import VerdictReasons
from planner.ui.store import BatchStore
from planner.ui.widgets.remarks import in_words

ENGLISH = Display(locale=QLocale("en_GB"))


@pytest.fixture
def pane(qtbot):
    made = CurvePane(BatchStore(fermenting.stopped()), catalogue(), ENGLISH, theme.LIGHT)
    qtbot.addWidget(made)
    made.show_batch(fermenting.stopped())
    return made


def test_that_evidence_steps_and_cautions_are_all_told(qtbot):
    outcome = fermenting.outcome(fermenting.stopped())
    window = VerdictReasons(ENGLISH)
    qtbot.addWidget(window)
    window.show_outcome(outcome)
    told = "\n".join(window.texts())
    for words in (
        outcome.verdict.sentence,
        *outcome.verdict.evidence,
        *outcome.verdict.steps,
        *outcome.verdict.cautions,
    ):
        assert in_words(words, ENGLISH) in told
    assert "%" in told


def test_that_the_question_why_opens_the_reasons_and_leads_to_the_reading(pane, qtbot):
    outcome = fermenting.outcome(fermenting.stopped())
    with qtbot.waitExposed(pane):
        pane.show()
    pane.show_outcome(outcome)
    assert pane.headline.why.isVisible()
    qtbot.mouseClick(pane.headline.why, Qt.MouseButton.LeftButton)
    assert pane.reasons.isVisible()
    chosen = []
    pane.table.selected.connect(chosen.append)
    pane.reasons.decided.click()
    assert chosen[-1] == outcome.verdict.decided_by
    pane.reasons.close()


def test_that_without_readings_nothing_is_asked_why(pane):
    pane.show_outcome(fermenting.outcome(fermenting.planned()))
    assert pane.headline.why.isHidden()
    assert "no reading" in " ".join(pane.reasons.texts())
