"""What follows from an edit: the newest request wins, and an answer that is no longer wanted is dropped."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from time import perf_counter, thread_time
from typing import Any

from PySide6.QtCore import QObject, Qt, QThreadPool, QTimer, Signal

Stage = Callable[[Any], object]

LONGEST_WAIT = 5
"""For so many delays at most a request waits for those that come after it."""


class Recalculator(QObject):
    """Runs a request through stages, quick ones first.

    The first stage runs at once, in the main thread, where it last took no longer than `quick_ms`, or with `is_eager`
    if it never ran; else it waits as the others do, which run on one worker thread once no newer request came for `delay_ms`, and at the latest after
    some such delays, so that results also follow a key that is held down.

    What shows an answer may be spread over later turns of the event loop (`spread`), so that none of them is long.

    Signals, all in the main thread: `finished` with the answer of each stage, as long as no newer request was made;
    `failed` with the exception of a stage, after which the later stages are skipped; `busy` with whether an answer
    to the newest request is still to come, or to be shown.
    """

    finished = Signal(object)
    failed = Signal(object)
    busy = Signal(bool)
    _answered = Signal(object, object, object, bool)

    def __init__(
        self,
        stages: Sequence[Stage],
        delay_ms: int = 40,
        quick_ms: float = 0.0,
        parent: QObject | None = None,
        is_eager: bool = False,
    ) -> None:
        super().__init__(parent)
        self._stages = tuple(stages)
        self._quick = quick_ms / 1000.0
        self._first_took = 0.0 if is_eager else float("inf")
        self._newest = 0
        self._running = 0
        self._request: object = None
        self._waiting = self._stages
        self._waits_since = 0.0
        self._is_busy = False
        self._is_answered = True
        self._is_shut = False
        self._is_held = self._is_due = False
        self._to_show: list[Callable[[], None]] = []
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(delay_ms)
        self._timer.timeout.connect(self._start)
        self._turn = QTimer(self)
        self._turn.setSingleShot(True)
        self._turn.timeout.connect(self._show_next)
        self._answered.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    @property
    def is_busy(self) -> bool:
        """Whether an answer to the newest request is still to come, or to be shown."""
        return self._is_busy

    def request(self, request: object) -> None:
        """Ask for the answers to a request; whatever was asked before is no longer wanted."""
        if self._is_shut:
            return
        self._newest += 1
        self._request, self._waiting, self._is_answered = request, self._stages, False
        self._wait()
        self._set_busy(True)
        if self._first_took <= self._quick:
            self._answer_at_once()

    def spread(self, *parts: Callable[[], None]) -> None:
        """Run these one by one, each in a turn of the event loop of its own, and nothing that was spread before."""
        if not self._is_shut:
            self._to_show = list(parts)
            self._set_busy(True)
            self._turn.start()

    def drop(self) -> None:
        """Want no answer to what was asked last: it was taken back, or is answered otherwise."""
        self._newest += 1
        self._is_answered, self._is_due = True, False
        self._timer.stop()
        self._pool.clear()
        self._rest()

    def hold(self) -> None:
        """Let the worker wait, because the main thread has more urgent things to do."""
        self._is_held = True

    def release(self) -> None:
        """Let the worker begin with what is due."""
        self._is_held = False
        if self._is_due:
            self._start()

    def is_stale(self) -> bool:
        """Whether the stage that asks, from the worker, works for nobody any more; for long ones to stop early."""
        return self._running != self._newest

    def shut_down(self) -> None:
        """Drop what is waiting, wait for what runs, and take no more requests; before the window goes."""
        self._is_shut = True
        self._turn.stop()
        self._to_show.clear()
        self.drop()
        self._pool.waitForDone()

    def _wait(self) -> None:
        """Let what is slow wait for the end of a row of requests, but not for ever."""
        now = perf_counter()
        if not self._timer.isActive():
            self._waits_since = now
            self._timer.start()
        elif now - self._waits_since < LONGEST_WAIT * self._timer.interval() / 1000.0:
            self._timer.start()

    def _answer_at_once(self) -> None:
        """In the main thread: the first stage."""
        self._waiting = self._stages[1:]
        token, began = self._newest, thread_time()
        outcome, error = None, None
        try:
            outcome = self._stages[0](self._request)
        except Exception as problem:  # noqa: BLE001 - told as it would be from the worker
            error = problem
        self._first_took = thread_time() - began
        is_last = error is not None or not self._waiting
        if is_last:
            self._timer.stop()
        self._deliver(token, outcome, error, is_last)

    def _start(self) -> None:
        self._is_due = self._is_held
        if self._is_due:
            return
        self._pool.clear()
        self._pool.start(partial(self._run, self._waiting, self._request, self._newest, self._answered))

    def _run(self, stages: tuple[Stage, ...], request: object, token: int, answered: Any) -> None:
        """On the worker: each stage in turn, as long as its answer is wanted."""
        self._running = token
        for number, stage in enumerate(stages, start=1):
            if self.is_stale():
                return
            outcome, error = None, None
            began = thread_time()
            try:
                outcome = stage(request)
            except Exception as problem:  # noqa: BLE001 - whatever it is, the main thread is told
                error = problem
            if stage is self._stages[0]:
                self._first_took = thread_time() - began
            is_last = error is not None or number == len(stages)
            answered.emit(token, outcome, error, is_last)
            if is_last:
                return

    def _deliver(self, token: int, outcome: object, error: object, is_last: bool) -> None:
        if token != self._newest:
            return
        self._is_answered = is_last
        if error is None:
            self.finished.emit(outcome)
        else:
            self.failed.emit(error)
        if token == self._newest:
            self._rest()

    def _show_next(self) -> None:
        if self._to_show:
            self._to_show.pop(0)()
        if self._to_show:
            self._turn.start()
        else:
            self._rest()

    def _rest(self) -> None:
        if self._is_answered and not self._to_show:
            self._set_busy(False)

    def _set_busy(self, is_busy: bool) -> None:
        if is_busy != self._is_busy:
            self._is_busy = is_busy
            self.busy.emit(is_busy)
