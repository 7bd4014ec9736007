"""Find the dose: the smallest additions that reach what is wanted, or the limit that stands in the way.

Concentrations after stirring in are very nearly linear in what is stirred in, so the search is a short series of
linear programmes, each about the last result, within a step that shrinks. Targets are elastic: where they cannot all be
met, the answer misses them by as few just-noticeable steps as possible, and the limits that held it back are named.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.additions import liquid_of, stirred
from planner.adjusting.solubility import dissolves
from planner.document.batch import Addition
from planner.model.liquid import (
    Liquid,
    alcohol,
    fermentable_concentration,
    gravity,
    titratable_acid,
    volume,
)
from planner.model.sweetness import ACID_STEP, sucrose_equivalent
from planner.model.sweetness import STEP as SWEETNESS_STEP
from planner.model.viscosity import STEP as BODY_STEP
from planner.model.viscosity import viscosity
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive

Array = npt.NDArray[np.float64]

STEPS = {
    "sweetness": SWEETNESS_STEP,
    "viscosity": BODY_STEP,
    "acid": ACID_STEP,
    "gravity": 0.001,
    "alcohol": 0.01,
    "fermentable": 2.0,
    "volume": 1e-4,
}
"""What can be wanted, and the step by which a miss of it is weighed: the least that tasters notice, or a mark of the
instrument. [kg/m^3], [Pa s], [kg/m^3], [-], [m^3/m^3], [kg/m^3], [m^3]"""

CLOSE = 0.01
"""Share of a step by which a target may be missed and still count as met. [-]"""

MOST = 300.0
"""Largest dose of one additive that is tried. [kg/m^3] Beyond it the model of body and sweetness was not tried."""

_THINS = 1.5
"""How many times as much as its volume alone an ingredient must do to something that is too much, to count as its remedy. [-] Any
powder thins what it is stirred into; nobody wants less acid by kilograms of it."""

_MISS = 1e4  # a miss of one step costs more than any dose: targets come first
_ROUNDS = 40
_SHRUNK = 1e-7


class Bound(msgspec.Struct, frozen=True):
    """A wish or limit: a property, and between which values it shall lie; None where it may be anything.

    `what` is a key of `STEPS`, or "dose:" with the key of an additive for its dose per finished mead.
    Values are SI, as in `planner.adjusting.mead.Properties`.
    """

    what: str
    low: float | None = None
    high: float | None = None
    reason: str = ""
    """Where a limit comes from, in words; empty for a wish of the user's."""


class Miss(msgspec.Struct, frozen=True):
    """A wish that cannot be had: wanted and reached, as the property. [as `Bound`]"""

    what: str
    wanted: float
    reached: float
    steps: float
    """By how many just-noticeable steps. [-]"""


class Found(msgspec.Struct, frozen=True):
    """The smallest doses.

    Attributes
    ----------
    additions : tuple of Addition
        Those with a mass, in the order in which they were allowed. [kg]
    values : dict of str to float
        What the mead would then be. [as `Bound`]
    missed : tuple of Miss
        Wishes that cannot be met; empty if all are.
    binding : tuple of Bound
        Limits and wishes that hold the doses where they are: eased, they would let the rest be met with less.
    """

    additions: tuple[Addition, ...]
    values: dict[str, float]
    missed: tuple[Miss, ...]
    binding: tuple[Bound, ...]

    @property
    def is_reached(self) -> bool:
        """Whether every wish is met."""
        return not self.missed

    @property
    def mass(self) -> float:
        """Of all additions. [kg]"""
        return sum(addition.mass for addition in self.additions)


def forward(base: Liquid, rows: Sequence[Additive], masses: Array, lines: Sequence[Addition | None] = ()) -> Liquid:
    """The mead with so much of each additive, for many choices at once.

    Parameters
    ----------
    base : Liquid
        One mead, shape (components,). [kg]
    masses : numpy.ndarray, shape (n, m)
        How much, for each of m choices. [kg]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    mixed = Liquid(np.repeat(base.masses[:, None], masses.shape[1], axis=1))
    for place, row in enumerate(rows):
        one = liquid_of(row, 1.0, lines[place] if lines else None)
        mixed = stirred(mixed, row, masses[place], Liquid(one.masses[:, None] * masses[place]))
    return mixed


def values_of(liquid: Liquid, keys: Sequence[str], masses: Mapping[str, Array]) -> dict[str, Array]:
    """The properties that bounds speak of.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    masses : mapping of str to numpy.ndarray
        What was stirred in, by additive. [kg]

    Returns
    -------
    dict of str to numpy.ndarray, shape (m,)
        In SI. [as `Bound`]
    """
    compute = {
        "sweetness": sucrose_equivalent,
        "viscosity": viscosity,
        "acid": titratable_acid,
        "gravity": gravity,
        "alcohol": alcohol,
        "fermentable": fermentable_concentration,
        "volume": volume,
    }
    room = volume(liquid)
    return {
        key: masses[key.removeprefix("dose:")] / room if key.startswith("dose:") else compute[key](liquid)
        for key in keys
    }


def sensible(allowed: Sequence[str], wanted: Sequence[Bound], catalogue: Catalogue) -> list[str]:
    """What may be used, without acids and carbonates where nobody spoke of acid: they thicken too, but not for that.

    Parameters
    ----------
    wanted : sequence of Bound
        The wishes. [as `Bound`]
    """
    sour = any(bound.what == "acid" for bound in wanted)
    return [key for key in allowed if sour or catalogue.additive(key).group not in ("acid", "deacidifier")]


def natural_limits(base: Liquid, rows: Sequence[Additive]) -> tuple[Bound, ...]:
    """Limits that come with the additives: what the law allows, and what would crystallise in the cold.

    Parameters
    ----------
    base : Liquid
        The mead, shape (components,). [kg]

    Returns
    -------
    tuple of Bound
        Highest doses in the finished mead. [kg/m^3]
    """
    strength = float(alcohol(base))
    found = []
    for row in rows:
        limit = dissolves(row, strength)
        if limit is not None:
            found.append(Bound(f"dose:{row.key}", high=limit.warn, reason="more may crystallise in a cold cellar"))
        if row.ceiling is not None:
            found.append(Bound(f"dose:{row.key}", high=row.ceiling, reason=row.ceiling_note))
    return tuple(found)


def find(
    base: Liquid,
    wanted: Sequence[Bound],
    allowed: Sequence[str],
    catalogue: Catalogue,
    lines: Mapping[str, Addition] | None = None,
    fixed: Mapping[str, float] | None = None,
    least: Mapping[str, float] | None = None,
    cost: Mapping[str, float] | None = None,
) -> Found:
    """The smallest doses that reach what is wanted.

    Parameters
    ----------
    base : Liquid
        The mead before, shape (components,). [kg]
    wanted : sequence of Bound
        Wishes and limits of the user. [as `Bound`]
    fixed : mapping of str to float, optional
        Masses that are set. [kg]
    least : mapping of str to float, optional
        Masses that are the least, because they were already stirred in. [kg]
    cost : mapping of str to float, optional
        How a kilogram of each counts; 1 where nothing is said. [1/kg]

    Returns
    -------
    Found
        The doses, what they reach, and what binds. [kg]

    Raises
    ------
    UnknownIngredient
        A key that the shelf does not hold.
    ValueError
        A property that cannot be wanted, or a low end above a high one.

    Notes
    -----
    Linear programmes about the last point (HiGHS by way of scipy), within a trust region that halves whenever a step
    does not help; the last one's multipliers tell what binds.
    """
    set_, given = dict(fixed or {}), dict(least or {})
    set_ |= {key: mass for key, mass in given.items() if key not in allowed}
    keys = tuple(dict.fromkeys((*allowed, *set_, *given)))
    rows = [catalogue.additive(key) for key in keys]
    _must_make_sense(wanted, keys)
    bounds = (*wanted, *natural_limits(base, rows))
    search = _Search(base, rows, bounds, lines or {}, set_, given, dict(cost or {}))
    masses, active = search.run()
    return search.found(masses, active)


def _must_make_sense(wanted: Sequence[Bound], keys: Sequence[str]) -> None:
    for bound in wanted:
        known = bound.what in STEPS or bound.what.removeprefix("dose:") in keys
        if not known:
            raise ValueError(f"{bound.what!r} cannot be wanted; known are {', '.join(STEPS)} and the doses of {keys}.")
        if bound.low is not None and bound.high is not None and bound.low > bound.high:
            raise ValueError(f"{bound.what}: the target from {bound.low} to {bound.high} does not rise.")


class _Search:
    """The series of linear programmes. Unknowns are masses per volume of the mead before. [kg/m^3]"""

    def __init__(
        self,
        base: Liquid,
        rows: list[Additive],
        bounds: Sequence[Bound],
        lines: Mapping[str, Addition],
        fixed: dict[str, float],
        least: dict[str, float],
        cost: dict[str, float],
    ) -> None:
        self.base, self.rows, self.room = base, rows, float(volume(base))
        self.keys = [row.key for row in rows]
        self.lines = [lines.get(key) for key in self.keys]
        self.cost = np.array([max(cost.get(key, 1.0), 1e-6) for key in self.keys])
        self.low = np.array([fixed.get(key, least.get(key, 0.0)) / self.room for key in self.keys])
        self.high = np.where([key in fixed for key in self.keys], self.low, np.maximum(self.low, MOST))
        # Each end of each bound is one row: sign * value <= sign * limit, counted in steps.
        self.rows_of: list[tuple[Bound, float, float, float]] = []
        for bound in bounds:
            step = STEPS.get(bound.what) or max(0.01 * (bound.high or bound.low or 1.0), 1e-9)
            if bound.high is not None:
                self.rows_of.append((bound, 1.0, bound.high, step))
            if bound.low is not None:
                self.rows_of.append((bound, -1.0, bound.low, step))
        self.whats = tuple(dict.fromkeys(bound.what for bound, *_ in self.rows_of))
        self.aims = np.array([limit for _, _, limit, _ in self.rows_of])
        self.weights = np.full(len(self.rows_of), _MISS)
        if self.rows_of and self.rows:
            self._give_up_what_nothing_helps()

    def _give_up_what_nothing_helps(self) -> None:
        """Too much that no ingredient takes away by more than its volume is aimed at no less than it is; too little that none
        brings is not aimed at. Both are told as missed."""
        small = 1e-3
        around = np.repeat(self.low[:, None], len(self.rows) + 1, axis=1)
        around[np.arange(len(self.rows)), np.arange(len(self.rows))] += small
        values, room = self.values(around), volume(self._mixed(around))
        thinned = 1.0 - room[-1] / room[:-1]  # of what is there, by so little of each
        liquid = np.array([row.group == "liquid" for row in self.rows])
        for place, (bound, sign, limit, step) in enumerate(self.rows_of):
            value = values[bound.what]
            if sign * (value[-1] - limit) / step <= CLOSE or bound.what in ("gravity", "volume"):
                continue
            better = -sign * (value[:-1] - value[-1])
            by_itself = better > (_THINS * thinned * value[-1] if sign > 0.0 else 0.0) + 1e-12
            if not np.any((by_itself | (liquid & (better > 0.0))) & (self.high > self.low)):
                self.aims[place], self.weights[place] = (value[-1], _MISS) if sign > 0.0 else (limit, 0.0)

    def _mixed(self, doses: Array) -> Liquid:
        return forward(self.base, self.rows, doses * self.room, self.lines)

    def values(self, doses: Array) -> dict[str, Array]:
        """Properties for doses of shape (n, m)."""
        return values_of(self._mixed(doses), self.whats, dict(zip(self.keys, doses * self.room, strict=True)))

    def excess(self, doses: Array, limits: Array) -> Array:
        """By how many steps some limits of the rows are exceeded, shape (rows, m); not above nothing where they hold."""
        values = self.values(doses)
        return np.array([
            sign * (values[bound.what] - limit) / step
            for (bound, sign, _, step), limit in zip(self.rows_of, limits, strict=True)
        ])  # fmt: skip

    def merit(self, doses: Array) -> float:
        over = np.maximum(self.excess(doses[:, None], self.aims)[:, 0], 0.0)
        return float(self.cost @ doses + self.weights @ over)

    def run(self) -> tuple[Array, Array]:
        """Doses, and the multiplier of each row at the end."""
        doses = self.low.copy()
        multipliers = np.zeros(len(self.rows_of))
        if not self.rows_of or not self.rows:
            return doses, multipliers
        reach, merit = MOST, self.merit(doses)
        for _ in range(_ROUNDS):
            step, multipliers = self._step(doses, reach)
            better = self.merit(doses + step)
            size = float(np.max(np.abs(step)))
            if better < merit - 1e-12 * abs(merit):
                doses, merit = doses + step, better
                if size < _SHRUNK * MOST:
                    break
            else:
                reach = min(reach, size) / 2.0
                if reach < _SHRUNK * MOST or size == 0.0:
                    break
        return doses, multipliers

    def _step(self, doses: Array, reach: float) -> tuple[Array, Array]:
        from scipy.optimize import linprog

        count, small = len(doses), 1e-3
        around = np.repeat(doses[:, None], count + 1, axis=1)
        around[np.arange(count), np.arange(count)] += small
        excess = self.excess(around, self.aims)
        now, slopes = excess[:, -1], (excess[:, :-1] - excess[:, -1:]) / small
        rows = len(now)
        # Unknowns: the change of each dose, and how far each row is exceeded.
        done = linprog(
            np.concatenate([self.cost, self.weights]),
            A_ub=np.hstack([slopes, -np.eye(rows)]),
            b_ub=-now,
            bounds=[
                *zip(np.maximum(self.low - doses, -reach), np.minimum(self.high - doses, reach), strict=True),
                *((0.0, None) for _ in range(rows)),
            ],
            method="highs",
        )
        if done.x is None:  # cannot be: every row may be exceeded
            raise ArithmeticError(f"The search for a dose broke off: {done.message}")
        step = np.clip(doses + done.x[:count], self.low, self.high) - doses
        return step, np.asarray(-done.ineqlin.marginals)

    def found(self, doses: Array, multipliers: Array) -> Found:
        """What the search came to, in words of the batch."""
        doses = np.where(doses > 1e-9, doses, 0.0)
        values = {key: float(value[0]) for key, value in self.values(doses[:, None]).items()}
        limits = np.array([limit for _, _, limit, _ in self.rows_of])
        excess = self.excess(doses[:, None], limits)[:, 0] if self.rows_of else np.zeros(0)
        missed, binding = [], []
        for (bound, _sign, limit, _step), over, weight in zip(self.rows_of, excess, multipliers, strict=True):
            if over > CLOSE:
                missed.append(Miss(bound.what, limit, values[bound.what], float(over)))
            elif weight > 1e-6 and over > -CLOSE:
                binding.append(bound)
        additions = tuple(
            Addition(key=key, mass=float(dose * self.room)) if line is None
            else Addition(key=key, mass=float(dose * self.room), alcohol=line.alcohol, sugar=line.sugar, blend=line.blend)
            for key, line, dose in zip(self.keys, self.lines, doses, strict=True)
            if dose > 0.0
        )  # fmt: skip
        return Found(additions, values, tuple(missed), tuple(dict.fromkeys(binding)))
