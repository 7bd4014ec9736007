"""Finds figures that are cut: the width of each text beside the room of the widget that shows it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QTextDocument
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QComboBox,
    QLabel,
    QLineEdit,
    QScrollArea,
    QStyle,
    QStyleOptionComboBox,
    QStyleOptionFrame,
    QWidget,
)

from planner.ui.shell.folding import Strip
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.fields import CommitLine

INSIDE_A_LINE = 2
"""Between the frame of a line of text and the text, by the source of Qt. [px]"""


def cut_figures(window: QWidget) -> list[str]:
    """Every visible figure below a widget that has less room than it needs, with both widths. [px]"""
    found = []
    for widget in window.findChildren(QWidget):
        if not widget.isVisibleTo(window) or widget.window() is not window.window():
            continue
        for text, needed, room in _texts(widget):
            if re.search(r"\d", text) and needed > room:
                found.append(f"{_name(widget)}: “{text}” needs {needed}, has {room}")
        if any(re.search(r"\d", text) for text, _, _ in _texts(widget)):
            found += _out_of_sight(widget, window)
    return found


def cut_words(window: QWidget) -> list[str]:
    """Every visible label and button below a widget whose words have less room than they need; those that may be elided are not."""
    found = []
    for widget in window.findChildren(QLabel) + window.findChildren(QAbstractButton):
        if isinstance(widget, Elided) or not widget.isVisibleTo(window) or widget.window() is not window.window():
            continue
        for text, needed, room in _words(widget):
            if needed > room:
                found.append(f"{_name(widget)}: “{text}” needs {needed}, has {room}")
    return found


def _words(widget: QLabel | QAbstractButton) -> Iterator[tuple[str, int, int]]:
    """The words of a label or button without the signs of their keys, the room that they need, and that there is. [px]"""
    if isinstance(widget, QLabel) and widget.buddy() is None:
        yield from _texts_of_label(widget)
        return
    text = widget.text().replace("&", "")
    if widget.hasHeightForWidth():
        yield text, widget.heightForWidth(widget.width()), widget.height()
        return
    upright = isinstance(widget, Strip)
    yield text, widget.fontMetrics().horizontalAdvance(text), widget.height() if upright else widget.width()


def _texts(widget: QWidget) -> Iterator[tuple[str, int, int]]:
    """The texts of a widget, the width that each needs, and the width that there is. [px]"""
    wide = widget.fontMetrics().horizontalAdvance
    if isinstance(widget, QLineEdit):
        if isinstance(widget.parent(), QComboBox):
            return
        text = widget.text() or widget.placeholderText()
        if isinstance(widget, CommitLine) and widget.holds():
            yield text, wide(text), _room_of_line(widget)
    elif isinstance(widget, QComboBox):
        text = widget.currentText()
        if text[:1].isdecimal():  # an amount; names may be cut
            option = QStyleOptionComboBox()
            widget.initStyleOption(option)
            edit = QStyle.SubControl.SC_ComboBoxEditField
            yield (
                text,
                wide(text),
                widget.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, edit, widget).width(),
            )
    elif isinstance(widget, Elided):
        shown = widget.text()
        if shown != widget.text_shown():
            figure = re.search(r"[\d.,]*…$", shown)  # what is cut may not begin within a figure
            rest = widget.text_shown()[len(shown) - 1 :]
            if figure and len(figure.group()) > 1 and re.match(r"[\d.,]*\d", rest):
                yield shown, 1, 0
    elif isinstance(widget, QLabel):
        yield from _texts_of_label(widget)
    elif isinstance(widget, QAbstractButton):
        yield widget.text(), min(widget.sizeHint().width(), widget.minimumSizeHint().width()), widget.width()


def _texts_of_label(label: QLabel) -> Iterator[tuple[str, int, int]]:
    wide, room = label.fontMetrics().horizontalAdvance, label.contentsRect().width()
    text = label.text()
    if label.textFormat() != Qt.TextFormat.PlainText and re.search(r"<[a-z]", text):
        document = QTextDocument()
        document.setHtml(text)
        text = document.toPlainText()
    if not label.wordWrap():
        yield text, max((wide(line) for line in text.splitlines()), default=0), room
        return
    for word in re.split(r"[ \n\t]", text):  # no line breaks at a hard space
        yield word, wide(word), room
    yield text, label.heightForWidth(label.width()), label.height()


def _room_of_line(line: QLineEdit) -> int:
    option = QStyleOptionFrame()
    line.initStyleOption(option)
    inner = line.style().subElementRect(QStyle.SubElement.SE_LineEditContents, option, line)
    margins = line.textMargins()
    return inner.width() - margins.left() - margins.right() - 2 * INSIDE_A_LINE


def _out_of_sight(widget: QWidget, window: QWidget) -> Iterator[str]:
    """Where an edge above it cuts a widget at its side; where it can be scrolled to, it is not cut."""
    part, parent = widget, widget.parentWidget()
    while parent is not None and part is not window:
        if isinstance(parent, QScrollArea) and parent.horizontalScrollBar().maximum() > 0:
            return
        place, scrolls = QRect(widget.mapTo(parent, QPoint()), widget.size()), isinstance(parent, QAbstractScrollArea)
        if not scrolls and not _scrolls(parent) and (place.left() < 0 or place.right() >= parent.width()):
            yield f"{_name(widget)}: at {place.left()} to {place.right()} of {parent.width()} in {_name(parent)}"
            return
        part, parent = parent, parent.parentWidget()


def _scrolls(content: QWidget) -> bool:
    """Whether a widget is the viewport of an area, or moved in it, that scrolls sideways."""
    for area in (content.parentWidget(), content.parentWidget() and content.parentWidget().parentWidget()):
        if isinstance(area, QScrollArea) and area.horizontalScrollBar().maximum() > 0:
            return True
    return False


def _name(widget: QWidget) -> str:
    return f"{type(widget).__name__} “{widget.accessibleName()}”"
