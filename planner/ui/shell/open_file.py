"""The file of the open batch: what it held when it was last read or written here, and whether that is still so."""

from __future__ import annotations

import os
from enum import Enum, auto
from pathlib import Path

from PySide6.QtCore import QCryptographicHash, QFileSystemWatcher, QObject, QTimer, Signal

from planner.ui.files import FileError, read_whole

DEBOUNCE, POLL = 400, 15_000
"""How long a file must be quiet before it is looked at, and how often where the system does not tell. [ms]"""


class State(Enum):
    """How the file stands beside what is known of it."""

    SAME = auto()
    CHANGED = auto()
    GONE = auto()


def fingerprint(content: bytes) -> str:
    """What tells one content of a file from another."""
    return bytes(QCryptographicHash.hash(content, QCryptographicHash.Algorithm.Sha256).toHex().data()).decode()


class OpenFile(QObject):
    """Knows the content of one file, and watches whether something else changes it.

    Signal: `moved` when the state may have become another.
    """

    moved = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.path: Path | None = None
        """Where the file is; None where the batch has none."""
        self.known = ""
        """The fingerprint of what it held; empty where that is not known."""
        self.state = State.SAME
        self._stamp: tuple[int, int, int] | None = None
        self._watcher = QFileSystemWatcher(self)
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(DEBOUNCE)
        self._quiet.timeout.connect(self.look)
        self._poll = QTimer(self)
        self._poll.setInterval(POLL)
        self._poll.timeout.connect(self.look)
        self._watcher.fileChanged.connect(self._wait_for_quiet)
        self._watcher.directoryChanged.connect(self._wait_for_quiet)

    def take(self, path: Path | None, known: str = "") -> None:
        """From now on this is the file, and it holds what is known; without a path there is none."""
        self._stop()
        self.path, self.known = path, known
        self._stamp = None
        self.state = State.SAME
        if path is not None:
            self._watch(path)
            self._poll.start()
            self.look()
        self.moved.emit()

    def look(self) -> State:
        """Compare the file with what is known of it."""
        if self.path is None:
            return State.SAME
        before, self.state = self.state, self._compared(self.path)
        if self.state is not before:
            self.moved.emit()
        return self.state

    def _compared(self, path: Path) -> State:
        stamp = _stamp(path)
        if stamp is None:
            return State.GONE
        if stamp == self._stamp and self.state is not State.GONE:
            return self.state
        try:
            same = fingerprint(read_whole(path)) == self.known
        except FileError:
            same = False
        self._stamp = stamp
        self._watch(path)  # a file that was replaced by another is no longer the one that is watched
        return State.SAME if same else State.CHANGED

    def _watch(self, path: Path) -> None:
        watched = {*self._watcher.files(), *self._watcher.directories()}
        new = [str(place) for place in (path, path.parent) if place.exists() and str(place) not in watched]
        if new:
            self._watcher.addPaths(new)

    def _stop(self) -> None:
        self._quiet.stop()
        self._poll.stop()
        watched = [*self._watcher.files(), *self._watcher.directories()]
        if watched:
            self._watcher.removePaths(watched)

    def _wait_for_quiet(self, _path: str) -> None:
        self._quiet.start()


def _stamp(path: Path) -> tuple[int, int, int] | None:
    """What changes whenever a file is written; None where there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
