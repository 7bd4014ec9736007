"""What comes late stands in the order of the Tab key where it is laid out, and no reference dies of asking."""

from __future__ import annotations

import pytest
import shiboken6
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from planner.ui.tab_order import follow, stops


class Part(QWidget):
    """A line, a list with a line of its own, and a tick below one another in a pane that scrolls."""

    def __init__(self):
        super().__init__()
        self.line, self.choice, self.tick = QLineEdit(), QComboBox(), QCheckBox("Tick")
        self.choice.setEditable(True)
        inner = QWidget()
        column, beside = QVBoxLayout(inner), QHBoxLayout()
        # Made in another order than they are laid out.
        column.addWidget(self.tick)
        column.insertLayout(0, beside)
        beside.addWidget(QLabel("Name"))
        beside.addWidget(self.line)
        beside.addWidget(self.choice)
        area = QScrollArea()
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(inner)
        area.setWidgetResizable(True)
        QVBoxLayout(self).addWidget(area)


class Window(QSplitter):
    """Two panes, between which a third can be put."""

    def __init__(self):
        super().__init__()
        self.first, self.last = QLineEdit(), QLineEdit()
        self.room = QWidget()
        QVBoxLayout(self.room)
        for part in (self.first, self.room, self.last):
            self.addWidget(part)


@pytest.fixture
def window(qtbot):
    made = Window()
    qtbot.addWidget(made)
    with qtbot.waitActive(made):
        made.show()
    return made


def put_in(window):
    part = Part()
    window.room.layout().addWidget(part)
    part.show()
    return part


def test_that_stops_are_told_as_they_are_laid_out(window):
    part = put_in(window)
    assert stops(window) == [window.first, part.line, part.choice, part.tick, window.last]


def test_that_tab_goes_through_what_was_put_in_late_where_it_stands(window, qtbot):
    part = put_in(window)
    follow(window.first, part)
    window.first.setFocus()
    for expected in (part.line, part.choice, part.tick, window.last):
        qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Tab)
        assert window.focusWidget() is expected


def test_that_an_order_of_its_own_goes_before_that_of_the_layout(window):
    part = put_in(window)
    part.chain = lambda: [part.tick, part.line]
    assert stops(window) == [window.first, part.tick, part.line, part.choice, window.last]


def test_that_references_live_on_where_a_neighbour_goes(window, qapp):
    # Asked by `nextInFocusChain`, each widget would be taken for a child of the one before it, and go with it.
    menu, gone = QMenu(window), window.first
    part = put_in(window)
    follow(window.first, part)
    kept = [menu, part.line, part.choice, part.tick, window.room, window.last, *stops(window)[1:]]
    gone.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not shiboken6.isValid(gone)
    assert all(shiboken6.isValid(widget) for widget in kept)
