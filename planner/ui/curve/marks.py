"""The entries of the log on the curve: points with their bars by kind, and marks on the time axis."""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.lines import Line2D

from planner.document.reading_kinds import READINGS, TELLING
from planner.ui.curve.artists import Artists
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.curve.plot_data import Points, Scene, thinned
from planner.ui.curve.view import View

Array = npt.NDArray[np.float64]

MOST_POINTS, MOST_BARS = 2000, 400
"""Marks of one kind, and bars, that can be told apart."""

_DENSE = 250
"""Points of one kind in sight from which they are drawn small."""
SIZES = (6.0, 2.6)
"""Of marks: of few, and of many."""

_BESIDE = {"refractometer": 1.4}
"""How much larger a kind is drawn that is read beside a hydrometer: it must be seen behind that one's mark."""

_NAMES = {kind.key: kind.word for kind in READINGS if kind.key in TELLING} | {"sensor": "sensor", "weight": "by weight"}


class Marks:
    """Puts the log into the artists, as much of it as is in sight."""

    def __init__(self, artists: Artists) -> None:
        self._artists = artists
        self.level_of_points: Array = np.empty(0)
        self._events: list[tuple[Line2D, Array, float]] = []

    def show_events(self, scene: Scene) -> None:
        """What falls due and what was done, on the time axis."""
        a = self._artists
        self._events = []
        for line, kinds in (
            (a.feeds, ("feed",)), (a.additions, ("add",)), (a.added, ("added",)), (a.third, ("third",)), (a.given, ("given",)), (a.done, ("done",)), (a.tastes, ("taste",)),
        ):  # fmt: skip
            days = np.array([event.day for event in scene.events if event.kind in kinds], dtype=float)
            self._events.append(
                (line, days, 0.0 if line in (a.feeds, a.additions, a.added, a.third, a.given) else 0.012)
            )

    def take_points(self, points: Points, level: Level) -> None:
        """Take the readings of another scene apart by kind; which of them are drawn depends on the view."""
        self._points, self._level = points, level
        self.level_of_points = level.of(points.gravity, points.day)
        self._of_line = [
            (line, kind, excluded, np.flatnonzero((points.kind == kind) & (points.excluded == excluded)))
            for line, kind, excluded in self._lines()
        ]
        self._counted = np.flatnonzero(~points.excluded)

    def look(self, view: View) -> None:
        """Draw the readings in sight; of very many only as many as can be told apart."""
        points, a = self._points, self._artists
        for (
            line,
            days,
            height,
        ) in self._events:  # they stand on the edge of the axes, which therefore cannot cut them off
            days = days[(days >= view.left) & (days <= view.right)]
            line.set_data(days, np.full(days.size, height))
        for line, kind, excluded, all_mine in self._of_line:
            mine = self._in_sight(all_mine, view)
            line.set_markersize(SIZES[mine.size > _DENSE] * _BESIDE.get(kind, 1.0))
            if not excluded:
                line.set_markeredgewidth(0.0 if mine.size > _DENSE else 0.8)
            mine = mine[thinned(points.day[mine], points.gravity[mine], MOST_POINTS)]
            line.set_data(points.day[mine], self.level_of_points[mine])
        in_sight = self._in_sight(self._counted, view)
        # A cloud of points would hide the curve that it is to be seen beside.
        a.expected.set_zorder(3.6 if in_sight.size > _DENSE else 2.0)
        self._show_bars(in_sight)

    def _in_sight(self, places: npt.NDArray[np.int_], view: View) -> npt.NDArray[np.int_]:
        first, last = self._begins_after(places, view.left, "left"), self._begins_after(places, view.right, "right")
        return places[first:last]

    def _begins_after(self, places: npt.NDArray[np.int_], day: float, side: Literal["left", "right"]) -> int:
        """Which of some places is the first beyond a day; they are by rising day, as the points are."""
        first = int(np.searchsorted(self._points.day, day, side=side))
        return int(np.searchsorted(places, first))

    def _show_bars(self, stems: npt.NDArray[np.int_]) -> None:
        points, level = self._points, self._level
        stems = stems if stems.size <= MOST_BARS else stems[:0]
        day, gap = points.day[stems], np.full(stems.size, np.nan)
        ends = [level.of(points.low[stems], day), level.of(points.high[stems], day), gap]
        self._artists.bars.set_data(np.repeat(day, 3), np.column_stack(ends).ravel())

    def _lines(self) -> list[tuple[Line2D, str, bool]]:
        """Each line of points, its kind, and whether it holds those left out."""
        a = self._artists
        return [
            *((line, kind, False) for kind, line in a.marks.items()),
            *((line, kind, True) for kind, line in a.left_out_marks.items()),
        ]

    def key(self, scene: Scene) -> list[Key]:
        """Words for the kinds of marks that there are."""
        points = scene.points
        drawn = {
            (kind, excluded): line
            for line, kind, excluded in self._lines()
            if np.any((points.kind == kind) & (points.excluded == excluded))
        }
        shown = [Key(drawn[kind, False], name) for kind, name in _NAMES.items() if (kind, False) in drawn]
        if ("hydrometer", True) in drawn:
            shown.append(Key(drawn["hydrometer", True], "left out"))
        shown += [
            Key(drawn[kind, True], f"{name} left out")
            for kind, name in _NAMES.items() if (kind, True) in drawn and kind != "hydrometer"
        ]  # fmt: skip
        events = {event.kind for event in scene.events}
        a = self._artists
        more = (
            (a.additions, "add", "to add"), (a.given, "given", "fed"), (a.added, "added", "added"), (a.tastes, "taste", "tasted"),
        )  # fmt: skip
        shown += [Key(line, word) for line, kind, word in more if kind in events]
        return shown


class Key(NamedTuple):
    """A mark and its word."""

    line: Line2D
    word: str
