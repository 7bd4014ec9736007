"""Panes side by side, or one above the other, with plain ground between them."""

from __future__ import annotations

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QSplitter, QSplitterHandle


class _Gap(QSplitterHandle):
    """The gap that can be dragged; the style would draw a grip upon it."""

    def paintEvent(self, _event: QPaintEvent) -> None:
        pass


class PlainSplitter(QSplitter):
    """A splitter that shows nothing but the gaps between its panes."""

    def createHandle(self) -> QSplitterHandle:
        return _Gap(self.orientation(), self)
