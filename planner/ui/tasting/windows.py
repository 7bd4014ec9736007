"""The windows of tasting: made when they are first asked for; they follow the batch by themselves."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from planner.ui.asking import Ask
from planner.ui.parts_made import is_made, made
from planner.ui.settings import Settings
from planner.ui.store import BatchStore
from planner.ui.tasting.blind import BlindDialog
from planner.ui.tasting.sheets import SheetsDialog


class TastingWindows(QObject):
    """Opens them. `place` tells the file of the batch."""

    def __init__(
        self, store: BatchStore, settings: Settings, ask: Ask, place: Callable[[], Path | None], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._store, self._settings, self._ask, self._place, self._window = store, settings, ask, place, parent

    @cached_property
    def sheets(self) -> SheetsDialog:
        """Tasting sheets over time."""
        return SheetsDialog(self._store, self._settings.display, self._ask, self._place, parent=self._window)

    @cached_property
    def tests(self) -> BlindDialog:
        """Blind tests."""
        return BlindDialog(self._store, self._settings.display, parent=self._window)

    def show_habits(self) -> None:
        """Other habits of writing numbers and dates."""
        for dialog in self._made():
            dialog.set_display(self._settings.display)

    def shut_down(self) -> None:
        """Wait for the worker, before the windows go."""
        if is_made(self, "sheets"):
            self.sheets.shut_down()

    def _made(self) -> list[SheetsDialog | BlindDialog]:
        return made(self, "sheets", "tests")
