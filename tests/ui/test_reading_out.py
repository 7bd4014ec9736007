"""What screen readers are told: descriptions without markup, and a verdict that has changed."""

from __future__ import annotations

import msgspec
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from planner.evaluation.headline import Headline
from planner.ui.curve import headline_label
from planner.ui.curve.headline_label import HeadlineLabel
from planner.ui.display import Display
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
