"""Using a refractometer: drops that are not at 20 °C, the gravity of a must, and the water in honey."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.inference import BRIX_PER_REFRACTION, REFRACTION_DOUBTS, way_of
from planner.model.liquid import Liquid, concentration, gravity
from planner.model.numerics import solve_increasing
from planner.model.refraction import apparent_brix

Array = npt.NDArray[np.float64]


def sugar_solution(brix: Any) -> Liquid:
    """A kilogram of sucrose solution. [kg]

    Parameters
    ----------
    brix : array-like, shape (n,)
        °Brix; below zero counts as water. [g/(100 g)]
    """
    w = np.clip(np.asarray(brix, dtype=float), 0.0, 85.0) / 100.0
    return Liquid.of(water=1.0 - w, sucrose=w)


def brix_at_twenty(
    shown: Any, temperature: Any, like: Callable[[Array], Liquid] = sugar_solution, compensated: bool = False
) -> Array:
    """°Brix that a refractometer would have shown of a drop at 20 °C.

    Parameters
    ----------
    shown : array-like, shape (n,)
        °Brix as read. [g/(100 g)] 0 to 80.
    temperature : array-like, shape (n,)
        Temperature of drop and prism. [K] 273.15 to 313.15.
    like : callable
        Gives, for °Brix of shape (n,), liquids of the kind that the sample is: alcohol changes with temperature more
        than sugar does. [-] By default sugar solutions, as in the tables of corrections.

    Returns
    -------
    numpy.ndarray, shape (n,)
        °Brix at 20 °C. [g/(100 g)]

    Raises
    ------
    guards.BadInput
        A reading or temperature outside the range.

    Notes
    -----
    The index is worked out for both temperatures and the difference added; three rounds settle it.

    References
    ----------
    .. [1] OIV-MA-AS2-02, table of temperature corrections, met within 0.035 °Brix from 5 to 17 °C and 10 to 70 %.

    Examples
    --------
    >>> round(float(brix_at_twenty(15.33, 288.15)), 2)
    14.99
    """
    read = guards.within("°Brix", shown, -2.0, 80.0)
    kelvin = guards.temperature("temperature", temperature)
    if compensated:
        return read
    result = read
    for _ in range(3):
        liquid = like(result)
        result = read + apparent_brix(liquid) - apparent_brix(liquid, kelvin)
    return np.asarray(result)


def must_gravity(brix: Any, must: Liquid, doubt: float = 0.0) -> Array:
    """Specific gravity of an unfermented must, or a juice, from its °Brix by refractometer.

    A refractometer sees invert sugar as a little less, and salts and acids otherwise than a hydrometer does: the
    gravity follows from the must's own composition, made stronger or weaker until it shows what was read.

    Parameters
    ----------
    brix : array-like, shape (n,)
        °Brix at 20 °C. [g/(100 g)] 0 to 60.
    must : Liquid
        What it is made of, shape (components,), in about that strength. [kg]
    doubt : float
        Half width of the 90 % interval of the reading. [g/(100 g)]

    Returns
    -------
    numpy.ndarray, shape (3, n)
        Low, typical and high (90 %) specific gravity 20/20 °C, with the doubt about how other extract refracts. [-]

    Raises
    ------
    guards.BadInput
        A reading outside the range, or a must without anything dissolved.

    Examples
    --------
    >>> juice = Liquid.of(water=0.87, glucose=0.05, fructose=0.06, malic=0.01, other=0.01)
    >>> [round(float(x), 4) for x in must_gravity(13.0, juice, doubt=0.1)]
    [1.0529, 1.0536, 1.0543]
    """
    read = guards.within("°Brix", brix, 0.0, 60.0)
    guards.within("extract of the must", must.extract, 1e-9, np.inf, "kg")
    way = way_of(must)

    def unfermented(strength: Array) -> Liquid:
        return way(strength, np.zeros_like(strength))

    strongest = 2.0 * float(must["water"]) / float(must.extract)  # 67 % of extract: beyond any juice or must
    flat = np.atleast_1d(read)

    def gravity_at(shown: Array) -> Array:
        strength = solve_increasing(lambda s: apparent_brix(unfermented(s)), shown, 0.0, strongest)
        return gravity(unfermented(strength))

    strength = solve_increasing(lambda s: apparent_brix(unfermented(s)), flat, 0.0, strongest)
    seen_otherwise = BRIX_PER_REFRACTION * REFRACTION_DOUBTS["other"] * concentration(unfermented(strength), "other")
    either_way = np.sqrt(doubt**2 + seen_otherwise**2)
    rows = [gravity_at(flat - either_way), gravity(unfermented(strength)), gravity_at(flat + either_way)]
    return np.stack(rows).reshape((3, *read.shape))
