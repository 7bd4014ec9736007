"""What is stirred into the finished mead: a line for each ingredient, and an empty last line that adds one."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape
from math import floor, log10

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.adjusting.additions import density_of
from planner.adjusting.mead import AdditionEffect, Mead
from planner.adjusting.solubility import CELLAR, COLD, dissolves
from planner.adjusting.stabilisation import Treatment, treatment
from planner.document.batch import Addition
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive
from planner.ui.adjust.weighing import Fermenting, effect_text, fermenting, fermenting_text
from planner.ui.display import SPACE, Display
from planner.ui.entry import EntryError, read
from planner.ui.ingredients.sheet import sheet
from planner.ui.widgets.fields import ChoiceField, QuantityField
from planner.ui.widgets.lines import ChoiceColumn, Column, LineEditor, QuantityColumn
from planner.ui.widgets.remarks import of_place
from planner.units import Kind, System, scale
from planner.wording.finding import Finding, note, warning
from planner.wording.phrases import literal

FIRST_DOSE = {
    "sweetener": 5.0,
    "body": 10.0,
    "acid": 0.5,
    "deacidifier": 0.5,
    "enzyme": 0.03,
    "tannin": 0.1,
    "flavour": 1.0,
    "liquid": 20.0,
    "stabiliser": 0.1,
}
"""Dose with which a new line begins. [kg/m^3] About the least that a taster notices, by the steps of the model."""

ASSUMED_VOLUME = 0.010
"""Volume to dose a new line for as long as none is known. [m^3] Estimate: a small batch."""

USUAL_STRENGTH = 0.12
"""Alcohol taken for solubilities as long as none is known. [m^3/m^3] A usual mead."""

NEAR = 0.4
"""Share of what stays dissolved in the cold from which a line says so. [-] A choice of the layout."""

MOST = 1e5
"""Largest mass of a line that a batch holds. [kg]"""

_PROMPT = "Add an ingredient …"
_PLACE = "adjustment.additions"
_GROUPS = (
    ("sweetener", "Sweeteners"),
    ("body", "Body"),
    ("acid", "Acids"),
    ("deacidifier", "Less acid"),
    ("enzyme", "Enzymes"),
    ("tannin", "Tannin"),
    ("flavour", "Flavour"),
    ("liquid", "Liquids"),
    ("stabiliser", "Stabilisers"),
)
_MIGHT_FERMENT = ("sweetener", "body")
"""Groups of which one asks what yeast does with them; that it leaves an acid or a spirit is no news."""
_GRAMS_PER_LITRE = {System.METRIC: "g/L", System.US: "g/L"}
_OPENS_LIST = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)
_FLAGS = Qt.ItemDataRole.UserRole - 1
"""The role under which an item of a combo box keeps what can be done with it."""


class IngredientChoice(ChoiceField):
    """A choice among the additives, grouped by what they are for."""

    def __init__(self, choices: tuple[tuple[object, str], ...], parent: QWidget | None = None) -> None:
        super().__init__(choices, parent)

    def set_choices(self, choices: Iterable[tuple[object, str]]) -> None:
        super().set_choices(choices)
        for index in range(self.count()):
            if not isinstance(self.itemData(index), str):
                font = self.font()
                font.setBold(True)
                self.setItemData(index, font, Qt.ItemDataRole.FontRole)
                self.setItemData(index, 0, _FLAGS)

    def show_key(self, key: object) -> None:
        super().show_key(key)
        known = key is None or self.currentIndex() >= 0
        self.setPlaceholderText(_PROMPT if known else f"“{key}” is not on the shelf")

    def showPopup(self) -> None:
        view = self.view()
        view.setMinimumWidth(view.sizeHintForColumn(0) + view.verticalScrollBar().sizeHint().width())
        super().showPopup()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        # While nothing is chosen, a key would choose at once what it happens to hit, and so add a line.
        if self.currentIndex() < 0 and (event.key() in _OPENS_LIST or event.text().isalnum()):
            self.showPopup()
            if event.text().isalnum():
                self.view().keyboardSearch(event.text())  # the list is open now, and would miss its first letter
            event.accept()
        else:
            super().keyPressEvent(event)


class AmountField(QuantityField):
    """A mass, which of a liquid may be typed by volume. `density` is that of the liquid [kg/m^3], None for a solid."""

    density: float | None = None

    def _read(self, text: str) -> float | None:
        try:
            return super()._read(text)
        except EntryError as refusal:
            if self.density is None:
                raise
            try:
                room = read(text, Kind.VOLUME, self._display.locale, "mL")
            except EntryError:
                raise refusal from None
        return self._in_range(room * self.density, text)


class DoseField(QuantityField):
    """Grams per litre in either system, no finer than a dose is thought of."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(
            Kind.CONCENTRATION, high=1000.0, units=_GRAMS_PER_LITRE, placeholder="g/L", display=display, parent=parent
        )
        self.set_hint("Dose per volume of the mead before the additions. Entering a dose sets the amount.")

    def _written(self, value: object) -> str:
        if not isinstance(value, float):
            return ""
        number = self._display.number(value, 1 if value >= 9.995 else 2, trim=True)
        return f"{number}{SPACE}g/L"


class IngredientColumn(ChoiceColumn, frozen=True, kw_only=True):
    """Which ingredient a line is of; asks at each new line what is on the shelf then."""

    offered: Callable[[], tuple[tuple[object, str], ...]]

    def make(self, display: Display) -> ChoiceField:  # noqa: ARG002  a choice has no units
        return IngredientChoice(self.offered())


class AmountColumn(QuantityColumn, frozen=True, kw_only=True):
    """How much of an ingredient; `density` tells that of a line that is a liquid. [kg/m^3]"""

    density: Callable[[Addition], float | None]

    def make(self, display: Display) -> QuantityField:
        return AmountField(self.kind, high=self.high, display=display)

    def show(self, cell: QWidget, line: object) -> None:
        assert isinstance(cell, AmountField)
        assert isinstance(line, Addition)
        cell.density = self.density(line)
        cell.set_hint("" if cell.density is None else "By weight, or by volume.")
        super().show(cell, line)


class DoseColumn(QuantityColumn, frozen=True, kw_only=True):
    """How much of it per volume of the mead; tells and sets the mass."""

    volume: Callable[[], float | None]

    def make(self, display: Display) -> QuantityField:
        return DoseField(display)

    def show(self, cell: QWidget, line: object) -> None:
        assert isinstance(cell, QuantityField)
        assert isinstance(line, Addition)
        volume = self.volume()
        cell.setEnabled(volume is not None)
        cell.show_si(line.mass / volume if volume else None)

    def changes(self, value: object) -> dict[str, object]:
        volume = self.volume()
        return {"mass": value * volume} if isinstance(value, float) and volume else {}


class Additions(QWidget):
    """All lines, with what each does to the mead, what yeast does with it, and its cautions.

    Signals: `added` with the key of an ingredient; `changed` with the index of a line and the fields edited;
    `removed` with the index of a line.
    """

    added = Signal(object)
    changed = Signal(int, object)
    removed = Signal(int)

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._catalogue, self._display = catalogue, display
        self._volume: float | None = None
        self._outcome: Outcome | None = None
        self._dose = DoseColumn(
            field="dose", label="Dose", kind=Kind.CONCENTRATION, below=True, volume=self._known_volume
        )
        self._columns: tuple[Column, ...] = (
            IngredientColumn(field="key", label="Ingredient", choices=(), search=False, offered=self._offered),
            AmountColumn(
                field="mass",
                label="Amount",
                kind=Kind.MASS,
                high=MOST,
                below=True,
                density=self._density_of,
            ),
            self._dose,
        )
        self.editor = LineEditor(self._columns, prompt="Add an ingredient", display=display, name=self._name_of)
        self.editor.added.connect(self.added)
        self.editor.changed.connect(self.changed)
        self.editor.removed.connect(self.removed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.editor)

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return [*(part for row in self.editor.rows for part in row.chain()), self.editor.empty]

    def set_catalogue(self, catalogue: Catalogue) -> None:
        """Another shelf, such as one with the person's own ingredients."""
        self._catalogue = catalogue
        for cell in (*(row.cells[0] for row in self.editor.rows), self.editor.empty):
            if isinstance(cell, ChoiceField):
                cell.set_choices(self._offered())

    def _offered(self) -> tuple[tuple[object, str], ...]:
        return _choices(self._catalogue)

    def show_additions(self, additions: tuple[Addition, ...], volume: float | None) -> None:
        """Show these additions to a mead of that volume [m^3]."""
        self.editor.show_lines(additions)
        self._show_volume(volume)
        self._show_effects()

    def show_outcome(self, outcome: Outcome, volume: float | None) -> None:
        """Show what each addition does, and what is to be said about it."""
        self._outcome = outcome
        self._show_volume(volume)
        self._show_effects()

    def restore(self) -> None:
        """Show the lines as they are, where an entry was refused."""
        for row in self.editor.rows:
            for column, cell in zip(self._columns, row.cells, strict=True):
                column.show(cell, row.line)

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.editor.set_display(display)
        self._show_effects()

    def _density_of(self, line: Addition) -> float | None:
        row = self._catalogue.additives.get(line.key)
        return density_of(row, line) if row is not None and row.liquid else None

    def _known_volume(self) -> float | None:
        return self._volume

    def _show_volume(self, volume: float | None) -> None:
        """The doses that go with the masses in that volume."""
        if volume != self._volume:
            self._volume = volume
            for row in self.editor.rows:
                self._dose.show(row.cells[-1], row.line)

    def _show_effects(self) -> None:
        """What is known of each line; the last word on a line stays until there is a newer one."""
        outcome = self._outcome
        if outcome is None:
            return
        worked, mead = outcome.batch.adjustment, outcome.mead
        texts: list[str] = []
        findings: list[Finding] = []
        for index, (row, line) in enumerate(zip(self.editor.rows, self.editor.lines, strict=True)):
            assert isinstance(line, Addition)
            row.cells[0].setToolTip(self._provenance(line.key))
            known = worked.additions[index] if index < len(worked.additions) else None
            if known is None or known.key != line.key:
                texts.append("")
                continue
            additive = self._catalogue.additives.get(line.key)
            if mead is None or additive is None:
                texts.append("")
            else:
                effect = mead.effects[index]
                texts.append(self._told(effect, additive, mead))
                findings += _marks(effect, additive, treatment(outcome.batch, mead) is Treatment.DONE)
            findings += of_place(outcome.findings, f"{_PLACE}.{index}")
        self.editor.show_beneath(texts)
        self.editor.show_findings(findings, _PLACE)

    def _told(self, effect: AdditionEffect, row: Additive, mead: Mead) -> str:
        text = effect_text(effect, row, mead.before, self._display)
        limit = dissolves(row, mead.after.alcohol.typical)
        if limit is not None and effect.mass / mead.after.volume.typical > NEAR * limit.cold:
            text += f"; about {self._display.grams_per_litre(limit.cold)} stay dissolved at {self._display.temperature(COLD, 0)}"
        kind = fermenting(effect)
        tells = kind == Fermenting.LEFT and row.group in _MIGHT_FERMENT
        return f"{text}; {fermenting_text(kind, False)}" if tells else text

    def _name_of(self, line: Addition) -> str:
        row = self._catalogue.additives.get(line.key)
        return row.name if row is not None else line.key

    def _provenance(self, key: str) -> str:
        """Where what is known of an ingredient comes from."""
        row = self._catalogue.additives.get(key)
        if row is None:
            return ""
        return sheet(row, self._catalogue, self._display) + self._solubility(row) + self._cautioned(row)

    def _cautioned(self, row: Additive) -> str:
        """What its cautions rest on."""
        known = [self._catalogue.cautions[key] for key in row.cautions if key in self._catalogue.cautions]
        cited = [(one.title, " ".join(self._catalogue.source(key).citation for key in one.sources)) for one in known]
        listed = "".join(f"<li>{escape(f'{title}: {text}')}</li>" for title, text in cited)
        return f"<p>Its cautions rest on:</p><ul>{listed}</ul>" if listed else ""

    def _solubility(self, row: Additive) -> str:
        mead = self._outcome.mead if self._outcome else None
        limit, display = dissolves(row, mead.after.alcohol.typical if mead else USUAL_STRENGTH), self._display
        if limit is None:
            return ""
        warm = f", {display.grams_per_litre(limit.cellar)} at {display.temperature(CELLAR, 0)}" if limit.cellar else ""
        cold = f"{display.grams_per_litre(limit.cold)} stay dissolved at {display.temperature(COLD, 0)}"
        return f"<p>{escape(f'In this mead about {cold}{warm}: an estimate.')}</p>"


def _marks(effect: AdditionEffect, row: Additive, stabilised: bool) -> tuple[Finding, ...]:
    """The mark of an ingredient that yeast can take: a warning, and a mere note where yeast is kept from working."""
    kind = fermenting(effect)
    if kind == Fermenting.LEFT:
        return ()
    part = "" if kind == Fermenting.TAKEN else f" {row.fermentable_note}"
    word = fermenting_text(kind, stabilised).capitalize()
    say = note if stabilised else warning
    return (say(f"{_PLACE}.{effect.index}", literal(f"{word}.{part}")),)


def first_mass(group: str, volume: float | None, display: Display | None = None) -> float:
    """Mass with which a new line begins: near the first dose, and round in the unit in which it is shown. [kg]"""
    mass = FIRST_DOSE.get(group, FIRST_DOSE["sweetener"]) * (volume or ASSUMED_VOLUME)
    unit = (display or Display()).unit_for(mass, Kind.MASS)
    assert unit is not None, "masses have units"
    if unit.origin == "metric":
        return round(mass, 1 - floor(log10(mass)))
    shown = scale(unit.key).shown(mass)
    return scale(unit.key).si(round(shown, 1 - floor(log10(shown))))


def _choices(catalogue: Catalogue) -> tuple[tuple[object, str], ...]:
    """The additives under the headings of their groups, which are no choices."""
    listed: list[tuple[object, str]] = []
    for group, title in _GROUPS:
        listed.append((("heading", group), title))
        listed += [(row.key, row.name) for row in catalogue.additives.values() if row.group == group]
    return tuple(listed)
