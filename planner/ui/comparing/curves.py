"""The curves of several batches over one another."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.backends.backend_qtagg import FigureCanvasQTAgg
from matplotlib.figure import Figure
from PySide6.QtCore import QEvent
from PySide6.QtGui import QGuiApplication, QPalette, QResizeEvent
from PySide6.QtWidgets import QWidget

from planner.evaluation.outcome import Outcome
from planner.timeline.readings import DOSED, columns_of
from planner.ui import theme
from planner.ui.curve.artists import PlotFont
from planner.ui.curve.canvas import plot_font
from planner.ui.display import Display
from planner.ui.parts_made import is_made
from planner.ui.pictures import INCHES, leave_room, write_picture
from planner.units import GravityScale, Kind

Array = npt.NDArray[np.float64]

VIEWS = (
    ("gravity", "Gravity by day"),
    ("used", "Sugar used by day"),
    ("pace", "Pace by sugar used"),
)
"""What may be drawn over what."""

MARKS = ("o", "s", "^", "D", "v", "P")
"""One for each batch, so that no colour is needed to tell them apart."""

MOST_MARKS = 120
"""Readings of a batch that are drawn. [-] More of a sensor's are a line."""

LEAST_FALL = 0.010
"""Fall from start to dry from which shares of it are told. [-]"""

PACE_OVER = 2.0
"""Days over which a pace is told. [d] Readings a day apart scatter by as much as falls in one."""

_PAST_THE_END = 1.3
"""How far beyond the day on which it stopped a course is drawn. [-]"""


class Course(NamedTuple):
    """What is drawn of a batch: days [d] and gravities [-]."""

    name: str
    days: Array
    gravity: Array
    by_log: bool
    """Whether the line is what the log makes of it; else what is expected."""
    read: tuple[Array, Array]
    dosed: tuple[Array, Array]
    """Readings of the mead with what was stirred in."""
    start: float
    dry: float


def course_of(outcome: Outcome) -> Course | None:
    """What is drawn of a batch; None where nothing ferments in it."""
    curve, must, finish, after = outcome.curve, outcome.must, outcome.finish, outcome.posterior
    if curve is None or must is None or finish is None:
        return None
    told = columns_of(outcome.log)
    is_read = np.isfinite(told.day) & np.isfinite(told.gravity) & ~told.excluded & (told.day >= -0.5)
    of_ferment, dosed = is_read & (told.tells == "gravity"), is_read & (told.tells == DOSED)
    by_log = after is not None and after.now is not None
    days, gravity = (after.days, after.gravity) if by_log and after is not None else (curve.days, curve.gravity)
    end = max(float(finish.day.typical), *(told.day[of_ferment].tolist() or [0.0])) * _PAST_THE_END
    shown = days <= end
    return Course(
        outcome.batch.name, days[shown], gravity[shown], by_log,
        _thinned(told.day[of_ferment], told.gravity[of_ferment]), _thinned(told.day[dosed], told.gravity[dosed]),
        outcome.starting_gravity or must.first.typical, finish.dry_gravity.typical,
    )  # fmt: skip


def _thinned(days: Array, gravity: Array) -> tuple[Array, Array]:
    order = np.argsort(days, kind="stable")
    order = order[:: max(1, -(-order.size // MOST_MARKS))]
    return days[order], gravity[order]


def used(course: Course, gravity: Array) -> Array:
    """Share of the way from the start to a dry mead that is fallen. [-]"""
    return np.asarray((course.start - gravity) / max(course.start - course.dry, LEAST_FALL))


def draw(
    figure: Figure,
    font: PlotFont,
    courses: Sequence[Course | None],
    view: str,
    display: Display,
    tones: theme.Colours,
) -> None:
    """Draw batches over one another on an empty figure, in one of `VIEWS`."""
    scale = _Scale(view, display)
    figure.set_facecolor(tones.window)
    axes = figure.add_subplot(facecolor=tones.window)
    colours = (tones.expected, tones.logged, tones.finish, tones.excluded, tones.stall, tones.text)
    for course, colour, mark in zip(courses, colours, MARKS, strict=False):
        if course is not None:
            _draw_course(axes, course, scale, colour, mark)
    axes.set_xlabel("Sugar used, %" if view == "pace" else "Days since pitching")
    axes.set_ylabel({"gravity": "Gravity", "used": "Sugar used, %", "pace": f"{scale.unit} a day"}[view])
    axes.grid(color=tones.line, linewidth=0.6)
    axes.set_axisbelow(True)
    for spine in axes.spines.values():
        spine.set_color(tones.edge)
    if any(course is not None for course in courses):
        texts = list(axes.legend(frameon=False, labelcolor=tones.text).get_texts())
    else:
        axes.set_axis_off()
        texts = [axes.text(0.5, 0.5, "Nothing to draw yet", transform=axes.transAxes, ha="center", color=tones.dim)]
    axes.tick_params(colors=tones.dim)
    for label in (axes.xaxis.label, axes.yaxis.label):
        label.set_color(tones.dim)
    for text in (*texts, axes.xaxis.label, axes.yaxis.label, *axes.get_xticklabels(), *axes.get_yticklabels()):
        text.set_fontfamily(font.families)
        text.set_fontsize(font.points)
    leave_room(figure, font.points)


class _Scale(NamedTuple):
    view: str
    display: Display

    @property
    def unit(self) -> str:
        return "°Bx" if self.display.gravity_scale == GravityScale.BRIX else "Points"

    def level(self, gravity: Array) -> Array:
        """Gravities on the reader's scale."""
        return np.array([self.display.to_scale(float(value), Kind.GRAVITY) for value in gravity])

    def up(self, course: Course, gravity: Array) -> Array:
        """Gravities as they stand on the axis."""
        return 100.0 * used(course, gravity) if self.view == "used" else self.level(gravity)

    def pace(self, course: Course) -> tuple[Array, Array]:
        """Share that is used [-], and how fast it falls then, over `PACE_OVER`. [points or °Bx per day]"""
        days = np.arange(course.days[0], course.days[-1], 0.25)
        early, late = (np.clip(days + shift, days[0], days[-1]) for shift in (-0.5 * PACE_OVER, 0.5 * PACE_OVER))
        before, after = (self.level(np.interp(when, course.days, course.gravity)) for when in (early, late))
        fall = (before - after) / (late - early) * (1.0 if self.unit == "°Bx" else 1000.0)
        return used(course, np.interp(days, course.days, course.gravity)), fall


def _draw_course(axes: Axes, course: Course, scale: _Scale, colour: str, mark: str) -> None:
    style = "-" if course.by_log else "--"
    name = course.name if course.by_log else f"{course.name} (expected)"
    if scale.view == "pace":
        share, fall = scale.pace(course)
        axes.plot(100.0 * share, fall, style, color=colour, linewidth=1.4, label=name)
        return
    (days, read), (later, dosed) = course.read, course.dosed
    axes.plot(course.days, scale.up(course, course.gravity), style, color=colour, linewidth=1.4)
    axes.plot(
        days, scale.up(course, read), mark, color=colour, markersize=4.5, label=name,
        linestyle="none" if read.size else style,
    )  # fmt: skip
    if dosed.size and scale.view == "gravity":
        axes.plot(
            later,
            scale.level(dosed),
            mark,
            color=colour,
            fillstyle="none",
            markersize=6.0,
            label=f"{course.name}, dosed",
        )


class ComparedCurves(FigureCanvasQTAgg):
    """The picture. What it shows stands in words and figures in the tables below it, too."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        screen = QGuiApplication.primaryScreen()
        super().__init__(Figure(dpi=screen.logicalDotsPerInch() if screen else 96.0))  # type: ignore[no-untyped-call]
        self.setParent(parent)
        self.setPalette(QPalette())
        self._display, self._view = display, VIEWS[0][0]
        self.courses: tuple[Course | None, ...] = ()
        self.setAccessibleName("Curves of the batches over one another")
        self.setMinimumHeight(12 * self.fontMetrics().lineSpacing())

    def show_outcomes(self, outcomes: tuple[Outcome, ...]) -> None:
        """Draw these batches."""
        self.courses = tuple(course_of(outcome) for outcome in outcomes)
        self._draw_all()

    def set_view(self, view: str) -> None:
        """Draw another of `VIEWS`."""
        self._view = view
        self._draw_all()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self._draw_all()

    def save_picture(self, path: Path) -> None:
        """Write it as a picture, on a light ground.

        Raises
        ------
        FileError
            If it cannot be written.
        """
        figure = Figure(figsize=INCHES)
        self._draw_on(figure, theme.on_sheet(theme.LIGHT), PlotFont(plot_font(self.font()).families))
        write_picture(figure, path)

    def _draw_all(self) -> None:
        self.figure.clear()
        font = plot_font(self.font())
        self._draw_on(self.figure, theme.colours_on(self.palette()), font._replace(points=font.points * theme.NOTE))
        self.draw_idle()  # type: ignore[no-untyped-call]

    def _draw_on(self, figure: Figure, tones: theme.Colours, font: PlotFont) -> None:
        draw(figure, font, self.courses, self._view, self._display, tones)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)  # type: ignore[no-untyped-call]
        leave_room(self.figure, plot_font(self.font()).points * theme.NOTE)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange) and is_made(self, "courses"):
            self._draw_all()
