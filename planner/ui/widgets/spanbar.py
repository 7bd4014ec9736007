"""The one way to show an uncertain number: words, the number, and a thin span with a dot."""

from __future__ import annotations

import math

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFocusEvent, QGuiApplication, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from planner.model.span import Span
from planner.ui import theme
from planner.ui.widgets.figure import Figure
from planner.ui.widgets.label import Label

_WIDTH = 8
"""Width of a bar. [figures]"""
_DOT = 7.0
_ROOM = 1.5
"""How much longer than the span an axis is that the bar finds for itself. [parts of the span]"""


class SpanBar(QWidget):
    """A line over the 90 % range with ends, a dot at the typical value, and a tick for a target.

    An exact number has no range, hence no bar; its room stays free, so that bars in a column line up.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._span: Span | None = None
        self._target: float | None = None
        self._axis: tuple[float, float] | None = None
        self._fixed_axis = False
        self._is_for_dot = False
        self._stale = False
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(_WIDTH * metrics.horizontalAdvance("0"), metrics.height() + 1)

    @property
    def axis(self) -> tuple[float, float] | None:
        """The values at the two ends of the bar; None before anything was shown."""
        return self._axis

    def set_axis(self, low: float, high: float) -> None:
        """Fix the values at the ends, so that bars can be compared; otherwise the bar finds its own and keeps them
        for as long as they fit."""
        self._axis, self._fixed_axis = (low, high), True
        self.update()

    def show_span(self, span: Span | None, target: float | None = None) -> None:
        """Draw a span; None, or numbers that are not finite, draw nothing."""
        finite = span is not None and all(math.isfinite(bound) for bound in span)
        self._span = span if finite else None
        self._target = target if target is not None and math.isfinite(target) else None
        if self._span is not None and not self._fixed_axis:
            former, self._axis = self._axis, self._fitting_axis(self._span)
            if self._axis is not former:
                self._is_for_dot = self._span.is_exact
        self.update()

    def set_stale(self, stale: bool) -> None:
        """Dim the bar while its number is out of date."""
        if stale != self._stale:
            self._stale = stale
            self.update()

    def position(self, value: float) -> float:
        """Where a value lies along the bar, as a part of its width; beyond the axis it stays at the end."""
        if self._axis is None or self._axis[0] == self._axis[1]:
            return 0.5
        low, high = self._axis
        return min(1.0, max(0.0, (value - low) / (high - low)))

    def _fitting_axis(self, span: Span) -> tuple[float, float]:
        """The axis in use, if span and target lie well on it; else one around them."""
        values = [*span, *([self._target] if self._target is not None else [])]
        low, high = min(values), max(values)
        width = high - low or abs(high) or 1.0
        # A number without a range says nothing of how wide the axis must be for the range that follows.
        if self._axis is not None and (span.is_exact or not self._is_for_dot):
            begin, end = self._axis
            if begin <= low and high <= end and width >= 0.15 * (end - begin):
                return self._axis
        middle, half = (low + high) / 2.0, width / 2.0 * (1.0 + _ROOM)
        return middle - half, middle + half

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._span is None or self._span.is_exact:
            return
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        low, typical, high = (self._x(value) for value in self._span)
        middle = self._on_pixel(self.height() / 2.0)
        ink = QColor(tones.dim if self._stale else tones.text)
        painter.setPen(QPen(QColor(tones.line), 1.0))
        painter.drawLine(QLineF(self._x_at(0.0), middle, self._x_at(1.0), middle))
        painter.setPen(QPen(ink, 1.0))
        painter.drawLine(QLineF(low, middle, high, middle))
        for end in (low, high):
            painter.drawLine(QLineF(end, middle - 3.0, end, middle + 3.0))
        if self._target is not None:
            self._paint_target(painter, self._x(self._target), tones)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tones.dim if self._stale else tones.accent))
        painter.drawEllipse(QPointF(typical, middle), _DOT / 2.0, _DOT / 2.0)
        painter.end()

    def _paint_target(self, painter: QPainter, x: float, tones: theme.Colours) -> None:
        """A tick over the whole height: where the number is wanted."""
        painter.setPen(QPen(QColor(tones.dim if self._stale else tones.finish), 2.0))
        painter.drawLine(QLineF(x, 1.0, x, self.height() - 1.0))

    def _x(self, value: float) -> float:
        return self._x_at(self.position(value))

    def _x_at(self, part: float) -> float:
        margin = _DOT / 2.0 + 1.0
        return self._on_pixel(margin + part * (self.width() - 2.0 * margin))

    def _on_pixel(self, at: float) -> float:
        """The middle of the nearest pixel of the screen, so that hairlines are sharp at every scale."""
        ratio = self.devicePixelRatioF()
        return (math.floor(at * ratio) + 0.5) / ratio


class SpanRow(QWidget):
    """A caption, a value whose digits and unit stand in columns of their own, and the bar. What is out of date is dimmed, never blanked."""

    def __init__(self, caption: str, hover: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.caption = Label(caption)
        self.value = Figure()
        self.bar = SpanBar()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 1, 0, 1)
        row.setSpacing(6)
        row.addWidget(self.caption, 1)
        row.addWidget(self.value)
        row.addWidget(self.bar)
        self.change = Label()
        self.change.setFont(theme.tabular(theme.sized(self.font(), theme.NOTE, bold=True)))
        self.change.setMinimumWidth(self.bar.sizeHint().width())
        theme.set_tone(self.change, "accent")
        self.change.hide()
        row.addWidget(self.change)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.set_hover(hover)

    def set_hover(self, hover: str) -> None:
        """What the tool tip says: where the number comes from."""
        self.setToolTip(hover)

    def show_span(self, span: Span | None, text: str, target: float | None = None) -> None:
        """Show a number, as text and as bar; None shows only the text, such as the reason why there is none."""
        self.value.setText(text)
        self.bar.show_span(span, target)
        self.setAccessibleName(f"{self.caption.text()}: {text}")
        self.set_stale(False)

    def show_change(self, text: str | None) -> None:
        """Tell in the place of the bar what has changed since a design was pinned, which may be nothing; None for the bar."""
        self.change.setText(text or "")
        self.change.setVisible(text is not None)
        self.bar.setVisible(text is None)
        self.setAccessibleDescription(f"{text} since the pinned design" if text else "")

    def copy(self) -> None:
        """Put it on the clipboard in words."""
        QGuiApplication.clipboard().setText(self.accessibleName().replace("\u00a0", " ").replace("\u202f", " "))

    def set_axis(self, low: float, high: float) -> None:
        """Fix the values at the ends of the bar."""
        self.bar.set_axis(low, high)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.hasFocus():
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(theme.colours_on(self.palette()).accent), 1.0))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 2.0, 2.0)
            painter.end()

    def set_stale(self, stale: bool) -> None:
        """Dim the number while a newer one is being computed."""
        self.value.set_stale(stale)
        self.bar.set_stale(stale)
