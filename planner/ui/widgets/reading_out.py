"""What screen readers are told beyond names: descriptions without markup, and news that nobody asked for."""

from __future__ import annotations

from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, Qt, QTextDocumentFragment
from PySide6.QtWidgets import QWidget

_DERIVED = "described by its hover"
"""Marks a description that follows the tool tip, and may be written anew."""


def describe_plainly(window: QWidget) -> None:
    """Give whatever has a tool tip with markup a description without: Qt would read out the markup."""
    for widget in window.findChildren(QWidget):
        hover = widget.toolTip()
        if "<" not in hover or not Qt.mightBeRichText(hover):
            continue
        if not widget.accessibleDescription() or widget.property(_DERIVED):
            plain = QTextDocumentFragment.fromHtml(hover).toPlainText().replace("\n", " ")
            if plain != widget.accessibleDescription():
                widget.setAccessibleDescription(plain)
                widget.setProperty(_DERIVED, True)


def announce(widget: QWidget, text: str) -> None:
    """Have something read out that has changed by itself; only where something reads."""
    if QAccessible.isActive() and widget.isVisible():
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(widget, text))
