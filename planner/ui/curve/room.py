"""Room on the picture for its words: each stands where nothing else does. All lengths are sizes of the text."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import NamedTuple

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

_MEASURED = 100.0
"""Size at which words are measured. [pt]"""
LINE = 1.25
"""Height of a line of words, with its ground. [sizes of its letters]"""


class Box(NamedTuple):
    """Where words stand, from the lower left corner of the axes. [em]"""

    left: float
    right: float
    low: float
    high: float

    def overlap(self, other: Box) -> float:
        """The area that two share. [em^2]"""
        wide = min(self.right, other.right) - max(self.left, other.left)
        return max(wide, 0.0) * max(min(self.high, other.high) - max(self.low, other.low), 0.0)


@lru_cache(maxsize=256)
def width(words: str, families: tuple[str, ...], bold: bool = False) -> float:
    """How wide words are, at letters of size one. [em]"""
    font = FontProperties(family=list(families), size=_MEASURED, weight="bold" if bold else "normal")
    lines = words.splitlines() or [""]
    return max(float(text_to_path.get_text_width_height_descent(line, font, False)[0]) for line in lines) / _MEASURED


class Room:
    """A picture of a width and height, and what is taken of it. [em]"""

    def __init__(self, wide: float, high: float) -> None:
        self._whole = Box(0.0, wide, 0.0, high)
        self._taken: list[Box] = []

    def take(self, box: Box) -> None:
        """Something stands here."""
        self._taken.append(box)

    def hidden(self, box: Box) -> float:
        """How much of a box is taken, or beyond the edges. [em^2]"""
        area = (box.right - box.left) * (box.high - box.low)
        return area - box.overlap(self._whole) + sum(box.overlap(other) for other in self._taken)

    def find(self, boxes: Iterable[Box]) -> Box | None:
        """The first of some boxes that is wholly free, which is then taken; None where there is none."""
        found = next((box for box in boxes if self.hidden(box) < _NOTHING), None)
        if found is not None:
            self.take(found)
        return found

    def least_hidden(self, boxes: Iterable[Box], hides: Callable[[Box], float]) -> Box:
        """The box of which least is taken, and among those the one that hides least; it is taken."""
        found = min(boxes, key=lambda box: (round(self.hidden(box), 2), hides(box)))
        self.take(found)
        return found


_NOTHING = 0.02
"""Area from which two boxes lie over one another. [em^2]"""
