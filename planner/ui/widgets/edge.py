"""The frame of what can be used: seen in both themes, and the same size with and without the focus."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QWidget

from planner.ui import theme

RADIUS = 3.0
"""Of the corners of fields. [px]"""


def paint_edge(painter: QPainter, field: QWidget, has_problem: bool = False) -> None:
    """Draw the frame of a field: that of a problem, of the focus, or the plain one, which the style draws too faint."""
    tones = theme.colours_on(field.palette())
    is_loud = has_problem or field.hasFocus()
    colour = tones.problem if has_problem else tones.accent if is_loud else tones.edge
    width = 2.0 if is_loud else 1.0
    inset = width / 2.0
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(colour), width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(QRectF(field.rect()).adjusted(inset, inset, -inset, -inset), RADIUS, RADIUS)
