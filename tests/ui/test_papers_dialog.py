"""Papers in the window: seen before they are printed, on either size, black on white on any screen."""

from __future__ import annotations

from functools import partial

import pypdfium2
import pytest
from example_batches import full, plain, worked_out
from helpers import ScriptedAsk
from PySide6.QtCore import QLocale, QSettings
from PySide6.QtGui import QColor, QPageRanges, QPageSize, QPalette
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QApplication

from planner.papers.typeset import Sheet
from planner.ui.display import Display
from planner.ui.papers.dialog import PapersDialog
from planner.ui.papers.making import Kind, document_for
from planner.ui.papers.printing import page_size, printed
from planner.ui.settings import Settings


@pytest.fixture
def opened(qtbot, tmp_path):
    """Opens the dialog on a batch and waits until its pages are there."""

    def make(*answers, batch=None, locale="en_GB"):
        store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
        ask = ScriptedAsk(*answers)
        settings, outcome = Settings(store, QLocale(locale)), worked_out(batch or plain())
        make = partial(document_for, [outcome], settings.display)
        dialog = PapersDialog(outcome.batch.name, make, settings, ask, lambda end: tmp_path / f"plum{end}")
        qtbot.addWidget(dialog)
        with qtbot.waitExposed(dialog):
            dialog.show()
        settle(qtbot, dialog)
        return dialog, ask

    return make


def settle(qtbot, dialog):
    qtbot.waitUntil(lambda: not (dialog.drawing.is_busy or dialog.errands.is_busy), timeout=30_000)


def ratio(dialog):
    size = dialog.pages[0].pixmap().deviceIndependentSize()
    return size.height() / size.width()


@pytest.mark.parametrize(
    ("locale", "first", "height"), [("en_GB", Sheet.A4, 297 / 210), ("en_US", Sheet.LETTER, 11 / 8.5)]
)
def test_that_the_first_size_is_that_of_the_country_and_the_chosen_one_stays(qtbot, opened, locale, first, height):
    dialog, _ = opened(locale=locale)
    assert ratio(dialog) == pytest.approx(height, abs=0.003)  # a page of some thousand dots is rounded to whole ones
    other = Sheet.LETTER if first is Sheet.A4 else Sheet.A4
    dialog.sheet.setCurrentIndex(dialog.sheet.findData(other))
    dialog.sheet.activated.emit(dialog.sheet.currentIndex())
    assert not dialog.print.isEnabled()
    settle(qtbot, dialog)
    assert ratio(dialog) != pytest.approx(height, abs=0.003)
    assert dialog.print.isEnabled()
    dialog.reject()
    again, _ = opened(locale=locale)
    assert again.sheet.key == other
    again.reject()


def test_that_each_page_has_a_name_for_those_who_do_not_see_it(opened):
    dialog, _ = opened(batch=full())
    assert [page.accessibleName() for page in dialog.pages[:2]] == [f"Page {n} of {len(dialog.pages)}" for n in (1, 2)]
    dialog.reject()


def test_that_a_place_that_cannot_be_written_to_is_told(qtbot, opened, tmp_path):
    dialog, ask = opened(tmp_path / "nowhere" / "plum.pdf")
    dialog.save[Kind.PDF].click()
    settle(qtbot, dialog)
    assert ask.told[0].startswith("The papers were not written.")
    assert dialog.print.isEnabled()
    dialog.reject()


@pytest.mark.qt_log_ignore("QPainter::begin")  # Qt tells it too
def test_that_a_file_that_cannot_be_printed_into_is_told(qtbot, opened, tmp_path):
    dialog, ask = opened(tmp_path / "nowhere" / "plum.pdf")
    dialog.print.click()
    settle(qtbot, dialog)
    assert ask.told[0].startswith("The papers were not printed.")
    dialog.reject()


@pytest.mark.parametrize("sheet", list(Sheet))
def test_that_it_is_printed_on_whole_sheets_and_only_the_pages_that_are_chosen(qapp, tmp_path, sheet):
    path = tmp_path / "printed.pdf"
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(path))
    printer.setPageSize(page_size(sheet))
    printer.setPageRanges(QPageRanges.fromString("1-2"))
    assert printed(document_for([worked_out(full())], Display()), printer)
    pages = pypdfium2.PdfDocument(path)
    assert len(pages) == 2
    assert pages[0].get_size() == pytest.approx(QPageSize(page_size(sheet)).sizePoints().toTuple(), abs=1.0)
    image = pages[0].render(scale=1.0).to_pil().convert("L")
    width, height = image.size
    assert image.crop((0, 0, width // 12, height)).getextrema()[0] > 250  # the margin of 20 mm is white
    assert image.crop((width // 12, 0, width // 2, height // 8)).getextrema()[0] < 100  # and the title stands beside it
    pages.close()


def test_that_on_a_dark_screen_it_is_black_on_white_all_the_same(opened):
    before = QApplication.palette()
    dark = QPalette(before)
    dark.setColor(QPalette.ColorRole.Text, QColor("white"))
    dark.setColor(QPalette.ColorRole.Window, QColor("black"))
    QApplication.setPalette(dark)
    try:
        dialog, _ = opened()
        image = dialog.pages[0].pixmap().toImage()
        assert image.pixelColor(5, 5) == QColor("white")
        assert min(image.pixelColor(x, y).lightness() for x in range(80, 300, 2) for y in range(60, 160, 2)) < 64
        dialog.reject()
    finally:
        QApplication.setPalette(before)


def test_that_a_writer_that_takes_nothing_is_no_success(qapp, tmp_path):
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setPageRanges(QPageRanges.fromString("900"))
    assert not printed(document_for([worked_out(plain())], Display()), printer)
