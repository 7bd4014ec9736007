"""A design that is pinned: its curve stays as a ghost, and every figure tells what has changed since."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import msgspec
from PySide6.QtCore import QObject

from planner.document import edits
from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.ui.parts_made import is_made

if TYPE_CHECKING:
    from planner.ui.adjust.pane import AdjustPane
    from planner.ui.curve.pane import CurvePane
    from planner.ui.recipe.pane import RecipePane
    from planner.ui.shell.actions import Menus
    from planner.ui.shell.documents import Documents
    from planner.ui.shell.status_line import StatusLine
    from planner.ui.store import BatchStore


class Host(Protocol):
    """What is asked of the window."""

    curve: CurvePane
    documents: Documents
    menus: Menus
    outcome: Outcome | None
    status: StatusLine
    store: BatchStore

    @property
    def recipe(self) -> RecipePane: ...
    @property
    def adjustment(self) -> AdjustPane: ...


class Pin(QObject):
    """Holds the pinned design until it is unpinned, swapped back, or another batch comes."""

    def __init__(self, window: Host, parent: QObject) -> None:
        super().__init__(parent)
        self._window = window
        self.pinned: Outcome | None = None
        """What followed from the design when it was pinned."""
        window.store.loaded.connect(self.unpin)
        window.status.unpin_wanted.connect(self.unpin)
        self._show()

    def toggle(self) -> None:
        """Pin the present design, or unpin it."""
        if self.pinned is not None:
            self.unpin()
        elif self._window.outcome is None or self._window.outcome.must is None:
            self._window.status.showMessage("There is nothing to pin yet: enter fruit or honey in the recipe.")
        else:
            self._pin(self._window.outcome)

    def unpin(self) -> None:
        """Tell of no changes any more."""
        if self.pinned is not None:
            self._pin(None)

    def swap(self) -> None:
        """Take the pinned design back, and pin the present one; log and tastings stay."""
        present = self._window.outcome
        if self.pinned is None or present is None:
            return
        back = self._with_design(self.pinned.batch)
        self._pin(present)
        self._window.store.edit(back, "swap with the pinned design")

    def keep(self) -> None:
        """Write the pinned design to a file as a batch of its own."""
        if self.pinned is not None:
            batch = self.pinned.batch
            self._window.documents.save_copy(msgspec.structs.replace(batch, name=f"{batch.name}, pinned"))

    def _with_design(self, of: Batch) -> Batch:
        """The present batch with the recipe and the additions of another."""
        batch = self._window.store.batch
        additions = edits.change_adjustment(batch, additions=of.adjustment.additions)
        return msgspec.structs.replace(additions, recipe=of.recipe)

    def _pin(self, outcome: Outcome | None) -> None:
        self.pinned = outcome
        self._show()

    def _show(self) -> None:
        window, pinned = self._window, self.pinned
        window.status.tell_pinned(pinned is not None)
        for name in ("swap_pinned", "keep_pinned"):
            window.menus.actions[name].setEnabled(pinned is not None)
        window.menus.actions["pin_design"].setText("Unp&in the design" if pinned else "P&in this design")
        if pinned is not None or window.curve.is_pinned:
            window.curve.pin(pinned)
        if is_made(window, "recipe"):
            window.recipe.results.show_pinned(pinned)
        if is_made(window, "adjustment"):
            window.adjustment.mead_now.show_pinned(pinned)
