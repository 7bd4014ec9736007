"""Makes rows of the shelf from a person's own values and the rows that they are copies of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import msgspec

from planner.model.components import COMPONENTS
from planner.model.span import Span
from planner.reference.catalogue import Catalogue, UnknownIngredient
from planner.reference.own import (
    Own,
    OwnAdditive,
    OwnFruit,
    OwnHoney,
    OwnIngredients,
    OwnNutrient,
    OwnValueError,
    OwnYeast,
)
from planner.reference.rows import Additive, Fruit, Honey, Nutrient, Yeast, dissolved
from planner.reference.sources import Source
from planner.reference.status import Status

OWN_SOURCE = Source("own", "Your own value", "Your own value, measured or from a datasheet.", "", "status")
"""What stands for the source of a value that the person entered."""

LEAST_WATER = 0.01
"""Water that flesh must have left beside what is dissolved in it. [kg/kg]"""


def row_of(own: Own, catalogue: Catalogue) -> Any:
    """The row of the shelf that an own row stands for.

    Parameters
    ----------
    own : Own
        The person's values.
    catalogue : Catalogue
        The shelf with the row it is a copy of.

    Returns
    -------
    Fruit, Honey, Additive, Yeast or Nutrient
        Marked with `Status.OWN` where values are the person's own.

    Raises
    ------
    OwnValueError
        The shelf does not hold the row it is a copy of, or the values cannot be together in one ingredient.
    """
    base = getattr(catalogue, own.KIND).get(own.based_on)
    if base is None:
        raise OwnValueError(f"{own.name}: the shelf does not hold {own.based_on!r}, of which it is a copy.")
    made = _MAKERS[type(own)](own, base)
    marked: dict[str, Any] = {"key": own.key, "name": own.name}
    if own.own_fields:
        marked["sources"] = tuple(dict.fromkeys((OWN_SOURCE.key, *base.sources)))
    if own.note and hasattr(base, "note"):
        marked["note"] = own.note
    return msgspec.structs.replace(made, **marked)


def _spans(own: Own, *fields: str) -> dict[str, Span]:
    """The own values among these fields."""
    return {field: Span(*getattr(own, field)) for field in fields if getattr(own, field) is not None}


def _numbers(own: Own, *fields: str) -> dict[str, float]:
    return {field: getattr(own, field) for field in fields if getattr(own, field) is not None}


def _fruit(own: OwnFruit, base: Fruit) -> Fruit:
    values = _spans(own, "sugar", "acid", "sorbitol", "ph", "nitrogen", "yield_fresh", "yield_enzyme")
    row = msgspec.structs.replace(base, **values, **_numbers(own, "stone"))
    # What is dissolved more or less than in the copied flesh leaves less or more room for water.
    water = base.water + base.soluble - dissolved(
        row.sugar.typical, row.sorbitol.typical, row.acid.typical + row.bound_acid, row.protein
    )  # fmt: skip
    if water < LEAST_WATER:
        raise OwnValueError(
            f"{own.name}: sugars, sorbitol and acid together leave no water in the flesh. "
            f"Together they can be at most {base.water + base.soluble - LEAST_WATER:.0%}."
        )
    if row.yield_enzyme.typical < row.yield_fresh.typical:
        raise OwnValueError(f"{own.name}: with enzyme there cannot be less juice than as pressed.")
    fields = own.own_fields
    changes: dict[str, Any] = {"water": min(water, 1.0)}
    if fields & {"sugar", "sorbitol"}:
        changes |= {"status": Status.OWN, "brix_low": None, "brix_typical": None}
    for field, status in (("acid", "acid_status"), ("ph", "ph_status"), ("nitrogen", "nitrogen_status")):
        if field in fields:
            changes[status] = Status.OWN
    if fields & {"yield_fresh", "yield_enzyme", "stone"}:
        changes["yield_status"] = Status.OWN
    return msgspec.structs.replace(row, **changes)


def _honey(own: OwnHoney, base: Honey) -> Honey:
    values = _spans(own, "moisture", "fermentable", "nitrogen")
    row = msgspec.structs.replace(base, **values)
    # The parts of a honey are stated at its typical moisture: drier honey holds more of each.
    solids = (1.0 - row.moisture.typical) / (1.0 - base.moisture.typical)
    parts = ("fructose", "glucose", "sucrose", "disaccharides", "higher_sugars", "acid", "ash_protein", "undetermined")
    row = msgspec.structs.replace(row, **{part: getattr(base, part) * solids for part in parts})
    if own.fermentable is None:
        row = msgspec.structs.replace(row, fermentable=base.fermentable.scaled(solids))
    if row.fermentable.typical > 1.0 - row.moisture.typical:
        raise OwnValueError(
            f"{own.name}: fermentable sugar and moisture come to {row.fermentable.typical + row.moisture.typical:.0%}; they can be at most 100 %."
        )
    return msgspec.structs.replace(row, status=Status.OWN) if own.own_fields else row


def _additive(own: OwnAdditive, base: Additive) -> Additive:
    row = msgspec.structs.replace(base, **_numbers(own, "teaspoon", "ceiling"))
    changes: dict[str, Any] = {}
    if own.density is not None:
        changes |= {"density": own.density, "liquid": True}
    if own.ceiling is not None:
        changes["ceiling_note"] = OWN_SOURCE.title
    if own.composition is not None:
        whole = sum(share for _, share in own.composition)
        composition = tuple((key, share / whole) for key, share in own.composition)
        hexose = sum(share * COMPONENTS[key].hexose for key, share in composition)
        # What was known of the copied composition's solubility does not hold for another.
        changes |= {
            "composition": composition,
            "solubility_cold": None,
            "cold_ceilings": (),
            "fermentable_note": f"Yeast can ferment {hexose:.0%} of it."
            if hexose > 0.0
            else "Yeast will not ferment it.",
        }
    if own.own_fields:
        changes["status"] = Status.OWN
    return msgspec.structs.replace(row, **changes)


def _yeast(own: OwnYeast, base: Yeast) -> Yeast:
    numbers = _numbers(own, "t_low", "t_best", "t_high", "demand", "lag", "maltose")
    row = msgspec.structs.replace(base, **_spans(own, "tolerance", "vigour"), **numbers)
    if not row.t_low <= row.t_best <= row.t_high:
        raise OwnValueError(
            f"{own.name}: the temperatures {row.t_low - 273.15:.0f}, {row.t_best - 273.15:.0f} and "
            f"{row.t_high - 273.15:.0f} °C do not rise from the lowest over the best to the highest."
        )
    return msgspec.structs.replace(row, status=Status.OWN) if own.own_fields else row


def _nutrient(own: OwnNutrient, base: Nutrient) -> Nutrient:
    row = msgspec.structs.replace(base, **_spans(own, "nitrogen"), **_numbers(own, "ceiling"))
    if own.ceiling is not None:
        row = msgspec.structs.replace(row, ceiling_note=OWN_SOURCE.title)
    return msgspec.structs.replace(row, status=Status.OWN) if own.own_fields else row


_MAKERS: Mapping[type[Own], Callable[[Any, Any], Any]] = MappingProxyType(
    {OwnFruit: _fruit, OwnHoney: _honey, OwnAdditive: _additive, OwnYeast: _yeast, OwnNutrient: _nutrient}
)


@lru_cache(maxsize=16)
def shelf_with(catalogue: Catalogue, own: OwnIngredients) -> Catalogue:
    """The shelf with a person's own rows.

    Parameters
    ----------
    catalogue : Catalogue
        The shelf that comes with the program.
    own : OwnIngredients
        Own rows; one that cannot be made is left out, see `impossible`.

    Returns
    -------
    Catalogue
        The same object where there are none.
    """
    made: dict[str, dict[str, Any]] = {}
    for row in own.rows():
        try:
            made.setdefault(row.KIND, {})[row.key] = row_of(row, catalogue)
        except OwnValueError:
            continue  # `impossible` says so where the person reads it
    return catalogue.with_own({**catalogue.sources, OWN_SOURCE.key: OWN_SOURCE}, **made) if own else catalogue


def impossible(catalogue: Catalogue, own: OwnIngredients) -> tuple[str, ...]:
    """Why own rows cannot be used, one sentence for each that cannot."""
    found = []
    for row in own.rows():
        try:
            row_of(row, catalogue)
        except OwnValueError as problem:
            found.append(str(problem))
    return tuple(found)


def new_key(name: str, kind: str, catalogue: Catalogue, own: OwnIngredients) -> str:
    """A key for a new own row, which nothing on the shelf has, of whatever kind: what is added while it works has no kind.

    Raises
    ------
    UnknownIngredient
        There is no such kind.
    """
    if not hasattr(own, kind):
        raise UnknownIngredient(f"There is no kind of ingredient {kind!r}.")
    plain = "-".join("".join(c if c.isalnum() else " " for c in name.casefold()).split())[:60]
    stem = f"own-{plain or 'ingredient'}"
    shelf = (catalogue.fruits, catalogue.honeys, catalogue.yeasts, catalogue.nutrients, catalogue.additives)
    taken = {*(key for rows in shelf for key in rows), *(row.key for row in own.rows())}
    return next(key for key in (stem, *(f"{stem}-{n}" for n in range(2, 10_000))) if key not in taken)
