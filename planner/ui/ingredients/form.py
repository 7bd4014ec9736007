"""The values of one own ingredient as fields in the reader's units; an empty field leaves the value of the shelf."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, NamedTuple

from PySide6.QtWidgets import QGridLayout, QWidget

from planner.adjusting.additions import ethanol_share
from planner.model.components import COMPONENTS
from planner.model.span import Span
from planner.reference.own import Own, OwnAdditive, OwnValueError, Quantity
from planner.reference.rows import Additive
from planner.ui.display import Display
from planner.ui.entry import read_fraction
from planner.ui.ingredients.sheet import footing_of
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import CommitLine, QuantityField, TextField
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import small
from planner.units import Kind, System

_BOTH = {System.METRIC: "", System.US: ""}
_HEADINGS = ("", "typically", "from", "to")
_USUAL = ("water", "glucose", "fructose", "sucrose", "maltose", "maltodextrin_medium", "glycerol", "ethanol", "citric", "malic", "other")  # fmt: skip
"""Substances that a label or datasheet may name, offered besides those of the copied row."""


_VOLUME = re.compile(r"vol|abv|v/v", re.IGNORECASE)
"""By which a strength on a label says that it is by volume."""


class _How(NamedTuple):
    """How a quantity is typed: kind of field, fixed unit, and the factor from SI to what stands in the field."""

    kind: Kind
    unit: str = ""
    factor: float = 1.0
    behind: str = ""


_FIELDS = {
    "share": _How(Kind.FRACTION),
    "strength": _How(Kind.STRENGTH),
    "mg/L": _How(Kind.CONCENTRATION, "mg/L"),
    "g/L": _How(Kind.CONCENTRATION, "g/L"),
    "kg/m3": _How(Kind.CONCENTRATION, "g/L"),
    "mg/g": _How(Kind.NUMBER, "", 1e3, ", mg per g"),
    "g": _How(Kind.MASS, "g"),
    "temperature": _How(Kind.TEMPERATURE),
    "": _How(Kind.NUMBER),
}


class ValueField(QuantityField):
    """A number that may be left to the shelf, whose value then stands dim in its place. Speaks SI."""

    def __init__(
        self, quantity: Quantity, display: Display, words: Callable[[str], float | None] = lambda _text: None
    ) -> None:
        self._how = _FIELDS[quantity.unit]
        low, high = quantity.low * self._how.factor, quantity.high * self._how.factor
        units = dict.fromkeys(_BOTH, self._how.unit) if self._how.unit else None
        super().__init__(self._how.kind, low=low, high=high, units=units, optional=True, words=words, display=display)

    @property
    def value(self) -> float | None:
        """The own value; None where it is left to the shelf. [SI]"""
        return None if self.si is None else self.si / self._how.factor

    def show_own(self, value: float | None, of_shelf: float | None) -> None:
        """Show an own value, or that of the shelf in its place."""
        self.show_si(None if value is None else value * self._how.factor)
        shown = (
            ""
            if of_shelf is None
            else self._display.text(of_shelf * self._how.factor, self._how.kind, self._how.unit or None)
        )
        self.setPlaceholderText(shown)


class IngredientForm(QWidget):
    """All values of one kind of ingredient. `make` gives the row; impossible values raise `OwnValueError`."""

    def __init__(self, own: Own, base: Any, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._own, self._base, self._display = own, base, display
        self.fields: dict[str, tuple[ValueField, ...]] = {}
        self._fills = False
        self.parts: dict[str, ValueField] = {}
        """Shares of an additive by substance."""
        self.name, self.note = TextField(), TextField()
        self.name.setAccessibleName("Name")
        self.note.setAccessibleName("Where the values are from")
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        self._add_text("Name", self.name, own.name)
        self._add_text("Values from", self.note, own.note)
        if any(quantity.spread for quantity in own.QUANTITIES):
            self._add_headings()
        for quantity in own.QUANTITIES:
            self._add_quantity(quantity)
        if isinstance(own, OwnAdditive):
            self._add_parts(own, base)
        self._grid.setRowStretch(self._grid.rowCount(), 1)
        self._begun = self._made()

    @property
    def is_changed(self) -> bool:
        """Whether something was typed that is not kept yet."""
        return any(field.is_pending for field in self._every()) or self._made() != self._begun

    def _made(self) -> Own | None:
        try:
            return self.make()
        except OwnValueError:
            return None

    def make(self) -> Own:
        """The row as it stands in the fields. Raises `OwnValueError`."""
        own = self._own
        values: dict[str, Any] = {"key": own.key, "name": self.name.text().strip(), "based_on": own.based_on,
                                  "note": self.note.text().strip()}  # fmt: skip
        for quantity in own.QUANTITIES:
            values[quantity.field] = self._value_of(quantity)
        if isinstance(own, OwnAdditive):
            values["composition"] = self._composition()
        return type(own)(**values)

    def accept(self) -> bool:
        """Take what was typed in every field; False if one refuses, and then it says why."""
        refused = [field for field in self._every() if not field.accept()]  # every one is asked, so that each says why
        return not refused

    def refusals(self) -> tuple[str, ...]:
        """Why fields refuse what stands in them, each beginning with the name of its field."""
        return tuple(field.refusal for field in self._every() if field.problem_text)

    def _every(self) -> tuple[CommitLine, ...]:
        spans = (field for fields in self.fields.values() for field in fields)
        return (self.name, self.note, *spans, *self.parts.values())

    def set_display(self, display: Display) -> None:
        """Other units."""
        for field in (*(f for fields in self.fields.values() for f in fields), *self.parts.values()):
            field.set_display(display)

    def _value_of(self, quantity: Quantity) -> Any:
        """The own value; of a spread that is given in part, the rest is the typical value."""
        values = [field.value for field in self.fields[quantity.field]]
        if not quantity.spread or values[0] is None:
            if quantity.spread and any(value is not None for value in values):
                given = [value for value in values if value is not None]
                return (min(given), sum(given) / len(given), max(given))
            return values[0]
        typical, low, high = values
        return (typical if low is None else low, typical, typical if high is None else high)

    def _composition(self) -> tuple[tuple[str, float], ...] | None:
        """The parts, if they are others than those of the shelf."""
        shares = tuple((key, field.value) for key, field in self.parts.items() if field.value)
        known = {key: share for key, share in self._base.composition if share > 0.0}
        return None if dict(shares) == known else shares

    def _add_text(self, caption: str, field: TextField, text: str) -> None:
        row = self._grid.rowCount()
        label = Label(caption)
        label.setBuddy(field)
        field.show_text(text)
        self._grid.addWidget(label, row, 0)
        self._grid.addWidget(field, row, 1, 1, 3)

    def _add_headings(self) -> None:
        row = self._grid.rowCount()
        for column, text in enumerate(_HEADINGS):
            label = Label(text)
            label.setFont(small(label.font()))
            set_tone(label, "dim")
            self._grid.addWidget(label, row, column)

    def _add_quantity(self, quantity: Quantity) -> None:
        row = self._grid.rowCount()
        begin = quantity.label if quantity.label.startswith("pH") else quantity.label[0].upper() + quantity.label[1:]
        caption = begin + _FIELDS[quantity.unit].behind
        own, shelf = (_three(getattr(of, quantity.field), quantity.spread) for of in (self._own, self._base))
        own = (
            own[0],
            *(None if bound == own[0] else bound for bound in own[1:]),
        )  # an empty bound is the typical value
        fields = tuple(ValueField(quantity, self._display) for _ in own)
        label = Label(caption)
        label.setWordWrap(True)
        label.setBuddy(fields[0])
        self._grid.addWidget(label, row, 0)
        footing = footing_of(self._base, quantity.field).label
        for column, (field, value, of_shelf) in enumerate(zip(fields, own, shelf, strict=True), start=1):
            field.setAccessibleName(f"{caption}, {_HEADINGS[column]}" if quantity.spread else caption)
            field.set_hint(f"Your own value; leave it empty for that of the shelf, which is {footing}.")
            field.show_own(value, of_shelf)
            self._grid.addWidget(field, row, column)
        self.fields[quantity.field] = fields

    def _add_parts(self, own: OwnAdditive, base: Additive) -> None:
        shares = dict(base.composition if own.composition is None else own.composition)
        row = self._grid.rowCount()
        heading = Label("What it is made of, 100 % together")
        heading.setFont(small(heading.font()))
        set_tone(heading, "dim")
        self._grid.addWidget(heading, row, 0, 1, 4)
        for key in dict.fromkeys((*shares, *_USUAL)):
            row = self._grid.rowCount()
            name = COMPONENTS[key].name
            quantity = Quantity(key, name.lower(), "share", 0.0, 1.0, spread=False)
            if key == "ethanol":
                field = ValueField(quantity, self._display, self._by_volume)
                field.set_hint("By mass, such as 33.3 %, or by volume as on the label, such as 40 % vol.")
                field.committed.connect(self._fill_up)
            else:
                field = ValueField(quantity, self._display)
            field.setAccessibleName(name)
            field.show_own(shares.get(key), None)
            self._grid.addWidget(Label(name), row, 0)
            self._grid.addWidget(field, row, 1)
            self.parts[key] = field

    def _others(self) -> dict[str, float]:
        """What there is beside alcohol and water."""
        return {
            key: field.value for key, field in self.parts.items() if field.value and key not in ("water", "ethanol")
        }

    def _by_volume(self, text: str) -> float | None:
        """The share by mass of a strength by volume, "60 % vol"; None for any other text."""
        self._fills = bool(_VOLUME.search(text))
        if not self._fills:
            return None
        return ethanol_share(read_fraction(text, self._display.locale, Kind.STRENGTH), self._others())

    def _fill_up(self, share: float | None) -> None:
        """With a strength from a label, water is the rest."""
        if self._fills and share is not None:
            self.parts["water"].show_own(max(1.0 - share - sum(self._others().values()), 0.0), None)


def _three(value: Any, spread: bool) -> tuple[float | None, ...]:
    """Typical, low and high, or the one number there is."""
    if not spread:
        return (value,)
    if value is None:
        return (None, None, None)
    low, typical, high = Span(*value)
    return (typical, low, high)
