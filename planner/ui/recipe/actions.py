"""Edits as the recipe pane makes them: one step to undo each, told in words; the impossible is refused in words too."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.document.batch import Batch
from planner.document.edits import EditRefused
from planner.ui.store import BatchStore


class Acts(QObject):
    """Carries edits out on the store. Signal: `refused` with the reason of a refusal, or "" once an edit succeeds."""

    refused = Signal(str)

    def __init__(self, store: BatchStore, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = store

    @property
    def batch(self) -> Batch:
        """The current batch."""
        return self._store.batch

    def begin(self) -> None:
        """Let the next edit be a step of its own: another field was entered, or the same one again."""
        self._store.end_merging()

    def watch(self, field: QWidget) -> None:
        """Begin a step whenever a field gets the focus."""
        field.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusIn:
            self.begin()
        return super().eventFilter(watched, event)

    def do(self, text: str, edit: Callable[..., Batch], *args: object, merge: str = "", **changes: object) -> None:
        """Make one edit: `edit(batch, *args, **changes)`. Edits in a row with one `merge` are one step to undo."""
        try:
            after = edit(self.batch, *args, **changes)
        except EditRefused as refusal:
            self.refused.emit(str(refusal))
            return
        self.refused.emit("")
        self._store.edit(after, text, merge)
