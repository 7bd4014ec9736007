"""A layout whose widgets are made anew is emptied first."""

from __future__ import annotations

from PySide6.QtWidgets import QLayout


def empty(layout: QLayout) -> None:
    """Take every widget out of a layout, out of sight at once, and let it go."""
    while layout.count():
        item = layout.takeAt(0)
        widget = item.widget() if item is not None else None
        if widget is not None:
            widget.hide()  # it goes with the next turn of the event loop, and would be seen until then
            widget.deleteLater()
