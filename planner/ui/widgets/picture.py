"""A drawing of the program's own, in the colour of the text beside it."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.reference.shipped import resources
from planner.ui import theme

_LARGE = 1.54
"""Side of a drawing beside letters. [letter sizes]"""


def drawn(name: str, side: int, ratio: float, colour: QColor) -> QPixmap:
    """A drawing of `resources/icons` in one colour. [px]"""
    pixmap = QIcon(str(resources() / "icons" / f"{name}.svg")).pixmap(QSize(side, side), ratio)
    painter = QPainter(pixmap)
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceIn)
    painter.fillRect(pixmap.rect(), colour)
    painter.end()
    return pixmap


class Picture(QWidget):
    """Keeps its room empty until it is to be drawn: what reads drawings need not be there when the window opens."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name, self._tone, self._is_drawn = name, "dim", False
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def draw(self) -> None:
        """Be drawn from now on."""
        self._is_drawn = True
        self.update()

    def show_drawing(self, name: str) -> None:
        """Show another drawing."""
        self._name = name
        self.update()

    def set_tone(self, tone: str) -> None:
        """Be drawn in another colour, by its name in the theme."""
        self._tone = tone
        self.update()

    def sizeHint(self) -> QSize:
        side = round(_LARGE * self.fontMetrics().ascent())
        return QSize(side, side)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if not self._is_drawn:
            return
        colour = QColor(getattr(theme.colours_on(self.palette()), self._tone))
        side = min(self.width(), self.height())
        painter = QPainter(self)
        painter.drawPixmap(0, 0, drawn(self._name, side, self.devicePixelRatioF(), colour))
        painter.end()
