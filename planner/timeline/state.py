"""The state of a batch: what may be in the vessel, as an ensemble of liquids of which every figure is asked.

A possible ferment knows its sugar, its alcohol and its gravity; the must that it came from knows the rest. Here both become a
liquid again, so that whoever asks for a figure, of the ferment or of the mead that came of it, asks the same liquids.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planner.model.components import ACIDS, SUGARS
from planner.model.constants import ETHANOL_DENSITY
from planner.model.fermentation import Yields, partly_fermented, split_left
from planner.model.liquid import (
    WATER_DENSITY,
    Liquid,
    alcohol,
    fermentable,
    fermentable_concentration,
    gravity,
    volume,
)
from planner.model.numerics import median
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.must import with_acid, with_gravity
from planner.timeline.course import ROUNDS, Expected, along
from planner.timeline.current_gravity import EXACT
from planner.timeline.posterior import Ferments, Posterior
from planner.timeline.results import State

Array = npt.NDArray[np.float64]


def state_of(liquid: Liquid) -> State:
    """What an ensemble of liquids holds, of which the first is the typical one.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    """
    return State(Span.of(fermentable_concentration(liquid)), Span.of(alcohol(liquid)))


def gravity_of(liquid: Liquid) -> Span:
    """Gravity of an ensemble of liquids: where one was brought to a reading, that to its last figure. [-]

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m), first the typical one. [kg]
    """
    return Span.of(np.round(gravity(liquid), EXACT))


def on_days(after: Posterior, days: Array) -> tuple[Array, Array]:
    """What the batch held on days up to the last reading, by all that was read.

    Parameters
    ----------
    after : Posterior
        The course as the log has it, after one reading at least. [as its fields]
    days : numpy.ndarray, shape (n,)
        Since pitching; what came after the last reading counts as on its day. [d]

    Returns
    -------
    tuple of numpy.ndarray, shape (3, n) each
        Low, typical and high: fermentable sugar [kg/m^3], and alcohol by volume [m^3/m^3].
    """
    now, past = after.steps[-1], after.past
    is_now = days >= now.evidence.day - 1e-9
    sugar, alcohols = (
        np.stack([np.where(is_now, last, np.interp(days, past.days, row)) for row, last in zip(table, span, strict=True)])
        for table, span in ((past.sugar, now.sugar), (past.alcohol, now.alcohol))
    )  # fmt: skip
    return sugar, alcohols


def liquids(ahead: Expected, some: Ferments, heavy: float | None = None) -> Liquid:
    """Possible ferments as liquids.

    Parameters
    ----------
    some : Ferments
        Sugar, alcohol and gravity of each. [as its fields]
    heavy : float, optional
        Gravity of the typical one; the median where it is not told. [-]

    Returns
    -------
    Liquid
        Shape (components, n + 1), first the typical one, which has the medians. What is dissolved besides sugars and acids
        differs from the recipe as the gravities ask for. [kg]
    """
    which = np.concatenate(([0], 1 + some.origin % max(ahead.start.nitrogen.size - 1, 1)))
    must = (ahead.stages[some.grown][1] * ahead.comes_off).member(which)
    yields = Yields(*(value if np.ndim(value) == 0 else np.asarray(value)[which] for value in ahead.yields))

    def with_typical(values: Array, typical: float | None = None) -> Array:
        return np.concatenate(([median(values) if typical is None else typical], values))

    sugar = with_typical(some.sugar)
    near = partly_fermented(must, np.minimum(sugar * volume(must), fermentable(must)), yields)
    return brought_to(near, sugar, with_typical(some.alcohol), with_typical(some.gravity, heavy))


def with_alcohol(liquid: Liquid, strength: Array) -> Liquid:
    """The same mass of liquid with so much alcohol; its gravity follows.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    strength : numpy.ndarray, shape (m,)
        Alcohol. [m^3/m^3]
    """
    for _ in range(ROUNDS):
        liquid = _of_solvent(liquid, strength * volume(liquid) * ETHANOL_DENSITY)
    return liquid


def brought_to(liquid: Liquid, sugar: Array, strength: Array, heavy: Array) -> Liquid:
    """The same mass of liquid with other sugar, alcohol and gravity: what else is dissolved differs as these ask for.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    sugar : numpy.ndarray, shape (m,)
        Fermentable sugar. [kg/m^3]
    strength : numpy.ndarray, shape (m,)
        Alcohol. [m^3/m^3]
    heavy : numpy.ndarray, shape (m,)
        Gravity. [-]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    room = liquid.mass / (heavy * WATER_DENSITY)  # what it will take, as mass and gravity are known
    wanted, there = sugar * room, fermentable(liquid)
    left = split_left(liquid, np.minimum(wanted, there))
    other = liquid.without(*SUGARS).plus(glucose=left.glucose, fructose=left.fructose + np.maximum(wanted - there, 0.0))
    other = other.plus(water=liquid.mass - other.mass)
    return otherwise_dissolved(_of_solvent(other, strength * room * ETHANOL_DENSITY), heavy)


def _of_solvent(liquid: Liquid, ethanol: Array) -> Liquid:
    """The same mass with so much ethanol, water making room for it. [kg]"""
    other = liquid.plus(ethanol=ethanol - liquid["ethanol"], water=liquid["ethanol"] - ethanol)
    return Liquid(np.maximum(other.masses, 0.0))  # what is taken away whole leaves a trace below nothing


def otherwise_dissolved(liquid: Liquid, wanted: Array) -> Liquid:
    """These with a gravity of their own by other extract; by their acids too only where there is not enough of that. The
    acids' own doubt is in the members already.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    wanted : numpy.ndarray, shape (m,)
        Gravity. [-]
    """
    found = with_gravity(liquid, wanted, (*SUGARS, *ACIDS))
    off = np.abs(gravity(found) - wanted) > 1e-5
    return Liquid(np.where(off, with_gravity(found, wanted, SUGARS).masses, found.masses)) if np.any(off) else found


def titrated(liquid: Liquid, acid: Array) -> Liquid:
    """These with so much titratable acid and the gravity that they had, by other extract.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    acid : numpy.ndarray, shape (m,)
        As tartaric. [kg/m^3]
    """
    # Other extract changes the room by which acid is told.
    return with_acid(otherwise_dissolved(with_acid(liquid, acid), gravity(liquid)), acid)


def sweeter(one: Liquid, other: Liquid) -> Liquid:
    """The one of two with more sugar for yeast in its typical member: glass bursts at it.

    Parameters
    ----------
    one, other : Liquid
        Shape (components, m). [kg]
    """
    first, second = (float(fermentable_concentration(liquid)[0]) for liquid in (one, other))
    return one if first >= second else other


def torn(first: Liquid, second: Liquid) -> Liquid:
    """Two states of a batch of which nothing tells which it is: half of the members each, the typical one of the sweeter,
    because bottles burst at it.

    Parameters
    ----------
    first, second : Liquid
        Shape (components, m). [kg]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    if sweeter(first, second) is second:
        first, second = second, first
    chosen = scores("mead/which instrument", first.masses.shape[1] - 1) <= 0.0
    return Liquid(np.where(chosen, first.masses, second.masses))


def by_rival(ahead: Expected, here: Liquid, sugar: Span) -> Liquid:
    """The state where an instrument contradicts the log: half of the members by each.

    Parameters
    ----------
    here : Liquid
        By the log, shape (components, m). [kg]
    sugar : Span
        Fermentable sugar by that instrument. [kg/m^3]
    """
    size = here.masses.shape[1]
    which = np.concatenate(([0], 1 + np.arange(size - 1) % max(ahead.start.nitrogen.size - 1, 1)))
    yields = Yields(*(value if np.ndim(value) == 0 else np.asarray(value)[which] for value in ahead.yields))
    return torn(here, along(ahead.whole.member(which), yields, sugar.at(scores("mead/sugar left", size - 1), 0.0)))
