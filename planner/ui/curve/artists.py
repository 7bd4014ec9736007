"""The artists of the fermentation curve: made once, each with its role, its shape and the colour of that role."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon, Rectangle
from matplotlib.text import Text

from planner.document.reading_kinds import TELLING
from planner.ui.log.signs import SHAPES
from planner.ui.theme import NOTE, Colours, contrast

SMALL, LOUD = NOTE, 1.9
"""Sizes of labels and of the one word that must be seen from afar, as shares of the interface's text. [-]"""

TEXT_CONTRAST = 4.5

MOST_PH = 12
"""As many pH values are written beside their marks."""

_BAND, _INNER, _ZONE, _REST = 0.16, 0.22, 0.20, 0.16  # opacities


class PlotFont(NamedTuple):
    """The interface's font: families in order of preference, and its size in points."""

    families: tuple[str, ...] = ("DejaVu Sans",)
    points: float = 10.0


class Ribbon(Polygon):
    """What lies between two edges; put on its axes when made."""

    def __init__(self, axes: Axes, opacity: float, zorder: float) -> None:
        super().__init__(np.zeros((1, 2)), closed=True, alpha=opacity, linewidth=0.0, zorder=zorder)
        axes.add_patch(self)

    def set_data(self, days: npt.ArrayLike, low: npt.ArrayLike, high: npt.ArrayLike) -> None:
        """Other edges."""
        there, back = np.column_stack((days, low)), np.column_stack((days, high))[::-1]
        self.set_xy(np.concatenate((there, back)))


class Artists:
    """Everything drawn on the three axes; `restyle` gives each its colour."""

    def __init__(self, figure: Figure, font: PlotFont) -> None:
        self.font = font
        self.figure = figure
        self.gravity: Axes = figure.add_axes((0.1, 0.3, 0.8, 0.6))
        self.rate: Axes = figure.add_axes((0.1, 0.1, 0.8, 0.18))
        self.warmth: Axes = self.rate.twinx()
        # Whole axes lie over one another, so that a mark reaching out of the upper ones is not cut by the lower.
        self.rate.set_zorder(-2.0)
        self.warmth.set_zorder(-1.0)
        self._tones: list[tuple[Callable[[str], object], str]] = []
        self._coloured_words: list[tuple[Text, str]] = []
        self._frame()
        self._expected()
        self._logged()
        self._below()
        self._words()
        self._over()

    def restyle(self, colours: Colours) -> None:
        """Give every artist the colour of its role."""
        for give, role in self._tones:
            give(getattr(colours, role))
        for text, role in self._coloured_words:
            text.set_color(readable(getattr(colours, role), colours))

    def overlay(self) -> tuple[tuple[Axes, Line2D | Text], ...]:
        """What is drawn over the finished picture, from the bottom up, each with its axes."""
        return (
            (self.rate, self.cursor_below),
            (self.gravity, self.cursor),
            (self.gravity, self.cursor_dot),
            (self.gravity, self.halo),
            (self.gravity, self.readout),
        )

    def _tone(self, role: str, *setters: Callable[[str], object]) -> None:
        self._tones += [(setter, role) for setter in setters]

    def _frame(self) -> None:
        self._tone("window", self.figure.set_facecolor)
        self.warmth.patch.set_visible(False)
        for axes in (self.gravity, self.rate, self.warmth):
            for side, spine in axes.spines.items():
                spine.set_visible(side in ("left", "bottom") and axes is not self.warmth)
                self._tone("edge", spine.set_edgecolor)
            axes.xaxis.set_tick_params(length=3)
            axes.yaxis.set_tick_params(length=0, pad=5)
        for axes in (self.gravity, self.rate):
            self._tone("window", axes.set_facecolor)
            axes.set_axisbelow(True)
        self.gravity.xaxis.tick_top()
        self.gravity.xaxis.set_tick_params(length=0, pad=3)
        self.gravity.yaxis.grid(True, linewidth=0.8)

    def restyle_ticks(self, colours: Colours) -> None:
        """Give the labels of ticks, which come and go, their colour and size."""
        size = self.font.points
        for axes in (self.gravity, self.rate, self.warmth):
            axes.tick_params(
                colors=colours.edge, labelcolor=colours.dim, labelsize=size, labelfontfamily=self.font.families
            )
        self.gravity.tick_params(axis="y", labelcolor=colours.text, grid_color=colours.line)
        self.rate.tick_params(axis="x", labelcolor=colours.text)

    def _expected(self) -> None:
        axes = self.gravity
        self.zone = axes.axhspan(0.0, 0.0, alpha=_ZONE, linewidth=0.0, zorder=1.0)
        self.zone_line = axes.axhline(0.0, linewidth=1.0, linestyle=(0, (6, 3)), zorder=1.1)
        self.band, self.inner = Ribbon(axes, _BAND, 1.5), Ribbon(axes, _INNER, 1.6)
        (self.expected,) = axes.plot([], [], linewidth=2.0, zorder=2.0)
        self.foreseen_band = Ribbon(axes, _BAND, 1.55)
        (self.foreseen,) = axes.plot([], [], linewidth=2.0, linestyle=(0, (1, 1.2)), zorder=2.1)
        self.landing: Rectangle = axes.axvspan(0.0, 0.0, alpha=_ZONE, linewidth=1.2, zorder=1.15)
        (self.recipe_alone,) = axes.plot([], [], linewidth=1.3, linestyle=(0, (3, 2)), zorder=1.9)
        self.rest: Rectangle = axes.axvspan(0.0, 0.0, linewidth=0.0, zorder=1.2, hatch="//")
        self.rest.set_hatch_linewidth(2.0)
        (self.earlier,) = axes.plot([], [], linewidth=1.2, zorder=1.85)
        self.earlier_marks = self._marks(axes, "o", 4.0, 1.86)
        self.today = axes.axvline(0.0, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1.3)
        self.today_below = self.rate.axvline(0.0, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1.3)
        self.today_label = self._text(self.rate, "text", va="top", zorder=3.7)
        self.today_label.set_text("today")
        self.today_label.set_y(0.97)
        self.today_label.set_transform(self.rate.get_xaxis_transform())
        self._lay_ground(self.today_label, "square,pad=0.1", 0.0, "window", "window", 0.75)
        self._tone("dim", self.earlier.set_color, self.earlier_marks.set_color)
        self._tone("window", self.earlier_marks.set_markeredgecolor)
        self._tone("text", self.today.set_color, self.today_below.set_color)
        self._tone("finish", self.zone.set_facecolor, self.zone_line.set_color)
        self._tone("expected", self.band.set_facecolor, self.inner.set_facecolor, self.expected.set_color)
        self._tone("dim", self.recipe_alone.set_color)
        self._tone("logged", self.foreseen.set_color, self.foreseen_band.set_facecolor)
        self._tone("finish", self.landing.set_facecolor, self.landing.set_edgecolor)
        self._tone("stall", self._colour_rest)

    def _colour_rest(self, colour: str) -> None:
        self.rest.set_facecolor((colour, _REST))
        self.rest.set_edgecolor((colour, 0.55))

    def _logged(self) -> None:
        axes = self.gravity
        (self.bars,) = axes.plot([], [], linewidth=1.2, zorder=3.0)
        self.marks = {kind: self._marks(axes, SHAPES[kind], 6.0, 3.1 + 0.05 * n) for n, kind in enumerate(TELLING)}
        self.left_out_marks = {kind: self._marks(axes, SHAPES[kind], 6.5, 2.8) for kind in TELLING}
        self.hydrometer, self.sugar = self.marks["hydrometer"], self.marks["sugar"]
        self.left_out = self.left_out_marks["hydrometer"]
        self.given = self._marks(axes, "^", 9.0, 4.0)
        self.done = self._marks(axes, "|", 13.0, 4.0)
        self.tastes = self._marks(axes, "*", 10.0, 4.0)
        self.feeds = self._marks(axes, "^", 9.0, 4.0)
        self.additions, self.added = (self._marks(axes, SHAPES["added"], 10.0, 4.1) for _ in range(2))
        self.third = self._marks(axes, "|", 16.0, 4.0)
        self._tone("logged", self.bars.set_color, *(line.set_color for line in self.marks.values()))
        self._tone("window", *(line.set_markeredgecolor for line in self.marks.values()))
        for hollow in self.left_out_marks.values():
            hollow.set_markerfacecolor("none")
            hollow.set_markeredgewidth(1.5)
            self._tone("excluded", hollow.set_markeredgecolor)
        self._tone(
            "logged",
            self.given.set_markerfacecolor,
            self.added.set_markerfacecolor,
            self.tastes.set_markerfacecolor,
            self.done.set_markeredgecolor,
        )
        self._tone(
            "window", self.given.set_markeredgecolor, self.added.set_markeredgecolor, self.tastes.set_markeredgecolor
        )
        self.done.set_markeredgewidth(2.2)
        self._tone(
            "event", self.feeds.set_markerfacecolor, self.additions.set_markerfacecolor, self.third.set_markeredgecolor
        )
        self._tone("window", self.feeds.set_markeredgecolor, self.additions.set_markeredgecolor)
        self.third.set_markeredgewidth(2.5)
        self.feed_label, self.third_label = (self._text(axes, "event", va="bottom", zorder=3.9) for _ in range(2))
        for label in (self.feed_label, self.third_label):
            label.set_transform(axes.get_xaxis_transform())
            self._lay_ground(label, "square,pad=0.1", 0.0, "window", "window", 0.75)
        for mark in (self.feeds, self.additions, self.added, self.third, self.given, self.done, self.tastes):
            mark.set_transform(axes.get_xaxis_transform())
            mark.set_clip_on(False)

    def _below(self) -> None:
        (self.expected_fall,) = self.rate.plot([], [], linewidth=1.5, zorder=2.0)
        (self.measured_fall,) = self.rate.plot([], [], linewidth=2.2, solid_capstyle="butt", zorder=3.0)
        (self.planned,) = self.warmth.plot(
            [], [], linewidth=1.2, drawstyle="steps-post", linestyle=(0, (4, 2)), zorder=2.5
        )
        self.sampled = self._marks(self.warmth, "x", 4.0, 2.6)
        self.sampled.set_markeredgewidth(1.3)
        self.acidity = self._marks(self.rate, SHAPES["ph"], 6.5, 3.4)
        self.acidity.set_markeredgewidth(0.0)
        self.acidity.set_transform(self.rate.get_xaxis_transform())
        self.acidity_labels = [
            self._text(self.rate, "text", va="bottom", ha="center", zorder=3.5) for _ in range(MOST_PH)
        ]
        for label in self.acidity_labels:
            label.set_transform(self.rate.get_xaxis_transform())
            self._lay_ground(label, "square,pad=0.1", 0.0, "window", "window", 0.75)
        self._tone("expected", self.expected_fall.set_color)
        self._tone("logged", self.measured_fall.set_color)
        self._tone("dim", self.planned.set_color, self.sampled.set_color)
        self._tone("logged", self.acidity.set_color)

    def _words(self) -> None:
        self.finish_label = self._text(self.gravity, "finish", va="top", ha="right", zorder=3.8)
        self._lay_ground(self.finish_label, "square,pad=0.1", 0.0, "window", "window", 0.75)
        self.expected_label = self._text(self.gravity, "expected", va="bottom", ha="left", zorder=3.8)
        self._lay_ground(self.expected_label, "square,pad=0.1", 0.0, "window", "window", 0.9)
        self.foreseen_label = self._text(self.gravity, "logged", va="bottom", ha="left", zorder=2.5)
        self._lay_ground(self.foreseen_label, "square,pad=0.1", 0.0, "window", "window", 0.75)
        self.warmth_label = self._text(self.warmth, "dim", va="bottom", ha="right", zorder=2.7)
        self.rest_label = self._text(self.gravity, "text", va="center", ha="center", zorder=3.5)
        self.rest_label.set_fontsize(LOUD * self.font.points)
        self.rest_label.set_fontweight("bold")
        self._lay_ground(self.rest_label, "round,pad=0.25", 2.0, "window", "stall")
        self.outside_label = self._text(self.gravity, "logged", va="center", ha="right", zorder=3.9)
        self.outside_label.set_transform(self.gravity.transAxes)
        self.outside_label.set_position((0.985, 0.6))
        self._lay_ground(self.outside_label, "square,pad=0.1", 0.0, "window", "window", 0.75)
        self.empty_label = self._text(self.gravity, "dim", va="center", ha="center", zorder=5.0)
        self.empty_label.set_fontsize(self.font.points)
        self.empty_label.set_transform(self.figure.transFigure)
        self.empty_label.set_clip_on(False)
        self.empty_label.set_position((0.5, 0.5))
        self.title = self.figure.text(0.0, 0.0, "", ha="left", va="top", parse_math=False, visible=False)
        self.title.set_fontfamily(self.font.families)
        self.title.set_fontsize(1.2 * self.font.points)
        self.title.set_fontweight("bold")
        for label in (self.gravity.yaxis.label, self.rate.yaxis.label, self.rate.xaxis.label):
            label.set_fontfamily(self.font.families)
            label.set_fontsize(self.font.points)
            self._tone("dim", label.set_color)
        self._tone("text", self.title.set_color)

    def _over(self) -> None:
        self.cursor = self.gravity.axvline(0.0, linewidth=1.0)
        self.cursor_below = self.rate.axvline(0.0, linewidth=1.0)
        self.cursor_dot = self._marks(self.gravity, "o", 5.0, 6.0)
        self.halo = self._marks(self.gravity, "o", 14.0, 6.0)
        self.halo.set_markerfacecolor("none")
        self.halo.set_markeredgewidth(2.5)
        self.readout = self._text(self.gravity, "text", va="top", ha="right", zorder=7.0)
        self.readout.set_transform(self.gravity.transAxes)
        self.readout.set_linespacing(1.35)
        self.readout.set_multialignment("left")
        self._lay_ground(self.readout, "round,pad=0.45", 0.8, "raised", "edge")
        self._tone("dim", self.cursor.set_color, self.cursor_below.set_color)
        self._tone("expected", self.cursor_dot.set_color)
        self._tone("accent", self.halo.set_markeredgecolor)
        for _, artist in self.overlay():
            artist.set_animated(True)
            artist.set_visible(False)

    def _lay_ground(self, text: Text, shape: str, edge: float, role: str, edge_role: str, opacity: float = 1.0) -> None:
        """Put a ground under words, so that what lies below does not run through them."""
        text.set_bbox({"boxstyle": shape, "linewidth": edge, "alpha": opacity})
        box = text.get_bbox_patch()
        assert box is not None
        self._tone(role, box.set_facecolor)
        self._tone(edge_role, box.set_edgecolor)

    def _marks(self, axes: Axes, marker: str, size: float, zorder: float) -> Line2D:
        (line,) = axes.plot(
            [], [], linestyle="none", marker=marker, markersize=size, markeredgewidth=0.8, zorder=zorder
        )
        return line

    def _text(self, axes: Axes, role: str, **style: Any) -> Text:
        text = axes.text(0.0, 0.0, "", parse_math=False, clip_on=True, **style)
        text.set_fontfamily(self.font.families)
        text.set_fontsize(SMALL * self.font.points)
        self._coloured_words.append((text, role))
        return text


def readable(colour: str, colours: Colours) -> str:
    """The colour, mixed with that of text as far as small words on the plot's ground ask for (4.5 to one, WCAG 2.1)."""
    mixed = colour
    for tenths in range(1, 11):
        if contrast(mixed, colours.window) >= TEXT_CONTRAST:
            break
        pairs = ((int(colour[i : i + 2], 16), int(colours.text[i : i + 2], 16)) for i in (1, 3, 5))
        mixed = "#" + "".join(f"{round(a + (b - a) * tenths / 10.0):02x}" for a, b in pairs)
    return mixed
