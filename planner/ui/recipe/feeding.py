"""The feeds of the recipe, and beneath them the proposal of feeds when it is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec
from PySide6.QtCore import Qt, Signal

from planner.document import edits
from planner.document.batch import Batch, Feed
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.fields import DueColumn
from planner.ui.recipe.lines import Choices, LinesSection, mass_column
from planner.ui.recipe.proposal import Proposal
from planner.ui.recipe.section import IN_GRAMS, small_text
from planner.ui.recipe.texts import feeding_text, name_of
from planner.ui.widgets.button import Button
from planner.ui.widgets.lines import ChoiceColumn
from planner.wording.finding import Finding

NEW_FEED = 0.005
"""Mass of a new feed. [kg]"""


_FOOD = "Feeds give the yeast nitrogen. Honey, juice or sugar added while it ferments stands below."
_HONEY = "Feeds give the yeast nitrogen. Honey stands under Honey above, or below where it goes in while it ferments."
_ELSEWHERE = (("honey", _HONEY), ("sugar", _FOOD), ("juice", _FOOD))


class FeedingSection(LinesSection):
    """The feeds, what they add to the nitrogen of the must, and a proposal. Signal: `opened` with what should be in sight."""

    opened = Signal(object)

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        columns = (
            ChoiceColumn(field="key", label="Nutrient", choices=Choices(catalogue.nutrients), elsewhere=_ELSEWHERE),
            msgspec.structs.replace(mass_column(Feed), below=True, units=IN_GRAMS),
            DueColumn(field="day", label="When", below=True),
        )
        super().__init__("Feeding", "feeds", columns, "Add a feed: type a nutrient", acts, catalogue, display)
        self._outcome: Outcome | None = None
        self.text = small_text()
        self.text.hide()
        self.ask = Button("Propose feeds…")
        self.ask.setToolTip(
            "Shows what the must lacks in nitrogen, and what to feed when. Nothing changes before you take it."
        )
        self.ask.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # it has an entry in the menus
        self.ask.clicked.connect(self.propose)
        self.proposal = Proposal(catalogue, display)
        self.proposal.hide()
        self.proposal.taken.connect(self._take)
        self.proposal.closed.connect(self._close)
        self.body.addWidget(self.text)
        self.body.addWidget(self.ask, 0, Qt.AlignmentFlag.AlignLeft)
        self.body.addWidget(self.proposal)

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        super().show_outcome(outcome, findings)
        self._outcome = outcome
        must = outcome.must
        doubted = bool(self.remarks.findings)
        text = "" if must is None else feeding_text(outcome.batch, self._catalogue, must, self._display, doubted)
        self.text.setText(text)
        self.text.setVisible(bool(text))
        self.ask.setEnabled(outcome.curve is not None)
        if not self.proposal.isHidden():
            self.proposal.show_outcome(outcome)

    def set_display(self, display: Display) -> None:
        super().set_display(display)
        self.proposal.set_display(display)

    def name_of(self, line: Feed) -> str:
        return name_of(self._catalogue.nutrients, line.key)

    def _new_line(self, value: Any) -> Feed:
        return Feed(key=value, mass=NEW_FEED, day=1.0)

    def _rows(self) -> Mapping[Any, Any]:
        return self._catalogue.nutrients

    def propose(self) -> None:
        """Show what to feed when, once the must is known."""
        if self._outcome is not None:
            self.proposal.begin(self._outcome)
            self.proposal.show()
            self.ask.hide()
            self.proposal.take.setFocus(Qt.FocusReason.OtherFocusReason)
            self.opened.emit(self.proposal)

    def _close(self) -> None:
        self.proposal.hide()
        self.ask.show()
        self.ask.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take(self, feeds: tuple[Feed, ...]) -> None:
        self._acts.do("feed as proposed", edits.change_recipe, feeds=feeds)
        self._close()

    def show_batch(self, batch: Batch) -> None:
        super().show_batch(batch)
        self.proposal.take.setEnabled(False)  # until it is worked out for this batch
