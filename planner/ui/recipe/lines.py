"""The lists of the recipe: fruit and honey, each with its words and what a new line begins with; other lists build on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from planner.document import edits
from planner.document.batch import Batch, FruitLine, HoneyLine
from planner.document.values import limits
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.ingredients.sheet import sheet
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.details import FruitDetails, HoneyDetails
from planner.ui.recipe.section import Section, extra_cautions
from planner.ui.recipe.texts import juice_text, name_of, told
from planner.ui.widgets.lines import ChoiceColumn, Column, LineDetails, LineEditor, QuantityColumn
from planner.units import Kind, System
from planner.wording.finding import Finding

NEW_FRUIT = {System.METRIC: 5.0, System.US: 4.5359237}
"""Mass of a new line of fruit: 5 kg, or 10 lb. [kg]"""

NEW_HONEY = {System.METRIC: 2.0, System.US: 2.26796185}
"""Mass of a new line of honey: 2 kg, or 5 lb. [kg]"""


class Choices:
    """The rows of a shelf by name, as they are when they are asked for: the person's own come and go."""

    def __init__(self, rows: Mapping[str, Any]) -> None:
        self._rows = rows

    def __iter__(self) -> Iterator[tuple[object, str]]:
        named = sorted(self._rows.items(), key=lambda item: item[1].name.casefold())
        return iter([(key, row.name) for key, row in named])


def mass_column(owner: type) -> QuantityColumn:
    """The mass of a line."""
    low, high = limits(owner, "mass")
    return QuantityColumn(field="mass", label="Weight", kind=Kind.MASS, low=low, high=high)


class LinesSection(Section):
    """A list of the recipe. Subclasses say how a line is called and what a new one begins with."""

    def __init__(
        self,
        title: str,
        lines: str,
        columns: Iterable[Column],
        prompt: str,
        acts: Acts,
        catalogue: Catalogue,
        display: Display,
        details: Callable[[], LineDetails] | None = None,
    ) -> None:
        super().__init__(title, acts, display, f"recipe.{lines}")
        self.lines, self._catalogue = lines, catalogue
        self.editor = LineEditor(columns, prompt=prompt, display=display, details=details, name=self.name_of)
        self.editor.entered.connect(acts.begin)
        self.editor.added.connect(self._add)
        self.editor.changed.connect(self._change)
        self.editor.removed.connect(self._remove)
        self.body.addWidget(self.editor)

    def show_batch(self, batch: Batch) -> None:
        self.editor.show_lines(getattr(batch.recipe, self.lines), self._context(batch))
        for row in self.editor.rows:
            known = self._rows().get(getattr(row.line, "key", None))
            if known is not None:
                row.cells[0].setToolTip(sheet(known, self._catalogue, self._display))

    def restore(self) -> None:
        self.editor.restore()

    def show_shelf(self) -> None:
        self.editor.show_choices()

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        super().show_outcome(outcome, findings)
        if self._is_about_these(outcome):
            self.editor.show_findings(findings, f"recipe.{self.lines}")

    def set_display(self, display: Display) -> None:
        super().set_display(display)
        self.editor.set_display(display)

    def name_of(self, line: Any) -> str:
        """What a line is called."""
        raise NotImplementedError

    def _new_line(self, value: Any) -> Any:
        """The line that begins with what was entered in the empty last row."""
        raise NotImplementedError

    def _rows(self) -> Mapping[Any, Any]:
        """The shelf that the keys of the lines are of."""
        return {}

    def _context(self, _batch: Batch) -> object:
        """What else of the batch the details of a line depend on."""
        return None

    def _is_about_these(self, outcome: Outcome) -> bool:
        """Whether an outcome that may be out of date speaks of as many lines as there are now."""
        return len(getattr(outcome.batch.recipe, self.lines)) == len(self.editor.rows)

    def _line(self, index: int) -> Any:
        return getattr(self._acts.batch.recipe, self.lines)[index]

    def _add(self, value: object) -> None:
        line = self._new_line(value)
        self._acts.do(f"add {self.name_of(line)}", edits.add_line, self.lines, line)

    def _change(self, index: int, changes: dict[str, object]) -> None:
        text = f"{self.name_of(self._line(index))}: {told(changes, self._display, self._rows())}"
        is_drag = all(value is None or isinstance(value, float) for value in changes.values())
        merge = f"recipe/{self.lines}/{index}/{'+'.join(changes)}" if is_drag else ""
        self._acts.do(text, edits.change_line, self.lines, index, merge=merge, **changes)

    def _remove(self, index: int) -> None:
        self._acts.do(f"remove {self.name_of(self._line(index))}", edits.remove_line, self.lines, index)


class FruitSection(LinesSection):
    """The fruit, and what juice it gives."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        choice = ChoiceColumn(field="key", label="Fruit", choices=Choices(catalogue.fruits))
        columns = (choice, mass_column(FruitLine))
        prompt = "Add fruit: type its name"
        super().__init__("Fruit", "fruits", columns, prompt, acts, catalogue, display, self._make_details)

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        super().show_outcome(outcome, findings)
        if self._is_about_these(outcome):
            given = outcome.must.juices if outcome.must is not None else ()
            self.editor.show_beneath(
                juice_text(line, given[index], self._display, outcome.batch.recipe.preparation.whole)
                if given and line.key == getattr(shown, "key", None)
                else ""
                for index, (line, shown) in enumerate(zip(outcome.batch.recipe.fruits, self.editor.lines, strict=True))
            )

    def name_of(self, line: FruitLine) -> str:
        return name_of(self._catalogue.fruits, line.key)

    def _new_line(self, value: Any) -> FruitLine:
        return FruitLine(key=value, mass=NEW_FRUIT[self._display.system])

    def _rows(self) -> Mapping[Any, Any]:
        return self._catalogue.fruits

    def _context(self, batch: Batch) -> object:
        return batch.recipe.preparation

    def _make_details(self) -> LineDetails:
        return FruitDetails(self._catalogue, self._display)


class HoneySection(LinesSection):
    """The honey, by weight."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        choice = ChoiceColumn(field="key", label="Honey", choices=Choices(catalogue.honeys))
        columns = (choice, mass_column(HoneyLine))
        prompt = "Add honey: type its name"
        super().__init__("Honey", "honeys", columns, prompt, acts, catalogue, display, self._make_details)

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        every = findings
        for index, line in enumerate(outcome.batch.recipe.honeys):
            row = self._catalogue.honeys.get(line.key)
            every = (*every, *extra_cautions(self._catalogue, row, f"recipe.honeys.{index}", every))
        super().show_outcome(outcome, every)

    def name_of(self, line: HoneyLine) -> str:
        return name_of(self._catalogue.honeys, line.key)

    def _new_line(self, value: Any) -> HoneyLine:
        return HoneyLine(key=value, mass=NEW_HONEY[self._display.system])

    def _rows(self) -> Mapping[Any, Any]:
        return self._catalogue.honeys

    def _make_details(self) -> LineDetails:
        return HoneyDetails(self._catalogue, self._display)
