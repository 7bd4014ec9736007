"""The small curve in a row of the cellar: the expected fall as a line, and what was read as dots."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem

from planner.cellar.row import Sketch
from planner.ui import theme
from planner.ui.cellar.model import SKETCH
from planner.ui.widgets.sketch import draw

_MARGIN = 5.0
"""Around the curve. [px at the usual size of letters]"""


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
