"""The alcohol so far beside the log's heading; pressed, it shows by which ways it is known."""

from __future__ import annotations

from html import escape

from PySide6.QtWidgets import QWidget

from planner.timeline import alcohol_text
from planner.timeline.instruments import AlcoholSoFar
from planner.ui.display import Display
from planner.ui.widgets.button import Button
from planner.ui.widgets.remarks import in_words
from planner.units import Kind


class SoFarButton(Button):
    """Says the alcohol at the last reading with its interval; the hover tells rules of thumb and what agrees."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._display = display
        self._told: AlcoholSoFar | None = None
        self.setFlat(True)
        self.setAccessibleName("Alcohol so far")
        self.hide()

    def show_so_far(self, told: AlcoholSoFar | None) -> None:
        """Show the alcohol of another log; nothing where it tells none."""
        self._told = told
        self._fill()

    def set_display(self, display: Display) -> None:
        """Other habits of writing numbers."""
        self._display = display
        self._fill()

    def _fill(self) -> None:
        told = self._told
        self.setVisible(told is not None)
        if told is None:
            return
        now, word = (told.alcohol, "so far") if told.stirred is None else (told.stirred, "as dosed")
        self.setText(f"{self._display.format_span(now, Kind.STRENGTH)} {word}")
        lines = [in_words(text, self._display) for text in alcohol_text.sentences(told)]
        self.setToolTip("<p>" + "<br>".join(escape(line) for line in lines) + "</p>")
        self.setAccessibleDescription(" ".join(lines))
