"""The bar that blinks where letters go: it rests when nobody types, so that a window left open asks nothing of the machine."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

BLINKS = 10.0
"""How long it blinks in a field that took the focus. [s]"""


class Caret(QObject):
    """Lets the bar of the field in focus blink for a while, and then stand."""

    def __init__(self, application: QApplication) -> None:
        super().__init__(application)
        self._hints = application.styleHints()
        self._usual = self._hints.cursorFlashTime()
        self._timer = QTimer(self, singleShot=True, interval=round(1000 * BLINKS))
        self._timer.timeout.connect(self._rest)
        application.focusChanged.connect(self._blink)
        self._blink()

    def _blink(self) -> None:
        self._hints.setCursorFlashTime(self._usual)
        self._timer.start()

    def _rest(self) -> None:
        self._hints.setCursorFlashTime(0)
