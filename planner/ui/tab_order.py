"""Where what comes late stands in the order of the Tab key."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget


def follow(before: QWidget, content: QWidget) -> None:
    """Let Tab go from a widget on to what is in another, which was put into the window after its neighbours.

    Qt leads to a widget that joins a window last of all, wherever it stands; within it the order stays.
    """
    for widget in stops(content):
        QWidget.setTabOrder(before, widget)
        before = widget


def stops(content: QWidget) -> list[QWidget]:
    """Where Tab stops inside a widget, in order; a stop with others inside it, such as a list with a line, is one."""
    found: list[QWidget] = []
    widget = content.nextInFocusChain()
    while widget is not None and widget is not content:
        if _is_stop(widget) and content.isAncestorOf(widget) and not _is_inside_stop(widget, content):
            found.append(widget)
        widget = widget.nextInFocusChain()
    return found


def _is_inside_stop(widget: QWidget, content: QWidget) -> bool:
    around = widget.parentWidget()
    while around is not None and around is not content:
        if _is_stop(around):
            return True
        around = around.parentWidget()
    return False


def _is_stop(widget: QWidget) -> bool:
    return bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
