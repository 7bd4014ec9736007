"""Where the labels of the map stand: beside their marks, and on no mark and no other label as long as there is room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFontMetrics

APART = 4.0
"""Between a mark and its label. [px]"""


class Mark(NamedTuple):
    """A mark on the map, and what is to stand beside it: the fullest text first, each a tuple of lines."""

    centre: QPointF
    radius: float
    texts: tuple[tuple[str, ...], ...]
    leftwards: bool = False
    """Whether its label stands rather to the left."""

    @property
    def room(self) -> QRectF:
        """What the mark covers."""
        return QRectF(self.centre.x() - self.radius, self.centre.y() - self.radius, 2 * self.radius, 2 * self.radius)


class Label(NamedTuple):
    """What stands where."""

    lines: tuple[str, ...]
    room: QRectF


def arranged(marks: Sequence[Mark], frame: QRectF, metrics: QFontMetrics) -> tuple[Label, ...]:
    """A label for each mark, in their order; the first have the first choice."""
    covered = [mark.room for mark in marks]
    placed: list[Label] = []
    for mark in marks:
        tried = [Label(lines, room) for lines in mark.texts for room in _rooms(mark, lines, metrics)]
        free = (label for label in tried if frame.contains(label.room)
                and not any(label.room.intersects(other) for other in covered))  # fmt: skip
        last = mark.texts[-1]
        chosen = next(free, None) or Label(last, _within(next(_rooms(mark, last, metrics)), frame))
        placed.append(chosen)
        covered.append(chosen.room)
    return tuple(placed)


def _rooms(mark: Mark, lines: tuple[str, ...], metrics: QFontMetrics) -> Iterator[QRectF]:
    """Rooms for a text around a mark: beside it, above and below, then a little farther off."""
    width = float(max(metrics.horizontalAdvance(line) for line in lines))
    height = float(metrics.height() * len(lines))
    x, y, away = mark.centre.x(), mark.centre.y(), mark.radius + APART
    sides = (x - away - width, x + away) if mark.leftwards else (x + away, x - away - width)
    for left in sides:
        for top in (y - height / 2.0, y - height, y, y - height - mark.radius, y + mark.radius):
            yield QRectF(left, top, width, height)
    for top in (y + away, y - away - height):
        for left in (x - width / 2.0, x - width, x):
            yield QRectF(left, top, width, height)
    for lines_off in (
        1.0,
        -1.0,
        2.0,
        -2.0,
        3.0,
        -3.0,
        4.0,
        -4.0,
        5.0,
        -5.0,
    ):  # the axes are fixed, so that marks may crowd
        for left in (*sides, x - width / 2.0):
            yield QRectF(left, y - height / 2.0 + lines_off * (metrics.height() + mark.radius / 2.0), width, height)


def _within(room: QRectF, frame: QRectF) -> QRectF:
    """The room moved into the frame."""
    left = min(max(room.left(), frame.left()), max(frame.right() - room.width(), frame.left()))
    top = min(max(room.top(), frame.top()), max(frame.bottom() - room.height(), frame.top()))
    return QRectF(left, top, room.width(), room.height())
