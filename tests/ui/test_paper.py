"""The report on paper: every word of it, on pages with numbers, black on white."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QImage, QPainter, QPalette, QPdfWriter
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QApplication

from planner.ui.shell import printing
from planner.ui.shell.printing import printed

REPORT = "\n".join((
    "Old Plum", "========", "Should reach 12.0 % vol.", "",
    "Recipe", "     4.000 kg  Plum", "  must kept at 18 °C", "    deeper still", "",
    "Findings", "  warning  The must leaves little room for foam.",
))  # fmt: skip


def blocks(text):
    document = printing._document(text)
    block, found = document.begin(), []
    while block.isValid():
        found.append(block)
        block = block.next()
    return document, found


def test_that_columns_keep_their_spaces_and_sentences_lose_them(qapp):
    _document, found = blocks(REPORT)
    assert [block.text() for block in found] == [
        "Old Plum", "Should reach 12.0 % vol.", "Recipe", "     4.000 kg  Plum", "must kept at 18 °C", "deeper still",
        "Findings", "warning: The must leaves little room for foam.",
    ]  # fmt: skip
    assert found[5].blockFormat().leftMargin() > found[4].blockFormat().leftMargin()


def test_that_a_long_report_goes_on_to_further_pages(qapp, tmp_path):
    path = tmp_path / "report.pdf"
    assert printed(REPORT + "\n  one more line" * 200, QPdfWriter(str(path)))
    data = path.read_bytes()
    assert data.startswith(b"%PDF")
    assert data.count(b"/Type /Page\n") >= 3


def test_that_the_margins_leave_room_to_hold_it(qapp, tmp_path):
    writer = QPdfWriter(str(tmp_path / "report.pdf"))
    assert printed(REPORT, writer)
    assert writer.pageLayout().margins(writer.pageLayout().Unit.Millimeter).left() == pytest.approx(15.0, abs=0.1)


@pytest.mark.qt_log_ignore("QPainter::begin")  # Qt tells it too
def test_that_a_file_that_cannot_be_written_is_told(qapp, tmp_path):
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "nowhere" / "report.pdf"))
    assert not printed(REPORT, printer)


def test_that_on_a_dark_screen_it_is_black_on_white_all_the_same(qapp):
    before = QApplication.palette()
    dark = QPalette(before)
    dark.setColor(QPalette.ColorRole.Text, QColor("white"))
    QApplication.setPalette(dark)
    try:
        sheet = QImage(600, 400, QImage.Format.Format_RGB32)
        sheet.fill(QColor("white"))
        document, _blocks = blocks(REPORT)
        document.setPageSize(sheet.size())
        painter = QPainter(sheet)
        printing._draw(painter, document, painter.viewport().toRectF())
        painter.end()
    finally:
        QApplication.setPalette(before)
    darkest = min(sheet.pixelColor(x, y).lightness() for x in range(0, 200) for y in range(0, 60))
    assert darkest < 64
