"""A small curve: the expected fall as a line, and what was read as dots."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.cellar.row import Sketch
from planner.ui import theme

_DOT = 1.7
"""Half of a dot. [px]"""
_WIDE, _HIGH = 20, 5
"""Size of a curve that stands by itself. [figures, lines]"""


def draw(painter: QPainter, sketch: Sketch, room: QRectF, tones: theme.Colours) -> None:
    """Draw a curve into a room, whatever its days and gravities."""
    days, levels = sketch.expected[0] + sketch.read[0], sketch.expected[1] + sketch.read[1]
    first, last, low, high = min(days), max(days), min(levels), max(levels)

    def place(day: float, level: float) -> QPointF:
        across, up = (day - first) / ((last - first) or 1.0), (level - low) / ((high - low) or 1.0)
        return QPointF(room.left() + across * room.width(), room.bottom() - up * room.height())

    painter.setPen(QPen(QColor(tones.expected), 1.4))
    painter.drawPolyline(QPolygonF([place(*point) for point in zip(*sketch.expected, strict=True)]))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(tones.logged))
    for point in zip(*sketch.read, strict=True):
        painter.drawEllipse(place(*point), _DOT, _DOT)


class SketchView(QWidget):
    """A small curve that stands by itself."""

    def __init__(self, sketch: Sketch, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sketch = sketch
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(_WIDE * metrics.horizontalAdvance("0"), _HIGH * metrics.lineSpacing())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, step = QPainter(self), float(theme.unit(self.fontMetrics()))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw(
            painter,
            self._sketch,
            QRectF(self.rect()).adjusted(step, step, -step, -step),
            theme.colours_on(self.palette()),
        )
        painter.end()
