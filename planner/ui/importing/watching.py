"""A file that a sensor keeps appending to, or the newest in a folder: what is new in it goes into the log by itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from planner.document import edits
from planner.document.batch import Entry
from planner.document.columnar_log import Entries
from planner.importing.reading import Imported, ImportRefused, Mapping, new_only, read_table, readings
from planner.importing.table import never
from planner.ui.importing.work import first_guess, month_first, read_file, zone_of
from planner.ui.recalculator import Recalculator
from planner.ui.settings import Settings
from planner.ui.store import BatchStore

SUFFIXES = (".csv", ".tsv", ".txt", ".log")
"""Files of a folder that may hold a table."""

DEBOUNCE, POLL = 400, 15_000
"""How long a file must be quiet before it is read, and how often it is looked at where the system does not tell. [ms]"""

_LONGEST_INSTRUMENT = 80


class Watch(msgspec.Struct, frozen=True, eq=False):
    """What is watched, and how it is read.

    Attributes
    ----------
    path : Path
        A file, or a folder whose newest table is meant.
    mapping : Mapping or None
        What its columns mean; None until there is a table to guess by.
    headings : tuple of str
        Those that the mapping belongs to.
    offset : int or None
        Offset from UTC of moments that state none; None for that of this machine. [min]
    day_first : bool
        Whether 3/4 is in April, where the file does not tell.
    """

    path: Path
    mapping: Mapping | None = None
    headings: tuple[str, ...] = ()
    offset: int | None = None
    day_first: bool = True


class Look(msgspec.Struct, frozen=True, eq=False):
    """What was found in one look at a file."""

    watch: Watch
    file: Path | None
    imported: Imported | None
    trouble: str = ""


class WatchWork:
    """Reads the file on the worker; `stop` tells whether the look is still wanted."""

    def __init__(self) -> None:
        self.stop: Callable[[], bool] = never

    def look(self, request: object) -> Look:
        """The stage of a recalculator."""
        assert isinstance(request, Watch)
        file = newest_table(request.path)
        if file is None:
            return Look(request, None, None, "is not there now; the program waits for it")
        try:
            data = whole_lines(read_file(file))
            if not data.strip():
                return Look(request, file, None)
            table = read_table(data, self.stop)
            mapping = request.mapping if request.headings == table.headings else None
            mapping = mapping or first_guess(table, request.day_first, watched=True).settled(table)
            imported = readings(table, mapping, zone_of(request.offset), stop=self.stop)
        except ImportRefused as refusal:
            return Look(request, file, None, f"cannot be read now: {refusal}")
        return Look(msgspec.structs.replace(request, mapping=mapping, headings=table.headings), file, imported)


def newest_table(path: Path) -> Path | None:
    """The file, or of a folder the table that was written to last; None if there is none."""
    try:
        if not path.is_dir():
            return path if path.is_file() else None
        found = [(entry.stat().st_mtime, entry) for entry in path.iterdir() if entry.suffix.lower() in SUFFIXES]
    except OSError:
        return None
    return max(found)[1] if found else None


def whole_lines(data: bytes) -> bytes:
    """A file without a last line that is still being written."""
    end = data.rfind(b"\n") + 1
    # In UTF-16 of the common kind the zero behind the line feed belongs to it.
    return data[: end + 1] if end and data.startswith(b"\xff\xfe") else data[:end]


class Watching(QObject):
    """Watches one file or folder for the batch at hand.

    Whatever was taken from the file once is not taken again: not when the file shrinks and grows anew, nor when the
    person removed it from the log or undid its coming. Another batch ends the watch.

    Signals: `said` with a sentence for the status line; `changed` when the watch begins, ends, or stands otherwise.
    """

    said = Signal(str)
    changed = Signal()

    def __init__(
        self, store: BatchStore, settings: Settings, parent: QObject | None = None, delay_ms: int = DEBOUNCE
    ) -> None:
        super().__init__(parent)
        self._store, self._settings = store, settings
        self._watch: Watch | None = None
        self._last: Entries[Entry] = Entries()  # what the file held at the last look
        self._met: list[Entries[Entry]] = []  # all that was ever new in it
        self._seen: set[Entry] | None = None  # the same, as soon as the file did anything but grow
        self._taken = 0
        self._trouble = ""
        self._work = WatchWork()
        self._recalculator = Recalculator((self._work.look,), delay_ms=0, parent=self)
        self._work.stop = self._recalculator.is_stale
        self._recalculator.finished.connect(self._take)
        self._recalculator.failed.connect(self._fail)
        self._system = QFileSystemWatcher(self)
        self._system.fileChanged.connect(self._notice)
        self._system.directoryChanged.connect(self._notice)
        self._quiet, self._poll = QTimer(self), QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(delay_ms)
        self._quiet.timeout.connect(self.look)
        self._poll.setInterval(POLL)
        self._poll.timeout.connect(self.look)
        store.loaded.connect(self.stop)

    @property
    def path(self) -> Path | None:
        """What is watched; None if nothing is."""
        return self._watch.path if self._watch is not None else None

    @property
    def text(self) -> str:
        """How the watch stands, in words; empty without one."""
        if self._watch is None:
            return ""
        count = f"{self._taken} reading{'s' if self._taken != 1 else ''} taken"
        return f"Watching {self._watch.path.name}: {self._trouble or count}"

    def watch(self, path: Path, mapping: Mapping | None = None, headings: tuple[str, ...] = (),
              offset: int | None = None, taken: tuple[Entry, ...] = ()) -> None:  # fmt: skip
        """Watch a file, or the newest in a folder; `taken` are readings of it that have been dealt with already."""
        self.stop()
        day_first = not month_first(self._settings.display.locale)
        self._watch = Watch(path.absolute(), mapping, headings, offset, day_first)
        self._last, self._met = Entries(), []
        self._seen = {_anonymous(entry) for entry in taken} if taken else None
        self._taken, self._trouble = 0, ""
        self._poll.start()
        self.look()
        self.changed.emit()

    def stop(self) -> None:
        """Watch nothing any more."""
        if self._watch is None:
            return
        self._watch = None
        self._quiet.stop()
        self._poll.stop()
        for paths in (self._system.files(), self._system.directories()):
            if paths:
                self._system.removePaths(paths)
        self.changed.emit()

    def look(self) -> None:
        """Read the file now, on the worker."""
        if self._watch is not None:
            self._recalculator.request(self._watch)

    def shut_down(self) -> None:
        """Stop, and wait for what is being read; before the window goes."""
        self.stop()
        self._recalculator.shut_down()

    def _notice(self, _path: str) -> None:
        """The system tells of a change: wait until the file is quiet."""
        self._quiet.start()

    def _take(self, look: object) -> None:
        if not isinstance(look, Look) or self._watch is None or look.watch.path != self._watch.path:
            return
        self._watch = look.watch
        self._keep_watching(look.file)
        self._set_trouble(look.trouble)
        if look.imported is not None and look.file is not None:
            self._add(look.imported, look.file)

    def _add(self, imported: Imported, file: Path) -> None:
        """Put what is new into the log, as one step."""
        fresh, batch = self._not_seen(imported.readings), self._store.batch
        if not fresh:
            return
        new = new_only(msgspec.structs.replace(imported, readings=fresh, lines=(0,) * len(fresh)), batch).readings
        marked = _marked(new, file.stem[:_LONGEST_INSTRUMENT])
        if not marked:
            return
        try:
            after = edits.add_entries(batch, marked)
        except edits.EditRefused as refusal:
            self._set_trouble(f"holds what the log cannot: {refusal}")
            return
        count = f"{len(marked)} reading{'s' if len(marked) != 1 else ''}"
        self._taken += len(marked)
        self._store.edit(after, f"{count} from {file.name}")
        self.said.emit(f"{count} came in from {file.name}")
        self.changed.emit()

    def _not_seen(self, found: Entries[Entry]) -> Entries[Entry]:
        """What of a file is new. Of one that only grew, as nearly all do, that is what stands behind the rest."""
        grew = len(found) >= len(self._last) and bool(self._last.same(found).all())
        fresh = found[len(self._last) :] if grew else found
        self._last = found
        if not grew and self._seen is None:
            self._seen = {_anonymous(entry) for met in self._met for entry in met}
        if self._seen is None:
            self._met.append(fresh)
            return fresh
        seen = self._seen
        fresh = Entries(tuple(entry for entry in fresh if _anonymous(entry) not in seen))
        seen.update(map(_anonymous, fresh))
        return fresh

    def _keep_watching(self, file: Path | None) -> None:
        """Files that were replaced, and those that are new, must be told to the system again."""
        assert self._watch is not None
        folder = self._watch.path if self._watch.path.is_dir() else self._watch.path.parent
        wanted = [str(path) for path in (file, folder) if path is not None and path.exists()]
        missing = set(wanted) - set(self._system.files()) - set(self._system.directories())
        if missing:
            self._system.addPaths(sorted(missing))

    def _set_trouble(self, trouble: str) -> None:
        if trouble != self._trouble:
            self._trouble = trouble
            self.changed.emit()

    def _fail(self, failure: object) -> None:
        """A fault that is no fault of the file is a bug: end the watch, and say so."""
        self.stop()
        raise RuntimeError("The watched file could not be worked out.") from (
            failure if isinstance(failure, Exception) else None
        )


def _marked(entries: Entries[Entry], name: str) -> Entries[Entry]:
    """The entries with the name of their instrument, where they have none."""

    def named(entry: Entry) -> Entry:
        return entry if entry.instrument else msgspec.structs.replace(entry, instrument=name)

    return Entries(*(
        tuple(map(named, piece)) if isinstance(piece, tuple)
        else piece if piece.like.instrument else piece.all_with(instrument=name)
        for piece in entries.pieces
    ))  # fmt: skip


def _anonymous(entry: Entry) -> Entry:
    """The entry as the file has it, whatever instrument it was marked with and whether it counts."""
    return msgspec.structs.replace(entry, instrument="", excluded=False)
