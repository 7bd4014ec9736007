"""New, open, save, close: the way of a batch between the store and the disk."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from planner.document import edits
from planner.document.as_of import as_of
from planner.document.batch import Batch, Prices, new_batch
from planner.document.codec import SUFFIX, BatchFileError, decode, encode
from planner.document.next_batch import next_batch
from planner.ui.asking import Answer, Ask, Clash
from planner.ui.files import FileError, file_name, free_name, read_whole, refuse_name, same_place, write_whole
from planner.ui.log.when import now
from planner.ui.settings import Settings
from planner.ui.shell.open_file import OpenFile, State, fingerprint
from planner.ui.shell.recovery import Recovery
from planner.ui.shell.unentered import Unentered
from planner.ui.store import BatchStore

KINDS = f"Batches (*{SUFFIX})"


def begun(settings: Settings) -> Batch:
    """An empty batch, with the prices of the one saved last."""
    prices = settings.prices
    return new_batch() if prices == Prices() else edits.change_recipe(new_batch(), prices=prices)


class Documents(QObject):
    """Opens and saves the batch of a store; asks before anything is lost.

    Signals: `place_changed` when the batch has another file, or none, or the file stands otherwise; `said` with a
    sentence for the status line.
    """

    place_changed = Signal()
    said = Signal(str)

    def __init__(
        self,
        store: BatchStore,
        settings: Settings,
        ask: Ask,
        recovery: Recovery,
        unentered: Unentered,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._store, self._settings, self._ask, self._recovery = store, settings, ask, recovery
        self._unentered = unentered
        self.file = OpenFile(self)
        """The file of the batch, and what is known of it."""
        self.file.moved.connect(self.place_changed)
        # Not `changed`: that comes while the stack still counts the batch as saved.
        store.undo_stack.indexChanged.connect(self._copy_for_safety)
        store.modified_changed.connect(self._copy_for_safety)
        store.loaded.connect(unentered.forget)
        store.refused.connect(self._tell_refused)
        unentered.changed.connect(self._copy_for_safety)
        recovery.failed.connect(self.said)

    @property
    def path(self) -> Path | None:
        """The file of the batch; None as long as it was never saved."""
        return self.file.path

    @property
    def trouble(self) -> str:
        """What happened to the file behind the program's back, and what a click on it does; empty where nothing did."""
        if self.path is None or self.file.state is State.SAME:
            return ""
        if self.file.state is State.GONE:
            return "The file is no longer in its folder: save it again"
        return "The file was changed by something else: open it again"

    def settle(self) -> None:
        """Do what `trouble` offers; ask first where changes made here would be lost."""
        path = self.path
        if path is None or self.file.state is State.SAME:
            return
        if self.file.state is State.GONE:
            self.save()
        elif not self._store.is_modified or self._ask.confirm(
            f"Open “{path.name}” again without your unsaved changes?",
            "Cancel and save instead to keep both: saving asks for another name.",
            "Open again",
        ):
            self.load(path)

    @property
    def name(self) -> str:
        """What to call the batch in a question."""
        batch = self._store.batch
        return batch.name

    def new(self) -> bool:
        """Begin an empty batch. False if the present one was not given up."""
        if not self.may_leave():
            return False
        self._take(begun(self._settings), None)
        return True

    def follow(self, path: Path | None = None) -> bool:
        """Begin the next batch from the recipe of this one, or of that in a file, in a file of its own. False if it was not."""
        if not self.may_leave():
            return False
        read = None if path is None else self._read(path)
        batch = self._store.batch if path is None else None if read is None else read[0]
        if batch is None:
            return False
        self._take(next_batch(batch), None)
        self.said.emit(f"A new batch by the recipe of “{batch.name}”, without its log and tastings")
        return True

    def take_next(self, batch: Batch) -> bool:
        """Go on with a next batch that was made of this one, in a file of its own. False if this one could not be left."""
        if not self.may_leave():
            return False
        self._take(batch, None)
        self.said.emit(f"A new batch, “{batch.name}”, with what this one taught")
        return True

    def ask_and_open(self) -> None:
        """Ask for a file and open it."""
        if not self.may_leave():
            return
        path = self._ask.open_path("Open a batch", self._settings.last_folder, KINDS)
        if path is not None:
            self.load(path)

    def open(self, path: Path) -> bool:
        """Open a file, after asking about what is unsaved. False if it was not opened."""
        return self.may_leave() and self.load(path)

    def open_sample(self, path: Path) -> None:
        """Open a sample as a batch of its own, as of today: saving asks for a place, and the sample stays as it is."""
        if not self.may_leave():
            return
        read = self._read(path)
        if read is not None:
            self._take(as_of(read[0], now()), None)

    def load(self, path: Path) -> bool:
        """Open a file without asking. False, with a message, if it cannot be read; the present batch then stays."""
        read = self._read(path)
        if read is None:
            self._settings.forget_file(path)
            return False
        self._take(read[0], path, fingerprint(read[1]))
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

    def save_copy(self, batch: Batch) -> None:
        """Ask for a file and write another batch to it; the present one stays as it is."""
        suggestion = free_name(self._settings.last_folder / f"{file_name(batch.name)}{SUFFIX}")
        path = self._ask.save_path("Save as a batch of its own", suggestion, KINDS)
        if path is None:
            return
        try:
            write_whole(path, encode(batch))
        except (FileError, BatchFileError) as failure:
            self._ask.tell("The batch was not saved.", str(failure))
        else:
            self.said.emit(f"Saved to {path.name}")

    def may_leave(self) -> bool:
        """Whether the present batch may be closed: all is entered and saved, or the person gives it up."""
        if not self._unentered.may_leave():
            return False
        if not self._store.is_modified and self.file.look() is not State.GONE:
            return True
        answer = self._ask.save_changes(self.name)
        if answer is Answer.SAVE:
            return self.save()
        return answer is Answer.DISCARD

    def tell_what_is_not_kept(self) -> None:
        """At the start: say what this machine has no room for, or no permission."""
        concerns = {
            "Copies of unsaved work": self._recovery.problem,
            "Preferences and ingredients of your own": self._settings.problem,
        }
        problems = [f"{what}: {problem}" for what, problem in concerns.items() if problem]
        if problems:
            self._ask.tell(
                "Some things will not be kept when the program ends.",
                " ".join([*problems, "Batches can be saved wherever there is room."]),
            )

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
            name = batch.name
            when = leftover.when.strftime("%d %B %Y, %H:%M")
            if self._ask.confirm(
                f"Restore unsaved changes to “{name}”?",
                f"The program ended without saving them. The copy is of {when}.",
                "Restore",
            ):
                self._recovery.adopt(leftover)
                self.file.take(leftover.origin, leftover.known)
                self._store.load(batch, modified=True)
                self._unentered.bring_back(leftover.typed)
                return
            # Enter and Esc say no to both, so that no key pressed in haste loses work.
            if self._ask.confirm(
                f"Discard the unsaved changes to “{name}”?",
                "If you keep them, you are asked again next time.",
                "Discard",
            ):
                self._recovery.discard(leftover)

    def _tell_refused(self, why: str) -> None:
        self._ask.tell("That goes beyond what a batch can hold. The batch stays as it was.", why)

    def _read(self, path: Path) -> tuple[Batch, bytes] | None:
        """The batch in a file, and the file's content; None, with a message, if it cannot be read."""
        try:
            refuse_name(path)  # before anybody works on what could not be saved
            data = read_whole(path)
            return decode(data), data
        except FileError as failure:
            self._ask.tell(str(failure))
        except BatchFileError as failure:
            self._ask.tell(f"“{path.name}” could not be opened.", str(failure))
        return None

    def _write(self, path: Path) -> bool:
        batch = self._store.batch
        try:
            data = encode(batch)
            if self._is_changed(path):
                answer = self._ask.file_changed(path.name)
                if answer is Clash.KEEP_BOTH:
                    return self._save_beside(path)
                if answer is Clash.CANCEL:
                    return False
            write_whole(path, data)
        except (FileError, BatchFileError) as failure:
            self._ask.tell("The batch was not saved.", str(failure))
            return False
        self.file.take(path, fingerprint(data))
        self._store.mark_saved()
        self._settings.remember_file(path)
        if batch.recipe.prices != Prices():
            self._settings.prices = batch.recipe.prices
        self.said.emit(f"Saved to {path.name}")
        return True

    def _is_changed(self, path: Path) -> bool:
        """Whether this is the batch's file, and holds what nobody here has seen."""
        return self.path is not None and same_place(path, self.path) and self.file.look() is State.CHANGED

    def _save_beside(self, path: Path) -> bool:
        chosen = self._ask.save_path("Save the batch beside the other", free_name(path), KINDS)
        return chosen is not None and self._write(chosen)

    def _take(self, batch: Batch, path: Path | None, known: str = "") -> None:
        self._store.load(batch)
        self.file.take(path, known)
        self._recovery.forget()

    def _copy_for_safety(self, _change: object = None) -> None:
        """Copy what is not on the disk: the batch, and what is typed and not entered. Nothing of what is."""
        typed = self._unentered.texts()
        if self._store.is_modified or typed:
            self._recovery.remember(self._store.batch, self.path, self.file.known, typed)
        else:
            self._recovery.forget()
