"""A number with its unit: digits end in one column, and the unit stands dimmed in another."""

from __future__ import annotations

import re

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from planner.ui import theme
from planner.ui.widgets.label import Label

_UNITS = ("mPa·s", "% vol")
"""The widest units: their room is always kept, so that numbers above one another end at one edge."""
_UNIT = re.compile(r"(?<=\d)[\s\u00a0\u202f]?([^\d\s.,/][^\d]*)$")
"""What follows the last digit."""


class Figure(Label):
    """Shows a text such as "141 of 190 mg/L". Without a unit the room of one stays free."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.setFont(theme.tabular(self.font()))
        self._is_stale = False

    @property
    def is_stale(self) -> bool:
        """Whether it is dimmed because it is out of date."""
        return self._is_stale

    def set_stale(self, stale: bool) -> None:
        """Dim the number, too, while it is out of date."""
        if stale != self._is_stale:
            self._is_stale = stale
            self.update()

    def parts(self) -> tuple[str, str]:
        """The number, and its unit."""
        text = self.text()
        unit = _UNIT.search(text)
        return (text, "") if unit is None else (text[: unit.start()], unit[1])

    def sizeHint(self) -> QSize:
        number, _ = self.parts()
        step = self._gap + self._room_of_unit()
        return QSize(self.fontMetrics().horizontalAdvance(number) + step + 1, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @property
    def _gap(self) -> int:
        return theme.unit(self.fontMetrics())

    def _room_of_unit(self) -> int:
        """Width of the column of units. [px]"""
        return max(map(self.fontMetrics().horizontalAdvance, (*_UNITS, self.parts()[1])))

    def paintEvent(self, _event: QPaintEvent) -> None:
        number, unit = self.parts()
        of_unit, middle = self._room_of_unit(), Qt.AlignmentFlag.AlignVCenter
        room = self.contentsRect()
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        painter.setPen(QColor(tones.dim if self._is_stale else tones.text))
        end = QRect(room.left(), room.top(), room.width() - of_unit - self._gap, room.height())
        painter.drawText(end, Qt.AlignmentFlag.AlignRight | middle, number)
        painter.setPen(QColor(tones.dim))
        column = QRect(room.right() + 1 - of_unit, room.top(), of_unit, room.height())
        painter.drawText(column, Qt.AlignmentFlag.AlignLeft | middle, unit)
        painter.end()
