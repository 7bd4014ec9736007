"""The one way to put a text into a label or a tool tip: names, notes and prices come from files, and are no markup."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import Qt as Gui
from PySide6.QtWidgets import QLabel, QWidget


class Label(QLabel):
    """Shows a text as it is. Left to itself Qt would load a picture that a name asks for."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)


class Markup(QLabel):
    """Shows paragraphs, bold words and links of our own; whatever comes from elsewhere is escaped before."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setText(text)


def as_markup(hint: str) -> str:
    """A text of a tool tip to which markup is to be added."""
    return hint if Gui.mightBeRichText(hint) else escape(hint).replace("\n", "<br>")


def as_it_is(text: str) -> str:
    """A text for a tool tip, which has no format of its own: what Qt would take for markup is escaped."""
    return "<p>" + escape(text).replace("\n", "<br>") + "</p>" if Gui.mightBeRichText(text) else text
