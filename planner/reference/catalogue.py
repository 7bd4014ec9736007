"""The whole shelf in one value, read once.

Rules by which tables become rows, beside those that stand in the tables themselves:

- Where a source gives a low and a high figure they are the range. Where none does, sugar and sorbitol get
  +-10, 18, 30 or 40 % by the row's confidence A, B, C or D, and acid +-20 %. Confidence A: an official table
  with three analyses or more, or two tables agreeing; B: one good table; C: tables in conflict, or part from
  memory; D: memory or estimate.
- The parts of one fruit come from several laboratories. Where they would exceed the whole, the water gives way.
- Where a table's sugars are printed one by one and another total is better founded, the printed ones only
  divide that total.
- An empty typical value of a pH, a yield or a nitrogen is the middle of its range.
- Yields per whole fruit are spread over the fruit without its refuse, and end at 95 %, or at water and
  dissolved matter together if that is less. Fruit without a figure for enzyme yields the same with it.
- The typical Brix of a juice is the middle between the legal minimum and the customs' average, or whichever
  of the two the table names.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

import msgspec

from planner.reference.fruits import read_fruits
from planner.reference.ingredients import (
    read_additives,
    read_cautions,
    read_honeys,
    read_nutrients,
    read_yeasts,
)
from planner.reference.rows import Additive, Caution, Fruit, Honey, Nutrient, Yeast
from planner.reference.shipped import resources
from planner.reference.sources import Source, read_sources

__all__ = [
    "Additive",
    "Catalogue",
    "Caution",
    "Fruit",
    "Honey",
    "Nutrient",
    "Source",
    "UnknownIngredient",
    "Yeast",
    "catalogue",
    "read_catalogue",
]

DEFAULT_HONEY = "blossom"
"""Key of the honey to plan with when nothing better is known."""

_Row = TypeVar("_Row")


class UnknownIngredient(LookupError):  # noqa: N818  the word says more than "error"
    """The shelf does not hold what was asked for. Its text names it and the closest known ones."""


class Catalogue(msgspec.Struct, frozen=True, eq=False):
    """Everything on the shelf by key. Each lookup raises `UnknownIngredient` for a key that is not there."""

    fruits: Mapping[str, Fruit]
    honeys: Mapping[str, Honey]
    additives: Mapping[str, Additive]
    yeasts: Mapping[str, Yeast]
    nutrients: Mapping[str, Nutrient]
    cautions: Mapping[str, Caution]
    sources: Mapping[str, Source]

    def with_own(
        self,
        sources: Mapping[str, Source],
        *,
        fruits: Mapping[str, Fruit] = MappingProxyType({}),
        honeys: Mapping[str, Honey] = MappingProxyType({}),
        additives: Mapping[str, Additive] = MappingProxyType({}),
        yeasts: Mapping[str, Yeast] = MappingProxyType({}),
        nutrients: Mapping[str, Nutrient] = MappingProxyType({}),
    ) -> Catalogue:
        """The same shelf with more rows, or others in the place of those with the same key.

        `planner.reference.own_rows.shelf_with` makes the rows from a person's own values.
        """
        return msgspec.structs.replace(
            self,
            fruits=MappingProxyType({**self.fruits, **fruits}),
            honeys=MappingProxyType({**self.honeys, **honeys}),
            additives=MappingProxyType({**self.additives, **additives}),
            yeasts=MappingProxyType({**self.yeasts, **yeasts}),
            nutrients=MappingProxyType({**self.nutrients, **nutrients}),
            sources=sources,
        )

    def fruit(self, key: str) -> Fruit:
        """The fruit of that key."""
        return _find(self.fruits, key, "fruit")

    def honey(self, key: str) -> Honey:
        """The honey of that key."""
        return _find(self.honeys, key, "honey")

    def additive(self, key: str) -> Additive:
        """The additive of that key."""
        return _find(self.additives, key, "additive")

    def yeast(self, key: str) -> Yeast:
        """The yeast of that key."""
        return _find(self.yeasts, key, "yeast")

    def nutrient(self, key: str) -> Nutrient:
        """The nutrient of that key."""
        return _find(self.nutrients, key, "nutrient")

    def sugary(self, key: str) -> Honey | Fruit | Additive:
        """The honey, fruit (for its juice) or additive of that key, for what is added while a must works."""
        for rows in (self.honeys, self.fruits):
            if key in rows:
                found: Honey | Fruit = rows[key]
                return found
        return _find(self.additives, key, "honey, juice or sugar")

    def caution(self, key: str) -> Caution:
        """The caution of that key."""
        return _find(self.cautions, key, "caution")

    def source(self, key: str) -> Source:
        """The source of that key."""
        return _find(self.sources, key, "source")


def _find(rows: Mapping[str, _Row], key: str, kind: str) -> _Row:
    try:
        return rows[key]
    except KeyError:
        import difflib

        close = difflib.get_close_matches(key, rows, n=3, cutoff=0.5)
        advice = f"Did you mean {' or '.join(close)}?" if close else f"Known are: {', '.join(sorted(rows))}."
        raise UnknownIngredient(f"The shelf holds no {kind} '{key}'. {advice}") from None


def read_catalogue(folder: Path) -> Catalogue:
    """The shelf as a folder holds it.

    Parameters
    ----------
    folder : pathlib.Path
        With `sources.csv`, `cautions.csv` and the folder `tables`.

    Returns
    -------
    Catalogue

    Raises
    ------
    planner.reference.tables.TableError
        A file is damaged; the text names file, row and column.
    """
    tables = folder / "tables"
    sources = read_sources(folder / "sources.csv")
    cautions = read_cautions(folder / "cautions.csv", sources)
    return Catalogue(
        fruits=MappingProxyType(read_fruits(tables, sources, cautions)),
        honeys=MappingProxyType(read_honeys(tables / "honeys.csv", sources, cautions)),
        additives=MappingProxyType(read_additives(tables, sources, cautions)),
        yeasts=MappingProxyType(read_yeasts(tables / "yeasts.csv", sources, cautions)),
        nutrients=MappingProxyType(read_nutrients(tables / "nutrients.csv", sources)),
        cautions=MappingProxyType(cautions),
        sources=MappingProxyType(dict(sources)),
    )


@cache
def catalogue() -> Catalogue:
    """The shelf that comes with the program, read at the first call."""
    return read_catalogue(resources())
