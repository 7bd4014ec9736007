"""The temperatures of the ferment, step by step: of the must, or of the room in which it warms itself."""

from __future__ import annotations

from typing import Any

from planner.document import edits
from planner.document.batch import Batch, TemperatureStep
from planner.document.values import limits
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.fields import DayColumn
from planner.ui.recipe.lines import LinesSection
from planner.ui.recipe.section import small_text
from planner.ui.recipe.texts import warmth_text
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.lines import QuantityColumn
from planner.units import Kind
from planner.wording.finding import Finding

NEW_TEMPERATURE = 293.15
"""Of a new step where there is none yet whose temperature it could take over. [K]"""


class TemperatureSection(LinesSection):
    """The temperatures at which the must is kept, step by step; the first begins at pitching."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        low, high = limits(TemperatureStep, "temperature")
        columns = (
            DayColumn(field="day", label="From day"),
            QuantityColumn(field="temperature", label="Temperature", kind=Kind.TEMPERATURE, low=low, high=high),
        )
        super().__init__("Temperature", "temperatures", columns, "Add a step: from day …", acts, catalogue, display)
        self.in_room = CheckBox("Room temperatures (the must warms itself)")
        self.in_room.setToolTip(
            "If ticked, these are temperatures of the room, and the must warms itself above them in this vessel. Otherwise the must is kept at them."
        )
        self.in_room.clicked.connect(self._change_in_room)
        self.text = small_text()
        self.text.hide()
        self.body.addWidget(self.in_room)
        self.body.addWidget(self.text)

    def show_batch(self, batch: Batch) -> None:
        super().show_batch(batch)
        steps = batch.recipe.temperatures
        for index, (row, step) in enumerate(zip(self.editor.rows, steps, strict=True)):
            row.cells[0].setEnabled(index > 0 or step.day > 0.0)
            row.remove.setVisible(len(steps) > 1)
        self.in_room.setChecked(batch.recipe.in_room)

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        super().show_outcome(outcome, findings)
        row = self._catalogue.yeasts.get(outcome.batch.recipe.yeast.key)
        warm = outcome.warmth
        text = "" if warm is None or row is None else warmth_text(warm, row, self._display)
        self.text.setText(text)
        self.text.setVisible(bool(text))

    def name_of(self, line: TemperatureStep) -> str:
        return f"step from day {self._display.number(line.day, 2, trim=True)}"

    def _new_line(self, value: Any) -> TemperatureStep:
        before = [step for step in self._acts.batch.recipe.temperatures if step.day <= value]
        return TemperatureStep(day=value, temperature=before[-1].temperature if before else NEW_TEMPERATURE)

    def _add(self, value: Any) -> None:
        line = self._new_line(value)
        steps = sorted((*self._acts.batch.recipe.temperatures, line), key=_day_of)
        self._acts.do(f"add {self.name_of(line)}", edits.change_recipe, temperatures=tuple(steps))

    def _change_in_room(self, checked: bool) -> None:
        told = "temperatures of the room" if checked else "temperatures of the must"
        self._acts.do(told, edits.change_recipe, in_room=checked)


def _day_of(step: TemperatureStep) -> float:
    return step.day
