"""How the window opens: the curve first, then what lies beside and behind it, part by part."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QCoreApplication, QEventLoop, QObject, Signal


class Opening(QObject):
    """Runs the steps by which a window becomes whole, each in a turn of the event loop of its own.

    What a person types or clicks meanwhile waits in its order, and goes where it was meant to go when all is there.

    Signal: `finished` when the window is whole.
    """

    finished = Signal()

    def __init__(self, steps: Iterable[Callable[[], object]], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._steps = list(steps)
        self.is_finished = False
        """Whether the window is whole."""

    def go(self) -> None:
        """Take all the steps. What one of them raises is raised at the end: the others are taken all the same."""
        failure: Exception | None = None
        _take_a_turn()
        while self._steps:
            try:
                self._steps.pop(0)()
            except Exception as problem:  # noqa: BLE001 - raised below
                failure = failure or problem
            _take_a_turn()
        if not self.is_finished:
            self.is_finished = True
            self.finished.emit()
        if failure is not None:
            raise failure

    def stop(self) -> None:
        """Take no more steps: the window goes."""
        self._steps.clear()
        self.is_finished = True


def _take_a_turn() -> None:
    QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
