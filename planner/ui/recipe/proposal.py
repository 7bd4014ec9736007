"""A proposal of feeds with its reasons, shown in place and taken only when the user says so."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from planner.document.batch import Feed
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome
from planner.feeding.feeding_plan import FeedingPlan, Step
from planner.feeding.nitrogen_feeds import as_weighed, day_now, propose, usual_food
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.log.when import now
from planner.ui.recipe.section import IN_GRAMS, small_text
from planner.ui.recipe.texts import name_of
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words, small
from planner.units import Kind

_INDENT = 16
"""Of the proposal, as of what opens beneath a heading. [px]"""


class Proposal(QWidget):
    """A plan of feeds with its reasons, for the nutrients that are ticked.

    Signals: `taken` with the feeds of the plan; `closed` when it is left as it is.
    """

    taken = Signal(object)
    closed = Signal()

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._catalogue, self._display = catalogue, display
        self._outcome: Outcome | None = None
        self.plan: FeedingPlan | None = None
        self.foods: dict[str, QCheckBox] = {}
        self._foods = QVBoxLayout()
        self._foods.setSpacing(2)
        self.reasons, self.bounds = small_text(), small_text()
        set_tone(self.reasons, "")
        self.table = QWidget()
        self._grid = QGridLayout(self.table)
        self._grid.setContentsMargins(0, 2, 0, 2)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(0)
        self._grid.setColumnStretch(0, 1)
        self._rows: list[tuple[Label, Label, Label]] = []
        self.take, self.close_it = Button("Use these feeds"), Button("Close")
        self.take.setToolTip("Puts these feeds in place of the planned ones; one undo brings those back.")
        self.take.clicked.connect(self._take)
        self.close_it.clicked.connect(self.closed)
        self._arrange()

    def _arrange(self) -> None:
        buttons = QHBoxLayout()
        buttons.addWidget(self.take)
        buttons.addWidget(self.close_it)
        buttons.addStretch(1)
        self._with = small_text()
        self._with.setText("Feed with")
        column = QVBoxLayout(self)
        column.setContentsMargins(_INDENT, 2, 0, 4)
        column.setSpacing(4)
        column.addWidget(self._with)
        column.addLayout(self._foods)
        # What is done stands before the small print, so that both are in sight without scrolling.
        for part in (self.reasons, self.table):
            column.addWidget(part)
        column.addLayout(buttons)
        column.addWidget(self.bounds)

    def begin(self, outcome: Outcome) -> None:
        """Propose for a batch, with the nutrients that suit it."""
        shelf = shelf_of(outcome.batch, self._catalogue)
        picked = usual_food(outcome.batch, shelf)
        self._show_foods(shelf)
        for key, box in self.foods.items():
            box.setChecked(key in picked)
        self.show_outcome(outcome)

    def show_outcome(self, outcome: Outcome) -> None:
        """Propose for what the batch has become."""
        self._outcome = outcome
        self._show_foods(shelf_of(outcome.batch, self._catalogue))
        self._propose()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        if self.plan is not None:
            self._show(self.plan)

    def _show_foods(self, shelf: Catalogue) -> None:
        for key, row in shelf.nutrients.items():
            if not row.is_food:
                continue
            if key not in self.foods:
                box = CheckBox()
                box.setFont(small(self.font()))
                box.clicked.connect(self._propose)
                self.foods[key] = box
                self._foods.addWidget(box)
            self.foods[key].setText(row.name)
        for key in [key for key in self.foods if key not in shelf.nutrients]:
            self.foods.pop(key).deleteLater()

    def _propose(self) -> None:
        outcome = self._outcome
        if outcome is None or outcome.must is None or outcome.curve is None:
            self.plan = None
            self.reasons.setText("There is nothing to feed yet. Enter fruit and honey.")
            for part in (self.table, self.bounds):
                part.hide()
            self.take.setEnabled(False)
            return
        batch = outcome.batch
        keys = [key for key, box in self.foods.items() if box.isChecked()]
        self._show(
            propose(
                batch,
                shelf_of(batch, self._catalogue),
                outcome.must,
                outcome.curve,
                keys,
                day_now(batch, now()),
                outcome.log,
                outcome.starting_gravity,
            )
        )

    def _show(self, plan: FeedingPlan) -> None:
        self.plan = plan
        self.reasons.setText(" ".join(in_words(words, self._display) for words in plan.summary))
        bounds = [*self._totals(plan), *self._bounds(plan)]
        self.bounds.setText("\n".join(bounds))
        self.bounds.setVisible(bool(bounds))
        self._show_steps(plan.offered)
        assert self._outcome is not None
        self.take.setEnabled(bool(plan.offered) and _plainly(plan.feeds) != self._outcome.batch.recipe.feeds)

    def _show_steps(self, steps: tuple[Step, ...]) -> None:
        self.table.setVisible(bool(steps))
        while len(self._rows) < len(steps):
            self._rows.append(self._make_row(len(self._rows)))
        for index, cells in enumerate(self._rows):
            for cell in cells:
                cell.setVisible(index < len(steps))
        for (what, reaches, why), step in zip(self._rows, steps, strict=False):
            what.setText(f"{self._grams(step.feed.mass)}{SPACE}{self._name(step.feed.key)}")
            reaches.setText(f"to {self._display.text(step.reaches, Kind.CONCENTRATION, 'mg/L', decimals=0)}")
            reaches.setToolTip("Nitrogen that must and feeds have brought by then.")
            why.setText(f"{self._when(step)}. {in_words(step.why, self._display)}")

    def _make_row(self, index: int) -> tuple[Label, Label, Label]:
        cells = (Label(), Label(), small_text())
        for cell in cells[:2]:
            cell.setFont(theme.tabular(small(self.font())))
        cells[0].setWordWrap(True)
        cells[1].setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        self._grid.addWidget(cells[0], 2 * index, 0)
        self._grid.addWidget(cells[1], 2 * index, 1)
        self._grid.addWidget(cells[2], 2 * index + 1, 0, 1, 2)
        cells[2].setContentsMargins(0, 0, 0, 4)
        return cells

    def lines(self) -> list[tuple[str, str, str]]:
        """What is shown of the feeds: how much of what, what it reaches, and when and why."""
        return [(a.text(), b.text(), c.text()) for a, b, c in self._rows if not a.isHidden()]

    def _when(self, step: Step) -> str:
        day = self._display.number(round(2.0 * step.day) / 2.0, 1, trim=True)
        if step.feed.sugar_used is None:
            return f"Day{SPACE}{day}"
        used = self._display.text(step.feed.sugar_used, Kind.FRACTION, decimals=0)
        return f"At {used} of the sugar, about day{SPACE}{day}"

    def _totals(self, plan: FeedingPlan) -> list[str]:
        told = []
        for total in plan.totals:
            low, high = (self._grams(as_weighed(bound)) for bound in (total.mass.low, total.mass.high))
            between = "" if total.mass.is_exact else f", {low} to {high} as the fruit may be"
            told.append(f"In all {self._grams(total.mass.typical)} of {self._name(total.key)}{between}.")
        return told

    def _bounds(self, plan: FeedingPlan) -> list[str]:
        told = []
        for at in plan.ceilings:
            dose, limit = (self._display.text(x, Kind.CONCENTRATION, "g/L", decimals=2) for x in (at.dose, at.limit))
            most = "that are usual" if at.usual else "allowed"
            binds = (" The plan gives no more." if at.usual else " This limit binds.") if at.binds else ""
            told.append(f"{at.name}: {dose} of the {limit} {most}.{binds} {at.note}")
        if plan.steps and plan.last_day is not None:
            day = self._display.number(plan.last_day, 0)
            told.append(
                f"Feed nothing after about day {day}: with a third of the sugar used the yeast takes up little nitrogen."
            )
        told += [f"{out.name} is left out. {in_words(out.why, self._display)}" for out in plan.refused]
        return told

    def _grams(self, mass: float) -> str:
        return self._display.text_for_editing(mass, Kind.MASS, IN_GRAMS.get(self._display.system))

    def _name(self, key: str) -> str:
        assert self._outcome is not None
        return name_of(shelf_of(self._outcome.batch, self._catalogue).nutrients, key)

    def _take(self) -> None:
        if self.plan is not None:
            self.taken.emit(_plainly(self.plan.feeds))


def _plainly(feeds: tuple[Feed, ...]) -> tuple[Feed, ...]:
    """Feeds with whole percents of the sugar, as they are said: nobody meets a third more finely."""
    return tuple(
        feed if feed.sugar_used is None else msgspec.structs.replace(feed, sugar_used=round(feed.sugar_used, 2))
        for feed in feeds
    )
