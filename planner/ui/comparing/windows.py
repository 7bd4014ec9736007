"""The windows that compare: made when they are first asked for, kept up to date while they are seen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.asking import Ask
from planner.ui.comparing.comparison import ComparisonDialog
from planner.ui.comparing.lessons import LessonsDialog
from planner.ui.parts_made import is_made, made
from planner.ui.settings import Settings


class ComparingWindows(QObject):
    """Opens the windows and carries out what is chosen in them. `begin` takes a next batch into the window, and tells whether it
    did."""

    def __init__(
        self, catalogue: Catalogue, settings: Settings, ask: Ask, begin: Callable[[Batch], bool], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._catalogue, self._settings, self._ask, self._begin = catalogue, settings, ask, begin
        self._window = parent

    @cached_property
    def lessons(self) -> LessonsDialog:
        """What was expected and what came."""
        dialog = LessonsDialog(self._catalogue, self._settings, self._ask, self._window)
        dialog.next_wanted.connect(self._take_next)
        return dialog

    @cached_property
    def comparison(self) -> ComparisonDialog:
        """Batches side by side."""
        return ComparisonDialog(self._catalogue, self._settings, self._ask, self._window)

    def compare(self, batch: Batch) -> None:
        """Compare a batch with those that are added to it."""
        if batch not in self.comparison.batches:
            self.comparison.show_batches((batch,))
        self._show(self.comparison)

    def compare_files(self, paths: Sequence[Path]) -> None:
        """Compare the batches of some files."""
        self.comparison.show_files(paths)
        self._show(self.comparison)

    def show_lessons(self, outcome: Outcome | None) -> None:
        """Show what was expected and what came."""
        self._show(self.lessons)
        if outcome is not None:
            self.lessons.show_outcome(outcome)

    def show_outcome(self, outcome: Outcome) -> None:
        """Keep what is seen up to date with what follows from the batch."""
        if is_made(self, "lessons") and self.lessons.isVisible():
            self.lessons.show_outcome(outcome)

    def show_habits(self) -> None:
        """Other units."""
        for dialog in self._made():
            dialog.set_display(self._settings.display)

    def shut_down(self) -> None:
        """Wait for what is still being worked out, before the windows go."""
        for dialog in self._made():
            dialog.shut_down()

    def _made(self) -> list[LessonsDialog | ComparisonDialog]:
        return made(self, "lessons", "comparison")

    @staticmethod
    def _show(dialog: QWidget) -> None:
        dialog.show()
        dialog.activateWindow()

    def _take_next(self, batch: Batch) -> None:
        if self._begin(batch):
            self.lessons.hide()
