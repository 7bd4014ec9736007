"""An unbroken line to set a mark on, from one end to the other."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.ui import theme

_FIGURES, _FEWEST = 24, 12
"""Width of a line, and the least. [figures]"""

_STEP, _WIDE_STEP = 0.1, 1.0
"""By which the keys move the mark, of ten; the second with Shift."""

_EDGE, _MARK = 7.0, 4.5
"""Room at either end, and half of the mark. [px]"""

MOST = 10.0


class UnbrokenLine(QWidget):
    """A mark on a line, of ten; none until it is set. A click or drag sets it, arrows move it, a figure sets it, Delete takes it off.

    Signal: `marked` with the value, or None.
    """

    marked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._value: float | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setToolTip("Click where it belongs. Delete takes the mark off.")

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(_FIGURES * metrics.horizontalAdvance("0"), metrics.height() + 4)

    def minimumSizeHint(self) -> QSize:
        return QSize(_FEWEST * self.fontMetrics().horizontalAdvance("0"), self.sizeHint().height())

    @property
    def value(self) -> float | None:
        """Where the mark stands, of ten; None without one."""
        return self._value

    def show_value(self, value: float | None) -> None:
        """Show a mark without announcing it."""
        self._value = value
        self.setAccessibleDescription("not marked" if value is None else f"{value:.1f} of 10")
        self.update()

    def _mark(self, value: float | None) -> None:
        value = None if value is None else round(min(max(value, 0.0), MOST), 1)
        if value != self._value:
            self.show_value(value)
            self.marked.emit(value)

    def _at(self, event: QMouseEvent) -> float:
        return MOST * (event.position().x() - _EDGE) / max(self.width() - 2.0 * _EDGE, 1.0)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._mark(self._at(event))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._mark(self._at(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = _WIDE_STEP if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else _STEP
        middle = 0.5 * MOST if self._value is None else self._value
        key, text = event.key(), event.text()
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            moved = middle if self._value is None else middle + (step if key == Qt.Key.Key_Right else -step)
            self._mark(moved)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self._mark(None)
        elif text.isascii() and text.isdigit():
            self._mark(float(text))
        else:
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle, left, right = self.height() / 2.0, _EDGE, self.width() - _EDGE
        painter.setPen(QPen(QColor(tones.accent if self.hasFocus() else tones.edge), 2.0 if self.hasFocus() else 1.2))
        painter.drawLine(QPointF(left, middle), QPointF(right, middle))
        for end in (left, right):
            painter.drawLine(QPointF(end, middle - 3.0), QPointF(end, middle + 3.0))
        if self._value is not None:
            x = left + (right - left) * self._value / MOST
            painter.setPen(QPen(QColor(tones.text), 2.2))
            painter.drawLine(QPointF(x, middle - _MARK - 2.0), QPointF(x, middle + _MARK + 2.0))
