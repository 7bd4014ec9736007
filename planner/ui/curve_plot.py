"""The fermentation curve on a matplotlib figure, for the screen and for a picture file alike; no widgets."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from planner.model.scales import brix_from_gravity
from planner.ui.curve_artists import SMALL, Artists, PlotFont
from planner.ui.curve_scene import HALF_LINE, Scene, falls, thinned
from planner.ui.curve_view import View, date_ticks, day_ticks, home, ticks
from planner.ui.display import Display
from planner.ui.theme import Colours
from planner.ui.when import date_text, time_text
from planner.units import GravityScale, Kind, System, scale

Array = npt.NDArray[np.float64]

_MOST_POINTS, _MOST_BARS = 2000, 400
_MOST_LINES = 5
"""Grid lines across the picture, and labels beside them."""

TELLING = 0.0015
"""Distance from which the curve of the recipe alone is worth a line. [-] One line of a hydrometer."""

_SHARE_BELOW, _GAP = 0.25, 0.7
_LEFT, _RIGHT, _BOTTOM, _TOP, _TOP_DATED = 5.6, 3.9, 3.2, 0.9, 2.0
"""Margins and the gap between the axes, in sizes of the text."""


class Near(NamedTuple):
    """A reading near the pointer: its place among the points, and how far off it is in pixels of the figure."""

    place: int
    pixels: float


class CurvePlot:
    """Two axes over one another on one stretch of days: gravity, and its daily fall with the temperature."""

    def __init__(self, figure: Figure, display: Display, colours: Colours, font: PlotFont) -> None:
        self.artists = Artists(figure, font)
        self.scene = Scene()
        self.home = home(self.scene)
        self.view = self.home
        self._figure, self._display, self._colours, self._font = figure, display, colours, font
        self._selected: int | None = None
        self._point_gravity: Array = np.empty(0)
        self._planned: Array = np.empty(0)
        self.set_colours(colours)
        self.show(self.scene)

    # --- what is shown

    def show(self, scene: Scene) -> None:
        """Show another scene; whoever calls decides whether the view stays."""
        self.scene = scene
        self.home = home(scene)
        self._set_expected()
        self._set_marks()
        self._set_below()
        self.look(self.view)
        self.select(self._selected)

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        self.show(self.scene)

    def set_colours(self, colours: Colours) -> None:
        """Another theme."""
        self._colours = colours
        self.artists.restyle(colours)
        self.artists.restyle_ticks(colours)
        self._set_key()

    def set_title(self, title: str) -> None:
        """Words above the picture, for one that stands alone."""
        self.artists.title.set_text(title)
        self.artists.title.set_visible(bool(title))
        self.fit()

    def look(self, view: View) -> None:
        """Show this stretch of days and gravities."""
        self.view = view
        a = self.artists
        for axes in (a.gravity, a.rate):
            axes.set_xlim(view.left, view.right)
        a.gravity.set_ylim(*self.on_scale(np.array(view[2:])))
        self._set_points()
        self.fit()

    def on_scale(self, gravity: Array) -> Array:
        """Gravities as numbers on the scale shown."""
        brix = self._display.gravity_scale == GravityScale.BRIX
        return brix_from_gravity(gravity) if brix else np.asarray(gravity, dtype=float)

    # --- parts of the picture

    def _set_expected(self) -> None:
        a, curve, finish = self.artists, self.scene.curve, self.scene.finish
        _show(curve is not None, a.expected, a.expected_label)
        _show(curve is not None and self.scene.with_band, a.band, a.inner)
        _show(finish is not None, a.zone, a.zone_line, a.finish_label)
        if curve is not None:
            low, inner_low, inner_high, high = self.on_scale(curve.band)
            a.expected.set_data(curve.days, self.on_scale(curve.gravity))
            a.band.set_data(curve.days, low, high)
            a.inner.set_data(curve.days, inner_low, inner_high)
            wide = self.scene.with_band and self.scene.stopped is None
            a.expected_label.set_text("expected, with 50 % and 90 % bands" if wide else "expected")
        self._set_recipe_alone()
        if finish is not None:
            low, typical, high = self.on_scale(np.array(finish.gravity))
            a.zone.set_y(low)
            a.zone.set_height(high - low)
            a.zone_line.set_ydata([typical, typical])
            a.finish_label.set_text(f"expected finish {self._display.gravity(finish.gravity.typical)}")
        empty = self.scene.is_empty
        a.empty_label.set_text("The expected curve appears here\nonce the recipe holds fruit or honey.")
        _show(empty, a.empty_label)
        _show(
            not empty, a.rate, a.warmth, a.gravity.patch, a.gravity.xaxis, a.gravity.yaxis, *a.gravity.spines.values()
        )
        if not empty:
            _show(False, a.gravity.spines["top"], a.gravity.spines["right"])

    def _set_recipe_alone(self) -> None:
        """What the recipe alone would do, where a measured start has moved the course away from it."""
        a, curve = self.artists, self.scene.curve
        planned = None if curve is None else curve.planned
        differs = curve is not None and planned is not None and bool(np.max(np.abs(planned - curve.gravity)) > TELLING)
        _show(differs, a.recipe_alone)
        if curve is not None and planned is not None and differs:
            a.recipe_alone.set_data(curve.days, self.on_scale(planned))

    def _set_marks(self) -> None:
        a, scene = self.artists, self.scene
        for line, kind in ((a.feeds, "feed"), (a.third, "third")):
            days = [event.day for event in scene.events if event.kind == kind]
            line.set_data(days, np.zeros(len(days)))
        _show(scene.stopped is not None, a.rest, a.rest_label)
        if scene.stopped is not None:
            first, last = scene.stopped
            a.rest.set_x(first)
            a.rest.set_width(last - first)
        self._point_gravity = self.on_scale(scene.points.gravity)
        self._set_key()

    def _set_points(self) -> None:
        """The readings in sight; of very many only as many as can be told apart."""
        a, points = self.artists, self.scene.points
        seen = np.flatnonzero((points.day >= self.view.left) & (points.day <= self.view.right))
        for line, sugar, excluded in self._kinds():
            mine = seen[(points.sugar_test[seen] == sugar) & (points.excluded[seen] == excluded)]
            mine = mine[thinned(points.day[mine], points.gravity[mine], _MOST_POINTS)]
            line.set_data(points.day[mine], self._point_gravity[mine])
        stems = seen[~points.sugar_test[seen] & ~points.excluded[seen]]
        stems = stems if stems.size <= _MOST_BARS else stems[:0]
        gravity, gap = points.gravity[stems], np.full(stems.size, np.nan)
        ends = [self.on_scale(gravity - HALF_LINE), self.on_scale(gravity + HALF_LINE), gap]
        a.bars.set_data(np.repeat(points.day[stems], 3), np.column_stack(ends).ravel())

    def _kinds(self) -> tuple[tuple[Line2D, bool, bool], ...]:
        """Each line of points, whether it holds sugar tests, and whether those left out."""
        a = self.artists
        return (
            (a.hydrometer, False, False),
            (a.sugar, True, False),
            (a.left_out, False, True),
            (a.left_out_sugar, True, True),
        )

    def _set_key(self) -> None:
        """A key to the kinds of point that there are, and to the curve of the recipe alone."""
        names = ("hydrometer", "sugar test", "left out", "sugar test left out")
        points = self.scene.points
        shown = [
            (line, name)
            for (line, sugar, excluded), name in zip(self._kinds(), names, strict=True)
            if np.any((points.sugar_test == sugar) & (points.excluded == excluded))
        ]
        if self.artists.recipe_alone.get_visible():
            shown.append((self.artists.recipe_alone, "recipe alone"))
        old = self.artists.gravity.get_legend()
        if old is not None:
            old.remove()
        if shown:
            self.artists.gravity.legend(
                [line for line, _ in shown], [name for _, name in shown], loc="upper right", frameon=False,
                ncols=len(shown) if len(shown) <= 3 else 2,
                prop={"family": self._font.families, "size": SMALL * self._font.points}, labelcolor=self._colours.text,
                handlelength=1.4, handletextpad=0.4, columnspacing=1.2, borderaxespad=0.2,
            )  # fmt: skip

    def _set_below(self) -> None:
        a, scene = self.artists, self.scene
        days, pairs = falls(scene.points)
        level = self.on_scale(pairs)
        measured = (
            (level[:, 0] - level[:, 1]) / (days[:, 1] - days[:, 0]) * self._per_unit if days.size else np.empty(0)
        )
        gap = np.full(measured.size, np.nan)
        a.measured_fall.set_data(
            np.column_stack((days.reshape(-1, 2), gap)).ravel(), np.column_stack((measured, measured, gap)).ravel()
        )
        expected: Array = np.empty(0)
        if scene.curve is not None:
            expected = -np.gradient(self.on_scale(scene.curve.gravity), scene.curve.days) * self._per_unit
            a.expected_fall.set_data(scene.curve.days, expected)
        a.expected_fall.set_visible(scene.curve is not None)
        most = max([0.0, *expected, *measured])
        a.rate.set_ylim(-0.06 * most if most else 0.0, 1.18 * most or 1.0)
        self._set_temperature()

    @property
    def _per_unit(self) -> float:
        """From a gravity on its scale to what a daily fall is told in: points, or °Brix."""
        return 1.0 if self._display.gravity_scale == GravityScale.BRIX else 1000.0

    def _set_temperature(self) -> None:
        a, scene = self.artists, self.scene
        degrees = scale("degF" if self._display.system == System.US else "degC")
        planned = np.empty(0) if scene.curve is None else np.asarray(degrees.shown(scene.curve.temperature))
        points = scene.points
        noted = np.isfinite(points.temperature) & ~points.excluded
        sampled = np.asarray(degrees.shown(points.temperature[noted]))
        shown = thinned(points.day[noted], sampled, _MOST_POINTS)
        self._planned = planned
        a.planned.set_data([] if scene.curve is None else scene.curve.days, planned)
        a.sampled.set_data(points.day[noted][shown], sampled[shown])
        both = np.concatenate((planned, sampled))
        a.warmth_label.set_visible(scene.curve is not None)
        a.warmth.yaxis.set_visible(both.size > 0)
        if both.size:
            middle, reach = (both.max() + both.min()) / 2.0, max((both.max() - both.min()) / 2.0, 2.0)
            a.warmth.set_ylim(middle - 1.5 * reach, middle + 1.9 * reach)

    # --- layout: called when the view, the size or the scene changes

    def fit(self) -> None:
        """Fixed margins in sizes of the text, ticks that fit between them, and labels where there is room."""
        em = self._font.points / 72.0
        width, height = self._figure.get_size_inches()
        title = 1.9 if self.artists.title.get_visible() else 0.0
        top = (_TOP_DATED if self.scene.pitched_at else _TOP) + title
        left, right = _LEFT * em / width, 1.0 - _RIGHT * em / width
        bottom, upper = _BOTTOM * em / height, 1.0 - top * em / height
        room = upper - bottom - _GAP * em / height
        if right - left < 0.05 or room < 0.05:
            return  # too small to show anything; a splitter may pass through here
        below = _SHARE_BELOW * room
        self.artists.gravity.set_position((left, upper - room + below, right - left, room - below))
        for axes in (self.artists.rate, self.artists.warmth):
            axes.set_position((left, bottom, right - left, below))
        self.artists.title.set_position((left, 1.0 - 0.6 * em / height))
        self._set_ticks((right - left) * width / em, below * height / em)
        self._place_labels((right - left) * width / em, (room - below) * height / em)

    def _set_ticks(self, ems_across: float, ems_below: float) -> None:
        a, view, number = self.artists, self.view, self._display.number
        brix = self._display.gravity_scale == GravityScale.BRIX
        low, high = self.on_scale(np.array(view[2:]))
        levels = ticks(float(low), float(high), _MOST_LINES, 0.1 if brix else 0.001)
        a.gravity.set_yticks(levels, [number(float(level), 1 if brix else 3) for level in levels])
        a.gravity.set_ylabel("gravity, °Brix" if brix else "specific gravity")
        days, decimals = day_ticks(view.left, view.right, max(2, int(ems_across / 3.5)))
        a.rate.set_xticks(days, [number(float(day), decimals) for day in days])
        a.rate.set_xlabel("days since pitching", labelpad=2)
        dates = [] if self.scene.pitched_at is None else date_ticks(
            view.left, view.right, self.scene.pitched_at, max(2, int(ems_across / 6.0))
        )  # fmt: skip
        a.gravity.set_xticks([day for day, _ in dates], [self._date_label(moment) for _, moment in dates])
        most = 3 if ems_below > 3.5 else 2
        steps = ticks(0.0, a.rate.get_ylim()[1], most, 0.1)
        places = 0 if np.allclose(steps, np.round(steps)) else 1
        a.rate.set_yticks(steps, [number(float(step), places) for step in steps])
        a.rate.set_ylabel("°Bx\na day" if brix else "points\na day")
        symbol = "°F" if self._display.system == System.US else "°C"
        warm = ticks(*a.warmth.get_ylim(), most + 1, 1.0)
        a.warmth.set_yticks(warm, [f"{number(float(degree), 0)}\u00a0{symbol}" for degree in warm])
        for axes, left in ((a.gravity, -4.1), (a.rate, -2.9)):
            axes.yaxis.set_label_coords(left / ems_across, 0.5)

    def _date_label(self, moment: datetime) -> str:
        midnight = moment.hour == 0 and moment.minute == 0
        return date_text(moment.date(), self._display.locale) if midnight else time_text(moment, self._display.locale)

    def _place_labels(self, ems_across: float, ems_up: float) -> None:
        a, view, scene = self.artists, self.view, self.scene
        if scene.finish is not None:
            # Below the zone: above it the curve comes in.
            foot = float(self.on_scale(np.array([scene.finish.gravity.low - 0.2 * view.gravities / ems_up]))[0])
            a.finish_label.set_position((view.right - view.days * 0.4 / ems_across, foot))
        if scene.curve is not None:
            # Right of the band, where it is half way down.
            upper = scene.curve.band[3]
            middle = float(scene.curve.gravity[0] + scene.curve.gravity[-1]) / 2.0
            place = int(np.argmax(upper <= middle)) if np.any(upper <= middle) else upper.size - 1
            level = float(self.on_scale(upper[place : place + 1])[0])
            a.expected_label.set_position((float(scene.curve.days[place]) + view.days * 0.8 / ems_across, level))
            warm = float(self._planned[-1])
            a.warmth_label.set_position((view.right - view.days * 0.4 / ems_across, warm))
            a.warmth_label.set_text(f"planned {self._display.temperature(float(scene.curve.temperature[-1]))}")
        if scene.stopped is not None:
            first, last = scene.stopped
            level = float(np.interp(last, scene.points.day, scene.points.gravity))
            share = (level - view.low) / view.gravities
            a.rest_label.set_text("stopped?")
            a.rest_label.set_rotation(90.0 if (last - first) / view.days * ems_across < 9.0 else 0.0)
            height = self.on_scale(np.array([view.low + (0.68 if share < 0.45 else 0.3) * view.gravities]))
            a.rest_label.set_position(((first + last) / 2.0, float(height[0])))

    # --- what lies over the picture

    def select(self, index: int | None) -> None:
        """Ring the reading of this place in the log."""
        self._selected = index
        places = np.flatnonzero(self.scene.points.index == index) if index is not None else np.empty(0, dtype=int)
        halo = self.artists.halo
        halo.set_visible(places.size > 0)
        halo.set_data(self.scene.points.day[places], self._point_gravity[places])

    def show_cursor(self, day: float | None, text: str = "", at_left: bool = False) -> None:
        """A line at a day with what is to be read off there; None takes it away."""
        a, curve = self.artists, self.scene.curve
        _show(day is not None, a.cursor, a.cursor_below, a.readout)
        a.cursor_dot.set_visible(day is not None and curve is not None and curve.days[0] <= day <= curve.days[-1])
        if day is None:
            return
        a.cursor.set_xdata([day, day])
        a.cursor_below.set_xdata([day, day])
        if curve is not None:
            a.cursor_dot.set_data([day], self.on_scale(np.array([np.interp(day, curve.days, curve.gravity)])))
        a.readout.set_text(text)
        a.readout.set_horizontalalignment("left" if at_left else "right")
        a.readout.set_verticalalignment("bottom" if at_left else "top")
        a.readout.set_position((0.02, 0.05) if at_left else (0.985, 0.95))

    def draw_over(self) -> None:
        """Draw what lies over the picture, over whatever the figure's canvas holds now."""
        for axes, artist in self.artists.overlay():
            if artist.get_visible():
                axes.draw_artist(artist)

    # --- from pixels of the figure and back

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The day and the specific gravity at a pixel. [d], [-]"""
        day, level = self.artists.gravity.transData.inverted().transform((x, y))
        return float(day), self._display.from_scale(float(level), Kind.GRAVITY)

    def shares(self, x: float, y: float) -> tuple[float, float]:
        """Where a pixel is in the gravity axes: 0 to 1 from left to right and from the bottom up."""
        across, up = self.artists.gravity.transAxes.inverted().transform((x, y))
        return float(across), float(up)

    def nearest(self, x: float, y: float | None) -> Near | None:
        """The reading nearest to a pixel, or with `y` None nearest to a day."""
        if not self.scene.points.day.size:
            return None
        spots = self.artists.gravity.transData.transform(np.column_stack((self.scene.points.day, self._point_gravity)))
        off = np.abs(spots[:, 0] - x) if y is None else np.hypot(spots[:, 0] - x, spots[:, 1] - y)
        place = int(np.argmin(off))
        return Near(place, float(off[place]))

    def pixel_of(self, day: float) -> float:
        """Where a day is across the figure."""
        return float(self.artists.gravity.transData.transform((day, 0.0))[0])


def _show(visible: bool, *artists: Artist) -> None:
    for artist in artists:
        artist.set_visible(visible)
