"""What else would help: which one ingredient more would let wishes be met that those allowed cannot meet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from planner.adjusting.dose import Bound, find, sensible
from planner.document.batch import Addition
from planner.model.liquid import Liquid
from planner.reference.catalogue import Catalogue

MOST_NAMED = 3
"""Ingredients that are named. [-] More is no help."""


def helpers(
    base: Liquid,
    wanted: Sequence[Bound],
    allowed: Sequence[str],
    others: Iterable[str],
    catalogue: Catalogue,
    lines: Mapping[str, Addition] | None = None,
    least: Mapping[str, float] | None = None,
) -> tuple[str, ...]:
    """Ingredients each of which alone, besides those allowed, would let every wish be met.

    Parameters
    ----------
    base, wanted, allowed, catalogue, lines, least
        As those of `dose.find`. [as there]

    Returns
    -------
    tuple of str
        Keys, the one with which least is added first; at most `MOST_NAMED`.

    Raises
    ------
    UnknownIngredient
        A key that the shelf does not hold.
    """
    reached = []
    for key in sensible([key for key in others if key not in allowed], wanted, catalogue):
        found = find(base, wanted, [*allowed, key], catalogue, lines, least=least)
        if found.is_reached:
            reached.append((found.mass, key))
    return tuple(key for _, key in sorted(reached)[:MOST_NAMED])
