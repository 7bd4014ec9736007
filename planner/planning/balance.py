"""The equations behind a recipe: which amounts of fruit, juice, honey and water give a wanted must and mead.

Masses add, so that everything wanted becomes a nearly linear equation in the four amounts; a few Newton steps solve it.
The ferment is taken by mass balance: the yeast takes every sugar it can, or stops at the alcohol it bears, or is stopped.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, FruitLine, HoneyLine
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
from planner.recipe import must as musts
from planner.recipe.step_feeding import together
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

_STEPS, _PATIENCE = 14, 3
"""Newton steps from each start, and how many may pass without halving the miss
where another recipe will be tried anyway; what is nearly linear takes four. [-]"""


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


class Parts(msgspec.Struct, frozen=True, eq=False):
    """What a kilogram of each of `AMOUNTS` brings into the must, lines in the proportions of the recipe. [kg/kg]"""

    columns: Mapping[str, Liquid]
    present: Mapping[str, float]  # what the recipe holds now [kg]
    later: Liquid  # what is added while it works: of the mead, not of the must [kg]

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
    return Parts(columns, present, together(batch.recipe, catalogue, 0).member(0))


def ended(must: Liquid, end: End, left: float | Array) -> Liquid:
    """The mead of a must.

    Parameters
    ----------
    must : Liquid
        Shape (components,) or (components, musts). [kg]
    left : float or numpy.ndarray, shape (musts,)
        Share of the sugar left where it does not end dry. [-]
    """
    if end.how == "dry":
        return fully_fermented(must)
    return partly_fermented(must, np.clip(left, 0.0, 1.0) * fermentable(must))


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


class _Mixture:
    """Amounts to be found beside given ones, and what comes of many guesses at once."""

    def __init__(self, brought: Parts, fixed: Mapping[str, float], unknown: tuple[str, ...], end: End) -> None:
        self.unknown, self.end, self.later = unknown, end, brought.later
        self.fixed = {name: float(fixed.get(name, 0.0)) for name in brought.columns}
        self.given = brought.must({name: mass for name, mass in self.fixed.items() if name not in unknown}).masses
        self.each = (
            np.array([brought.columns[name].masses for name in unknown]).reshape(len(unknown), len(self.given)).T
        )

    def amounts(self, x: Array) -> dict[str, float]:
        """All amounts of one guess. [kg]"""
        return self.fixed | {name: float(value) for name, value in zip(self.unknown, x, strict=False)}

    def must(self, x: Array) -> Liquid:
        """The must of one guess, or of each of several, which stand side by side. [kg]"""
        given = self.given if x.ndim == 1 else self.given[:, None]
        return Liquid(given + self.each @ x[: len(self.unknown)])

    def mead(self, must: Liquid, x: Array) -> Liquid:
        """The mead of each, with what is added while it works. [kg]"""
        return ended(must + self.later, self.end, x[-1] if self.end.how != "dry" else 0.0)

    def is_liquid(self, x: Array, size: float) -> bool:
        """Whether amounts, some of which may be negative on the way, still make a liquid that the formulas know."""
        return _is_liquid(self.must(x), size)

    def point(self, x: Array) -> Point:
        """What one guess comes to."""
        must = self.must(x)
        left = float(x[-1]) if self.end.how != "dry" else 0.0
        return Point(self.amounts(x), left, measured(must, self.mead(must, x)))

    def reached(self, x: Array, goals: Mapping[str, float]) -> tuple[Array, Array]:
        """Targets as several guesses reach them, shape (targets, guesses), and what turns a miss of each into a mass.

        As masses, misses are nearly linear in the amounts.
        """
        must = self.must(x)
        mead = self.mead(must, x)
        room, end_room = np.split(volume(Liquid(np.hstack((must.masses, mead.masses)))), 2)
        values, weights = [], []
        for name in goals:
            if name == "volume":
                values.append(room)
                weights.append(np.full_like(room, WATER_DENSITY))
            elif name == "gravity":
                values.append(must.mass / room / WATER_DENSITY)
                weights.append(WATER_DENSITY * room)
            elif name == "alcohol":
                values.append(mead["ethanol"] / ETHANOL_DENSITY / end_room)
                weights.append(ETHANOL_DENSITY * end_room)
            elif name == "finish":
                values.append(mead.mass / end_room / WATER_DENSITY)
                weights.append(WATER_DENSITY * end_room)
            else:
                values.append(titratable_acid(mead))
                weights.append(end_room)
        shape = len(goals), x.shape[1]
        return np.array(values).reshape(shape), np.array(weights).reshape(shape)


def solve(
    brought: Parts,
    fixed: Mapping[str, float],
    unknown: tuple[str, ...],
    wanted: Mapping[str, float],
    end: End,
    patient: bool = False,
) -> Point | None:
    """The amounts that meet as many targets as there are unknowns, whatever their sign.

    Parameters
    ----------
    brought : Parts
        What a kilogram of each amount brings. [kg/kg]
    fixed : mapping of str to float
        Amounts that are given. [kg]
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
    return next(solutions(brought, fixed, unknown, wanted, end, patient), None)


def solutions(
    brought: Parts,
    fixed: Mapping[str, float],
    unknown: tuple[str, ...],
    wanted: Mapping[str, float],
    end: End,
    patient: bool = False,
) -> Iterator[Point]:
    """As `solve`, but what every start leads to: equations may have two answers, of which one cannot be made.

    Parameters
    ----------
    brought, fixed, unknown, wanted, end, patient
        As those of `solve`. [as there]

    Yields
    ------
    Point
        The same answer again where two starts lead to it. [as its fields]
    """
    goals = dict(wanted) | ({"alcohol": end.tolerance} if end.how == "limit" else {})
    with_left = end.how != "dry"
    if len(goals) != len(unknown) + with_left:
        return
    known = sum(fixed.get(name, 0.0) for name in brought.columns)
    size = goals["volume"] * WATER_DENSITY if "volume" in goals else known
    if not size > 0.0:
        return

    mixture = _Mixture(brought, fixed, unknown, end)
    for start in _starts(len(unknown) if patient else 0, len(unknown), size):
        for left in (0.3, 0.05) if with_left and patient else (0.3,):
            x = np.append(start, left) if with_left else start
            found = _newton(x, mixture, goals, size, _STEPS if patient else _PATIENCE)
            if found is not None:
                yield mixture.point(found)


def _starts(tries: int, number: int, size: float) -> Iterator[Array]:
    """Where to begin: even amounts, then much of each in turn, for the odd must whose equations nearly say the same.

    At last far less and far more of all, since a gravity at rest may fall and rise again as a must is thinned.
    """
    yield np.full(number, size / max(number, 1))
    if tries < 1 or number < 1:
        return
    for index in range(number if number > 1 else 0):
        yield size * np.where(np.arange(number) == index, 0.8, 0.2 / (number - 1))
    for factor in (0.2, 5.0):
        yield np.full(number, factor * size / number)


def _newton(x: Array, mixture: _Mixture, goals: Mapping[str, float], size: float, patience: int) -> Array | None:
    """Newton's steps from a start; None if they lead nowhere."""
    wanted = np.array(list(goals.values()))
    enough = np.array([REACHED[name] for name in goals])
    nudges = np.where(np.arange(x.size) < len(mixture.unknown), 1e-5 * size, -1e-5)
    misses: list[float] = []
    for _ in range(_STEPS):
        if not mixture.is_liquid(x, size):
            return None
        # The guess itself, and one with each unknown moved a little, all at once.
        around = np.column_stack((x, x[:, None] + np.diag(nudges))) if x.size else x.reshape(0, 1)
        reached, weights = mixture.reached(around, goals)
        off = (reached - wanted[:, None]) * weights
        misses.append(float(np.abs(off[:, 0]).max(initial=0.0)))
        if not np.isfinite(misses[-1]) or (len(misses) > patience and misses[-1] > 0.5 * misses[-1 - patience]):
            return None
        if np.all(np.abs(reached[:, 0] - wanted) <= enough):
            return x
        jacobian = (off[:, 1:] - off[:, :1]) / nudges
        if x.size == 0 or not np.all(np.isfinite(jacobian)):
            return None
        try:
            move = np.linalg.solve(jacobian, -off[:, 0])
        except np.linalg.LinAlgError:
            return None
        x = _bounded(x, move, mixture, size)
    return None


def _bounded(x: Array, move: Array, mixture: _Mixture, size: float) -> Array:
    """A step that leaves a liquid a liquid and the sugar left between nothing and all."""
    there = x + move
    for _ in range(30):
        there = x + move
        if there.size > len(mixture.unknown):
            there[-1] = np.clip(there[-1], 1e-6, 1.0)
        if mixture.is_liquid(there, size):
            break
        move = 0.5 * move
    return np.asarray(there)


def _is_liquid(must: Liquid, size: float) -> bool:
    """Whether it has water and is not less than nothing."""
    return float(must["water"]) > 1e-3 * size and float(must.mass) > 1e-2 * size and float(must.extract) > -1e-3 * size


def searched(
    brought: Parts, fixed: Mapping[str, float], unknown: tuple[str, ...], wanted: Mapping[str, float], end: End
) -> Point | None:
    """The amounts that meet the targets and can be weighed, where the equations nearly say the same.

    Two apples and their juice differ in nothing: then many amounts will do, and Newton's steps may take one with less
    than nothing of something. This search, slower, stays among the amounts that exist.

    Parameters
    ----------
    brought, fixed, unknown, wanted, end
        As for `solve`. [as there]

    Returns
    -------
    Point or None
        Every target within a tenth of what is promised; None if it finds no such. [as its fields]
    """
    from scipy.optimize import least_squares

    if end.how == "stopped" or not unknown:
        return None
    goals = dict(wanted) | ({"alcohol": end.tolerance} if end.how == "limit" else {})
    left = [0.3] if end.how == "limit" else []  # of the sugar, an unknown too
    known = sum(fixed.get(name, 0.0) for name in brought.columns)
    size = goals["volume"] * WATER_DENSITY if "volume" in goals else max(known, 1e-3)
    near = {"volume": 1e-6, "gravity": 1e-5, "alcohol": 1e-5, "finish": 1e-5, "acid": 1e-3}

    mixture = _Mixture(brought, fixed, unknown, end)
    wants = np.array(list(goals.values()))
    scales = np.array([near[name] * 100.0 if name != "volume" else value * 1e-3 for name, value in goals.items()])
    units = np.array([size] * len(unknown) + [1.0] * len(left))
    nudge = 1e-7

    def off(x: Array) -> Array:
        reached, _ = mixture.reached((x * units)[:, None], goals)
        return np.asarray((reached[:, 0] - wants) / scales)

    def slopes(x: Array) -> Array:
        around = np.column_stack((x, x[:, None] + nudge * np.eye(x.size)))
        reached, _ = mixture.reached(around * units[:, None], goals)
        return np.asarray((reached[:, 1:] - reached[:, :1]) / scales[:, None] / nudge)

    start = np.array([1.0 / (len(unknown) + (known > 0.0))] * len(unknown) + left)
    if not mixture.is_liquid(start * units, size):
        return None
    most = [np.inf] * len(unknown) + [1.0 - nudge] * len(left)
    found = least_squares(off, start, slopes, bounds=(1e-9, most), xtol=1e-14, ftol=1e-14, gtol=1e-14, max_nfev=300)
    best = mixture.point(found.x * units)
    return best if all(abs(best.reached[name] - value) <= near[name] for name, value in goals.items()) else None
