"""Papers before they are printed: the pages as they will be, on either size of paper, and what can be done with them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QImage, QPixmap
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from planner.papers.typeset import Sheet
from planner.ui.asking import Ask, NoPrinting
from planner.ui.files import FileError, write_whole
from planner.ui.papers.making import Document, Kind
from planner.ui.papers.printing import page_size, printed
from planner.ui.recalculator import Recalculator
from planner.ui.settings import Settings
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label

FINENESS = 108.0
"""Dots in an inch of a page on a screen of usual fineness. [1/in] Letters of ten points are as large there as the window's."""

NAMES = {Sheet.A4: "A4", Sheet.LETTER: "US Letter"}
_KINDS = {Kind.PDF: "PDF (*.pdf)", Kind.HTML: "Web pages (*.html)"}
_AROUND = 16


class PapersDialog(QDialog):
    """Shows pages, prints and saves them. `make` makes them, on the worker.

    Signal: `said` with a sentence for the status line.
    """

    said = Signal(str)

    def __init__(
        self,
        name: str,
        make: Callable[[], Document],
        settings: Settings,
        ask: Ask,
        suggested: Callable[[str], Path],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Print {name}")
        self._make, self._settings, self._ask, self._suggested = make, settings, ask, suggested
        self._document: Document | None = None
        self._refusal = ""
        self.drawing = Recalculator((self._draw,), parent=self)
        self.drawing.finished.connect(self._show_pages)
        self.drawing.failed.connect(self._tell_failure)
        self.errands = Recalculator((lambda errand: errand(),), parent=self)
        self.errands.finished.connect(self._tell)
        self.errands.failed.connect(self._tell_refusal)

        self.sheet = ChoiceField(NAMES.items())
        self.sheet.show_key(settings.sheet)
        self.sheet.chosen.connect(self._choose_sheet)
        self.sheet.setAccessibleName("Size of paper")
        label = Label("Pa&per")
        label.setBuddy(self.sheet)
        self.state = Label("The pages are being set …")
        self.print = Button("&Print…")
        self.print.clicked.connect(self._print)
        self.save = {Kind.PDF: Button("&Save as PDF…"), Kind.HTML: Button("Save as &web page…")}
        for kind, button in self.save.items():
            button.clicked.connect(partial(self._save, kind))
        self._acts = (self.print, *self.save.values())
        head = QHBoxLayout()
        for widget in (label, self.sheet, self.state):
            head.addWidget(widget)
        head.addStretch(1)
        for button in self._acts:
            head.addWidget(button)

        self.pages: list[Label] = []
        self._sheets = QWidget()
        self._stack = QVBoxLayout(self._sheets)
        self._stack.setSpacing(_AROUND)
        self._scroll = QScrollArea()
        self._scroll.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._scroll.setWidgetResizable(True)
        self._scroll.setAccessibleName("Pages")
        self._scroll.setWidget(self._sheets)
        layout = QVBoxLayout(self)
        layout.addLayout(head)
        layout.addWidget(self._scroll, 1)
        self.print.setDefault(True)
        self.print.set_due(True)
        self._scroll.setFocus()
        fit(self, figures=140, lines=52)
        self._request(settings.sheet)

    # --- the pages

    def _request(self, sheet: Sheet) -> None:
        self._enable(False)
        self.drawing.request((sheet, self.devicePixelRatioF()))

    def _draw(self, asked: tuple[Sheet, float]) -> list[QImage]:
        """On the worker."""
        sheet, ratio = asked
        if self._document is None:
            self._document = self._make()
        images = [QImage.fromData(page) for page in self._document.pictured(sheet, FINENESS * ratio)]
        for image in images:
            image.setDevicePixelRatio(ratio)
        return images

    def _show_pages(self, images: object) -> None:
        assert isinstance(images, list)
        for page in self.pages:
            page.deleteLater()
        self.pages = []
        self.drawing.spread(*(partial(self._show_page, image, len(images)) for image in images))
        self.state.setText(f"{len(images)} pages")
        self._enable(True)

    def _show_page(self, image: QImage, count: int) -> None:
        page = Label()
        page.setFrameShape(QFrame.Shape.Box)
        page.setPixmap(QPixmap.fromImage(image))
        page.setAccessibleName(f"Page {len(self.pages) + 1} of {count}")
        self.pages.append(page)
        self._stack.addWidget(page, 0, Qt.AlignmentFlag.AlignHCenter)

    def _choose_sheet(self, key: object) -> None:
        self._settings.sheet = Sheet(str(key))
        self._request(self._settings.sheet)

    def _enable(self, ready: bool) -> None:
        for button in self._acts:
            button.setEnabled(ready)

    def _tell_failure(self, failure: object) -> None:
        self.state.setText("The pages could not be set.")
        set_tone(self.state, "problem")
        raise RuntimeError("The pages could not be set.") from (failure if isinstance(failure, Exception) else None)

    # --- what is done with them

    def _print(self) -> None:
        try:
            size = page_size(self._settings.sheet)
            device = self._ask.paper("Print", self._suggested("").name, size, len(self.pages))
        except NoPrinting as failure:
            self._ask.tell("Printing is not possible here. Save it as a PDF instead.", str(failure))
            return
        if device is not None and self._document is not None:
            self._begin(partial(_printed, self._document, device), "Printing …", "The papers were not printed.")

    def _save(self, kind: Kind) -> None:
        path = self._ask.save_path("Save", self._suggested(kind.value), _KINDS[kind])
        if path is not None and self._document is not None:
            errand = partial(_saved, self._document, kind, self._settings.sheet, path)
            self._begin(errand, "Saving …", "The papers were not written.")

    def _begin(self, errand: Callable[[], str], word: str, refusal: str) -> None:
        self._refusal = refusal
        self._enable(False)
        self.state.setText(word)
        self.errands.request(errand)

    def _tell(self, sentence: object) -> None:
        self._enable(True)
        self.state.setText(str(sentence))
        self.said.emit(str(sentence))

    def _tell_refusal(self, failure: object) -> None:
        self._enable(True)
        self.state.setText("")
        if not isinstance(failure, FileError):
            raise RuntimeError(self._refusal) from (failure if isinstance(failure, Exception) else None)
        self._ask.tell(self._refusal, str(failure))

    def done(self, answer: int) -> None:
        self.drawing.shut_down()
        self.errands.shut_down()
        super().done(answer)


def _printed(document: Document, device: object) -> str:
    if not printed(document, device):  # type: ignore[arg-type]
        raise FileError("The printer, or the file to print into, takes nothing.")
    return "Sent to the printer"


def _saved(document: Document, kind: Kind, sheet: Sheet, path: Path) -> str:
    write_whole(path, document.written(kind, sheet))
    return f"Wrote {path.name}"
