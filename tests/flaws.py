"""Finds words that lie over one another, cells that are cut, what scrolls sideways, and windows beyond their screen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.backends.backend_qtagg import FigureCanvasQTAgg
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

SOMEBODYS = ("First rows of the table", "Pages")
"""What is as wide as somebody's table, or as the paper that is printed, and may scroll sideways."""

ROUNDED = 1
"""What is lost where widths of letters are rounded. [px]"""

TOUCHING = 2
"""How far words may reach into one another: their boxes have room above and below. [px]"""


def laid_over(window: QWidget) -> Iterator[str]:
    """Words of labels, buttons and fields that lie over others."""
    shown = [
        (widget, place)
        for widget in window.findChildren(QWidget)
        if isinstance(widget, QLabel | QAbstractButton | QLineEdit | QComboBox)
        and widget.window() is window.window() and widget.isVisible() and not (place := _seen(widget, window)).isEmpty()
    ]  # fmt: skip
    for (one, first), (other, second) in combinations(shown, 2):
        over = first & second
        if (
            over.width() > TOUCHING
            and over.height() > TOUCHING
            and not (one.isAncestorOf(other) or other.isAncestorOf(one))
        ):
            yield f"{_name(one)} and {_name(other)} lie over one another by {over.width()} x {over.height()}"


def _seen(widget: QWidget, window: QWidget) -> QRect:
    """Where the words of a widget are in sight."""
    place = widget.rect()
    if isinstance(widget, QLabel):
        inside = widget.contentsRect()
        flags = int(widget.alignment()) | (int(Qt.TextFlag.TextWordWrap) if widget.wordWrap() else 0)
        plain = re.sub(r"<[^>]+>", "", widget.text())
        place = widget.fontMetrics().boundingRect(inside, flags, plain) & widget.rect() if plain else QRect()
    place = QRect(widget.mapTo(window, place.topLeft()), place.size())
    part = widget.parentWidget()
    while part is not None and part is not window:
        place &= QRect(part.mapTo(window, QPoint()), part.size())
        part = part.parentWidget()
    return place


def cut_cells(window: QWidget) -> Iterator[str]:
    """Cells and heads of tables whose words have less room than they need, where they hold a figure or are a head."""
    for view in window.findChildren(QTableView):
        if not view.isVisibleTo(window):
            continue
        model, option = view.model(), QStyleOptionViewItem()
        view.initViewItemOption(option)
        for column in range(model.columnCount()):
            if view.isColumnHidden(column) or view.columnWidth(column) == 0:
                continue
            yield from _cut_head(view, column)
            for row in range(model.rowCount()):
                index = model.index(row, column)
                text = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
                if view.columnSpan(row, column) > 1 or not re.search(r"\d", text) or not _is_in_sight(view, index):
                    continue
                need, room = _needed(view, text, option), view.columnWidth(column)
                if need > room:
                    yield f"{_name(view)}: “{text}” in {row}, {column} needs {need}, has {room}"


def _needed(view: QTableView, text: str, option: QStyleOptionViewItem) -> int:
    wide = view.fontMetrics().horizontalAdvance
    words = text.split(" ") if view.wordWrap() else text.splitlines()
    return max((wide(word) for word in words), default=0) + 2


def _is_in_sight(view: QAbstractItemView, index: object) -> bool:
    return bool(view.visualRect(index).intersects(view.viewport().rect()))  # type: ignore[arg-type]


def _cut_head(view: QTableView, column: int) -> Iterator[str]:
    header = view.horizontalHeader()
    text = str(view.model().headerData(column, Qt.Orientation.Horizontal) or "")
    need = max((header.fontMetrics().horizontalAdvance(line) for line in text.splitlines()), default=0)
    if header.isVisible() and need + 4 > header.sectionSize(column):
        yield f"{_name(view)}: head “{text}” needs {need}, has {header.sectionSize(column)}"


def scrolls_sideways(window: QWidget) -> Iterator[str]:
    """What shows but a part of itself across."""
    for area in window.findChildren(QAbstractScrollArea):
        across = area.horizontalScrollBar().maximum()
        if (
            across > ROUNDED
            and area.accessibleName() not in SOMEBODYS
            and area.isVisibleTo(window)
            and not isinstance(area, QHeaderView)
        ):
            yield f"{_name(area)}: {across} more sideways than its {area.viewport().width()}"


def words_over_words(window: QWidget) -> Iterator[str]:
    """Words on pictures that lie over others, or are cut by an edge."""
    for canvas in window.findChildren(FigureCanvasQTAgg):
        if not canvas.isVisibleTo(window):
            continue
        words, cut = _drawn(canvas)
        yield from (f"{_name(canvas)}: “{text}” is cut by its axes" for text in cut)
        for (one, first), (other, second) in combinations(words, 2):
            over = Bbox.intersection(first, second)
            if over is not None and over.width > TOUCHING and over.height > TOUCHING:
                yield f"{_name(canvas)}: “{one}” and “{other}” by {over.width:.0f} x {over.height:.0f}"
        wide, high = canvas.get_width_height(physical=True)
        for text, box in words:
            if box.x0 < -1 or box.y0 < -1 or box.x1 > wide + 1 or box.y1 > high + 1:
                yield f"{_name(canvas)}: “{text}” reaches beyond the picture"


def _drawn(canvas: FigureCanvasQTAgg) -> tuple[list[tuple[str, Bbox]], list[str]]:
    """The words of a picture with their places, as they are drawn, and those of which but a part is."""
    renderer = RendererAgg(*canvas.get_width_height(physical=True), canvas.figure.dpi)
    found: list[tuple[str, Bbox]] = []
    cut: list[str] = []
    draw = Text.draw

    def note(text: Text, renderer: object, *more: object, **named: object) -> None:
        if text.get_visible() and text.get_text().strip() and text.get_alpha() != 0.0:
            box = text.get_window_extent(renderer)
            clip = text.get_clip_box() if text.get_clip_on() else None
            seen = box if clip is None else Bbox.intersection(box, clip)
            if seen is not None and seen.width > 0.0 and seen.height < 1.0:
                seen = None  # of an axis that has no room nothing is seen
            if seen is not None and max(box.width - seen.width, box.height - seen.height) > TOUCHING:
                cut.append(text.get_text())
            if seen is not None and (text.get_text(), seen) not in found:
                found.append((text.get_text(), seen))
        draw(text, renderer, *more, **named)

    Text.draw = note  # type: ignore[method-assign]
    try:
        canvas.figure.draw(renderer)
    finally:
        Text.draw = draw  # type: ignore[method-assign]
    return found, list(dict.fromkeys(cut))


def beyond_the_screen(window: QWidget) -> Iterator[str]:
    """A window that is larger than its screen, or stands beyond its edge."""
    if not window.isWindow() or window.windowType() == Qt.WindowType.Popup:
        return
    frame, room = window.frameGeometry(), window.screen().availableGeometry()
    # Qt rounds both to its own pixels: of a screen with an odd number of rows one may be too many.
    rounding = int(window.devicePixelRatio() > 1.0)
    if not room.adjusted(-rounding, -rounding, rounding, rounding).contains(frame):
        yield f"the window is at {frame.getRect()} on a screen of {room.getRect()}"


def _name(widget: QWidget) -> str:
    text = widget.text() if isinstance(widget, QLabel | QAbstractButton | QLineEdit) else ""
    return f"{type(widget).__name__} “{widget.accessibleName() or text[:40]}”"
