"""What is entered, and what follows from it: one under the other, or side by side where there is width for both."""

from __future__ import annotations

from PySide6.QtWidgets import QBoxLayout, QFrame, QWidget

from planner.ui.theme import set_tone

_SHARES = (3, 2)
"""How the width is shared where they stand side by side."""


class Beside(QBoxLayout):
    """Holds two parts of a pane with a hairline between them; the pane says how wide it is."""

    def __init__(self, above: QWidget, below: QWidget, pane: QWidget, figures: int) -> None:
        super().__init__(QBoxLayout.Direction.TopToBottom, pane)
        self._parts, self._figures = (above, below), figures
        self.rule = QFrame()
        self.rule.setFrameShadow(QFrame.Shadow.Plain)
        set_tone(self.rule, "line")
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(0)
        for part in (above, self.rule, below):
            self.addWidget(part)
        self._turn(False)

    @property
    def is_beside(self) -> bool:
        """Whether the parts stand side by side."""
        return self.direction() == QBoxLayout.Direction.LeftToRight

    def fit(self, width: int) -> None:
        """Turn as a width asks. [px]"""
        beside = width >= self._figures * self.rule.fontMetrics().horizontalAdvance("0")
        if beside != self.is_beside:
            self._turn(beside)

    def narrowest(self) -> int:
        """Width that the wider part wants at least; they never stand side by side where only one has room. [px]"""
        return max(part.minimumSizeHint().width() for part in self._parts if not part.isHidden())

    def _turn(self, beside: bool) -> None:
        direction = QBoxLayout.Direction
        self.setDirection(direction.LeftToRight if beside else direction.TopToBottom)
        self.rule.setFrameShape(QFrame.Shape.VLine if beside else QFrame.Shape.HLine)
        for part, share in zip(self._parts, _SHARES if beside else (1, 0), strict=True):
            self.setStretchFactor(part, share)
