"""A part of a pane that scrolls up and down, never sideways: it is never narrower than what it holds."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QStyle, QWidget


class Upright(QScrollArea):
    """Scrolls its content up and down. No figure slips behind its edge: its least width is that of the content."""

    def __init__(self, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._least = 0
        self.setWidget(content)
        # The pane's own ground, not that of lists and texts.
        self.viewport().setAutoFillBackground(False)
        content.setAutoFillBackground(False)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._narrowest(), super().minimumSizeHint().height())

    def sizeHint(self) -> QSize:
        return super().sizeHint().expandedTo(self.minimumSizeHint())

    def _narrowest(self) -> int:
        """Width of the content at least, with the bar beside it."""
        content = self.widget()
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent, None, self)
        return (content.minimumSizeHint().width() if content is not None else 0) + bar

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        taken = super().eventFilter(watched, event)
        if watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            least = self._narrowest()
            if least != self._least:
                self._least = least
                self.updateGeometry()
        return taken
