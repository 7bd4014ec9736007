"""The pH of a must of which none was measured: an estimate from that of its fruit and honey."""

from __future__ import annotations

import msgspec
import numpy as np

from planner.document.batch import Recipe
from planner.model.liquid import Liquid, titratable_acid, volume
from planner.model.ph import Sour, ph_of_blend
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.must import Must, with_acid
from planner.recipe.step_feeding import brought
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Fruit, Honey

PAIRED = 0.7
"""How closely the titratable acid of a fruit goes with a low pH, from lot to lot: their correlation. [-] Estimate: ripening moves
both, and the tables pair the ends of one with those of the other; potassium moves the pH alone."""

FARTHEST = 2.0
"""Half widths of its range by which one of them, measured, moves the other at most. [-] Estimate: beyond, no pairing was seen."""

WATER_PH = Span(7.0, 7.0, 7.0)
"""[-] Pure water; what it buffers is nothing beside the acids."""


def sour_parts(recipe: Recipe, start: Must, catalogue: Catalogue) -> list[Sour]:
    """The juices of a must, and its honey with the water, or the water alone.

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
    honeys = [(line.mass, catalogue.honey(line.key).ph) for line in recipe.honeys if line.mass > 0.0]
    if honeys or (parts and float(rest.mass) > 0.0):
        parts.append(Sour(rest, _mean(honeys) if honeys else WATER_PH))
    return parts


def _mean(honeys: list[tuple[float, Span]]) -> Span:
    """pH of several honeys together, by their masses: they buffer about alike."""
    masses, phs = [mass for mass, _ in honeys], [ph for _, ph in honeys]
    return Span(*np.average(phs, axis=0, weights=masses).tolist())


def step_fed_parts(recipe: Recipe, catalogue: Catalogue) -> list[Sour]:
    """What a recipe adds while it works, with the pH of each."""
    found = []
    for line in recipe.step_feeds:
        row, (liquid, _) = catalogue.sugary(line.key), brought(line, recipe, catalogue, 0)
        part = liquid.member(0)
        if line.mass > 0.0:
            honey = row.ph if isinstance(row, Honey) else WATER_PH
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


def as_measured(start: Must, recipe: Recipe, catalogue: Catalogue, ph: Span | None, acid: Span | None) -> Must:
    """The must with the pH and the titratable acid that were measured of it. Where one was, it moves the estimate of the other.

    Parameters
    ----------
    recipe, catalogue
        As those of `sour_parts`. [as there]
    ph : Span or None
        Measured. [-]
    acid : Span or None
        Titratable acid, measured outside of whole fruit. [kg/m^3, as tartaric]

    Returns
    -------
    Must
        With a pH wherever something in it is sour. What whole fruit holds stays as the recipe says. [as its fields]
    """
    estimate, free = must_ph(recipe, start, catalogue), start.free()
    found = titratable_acid(free)
    share, kept = _acid_range(recipe, start, catalogue), float(np.sqrt(1.0 - PAIRED**2))
    wanted = None
    if acid is not None:
        wanted = acid.at(scores("log/acid", found.size - 1), 0.0)
        if ph is None and estimate is not None and found[0] > 0.0:
            typical = _moved(estimate, -_steps(acid.typical / float(found[0]), share))
            ends = (kept * (end - estimate.typical) for end in (estimate.low, estimate.high))
            estimate = _within(Span(*sorted((typical, *(typical + end for end in ends)))))
    elif ph is not None and estimate is not None:
        typical = float(found[0]) * _moved(share, -_steps(ph.typical, estimate))
        wanted = np.maximum(typical + kept * (found - found[0]), 0.0)
    liquid = start.liquid if wanted is None else start.liquid + with_acid(free, wanted) + free * -1.0
    return msgspec.structs.replace(start, liquid=liquid, ph=ph or estimate)


def _acid_range(recipe: Recipe, start: Must, catalogue: Catalogue) -> Span:
    """What the acid of a must may be by the lots of its fruit, as a factor of the typical one. [-]"""
    whole = float(titratable_acid(start.liquid.member(0)) * volume(start.liquid.member(0)))
    below = above = 0.0
    for juice, line in zip(start.juices, recipe.fruits, strict=True):
        part, (low, typical, high) = juice.member(0), catalogue.fruit(line.key).acid
        if typical > 0.0 and whole > 0.0 and float(part.mass) > 0.0:
            weight = float(titratable_acid(part) * volume(part)) / whole
            below, above = (
                np.hypot(below, weight * (1.0 - low / typical)),
                np.hypot(above, weight * (high / typical - 1.0)),
            )
    return Span(1.0 - float(below), 1.0, 1.0 + float(above))


def _steps(value: float, of: Span) -> float:
    """How far a value lies from the typical one, in half widths of its range. [-]"""
    wide = of.high - of.typical if value > of.typical else of.typical - of.low
    return float(np.clip((value - of.typical) / wide, -FARTHEST, FARTHEST)) if wide > 0.0 else 0.0


def _moved(span: Span, steps: float) -> float:
    """What is typical of one where the other lies so many half widths from its own. [as the span]"""
    wide = span.high - span.typical if steps > 0.0 else span.typical - span.low
    return span.typical + PAIRED * steps * wide


def _juice(liquid: Liquid, fruit: Fruit) -> Sour:
    """A juice; at either end of its pH it has the acid that goes with it."""
    low, typical, high = fruit.acid
    return Sour(
        liquid, _within(fruit.ph), Span(high / typical, 1.0, low / typical) if typical > 0.0 else Span.exactly(1.0)
    )


def _within(ph: Span) -> Span:
    return Span(*(min(max(value, 2.0), 7.0) for value in ph))
