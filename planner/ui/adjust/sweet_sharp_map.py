"""A map of sweetness against acid: the mead before and after, trial glasses and an earlier batch; body and alcohol on it."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum, auto

import msgspec
from PySide6.QtCore import QEvent, QLineF, QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QHelpEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from planner.adjusting.mead import Properties
from planner.model.taste import SWEET_ON_SHARP
from planner.ui import theme
from planner.ui.adjust.map_labels import APART, Label, Mark, arranged
from planner.ui.display import SPACE, Display
from planner.ui.widgets.label import as_it_is
from planner.ui.widgets.remarks import small

_ACIDS = (2.0, 18.0)
"""Ends of the axis of acid. [kg/m^3] From the flattest meads to juice hardly thinned; farther meads make it longer."""

_SWEETEST = 60.0
"""Upper end of the axis of sweetness. [kg/m^3] Well into what the law calls sweet, from 45; sweeter meads make it longer."""

_MARGINS = (38.0, 8.0, 10.0, 30.0)  # left, top, right, bottom
_TINY, _LARGE = 4.0, 16.0
_THIN, _THICK = 1.2e-3, 3.0e-3
"""Viscosities drawn as the smallest and the largest disc. [Pa s]"""


class Role(Enum):
    """What a place on the map is."""

    BEFORE = auto()
    NOW = auto()
    AFTER = auto()
    GLASS = auto()
    EARLIER = auto()


class Place(msgspec.Struct, frozen=True):
    """A mead on the map. [kg/m^3], [kg/m^3], [Pa s], [m^3/m^3]"""

    role: Role
    name: str
    acid: float
    sweetness: float
    body: float
    alcohol: float
    liked: float | None = None
    """Score of ten, for glasses that were tasted."""


def place_of(role: Role, name: str, properties: Properties) -> Place:
    """Where a mead lies."""
    return Place(role, name, properties.acid.typical, properties.sweetness.typical, properties.viscosity.typical,
                 properties.alcohol.typical)  # fmt: skip


class SweetSharpMap(QWidget):
    """Discs on two axes. The larger the disc, the fuller the body; alcohol and body stand beside it in figures.

    The axes are fixed, so that a place means a taste: sharp meads lie to the right, whatever they are compared with. Thin
    slanting lines join meads that should seem equally sharp.
    """

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._places: tuple[Place, ...] = ()
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Map of sweetness against acid")

    def sizeHint(self) -> QSize:
        return QSize(280, 250)

    @property
    def places(self) -> tuple[Place, ...]:
        """What is on the map."""
        return self._places

    def show_places(self, places: Iterable[Place]) -> None:
        """Draw these meads."""
        shown = tuple(places)
        if shown == self._places:
            return
        self._places = shown
        self.setAccessibleDescription("; ".join(self.told(place) for place in self._places))
        self.update()

    def set_display(self, display: Display) -> None:
        """Another way of writing numbers."""
        if display is not self._display:
            self._display = display
            places, self._places = self._places, ()
            self.show_places(places)

    def told(self, place: Place) -> str:
        """A place in words."""
        number = self._display.number
        text = (
            f"{place.name}: sweetness {number(place.sweetness, 0)}{SPACE}g/L, acid {number(place.acid, 1)}{SPACE}g/L, "
            f"body {number(place.body * 1e3, 2)}{SPACE}mPa·s, {number(place.alcohol * 100.0, 1)}{SPACE}% vol"
        )
        return text + (f", liked {number(place.liked, 1, trim=True)} of 10" if place.liked is not None else "")

    def at(self, place: Place) -> QPointF:
        """Where a place is drawn."""
        frame, (low, high), top = self._frame(), self._acids(), self._top()
        x = frame.left() + frame.width() * (place.acid - low) / (high - low)
        return QPointF(x, frame.bottom() - frame.height() * place.sweetness / top)

    # --- drawing

    def _frame(self) -> QRectF:
        left, top, right, bottom = _MARGINS
        return QRectF(self.rect()).adjusted(left, top, -right, -bottom)

    def _acids(self) -> tuple[float, float]:
        acids = [place.acid for place in self._places] or [_ACIDS[0]]
        low = _ACIDS[0] if min(acids) >= _ACIDS[0] else 0.0
        return low, max(_ACIDS[1], float(2 * (int(max(acids) / 2.0) + 1)))

    def _top(self) -> float:
        most = max((place.sweetness for place in self._places), default=0.0)
        return max(_SWEETEST, 20.0 * (int(1.08 * most / 20.0) + 1))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tones = QPainter(self), theme.colours_on(self.palette())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.tabular(small(self.font())))
        frame = self._frame()
        painter.fillRect(frame, QColor(tones.base))
        self._draw_axes(painter, tones, frame)
        painter.setClipRect(frame)
        self._draw_corners(painter, tones, frame)
        self._draw_balance(painter, tones)
        self._draw_way(painter, tones)
        for place in sorted(self._places, key=lambda place: place.role == Role.AFTER):
            self._draw_place(painter, tones, place)
        self._draw_labels(painter, tones)
        painter.end()

    def _draw_axes(self, painter: QPainter, tones: theme.Colours, frame: QRectF) -> None:
        low, high = self._acids()
        painter.setPen(QPen(QColor(tones.edge), 1.0))
        painter.drawLine(frame.bottomLeft(), frame.bottomRight())
        painter.drawLine(frame.bottomLeft(), frame.topLeft())
        metrics, top = painter.fontMetrics(), self._top()
        painter.setPen(QColor(tones.dim))
        step = 2 if high - low <= 20 else 4 if high - low <= 40 else 20
        for acid in range(int(low), int(high) + 1, step):
            x = frame.left() + frame.width() * (acid - low) / (high - low)
            painter.drawText(QRectF(x - 20, frame.bottom() + 1, 40, metrics.height()), Qt.AlignmentFlag.AlignHCenter,
                             self._display.number(acid, 0))  # fmt: skip
        tick = next(size for size in (5, 10, 20, 50, 100, 500) if top / size <= 6 or size == 500)
        for sweet in range(0, int(top) + 1, tick):
            y = frame.bottom() - frame.height() * sweet / top
            painter.drawText(QRectF(0, y - metrics.height() / 2, frame.left() - 4, metrics.height()),
                             Qt.AlignmentFlag.AlignRight, self._display.number(sweet, 0))  # fmt: skip
        below = QRectF(frame.left(), frame.bottom() + metrics.height(), frame.width(), metrics.height())
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, f"acid, g/L →{SPACE}")
        painter.save()
        painter.translate(metrics.height() - 2.0, frame.top())
        painter.rotate(-90.0)
        painter.drawText(QRectF(-frame.height(), -metrics.height(), frame.height(), metrics.height()),
                         Qt.AlignmentFlag.AlignRight, "sweetness, g/L →")  # fmt: skip
        painter.restore()

    def _draw_corners(self, painter: QPainter, tones: theme.Colours, frame: QRectF) -> None:
        """Which way is which, to be read from across the room."""
        painter.save()
        font = QFont(self.font())
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(tones.dim))
        room = frame.adjusted(6.0, 3.0, -6.0, -3.0)
        top, bottom = Qt.AlignmentFlag.AlignTop, Qt.AlignmentFlag.AlignBottom
        left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
        painter.drawText(room, top | left, "sweet")
        painter.drawText(room, bottom | right, "sour")
        painter.restore()

    def _draw_balance(self, painter: QPainter, tones: theme.Colours) -> None:
        """Lines of one sourness through before and after: so much sweetness hides a gram of acid."""
        pen = QPen(QColor(tones.edge), 1.0, Qt.PenStyle.DashLine)
        painter.setPen(pen)
        low, high = self._acids()
        for place in self._places:
            if place.role in (Role.BEFORE, Role.AFTER):
                ends = [Place(place.role, "", acid, place.sweetness + SWEET_ON_SHARP.typical * (acid - place.acid), 0.0, 0.0)
                        for acid in (low, high)]  # fmt: skip
                painter.drawLine(self.at(ends[0]), self.at(ends[1]))

    def _draw_way(self, painter: QPainter, tones: theme.Colours) -> None:
        ends = {place.role: place for place in self._places if place.role in (Role.BEFORE, Role.AFTER)}
        if len(ends) == 2:
            painter.setPen(QPen(QColor(tones.accent), 2.0))
            painter.drawLine(self.at(ends[Role.BEFORE]), self.at(ends[Role.AFTER]))

    def _radius(self, place: Place) -> float:
        share = (place.body - _THIN) / (_THICK - _THIN)
        return _TINY + (_LARGE - _TINY) * min(max(share, 0.0), 1.0)

    def _draw_place(self, painter: QPainter, tones: theme.Colours, place: Place) -> None:
        centre, radius = self.at(place), self._radius(place)
        colour = QColor({Role.GLASS: tones.logged, Role.EARLIER: tones.expected, Role.NOW: tones.finish}.get(
            place.role, tones.accent))  # fmt: skip
        painter.setPen(QPen(colour, 2.0))
        painter.setBrush(colour if place.role == Role.AFTER else Qt.BrushStyle.NoBrush)
        if place.role == Role.GLASS:
            painter.drawRect(QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius))
        elif place.role == Role.EARLIER:
            x, y = centre.x(), centre.y()
            painter.drawPolygon(QPolygonF([QPointF(x, y - radius), QPointF(x + radius, y), QPointF(x, y + radius),
                                           QPointF(x - radius, y)]))  # fmt: skip
        else:
            painter.drawEllipse(centre, radius, radius)

    def labels(self) -> tuple[tuple[Place, Label], ...]:
        """What stands beside each place, and where; after and before have the first choice."""
        order = (Role.AFTER, Role.BEFORE, Role.NOW, Role.GLASS, Role.EARLIER)
        places = sorted(self._places, key=lambda place: order.index(place.role))
        marks = [
            Mark(self.at(place), self._radius(place), self._texts(place), place.role == Role.GLASS) for place in places
        ]
        frame = self._frame().adjusted(2.0, 1.0, -2.0, -1.0)
        return tuple(zip(places, arranged(marks, frame, QFontMetrics(self._label_font(bold=True))), strict=True))

    def _label_font(self, bold: bool) -> QFont:
        font = theme.tabular(small(self.font()))
        font.setBold(bold)
        return font

    def _draw_labels(self, painter: QPainter, tones: theme.Colours) -> None:
        painter.save()
        painter.setPen(QColor(tones.text))
        for place, label in self.labels():
            self._draw_leader(painter, tones, place, label)
            bold, top = place.role in (Role.AFTER, Role.GLASS), label.room.top()
            for line in label.lines:
                painter.setFont(self._label_font(bold))
                painter.drawText(QPointF(label.room.left(), top + painter.fontMetrics().ascent()), line)
                top, bold = top + painter.fontMetrics().height(), False
        painter.restore()

    def _draw_leader(self, painter: QPainter, tones: theme.Colours, place: Place, label: Label) -> None:
        """A thin line from a mark to a label that found no room beside it."""
        mark, room = self.at(place), label.room
        near = QPointF(min(max(mark.x(), room.left()), room.right()), min(max(mark.y(), room.top()), room.bottom()))
        apart, radius = QLineF(mark, near), self._radius(place)
        if apart.length() > radius + 2.0 * APART:
            apart.setP1(apart.pointAt(radius / apart.length()))
            painter.setPen(QPen(QColor(tones.edge), 1.0))
            painter.drawLine(apart)
            painter.setPen(QColor(tones.text))

    def _texts(self, place: Place) -> tuple[tuple[str, ...], ...]:
        """What may stand beside a place: the name alone where there is no room for more."""
        whole = self._label(place)
        return (whole,) if len(whole) == 1 else (whole, whole[:1])

    def _label(self, place: Place) -> tuple[str, ...]:
        """What stands beside a place: glasses their number, others alcohol and body too."""
        if place.role == Role.GLASS:
            return (place.name,)
        number = self._display.number
        strength, body = number(place.alcohol * 100.0, 1), number(place.body * 1e3, 2)
        return place.name, f"{strength}{SPACE}%{SPACE}vol", f"{body}{SPACE}mPa·s"

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            near = [place for place in self._places if self._distance(place, event.pos()) < self._radius(place) + 4.0]
            if near:
                QToolTip.showText(event.globalPos(), as_it_is("\n".join(self.told(place) for place in near)), self)
            else:
                QToolTip.hideText()
            return True
        return super().event(event)

    def _distance(self, place: Place, pos: QPoint) -> float:
        apart = self.at(place) - QPointF(pos)
        return float((apart.x() ** 2 + apart.y() ** 2) ** 0.5)
