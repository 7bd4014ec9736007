"""The stretch of days and gravities in sight: fitting it, zooming, panning, and where its ticks stand."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.ui.curve.plot_data import Scene

Array = npt.NDArray[np.float64]

_EMPTY_DAYS, _EMPTY_GRAVITY = (0.0, 21.0), (0.990, 1.110)
_LEAST_DAYS, _LEAST_GRAVITY = 0.25, 0.004
_FARTHEST = 1.5
"""How much more than the whole curve may be in sight. [-]"""

_SENSIBLE_DAYS = (-14.0, 400.0)
"""Readings beyond these days do not stretch the whole curve: mostly it is the year that is wrong. [d]"""

_AWAY_UP = 1.0
"""Heights of the course beyond which a gravity does not stretch the view. [-] Choices of the layout, like the next."""
_AWAY_LATE = 2.0
"""Lengths of the course after which a reading that stands alone does not stretch the view. [-]"""
_LEAST_ROOM, _SHORTEST = 0.04, 15.0
"""Height [-] and length [d] that a course is taken to have at least."""
_AT_REST = 0.002
"""Difference from its end from which a course still moves. [-] Two lines of a hydrometer."""

_MARGIN_BELOW, _MARGIN_ABOVE = 0.12, 0.05
_FILLED = 0.7
"""The share of a view that its curve must fill, each way, for the view to stay. [-]"""

_COARSE = 20.0
"""The edges of the whole view stand on steps of this part of it, or up to 2.5 times as coarse. [-]"""

_DAY_STEPS = (1 / 24, 0.125, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
_HOUR_STEPS = (1, 3, 6, 12)
_DATE_STEPS = (1, 2, 7, 14, 28, 56, 112, 224, 448, 896)
_A_MONDAY = datetime(2001, 1, 1).toordinal()


class View(NamedTuple):
    """What is in sight: days [d], and specific gravities whatever the scale shown [-]."""

    left: float
    right: float
    low: float
    high: float

    @property
    def days(self) -> float:
        """Width. [d]"""
        return self.right - self.left

    @property
    def gravities(self) -> float:
        """Height. [-]"""
        return self.high - self.low

    def zoomed(self, times: float, day: float, gravity: float, *, days: bool = True, gravities: bool = True) -> View:
        """The view closer by `times` about a point, in one direction or both."""
        left, right = (day + (edge - day) / times for edge in self[:2]) if days else self[:2]
        low, high = (gravity + (edge - gravity) / times for edge in self[2:]) if gravities else self[2:]
        return View(left, right, low, high)

    def panned(self, days: float, gravities: float) -> View:
        """The view moved by shares of its own size."""
        across, up = days * self.days, gravities * self.gravities
        return View(self.left + across, self.right + across, self.low + up, self.high + up)

    def still_holds(self, wanted: View) -> bool:
        """Whether all that is wanted is in this view, and fills most of it: then it need not move."""
        holds = self.left <= wanted.left and wanted.right <= self.right
        holds = holds and self.low <= wanted.low and wanted.high <= self.high
        return holds and wanted.days >= _FILLED * self.days and wanted.gravities >= _FILLED * self.gravities

    def within(self, home: View) -> View:
        """The view, neither narrower than can be read nor far from what there is to see."""
        left, right = _kept(self.left, self.right, home.left, home.right, _LEAST_DAYS)
        low, high = _kept(self.low, self.high, home.low, home.high, _LEAST_GRAVITY)
        return View(left, right, low, high)


def near(scene: Scene) -> npt.NDArray[np.bool_]:
    """Which readings lie with the course: a late one, or a slip, shall not press the rest into a corner."""
    points, curve = scene.points, scene.curve
    if curve is None or not points.day.size:
        return np.ones(points.day.size, dtype=bool)
    low, high = float(curve.band.min()), float(curve.band.max())
    room = _AWAY_UP * max(high - low, _LEAST_ROOM)
    return (points.day <= _last_of_course(scene)) & (points.gravity >= low - room) & (points.gravity <= high + room)


def _last_of_course(scene: Scene) -> float:
    """The day after which readings come alone, long after the course came to rest."""
    curve = scene.curve
    assert curve is not None, "without one there is nothing to be away from"
    moving = np.flatnonzero(np.max(np.abs(curve.band[[0, 3]] - curve.band[[0, 3], -1:]), axis=0) > _AT_REST)
    end = max(float(curve.days[min(moving[-1] + 1, curve.days.size - 1)]) if moving.size else 0.0, _SHORTEST)
    days = scene.points.day  # by rising day
    before = np.maximum(np.concatenate(([end], days[:-1])), end)
    alone = np.flatnonzero(days - before > _AWAY_LATE * before)
    return float(before[alone[0]]) if alone.size else np.inf


def home(scene: Scene, everything: bool = False) -> View:
    """The view of the course with every reading that counts and lies with it, or with `everything`."""
    days, gravities = [], []
    with_it = np.ones(scene.points.day.size, dtype=bool) if everything else near(scene)
    if scene.curve is not None:
        last = (
            float(scene.curve.days[-1])
            if everything
            else min(float(scene.curve.days[-1]), 1.1 * _last_of_course(scene))
        )
        days += [0.0, last]
        gravities += [
            float(scene.curve.band.min()),
            float(scene.curve.band.max()),
            *map(float, scene.curve.gravity[[0, -1]]),
        ]
        if scene.curve.planned is not None:
            gravities += [float(scene.curve.planned.min()), float(scene.curve.planned.max())]
    if scene.finish is not None:
        gravities += [scene.finish.gravity.low, scene.finish.gravity.high]
    first, last = _SENSIBLE_DAYS
    sensible = (scene.points.day >= first) & (scene.points.day <= last) & with_it
    counted = ~scene.points.excluded & sensible
    days += _ends(scene.points.day[sensible])
    if scene.earlier is not None:
        beside = (scene.earlier.read_day >= first) & (scene.earlier.read_day <= last)
        days += _ends(scene.earlier.read_day[beside])
        gravities += _ends(scene.earlier.gravity)
    gravities += _ends(scene.points.gravity[counted])
    left, right = (min(days), max(days)) if days and max(days) > min(days) else _EMPTY_DAYS
    low, high = (min(gravities), max(gravities)) if gravities else _EMPTY_GRAVITY
    room = max(high - low, 0.01)
    low, high = _outward(low - _MARGIN_BELOW * room, high + _MARGIN_ABOVE * room)
    _, right = _outward(left, right)
    edge = 0.015 * (right - left)
    return View(left - edge, right + edge, low, high)


def _ends(values: Array) -> list[float]:
    return [float(values.min()), float(values.max())] if values.size else []


def _outward(low: float, high: float) -> tuple[float, float]:
    """Round numbers about two: axes that hold still while the curve moves a little are easier to read, and to draw."""
    step = next(step for step in _round_steps(1e-4) if step >= (high - low) / _COARSE)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step


def ticks(low: float, high: float, most: int, least_step: float) -> Array:
    """Round numbers between two bounds, at most so many, no closer than a step that labels can tell apart."""
    step = least_step
    for step in _round_steps(least_step):
        if math.floor(high / step + 1e-9) - math.ceil(low / step - 1e-9) + 1 <= most:
            break
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return np.asarray(np.arange(first, last + 1) * step, dtype=float)


def day_ticks(left: float, right: float, most: int) -> tuple[Array, int]:
    """Days to label, at most so many, and the decimals that their labels need."""
    for step in _DAY_STEPS:
        first, last = math.ceil(left / step - 1e-9), math.floor(right / step + 1e-9)
        if last - first + 1 <= most:
            break
    decimals = 0 if step >= 1.0 else 1 if step == 0.5 else 2
    return np.asarray(np.arange(first, last + 1) * step, dtype=float), decimals


def date_ticks(left: float, right: float, pitched_at: datetime, most: int) -> list[tuple[float, datetime]]:
    """Days since pitching at which a date or an hour begins on the clock of the pitching, and that moment.

    Weeks begin on Mondays. Around a change of clocks the labels keep the offset of the pitching.
    """
    try:
        begin, end = pitched_at + timedelta(days=left), pitched_at + timedelta(days=right)
    except OverflowError:
        return []
    hours = (right - left) * 24.0
    step = next((timedelta(hours=h) for h in _HOUR_STEPS if hours / h <= most), None)
    if step is None:
        step = timedelta(days=next((d for d in _DATE_STEPS if hours / 24.0 / d <= most), _DATE_STEPS[-1]))
    midnight = begin.replace(hour=0, minute=0, second=0, microsecond=0)
    moment = midnight - timedelta(days=(midnight.toordinal() - _A_MONDAY) % max(step.days, 1))
    found = []
    while moment <= end:
        if moment >= begin:
            found.append(((moment - pitched_at) / timedelta(days=1), moment))
        moment += step
    return found


def _round_steps(least: float) -> list[float]:
    return [least * figure * 10.0**power for power in range(6) for figure in (1.0, 2.0, 5.0)]


def _kept(low: float, high: float, home_low: float, home_high: float, least: float) -> tuple[float, float]:
    """Two edges, moved so that they are neither too close nor too far apart, with the middle over what there is."""
    size = min(max(high - low, least), _FARTHEST * (home_high - home_low))
    middle = min(max((low + high) / 2.0, home_low), home_high)
    return middle - size / 2.0, middle + size / 2.0
