"""Amounts that were worked out, as they can be weighed and measured."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import msgspec

from planner.document.batch import Addition, Batch, FruitLine, HoneyLine
from planner.feeding.nitrogen_feeds import as_weighed

Line = TypeVar("Line", FruitLine, HoneyLine, Addition)

STEPS = ((5.0, 0.001), (50.0, 0.01), (float("inf"), 0.1))
"""Up to which mass in which steps fruit, honey and water are weighed. [kg] Kitchen scales show 1 g up to 5 kg, larger ones
10 g (common practice, no source)."""


def on_the_scale(mass: float) -> float:
    """A mass of fruit, honey or water as a scale shows it; next to nothing stays what it is.

    Parameters
    ----------
    mass : float
        As worked out. [kg]

    Returns
    -------
    float
        In the steps of a scale for so much. [kg]

    Examples
    --------
    >>> on_the_scale(1.4644), on_the_scale(12.3456), on_the_scale(123.456), on_the_scale(0.0002)
    (1.464, 12.35, 123.5, 0.0002)
    """
    step = next(step for most, step in STEPS if mass <= most)
    return round(round(mass / step) * step, 6) if mass >= step else mass


def weighable(batch: Batch, before: Batch) -> Batch:
    """A batch as worked out, with whatever differs from the one before as it can be weighed.

    Returns
    -------
    Batch
        Fruit, honey and water in the steps of a kitchen scale, additions in those of a finer one. [as its fields]
    """
    typed = {line.mass for lines in (before.recipe.fruits, before.recipe.honeys) for line in lines}
    typed |= {line.mass for line in before.adjustment.additions} | {before.recipe.water}

    recipe = msgspec.structs.replace(
        batch.recipe,
        fruits=_shown(batch.recipe.fruits, typed, on_the_scale),
        honeys=_shown(batch.recipe.honeys, typed, on_the_scale),
        water=batch.recipe.water if batch.recipe.water in typed else on_the_scale(batch.recipe.water),
    )
    adjustment = msgspec.structs.replace(batch.adjustment, additions=_shown(batch.adjustment.additions, typed, _finely))
    return msgspec.structs.replace(batch, recipe=recipe, adjustment=adjustment)


def _shown(lines: tuple[Line, ...], typed: set[float], as_shown: Callable[[float], float]) -> tuple[Line, ...]:
    return tuple(
        line if line.mass in typed else msgspec.structs.replace(line, mass=as_shown(line.mass)) for line in lines
    )


def _finely(mass: float) -> float:
    """An addition; what a pocket scale cannot show stays as it is."""
    return as_weighed(mass) or mass
