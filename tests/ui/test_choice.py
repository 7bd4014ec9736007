"""A choice speaks keys, announces only what a person chose, and leaves the wheel to the pane."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from planner.ui.widgets.fields import ChoiceField


@pytest.fixture
def choice(qtbot):
    field = ChoiceField([("rasp", "Raspberry"), ("plum", "Plum"), ("sloe", "Sloe")])
    qtbot.addWidget(field)
    return field


@pytest.fixture
def chosen(choice):
    keys = []
    choice.chosen.connect(keys.append)
    return keys


def test_that_showing_a_choice_announces_nothing(choice, chosen):
    choice.show_key("plum")
    assert choice.currentText() == "Plum"
    choice.show_key("quince")
    assert choice.currentIndex() == -1
    choice.set_choices([("quince", "Quince"), ("plum", "Plum")])
    assert choice.currentText() == "Quince"
    assert not chosen


def test_that_another_choice_is_announced_by_its_key(choice, chosen, qtbot):
    choice.show_key("rasp")
    choice.setFocus()
    qtbot.keyClick(choice, Qt.Key.Key_Down)
    qtbot.keyClick(choice, Qt.Key.Key_Down)
    assert chosen == ["plum", "sloe"]
    choice.activated.emit(2)
    assert chosen == ["plum", "sloe"]
    assert choice.key == "sloe"


def wheel(widget):
    middle = QPointF(widget.rect().center())
    event = QWheelEvent(
        middle,
        widget.mapToGlobal(middle),
        QPoint(0, -120),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    event.accept()
    QApplication.sendEvent(widget, event)
    return event.isAccepted()


def test_that_the_wheel_changes_a_choice_only_under_the_focus(choice, chosen, qtbot):
    choice.show_key("rasp")
    with qtbot.waitActive(choice):
        choice.show()
    choice.clearFocus()
    assert not wheel(choice)  # so that the pane around it scrolls
    assert not chosen
    choice.setFocus()
    wheel(choice)
    assert chosen == ["plum"]
