"""Parts beside one another, on as many lines as they need: where it gets tight, a part goes to the next line."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QEvent, QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

_FEWEST_LETTERS = 9
"""For which there is room in what takes the rest of a line."""


class _Part(NamedTuple):
    """Widgets that stay together, such as a caption and its field; one of them may take what is left of a line."""

    widgets: tuple[QWidget, ...]
    growing: QWidget | None

    @property
    def grows(self) -> bool:
        return self.growing is not None and not self.growing.isHidden()

    def size(self, widget: QWidget) -> QSize:
        """What a widget needs: one that grows no more than some letters."""
        least = widget.minimumSizeHint().expandedTo(widget.minimumSize())
        if widget is not self.growing:
            return widget.sizeHint().expandedTo(least)
        letters = _FEWEST_LETTERS * widget.fontMetrics().horizontalAdvance("0")
        return QSize(max(least.width(), letters), widget.sizeHint().height())

    @property
    def shown(self) -> list[QWidget]:
        return [widget for widget in self.widgets if not widget.isHidden()]


class Flow(QWidget):
    """Lays parts out from left to right, line by line. It is as high as its lines, and as narrow as its widest part."""

    def __init__(self, gap: int = 4, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._gap = gap
        self._parts: list[_Part] = []
        self._asked = 0
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def add(self, *widgets: QWidget, growing: QWidget | None = None) -> None:
        """Add widgets that stay on one line; one of them may take what is left of it."""
        for widget in widgets:
            widget.setParent(self)
        self._parts.append(_Part(widgets, growing))

    def sizeHint(self) -> QSize:
        widths = [self._width(part) for part in self._parts if part.shown]
        return QSize(sum(widths) + self._gap * max(len(widths) - 1, 0), self._ask())

    def minimumSizeHint(self) -> QSize:
        return QSize(max((self._width(part) for part in self._parts if part.shown), default=0), self._ask())

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        lines = self._lines(width)
        return sum(map(_height, lines)) + self._gap * max(len(lines) - 1, 0)

    def _ask(self) -> int:
        self._asked = self.heightForWidth(self.width())
        return self._asked

    def _width(self, part: _Part) -> int:
        shown = part.shown
        return sum(part.size(widget).width() for widget in shown) + self._gap * (len(shown) - 1)

    def _lines(self, width: int) -> list[list[_Part]]:
        lines: list[list[_Part]] = []
        left = 0
        for part in self._parts:
            if not part.shown:
                continue
            needed = self._width(part) + self._gap
            if not lines or needed > left:
                lines.append([])
                left = width + self._gap
            lines[-1].append(part)
            left -= needed
        return lines

    def _arrange(self) -> None:
        top = 0
        for line in self._lines(self.width()):
            spare = self.width() - sum(map(self._width, line)) - self._gap * (len(line) - 1)
            growing = sum(part.grows for part in line)
            left, height = 0, _height(line)
            for part in line:
                for widget in part.shown:
                    size = part.size(widget)
                    if widget is part.growing:
                        size.setWidth(size.width() + max(spare, 0) // growing)
                    widget.setGeometry(left, top + (height - size.height()) // 2, size.width(), size.height())
                    left += size.width() + self._gap
            top += height + self._gap
        if self.heightForWidth(self.width()) != self._asked:  # whoever laid it out asked at another width
            self.updateGeometry()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:  # a part came, went, or wants another size
            self.updateGeometry()
            self._arrange()
        return super().event(event)


def _height(line: list[_Part]) -> int:
    return max(part.size(widget).height() for part in line for widget in part.shown)
