"""The small curve in a row of the cellar: the expected fall as a line, and what was read as dots."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem

from planner.cellar.row import Sketch
from planner.ui import theme
from planner.ui.cellar.model import SKETCH

_MARGIN, _DOT = 5.0, 1.7
"""Around the curve, and half of a dot. [px at the usual size of letters]"""


class SketchDelegate(QStyledItemDelegate):
    """Draws the curve over the ground of its cell."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        super().paint(painter, option, index)
        sketch = index.data(SKETCH)
        if isinstance(sketch, Sketch):
            margin = _MARGIN * option.fontMetrics.height() / 16.0
            room = QRectF(option.rect).adjusted(margin, margin, -margin, -margin)
            painter.save()
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            draw(painter, sketch, room, theme.colours_on(option.palette))
            painter.restore()


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
