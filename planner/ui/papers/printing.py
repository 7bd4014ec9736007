"""Pages on a printer: pictures as fine as its letters need, each as large as its sheet."""

from __future__ import annotations

from PySide6.QtCore import QMarginsF, QRectF, QSizeF, Qt
from PySide6.QtGui import QImage, QPagedPaintDevice, QPageLayout, QPageRanges, QPageSize, QPainter

from planner.papers.typeset import Sheet
from planner.ui.papers.making import Document

FINENESS = 300.0
"""Dots in an inch, from which on letters of this size look no better to the eye. [1/in] Common practice, no source."""


_SIZES = {Sheet.A4: QPageSize.PageSizeId.A4, Sheet.LETTER: QPageSize.PageSizeId.Letter}


def page_size(sheet: Sheet) -> QPageSize:
    """A sheet as printers know it."""
    return QPageSize(_SIZES[sheet])


def printed(document: Document, device: QPagedPaintDevice) -> bool:
    """Print papers; False where the device takes nothing, a file that cannot be written for instance. For a worker."""
    layout = device.pageLayout()
    sheet = Sheet.LETTER if layout.pageSize().id() == _SIZES[Sheet.LETTER] else Sheet.A4
    # The pages have margins of their own, so that theirs is the whole of the sheet.
    layout.setMode(QPageLayout.Mode.FullPageMode)
    layout.setMargins(QMarginsF())
    device.setPageLayout(layout)
    pages = document.pictured(sheet, FINENESS)
    chosen = [place for place in range(len(pages)) if _is_chosen(device.pageRanges(), place + 1)]
    painter = QPainter()
    if not chosen or not painter.begin(device):
        return False
    for number, place in enumerate(chosen):
        if number and not device.newPage():
            painter.end()
            return False
        _draw(painter, QImage.fromData(pages[place]), QSizeF(device.width(), device.height()))
    return painter.end()


def _is_chosen(ranges: QPageRanges, page: int) -> bool:
    return ranges.isEmpty() or ranges.contains(page)


def _draw(painter: QPainter, page: QImage, sheet: QSizeF) -> None:
    """A page in the middle of the sheet, as large as that allows."""
    size = QSizeF(page.size()).scaled(sheet, Qt.AspectRatioMode.KeepAspectRatio)
    left, top = (sheet.width() - size.width()) / 2.0, (sheet.height() - size.height()) / 2.0
    painter.drawImage(QRectF(left, top, size.width(), size.height()), page, QRectF(page.rect()))
