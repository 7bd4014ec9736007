"""Explanations: what a figure means, where figures come from, and what this program is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QCursor, QKeySequence, QTextDocument
from PySide6.QtWidgets import QApplication, QDialog, QTextBrowser, QVBoxLayout, QWhatsThis, QWidget

from planner import __version__
from planner.reference.catalogue import Catalogue
from planner.reference.sources import KINDS
from planner.ui.shell.actions import ELSEWHERE
from planner.ui.widgets.button import closing
from planner.ui.widgets.fitting import fit

_NOTE_WIDTH = 540.0
"""Of a note that explains, about. [px]"""

NOTHING = "Point at a figure or a field, or go to it with the Tab key, and press F1. What it means is shown here."


def explained(widget: QWidget | None) -> tuple[QWidget, str] | None:
    """The nearest widget, from this one outwards, that can be explained, and its text."""
    while widget is not None:
        text = widget.whatsThis() or widget.toolTip()
        if text:
            return widget, text
        widget = widget.parentWidget()
    return None


def explain(window: QWidget) -> None:
    """Explain what has the focus, else what is under the mouse."""
    found = explained(QApplication.focusWidget()) or explained(QApplication.widgetAt(QCursor.pos()))
    if found is None:
        QWhatsThis.showText(window.mapToGlobal(QPoint(window.width() // 2, window.height() // 2)), NOTHING, window)
    elif _is_page(found[1], window):
        page = Reader("What is this?", found[1], window)
        page.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        page.show()
    else:
        widget, text = found
        QWhatsThis.showText(widget.mapToGlobal(QPoint(8, widget.height())), text, widget)


def _is_page(text: str, window: QWidget) -> bool:
    """Whether a text is too long for a note over the window, which cannot be scrolled."""
    document = QTextDocument()
    document.setHtml(text)
    document.setTextWidth(_NOTE_WIDTH)
    return document.size().height() > 0.6 * window.screen().availableGeometry().height()


class Reader(QDialog):
    """A page of text in a window of its own that never blocks."""

    def __init__(self, title: str, html: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        fit(self, figures=92, lines=37)
        page = QTextBrowser()
        page.setAccessibleName(title)
        page.setOpenExternalLinks(False)
        page.setHtml(html)
        self.buttons = closing(self)
        layout = QVBoxLayout(self)
        layout.addWidget(page)
        layout.addWidget(self.buttons)


def sources_page(catalogue: Catalogue) -> str:
    """Every source that the tables and formulas rest on, by its kind."""
    rows = sorted(catalogue.sources.values(), key=lambda source: source.title.casefold())
    listed = "".join(
        f"<h4>{escape(heading)}</h4>"
        + "".join(f"<p>{escape(source.citation)}</p>" for source in rows if source.kind == kind)
        for kind, heading in KINDS.items()
    )
    return f"<h3>Sources</h3><p>Formulas and tables rest on these. Each ingredient names its own.</p>{listed}"


def keys_page(commands: Mapping[str, Iterable[QAction]]) -> str:
    """Every key, by where it works."""
    by_menu = {
        menu: [(keys, action.text().replace("&", "")) for action in actions if (keys := _keys(action))]
        for menu, actions in commands.items()
    }
    parts = []
    for heading, rows in (*by_menu.items(), *ELSEWHERE.items()):
        lines = "".join(
            f"<tr><td><b>{escape(keys)}</b>&nbsp;&nbsp;&nbsp;</td><td>{escape(text)}</td></tr>" for keys, text in rows
        )
        parts.append(f"<h4>{escape(heading)}</h4><table>{lines}</table>")
    return f"<h3>Keyboard shortcuts</h3>{''.join(parts)}"


def _keys(action: QAction) -> str:
    return " or ".join(key.toString(QKeySequence.SequenceFormat.NativeText) for key in action.shortcuts())


def about_page() -> str:
    """What this is, the cautions that hold for all of it, and what it is made of."""
    from planner.ui.shell.parts import parts

    rows = "".join(
        f"<tr><td>{escape(part.name)} {escape(part.version)}&nbsp;&nbsp;&nbsp;</td><td>{escape(part.licence)}</td></tr>"
        for part in parts()
    )
    return (
        f"<h3>Fruit Mead Planner {escape(__version__)}</h3>"
        "<p>Plan a batch of fruit mead, follow its fermentation, and adjust it before it is bottled.</p>"
        "<p>Every figure names its source, or says that it is an estimate or from memory; press F1 on it. "
        "A range shows how far it can be trusted. None replaces a measurement.</p>"
        "<p>A closed bottle in which yeast still works can burst. Fermentation gas can suffocate in a closed room. "
        "What may be made, added, labelled and sold is ruled by law where you live. Follow your local rules, "
        "and ask someone licensed where they call for it.</p>"
        f"<h4>Parts and their licences</h4><p>No licence has been chosen yet for this program itself.</p>"
        f"<table>{rows}</table>"
    )
