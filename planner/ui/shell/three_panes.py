"""The three panes side by side, one of them the sheet."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QWidget

from planner.ui.shell.folding import FoldingPane
from planner.ui.shell.making_room import MakingRoom
from planner.ui.theme import Colours, on_sheet
from planner.ui.widgets.splitter import PlainSplitter

TITLES: Mapping[str, str] = MappingProxyType(
    {"recipe": "Recipe", "curve": "Fermentation curve", "adjustment": "Adjustment"}
)
PICTURES: Mapping[str, str] = MappingProxyType({"recipe": "fruit", "curve": "reading", "adjustment": "adjust"})
QUIET, SHEET = (39, 46, 36), 62
"""Widths below which one of the panes folds: those of the three on the ground, and that of the sheet. [figures]"""
USUAL = (42, 78, 40)
"""Widths of the panes in a window never sized. [figures]"""


class ThreePanes(QScrollArea):
    """Where even one pane is larger than the screen, it scrolls."""

    def __init__(self, sentence: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sentence = sentence
        self.folds = {
            name: FoldingPane(title, quiet, SHEET, PICTURES[name])
            for (name, title), quiet in zip(TITLES.items(), QUIET, strict=True)
        }
        self.folds["curve"].take_sentence(sentence)
        self.splitter = PlainSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        for part in self.folds.values():
            self.splitter.addWidget(part)
        figure = self.fontMetrics().horizontalAdvance("0")
        self.splitter.setSizes([figure * letters for letters in USUAL])
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(self.splitter)
        self.making_room = MakingRoom(self, self.splitter, self.folds)
        self.making_room.sheet_changed.connect(self._move_sentence)

    def draw_pictures(self) -> None:
        """Draw what may be drawn when the window is whole."""
        for fold in self.folds.values():
            fold.picture.draw()

    def colours_of(self, name: str, colours: Colours) -> Colours:
        """The colours in which a pane is drawn: those of the sheet, or of the ground."""
        return on_sheet(colours) if self.folds[name].is_sheet else colours

    def _move_sentence(self, name: str) -> None:
        """The sentence on the batch goes with the sheet."""
        self.folds[name].take_sentence(self._sentence)
