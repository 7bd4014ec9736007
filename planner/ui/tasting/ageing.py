"""How what tasters marked changes with the time in the bottle."""

from __future__ import annotations

from typing import NamedTuple

from matplotlib.backends.backend_qtagg import FigureCanvasQTAgg
from matplotlib.figure import Figure
from PySide6.QtCore import QEvent
from PySide6.QtGui import QGuiApplication, QPalette, QResizeEvent
from PySide6.QtWidgets import QWidget

from planner.document.batch import Batch
from planner.document.bottled import bottled
from planner.document.timestamps import SECONDS_PER_DAY, parsed
from planner.tasting.sheet import AGEING, LINES
from planner.ui import theme
from planner.ui.curve.canvas import plot_font
from planner.ui.parts_made import is_made
from planner.ui.pictures import leave_room

_LEAST = (34, 9)
"""Width [figures] and height [lines] in which its words have room."""

MARKS = ("o", "s", "^", "D", "v", "P", "X")
"""One for each line, so that no colour is needed to tell them apart."""


class Ageing(NamedTuple):
    """Marks over time.

    `since` says from when days count; `lines` has days and marks of each line that was marked, by its key. [d], [of 10]
    """

    since: str
    lines: dict[str, list[tuple[float, float]]]


def ageing(batch: Batch) -> Ageing:
    """What was marked when: in days in the bottle where bottling is dated, else since the first tasting that is."""
    end = bottled(batch)
    moments = [(parsed(tasting.at) if tasting.at else None, tasting) for tasting in batch.tastings]
    dated = sorted(((at, tasting) for at, tasting in moments if at is not None), key=lambda pair: pair[0])
    if not dated:
        return Ageing("", {})
    is_bottled = end is not None and end.moment is not None
    start = end.moment if end is not None and end.moment is not None else dated[0][0]
    lines: dict[str, list[tuple[float, float]]] = {}
    for at, tasting in dated:
        for mark in tasting.marks:
            if mark.value is not None and mark.line in AGEING:
                days = (at - start).total_seconds() / SECONDS_PER_DAY
                lines.setdefault(mark.line, []).append((days, mark.value))
    told = "Days in the bottle" if is_bottled else "Days since the first tasting"
    return Ageing(told, {key: lines[key] for key in AGEING if key in lines})


class AgeingPicture(FigureCanvasQTAgg):
    """The picture of it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        screen = QGuiApplication.primaryScreen()
        super().__init__(Figure(dpi=screen.logicalDotsPerInch() if screen else 96.0))  # type: ignore[no-untyped-call]
        self.setParent(parent)
        self.setPalette(QPalette())
        self.found = Ageing("", {})
        self.setAccessibleName("Marks over time")
        metrics = self.fontMetrics()
        self.setMinimumSize(_LEAST[0] * metrics.horizontalAdvance("0"), _LEAST[1] * metrics.lineSpacing())

    def show_batch(self, batch: Batch) -> None:
        """Draw the marks of a batch."""
        found = ageing(batch)
        if found != self.found or not self.figure.axes:
            self.found = found
            self._draw_all()

    def _draw_all(self) -> None:
        tones, font = theme.colours_on(self.palette()), plot_font(self.font())
        colours = (tones.expected, tones.logged, tones.finish, tones.excluded, tones.stall, tones.text, tones.accent)
        self.figure.clear()
        self.figure.set_facecolor(tones.window)
        axes = self.figure.add_subplot(facecolor=tones.window)
        for (key, marks), colour, sign in zip(self.found.lines.items(), colours, MARKS, strict=False):
            days, values = zip(*marks, strict=True)
            axes.plot(days, values, marker=sign, color=colour, linewidth=1.2, markersize=4.5, label=LINES[key].name)
        axes.set_ylim(-0.4, 10.4)
        axes.set_xlabel(self.found.since)
        axes.grid(color=tones.line, linewidth=0.6)
        axes.tick_params(colors=tones.dim)
        for spine in axes.spines.values():
            spine.set_color(tones.edge)
        texts = [axes.xaxis.label, *axes.get_xticklabels(), *axes.get_yticklabels()]
        axes.xaxis.label.set_color(tones.dim)
        if self.found.lines:
            texts += axes.legend(frameon=False, labelcolor=tones.text, ncols=2, loc="upper left").get_texts()
        else:
            axes.set_axis_off()
            told = "Marks of dated sheets\nare drawn here over time"
            texts.append(axes.text(0.5, 0.5, told, transform=axes.transAxes, ha="center", color=tones.dim))
        for text in texts:
            text.set_fontfamily(font.families)
            text.set_fontsize(font.points * theme.NOTE)
        leave_room(self.figure, font.points * theme.NOTE)
        self.draw_idle()  # type: ignore[no-untyped-call]

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)  # type: ignore[no-untyped-call]
        leave_room(self.figure, plot_font(self.font()).points * theme.NOTE)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange) and is_made(self, "found"):
            self._draw_all()
