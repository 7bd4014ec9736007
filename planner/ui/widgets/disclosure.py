"""A small triangle that opens what lies beneath it."""

from __future__ import annotations

from typing import cast

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QAccessibleActionInterface,
    QAccessibleInterface,
    QAccessibleStateChangeEvent,
    QColor,
    QEnterEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QAbstractButton, QAccessibleWidget, QSizePolicy, QWidget

from planner.ui import theme

_DRAWN_FOR = 15.0
"""Height of the letters beside which the triangle is drawn as it is written here. [px]"""


class Disclosure(QAbstractButton):
    """A triangle, with or without words after it, that turns when it opens: one click, Space or Enter.

    Signal: `toggled` with whether it is open now.
    """

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setCheckable(True)
        self.setText(text)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.toggled.connect(self._tell_state)

    def _tell_state(self) -> None:
        if QAccessible.isActive():
            changed = QAccessible.State()
            changed.expanded = changed.collapsed = True
            QAccessible.updateAccessibility(QAccessibleStateChangeEvent(self, changed))

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        words = metrics.horizontalAdvance(self.text()) + 6 if self.text() else 0
        return QSize(self._arrow + words, metrics.height() + 4)

    @property
    def _arrow(self) -> int:
        """Room for the triangle. [px]"""
        return self.fontMetrics().height() + 5

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.toggle()
        else:
            super().keyPressEvent(event)

    def enterEvent(self, event: QEnterEvent) -> None:
        super().enterEvent(event)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.underMouse() or self.hasFocus():
            painter.setPen(QPen(QColor(tones.accent), 1.0) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(tones.raised))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 2.0, 2.0)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tones.dim))
        painter.save()
        painter.translate(self._arrow / 2.0, self.height() / 2.0)
        scale = self.fontMetrics().height() / _DRAWN_FOR
        painter.scale(scale, scale)
        painter.rotate(90.0 if self.isChecked() else 0.0)
        painter.drawPolygon(QPolygonF([QPointF(-2.0, -4.0), QPointF(2.5, 0.0), QPointF(-2.0, 4.0)]))
        painter.restore()
        painter.setPen(QColor(tones.text))
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(self.rect().adjusted(self._arrow, 0, 0, 0), flags, self.text())
        painter.end()


class _ReadFold(QAccessibleWidget):
    """A fold as screen readers have it: a button that opens and closes. Qt takes whatever can be checked for a box."""

    def __init__(self, fold: Disclosure) -> None:
        super().__init__(fold, QAccessible.Role.Button)

    @property
    def _fold(self) -> Disclosure:
        return cast("Disclosure", self.widget())

    def state(self) -> QAccessible.State:
        state, is_open = super().state(), self._fold.isChecked()
        state.expandable, state.expanded, state.collapsed = True, is_open, not is_open
        return state

    def text(self, kind: QAccessible.Text) -> str:
        return super().text(kind) or (self._fold.text() if kind == QAccessible.Text.Name else "")

    def actionNames(self) -> list[str]:
        return [QAccessibleActionInterface.pressAction(), *super().actionNames()]

    def doAction(self, name: str) -> None:
        if name == QAccessibleActionInterface.pressAction():
            self._fold.click()
        else:
            super().doAction(name)


def _read(_kind: str, of: QObject) -> QAccessibleInterface | None:
    return _ReadFold(of) if isinstance(of, Disclosure) else None


QAccessible.installFactory(_read)
