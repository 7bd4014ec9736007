"""A box to tick, with an outline that can be seen on a dark ground too."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QStyle, QStyleOptionButton, QStyleOptionFocusRect, QStylePainter

from planner.ui import theme

_BOX = 14
"""Edge of the box. [px]"""
_GAP = 6
"""Between the box and its words. [px]"""
_TICK = (QPointF(3.5, 7.3), QPointF(6.0, 9.8), QPointF(10.7, 4.2))


class CheckBox(QCheckBox):
    """A check box in the colours of the theme. The style draws its outline darker than its ground, which a dark ground
    swallows; a style sheet would cost each box ten times its memory."""

    def sizeHint(self) -> QSize:
        words = self.fontMetrics().size(Qt.TextFlag.TextShowMnemonic, self.text())
        return QSize(_BOX + _GAP + words.width(), max(_BOX, words.height()))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        option = QStyleOptionButton()
        self.initStyleOption(option)
        painter = QStylePainter(self)
        option.rect = self.rect().adjusted(_BOX + _GAP, 0, 0, 0)
        painter.drawControl(QStyle.ControlElement.CE_CheckBoxLabel, option)
        if self.hasFocus():
            focus = QStyleOptionFocusRect()
            focus.initFrom(self)
            focus.rect = option.rect.adjusted(-3, 0, 0, 0)
            painter.drawPrimitive(QStyle.PrimitiveElement.PE_FrameFocusRect, focus)
        is_under = self.isEnabled() and bool(option.state & QStyle.StateFlag.State_MouseOver)
        self._paint_box(painter, theme.colours_on(self.palette()), is_under)
        painter.end()

    def _paint_box(self, painter: QPainter, tones: theme.Colours, is_under: bool) -> None:
        place = QRect(0, (self.height() - _BOX) // 2, _BOX, _BOX)
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
            painter.drawPolyline(_TICK)
