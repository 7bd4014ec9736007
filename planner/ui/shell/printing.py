"""The report on paper: its text with headings, tables in columns, and numbered pages; black on white in any theme."""

from __future__ import annotations

import re

from PySide6.QtCore import QMarginsF, QRectF, Qt
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QFont,
    QFontDatabase,
    QImage,
    QPagedPaintDevice,
    QPageLayout,
    QPainter,
    QPalette,
    QTextBlockFormat,
    QTextCharFormat,
    QTextCursor,
    QTextDocument,
    QTextOption,
)

TITLE, HEADING, READING, COLUMNS = 16.0, 11.0, 9.0, 8.0
"""Sizes of letters. [pt]"""

GRID, POINTS_IN_INCH = 96.0, 72.0
"""Dots of the grid on which the text is laid out, in an inch [1/in], and points [pt/in]."""

ABOVE_HEADING, ABOVE_SENTENCE, HANGING, INDENT, FOOT = 14.0, 2.0, 14.0, 7.0, 34.0
"""Room above both, how far what goes on in a next line stands in, the same for each space before a sentence, and what is left
at the foot for the number of the page. [dots of the grid]"""

MARGIN = 15.0
"""Least margin of the page. [mm]"""

_GAP = re.compile(r"(?<=\S) {2,}(?=\S)")
_IN_SENTENCES = ("Findings", "Tastings")
"""Sections whose lines are sentences behind a word or a date."""


def printed(text: str, device: QPagedPaintDevice) -> bool:
    """Print the text of a report; False where the device takes nothing, a file that cannot be written for instance."""
    _keep_margins(device)
    painter = QPainter()
    if not painter.begin(device):
        return False
    # Laid out on a grid as coarse as a screen's and drawn enlarged: so all measures of the text grow alike.
    grid = QImage(1, 1, QImage.Format.Format_RGB32)
    grid.setDotsPerMeterX(round(GRID / 0.0254))
    grid.setDotsPerMeterY(round(GRID / 0.0254))
    scale = device.logicalDpiX() / GRID
    painter.scale(scale, scale)
    whole = QRectF(0.0, 0.0, device.width() / scale, device.height() / scale)
    sheet = whole.adjusted(0.0, 0.0, 0.0, -FOOT)
    document = _document(text)
    document.documentLayout().setPaintDevice(grid)
    document.setPageSize(sheet.size())
    for page in range(document.pageCount()):
        if page and not device.newPage():
            painter.end()
            return False
        _draw(painter, document, sheet.translated(0.0, page * sheet.height()))
        _number(painter, whole, f"{document.metaInformation(_ABOUT)}  ·  {page + 1} of {document.pageCount()}")
    return painter.end()


def _keep_margins(device: QPagedPaintDevice) -> None:
    """Margins of the page as they are set, but not so narrow that fingers have no hold."""
    set_to = device.pageLayout().margins(QPageLayout.Unit.Millimeter)
    left, top, right, bottom = (
        max(side, MARGIN) for side in (set_to.left(), set_to.top(), set_to.right(), set_to.bottom())
    )
    device.setPageMargins(QMarginsF(left, top, right, bottom), QPageLayout.Unit.Millimeter)


_ABOUT = QTextDocument.MetaInformation.DocumentTitle


def _draw(painter: QPainter, document: QTextDocument, part: QRectF) -> None:
    context = QAbstractTextDocumentLayout.PaintContext()
    # Of the palette of the screen a dark one would print white on white.
    palette = QPalette(Qt.GlobalColor.white)
    palette.setColor(QPalette.ColorRole.Text, Qt.GlobalColor.black)
    context.palette = palette
    context.clip = part
    painter.save()
    painter.translate(0.0, -part.top())
    painter.setClipRect(part)
    document.documentLayout().draw(painter, context)
    painter.restore()


def _number(painter: QPainter, whole: QRectF, text: str) -> None:
    font = _font(COLUMNS)
    font.setPixelSize(round(COLUMNS * GRID / POINTS_IN_INCH))
    painter.setPen(Qt.GlobalColor.darkGray)
    painter.setFont(font)
    painter.drawText(whole, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignHCenter, text)


def _document(text: str) -> QTextDocument:
    """The text as blocks, each in its look."""
    document = QTextDocument()
    document.setDocumentMargin(0.0)
    document.setDefaultFont(_font(READING))
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    document.setDefaultTextOption(option)
    title, *lines = text.splitlines()
    document.setMetaInformation(_ABOUT, title)
    cursor = QTextCursor(document)
    cursor.insertText(title, _look(_font(TITLE, bold=True)))
    section, begins = "", False
    for line in lines:
        if not line.strip("= "):
            begins = not line.strip()
            continue
        if begins:
            section, begins = line, False
            cursor.insertBlock(_block(ABOVE_HEADING), _look(_font(HEADING, bold=True)))
            cursor.insertText(line)
            continue
        _add(cursor, line, section)
    return document


def _add(cursor: QTextCursor, line: str, section: str) -> None:
    """One line of a section: as it is where it belongs to columns, else as a sentence."""
    if section not in _IN_SENTENCES and _GAP.search(line):
        cursor.insertBlock(_block(0.0), _look(_columns_font()))
        cursor.insertText(line)
        return
    deeper = max(len(line) - len(line.lstrip()) - 2, 0) * INDENT
    cursor.insertBlock(_block(ABOVE_SENTENCE, deeper), _look(_font(READING)))
    cursor.insertText(_GAP.sub(": ", line.strip()))


def _block(above: float, deeper: float = 0.0) -> QTextBlockFormat:
    form = QTextBlockFormat()
    form.setTopMargin(above)
    form.setLeftMargin(HANGING + deeper)
    form.setTextIndent(-HANGING)
    return form


def _look(font: QFont) -> QTextCharFormat:
    look = QTextCharFormat()
    look.setFont(font)
    return look


def _font(points: float, bold: bool = False) -> QFont:
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)
    font.setPointSizeF(points)
    font.setBold(bold)
    return font


def _columns_font() -> QFont:
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
    font.setPointSizeF(COLUMNS)
    return font
