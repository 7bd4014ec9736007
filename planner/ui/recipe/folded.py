"""A section of the recipe that folds away behind its heading, with one line that says what is in it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.section import Section
from planner.ui.theme import set_tone
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.remarks import small


class FoldedSection(Section):
    """A section that begins folded: its heading opens it, and a line beside the heading tells its content."""

    def __init__(self, title: str, acts: Acts, display: Display, *places: str) -> None:
        super().__init__("", acts, display, *places)
        self.disclosure = Disclosure(title)
        font = small(self.disclosure.font())
        font.setBold(True)
        self.disclosure.setFont(font)
        self.disclosure.setAccessibleName(title)
        self.summary = Elided()
        self.summary.setFont(small(self.summary.font()))
        self.summary.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        set_tone(self.summary, "dim")
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self.disclosure)
        head.addWidget(self.summary, 1)
        self.content = QWidget()
        self.inside = QVBoxLayout(self.content)
        self.inside.setContentsMargins(16, 2, 0, 4)
        self.inside.setSpacing(4)
        self.body.addLayout(head)
        self.body.addWidget(self.content)
        self.content.hide()
        self.disclosure.toggled.connect(self._open)

    @property
    def is_open(self) -> bool:
        """Whether its content is shown."""
        return self.disclosure.isChecked()

    def _open(self, is_open: bool) -> None:
        self.content.setVisible(is_open)
        self._opened(is_open)

    def _opened(self, _is_open: bool) -> None:
        """For what is only worked out while it is seen."""
