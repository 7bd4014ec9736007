"""A note under a widget that says why what was typed was refused."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QColor, QHideEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from planner.ui import theme
from planner.ui.widgets.label import Label

_WIDEST = 320
_GAP = 2


class Note(Label):
    """Lies over the window below one widget, or above it where there is no room; takes neither focus nor clicks."""

    def __init__(self, below: QWidget) -> None:
        super().__init__(parent=below.window())
        self._below = below
        self.setWordWrap(True)
        self.setContentsMargins(8, 5, 8, 5)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def say(self, text: str) -> None:
        """Show the note beside its widget, and stay there when the pane is scrolled."""
        window = self._below.window()
        if self.parentWidget() is not window:
            self.setParent(window)
        self.setText(text)
        self._place()
        self.show()
        self.raise_()
        for widget in self._around():
            widget.installEventFilter(self)

    def hideEvent(self, event: QHideEvent) -> None:
        for widget in self._around():
            widget.removeEventFilter(self)
        super().hideEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.Move, QEvent.Type.Resize):
            self._place()
        return super().eventFilter(watched, event)

    def _around(self) -> Iterator[QWidget]:
        """The widget and all that moves it, up to the window."""
        widget: QWidget | None = self._below
        while widget is not None:
            yield widget
            widget = None if widget.isWindow() else widget.parentWidget()

    def _place(self) -> None:
        window = self._below.window()
        width = min(max(self._below.width(), _WIDEST), window.width() - 2 * _GAP)
        self.resize(width, self.heightForWidth(width))
        below = self._below.mapTo(window, QPoint(0, self._below.height() + _GAP))
        above = self._below.mapTo(window, QPoint(0, -self.height() - _GAP))
        fits_below = below.y() + self.height() <= window.height()
        x = max(_GAP, min(below.x(), window.width() - width - _GAP))
        self.move(x, below.y() if fits_below or above.y() < 0 else above.y())

    def paintEvent(self, event: QPaintEvent) -> None:
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        painter.setPen(QPen(QColor(tones.problem), 1.0))
        painter.setBrush(QColor(tones.raised))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()
        super().paintEvent(event)
