"""The fermentation curve on a matplotlib figure, for the screen and for a picture file alike; no widgets."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.artist import Artist
from matplotlib.figure import Figure

from planner.ui.curve.annotations import outside_text
from planner.ui.curve.artists import Artists, PlotFont
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.curve.key import columns_for, show_key, size_of
from planner.ui.curve.labels import CurveLabels
from planner.ui.curve.lower_axes import Below
from planner.ui.curve.marks import Key, Marks
from planner.ui.curve.overlays import show_earlier, show_today
from planner.ui.curve.plot_data import Scene
from planner.ui.curve.room import width
from planner.ui.curve.view import View, date_ticks, day_ticks, ticks
from planner.ui.display import Display
from planner.ui.log.when import date_text, time_text
from planner.ui.theme import Colours
from planner.units import GravityScale, Kind, System

Array = npt.NDArray[np.float64]

_MOST_LINES = 5
"""Grid lines across the picture, and labels beside them."""

TELLING = 0.0015
"""Distance from which the curve of the recipe alone is worth a line. [-] One line of a hydrometer."""

_VAGUE = 60.0
"""A forecast of the day that is wider says nothing. [d]"""

_LINE = 1.4
"""Height of a line of labels with its gap. [em]"""

_LONG_NAME = "specific gravity"

_LEAST_HEIGHT = 1e-3
"""Height of the axis of gravities that is shown at least. [as the scale]"""

_SHARE_BELOW, _GAP = 0.25, 0.7
_LEAST_FOR_BELOW = 11.0
"""Height of the picture below which the gravities take all of it. [em]"""
_NOTHING = 1e-6
"""Height of an axis of which only the days are seen. [heights of the figure]"""
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
        self.shows_difference = False
        """Whether readings are shown as differences from what was expected."""
        self.by_date = False
        """Whether the lower axis is the calendar, where pitching is dated."""
        self._marks, self._below = Marks(self.artists), Below(self.artists)
        self._level = Level(display, None, False)
        self.home = self._level.home(self.scene)
        self.view = self.home
        self._figure, self._display, self._colours, self._font = figure, display, colours, font
        self._outside = False
        self._selected: int | None = None
        self._key_of: tuple[object, ...] = ()
        self._key_size = (0.0, 0.0)
        self.ground: tuple[object, ...] = ()
        """All that the sheet, the axes, their ticks and labels depend on; while it is the same they need no drawing."""
        self.set_colours(colours)
        self.show(self.scene)

    @property
    def bounds(self) -> View:
        """All that there is to see, also what lies far from the course."""
        return self._level.home(self.scene, everything=True)

    # --- what is shown

    def show(self, scene: Scene, whole: bool = False) -> None:
        """Show another scene: the `whole` of it, or the stretch that is in sight."""
        self.scene = scene
        was_difference = self._level.is_difference
        self._level = Level(self._display, scene.curve, self.shows_difference)
        wanted = self._level.home(scene)
        is_other = was_difference != self._level.is_difference  # a stretch of differences is none of gravities
        if is_other or not self.home.still_holds(wanted):
            self.home = wanted
        self._marks.take_points(scene.points, self._level)
        self._set_expected()
        self._set_forecast()
        show_earlier(self.artists, scene.earlier, self._level)  # before the key, which shows only what is seen
        self._set_marks()
        self._set_outside()
        self._below.show(scene, self._level, self._display)
        self.look(self.home if whole or is_other else self.view)
        self.select(self._selected)

    def find_home(self) -> View:
        """The view of the whole curve as it is now, wherever a former one let it stand."""
        self.home = self._level.home(self.scene)
        return self.home

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        self.show(self.scene)

    def show_difference(self, difference: bool) -> None:
        """Show differences from what was expected, or gravities again."""
        self.shows_difference = difference
        self.show(self.scene, whole=True)

    def show_dates(self, by_date: bool) -> None:
        """Count by the calendar on the lower axis, or by days since pitching."""
        self.by_date = by_date
        self.fit()

    def set_colours(self, colours: Colours) -> None:
        """Another theme."""
        self._colours = colours
        self.artists.restyle(colours)
        self.artists.restyle_ticks(colours)
        self._set_key()
        self._key_ground()

    def set_title(self, title: str) -> None:
        """Words above the picture, for one that stands alone."""
        self.artists.title.set_text(title)
        self.artists.title.set_visible(bool(title))
        self.fit()

    def look(self, view: View) -> None:
        """Show this stretch of days and gravities."""
        self.view = view
        a = self.artists
        if a.rate.get_xlim() != view[:2]:
            for axes in (a.gravity, a.rate):
                axes.set_xlim(view.left, view.right)
        low, high = self._edges(view)
        if a.gravity.get_ylim() != (low, high):
            a.gravity.set_ylim(low, high)
        self._marks.look(view)
        show_today(a, self.scene.today, view)
        _show(self._outside and view == self.home, a.outside_label)
        self.fit()

    def _edges(self, view: View) -> tuple[float, float]:
        """The ends of the axis of gravities."""
        low, high = map(float, self._level.of_view(view[2:]))
        if high - low < _LEAST_HEIGHT:  # beyond the ends of the scale all gravities are one number
            return low - _LEAST_HEIGHT, high + _LEAST_HEIGHT
        return low, high

    # --- parts of the picture

    def _set_expected(self) -> None:
        a, curve, finish = self.artists, self.scene.curve, self.scene.finish
        spread = curve is not None and self.scene.with_band
        _show(curve is not None, a.expected, a.expected_label)
        _show(spread, a.band)
        _show(spread and self.scene.forecast is None, a.inner)
        _show(finish is not None and not self._level.is_difference, a.zone, a.zone_line, a.finish_label)
        if curve is not None:
            low, inner_low, inner_high, high = (self._level.of(edge, curve.days) for edge in curve.band)
            a.expected.set_data(curve.days, self._level.of(curve.gravity, curve.days))
            a.band.set_data(curve.days, low, high)
            a.inner.set_data(curve.days, inner_low, inner_high)
        self._set_recipe_alone()
        if finish is not None:
            forecast = self.scene.forecast
            rests = finish.gravity if forecast is None else forecast.finish_gravity
            low, typical, high = self._level.scale(np.array(rests))
            a.zone.set_y(low)
            a.zone.set_height(high - low)
            a.zone_line.set_ydata([typical, typical])
            stands = forecast is not None and forecast.stands
            word = "expected finish" if forecast is None else f"forecast: {'stopped' if stands else 'stops'} at"
            a.finish_label.set_text(f"{word} {self._display.gravity(rests.typical)}{self._when_finished()}")
        empty = self.scene.is_empty
        a.empty_label.set_text("The expected curve appears here\nonce the recipe holds fruit or honey.")
        _show(empty, a.empty_label)
        _show(
            not empty, a.rate, a.warmth, a.gravity.patch, a.gravity.xaxis, a.gravity.yaxis, *a.gravity.spines.values()
        )
        if not empty:
            _show(False, a.gravity.spines["top"], a.gravity.spines["right"])

    def _when_finished(self) -> str:
        """The days between which the forecast sees it at rest, where they are still to come."""
        forecast = self.scene.forecast
        if (
            forecast is None
            or not np.all(np.isfinite(forecast.finish_day))
            or forecast.finish_day.high <= forecast.today
        ):
            return ""
        if forecast.finish_day.high - forecast.finish_day.low > _VAGUE:
            return ""
        low, high = (self._display.number(day, 0) for day in (forecast.finish_day.low, forecast.finish_day.high))
        return f", day {low}" if low == high else f", day {low} to {high}"

    def _set_forecast(self) -> None:
        """The course as the log has it, from the last reading on, and where and when it should come to rest."""
        a, forecast = self.artists, self.scene.forecast
        _show(forecast is not None, a.foreseen, a.foreseen_band)
        dated = bool(self._when_finished()) and not self._level.is_difference
        _show(dated, a.landing)
        if forecast is None:
            return
        ahead = forecast.days >= forecast.today - 1e-6
        if self.scene.curve is not None:
            ahead &= forecast.days <= self.scene.curve.days[-1] + 2.0
        days = forecast.days[ahead]
        a.foreseen.set_data(days, self._level.of(forecast.gravity[ahead], days))
        a.foreseen_band.set_data(days, *(self._level.of(edge[ahead], days) for edge in forecast.band[[0, 3]]))
        if dated:
            low, _, high = forecast.finish_day
            under, _, over = self._level.scale(np.array(forecast.finish_gravity))
            a.landing.set_x(low)
            a.landing.set_width(max(high - low, 0.2))
            a.landing.set_transform(a.gravity.transData)
            a.landing.set_y(under)
            a.landing.set_height(over - under)

    def _set_recipe_alone(self) -> None:
        """What the recipe alone would do, where a measured start has moved the course away from it."""
        a, curve = self.artists, self.scene.curve
        planned = None if curve is None else curve.planned
        differs = curve is not None and planned is not None and bool(np.max(np.abs(planned - curve.gravity)) > TELLING)
        _show(differs, a.recipe_alone)
        if curve is not None and planned is not None and differs:
            a.recipe_alone.set_data(curve.days, self._level.of(planned, curve.days))

    def _set_marks(self) -> None:
        a, scene = self.artists, self.scene
        self._marks.show_events(scene)
        _show(scene.stopped is not None, a.rest, a.rest_label)
        if scene.stopped is not None:
            first, last = scene.stopped
            a.rest.set_x(first)
            a.rest.set_width(last - first)
        self._set_key()

    def _set_outside(self) -> None:
        """Words for readings that the view of the course leaves out."""
        text = outside_text(self.scene, self.home, self._display)
        self._outside = bool(text)
        self.artists.outside_label.set_text(text)

    def _set_key(self) -> None:
        """A key to the kinds of point that there are, and to the curve of the recipe alone."""
        shown = self._marks.key(self.scene)
        if self.artists.recipe_alone.get_visible():
            shown.append(Key(self.artists.recipe_alone, "recipe alone"))
        if self.scene.earlier is not None:
            shown.append(Key(self.artists.earlier, self.scene.earlier.short_name))
        if self.scene.ph.day.size:
            shown.append(Key(self.artists.acidity, "pH"))
        columns = columns_for(shown, self._figure, self._font)
        self._key_size = size_of(shown, columns, self._font)
        key = (tuple(shown), self._colours, columns)
        if key != self._key_of:
            self._key_of = key
            show_key(self.artists, shown, self._colours, columns)

    # --- layout: called when the view, the size or the scene changes

    def fit(self) -> None:
        """Fixed margins in sizes of the text, ticks that fit between them, and labels where there is room."""
        self._set_key()
        em = self._font.points / 72.0
        wide, height = self._figure.get_size_inches()
        title = 1.9 if self.artists.title.get_visible() else 0.0
        top = (_TOP_DATED if self.scene.pitched_at else _TOP) + title
        left, right = _LEFT * em / wide, 1.0 - _RIGHT * em / wide
        bottom, upper = _BOTTOM * em / height, 1.0 - top * em / height
        room = upper - bottom - _GAP * em / height
        if right - left < 0.05 or room < 0.05:
            return  # too small to show anything; a splitter may pass through here
        shows_below = room * height / em >= _LEAST_FOR_BELOW
        below = _SHARE_BELOW * room if shows_below else _NOTHING
        self.artists.gravity.set_position((left, upper - room + below, right - left, room - below))
        for axes in (self.artists.rate, self.artists.warmth):
            axes.set_position((left, bottom, right - left, below))
        self.artists.title.set_position((left, 1.0 - 0.6 * em / height))
        self.artists.warmth.set_visible(shows_below and not self.scene.is_empty)
        if self._key_ground():
            self._set_ticks((right - left) * wide / em, (room - below) * height / em, below * height / em)
        ems = (right - left) * wide / em, (room - below) * height / em, below * height / em
        labels = CurveLabels(self.artists, self.scene, self.view, self._level, self._edges(self.view), ems)
        labels.place(self._display, self._below.kept, self._marks.level_of_points, self._key_size)

    def _key_ground(self) -> bool:
        """Note what the ground depends on; whether that is other than before."""
        a = self.artists
        axes = ((x.get_visible(), x.yaxis.get_visible(), x.get_ylim(), x.get_position().bounds)
                for x in (a.gravity, a.rate, a.warmth))  # fmt: skip
        ground = (
            *axes, a.rate.get_xlim(), self._figure.get_size_inches().tolist(), self._display, self._colours,
            self._level.is_difference, self.by_date, self.scene.pitched_at, a.gravity.patch.get_visible(),
        )  # fmt: skip
        is_other = ground != self.ground
        self.ground = ground
        return is_other

    def _set_ticks(self, ems_across: float, ems_up: float, ems_below: float) -> None:
        a, view, number = self.artists, self.view, self._display.number
        brix = self._display.gravity_scale == GravityScale.BRIX
        low, high = self._edges(view)
        if self._level.is_difference:
            levels = ticks(low, high, _MOST_LINES, 0.1)
            places = 0 if np.allclose(levels, np.round(levels)) else 1
            a.gravity.set_yticks(levels, [self._signed(float(level), places) for level in levels])
            a.gravity.set_ylabel("above expected, °Brix" if brix else "above expected, points")
        else:
            levels = ticks(low, high, _MOST_LINES, 0.1 if brix else 0.001)
            a.gravity.set_yticks(levels, [number(float(level), 1 if brix else 3) for level in levels])
            named = ems_up > width(_LONG_NAME, self._font.families)
            a.gravity.set_ylabel(f"gravity{', °Brix' if brix else ''}" if brix or not named else _LONG_NAME)
        self._set_days(ems_across)
        shows_below = ems_below > 1.0
        a.rate.spines["bottom"].set_visible(shows_below)
        if not shows_below:
            a.rate.set_yticks([])
            a.rate.set_ylabel("")
            a.warmth.set_yticks([])
            self._place_names(ems_across)
            return
        most = 3 if ems_below > 3.5 else 2
        steps = ticks(0.0, a.rate.get_ylim()[1], most, 0.1)
        places = 0 if np.allclose(steps, np.round(steps)) else 1
        a.rate.set_yticks(steps, [number(float(step), places) for step in steps])
        a.rate.set_ylabel("°Bx\na day" if brix else "points\na day")
        symbol = "°F" if self._display.system == System.US else "°C"
        warm = self._warm_ticks(ems_below)
        a.warmth.set_yticks(warm, [f"{number(float(degree), 0)}\u00a0{symbol}" for degree in warm])
        self._place_names(ems_across)

    def _warm_ticks(self, ems_below: float) -> Array:
        """Temperatures beside the lower axis: as many as stand clear of one another, and one alone is no scale."""
        low, high = self.artists.warmth.get_ylim()
        most = max(int(ems_below / _LINE), 2)
        for wanted in (most, most + 1, most + 2):
            found = ticks(low, high, wanted, 1.0)
            if found.size >= 2:
                break
        step = max(int(np.ceil(found.size / most)), 1)
        return found[::step]

    def _place_names(self, ems_across: float) -> None:
        for axes, left in ((self.artists.gravity, -4.1), (self.artists.rate, -2.9)):
            axes.yaxis.set_label_coords(left / ems_across, 0.5)

    def _set_days(self, ems_across: float) -> None:
        """Days and dates: one below, the other above."""
        a, view, number = self.artists, self.view, self._display.number
        days, decimals = day_ticks(view.left, view.right, max(2, int(ems_across / 3.5)))
        pitched = self.scene.pitched_at
        dates = [] if pitched is None else date_ticks(view.left, view.right, pitched, max(2, int(ems_across / 6.0)))
        by_day = (days, [number(float(day), decimals) for day in days])
        by_date = ([day for day, _ in dates], [self._date_label(moment) for _, moment in dates])
        swapped = self.by_date and pitched is not None
        below, above = (by_date, by_day) if swapped else (by_day, by_date)
        a.rate.set_xticks(*below)
        a.gravity.set_xticks(*above)
        year = f", {pitched.year}" if pitched is not None else ""
        a.rate.set_xlabel(f"date{year}; above, days since pitching" if swapped else "days since pitching", labelpad=2)

    def _signed(self, value: float, places: int) -> str:
        text = self._display.number(value, places)
        return f"+{text}" if value > 1e-9 else text

    def _date_label(self, moment: datetime) -> str:
        if moment.hour or moment.minute:
            return time_text(moment, self._display.locale)
        return date_text(moment.date(), self._display.locale, moment.year)  # the axis names the year of pitching

    # --- what lies over the picture

    def select(self, index: int | None) -> None:
        """Ring the reading of this place in the log."""
        self._selected = index
        places = np.flatnonzero(self.scene.points.index == index) if index is not None else np.empty(0, dtype=int)
        halo = self.artists.halo
        halo.set_visible(places.size > 0)
        halo.set_data(self.scene.points.day[places], self._marks.level_of_points[places])

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
            a.cursor_dot.set_data([day], [float(self._level.of(np.interp(day, curve.days, curve.gravity), day))])
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
        spots = self.artists.gravity.transData.transform(
            np.column_stack((self.scene.points.day, self._marks.level_of_points))
        )
        off = np.abs(spots[:, 0] - x) if y is None else np.hypot(spots[:, 0] - x, spots[:, 1] - y)
        place = int(np.argmin(off))
        return Near(place, float(off[place]))

    def pixel_of(self, day: float) -> float:
        """Where a day is across the figure."""
        return float(self.artists.gravity.transData.transform((day, 0.0))[0])


def _show(visible: bool, *artists: Artist) -> None:
    for artist in artists:
        artist.set_visible(visible)
