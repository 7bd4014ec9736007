"""Panes side by side, or one above the other, with plain ground between them."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSplitter, QSplitterHandle


class _Gap(QSplitterHandle):
    """The gap that can be dragged; the style would draw a grip upon it."""

    def paintEvent(self, _event: QPaintEvent) -> None:
        pass


class PlainSplitter(QSplitter):
    """A splitter that shows nothing but the gaps between its panes."""

    def createHandle(self) -> QSplitterHandle:
        return _Gap(self.orientation(), self)


class TurningSplitter(PlainSplitter):
    """Parts beside one another where there is width for all of them, else one below the other."""

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.setChildrenCollapsible(False)

    def _widths(self) -> list[int]:
        parts = [part for place in range(self.count()) if (part := self.widget(place)) is not None]
        return [max(part.minimumSizeHint().width(), part.minimumWidth()) for part in parts]

    def minimumSizeHint(self) -> QSize:
        return QSize(max(self._widths(), default=0), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        has_room = sum(self._widths()) + self.handleWidth() * (self.count() - 1) <= event.size().width()
        wanted = Qt.Orientation.Horizontal if has_room else Qt.Orientation.Vertical
        if wanted != self.orientation():
            self.setOrientation(wanted)
        super().resizeEvent(event)
