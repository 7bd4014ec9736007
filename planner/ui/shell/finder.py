"""One line that finds everything: commands with their keys, fields, ingredients, doubts, and notes of the log."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from PySide6.QtCore import QAbstractListModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, QPoint, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QLineEdit,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from planner.ui import theme
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label

_MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
_FEW = 60
"""Of what fits, the most that are listed."""


class Found(NamedTuple):
    """What can be found: its words, of what kind it is, its key, more words by which it is found, and what it does."""

    text: str
    kind: str
    act: Callable[[], object]
    key: str = ""
    more: str = ""


def fitting(found: Iterable[Found], typed: str) -> list[Found]:
    """What holds all the words that were typed; first what begins with them, then by its own words, then by others."""
    words = typed.casefold().split()

    def rank(one: Found) -> int:
        text = one.text.casefold()
        if text.startswith(typed.casefold().strip()):
            return 0
        return 1 if all(any(part.startswith(word) for part in text.split()) for word in words) else 2

    holding = [one for one in found if all(word in f"{one.text} {one.kind} {one.more}".casefold() for word in words)]
    return sorted(holding, key=rank)[:_FEW]


class _Model(QAbstractListModel):
    """What is listed."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: list[Found] = []

    def show_rows(self, rows: list[Found]) -> None:
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex = QModelIndex()) -> int:  # noqa: B008  as Qt has it
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return row.text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return ", ".join(filter(None, (row.text, row.kind, row.key)))
        return row.text if role == Qt.ItemDataRole.ToolTipRole else None


class _Delegate(QStyledItemDelegate):
    """Draws the kind dimmed after the words, and the key at the right."""

    def sizeHint(self, option: QStyleOptionViewItem, _index: QModelIndex | QPersistentModelIndex) -> QSize:
        return QSize(0, option.fontMetrics.height() + 2 * theme.unit(option.fontMetrics))

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        model = index.model()
        assert isinstance(model, _Model)
        row, tones, step = model.rows[index.row()], theme.colours_on(option.palette), theme.unit(option.fontMetrics)
        is_current = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        if is_current:
            painter.fillRect(option.rect, QColor(tones.selected))
        room, middle = option.rect.adjusted(2 * step, 0, -2 * step, 0), Qt.AlignmentFlag.AlignVCenter
        right = row.key or row.kind
        wide = option.fontMetrics.horizontalAdvance
        painter.setPen(QColor(tones.text if row.key else tones.dim))
        painter.drawText(room, Qt.AlignmentFlag.AlignRight | middle, right)
        painter.setPen(QColor(tones.on_selected if is_current else tones.text))
        room.setRight(room.right() - wide(right) - 3 * step)
        words = option.fontMetrics.elidedText(row.text, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | middle, words)
        painter.restore()


class Finder(QDialog):
    """Typing narrows the list, the arrows choose, Enter does it, Esc leaves."""

    def __init__(self, found: Iterable[Found], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Find")
        self._found = tuple(found)
        self.line = QLineEdit()
        self.line.setPlaceholderText("Search commands, fields, ingredients, doubts and notes")
        self.line.setAccessibleName("Search")
        self.line.setClearButtonEnabled(False)
        self.line.textChanged.connect(self._narrow)
        self.line.installEventFilter(self)
        self._model = _Model(self)
        self.list = QListView()
        self.list.setModel(self._model)
        self.list.setItemDelegate(_Delegate(self))
        self.list.setUniformItemSizes(True)
        self.list.setAccessibleName("Found")
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.clicked.connect(self._take)
        self.none = Label("Nothing fits. Type other words, or a part of one.")
        theme.set_tone(self.none, "dim")
        column = QVBoxLayout(self)
        for part in (self.line, self.list, self.none):
            column.addWidget(part)
        fit(self, figures=82, lines=24)
        self._narrow("")

    @property
    def rows(self) -> list[Found]:
        """What is listed."""
        return self._model.rows

    def open_over(self, window: QWidget) -> None:
        """Show it in the upper middle of a window."""
        self.move(window.mapToGlobal(QPoint((window.width() - self.width()) // 2, window.height() // 8)))
        self.open()
        self.line.setFocus()

    def _narrow(self, typed: str) -> None:
        self._model.show_rows(fitting(self._found, typed))
        self.none.setVisible(not self.rows)
        if self.rows:
            self.list.setCurrentIndex(self._model.index(0))

    def _take(self, index: QModelIndex) -> None:
        if index.isValid():
            act = self.rows[index.row()].act
            self.accept()
            act()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() in _MOVES:
                QApplication.sendEvent(self.list, event)
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._take(self.list.currentIndex())
                return True
        return super().eventFilter(watched, event)
