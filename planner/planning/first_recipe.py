"""A first recipe from a harvest alone: the honey for a strength, and water only where the juice is too sour to drink."""

from __future__ import annotations

from collections.abc import Iterable

from planner.document import edits
from planner.document.batch import Batch, FruitLine, HoneyLine, Wish
from planner.model.kinetics import NORMAL_PITCH
from planner.planning.rounding import weighable
from planner.planning.solve import solve_wish
from planner.reference.catalogue import Catalogue

SOUR = 12.0
"""Acid as tartaric of a must above which most find the mead too sharp. [kg/m^3] Common practice, no source."""

PLEASANT = 10.0
"""Acid as tartaric to which such a must is thinned. [kg/m^3] Common practice, no source."""


def first_recipe(batch: Batch, catalogue: Catalogue, fruits: Iterable[FruitLine], honey: str, alcohol: float) -> Batch:
    """Make a recipe of what was picked.

    Parameters
    ----------
    batch : Batch
        An empty one. [as its fields]
    alcohol : float
        Strength that is wanted. [m^3/m^3]

    Returns
    -------
    Batch
        With amounts as a scale shows them; with no honey where the fruit alone is stronger. [as its fields]
    """
    fruits = tuple(fruits)
    names = [catalogue.fruit(line.key).name for line in fruits]
    begun = edits.change_recipe(
        edits.describe(batch, name=" and ".join(names)),
        fruits=fruits,
        honeys=(HoneyLine(key=honey, mass=0.0),),
    )
    answer = solve_wish(begun, catalogue, Wish(left_open=("honey",), alcohol=alcohol))
    if answer.reached.get("acid", 0.0) > SOUR:
        thinned = solve_wish(begun, catalogue, Wish(left_open=("honey", "water"), alcohol=alcohol, acid=PLEASANT))
        answer = thinned if thinned.kind == "solved" else answer
    if answer.kind != "solved" or answer.batch is None:
        return begun
    made = weighable(answer.batch, begun)
    return edits.change_yeast(made, pitch=_as_weighed(NORMAL_PITCH * answer.reached["volume"]))


def _as_weighed(pitch: float) -> float:
    """Dry yeast in half grams, as sachets are shared out. [kg]"""
    return max(round(pitch / 0.5e-3), 1) * 0.5e-3
