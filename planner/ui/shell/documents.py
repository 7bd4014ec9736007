"""New, open, save, close: the way of a batch between the store and the disk."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from planner.document import edits
from planner.document.batch import Batch, Prices, new_batch
from planner.document.codec import SUFFIX, BatchFileError, decode, encode
from planner.document.next_batch import next_batch
from planner.ui.asking import Answer, Ask
from planner.ui.files import FileError, file_name, read_whole, write_whole
from planner.ui.settings import Settings
from planner.ui.shell.recovery import Recovery
from planner.ui.store import BatchStore

KINDS = f"Batches (*{SUFFIX})"


def begun(settings: Settings) -> Batch:
    """An empty batch, with the prices of the one saved last."""
    prices = settings.prices
    return new_batch() if prices == Prices() else edits.change_recipe(new_batch(), prices=prices)


class Documents(QObject):
    """Opens and saves the batch of a store; asks before anything is lost.

    Signals: `place_changed` when the batch has another file, or none; `said` with a sentence for the status line.
    """

    place_changed = Signal()
    said = Signal(str)

    def __init__(
        self, store: BatchStore, settings: Settings, ask: Ask, recovery: Recovery, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._store, self._settings, self._ask, self._recovery = store, settings, ask, recovery
        self.path: Path | None = None
        """The file of the batch; None as long as it was never saved."""
        # Not `changed`: that comes while the stack still counts the batch as saved.
        store.undo_stack.indexChanged.connect(self._copy_for_safety)
        store.modified_changed.connect(self._forget_copy_when_saved)
        recovery.failed.connect(self.said)

    @property
    def name(self) -> str:
        """What to call the batch in a question."""
        batch = self._store.batch
        return batch.name if isinstance(batch, Batch) else ""

    def new(self) -> None:
        """Begin an empty batch."""
        if self.may_leave():
            self._take(begun(self._settings), None)

    def follow(self) -> None:
        """Begin the next batch from the recipe of this one, in a file of its own."""
        batch = self._store.batch
        if not isinstance(batch, Batch) or not self.may_leave():
            return
        self._take(next_batch(batch), None)
        self.said.emit(f"A new batch by the recipe of “{batch.name}”, without its log and tastings")

    def ask_and_open(self) -> None:
        """Ask for a file and open it."""
        if not self.may_leave():
            return
        path = self._ask.open_path("Open a batch", self._settings.last_folder, KINDS)
        if path is not None:
            self.load(path)

    def open(self, path: Path) -> None:
        """Open a file, after asking about what is unsaved."""
        if self.may_leave():
            self.load(path)

    def open_sample(self, path: Path) -> None:
        """Open a sample as a batch of its own: saving asks for a place, and the sample stays as it is."""
        if not self.may_leave():
            return
        batch = self._read(path)
        if batch is not None:
            self._take(batch, None)

    def load(self, path: Path) -> bool:
        """Open a file without asking. False, with a message, if it cannot be read; the present batch then stays."""
        batch = self._read(path)
        if batch is None:
            self._settings.forget_file(path)
            return False
        self._take(batch, path)
        self._settings.remember_file(path)
        return True

    def save(self) -> bool:
        """Save to the batch's file, or ask for one. False if it was not saved."""
        return self.save_as() if self.path is None else self._write(self.path)

    def save_as(self) -> bool:
        """Ask for a file and save to it. False if it was not saved."""
        suggestion = self.path or self._settings.last_folder / f"{file_name(self.name)}{SUFFIX}"
        path = self._ask.save_path("Save the batch", suggestion, KINDS)
        return path is not None and self._write(path)

    def may_leave(self) -> bool:
        """Whether the present batch may be closed: it is saved, or the person gives it up."""
        if not self._store.is_modified:
            return True
        answer = self._ask.save_changes(self.name)
        if answer is Answer.SAVE:
            return self.save()
        return answer is Answer.DISCARD

    def offer_unsaved(self) -> None:
        """At the start: offer what a program that ended badly left behind."""
        for leftover in self._recovery.leftovers():
            try:
                batch = self._recovery.restore(leftover)
            except (FileError, ValueError) as failure:
                kept = self._recovery.set_aside(leftover)
                self._ask.tell(
                    "Unsaved changes of an earlier run could not be read.", f"{failure}\nThey are kept as {kept}."
                )
                continue
            name = batch.name if isinstance(batch, Batch) else ""
            when = leftover.when.strftime("%d %B %Y, %H:%M")
            if self._ask.confirm(
                f"Restore unsaved changes to “{name}”?",
                f"The program ended without saving them. The copy is of {when}.",
                "Restore",
            ):
                self._store.load(batch, modified=True)
                self._place(leftover.origin)
                self._recovery.discard(leftover)
                return
            # Enter and Esc say no to both, so that no key pressed in haste loses work.
            if self._ask.confirm(
                f"Throw the unsaved changes to “{name}” away?",
                "Else they are offered again at the next start.",
                "Throw away",
            ):
                self._recovery.discard(leftover)

    def _read(self, path: Path) -> Batch | None:
        try:
            return decode(read_whole(path))
        except FileError as failure:
            self._ask.tell(str(failure))
        except BatchFileError as failure:
            self._ask.tell(f"“{path.name}” could not be opened.", str(failure))
        return None

    def _write(self, path: Path) -> bool:
        batch = self._store.batch
        if not isinstance(batch, Batch):
            return False
        try:
            write_whole(path, encode(batch))
        except (FileError, BatchFileError) as failure:
            self._ask.tell("The batch was not saved.", str(failure))
            return False
        self._place(path)
        self._store.mark_saved()
        self._recovery.forget()
        self._settings.remember_file(path)
        if batch.recipe.prices != Prices():
            self._settings.prices = batch.recipe.prices
        self.said.emit(f"Saved to {path.name}")
        return True

    def _take(self, batch: Batch, path: Path | None) -> None:
        self._store.load(batch)
        self._place(path)
        self._recovery.forget()

    def _place(self, path: Path | None) -> None:
        self.path = path
        self.place_changed.emit()

    def _copy_for_safety(self, _index: int) -> None:
        if self._store.is_modified:
            self._recovery.remember(self._store.batch, self.path)

    def _forget_copy_when_saved(self, modified: bool) -> None:
        if not modified:
            self._recovery.forget()
