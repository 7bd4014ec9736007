"""A sample to look at: its small curve, and what it shows."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from planner.cellar.row import Sketch
from planner.ui import theme
from planner.ui.widgets.edge import RADIUS
from planner.ui.widgets.sketch import draw

_WIDE, _HIGH, _LEAST = 22, 8, 13
"""Size that is asked for, and the least width. [figures, lines, figures]"""


class SampleCard(QAbstractButton):
    """Opens a sample. The curve comes when it is worked out."""

    def __init__(self, path: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.path = path
        fruit, _, self._state = path.stem.partition("-")
        self._state = self._state.replace("-", " ")
        self._sketch: Sketch | None = None
        self.setText(fruit.capitalize())
        self.setAccessibleName(f"Sample: {fruit}, {self._state}")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def show_sketch(self, sketch: Sketch | None) -> None:
        """Show the curve."""
        self._sketch = sketch
        self.update()

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(_WIDE * metrics.horizontalAdvance("0"), _HIGH * metrics.lineSpacing())

    def minimumSizeHint(self) -> QSize:
        return QSize(_LEAST * self.fontMetrics().horizontalAdvance("0"), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        tones, step = theme.colours_on(self.palette()), theme.unit(self.fontMetrics())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width = 2.0 if self.hasFocus() else 1.0
        painter.setPen(QPen(QColor(tones.accent if self.hasFocus() or self.underMouse() else tones.edge), width))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1.0, 1.0, -1.0, -1.0), RADIUS, RADIUS)
        inner = QRectF(self.rect()).adjusted(3.0 * step, 3.0 * step, -3.0 * step, -2.0 * step)
        line = float(self.fontMetrics().lineSpacing())
        curve = inner.adjusted(0.0, 0.0, 0.0, -2.5 * line)
        if self._sketch is not None:
            draw(painter, self._sketch, curve, tones)
        font = self.font()
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(tones.text))
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(inner.left(), inner.bottom() - 2.0 * line, inner.width(), line), flags, self.text())
        painter.setFont(theme.sized(self.font(), theme.NOTE))
        painter.setPen(QColor(tones.dim))
        painter.drawText(QRectF(inner.left(), inner.bottom() - line, inner.width(), line), flags, self._state)
        painter.end()
