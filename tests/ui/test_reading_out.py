"""What screen readers are told: descriptions without markup, and a verdict that has changed."""

from __future__ import annotations

import msgspec
import pytest
from PySide6.QtGui import QAccessible, QAccessibleActionInterface
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from planner.evaluation.headline import Headline
from planner.ui.curve import headline_label
from planner.ui.curve.headline_label import HeadlineLabel
from planner.ui.display import Display
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.reading_out import announce, describe_plainly
from planner.wording.phrases import say


def test_that_descriptions_follow_tool_tips_without_their_markup(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    plain, marked, own = QLabel("a"), QLabel("b"), QLabel("c")
    column = QVBoxLayout(window)
    for label in (plain, marked, own):
        column.addWidget(label)
    plain.setToolTip("less < more")
    marked.setToolTip("<p>At 20 °C.<br><i>Press F1.</i></p>")
    own.setToolTip("<p>Hover</p>")
    own.setAccessibleDescription("Said on purpose")
    describe_plainly(window)
    assert plain.accessibleDescription() == ""
    assert marked.accessibleDescription() == "At 20 °C. Press F1."
    assert own.accessibleDescription() == "Said on purpose"
    marked.setToolTip("<p>Now another.</p>")
    describe_plainly(window)
    assert marked.accessibleDescription() == "Now another."


def test_that_another_verdict_is_announced_and_the_same_is_not(qtbot, monkeypatch):
    told = []
    monkeypatch.setattr(headline_label, "announce", lambda _widget, text: told.append(text))
    label = HeadlineLabel(Display())
    qtbot.addWidget(label)
    first = Headline(stage="ferment", sentence=say("It ferments."), next=say("Wait."))
    for headline in (first, first, msgspec.structs.replace(first, sentence=say("It has stalled."))):
        label.show_headline(headline)
    assert told == ["It has stalled."]


def test_that_nothing_is_announced_where_nothing_reads(qtbot, monkeypatch):
    sent = []
    monkeypatch.setattr(QAccessible, "updateAccessibility", sent.append)
    label = QLabel("a")
    qtbot.addWidget(label)
    label.show()
    for active in (False, True):
        monkeypatch.setattr(QAccessible, "isActive", lambda active=active: active)
        announce(label, "news")
    assert len(sent) == 1


@pytest.fixture
def fold(qtbot):
    made = Disclosure("Targets")
    qtbot.addWidget(made)
    made.show()
    return made


def test_that_a_fold_is_read_as_a_button_that_opens_and_closes(fold):
    read = QAccessible.queryAccessibleInterface(fold)
    assert read.role() == QAccessible.Role.Button
    assert read.text(QAccessible.Text.Name) == "Targets"
    for is_open in (False, True):
        fold.setChecked(is_open)
        state = read.state()
        assert (state.expandable, state.expanded, state.collapsed) == (1, int(is_open), int(not is_open))
        assert not state.checkable


def test_that_a_fold_is_opened_by_whoever_reads(fold):
    read = QAccessible.queryAccessibleInterface(fold)
    press = QAccessibleActionInterface.pressAction()
    assert press in read.actionNames()
    read.doAction(press)
    assert fold.isChecked()


def test_that_what_reads_hears_of_a_fold_that_opens(fold, monkeypatch):
    told = []
    monkeypatch.setattr(QAccessible, "isActive", lambda: True)
    monkeypatch.setattr(QAccessible, "updateAccessibility", told.append)
    fold.setChecked(True)
    [event] = told
    assert event.type() == QAccessible.Event.StateChanged
    assert event.changedStates().expanded
