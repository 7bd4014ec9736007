"""Reads what the batches of a folder tell, on a worker."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from threading import Event

from PySide6.QtCore import QObject, Qt, QThreadPool, Signal

from planner.document.batch import Batch
from planner.learning.folder import Known, read_folder
from planner.reference.catalogue import Catalogue


class FolderReader(QObject):
    """Reads one folder at a time.

    Signals, all in the main thread: `went` with how many files were read and of how many; `done` with what they told, `None` where it was
    called off, or a text that says why the folder cannot be read.
    """

    went = Signal(int, int)
    done = Signal(object)
    _told = Signal(object)
    _came = Signal(int, int)

    def __init__(self, catalogue: Catalogue, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._catalogue = catalogue
        self._known: Known = {}
        self._stop = Event()
        self.is_reading = False
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._came.connect(self.went, Qt.ConnectionType.QueuedConnection)
        self._told.connect(self._finish, Qt.ConnectionType.QueuedConnection)

    def read(self, folder: Path, batch: Batch, apart: Path | None) -> None:
        """Read a folder for a batch that is to learn, whose own file is set apart."""
        if self.is_reading:
            return
        self.is_reading = True
        self._stop.clear()
        self._pool.start(partial(self._work, folder, batch, apart))

    def cancel(self) -> None:
        """Call the reading off, after the file that is being read."""
        self._stop.set()

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.cancel()
        self._pool.clear()
        self._pool.waitForDone()

    def _work(self, folder: Path, batch: Batch, apart: Path | None) -> None:
        def went(number: int, of: int) -> bool:
            self._came.emit(number, of)
            return not self._stop.is_set()

        try:
            self._told.emit(read_folder(folder, batch, self._catalogue, self._known, apart, went))
        except OSError as failure:
            self._told.emit(f"{folder} cannot be looked into: {failure.strerror or failure}.")

    def _finish(self, found: object) -> None:
        self.is_reading = False
        self.done.emit(found)
