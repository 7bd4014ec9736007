"""The stages of a batch on the stem of a hydrometer laid flat: how far it has come, and what is still to come."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.document.timestamps import day_of
from planner.evaluation.headline import STAGES
from planner.evaluation.outcome import Outcome
from planner.timeline.verdict_rule import STALLED
from planner.ui import theme
from planner.ui.log.when import now
from planner.ui.widgets.label import as_it_is

_NAMES = ("Planned", "Fermenting", "Finished", "Adjusted", "Bottled")
_AT_PRESENT = {"rest": "Stopped", "adjust": "Adjusting"}
"""What a stage is called while the batch is in it, where that is another word."""
_FERMENT = STAGES.index("ferment")
_MARKS = 10
"""Small marks of a stage."""
_HIGH = 1.5
"""Height of the stem, as units of the grid."""
_HALF = 0.5
"""How far a stage has come of which nothing tells."""


class Place(NamedTuple):
    """Where a batch stands: the stage by its number, its words, the share of it that is done, and whether it stalled."""

    stage: int
    words: str
    share: float
    is_stalled: bool


def place_of(outcome: Outcome) -> Place:
    """Where a batch stands, by what follows from it."""
    stage, log = outcome.headline.stage, outcome.batch.log
    if outcome.verdict is not None and outcome.verdict.kind == STALLED and stage in ("ferment", "rest"):
        return Place(_FERMENT, "Stalled", _HALF, True)
    number = STAGES.index(stage)
    words = _AT_PRESENT.get(stage, _NAMES[number])
    day = day_of(now().isoformat(), None, log.pitched_at) if log.pitched_at and stage == "ferment" else None
    if day is None or day < 0.0:
        return Place(number, words, 1.0 if stage == "bottled" else _HALF, False)
    ends = outcome.finish.day.typical if outcome.finish is not None else 2.0 * day
    return Place(number, f"{words} · day {int(day)}", min(day / max(ends, 1.0), 0.95), False)


class Stem(QWidget):
    """Done is ticked and filled, the present bold and in the accent, what is to come empty; a stall is hatched."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._place: Place | None = None
        self._font = theme.sized(self.font(), theme.NOTE)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Stage of the batch")

    @property
    def place(self) -> Place | None:
        """Where the batch stands; None before it was worked out."""
        return self._place

    def show_outcome(self, outcome: Outcome) -> None:
        """Show where a batch stands."""
        place = place_of(outcome)
        if place != self._place:
            self._place = place
            told = f"{place.words}: stage {place.stage + 1} of {len(STAGES)}"
            self.setAccessibleDescription(told)
            self.setToolTip(as_it_is(told))
            self.update()

    def sizeHint(self) -> QSize:
        metrics = QFontMetrics(self._font)
        return QSize(40 * metrics.horizontalAdvance("0"), metrics.height() + 4 * theme.unit(metrics))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tones = QPainter(self), theme.colours_on(self.palette())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        step = theme.unit(self.fontMetrics())
        left, wide = 2.0 * step, (self.width() - 4.0 * step) / len(STAGES)
        foot = self.height() - 3.0 * step
        for number in range(len(STAGES)):
            room = QRectF(left + number * wide, foot, wide, _HIGH * step)
            self._paint_stage(painter, tones, number, room)
        painter.setPen(QPen(QColor(tones.edge), 1.0))
        end = left + len(STAGES) * wide
        painter.drawLine(QPointF(left, foot), QPointF(end, foot))
        painter.drawLine(QPointF(end, foot), QPointF(end, foot + 1.5 * _HIGH * step))
        painter.end()

    def _paint_stage(self, painter: QPainter, tones: theme.Colours, number: int, room: QRectF) -> None:
        present = -1 if self._place is None else self._place.stage
        share = 1.0 if number < present else self._place.share if self._place and number == present else 0.0
        painter.setPen(QPen(QColor(tones.edge), 1.0))
        for mark in range(_MARKS):
            x = room.left() + mark * room.width() / _MARKS
            painter.drawLine(
                QPointF(x, room.top()), QPointF(x, room.top() + room.height() * (1.5 if not mark else 0.6))
            )
        done = QRectF(room.left(), room.top(), share * room.width(), room.height())
        painter.setPen(Qt.PenStyle.NoPen)
        if share > 0.0:
            self._fill(painter, tones, done, number == present)
        self._write(painter, tones, number, QRectF(room.left(), 0.0, room.width(), room.top()))

    def _fill(self, painter: QPainter, tones: theme.Colours, done: QRectF, is_present: bool) -> None:
        is_stalled = is_present and self._place is not None and self._place.is_stalled
        colour = QColor(tones.warning if is_stalled else tones.accent if is_present else tones.dim)
        if is_stalled:
            painter.setBrush(QColor(tones.warned))
            painter.drawRect(done)
        painter.setBrush(QBrush(colour, Qt.BrushStyle.BDiagPattern if is_stalled else Qt.BrushStyle.SolidPattern))
        painter.drawRect(done)
        if is_present:  # a pointer below, as on the stem that is read
            tip, half = QPointF(done.right(), done.bottom() - 1.0), 0.7 * done.height()
            painter.setBrush(colour)
            painter.drawPolygon(QPolygonF([tip, tip + QPointF(half, half), tip + QPointF(-half, half)]))

    def _write(self, painter: QPainter, tones: theme.Colours, number: int, room: QRectF) -> None:
        place = self._place
        is_present = place is not None and number == place.stage
        is_done = place is not None and number < place.stage
        font = QFont(self._font)
        font.setBold(is_present)
        words = (
            place.words if place is not None and is_present else f"✓ {_NAMES[number]}" if is_done else _NAMES[number]
        )
        metrics, wide = QFontMetrics(font), int(room.width()) - 4
        if metrics.horizontalAdvance(words) > wide:  # words may be cut, digits never
            words = metrics.elidedText(words.partition(" ·")[0], Qt.TextElideMode.ElideRight, wide)
        ink = tones.dim
        if is_present:
            ink = tones.warning if place is not None and place.is_stalled else tones.accent
        painter.setFont(font)
        painter.setPen(QColor(tones.text if is_done else ink))
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
