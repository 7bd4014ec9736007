"""The pH of a must of which none was measured: an estimate from that of its fruit and honey."""

from __future__ import annotations

import numpy as np

from planner.document.batch import Recipe
from planner.model.liquid import Liquid
from planner.model.ph import Sour, ph_of_blend
from planner.model.span import Span
from planner.recipe.must import Must
from planner.recipe.step_feeding import brought
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Fruit, Honey

HONEY_PH = Span(3.4, 3.9, 4.5)
"""[-] White 1962: 3.91, 3.42 to 6.10 in 490 honeys; the end of dark honeydew is left out."""

WATER_PH = Span(7.0, 7.0, 7.0)
"""[-] Pure water; what it buffers is nothing beside the acids."""


def sour_parts(recipe: Recipe, start: Must, catalogue: Catalogue) -> list[Sour]:
    """The juices of a must, and its honey with the water, or the water alone.

    Parameters
    ----------
    recipe : Recipe
        Its fruit and honey. [as its fields]
    start : Must
        What they give. [as its fields]
    catalogue : Catalogue
        The shelf, holding every key of the recipe. [-]

    Returns
    -------
    list of Sour
        Empty where neither fruit nor honey goes in. [as their fields]
    """
    juices = [juice.member(0) for juice in start.juices]
    parts = [
        _juice(juice, catalogue.fruit(line.key))
        for juice, line in zip(juices, recipe.fruits, strict=True)
        if float(juice.mass) > 0.0
    ]
    pressed = sum((juice.masses for juice in juices), np.zeros(len(start.liquid.masses)))
    rest = Liquid(np.maximum(start.liquid.member(0).masses - pressed, 0.0))
    honey = any(line.mass > 0.0 for line in recipe.honeys)
    if honey or (parts and float(rest.mass) > 0.0):
        parts.append(Sour(rest, HONEY_PH if honey else WATER_PH))
    return parts


def step_fed_parts(recipe: Recipe, catalogue: Catalogue) -> list[Sour]:
    """What a recipe adds while it works, with the pH of each.

    Parameters
    ----------
    recipe : Recipe
        Its step feeds. [as its fields]
    catalogue : Catalogue
        The shelf, holding every key of the recipe. [-]
    """
    found = []
    for line in recipe.step_feeds:
        row, (liquid, _) = catalogue.sugary(line.key), brought(line, recipe, catalogue, 0)
        part = liquid.member(0)
        if line.mass > 0.0:
            honey = HONEY_PH if isinstance(row, Honey) else WATER_PH
            found.append(_juice(part, row) if isinstance(row, Fruit) else Sour(part, honey))
    return found


def must_ph(recipe: Recipe, start: Must, catalogue: Catalogue) -> Span | None:
    """pH of a must by the balance of charges.

    Parameters
    ----------
    recipe, start, catalogue
        As those of `sour_parts`. [as there]

    Returns
    -------
    Span or None
        An estimate: a measured one is always better. None where neither fruit nor honey goes in. [-]
    """
    parts = sour_parts(recipe, start, catalogue)
    return ph_of_blend(parts) if parts else None


def _juice(liquid: Liquid, fruit: Fruit) -> Sour:
    """A juice; at either end of its pH it has the acid that goes with it."""
    low, typical, high = fruit.acid
    return Sour(
        liquid, _within(fruit.ph), Span(high / typical, 1.0, low / typical) if typical > 0.0 else Span.exactly(1.0)
    )


def _within(ph: Span) -> Span:
    return Span(*(min(max(value, 2.0), 7.0) for value in ph))
