"""Widgets that belong together are one stop of the Tab key: arrows go from one to the next, or F2 round the parts of a line."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QTextCursor
from PySide6.QtWidgets import QComboBox, QLineEdit, QPlainTextEdit, QWidget

_STEPS = {Qt.Key.Key_Up: -1, Qt.Key.Key_Left: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_Right: 1}


class OneStop(QObject):
    """Tab comes back to the one that had the focus last; to another where that one is out of sight."""

    def __init__(self, widgets: Sequence[QWidget], parent: QObject) -> None:
        super().__init__(parent)
        self._widgets: list[QWidget] = []
        self.take(widgets)

    def take(self, widgets: Sequence[QWidget]) -> None:
        """Hold these from now on, such as those of lines that came or went."""
        for widget in widgets:
            widget.installEventFilter(self)  # of one that is watched already Qt watches no more
        self._widgets = list(widgets)
        stop = next((widget for widget in self._widgets if widget.hasFocus()), self._widgets[0])
        self._stop_at(stop)

    def _stop_at(self, stop: QWidget) -> None:
        for widget in self._widgets:
            is_stop = widget is stop
            widget.setFocusPolicy(Qt.FocusPolicy.StrongFocus if is_stop else Qt.FocusPolicy.ClickFocus)

    def _shown(self) -> list[QWidget]:
        return [widget for widget in self._widgets if not widget.isHidden() and widget.isEnabled()]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        kind = event.type()
        if kind == QEvent.Type.FocusIn and isinstance(watched, QWidget):
            self._stop_at(watched)
        elif kind in (QEvent.Type.HideToParent, QEvent.Type.ShowToParent, QEvent.Type.EnabledChange):
            shown = self._shown()
            if shown and not any(widget.focusPolicy() & Qt.FocusPolicy.TabFocus for widget in shown):
                self._stop_at(shown[0])
        elif kind == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and not event.modifiers():
            step, shown = _STEPS.get(Qt.Key(event.key()), 0), self._shown()
            place = next((place for place, widget in enumerate(shown) if widget is watched), None)
            if step and place is not None and not _moves_within(watched, Qt.Key(event.key())):
                shown[max(0, min(place + step, len(shown) - 1))].setFocus(Qt.FocusReason.TabFocusReason)
                return True
        return super().eventFilter(watched, event)


_WITHIN = {Qt.Key.Key_Up: QTextCursor.MoveOperation.Up, Qt.Key.Key_Down: QTextCursor.MoveOperation.Down}


def _moves_within(widget: QObject, key: Qt.Key) -> bool:
    """Whether an arrow has its own use in a text: all but at its first line, upwards, and its last, downwards."""
    return isinstance(widget, QPlainTextEdit) and (key not in _WITHIN or widget.textCursor().movePosition(_WITHIN[key]))


class Ring(QObject):
    """The parts of a line, of which one is the stop of the Tab key; F2 goes round those that are shown."""

    def __init__(self, parts: Sequence[QWidget], stop: QWidget, parent: QObject) -> None:
        super().__init__(parent)
        self._parts = list(parts)
        for part in self._parts:
            part.installEventFilter(self)
            if part is not stop:
                part.setFocusPolicy(Qt.FocusPolicy.ClickFocus)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_F2:
            ring = [part for part in self._parts if part.isEnabled() and not part.isHidden()]
            place = next((place for place, part in enumerate(ring) if part is watched), None)
            if place is not None:
                go_to(ring[(place + 1) % len(ring)])
                return True
        return super().eventFilter(watched, event)


def go_to(widget: QWidget) -> None:
    """Give a widget the focus with its text selected, as the Tab key does."""
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    line = widget.lineEdit() if isinstance(widget, QComboBox) else widget
    if isinstance(line, QLineEdit):
        line.selectAll()  # where a list has just closed, the window is not yet active again, and Tab's reason is lost
