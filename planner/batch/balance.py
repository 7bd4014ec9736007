"""The equations behind a recipe: which amounts of fruit, juice, honey and water give a wanted must and mead.

Masses add, so that everything wanted becomes a nearly linear equation in the four amounts; a few Newton steps solve it.
The ferment is taken by mass balance: the yeast takes every sugar it can, or stops at the alcohol it bears, or is stopped.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.batch import must as musts
from planner.batch.batch import Batch, FruitLine, HoneyLine
from planner.model.constants import ETHANOL_DENSITY
from planner.model.fermentation import fully_fermented, partly_fermented
from planner.model.liquid import (
    WATER_DENSITY,
    Liquid,
    alcohol,
    fermentable,
    gravity,
    titratable_acid,
    volume,
)
from planner.reference.catalogue import Catalogue

Array = npt.NDArray[np.float64]

AMOUNTS = ("fruit", "juice", "honey", "water")
"""What a must is made of."""

TARGETS = ("volume", "gravity", "alcohol", "finish", "acid")
"""What may be wanted of it: of the must the volume [m^3] and the gravity [-], of the mead the alcohol [m^3/m^3], the
gravity [-] and the titratable acid as tartaric [kg/m^3]."""

REACHED = {"volume": 1e-6, "gravity": 2e-6, "alcohol": 2e-6, "finish": 2e-6, "acid": 1e-4}
"""How near a target counts as reached. [as the target]"""

SEEN = {"volume": 0.5e-3, "gravity": 0.002, "alcohol": 0.002, "finish": 0.002, "acid": 0.3}
"""A difference worth a word, by which misses of several targets are compared. [as the target] Estimate; a volume is
compared by a fortieth of itself where that is more."""

_STEPS = 40


class End(NamedTuple):
    """How the ferment ends."""

    how: str  # "dry", "limit" (the yeast's) or "stopped" (on purpose)
    tolerance: float  # alcohol that the yeast bears, for "limit" [m^3/m^3]


class Point(NamedTuple):
    """A recipe in the solver's terms.

    Attributes
    ----------
    amounts : dict of str to float
        Of `AMOUNTS`. [kg]
    left : float
        Share of the sugar that is left. [-]
    reached : dict of str to float
        Every target as it comes out. [as the target]
    """

    amounts: dict[str, float]
    left: float
    reached: dict[str, float]


@dataclass(frozen=True, eq=False, slots=True)
class Parts:
    """What a kilogram of each of `AMOUNTS` brings into the must, lines in the proportions of the recipe. [kg/kg]"""

    columns: Mapping[str, Liquid]
    present: Mapping[str, float]  # what the recipe holds now [kg]

    def must(self, amounts: Mapping[str, float]) -> Liquid:
        """The must of these amounts [kg]; amounts of what the recipe has no line of count as nothing. [kg]"""
        masses = sum(column.masses * amounts.get(name, 0.0) for name, column in self.columns.items())
        return Liquid(np.asarray(masses))


def groups(batch: Batch) -> dict[str, tuple[FruitLine | HoneyLine, ...]]:
    """The lines of a recipe that are scaled together: fruit, juice, honey. [as their fields]"""
    fruits = batch.recipe.fruits
    return {
        "fruit": tuple(line for line in fruits if not line.as_juice),
        "juice": tuple(line for line in fruits if line.as_juice),
        "honey": batch.recipe.honeys,
    }


def shares(lines: tuple[FruitLine | HoneyLine, ...]) -> list[float]:
    """Share of each line in its group; equal ones where none is weighed yet. [-]"""
    total = sum(line.mass for line in lines)
    return [line.mass / total if total > 0.0 else 1.0 / len(lines) for line in lines]


def parts(batch: Batch, catalogue: Catalogue) -> Parts:
    """What each group of a recipe brings, typical.

    Parameters
    ----------
    batch : Batch
        Lines, their proportions, and the preparation of the fruit. [as its fields]
    catalogue : Catalogue
        The shelf. [-]

    Raises
    ------
    UnknownIngredient
        A key that the catalogue does not hold.
    """
    columns: dict[str, Liquid] = {"water": Liquid.of(water=1.0)}
    present = {"water": batch.recipe.water}
    for name, lines in groups(batch).items():
        if not lines:
            continue
        column = Liquid.of(water=0.0)
        for line, share in zip(lines, shares(lines), strict=True):
            one = msgspec.structs.replace(line, mass=1.0)
            if isinstance(one, FruitLine):
                brought, _ = musts.juice(one, catalogue.fruit(one.key), batch.recipe.preparation, 0)
            else:
                brought, _ = musts.honey(one, catalogue.honey(one.key), 0)
            column = column + brought.member(0) * share
        columns[name] = column
        present[name] = sum(line.mass for line in lines)
    return Parts(columns, present)


def ended(must: Liquid, end: End, left: float) -> Liquid:
    """The mead of a must.

    Parameters
    ----------
    must : Liquid
        Shape (components,). [kg]
    end : End
        How the ferment ends. [as its fields]
    left : float
        Share of the sugar left where it does not end dry. [-]
    """
    if end.how == "dry":
        return fully_fermented(must)
    return partly_fermented(must, float(np.clip(left, 0.0, 1.0)) * fermentable(must))


def measured(must: Liquid, mead: Liquid) -> dict[str, float]:
    """Every one of `TARGETS` as a must and its mead have it. [as the target]

    Parameters
    ----------
    must, mead : Liquid
        Shape (components,). [kg]
    """
    return {
        "volume": float(volume(must)),
        "gravity": float(gravity(must)),
        "alcohol": float(alcohol(mead)),
        "finish": float(gravity(mead)),
        "acid": float(titratable_acid(mead)),
    }


def _equations(must: Liquid, mead: Liquid, wanted: Mapping[str, float]) -> list[float]:
    """One number for each target that is nothing when it is reached: masses, so that amounts enter nearly linearly."""
    room, end_room = float(volume(must)), float(volume(mead))
    made = {
        "volume": lambda v: (room - v) * WATER_DENSITY,
        "gravity": lambda g: float(must.mass) - g * WATER_DENSITY * room,
        "alcohol": lambda a: float(mead["ethanol"]) - a * ETHANOL_DENSITY * end_room,
        "finish": lambda g: float(mead.mass) - g * WATER_DENSITY * end_room,
        "acid": lambda c: (float(titratable_acid(mead)) - c) * end_room,
    }
    return [made[name](value) for name, value in wanted.items()]


def solve(
    brought: Parts, fixed: Mapping[str, float], unknown: tuple[str, ...], wanted: Mapping[str, float], end: End
) -> Point | None:
    """The amounts that meet as many targets as there are unknowns, whatever their sign.

    Parameters
    ----------
    brought : Parts
        What a kilogram of each amount brings. [kg/kg]
    fixed : mapping of str to float
        Amounts that are given. [kg]
    unknown : tuple of str
        Amounts to be found. [-]
    wanted : mapping of str to float
        Targets, as many as unknowns. [as the target]
    end : End
        How the ferment ends; "limit" adds one equation and "stopped" takes two targets, for the sugar left is an
        unknown too. [as its fields]

    Returns
    -------
    Point or None
        None where the equations have no answer, or none that the steps can find. [as its fields]
    """
    goals = dict(wanted) | ({"alcohol": end.tolerance} if end.how == "limit" else {})
    with_left = end.how != "dry"
    if len(goals) != len(unknown) + with_left:
        return None
    known = sum(fixed.get(name, 0.0) for name in brought.columns)
    size = goals["volume"] * WATER_DENSITY if "volume" in goals else known
    if not size > 0.0:
        return None
    x = np.full(len(unknown) + with_left, size / max(len(unknown), 1))
    if with_left:
        x[-1] = 0.3

    def at(x: Array) -> tuple[dict[str, float], Liquid, Liquid]:
        amounts = {name: float(fixed.get(name, 0.0)) for name in brought.columns}
        amounts |= {name: float(value) for name, value in zip(unknown, x, strict=False)}
        must = brought.must(amounts)
        return amounts, must, ended(must, end, float(x[-1]) if with_left else 0.0)

    for _ in range(_STEPS):
        amounts, must, mead = at(x)
        off = np.array(_equations(must, mead, goals))
        if not np.all(np.isfinite(off)):
            return None
        reached = measured(must, mead)
        if all(abs(reached[name] - value) <= REACHED[name] for name, value in goals.items()):
            return Point(amounts, float(x[-1]) if with_left else 0.0, reached)
        steps = np.where(np.arange(x.size) < len(unknown), 1e-5 * size, -1e-5)
        slopes = []
        for index, step in enumerate(steps):
            moved = x.copy()
            moved[index] += step
            _, must_there, mead_there = at(moved)
            slopes.append((np.array(_equations(must_there, mead_there, goals)) - off) / step)
        jacobian = np.array(slopes).T
        if x.size == 0 or not np.all(np.isfinite(jacobian)) or abs(np.linalg.det(jacobian / size)) < 1e-300:
            return None
        try:
            move = np.linalg.solve(jacobian, -off)
        except np.linalg.LinAlgError:
            return None
        x = _bounded(x, move, len(unknown), brought, fixed, unknown, size)
    return None


def _bounded(
    x: Array,
    move: Array,
    masses: int,
    brought: Parts,
    fixed: Mapping[str, float],
    unknown: tuple[str, ...],
    size: float,
) -> Array:
    """A step that leaves a liquid a liquid and the sugar left between nothing and all."""
    for _ in range(30):
        there = x + move
        amounts = dict(fixed) | {name: float(value) for name, value in zip(unknown, there, strict=False)}
        must = brought.must(amounts)
        if float(must["water"]) > 1e-3 * size and float(must.mass) > 1e-2 * size and float(must.extract) > -1e-3 * size:
            break
        move = 0.5 * move
    if there.size > masses:
        there[-1] = np.clip(there[-1], 1e-6, 1.0)
    return np.asarray(there)
