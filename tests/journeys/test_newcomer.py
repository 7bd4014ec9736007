"""Five things that a newcomer must find without help, each in at most four actions on the real window.

An action is a press of the mouse, a text that is typed, or a key that is pressed; looking costs nothing, and what is
pressed is in sight. Where a list opens by itself, choosing from it is an action of its own.
"""

from __future__ import annotations

import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel

from planner.ui.widgets.disclosure import Disclosure

MOST = 4

# A list that pops up is a window of its own, which the offscreen platform can neither raise nor give the keyboard.
pytestmark = pytest.mark.qt_log_ignore("does not support raise", "does not support grabbing the keyboard")


class Newcomer:
    """Counts what is done; only what is in sight can be pressed."""

    def __init__(self, visit, sample=None):
        self.visit = visit(sample=sample)
        assert self.visit.outcome is not None
        self.window, self.qtbot = self.visit.window, self.visit.qtbot
        self.qtbot.waitUntil(lambda: self.window.opening.is_finished)
        self.window.activateWindow()
        self.actions: list[str] = []

    def press(self, widget):
        assert widget.isVisible()
        assert widget.visibleRegion().boundingRect().height() > 0, "out of sight"
        self.actions.append(f"press {widget.accessibleName() or widget.text()}")
        self.qtbot.mouseClick(widget, Qt.MouseButton.LeftButton)

    def type(self, widget, text):
        self.actions.append(f"type {text}")
        self.qtbot.keyClicks(widget, text)

    def key(self, widget, key):
        self.actions.append(f"key {key.name}")
        self.qtbot.keyClick(widget, key)

    def reads(self):
        """All that is in sight."""
        labels = [label for label in self.window.findChildren(QLabel) if label.isVisible()]
        return "\n".join(re.sub("<[^>]+>", "", label.text()) for label in labels).replace("\u00a0", " ")

    @property
    def count(self):
        return len(self.actions)


def test_that_a_fruit_is_added(visit):
    person = Newcomer(visit, "quince-planned")
    field = person.window.recipe.fruit.editor.empty
    person.press(field.lineEdit())
    person.type(field, "damson")
    field.completer().popup().hide()
    person.key(field, Qt.Key.Key_Return)
    assert person.visit.batch.recipe.fruits[-1].key == "damson"
    assert person.count <= MOST


def test_that_one_sees_when_it_is_done(visit):
    person = Newcomer(visit, "quince-planned")
    assert re.search(r"in \d+ to \d+ days", person.reads())
    assert person.count == 0


def test_that_a_reading_is_logged(visit):
    person = Newcomer(visit, "blackcurrant-half-way")
    before = len(person.visit.batch.log.readings)
    field = person.window.focusWidget()  # the focus is there already
    assert field is person.window.curve.form.value
    person.type(field, "1.025")
    person.key(field, Qt.Key.Key_Return)
    assert len(person.visit.batch.log.readings) == before + 1
    assert person.count <= MOST


def test_that_one_learns_whether_it_stalled_and_why(visit):
    person = Newcomer(visit, "damson-stopped")
    assert "Stalled" in person.reads()
    person.press(person.window.curve.headline.why)
    assert person.window.curve.reasons.isVisible()
    assert person.count <= MOST
    person.window.curve.reasons.hide()


def test_that_it_is_sweetened(visit):
    person = Newcomer(visit, "raspberry-finished")
    pane = person.window.adjustment
    field = pane.additions.editor.empty
    assert "Choose a sweetener" in person.reads()  # that is what is said to be next
    person.press(field)
    field.hidePopup()
    field.choose("erythritol")
    person.actions.append("choose Erythritol")
    mass = QApplication.focusWidget() or person.window.focusWidget()
    person.type(mass, "400 g")
    person.key(mass, Qt.Key.Key_Return)
    assert [(line.key, line.mass) for line in person.visit.batch.adjustment.additions] == [("erythritol", 0.4)]
    assert person.count <= MOST


def test_that_none_of_them_begins_with_opening_a_fold(visit):
    person = Newcomer(visit, "raspberry-finished")
    assert not isinstance(person.window.focusWidget(), Disclosure)
