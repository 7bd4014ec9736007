"""The recipe's windows of their own: routes, schedule, scaling and what was learnt; opened once, kept up to date while they are seen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.document import edits
from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.planning.calendar_file import NoDate, calendar, new_identity
from planner.planning.rounding import weighable
from planner.planning.routes_in_progress import is_made
from planner.planning.task import Schedule
from planner.reference.catalogue import Catalogue
from planner.ui.asking import Ask
from planner.ui.files import FileError, file_name, write_whole
from planner.ui.recipe.earlier_batches import LearningDialog
from planner.ui.recipe.routes import RoutesDialog
from planner.ui.recipe.scale import ScaleDialog
from planner.ui.recipe.schedule import ScheduleDialog
from planner.ui.settings import Settings
from planner.ui.store import BatchStore


class RecipeWindows(QObject):
    """Opens the windows and carries out what is chosen in them. Signal: `said` with a sentence for the status line.

    `place` tells the file of the batch.
    """

    said = Signal(str)

    def __init__(
        self,
        store: BatchStore,
        catalogue: Catalogue,
        settings: Settings,
        ask: Ask,
        parent: QWidget,
        place: Callable[[], Path | None] = lambda: None,
    ) -> None:
        super().__init__(parent)
        self._store, self._catalogue, self._settings, self._ask = store, catalogue, settings, ask
        self._window, self._place = parent, place
        self._outcome: Outcome | None = None
        self.routes: RoutesDialog | None = None
        self.schedule: ScheduleDialog | None = None
        self.scaling: ScaleDialog | None = None
        self.learning: LearningDialog | None = None

    def show_routes(self) -> None:
        """Compare the ways to the glass."""
        if self.routes is None:
            self.routes = RoutesDialog(self._catalogue, self._settings.display, self._window)
            self.routes.taken.connect(self._take_route)
        self.routes.show_batch(self._store.batch)
        self.routes.show()
        self.routes.activateWindow()

    def show_schedule(self) -> None:
        """Show what is done when."""
        if self.schedule is None:
            self.schedule = ScheduleDialog(self._store, self._catalogue, self._settings.display, self._window)
            self.schedule.export_wanted.connect(self._export)
        self.schedule.show_batch(self._store.batch)
        if self._outcome is not None:
            self.schedule.show_outcome(self._outcome)
        self.schedule.show()
        self.schedule.activateWindow()

    def show_learning(self) -> None:
        """Show what earlier batches teach."""
        if self.learning is None:
            self.learning = LearningDialog(
                self._store, self._catalogue, self._settings, self._ask, self._place, self._window
            )
        self.learning.show_batch(self._store.batch)
        self.learning.show()
        self.learning.activateWindow()

    def scale(self) -> None:
        """Ask to what the batch shall be scaled."""
        self.scaling = ScaleDialog(
            self._store.batch, self._outcome, self._catalogue, self._settings.display, self._window
        )
        self.scaling.chosen.connect(self._scale_by)
        self.scaling.finished.connect(self.scaling.deleteLater)
        self.scaling.open()

    def show_batch(self, batch: Batch) -> None:
        """Keep what is seen up to date with the batch."""
        if self.routes is not None and self.routes.isVisible():
            self.routes.show_batch(batch)
        if self.schedule is not None and self.schedule.isVisible():
            self.schedule.show_batch(batch)
        if self.learning is not None and self.learning.isVisible():
            self.learning.show_batch(batch)

    def show_outcome(self, outcome: Outcome) -> None:
        """Keep what is seen up to date with what follows from the batch."""
        self._outcome = outcome
        if self.schedule is not None and self.schedule.isVisible():
            self.schedule.show_outcome(outcome)

    def show_habits(self) -> None:
        """Other units."""
        for window in (self.routes, self.schedule, self.learning):
            if window is not None:
                window.set_display(self._settings.display)

    def shut_down(self) -> None:
        """Wait for what is still being worked out, before the window goes."""
        if self.routes is not None:
            self.routes.shut_down()
        if self.learning is not None:
            self.learning.shut_down()

    def _take_route(self, batch: Batch, name: str) -> None:
        now: Batch = self._store.batch
        # What was measured and logged meanwhile stays; a route is a recipe and what is stirred in, and once it is made only that.
        adjustment = msgspec.structs.replace(
            now.adjustment, additions=batch.adjustment.additions, stabilising=batch.adjustment.stabilising
        )
        recipe = now.recipe if is_made(now) else batch.recipe
        self._store.edit(msgspec.structs.replace(now, recipe=recipe, adjustment=adjustment), f"take the way: {name}")
        self.said.emit(f"Taken: {name}")

    def _scale_by(self, factor: float) -> None:
        batch = self._store.batch
        try:
            self._store.edit(weighable(edits.scaled(batch, factor), batch), f"scale the batch by {factor:.4g}")
        except edits.EditRefused as refusal:
            self._ask.tell("The batch was not scaled.", str(refusal))

    def _export(self, plan: Schedule) -> None:
        batch = self._store.batch
        suggestion = self._settings.last_folder / f"{file_name(batch.name)} schedule.ics"
        path = self._ask.save_path("Export the schedule", suggestion, "Calendars (*.ics)")
        if path is None:
            return
        if not batch.recipe.calendar:
            # Given once and kept in the file, so that another export finds its own entries, whatever the batch is called.
            self._store.edit(
                edits.change_recipe(batch, calendar=new_identity(self._place())), "name the batch for calendars"
            )
            batch = self._store.batch
        try:
            write_whole(path, calendar(batch, plan, datetime.now().astimezone()))
        except NoDate as refusal:
            self._ask.tell("The schedule was not exported.", str(refusal))
        except FileError as failure:
            self._ask.tell(f"“{path.name}” was not written.", str(failure))
        else:
            self.said.emit(f"Wrote {path.name}")
