"""The tools of the adjustment pane, each in a fold that is closed until it is wanted."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.tool import Fold, Tool
from planner.ui.asking import Ask
from planner.ui.display import Display
from planner.ui.log.when import now

if TYPE_CHECKING:
    from planner.ui.adjust.picture import Picture
    from planner.ui.adjust.reference_batch import AsLastTime


class Tools(QWidget):
    """Find the dose, trial glasses, steps, as last time, and the map.

    Signals: `edited` as those of its tools; `count_changed` when what takes the focus changed; `made` when a tool was made;
    `opened` with the fold that was opened.
    """

    edited = Signal(object, str, str)
    count_changed = Signal()
    made = Signal()
    opened = Signal(object)

    def __init__(
        self,
        catalogue: Catalogue,
        display: Display,
        ask: Ask,
        clock: Callable[[], datetime] = now,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.finding = Fold(
            "Find the dose", partial(_finding, catalogue), display, "The smallest doses for what you want."
        )
        self.trial = Fold(
            "Trial glasses", partial(_trial, catalogue, clock), display, "Try it in glasses before the batch."
        )
        self.steps = Fold(
            "Dose in steps", partial(_steps, catalogue, clock), display, "Stir in a part, let it settle, taste, go on."
        )
        self.earlier = Fold(
            "From an earlier batch",
            partial(_earlier, catalogue, ask),
            display,
            "Take the doses of an earlier batch, or blend with it.",
        )
        self.picture = Fold(
            "Map of sweet and sharp", partial(_picture, catalogue), display, "Before and after at a glance."
        )
        self.folds = (self.finding, self.trial, self.steps, self.earlier, self.picture)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        for fold in self.folds:
            column.addWidget(fold)
            fold.edited.connect(self.edited)
            fold.made.connect(self.made)
            fold.toggled.connect(self._changed)

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return [part for fold in self.folds for part in fold.focus_chain()]

    def show_state(self, batch: Batch, outcome: Outcome | None) -> None:
        """Show what follows, in the folds that are open."""
        if self.picture.is_made:
            self._picture.earlier = self._others
        for fold in self.folds:
            fold.show_state(batch, outcome)

    def set_display(self, display: Display) -> None:
        """Other units."""
        for fold in self.folds:
            fold.set_display(display)

    def _changed(self, is_open: bool) -> None:
        if self.picture.is_open:
            self._picture.show_earlier(self._others)
        self.count_changed.emit()
        if is_open:
            self.opened.emit(self.sender())

    @property
    def _picture(self) -> Picture:
        return cast("Picture", self.picture.tool)

    @property
    def _others(self) -> tuple[Outcome, ...]:
        """The batches that were chosen to be like this one."""
        return cast("AsLastTime", self.earlier.tool).others if self.earlier.is_made else ()


# Each is loaded when it is first wanted: the start of the program does not wait for what is folded away.


def _finding(catalogue: Catalogue, display: Display) -> Tool:
    from planner.ui.adjust.find import FindDose

    return FindDose(catalogue, display)


def _trial(catalogue: Catalogue, clock: Callable[[], datetime], display: Display) -> Tool:
    from planner.ui.adjust.trial import TrialGlasses

    return TrialGlasses(catalogue, display, clock)


def _steps(catalogue: Catalogue, clock: Callable[[], datetime], display: Display) -> Tool:
    from planner.ui.adjust.steps import DoseSteps

    return DoseSteps(catalogue, display, clock)


def _earlier(catalogue: Catalogue, ask: Ask, display: Display) -> Tool:
    from planner.ui.adjust.reference_batch import AsLastTime

    return AsLastTime(catalogue, display, ask)


def _picture(catalogue: Catalogue, display: Display) -> Tool:
    from planner.ui.adjust.picture import Picture

    return Picture(catalogue, display)
