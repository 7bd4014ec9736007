"""What two readings together say of a fermenting must: its strength at the start, and how much has fermented.

Every must has a way of its own: the liquids it passes through, by how strong it was and which share of its sugar is
gone. Two readings of different kinds, or of different days, are two equations for these two unknowns. They are solved
on the batch's own composition; no polynomial made for another drink takes part.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import guards, liquid
from planner.model.components import INDEX
from planner.model.fermentation import (
    ETHANOL_YIELD,
    GLYCEROL_YIELD,
    OTHER_YIELD,
    SUCCINIC_YIELD,
    TYPICAL_YIELDS,
    Yields,
    partly_fermented,
)
from planner.model.liquid import Liquid
from planner.model.refraction import apparent_brix
from planner.model.span import Span

Array = npt.NDArray[np.float64]

Way = Callable[[Array, Array], Liquid]
"""Gives the liquids, shape (components, n), of a must `strength` times as strong as planned when `share` of its
fermentable sugar is gone; both of shape (n,). [-]"""

MOST_EXTRACT = 0.70
"""Mass of extract per must at which the search for its strength ends. [kg/kg] No must that ferments is stronger."""

_STEP = 1e-5  # of the numerical derivatives: well above rounding, well below what bends the curves
_ROUNDS = 40
_SETTLED = 1e-10
_WEAKEST = 0.02


def way_of(must: Liquid, yields: Yields = TYPICAL_YIELDS) -> Way:
    """The way of a must, by mass balance.

    Parameters
    ----------
    must : Liquid
        As planned, shape (components,). [kg]
    yields : Yields
        Products per hexose; floats. [kg/kg]

    Raises
    ------
    guards.BadInput
        A negative mass.

    Examples
    --------
    >>> way = way_of(Liquid.of(water=0.8, glucose=0.1, fructose=0.1))
    >>> round(float(liquid.alcohol(way(np.array([1.0]), np.array([1.0])))[0]), 3)
    0.129
    """
    masses = guards.masses(must.masses)[:, None]
    solute = np.ones(masses.shape)
    solute[[INDEX["water"], INDEX["ethanol"]]] = 0.0

    def way(strength: Array, share: Array) -> Liquid:
        strength, share = np.broadcast_arrays(strength, share)
        scaled = Liquid(masses * np.where(solute > 0.0, strength, 1.0))
        return partly_fermented(scaled, (1.0 - share) * liquid.fermentable(scaled), yields)

    return way


def doubtful_ways(must: Liquid) -> tuple[Way, ...]:
    """Ways that differ from the typical one by what is not known of the yeast, each at its 90 % bound.

    Parameters
    ----------
    must : Liquid
        As planned, shape (components,). [kg]

    Returns
    -------
    tuple of Way
        One more ethanol, one more glycerol, one more of the smaller products. [-] See `fermentation` for the spans.
    """
    typical = TYPICAL_YIELDS
    return (
        way_of(must, typical._replace(ethanol=ETHANOL_YIELD.high)),
        way_of(must, typical._replace(glycerol=GLYCEROL_YIELD.high)),
        way_of(must, typical._replace(succinic=SUCCINIC_YIELD.high, other=OTHER_YIELD.high)),
    )


class Reading(msgspec.Struct, frozen=True):
    """One kind of reading, corrected to 20 °C, taken one or more times.

    Attributes
    ----------
    kind : str
        "gravity" (hydrometer) or "brix" (refractometer).
    value : array-like, shape (n,) or ()
        What was read. [-] or [g/(100 g)]
    at_start : bool
        Taken before fermentation.
    doubt : array-like, shape (n,) or ()
        Half width of its 90 % interval. [as `value`]
    """

    kind: str
    value: Any
    at_start: bool = False
    doubt: Any = 0.0


HYDROMETER_DOUBT = 0.001
"""Half width of the 90 % interval of a gravity read by eye. [-] Common practice, no source: one line of the stem."""

REFRACTOMETER_DOUBT = 0.1
"""The same of a hand refractometer. [g/(100 g)] Common practice, no source: half a line of its scale."""


class Inferred(msgspec.Struct, frozen=True):
    """What two readings say; each array has low, typical and high (90 %) on its first axis, shape (3, n).

    Attributes
    ----------
    share : numpy.ndarray
        Share of the fermentable sugar that is gone. [kg/kg]
    starting_gravity, gravity : numpy.ndarray
        At the start, and now. [-]
    alcohol : numpy.ndarray
        By volume. [m^3/m^3]
    sugar, extract : numpy.ndarray
        Hexose left for the yeast, and all that is dissolved. [kg/m^3]
    fits : numpy.ndarray, shape (n,)
        False where no stage of this must gives both readings; then the nearest one is stated.
    """

    share: Array
    starting_gravity: Array
    gravity: Array
    alcohol: Array
    sugar: Array
    extract: Array
    fits: npt.NDArray[np.bool_]

    def span(self, quantity: str, index: int = 0) -> Span:
        """One quantity at one reading, by the name of its field. [as the field]"""
        low, typical, high = np.asarray(getattr(self, quantity))[:, index]
        return Span(float(low), float(typical), float(high))


_READERS: dict[str, Callable[[Liquid], Array]] = {"gravity": liquid.gravity, "brix": apparent_brix}
_BOUNDS = {"gravity": (0.95, 1.40), "brix": (-2.0, 75.0)}
_FLOORS = {"gravity": 1e-6, "brix": 1e-4}  # smallest doubts that are told apart


def _see(reading: Reading, way: Way, strength: Array, share: Array) -> Array:
    """What the instrument would show on that way."""
    return _READERS[reading.kind](way(strength, np.zeros_like(share) if reading.at_start else share))


def _results(way: Way, strength: Array, share: Array) -> Array:
    """The six quantities, in the order of `Inferred`, shape (6, n)."""
    now = way(strength, share)
    room = liquid.volume(now)
    start = liquid.gravity(way(strength, np.zeros_like(share)))
    return np.stack(
        [share, start, liquid.gravity(now), liquid.alcohol(now), liquid.fermentable(now) / room, now.extract / room]
    )


def _slopes(of: Callable[[Array, Array], Array], strength: Array, share: Array) -> tuple[Array, Array, Array]:
    """What `of` gives, and its derivatives by strength and by share, by differences that stay within 0 to 1.

    All three points are asked for at once: on few readings a call costs more than what it works on.
    """
    inward = np.where(share > 0.5, -_STEP, _STEP)
    stronger = strength * (1.0 + _STEP)
    asked = of(np.concatenate((strength, stronger, strength)), np.concatenate((share, share, share + inward)))
    here, by_strength, by_share = np.split(asked, 3, axis=-1)
    return here, (by_strength - here) / (strength * _STEP), (by_share - here) / inward


def _locate(way: Way, readings: Sequence[Reading], seen: Array, strongest: float) -> tuple[Array, Array, Any]:
    """Strength and share at which both instruments show what was read, by Newton's method; shape (n,) each."""
    strength, share = np.ones(seen.shape[1]), np.full(seen.shape[1], 0.5)
    doubts = (np.maximum(r.doubt, _FLOORS[r.kind]) for r in readings)
    weights = np.stack([np.broadcast_to(1.0 / doubt, strength.shape) for doubt in doubts])

    def both(s: Array, f: Array) -> Array:
        return np.stack([_see(r, way, s, f) for r in readings])

    for _ in range(_ROUNDS):
        here, by_strength, by_share = _slopes(both, strength, share)
        off = seen - here
        free_strength, free_share = _solved(by_strength, by_share, off)
        new_share = np.clip(share + free_share, 0.0, 1.0)
        held = new_share != share + free_share
        # Where the share is held at an end, the strength is the one that serves both readings best.
        rest = off - by_share * (new_share - share)
        best = (weights**2 * by_strength * rest).sum(axis=0) / (weights**2 * by_strength**2).sum(axis=0)
        new_strength = strength + np.where(held, best, free_strength)
        new_strength = np.clip(new_strength, 0.3 * strength, 3.0 * strength)  # steps from far away overshoot
        new_strength = np.clip(new_strength, _WEAKEST, strongest)
        moved = float(np.max(np.abs([new_strength - strength, new_share - share])))
        strength, share = new_strength, new_share
        if moved < _SETTLED:
            break
    fits = np.all(np.abs(seen - both(strength, share)) * weights <= 1.0, axis=0)
    return strength, share, fits


def _solved(by_strength: Array, by_share: Array, off: Array) -> tuple[Array, Array]:
    """Changes of strength and share that make up two differences; none where they cannot be told apart."""
    determinant = by_strength[0] * by_share[1] - by_strength[1] * by_share[0]
    with np.errstate(divide="ignore"):
        inverse = np.where(np.abs(determinant) > 1e-9, 1.0 / determinant, 0.0)
    return (
        (off[0] * by_share[1] - off[1] * by_share[0]) * inverse,
        (by_strength[0] * off[1] - by_strength[1] * off[0]) * inverse,
    )


REFRACTION_DOUBTS = {"ethanol": 0.3e-6, "other": 10e-6}
"""Half width of the 90 % interval of specific refractions. [m^3/kg] Ethanol: spread of the handbook's indices; other
extract: estimate, between salts and proteins."""

BRIX_PER_REFRACTION = 1190.0
"""°Brix per unit of (n² - 1)/(n² + 2) near n = 1.345. [g/(100 g)] (n² + 2)²/(6 n), and 0.0015 in n per °Brix."""


def _doubt(reading: Reading, way: Way, strength: Array, share: Array) -> Array:
    """Half width of a reading's interval, with what is not known of the refraction of the liquid it was taken of."""
    if reading.kind != "brix":
        return np.broadcast_to(np.asarray(reading.doubt, dtype=float), strength.shape)
    at = way(strength, np.zeros_like(share) if reading.at_start else share)
    square = np.broadcast_to(np.asarray(reading.doubt, dtype=float) ** 2, strength.shape)
    for key, doubt in REFRACTION_DOUBTS.items():
        square = square + (BRIX_PER_REFRACTION * doubt * liquid.concentration(at, key)) ** 2
    return np.asarray(np.sqrt(square))


def infer(must: Liquid, first: Reading, second: Reading, others: Sequence[Way] | None = None) -> Inferred:
    """What two readings say of a must that ferments, with the interval they leave.

    Parameters
    ----------
    must : Liquid
        The batch's must as planned, shape (components,); it is made stronger or weaker as the readings say. [kg]
    first, second : Reading
        Two of different kinds, or one of them taken at the start. Several readings of the second kind may be given at
        once, shape (n,); the first then holds for all of them, or has the same shape. [as its fields]
    others : sequence of Way, optional
        Ways within the doubt about the yeast; by default `doubtful_ways`. [-]

    Returns
    -------
    Inferred
        Share gone, gravities, alcohol, sugar and extract. [as its fields] The interval joins, as independent: the
        doubt of both readings, of the refraction of ethanol and other extract, and of the yields. What the must is
        made of is taken as known.

    Raises
    ------
    guards.BadInput
        A reading that no must has, two readings that are one and the same question, or a must that cannot ferment.

    Examples
    --------
    >>> must = Liquid.of(water=0.8, glucose=0.1, fructose=0.1)
    >>> known = infer(must, Reading("gravity", 1.080, True, 0.001), Reading("gravity", 1.010, False, 0.001))
    >>> [round(100 * x, 1) for x in known.span("alcohol")]
    [8.9, 9.2, 9.6]
    """
    if first.kind == second.kind and first.at_start == second.at_start:
        raise guards.BadInput(
            "second reading", float(np.ravel(second.value)[0]), "another kind, or another day", "the first again"
        )
    if first.at_start and second.at_start:
        raise guards.BadInput(
            "second reading", float(np.ravel(second.value)[0]), "one taken since", "also of the start"
        )
    guards.within("fermentable sugar of the must", liquid.fermentable(must), 1e-9, np.inf, "kg")
    readings = (first, second)
    values = [guards.within(r.kind, r.value, *_BOUNDS[r.kind]) for r in readings]
    seen = np.stack(np.broadcast_arrays(*(np.atleast_1d(v) for v in values))).astype(float)
    way = way_of(must)
    solvent = float(must["water"] + must["ethanol"])
    strongest = MOST_EXTRACT / (1.0 - MOST_EXTRACT) * solvent / max(float(must.extract), 1e-9 * solvent)
    strength, share, fits = _locate(way, readings, seen, strongest)
    here = _results(way, strength, share)
    spread = _spread(way, doubtful_ways(must) if others is None else others, readings, strength, share)
    low, high = here - spread, here + spread
    low[[0, 3, 4, 5]] = np.maximum(low[[0, 3, 4, 5]], 0.0)
    high[0] = np.minimum(high[0], 1.0)
    gone, start, now, strong, sugar, extract = (np.stack([low[i], here[i], high[i]]) for i in range(6))
    return Inferred(gone, start, now, strong, sugar, extract, fits)


def _spread(way: Way, others: Sequence[Way], readings: Sequence[Reading], strength: Array, share: Array) -> Array:
    """Half width of the interval of each result, shape (6, n): every cause carried through the linearised equations."""

    def both(s: Array, f: Array) -> Array:
        return np.stack([_see(r, way, s, f) for r in readings])

    seen, by_strength, by_share = _slopes(both, strength, share)
    here, result_s, result_f = _slopes(lambda s, f: _results(way, s, f), strength, share)

    def carried(off: Array) -> Array:
        """Change of the results for a change of what was read."""
        stronger, further = _solved(by_strength, by_share, off)
        return np.asarray(result_s * stronger + result_f * further)

    nothing = np.zeros_like(strength)
    square = carried(np.stack([_doubt(readings[0], way, strength, share), nothing])) ** 2
    square = square + carried(np.stack([nothing, _doubt(readings[1], way, strength, share)])) ** 2
    for other in others:
        shown = np.stack([_see(r, other, strength, share) for r in readings])
        square = square + (_results(other, strength, share) - here + carried(seen - shown)) ** 2
    return np.asarray(np.sqrt(square))
