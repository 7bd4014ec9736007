"""The shape that stands for each kind of entry, on the curve and in the table alike."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPixmap

from planner.document.reading_kinds import READINGS

SHAPES = {kind.key: kind.mark for kind in READINGS} | {"feed": "^", "added": "p"}
"""The mark of each kind, as the drawing library names them; other events have the bar."""

BAR = "|"
_SIDE = 11

_CORNERS: dict[str, tuple[tuple[float, float], ...]] = {
    "s": ((-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)),
    "v": ((-0.95, -0.75), (0.95, -0.75), (0.0, 0.95)),
    "^": ((-0.95, 0.75), (0.95, 0.75), (0.0, -0.95)),
    ">": ((-0.75, -0.95), (-0.75, 0.95), (0.95, 0.0)),
    "D": ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)),
    "P": ((-0.35, -1.0), (0.35, -1.0), (0.35, -0.35), (1.0, -0.35), (1.0, 0.35), (0.35, 0.35), (0.35, 1.0),
          (-0.35, 1.0), (-0.35, 0.35), (-1.0, 0.35), (-1.0, -0.35), (-0.35, -0.35)),
    "x": ((-0.9, -0.6), (-0.6, -0.9), (0.0, -0.3), (0.6, -0.9), (0.9, -0.6), (0.3, 0.0), (0.9, 0.6), (0.6, 0.9),
          (0.0, 0.3), (-0.6, 0.9), (-0.9, 0.6), (-0.3, 0.0)),
    "|": ((-0.22, -1.0), (0.22, -1.0), (0.22, 1.0), (-0.22, 1.0)),
}  # fmt: skip


def _path(shape: str) -> QPainterPath:
    """The outline within one unit about the middle."""
    path = QPainterPath()
    if shape == "o":
        path.addEllipse(QPointF(0.0, 0.0), 0.85, 0.85)
        return path
    turns = {"H": (6, 1.0, 1.0), "p": (5, 1.0, 1.0), "*": (10, 1.0, 0.42)}.get(shape)
    if turns is None:
        corners = _CORNERS[shape]
    else:
        count, outer, inner = turns
        corners = tuple(
            ((outer if n % 2 == 0 else inner) * math.sin(2.0 * math.pi * n / count),
             -(outer if n % 2 == 0 else inner) * math.cos(2.0 * math.pi * n / count)) for n in range(count)
        )  # fmt: skip
    path.moveTo(*corners[0])
    for corner in corners[1:]:
        path.lineTo(*corner)
    path.closeSubpath()
    return path


def sign(kind: str, colour: str, hollow: bool, ratio: float) -> QIcon:
    """The mark of a kind as an icon; hollow for one that is left out."""
    pixmap = QPixmap(QSize(round(_SIDE * ratio), round(_SIDE * ratio)))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(_SIDE / 2.0, _SIDE / 2.0)
    painter.scale(_SIDE / 2.6, _SIDE / 2.6)
    path = _path(SHAPES.get(kind, BAR))
    if hollow:
        pen = painter.pen()
        pen.setColor(QColor(colour))
        pen.setWidthF(0.3)
        painter.setPen(pen)
        painter.drawPath(path)
    else:
        painter.fillPath(path, QColor(colour))
    painter.end()
    return QIcon(pixmap)
