"""Where what comes late stands in the order of the Tab key: where it is laid out.

The order is read off the layouts. Qt could be asked for it (`nextInFocusChain`), but PySide then takes each widget for
a child of the one before it; when one of them goes, the references to all behind it are dead, and the next use of one
ends the program.
"""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLayout, QScrollArea, QSplitter, QWidget


def follow(before: QWidget, content: QWidget) -> None:
    """Let Tab go from a widget on to what is in another, which was put into the window after its neighbours.

    Qt leads to a widget that joins a window last of all, wherever it stands.
    """
    for widget in stops(content):
        QWidget.setTabOrder(before, widget)
        before = widget


def stops(content: QWidget) -> list[QWidget]:
    """Where Tab stops inside a widget, in order; a stop with others inside it, such as a list with a line, is one.

    A widget whose order is another than that of its layout says so by a method `chain`.
    """
    chain = getattr(content, "chain", None)
    found: list[QWidget] = chain() if callable(chain) else []
    first = set(found)
    for part in _parts(content):
        found += [stop for stop in ([part] if _is_stop(part) else stops(part)) if stop not in first]
    return found


def _is_stop(widget: QWidget) -> bool:
    return bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)


def _parts(widget: QWidget) -> list[QWidget]:
    """What a widget lays out, in order; of one without layout its children."""
    layout = widget.layout()
    if isinstance(widget, QSplitter):
        parts = [widget.widget(place) for place in range(widget.count())]
    elif isinstance(widget, QScrollArea):
        parts = [widget.widget()]
    elif layout is not None:
        parts = list(_laid_out(layout))
    else:
        parts = [child for child in widget.children() if isinstance(child, QWidget) and not child.isWindow()]
    return [part for part in parts if part is not None]


def _laid_out(layout: QLayout) -> Iterator[QWidget]:
    for place in range(layout.count()):
        item = layout.itemAt(place)
        child, inner = (item.widget(), item.layout()) if item is not None else (None, None)
        if child is not None:
            yield child
        elif inner is not None:
            yield from _laid_out(inner)
