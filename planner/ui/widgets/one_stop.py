"""Widgets that belong together are one stop of the Tab key; the arrows go from one to the next."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

_STEPS = {Qt.Key.Key_Up: -1, Qt.Key.Key_Left: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_Right: 1}


class OneStop(QObject):
    """Tab comes back to the one that had the focus last; to another where that one is out of sight."""

    def __init__(self, widgets: Sequence[QWidget], parent: QObject) -> None:
        super().__init__(parent)
        self._widgets = list(widgets)
        for widget in self._widgets:
            widget.installEventFilter(self)
        self._stop_at(self._widgets[0])

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
            if step and place is not None:
                shown[max(0, min(place + step, len(shown) - 1))].setFocus(Qt.FocusReason.TabFocusReason)
                return True
        return super().eventFilter(watched, event)
