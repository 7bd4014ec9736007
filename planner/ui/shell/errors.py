"""What becomes of an exception that nobody caught: a line in the log and, once for each fault, a dialog."""

from __future__ import annotations

import logging
import logging.handlers
import sys
import threading
import traceback
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QObject, Qt, Signal

from planner.ui.files import why_nothing_is_kept

LOG_SIZE = 256 * 1024
Show = Callable[[str, str], None]

logger = logging.getLogger("planner")


class ErrorReporter(QObject):
    """Takes the place of Python's and the threads' exception hooks while it is installed.

    Qt calls Python in slots, timers and paint events, and prints what they raise; the program goes on, and without
    this nobody would know. A fault in a paint event comes with each repaint, so each place in the code speaks once.
    """

    _caught = Signal(str, str)

    def __init__(self, show: Show, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._show = show
        self._known: set[tuple[str, str, int]] = set()
        self._is_showing = False
        self._before = (sys.excepthook, threading.excepthook)
        self._is_installed = False
        # Queued, so that a dialog never opens in the middle of a paint event, nor in another thread.
        self._caught.connect(self._tell, Qt.ConnectionType.QueuedConnection)

    def install(self) -> None:
        """Take the place of the hooks."""
        if not self._is_installed:
            self._before = (sys.excepthook, threading.excepthook)
            sys.excepthook, threading.excepthook = self._of_main, self._of_thread
            self._is_installed = True

    def uninstall(self) -> None:
        """Give the hooks back."""
        if self._is_installed:
            sys.excepthook, threading.excepthook = self._before
            self._is_installed = False

    def report(self, error: BaseException) -> None:
        """Log an exception and tell the person about it, once for each place in the code."""
        details = "".join(traceback.format_exception(error))
        logger.error("%s", details.rstrip())
        place = _place(error)
        if place not in self._known:
            self._known.add(place)
            self._caught.emit(f"{type(error).__name__}: {error}", details)

    def _of_main(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            self._before[0](kind, error, trace)
        else:
            self.report(error)

    def _of_thread(self, caught: threading.ExceptHookArgs) -> None:
        if caught.exc_value is not None:
            self.report(caught.exc_value)

    def _tell(self, what: str, details: str) -> None:
        """Show one dialog; what happens while it is open is in the log."""
        if self._is_showing:
            return
        self._is_showing = True
        try:
            self._show(
                f"Something in the program went wrong. To be safe, save the batch under a new name and restart the program.\n\n{what}",
                details,
            )
        finally:
            self._is_showing = False


def _place(error: BaseException) -> tuple[str, str, int]:
    """Kind, file and line: what makes two exceptions the same fault."""
    frames = traceback.extract_tb(error.__traceback__)
    last = frames[-1] if frames else None
    return (type(error).__name__, last.filename if last else "", (last.lineno or 0) if last else 0)


def start_log(file: Path) -> logging.Handler:
    """Let the program's log go to a file of bounded size, beside what it did before.

    Where there can be no such file the program goes without.

    Returns
    -------
    logging.Handler
        The handler, for who wants to take it away again.
    """
    if why_nothing_is_kept(file.parent):
        return logging.NullHandler()
    handler = logging.handlers.RotatingFileHandler(file, maxBytes=LOG_SIZE, backupCount=1, encoding="utf-8", delay=True)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    logger.addHandler(handler)
    return handler
