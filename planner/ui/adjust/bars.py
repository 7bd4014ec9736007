"""Before and after as bars: each property on a ruler whose marks are steps that tasters can just notice."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.adjusting.mead import Mead, noticed
from planner.ui import theme
from planner.ui.adjust.text import steps_text
from planner.ui.display import MINUS, Display
from planner.ui.widgets.remarks import small

FEWEST = 6.0
"""Steps that a ruler shows at least. [-]"""

_ROWS = (
    ("Sweetness", "sweetness"),
    ("Acid", "acid"),
    ("Body", "viscosity"),
    ("Alcohol", "alcohol"),
)
_WIDTH, _HEIGHT = 40, 1.6
"""Width of all rulers and height of each. [figures], [lines]"""


class Bar(NamedTuple):
    """One property, before and after, in noticeable steps from before. [-]"""

    caption: str
    steps: float


def bars(mead: Mead) -> tuple[Bar, ...]:
    """Each property's change in steps."""
    return tuple(
        Bar(caption, noticed(what, getattr(mead.before, what).typical, getattr(mead.after, what).typical))
        for caption, what in _ROWS
    )


class ChangeBars(QWidget):
    """A ruler for each property: the mead before stands in its middle, the bar reaches to where it is after."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._bars: tuple[Bar, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Changes in noticeable steps")
        self.setToolTip(
            "<p>Marks are steps that tasters can just notice; the bar shows how many of them each change is."
        )

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(_WIDTH * metrics.horizontalAdvance("0"), round(_HEIGHT * metrics.height()) * len(_ROWS))

    @property
    def bars(self) -> tuple[Bar, ...]:
        """What is drawn."""
        return self._bars

    def show_mead(self, mead: Mead) -> None:
        """Draw the changes of a mead."""
        shown = bars(mead)
        if shown == self._bars:
            return
        self._bars = shown
        self.setAccessibleDescription("; ".join(f"{bar.caption} {self._told(bar)} steps" for bar in self._bars))
        self.update()

    def set_display(self, display: Display) -> None:
        """Another way of writing numbers."""
        if display is not self._display:
            self._display = display
            self.update()

    def _told(self, bar: Bar) -> str:
        sign = "+" if bar.steps >= 1.0 else MINUS if bar.steps <= -1.0 else ""
        return f"{sign}{steps_text(bar.steps, self._display)}"

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tones = QPainter(self), theme.colours_on(self.palette())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.tabular(small(self.font())))
        metrics = painter.fontMetrics()
        high = self.height() / len(_ROWS)
        left = metrics.horizontalAdvance("Sweetness") + 8.0
        right = metrics.horizontalAdvance(f"{MINUS}<1") + 8.0
        most = max(FEWEST, *(abs(bar.steps) for bar in self._bars)) if self._bars else FEWEST
        for place, bar in enumerate(self._bars):
            room = QRectF(left, place * high, self.width() - left - right, high)
            painter.setPen(QColor(tones.text))
            middle = Qt.AlignmentFlag.AlignVCenter
            painter.drawText(QRectF(0, room.top(), left, high), middle, bar.caption)
            painter.drawText(QRectF(self.width() - right, room.top(), right, high),
                             middle | Qt.AlignmentFlag.AlignRight, self._told(bar))  # fmt: skip
            self._draw_ruler(painter, tones, room, bar.steps, most)
        painter.end()

    def _draw_ruler(self, painter: QPainter, tones: theme.Colours, room: QRectF, steps: float, most: float) -> None:
        middle, unit, y = room.center().x(), room.width() / 2.0 / most, room.center().y()
        painter.setPen(QPen(QColor(tones.line), 1.0))
        painter.drawLine(QPointF(room.left(), y), QPointF(room.right(), y))
        apart = 1 if unit >= 5.0 else 5
        painter.setPen(QPen(QColor(tones.edge), 1.0))
        for mark in range(0, int(most) + 1, apart):
            tall = 4.0 if mark else 8.0
            for side in (-1.0, 1.0):
                x = middle + side * mark * unit
                painter.drawLine(QPointF(x, y - tall), QPointF(x, y + tall))
        if abs(steps) < 0.05:
            return
        end = middle + steps * unit
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tones.accent))
        painter.drawRect(QRectF(min(middle, end), y - 2.5, abs(end - middle), 5.0))
        way = 4.0 if steps > 0.0 else -4.0
        if abs(steps) * unit > 6.0:
            painter.drawPolygon(QPolygonF([QPointF(end, y), QPointF(end - way, y - 5.0), QPointF(end - way, y + 5.0)]))
