"""A bench on which tests try the adjustment pane: a store, the pane, and everything worked out at once."""

from __future__ import annotations

from PySide6.QtCore import QLocale, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent

from planner.document import edits
from planner.document.batch import Addition, FruitLine, HoneyLine, new_batch
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.ui import theme
from planner.ui.adjust.pane import AdjustPane
from planner.ui.display import Display
from planner.ui.store import BatchStore
from planner.units import GravityScale, System

METRIC = Display(locale=QLocale("en_GB"))
US = Display(system=System.US, gravity_scale=GravityScale.BRIX, locale=QLocale("en_US"))
SHELF = catalogue()


def plain(text):
    """A text as it would be typed."""
    return text.replace("\u00a0", " ").replace("\u2060", "").replace("\u2212", "-")


def planned():
    batch = edits.add_line(new_batch(), "fruits", FruitLine(key="blackcurrant", mass=5.0))
    batch = edits.add_line(batch, "honeys", HoneyLine(key="blossom", mass=5.0))
    return edits.change_recipe(batch, water=12.0)


def adjusted(*additions, **adjustment):
    listed = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    return edits.change_adjustment(planned(), additions=listed, **{"gravity": 1.004, "volume": 0.020} | adjustment)


class Bench(QObject):
    """A pane on a store, with everything worked out at once after each edit."""

    def __init__(self, qtbot, batch, display=METRIC, members=4):
        super().__init__()
        self.qtbot, self.members = qtbot, members
        self.store = BatchStore(batch)
        self.pane = AdjustPane(self.store, SHELF, display, theme.LIGHT)
        qtbot.addWidget(self.pane)
        self.store.changed.connect(self.show)
        self.show(batch)

    def show(self, batch):
        self.pane.show_batch(batch)
        self.outcome = evaluate(batch, SHELF, self.members)
        self.pane.show_outcome(self.outcome)

    def open(self):
        self.pane.resize(340, 900)
        with self.qtbot.waitActive(self.pane):
            self.pane.show()
        return self

    @property
    def adjustment(self):
        return self.store.batch.adjustment

    @property
    def rows(self):
        return self.pane.additions.editor.rows

    @property
    def undo(self):
        return self.store.undo_stack

    def type(self, field, text, key=Qt.Key.Key_Return):
        field.setFocus()
        field.selectAll()
        self.qtbot.keyClicks(field, text)
        self.qtbot.keyClick(field, key)


def turn_wheel(widget):
    """Turn the wheel over a widget; whether it kept the turn for itself."""
    middle = widget.rect().center()
    event = QWheelEvent(
        QPointF(middle), QPointF(widget.mapToGlobal(middle)), QPoint(), QPoint(0, -120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    event.ignore()
    widget.wheelEvent(event)
    return event.isAccepted()


def choose(made, key):
    """What a person does to add an ingredient."""
    field = made.pane.additions.editor.empty
    index = field.findData(key)
    field.setCurrentIndex(index)
    field.activated.emit(index)
