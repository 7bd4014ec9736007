"""One way to finish as a card: its curve, what comes out on scales that all cards share, its risk, and how it is done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from planner.cellar.status import sketch_of
from planner.model.span import Span
from planner.planning.route import Route
from planner.ui import theme
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import small
from planner.ui.widgets.sketch import SketchView
from planner.ui.widgets.spanbar import SpanRow

_FACTS = 58
"""Width of the figures. [figures]"""
_ABREAST = 92
"""Width from which curve, figures and words stand beside one another. [figures]"""


class Line(NamedTuple):
    """What is told of each way: its caption, its words, and its range where it is drawn on a scale."""

    caption: str
    text: Callable[[Route], str]
    span: Callable[[Route], Span | None] | None = None


class RouteCard(QFrame):
    """Signal: `wanted` with the key of the way, when it is to be taken."""

    wanted = Signal(str)

    def __init__(self, route: Route, lines: list[Line], told: Mapping[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.route = route
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.name = Label(route.name)
        self.name.setFont(theme.sized(self.font(), theme.TITLE, bold=True))
        self.take = Button()
        self.take.clicked.connect(lambda: self.wanted.emit(route.key))
        head = QHBoxLayout()
        head.addWidget(self.name, 1)
        head.addWidget(self.take)
        self.rows = {line.caption: SpanRow(line.caption) for line in lines if line.span is not None}
        self._words: dict[str, Label] = {}
        scales, words = QVBoxLayout(), QGridLayout()
        scales.setSpacing(0)
        words.setHorizontalSpacing(2 * theme.unit(self.fontMetrics()))
        words.setVerticalSpacing(0)
        words.setColumnStretch(1, 1)
        for line in lines:
            if line.span is not None:
                text = line.text(route)
                self.rows[line.caption].show_span(line.span(route), text.partition(" (")[0])  # the bar shows the rest
                self.rows[line.caption].set_hover(text)
                scales.addWidget(self.rows[line.caption])
            else:
                self._add_words(words, line, route)
        scales.addStretch(1)
        facts = QWidget()
        facts.setLayout(scales)
        scales.setContentsMargins(0, 0, 0, 0)
        facts.setMaximumWidth(_FACTS * self.fontMetrics().horizontalAdvance("0"))
        self._body = body = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        body.setSpacing(6 * theme.unit(self.fontMetrics()))
        sketch = None if route.outcome is None else sketch_of(route.outcome)
        if sketch is not None:
            body.addWidget(SketchView(sketch), 0, Qt.AlignmentFlag.AlignTop)
        facts.setVisible(route.batch is not None)
        body.addWidget(facts, 2)
        body.addLayout(words, 3)
        words.setRowStretch(words.rowCount(), 1)
        self.how = Disclosure("How")
        self.steps = Label(told["how"])
        self.steps.setWordWrap(True)
        self.steps.setFont(theme.tabular(small(self.font())))
        self.steps.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.how.toggled.connect(self.steps.setVisible)
        self.steps.setVisible(route.batch is None)  # then it is the reason why not
        self.how.setVisible(route.batch is not None)
        self.how.setAccessibleName(f"How: {route.name}")
        self._column = column = QVBoxLayout(self)
        column.addLayout(head)
        column.addLayout(body)
        column.addWidget(self.how, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.steps)

    def minimumSizeHint(self) -> QSize:
        """As narrow as its widest part: in a narrow window they stand below one another."""
        body = (self._body.itemAt(place) for place in range(self._body.count()))
        parts = [part.minimumSize().width() for part in body if part is not None]
        least = max([self.name.minimumSizeHint().width() + self.take.sizeHint().width(), *parts])
        margins = self._column.contentsMargins()
        around = margins.left() + margins.right() + 2 * self.frameWidth()
        return QSize(least + around, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        way = QBoxLayout.Direction
        has_room = event.size().width() >= _ABREAST * self.fontMetrics().horizontalAdvance("0")
        self._body.setDirection(way.LeftToRight if has_room else way.TopToBottom)
        super().resizeEvent(event)

    def _add_words(self, grid: QGridLayout, line: Line, route: Route) -> None:
        caption, words = Label(line.caption), Label(line.text(route))
        for label in (caption, words):
            label.setFont(theme.tabular(small(self.font())))
        set_tone(caption, "dim")
        words.setWordWrap(True)
        words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        words.setAccessibleName(f"{line.caption}: {words.text()}")
        row = grid.rowCount()
        grid.addWidget(caption, row, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(words, row, 1, Qt.AlignmentFlag.AlignTop)
        for label in (caption, words):
            label.setVisible(route.batch is not None)
        self._words[line.caption] = words

    def warn(self, caption: str) -> None:
        """Tell one of the words in the tone of a warning."""
        set_tone(self._words[caption], "warning")

    def text_of(self, caption: str) -> str:
        """What is told under a caption."""
        return self.rows[caption].value.text() if caption in self.rows else self._words[caption].text()

    def set_apart(self, caption: str, apart: bool) -> None:
        """Tell in bold what sets this way apart from most others."""
        label = self.rows[caption].value if caption in self.rows else self._words[caption]
        font = QFont(label.font())
        font.setBold(apart)
        label.setFont(font)

    def show_taken(self, taken: bool) -> None:
        """Whether the batch goes this way now."""
        name = self.route.name
        self.take.setText("✓ Taken" if taken else "Take this way")
        self.take.setEnabled(self.route.batch is not None and not taken)
        self.take.setAccessibleName(f"Taken: {name}" if taken else f"Take this way: {name}")
        self.name.setText(f"✓ {name}" if taken else name)
