"""A copy of unsaved work, so that a crash or a flat battery costs seconds and not an evening."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import datetime
from functools import partial
from itertools import count
from operator import attrgetter
from pathlib import Path
from typing import Any

import msgspec
from PySide6.QtCore import QLockFile, QObject, QThreadPool, QTimer, Signal

from planner.ui.files import FileError, read_whole, why_nothing_is_kept, write_whole


class Leftover(msgspec.Struct, frozen=True):
    """A copy that a program which did not end properly left behind."""

    file: Path
    origin: Path | None
    """Where the batch had been saved before, if it had."""
    known: str
    """What was known of the content of that file."""
    typed: dict[str, str]
    """What was typed and not entered yet, by field."""
    when: datetime
    """When the copy was written."""


class Recovery(QObject):
    """Keeps a copy of the current batch while it is unsaved.

    Each running program has a slot of its own in the folder, held by a lock that falls with the program, so that two
    windows neither overwrite nor offer each other's copy. A copy is one line about its origin, and then the batch as
    the codec of the program writes it. A copy that was restored goes on as the program's own until the batch is saved.

    Signal: `failed` with a sentence when a copy could not be written; the work itself is not touched by that.
    """

    failed = Signal(str)

    def __init__(
        self,
        folder: Path,
        encode: Callable[[Any], bytes],
        decode: Callable[[bytes], Any],
        delay_ms: int = 2000,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._folder = folder
        self._encode, self._decode = encode, decode
        self._pending: tuple[object, dict[str, Any]] | None = None
        self._offered: dict[Path, QLockFile] = {}
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(delay_ms)
        self._timer.timeout.connect(self.write_now)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._copy: Path | None = None
        self._lock: QLockFile | None = None
        self.problem = self._take_slot()
        """Why no copy can be kept at present; empty where one can."""

    def remember(
        self, batch: object, origin: Path | None = None, known: str = "", typed: Mapping[str, str] | None = None
    ) -> None:
        """Copy this batch soon. The wait is not begun anew by each change, so that steady work is copied too."""
        head = {"origin": None if origin is None else str(origin), "known": known, "typed": dict(typed or {})}
        self._pending = (batch, head)
        if not self._timer.isActive():
            self._timer.start()

    def write_now(self) -> None:
        """Begin to write the copy that is due, if one is: a season of a sensor takes a while, which nobody is to feel."""
        self._timer.stop()
        if self._pending is None:
            return
        batch, head = self._pending
        self._pending = None
        self.problem = self._take_slot()
        if self._copy is None:
            self.failed.emit(_NOT_COPIED.format(self.problem))
        else:
            self._pool.start(partial(_copy_to, self._copy, head, batch, self._encode, self.failed))

    def finish(self) -> None:
        """Wait until the copy that was begun is there."""
        self._pool.waitForDone()

    def forget(self) -> None:
        """Remove the copy: the batch was saved, or its changes were given up."""
        self._timer.stop()
        self._pending = None
        self.finish()
        if self._copy is not None:
            _delete(self._copy)

    def close(self) -> None:
        """End properly: no copy stays, and the slot is free."""
        self.forget()
        for lock in (self._lock, *self._offered.values()):
            if lock is not None:
                lock.unlock()
        self._offered.clear()

    def leftovers(self) -> list[Leftover]:
        """Copies that ended programs left, newest first; held for this program until they are restored or discarded."""
        found = []
        for copy in self._folder.glob("unsaved-*.copy"):
            if copy != self._copy and (copy in self._offered or self._hold(copy)):
                head = _head(copy)
                origin, known, typed = head.get("origin"), head.get("known"), head.get("typed")
                texts = typed.items() if isinstance(typed, dict) else ()
                found.append(Leftover(
                    copy, Path(origin) if isinstance(origin, str) else None, known if isinstance(known, str) else "",
                    {name: text for name, text in texts if isinstance(text, str)},
                    datetime.fromtimestamp(copy.stat().st_mtime),
                ))  # fmt: skip
        return sorted(found, key=attrgetter("when"), reverse=True)

    def restore(self, leftover: Leftover) -> Any:
        """The batch of a copy. The copy stays until it is adopted or discarded.

        Raises
        ------
        FileError
            If the copy cannot be read.
        ValueError
            If the codec cannot read it.
        """
        _, _, document = read_whole(leftover.file).partition(b"\n")
        return self._decode(document)

    def adopt(self, leftover: Leftover) -> None:
        """Go on with a copy that was restored as the own one: a second crash leaves it behind again."""
        lock = self._offered.pop(leftover.file)
        self.forget()
        if self._lock is not None:
            self._lock.unlock()
        self._copy, self._lock = leftover.file, lock

    def set_aside(self, leftover: Leftover) -> Path:
        """Keep a copy that cannot be read under another name, so that it is not offered again; returns its name."""
        kept = leftover.file.with_name(f"unreadable-{leftover.when:%Y%m%d-%H%M%S}-{leftover.file.name}")
        try:
            leftover.file.replace(kept)
        except OSError:  # a folder that cannot be written
            return leftover.file
        self.discard(leftover)
        return kept

    def discard(self, leftover: Leftover) -> None:
        """Delete a copy."""
        _delete(leftover.file)
        lock = self._offered.pop(leftover.file, None)
        if lock is not None:
            lock.unlock()

    def _take_slot(self) -> str:
        """Take the first slot that is neither in use nor holds a copy left behind; says why none can be had, if so."""
        if self._copy is not None:
            return ""
        if problem := why_nothing_is_kept(self._folder):
            return problem
        for number in count(1):
            copy = self._folder / f"unsaved-{number}.copy"
            lock = _lock_of(copy)
            if lock.tryLock(0):
                if not copy.exists():
                    self._copy, self._lock = copy, lock
                    return ""
                lock.unlock()
            elif lock.error() != QLockFile.LockError.LockFailedError:
                return f"{self._folder} cannot be written."
        raise AssertionError("counting never ends")

    def _hold(self, copy: Path) -> bool:
        """Whether the program that wrote a copy has ended; if so the copy is ours to offer.

        Where no lock can be written, no program that runs can have written one either.
        """
        lock = _lock_of(copy)
        if not lock.tryLock(0) and lock.error() == QLockFile.LockError.LockFailedError:
            return False
        self._offered[copy] = lock
        return True


_NOT_COPIED = "Unsaved work could not be copied for safety: {}"


def _copy_to(copy: Path, head: dict[str, Any], batch: object, encode: Callable[[Any], bytes], failed: Any) -> None:
    """On the worker: write a copy, and tell where that failed."""
    try:
        write_whole(copy, json.dumps(head).encode() + b"\n" + encode(batch))
    except (FileError, ValueError) as error:
        failed.emit(_NOT_COPIED.format(error))


def _delete(copy: Path) -> None:
    """Delete a copy; where the folder cannot be written any more it stays, and is offered again."""
    with suppress(OSError):
        copy.unlink(missing_ok=True)


def _lock_of(copy: Path) -> QLockFile:
    lock = QLockFile(str(copy.with_suffix(".lock")))
    lock.setStaleLockTime(0)  # a program may hold its slot for weeks; only its end frees it
    return lock


def _head(copy: Path) -> dict[str, Any]:
    """What a copy says of its origin; nothing if it is damaged."""
    try:
        head = json.loads(read_whole(copy).partition(b"\n")[0])
    except (FileError, ValueError):
        return {}
    return head if isinstance(head, dict) else {}
