"""Work off the main thread: the newest request wins, and an answer that is no longer wanted is dropped."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Qt, QThreadPool, QTimer, Signal

Stage = Callable[[Any], object]


class Recalculator(QObject):
    """Runs a request through stages, quick ones first, on one worker thread.

    Requests that come within `delay_ms` of each other are one. The delay is not begun anew by each, so that results
    also follow a key that is held down.

    Signals, all in the main thread: `finished` with the answer of each stage, as long as no newer request was made;
    `failed` with the exception of a stage, after which the later stages are skipped; `busy` with whether an answer
    to the newest request is still to come.
    """

    finished = Signal(object)
    failed = Signal(object)
    busy = Signal(bool)
    _answered = Signal(object, object, object, bool)

    def __init__(self, stages: Sequence[Stage], delay_ms: int = 40, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._stages = tuple(stages)
        self._newest = 0
        self._running = 0
        self._request: object = None
        self._is_busy = False
        self._is_shut = False
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(delay_ms)
        self._timer.timeout.connect(self._start)
        self._answered.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    @property
    def is_busy(self) -> bool:
        """Whether an answer to the newest request is still to come."""
        return self._is_busy

    def request(self, request: object) -> None:
        """Ask for the answers to a request; whatever was asked before is no longer wanted."""
        if self._is_shut:
            return
        self._newest += 1
        self._request = request
        if not self._timer.isActive():
            self._timer.start()
        self._set_busy(True)

    def is_stale(self) -> bool:
        """Whether the stage that asks, from the worker, works for nobody any more; for long ones to stop early."""
        return self._running != self._newest

    def shut_down(self) -> None:
        """Drop what is waiting, wait for what runs, and take no more requests; before the window goes."""
        self._is_shut = True
        self._timer.stop()
        self._newest += 1
        self._pool.clear()
        self._pool.waitForDone()
        self._set_busy(False)

    def _start(self) -> None:
        self._pool.clear()
        self._pool.start(partial(self._run, self._stages, self._request, self._newest, self._answered))

    def _run(self, stages: tuple[Stage, ...], request: object, token: int, answered: Any) -> None:
        """On the worker: each stage in turn, as long as its answer is wanted."""
        self._running = token
        for number, stage in enumerate(stages, start=1):
            if self.is_stale():
                return
            outcome, error = None, None
            try:
                outcome = stage(request)
            except Exception as problem:  # noqa: BLE001 - whatever it is, the main thread is told
                error = problem
            is_last = error is not None or number == len(stages)
            answered.emit(token, outcome, error, is_last)
            if is_last:
                return

    def _deliver(self, token: int, outcome: object, error: object, is_last: bool) -> None:
        if token != self._newest:
            return
        if error is None:
            self.finished.emit(outcome)
        else:
            self.failed.emit(error)
        if is_last and token == self._newest:
            self._set_busy(False)

    def _set_busy(self, is_busy: bool) -> None:
        if is_busy != self._is_busy:
            self._is_busy = is_busy
            self.busy.emit(is_busy)
