"""Readings in, and readings, reports and pictures out."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeGuard

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QWidget

from planner.document import edits
from planner.document.batch import Batch
from planner.document.codec import SUFFIX, BatchFileError, decode
from planner.evaluation.outcome import Outcome, evaluate
from planner.importing.reading import export_csv
from planner.reference.catalogue import Catalogue
from planner.ui.asking import Ask
from planner.ui.files import FileError, file_name, read_whole, write_whole
from planner.ui.importing.dialog import ImportDialog
from planner.ui.importing.watching import Watching, newest_table
from planner.ui.log.when import now
from planner.ui.pictures import PICTURES
from planner.ui.settings import Settings
from planner.ui.store import BatchStore
from planner.ui.theme import Colours

if TYPE_CHECKING:
    from planner.ui.papers.dialog import PapersDialog

BATCHES = f"Batches (*{SUFFIX})"
TABLES = "Tables (*.csv *.tsv *.txt)"
REPORTS = "Text for reading (*.txt);;JSON for other programs (*.json)"


class Exchange(QObject):
    """Carries data between the batch and other files. Signal: `said` with a sentence for the status line."""

    said = Signal(str)

    def __init__(self, store: BatchStore, catalogue: Catalogue, settings: Settings, ask: Ask, parent: QWidget) -> None:
        super().__init__(parent)
        self._store, self._catalogue, self._settings, self._ask = store, catalogue, settings, ask
        self._window = parent
        self.watching = Watching(store, settings, self)
        """The file that is watched, if there is one."""
        self._to_watch: Path | None = None
        self.dialog: ImportDialog | None = None
        """The import dialog while it is open."""
        self.papers: PapersDialog | None = None
        """The papers that were shown last."""

    def ask_and_import(self, colours: Colours) -> None:
        """Ask for a file of readings and show what would be taken from it."""
        path = self._ask.open_path("Import readings", self._settings.last_folder, TABLES)
        if path is not None:
            self.import_file(path, colours)

    def import_file(self, path: Path, colours: Colours) -> None:
        """Show what would be taken from a file, which is read on the worker of the dialog."""
        self._show(ImportDialog(path, path.name, self._batch(), self._settings.display, colours, self._window))

    def ask_and_watch(self, colours: Colours, folder: bool = False) -> None:
        """Ask for a file, or a folder, that readings come into, and show what is in it before it is watched."""
        last = self._settings.last_folder
        path = self._ask.folder_path("Watch a folder", last) if folder else self._ask.open_path(
            "Watch a file", last, TABLES
        )  # fmt: skip
        if path is not None:
            self.watch_path(path, colours)

    def watch_path(self, path: Path, colours: Colours) -> None:
        """Show what is in a file, or in the newest of a folder; it is watched once the person agrees."""
        file = newest_table(path)
        self._to_watch = path
        if file is None:
            self.watching.watch(path)
            return
        display = self._settings.display
        self._show(ImportDialog(file, file.name, self._batch(), display, colours, self._window, to_watch=True))

    def paste(self, colours: Colours) -> None:
        """Show what would be taken from the clipboard."""
        text = QGuiApplication.clipboard().text()
        if not text.strip():
            self._ask.tell("The clipboard holds no text.", "Copy the cells in the spreadsheet first.")
            return
        self.import_text(text, colours)

    def import_text(self, text: str, colours: Colours) -> None:
        """Show what would be taken from the text of a table."""
        self._show(ImportDialog.from_text(text, self._batch(), self._settings.display, colours, self._window))

    def _show(self, dialog: ImportDialog) -> None:
        if self.dialog is not None:  # it would stay for as long as the window does
            self.dialog.reject()
        self.dialog = dialog
        dialog.finished.connect(self._take)
        dialog.open()

    def _take(self, answer: int) -> None:
        dialog, self.dialog = self.dialog, None
        if dialog is None:
            return
        if answer == QDialog.DialogCode.Accepted and dialog.to_watch:
            self._add_and_watch(dialog)
        elif answer == QDialog.DialogCode.Accepted:
            try:
                after = dialog.added_to(self._batch())
            except edits.EditRefused as refusal:
                self._ask.tell("The readings were not imported.", str(refusal))
            else:
                count = len(dialog.result_readings())
                self._store.edit(after, f"import {count} reading{'s' if count != 1 else ''}")
                self.said.emit(f"{count} reading{'s' if count != 1 else ''} imported")
        dialog.deleteLater()

    def _add_and_watch(self, dialog: ImportDialog) -> None:
        """Begin the watch; its first look takes what the person has just agreed to, and nothing that is known."""
        fresh = set(dialog.result_readings())
        known = tuple(entry for entry in dialog.found() if entry not in fresh)
        if self._to_watch is not None:
            self.watching.watch(self._to_watch, dialog.mapping, dialog.headings, dialog.offset_chosen, known)

    def ask_for_earlier(self) -> Outcome | None:
        """Ask for another batch, and work out its course; None if there is none to be had."""
        path = self._ask.open_path("Lay an earlier batch beside", self._settings.last_folder, BATCHES)
        if path is None:
            return None
        try:
            return evaluate(decode(read_whole(path)), self._catalogue, 0)
        except (FileError, BatchFileError) as failure:
            self._ask.tell(f"“{path.name}” could not be opened.", str(failure))
            return None

    def export_readings(self, outcome: Outcome | None) -> None:
        """Write the log as a table."""
        self._write(
            "Export readings",
            " readings.csv",
            lambda: export_csv(self._batch(), outcome, self._settings.display.system).encode("utf-8-sig"),
        )

    def export_report(self, outcome: Outcome | None) -> None:
        """Write the report: as JSON, if the name of the file says so, else for reading."""
        if not self._can_report(outcome):
            return
        path = self._ask.save_path("Export the report", self._suggestion(" report.txt"), REPORTS)
        if path is not None:
            self._write_to(path, lambda: self._report(outcome, as_json=path.suffix.lower() == ".json").encode())

    def show_papers(self, outcome: Outcome | None) -> None:
        """Show the batch on paper, to print it or to save it as a PDF or a web page."""
        if not self._can_report(outcome):
            return
        from planner.ui.papers.dialog import PapersDialog  # not needed before somebody asks for it
        from planner.ui.papers.making import document_for

        self.papers = PapersDialog(
            outcome.batch.name,
            partial(document_for, [outcome], self._settings.display, now()),
            self._settings,
            self._ask,
            self._suggestion,
            self._window,
        )
        self.papers.said.connect(self.said)
        self.papers.finished.connect(self.papers.deleteLater)
        self.papers.open()

    def _can_report(self, outcome: Outcome | None) -> TypeGuard[Outcome]:
        """Whether there is anything to report yet; says so where not."""
        if outcome is None:
            self._ask.tell(
                "The report is not ready yet.", "The batch is still being worked out; try again in a moment."
            )
        return outcome is not None

    def _report(self, outcome: Outcome, as_json: bool = False) -> str:
        from planner.reporting import data, text  # not needed before somebody asks for it

        if as_json:
            return data.as_json(data.as_data(outcome, self._catalogue))
        display = self._settings.display
        return text.as_text(data.as_data(outcome, self._catalogue, reader=display), display)

    def save_picture(self, save: Callable[[Path], None]) -> None:
        """Write the curve as a picture; `save` draws it into a file."""
        path = self._ask.save_path("Save the curve", self._suggestion(" curve.png"), PICTURES)
        if path is None:
            return
        try:
            save(path)
        except OSError as failure:
            self._ask.tell("The picture was not saved.", failure.strerror or str(failure))
        else:
            self.said.emit(f"Saved {path.name}")

    def _write(self, title: str, ending: str, content: Callable[[], bytes]) -> None:
        suggestion = self._suggestion(ending)
        path = self._ask.save_path(title, suggestion, f"Text (*{suggestion.suffix})")
        if path is not None:
            self._write_to(path, content)

    def _write_to(self, path: Path, content: Callable[[], bytes]) -> None:
        try:
            write_whole(path, content())
        except FileError as failure:
            self._ask.tell(f"“{path.name}” was not written.", str(failure))
        else:
            self.said.emit(f"Wrote {path.name}")

    def _suggestion(self, ending: str) -> Path:
        return self._settings.last_folder / f"{file_name(self._batch().name)}{ending}"

    def _batch(self) -> Batch:
        return self._store.batch
