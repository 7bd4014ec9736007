"""What is added while the must works: honey, juice or sugar, how much and when, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from planner.document.batch import Batch, StepFeed
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome
from planner.model.liquid import fermentable, volume
from planner.recipe.step_feeding import brought, juice_name, offered
from planner.recipe.step_feeding import name_of as addition_name
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive, Fruit
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.fields import DueColumn
from planner.ui.recipe.lines import Choices, LinesSection, mass_column
from planner.ui.recipe.section import extra_cautions, small_text
from planner.ui.widgets.lines import ChoiceColumn
from planner.units import Kind, System
from planner.wording.finding import Finding

NEW_ADDITION = {System.METRIC: 0.5, System.US: 0.45359237}
"""Mass of a new line: 500 g, or 1 lb. [kg]"""

AT_FIRST = 1.020
"""Gravity at which a new line falls due. [-] Common practice, no source: 1.010 to 1.030."""


class _Offered(Mapping[str, Any]):
    """The rows of what may be added, as the shelf holds them at the moment; of a fruit its juice."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue

    def __getitem__(self, key: str) -> Any:
        if key not in offered(self._catalogue):
            raise KeyError(key)
        row = self._catalogue.sugary(key)
        return msgspec.structs.replace(row, name=juice_name(row)) if isinstance(row, Fruit) else row

    def __iter__(self) -> Iterator[str]:
        return iter(offered(self._catalogue))

    def __len__(self) -> int:
        return len(offered(self._catalogue))


class StepFeedingSection(LinesSection):
    """Honey, juice and sugar that are added while it works."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        self._offered = _Offered(catalogue)
        columns = (
            ChoiceColumn(field="key", label="What", choices=Choices(self._offered)),
            msgspec.structs.replace(mass_column(StepFeed), below=True),
            DueColumn(field="day", label="When", below=True, by_gravity=True),
        )
        prompt = "Add later: type a honey, juice or sugar"
        super().__init__("Added while it ferments", "step_feeds", columns, prompt, acts, catalogue, display)
        self.text = small_text()
        self.text.hide()
        self.body.addWidget(self.text)

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        every = findings
        for index, line in enumerate(outcome.batch.recipe.step_feeds):
            row = self._offered.get(line.key)
            if isinstance(row, Additive):
                continue  # what it warns of is said of a sweet mead
            every = (*every, *extra_cautions(self._catalogue, row, f"recipe.step_feeds.{index}", every))
        super().show_outcome(outcome, every)
        if self._is_about_these(outcome):
            told = self._each(outcome)
            self.editor.show_beneath(told)
            self.text.setText(self._together(outcome))
            self.text.setVisible(bool(self.text.text()))

    def _each(self, outcome: Outcome) -> list[str]:
        """When each line is expected to fall due, and how much room it takes."""
        batch, curve, display = outcome.batch, outcome.curve, self._display
        due = {} if curve is None else {moment.feed: moment.day for moment in curve.step_feeds}
        shelf, texts = shelf_of(batch, self._catalogue), []
        for index, line in enumerate(batch.recipe.step_feeds):
            told = []
            if line.key in self._offered:
                liquid, _ = brought(line, batch.recipe, shelf, 0)
                told.append(f"is {display.volume(float(volume(liquid)[0]))}")
            if index in due and line.day is None:
                told.append(f"about day {display.number(due[index], 0)}")
            texts.append(", ".join(told))
        return texts

    def _together(self, outcome: Outcome) -> str:
        """What all of it brings."""
        batch, must = outcome.batch, outcome.must
        if must is None or not batch.recipe.step_feeds:
            return ""
        shelf, recipe = shelf_of(batch, self._catalogue), batch.recipe
        parts = [brought(line, recipe, shelf, 0)[0] for line in recipe.step_feeds]
        sugar = sum(float(fermentable(part)[0]) for part in parts)
        room = sum(float(volume(part)[0]) for part in parts)
        brings = self._display.text(sugar, Kind.MASS, decimals=2)
        return f"Together {brings} of fermentable sugar in {self._display.volume(room)}. Alcohol and volume include it."

    def name_of(self, line: StepFeed) -> str:
        return addition_name(line.key, self._catalogue)

    def _new_line(self, value: Any) -> StepFeed:
        return StepFeed(key=value, mass=NEW_ADDITION[self._display.system], gravity=AT_FIRST)

    def _rows(self) -> Mapping[Any, Any]:
        return self._offered

    def show_batch(self, batch: Batch) -> None:
        super().show_batch(batch)
        if not batch.recipe.step_feeds:
            self.text.hide()
