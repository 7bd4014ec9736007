"""A box to tick, with an outline that can be seen on a dark ground too."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QCheckBox,
    QSizePolicy,
    QStyle,
    QStyleOptionButton,
    QStyleOptionFocusRect,
    QStylePainter,
    QWidget,
)

from planner.ui import theme

_DRAWN = 14.0
"""Edge of the box as its tick is written here. [px]"""
_GAP = 6
"""Between the box and its words. [px]"""
_WORDS = (
    Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextShowMnemonic | Qt.TextFlag.TextWordWrap
)
_TICK = (QPointF(3.5, 7.3), QPointF(6.0, 9.8), QPointF(10.7, 4.2))


class CheckBox(QCheckBox):
    """A check box in the colours of the theme. The style draws its outline darker than its ground, which a dark ground
    swallows; a style sheet would cost each box ten times its memory."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    @property
    def _box(self) -> int:
        """Edge of the box. [px]"""
        return self.fontMetrics().ascent() + 2

    def sizeHint(self) -> QSize:
        words = self.fontMetrics().size(Qt.TextFlag.TextShowMnemonic, self.text())
        width = self._box + _GAP + words.width() + 1
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        longest = max((metrics.horizontalAdvance(word) for word in self.text().split()), default=0)
        return QSize(self._box + _GAP + longest, self.heightForWidth(self.sizeHint().width()))

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        room = QRect(0, 0, max(width - self._box - _GAP, 1), 10_000)
        return max(self._box, self.fontMetrics().boundingRect(room, _WORDS, self.text()).height())

    def hitButton(self, place: QPoint) -> bool:
        wide = min(self.sizeHint().width(), self.width())
        return QRect(0, 0, wide, self.height()).contains(place)

    def paintEvent(self, _event: QPaintEvent) -> None:
        option = QStyleOptionButton()
        self.initStyleOption(option)
        painter = QStylePainter(self)
        option.rect = self.rect().adjusted(self._box + _GAP, 0, 0, 0)
        painter.drawItemText(option.rect, _WORDS, self.palette(), self.isEnabled(), self.text(), self.foregroundRole())
        if self.hasFocus():
            focus = QStyleOptionFocusRect()
            focus.initFrom(self)
            focus.rect = option.rect.adjusted(-3, 0, 0, 0)
            painter.drawPrimitive(QStyle.PrimitiveElement.PE_FrameFocusRect, focus)
        is_under = self.isEnabled() and bool(option.state & QStyle.StateFlag.State_MouseOver)
        self._paint_box(painter, theme.colours_on(self.palette()), is_under)
        painter.end()

    def _paint_box(self, painter: QPainter, tones: theme.Colours, is_under: bool) -> None:
        place = QRect(0, (self.height() - self._box) // 2, self._box, self._box)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(tones.accent if is_under or self.hasFocus() else tones.edge), 1.0))
        painter.setBrush(QColor(tones.base))
        painter.drawRoundedRect(QRectF(place).adjusted(0.5, 0.5, -0.5, -0.5), 2.0, 2.0)
        if self.isChecked():
            ink = QPen(QColor(tones.text if self.isEnabled() else tones.dim), 1.8)
            ink.setCapStyle(Qt.PenCapStyle.RoundCap)
            ink.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(ink)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.translate(place.topLeft())
            painter.scale(self._box / _DRAWN, self._box / _DRAWN)
            painter.drawPolyline(_TICK)
