"""The tools of the adjustment pane, each in a fold that is closed until it is wanted."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.batch.batch import Batch
from planner.batch.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.earlier import AsLastTime
from planner.ui.adjust.find import FindDose
from planner.ui.adjust.picture import Picture
from planner.ui.adjust.steps import DoseSteps
from planner.ui.adjust.tool import Fold
from planner.ui.adjust.trial import TrialGlasses
from planner.ui.asking import Ask
from planner.ui.display import Display
from planner.ui.log.when import now


class Tools(QWidget):
    """Find the dose, trial glasses, steps, as last time, and the map.

    Signals: `edited` as those of its tools; `count_changed` when what takes the focus changed.
    """

    edited = Signal(object, str, str)
    count_changed = Signal()

    def __init__(
        self,
        catalogue: Catalogue,
        display: Display,
        ask: Ask,
        clock: Callable[[], datetime] = now,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.finding = Fold("Find the dose", FindDose(catalogue, display), "The smallest doses for what you want.")
        self.trial = Fold(
            "Trial glasses", TrialGlasses(catalogue, display, clock), "Try it in glasses before the batch."
        )
        self.steps = Fold("Dose in steps", DoseSteps(catalogue, display, clock), "Stir a part in, rest, taste, go on.")
        self.earlier = Fold(
            "As last time", AsLastTime(catalogue, display, ask), "Doses of an earlier batch, or blend with it."
        )
        self.picture = Fold("Map of sweet and sharp", Picture(catalogue, display), "Before and after at a glance.")
        self.folds = (self.finding, self.trial, self.steps, self.earlier, self.picture)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        for fold in self.folds:
            column.addWidget(fold)
            fold.tool.edited.connect(self.edited)
            fold.toggled.connect(self._changed)

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return [part for fold in self.folds for part in fold.focus_chain()]

    def show_state(self, batch: Batch, outcome: Outcome | None) -> None:
        """Show what follows, in the folds that are open."""
        last, picture = self.earlier.tool, self.picture.tool
        if isinstance(last, AsLastTime) and isinstance(picture, Picture):
            picture.earlier = last.others
        for fold in self.folds:
            fold.show_state(batch, outcome)

    def set_display(self, display: Display) -> None:
        """Other units."""
        for fold in self.folds:
            fold.set_display(display)

    def _changed(self, _open: bool) -> None:
        last, picture = self.earlier.tool, self.picture.tool
        if self.picture.is_open and isinstance(last, AsLastTime) and isinstance(picture, Picture):
            picture.show_earlier(last.others)
        self.count_changed.emit()
