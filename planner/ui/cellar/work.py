"""What a cellar holds, read and worked out on a worker, and looked at again as long as it is open."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Qt, QThreadPool, QTimer, Signal

from planner.cellar.due_calendar import due_calendar
from planner.cellar.folder import look, read
from planner.cellar.row import Row
from planner.cellar.status import batch_status
from planner.model.random_scores import MEMBERS
from planner.planning.calendar_file import NoDate
from planner.reference.catalogue import Catalogue

POLL = 1_000
"""How often the folder is looked at. [ms] A thousand files take some milliseconds, on the worker; what the system tells of a
folder leaves out files that are written in place, and folders of other machines."""

ROUNDS = (0, MEMBERS)
"""Members of the ensemble with which each batch is worked out: first all of them quickly, then all of them whole. [-]"""

_FIRST, _AFTER = 1, 0
"""What a person waits for goes before what is worked out for later. [-]"""


class Cellar(QObject):
    """The batches of a folder, those that `wanted` names worked out first.

    Signals, all in the main thread: `listed` when rows came, went or changed; `worked_out` with a row of which more is known;
    `calendar_made` with a calendar file, or with the `NoDate` that says why there is none.
    """

    listed = Signal()
    worked_out = Signal(object)
    calendar_made = Signal(object)
    _found = Signal(object, object, str)
    _done = Signal(object)

    def __init__(
        self, catalogue: Catalogue, wanted: Callable[[], Iterable[Path]] = tuple, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.folder: Path | None = None
        self.rows: dict[Path, Row] = {}
        self.trouble = ""
        """Why the folder cannot be looked into; empty where it can."""
        self.is_read = False
        """Whether the folder was looked into since it was chosen."""
        self._catalogue, self._wanted = catalogue, wanted
        self._is_looking = self._is_working = self._is_open = False
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._poll = QTimer(self)
        self._poll.setInterval(POLL)
        self._poll.timeout.connect(self.look)
        self._found.connect(self._take_found, Qt.ConnectionType.QueuedConnection)
        self._done.connect(self._take_done, Qt.ConnectionType.QueuedConnection)

    def show_folder(self, folder: Path) -> None:
        """Show another folder."""
        if folder != self.folder:
            self.folder, self.rows, self.trouble, self.is_read = folder, {}, "", False
            self.listed.emit()
        if self._is_open:
            self.look()

    def open(self) -> None:
        """Look at the folder from now on."""
        self._is_open = True
        self._poll.start()
        self.look()

    def close(self) -> None:
        """Look at it no more; what is known is kept."""
        self._is_open = False
        self._poll.stop()

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.close()
        self._pool.clear()
        self._pool.waitForDone()

    def look(self) -> None:
        """Look at the folder now."""
        if self.folder is None or self._is_looking:
            return
        self._is_looking = True
        self._pool.start(partial(self._look, self.folder, dict(self.rows)), _FIRST)

    @property
    def to_do(self) -> int:
        """How many batches are still to be worked out whole. [-]"""
        return sum(_round(row) is not None for row in self.rows.values())

    @property
    def is_known(self) -> bool:
        """Whether each batch was worked out at least quickly."""
        return self.is_read and all(_round(row) != ROUNDS[0] for row in self.rows.values())

    def make_calendar(self, now: datetime) -> None:
        """Make a calendar file of all that is due."""
        self._pool.start(partial(self._make_calendar, tuple(self.rows.values()), now), _FIRST)

    # --- on the worker

    def _look(self, folder: Path, known: dict[Path, Row]) -> None:
        try:
            self._found.emit(folder, look(folder, known, self._catalogue), "")
        except OSError as failure:
            self._found.emit(folder, (), f"{folder} cannot be looked into: {failure.strerror or failure}.")

    def _work(self, row: Row, members: int) -> None:
        try:
            found = batch_status(read(row.path), self._catalogue, members, datetime.now().astimezone())
        except Exception as failure:  # noqa: BLE001 - one batch that cannot be worked out must not hide the others
            row = msgspec.structs.replace(row, trouble=f"This batch could not be worked out: {failure}")
        else:
            row = msgspec.structs.replace(row, status=found)
        self._done.emit(row)

    def _make_calendar(self, rows: tuple[Row, ...], now: datetime) -> None:
        try:
            self.calendar_made.emit(due_calendar(rows, now))
        except NoDate as refusal:
            self.calendar_made.emit(refusal)

    # --- in the main thread

    def _take_found(self, folder: Path, rows: tuple[Row, ...], trouble: str) -> None:
        self._is_looking = False
        if folder != self.folder:  # another was chosen meanwhile
            self.look()
            return
        found = {row.path: self._known(row) for row in rows}
        is_news = found != self.rows or trouble != self.trouble or not self.is_read
        self.rows, self.trouble, self.is_read = found, trouble, True
        if is_news:
            self.listed.emit()
        self._go_on()

    def _known(self, row: Row) -> Row:
        """A row as it was read, with what was worked out of it meanwhile."""
        before = self.rows.get(row.path)
        return before if before is not None and before.stamp == row.stamp else row

    def _take_done(self, row: Row) -> None:
        self._is_working = False
        before = self.rows.get(row.path)
        if before is not None and before.stamp == row.stamp:
            self.rows[row.path] = row
            self.worked_out.emit(row)
        self._go_on()

    def _go_on(self) -> None:
        """Work out the next batch, if there is one: what is seen goes before what is not."""
        if self._is_working or not self._is_open:
            return
        seen = [row for path in self._wanted() if (row := self.rows.get(path)) is not None]
        for members in ROUNDS:
            row = next((row for row in (*seen, *self.rows.values()) if _round(row) == members), None)
            if row is not None:
                self._is_working = True
                self._pool.start(partial(self._work, row, members), _AFTER)
                return


def _round(row: Row) -> int | None:
    """With how many members a batch is to be worked out next; None where it is, or cannot be."""
    if row.trouble:
        return None
    if row.status is None:
        return ROUNDS[0]
    return next((members for members in ROUNDS if members > row.status.members), None)
