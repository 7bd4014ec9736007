"""A person's own ingredients: rows of the shelf with values of their own, as they stand in files.

An own row names the row of the shelf that it is a copy of, and holds only what differs. Every value in it is marked as
the person's own; all others keep their sources.
"""

# Annotations are not postponed here: the reader of files asks for all of them, and has to compile each that is a text.
import math
from typing import Any, ClassVar, Self

import msgspec

from planner.model.components import COMPONENTS

Three = tuple[float, float, float]
"""Low, typical and high, as in a `Span`."""

LONGEST_NAME = 80
MOST_MISSED = 1e-3
"""How far the parts of an additive may miss the whole. [kg/kg] A label prints whole per mille at best."""


class OwnValueError(ValueError):
    """An own value is impossible; the text names ingredient and value, and says what is accepted."""


class Quantity(msgspec.Struct, frozen=True):
    """A value that can be a person's own."""

    field: str
    label: str
    unit: str  # how it is told and typed: a key of `_TOLD`
    low: float  # [SI]
    high: float  # [SI]
    spread: bool = True  # whether it has a low and a high besides the typical value


def _ceiling(high: float) -> Quantity:
    """A legal or own limit of an ingredient, up to a sensible most. [kg/m^3]"""
    return Quantity("ceiling", "most that is allowed", "g/L", 0.0, high, spread=False)


_TOLD: dict[str, tuple[float, float, str]] = {
    # unit: factor, offset and what stands behind the number
    "share": (100.0, 0.0, " %"),
    "strength": (100.0, 0.0, " % vol"),
    "mg/L": (1e3, 0.0, " mg/L"),
    "g/L": (1.0, 0.0, " g/L"),
    "kg/m3": (1.0, 0.0, " kg/m³"),
    "mg/g": (1e3, 0.0, " mg/g"),
    "g": (1e3, 0.0, " g"),
    "temperature": (1.0, -273.15, " °C"),
    "": (1.0, 0.0, ""),
}


def told(value: float, unit: str) -> str:
    """A value in the unit of its label.

    Parameters
    ----------
    value : float
        [SI]
    """
    factor, offset, behind = _TOLD[unit]
    return f"{round(value * factor + offset, 6):g}{behind}"


class Own(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What all own rows have. Impossible values raise `OwnValueError` when a row is made or read."""

    key: str
    name: str
    based_on: str
    """Key of the row of the shelf it is a copy of."""
    note: str = ""
    """Where the person has the values from."""

    QUANTITIES: ClassVar[tuple[Quantity, ...]] = ()
    KIND: ClassVar[str] = ""

    def __post_init__(self) -> None:
        if not self.name.strip() or len(self.name) > LONGEST_NAME:
            raise OwnValueError(f"The name of an ingredient has 1 to {LONGEST_NAME} characters.")
        if not self.key or len(self.key) > LONGEST_NAME:
            raise OwnValueError(f"{self.name}, key: expected 1 to {LONGEST_NAME} characters.")
        for quantity in self.QUANTITIES:
            value = getattr(self, quantity.field)
            if value is not None:
                _check(self.name, quantity, value if quantity.spread else (value,))

    @property
    def own_fields(self) -> frozenset[str]:
        """The values that are the person's own."""
        return frozenset(q.field for q in self.QUANTITIES if getattr(self, q.field) is not None)


def _check(name: str, quantity: Quantity, values: tuple[float, ...]) -> None:
    low, high = told(quantity.low, quantity.unit), told(quantity.high, quantity.unit)
    for value in values:
        if not quantity.low <= value <= quantity.high:
            shown = told(value, quantity.unit) if math.isfinite(value) else "what is not a finite number"
            raise OwnValueError(f"{name}, {quantity.label}: {shown} is impossible. From {low} to {high} is accepted.")
    if list(values) != sorted(values):
        shown = ", ".join(told(value, quantity.unit) for value in values)
        raise OwnValueError(f"{name}, {quantity.label}: {shown} do not rise from the least to the most.")


def _as(name: str) -> Any:
    return msgspec.field(name=name, default=None)


class OwnFruit(Own, frozen=True, kw_only=True):
    """A fruit with values of the person's own."""

    sugar: Three | None = _as("sugar_fraction")
    acid: Three | None = _as("titratable_acid_fraction")
    sorbitol: Three | None = _as("sorbitol_fraction")
    ph: Three | None = _as("juice_ph")
    nitrogen: Three | None = _as("juice_nitrogen_kg_per_m3")
    yield_fresh: Three | None = _as("juice_pressed_fraction")
    yield_enzyme: Three | None = _as("juice_with_enzyme_fraction")
    stone: float | None = _as("stones_and_stems_fraction")

    KIND: ClassVar[str] = "fruits"
    QUANTITIES: ClassVar[tuple[Quantity, ...]] = (
        Quantity("sugar", "sugars of the flesh", "share", 0.0, 1.0),
        Quantity("acid", "acid of the flesh", "share", 0.0, 0.3),
        Quantity("sorbitol", "sorbitol of the flesh", "share", 0.0, 0.5),
        Quantity("ph", "pH of the juice", "", 1.0, 8.0),
        Quantity("nitrogen", "nitrogen of the juice", "mg/L", 0.0, 5.0),
        Quantity("yield_fresh", "juice as pressed", "share", 0.0, 1.0),
        Quantity("yield_enzyme", "juice with enzyme", "share", 0.0, 1.0),
        Quantity("stone", "stones and stems", "share", 0.0, 0.9, spread=False),
    )


class OwnHoney(Own, frozen=True, kw_only=True):
    """A honey with values of the person's own."""

    moisture: Three | None = _as("moisture_fraction")
    fermentable: Three | None = _as("fermentable_hexose_fraction")
    nitrogen: Three | None = _as("assimilable_nitrogen_fraction")

    KIND: ClassVar[str] = "honeys"
    QUANTITIES: ClassVar[tuple[Quantity, ...]] = (
        Quantity("moisture", "moisture", "share", 0.05, 0.5),
        Quantity("fermentable", "fermentable sugar", "share", 0.3, 0.95),
        Quantity("nitrogen", "nitrogen for yeast", "mg/g", 0.0, 0.01),
    )


class OwnAdditive(Own, frozen=True, kw_only=True):
    """An additive with values of the person's own, such as a syrup or a powder from its datasheet."""

    composition: tuple[tuple[str, float], ...] | None = _as("composition_fraction")
    density: float | None = _as("density_kg_per_m3")
    teaspoon: float | None = _as("level_teaspoon_kg")
    ceiling: float | None = _as("most_allowed_kg_per_m3")

    KIND: ClassVar[str] = "additives"
    QUANTITIES: ClassVar[tuple[Quantity, ...]] = (
        Quantity("density", "density", "kg/m3", 700.0, 1700.0, spread=False),
        Quantity("teaspoon", "level teaspoon", "g", 1e-4, 0.02, spread=False),
        _ceiling(1000.0),
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.composition is None:
            return
        for key, share in self.composition:
            if key not in COMPONENTS:
                raise OwnValueError(f"{self.name}: {key!r} is not a substance that is known here.")
            _check(self.name, Quantity("", COMPONENTS[key].name.lower(), "share", 0.0, 1.0), (share,))
        keys = [key for key, _ in self.composition]
        whole = sum(share for _, share in self.composition)
        if len(set(keys)) < len(keys):
            raise OwnValueError(f"{self.name}, composition: a substance stands there twice.")
        if abs(whole - 1.0) > MOST_MISSED:
            raise OwnValueError(f"{self.name}, composition: the parts come to {whole:.1%}; they must come to 100 %.")

    @property
    def own_fields(self) -> frozenset[str]:
        """The values that are the person's own."""
        return super().own_fields | ({"composition"} if self.composition is not None else set())


class OwnYeast(Own, frozen=True, kw_only=True):
    """A yeast from its datasheet."""

    tolerance: Three | None = _as("alcohol_tolerance_volume_fraction")
    t_low: float | None = _as("works_from_k")
    t_best: float | None = _as("works_best_at_k")
    t_high: float | None = _as("works_up_to_k")
    demand: float | None = _as("nitrogen_per_sugar_fraction")
    vigour: Three | None = _as("vigour_fraction")
    lag: float | None = _as("lag_fraction")
    maltose: float | None = _as("maltose_taken_fraction")

    KIND: ClassVar[str] = "yeasts"
    QUANTITIES: ClassVar[tuple[Quantity, ...]] = (
        Quantity("tolerance", "alcohol tolerance", "strength", 0.02, 0.25),
        Quantity("t_low", "works from", "temperature", 273.15, 308.15, spread=False),
        Quantity("t_best", "works best at", "temperature", 278.15, 313.15, spread=False),
        Quantity("t_high", "works up to", "temperature", 278.15, 318.15, spread=False),
        Quantity("demand", "nitrogen it needs per gram of sugar", "mg/g", 0.0, 0.003, spread=False),
        Quantity("vigour", "vigour, 1 for an average yeast", "", 0.2, 4.0),
        Quantity("lag", "time to wake, 1 for an average yeast", "", 0.2, 5.0, spread=False),
        Quantity("maltose", "maltose it takes", "share", 0.0, 1.0, spread=False),
    )


class OwnNutrient(Own, frozen=True, kw_only=True):
    """A nutrient from its datasheet."""

    nitrogen: Three | None = _as("assimilable_nitrogen_fraction")
    ceiling: float | None = _as("most_allowed_kg_per_m3")

    KIND: ClassVar[str] = "nutrients"
    QUANTITIES: ClassVar[tuple[Quantity, ...]] = (
        Quantity("nitrogen", "nitrogen for yeast", "share", 0.0, 0.5),
        _ceiling(100.0),
    )


KINDS: tuple[type[Own], ...] = (OwnFruit, OwnHoney, OwnYeast, OwnNutrient, OwnAdditive)


class OwnIngredients(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """All own rows of a person, or those that travel inside a batch. Within a kind no key stands twice."""

    fruits: tuple[OwnFruit, ...] = ()
    honeys: tuple[OwnHoney, ...] = ()
    additives: tuple[OwnAdditive, ...] = ()
    yeasts: tuple[OwnYeast, ...] = ()
    nutrients: tuple[OwnNutrient, ...] = ()

    def __post_init__(self) -> None:
        for kind in KINDS:
            keys = [row.key for row in getattr(self, kind.KIND)]
            for key in keys:
                if keys.count(key) > 1:
                    raise OwnValueError(f"Of the own {kind.KIND}, {key!r} stands there twice.")

    def __bool__(self) -> bool:
        return any(getattr(self, kind.KIND) for kind in KINDS)

    def rows(self) -> tuple[Own, ...]:
        """Every row, kind by kind."""
        return tuple(row for kind in KINDS for row in getattr(self, kind.KIND))

    def find(self, kind: str, key: str) -> Own | None:
        """The row of a kind, such as "fruits", with a key; None if there is none."""
        return next((row for row in getattr(self, kind) if row.key == key), None)

    def having(self, row: Own) -> Self:
        """With a row, in the place of one with its key if there is one."""
        return msgspec.structs.replace(self, **{row.KIND: (*self._others(row), row)})

    def lacking(self, row: Own) -> Self:
        """Without the row of that kind and key."""
        return msgspec.structs.replace(self, **{row.KIND: self._others(row)})

    def _others(self, row: Own) -> tuple[Own, ...]:
        """The rows of its kind with other keys."""
        return tuple(other for other in getattr(self, row.KIND) if other.key != row.key)


FORMAT, SCHEMA = "fruit-mead-planner/ingredients", 1


class OwnFileError(ValueError):
    """The file of own ingredients cannot be used; the text says where and why."""


class _Envelope(msgspec.Struct, forbid_unknown_fields=True):
    format: str
    schema: int
    own: OwnIngredients


def encode_own(own: OwnIngredients) -> bytes:
    """The content of `ingredients.json`: UTF-8 JSON, sorted and indented."""
    return msgspec.json.format(msgspec.json.encode(_Envelope(FORMAT, SCHEMA, own), order="sorted"), indent=2) + b"\n"


def decode_own(data: bytes) -> OwnIngredients:
    """The own ingredients in a file.

    Raises
    ------
    OwnFileError
        It is no such file, it is newer than this program, or holds something impossible.
    """
    try:
        read = msgspec.json.decode(data, type=_Envelope)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as failure:
        raise OwnFileError(f"The file of your own ingredients cannot be read: {failure}.") from failure
    if read.format != FORMAT or read.schema != SCHEMA:
        raise OwnFileError(
            f"This program cannot read this file of own ingredients. Its format is {read.format!r} and its schema "
            f"{read.schema}; expected are {FORMAT!r} and {SCHEMA}."
        )
    return read.own
