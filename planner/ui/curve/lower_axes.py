"""The lower part of the curve: the daily fall of gravity, temperatures, and pH."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planner.ui.curve.artists import Artists
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.curve.marks import MOST_POINTS
from planner.ui.curve.plot_data import Points, Scene, falls, thinned
from planner.ui.display import Display
from planner.units import GravityScale, System, scale

Array = npt.NDArray[np.float64]


_TOPS = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)

_SPARE = 1.7
"""How much higher than the greatest fall its axis may stay. [-]"""

_LEAST_FALL = 0.01
"""Points or °Brix a day below which nothing falls: what rests shows a flat line, and not its last digits. [1/d]"""

_DENSE = 150
"""Temperatures from which they are drawn small."""


class Below:
    """Puts what is drawn under the gravities into the artists."""

    def __init__(self, artists: Artists) -> None:
        self._artists = artists
        self.kept: Array = np.empty(0)
        """Temperatures of the must by the plan, as numbers on the axis."""
        self._top = 0.0
        self._falls_of: tuple[Points, frozenset[int]] | None = None
        self._falls: tuple[Array, Array]

    def show(self, scene: Scene, level: Level, display: Display) -> None:
        """Show another scene."""
        self._show_falls(scene, level, 1.0 if display.gravity_scale == GravityScale.BRIX else 1000.0)
        self._show_temperature(scene, display)
        self._show_acidity(scene, display)

    def _show_falls(self, scene: Scene, level: Level, per_unit: float) -> None:
        """Falls a day, told in points or °Brix: `per_unit` of them make one of the scale."""
        a = self._artists
        if self._falls_of is None or self._falls_of[0] is not scene.points or self._falls_of[1] != scene.doubted:
            self._falls_of, self._falls = (scene.points, scene.doubted), falls(scene.points, scene.doubted)
        days, pairs = self._falls
        fallen = level.scale(pairs)
        measured = (fallen[:, 0] - fallen[:, 1]) / (days[:, 1] - days[:, 0]) * per_unit if days.size else np.empty(0)
        gap = np.full(measured.size, np.nan)
        a.measured_fall.set_data(
            np.column_stack((days.reshape(-1, 2), gap)).ravel(), np.column_stack((measured, measured, gap)).ravel()
        )
        expected: Array = np.empty(0)
        if scene.curve is not None:
            expected = scene.curve.fall(level.scale(scene.curve.gravity)) * per_unit
            a.expected_fall.set_data(scene.curve.days, expected)
        a.expected_fall.set_visible(scene.curve is not None)
        most = max([0.0, *expected, *measured])
        falling = most > _LEAST_FALL
        top = _round_top(1.1 * float(most)) if falling else 1.0
        if falling and 1.05 * most <= self._top <= _SPARE * most:
            top = self._top
        self._top = top
        a.rate.set_ylim(-0.05 * top if falling else 0.0, top)

    def _show_temperature(self, scene: Scene, display: Display) -> None:
        a = self._artists
        degrees = scale("degF" if display.system == System.US else "degC")
        kept = np.empty(0) if scene.curve is None else np.asarray(degrees.shown(scene.curve.temperature))
        sampled = np.asarray(degrees.shown(scene.warmth.value))
        shown = thinned(scene.warmth.day, sampled, MOST_POINTS)
        self.kept = kept
        # What is kept changes at once, a must in its room by and by.
        a.planned.set_drawstyle("default" if scene.in_room else "steps-post")
        a.planned.set_data([] if scene.curve is None else scene.curve.days, kept)
        # A sensor's many are a line of dots; a few are marks.
        a.sampled.set_marker("." if shown.size > _DENSE else "x")
        a.sampled.set_markersize(1.6 if shown.size > _DENSE else 4.0)
        a.sampled.set_data(scene.warmth.day[shown], sampled[shown])
        both = np.concatenate((kept, sampled))
        a.warmth_label.set_visible(scene.curve is not None)
        a.warmth.yaxis.set_visible(both.size > 0)
        if both.size:
            middle, reach = (both.max() + both.min()) / 2.0, max((both.max() - both.min()) / 2.0, 2.0)
            a.warmth.set_ylim(math.floor(middle - 1.5 * reach), math.ceil(middle + 1.9 * reach))

    def _show_acidity(self, scene: Scene, display: Display) -> None:
        """pH in the lower part, each value beside its mark; it has no axis, because its fall is small."""
        a, noted = self._artists, scene.ph
        span = float(np.ptp(noted.value)) if noted.value.size else 0.0
        middle = float(np.mean(noted.value)) if noted.value.size else 0.0
        height = 0.5 + 0.3 * (noted.value - middle) / max(span, 0.4)
        a.acidity.set_data(noted.day, height)
        for n, label in enumerate(a.acidity_labels):
            label.set_visible(n < noted.day.size <= len(a.acidity_labels))
            if n < noted.day.size:
                label.set_position((float(noted.day[n]), float(height[n]) + 0.06))
                label.set_text(f"pH {display.number(float(noted.value[n]), 2, trim=True)}")


def _round_top(most: float) -> float:
    """A round number above: the axis holds still while the curve moves a little."""
    power = 10.0 ** math.floor(math.log10(most))
    return next(top * power for top in _TOPS if top * power >= most * (1.0 - 1e-9))
