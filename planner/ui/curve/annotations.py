"""Words on the picture whose place or text depends on the readings: on a rest, and on what the view leaves out."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from planner.ui.curve.plot_data import Scene
from planner.ui.curve.view import View, near
from planner.ui.display import Display

Array = npt.NDArray[np.float64]

_HEIGHTS = (0.68, 0.3, 0.5, 0.58, 0.4, 0.78, 0.2)
"""Where the word for a rest may stand: above is the key to the marks, below are the feeds. [heights of the picture]"""

_WITHIN = 0.7
"""Share of half the word that reaches beyond a rest at whose end it stands. [-]"""

_LOW = 0.45
"""Height of the last reading below which the word stands above it. [heights of the picture]"""


def rest_words_at(scene: Scene, view: View, level: float, half: float) -> list[tuple[float, float]]:
    """Where the word for a rest may stand, the usual place first: its middle [d], and how high [heights of the picture].

    `level` is the height of the last reading of the rest, `half` is half the width of the word [d]. It stands in what is seen
    of the rest, never cut by an end of the picture, or at its end.
    """
    assert scene.stopped is not None, "without a rest there is no word for one"
    first, last = scene.stopped
    left, right = max(first, view.left), min(last, view.right)
    usual = 0.68 if level < _LOW else 0.3
    if left >= right:
        return [((first + last) / 2.0, usual)]  # out of sight, and so is its word
    middle = min(max((left + right) / 2.0, view.left + half), view.right - half)
    after = last + _WITHIN * half
    beside = [middle, after] if after + half <= view.right else [middle]
    return [(across, height) for across in beside for height in (usual, *_HEIGHTS)]


def outside_text(scene: Scene, home: View, display: Display) -> str:
    """Readings that lie so far from the course that the view of it leaves them out: "day 263 ▸"; empty without any."""
    return "\n".join(_outside(scene, home, display))


def _outside(scene: Scene, home: View, display: Display) -> Iterator[str]:
    points = scene.points
    counted = ~points.excluded & ~near(scene)
    late = counted & (points.day > home.right)
    if late.any():
        yield f"day {display.number(float(points.day[late].min()), 0)}{_many(late, display)} ▸"
    for off, sign in ((points.gravity > home.high, "▴"), (points.gravity < home.low, "▾")):
        here = counted & ~late & off
        if here.any():
            yield f"{display.gravity(float(points.gravity[here][0]))}{_many(here, display)} {sign}"


def _many(which: npt.NDArray[np.bool_], display: Display) -> str:
    """How many there are, where it is more than one."""
    count = int(which.sum())
    return f", {display.number(count, 0)} readings" if count > 1 else ""
