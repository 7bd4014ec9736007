"""The one place that holds the current batch, its undo steps, and whether it is saved."""

from __future__ import annotations

import weakref
from collections.abc import Callable

import shiboken6
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from planner.document.batch import Batch


class ReplaceBatch(QUndoCommand):
    """One edit: the batch before it and the batch after it. Nothing is inverted, so no inverse can be wrong."""

    def __init__(self, store: BatchStore, after: Batch, text: str, merge_key: str) -> None:
        super().__init__(text)
        # The store owns the stack, and the stack this command: a strong reference would keep all three for ever.
        self._store = weakref.ref(store)
        self._before = store.batch
        self._after = after
        self._merge_key = merge_key

    def redo(self) -> None:
        self._show(self._after)

    def undo(self) -> None:
        self._show(self._before)

    def id(self) -> int:
        return 1 if self._merge_key else -1

    def mergeWith(self, newer: QUndoCommand) -> bool:
        if not isinstance(newer, ReplaceBatch) or newer._merge_key != self._merge_key:
            return False
        self._after = newer._after
        self.setText(newer.text())
        self.setObsolete(self._after == self._before)
        return True

    def _show(self, batch: Batch) -> None:
        store = self._store()
        if store is not None:
            store._show(batch)


class BatchStore(QObject):
    """Holds a batch. `complete` adds to an edited one what it must carry, and
    `refuse` raises `ValueError` where no file could hold it. Steps share what they do not change, so all of them stay.

    Signals: `changed` with the batch, after each edit, undo, redo and load; `modified_changed` with whether there is
    something to save; `loaded` when another batch is about to be shown; `refused` with why an edit was not made.
    """

    changed = Signal(object)
    modified_changed = Signal(bool)
    loaded = Signal()
    refused = Signal(str)

    def __init__(
        self,
        batch: Batch,
        parent: QObject | None = None,
        complete: Callable[[Batch], Batch] | None = None,
        refuse: Callable[[Batch], None] | None = None,
    ) -> None:
        super().__init__(parent)
        self._batch = batch
        self._complete, self._refuse = complete, refuse
        self._never_saved = False
        self._was_modified = False
        self._merging = 0
        self.undo_stack = QUndoStack(self)
        self.undo_stack.cleanChanged.connect(self._tell_modified)

    def __del__(self) -> None:
        """Let go of the steps first: collected in a ring with its store, a step would be freed by Qt and by Python."""
        if shiboken6.isValid(self) and shiboken6.isValid(self.undo_stack):
            self.undo_stack.blockSignals(True)
            self.undo_stack.clear()

    @property
    def batch(self) -> Batch:
        """The current batch."""
        return self._batch

    @property
    def is_modified(self) -> bool:
        """Whether the batch differs from what was last saved or loaded."""
        return self._never_saved or not self.undo_stack.isClean()

    def edit(self, after: Batch, text: str, merge_key: str = "") -> None:
        """Make `after` the current batch, as a step that can be undone.

        `text` names the step in the menu. Edits in a row with one `merge_key` become one step; name the field in it.
        """
        if self._complete is not None:
            after = self._complete(after)
        if after == self._batch:
            return
        try:
            if self._refuse is not None:
                self._refuse(after)
        except ValueError as refusal:
            self._show(self._batch)  # fields show again what stays
            self.refused.emit(str(refusal))
        else:
            key = f"{self._merging}/{merge_key}" if merge_key else ""
            self.undo_stack.push(ReplaceBatch(self, after, text, key))

    def end_merging(self) -> None:
        """Let the next edit be a step of its own, whatever its key: the field was left, or the mouse let go."""
        self._merging += 1

    def load(self, batch: Batch, modified: bool = False) -> None:
        """Show another batch and forget all steps; `modified` for one that was recovered and is on no disk yet."""
        self.loaded.emit()
        self._never_saved = modified
        self._batch = batch  # who hears that the steps are gone asks for it
        self.undo_stack.clear()
        self._show(batch)
        self._tell_modified()

    def mark_saved(self) -> None:
        """Take the current batch as what is on the disk."""
        self._never_saved = False
        self.undo_stack.setClean()
        self._tell_modified()

    def _show(self, batch: Batch) -> None:
        self._batch = batch
        self.changed.emit(batch)

    def _tell_modified(self, _clean: bool = True) -> None:
        if self.is_modified != self._was_modified:
            self._was_modified = self.is_modified
            self.modified_changed.emit(self._was_modified)
