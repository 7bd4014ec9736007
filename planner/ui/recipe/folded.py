"""A section of the recipe that folds away behind its heading, with one line that says what is in it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.recipe.acts import Acts
from planner.ui.recipe.section import Section
from planner.ui.theme import set_tone
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.remarks import small


class _Elided(QLabel):
    """One line of text that ends in an ellipsis where there is no room for all of it."""

    def __init__(self) -> None:
        super().__init__()
        self._text = ""
        self.setMinimumWidth(0)

    def show_text(self, text: str) -> None:
        """Show a text, cut to the room there is."""
        self._text = text
        self.setToolTip(text)
        self._fit()

    def text_shown(self) -> str:
        """The whole text, whatever of it fits."""
        return self._text

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._fit()
        return super().event(event)

    def _fit(self) -> None:
        self.setText(self.fontMetrics().elidedText(self._text, Qt.TextElideMode.ElideRight, max(self.width() - 2, 0)))


class FoldedSection(Section):
    """A section that begins folded: its heading opens it, and a line beside the heading tells its content."""

    def __init__(self, title: str, acts: Acts, display: Display, *places: str) -> None:
        super().__init__("", acts, display, *places)
        self.disclosure = Disclosure(title)
        font = small(self.disclosure.font())
        font.setBold(True)
        self.disclosure.setFont(font)
        self.disclosure.setAccessibleName(title)
        self.summary = _Elided()
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

    def set_open(self, is_open: bool) -> None:
        """Open or fold it."""
        self.disclosure.setChecked(is_open)

    def _open(self, is_open: bool) -> None:
        self.content.setVisible(is_open)
        self._opened(is_open)

    def _opened(self, _is_open: bool) -> None:
        """For what is only worked out while it is seen."""
