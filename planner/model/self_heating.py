"""How a fermenting must warms itself: the heat of fermentation against what a vessel loses to its room."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.span import Span

Array = npt.NDArray[np.float64]

SECONDS_PER_DAY = 86400.0

HEAT = Span(540.0e3, 557.0e3, 651.0e3)
"""Heat set free per hexose. [J/kg] 24 kcal/mol is generally accepted (100.4 kJ/mol; enthalpies of formation give 100 to
101); 28 kcal/mol was used by Boulton 1979 and Zenteno et al. 2010. The lower bound is an estimate."""

CARRIED_OFF = Span(0.02, 0.035, 0.08)
"""Share of the heat that leaves with the gas, as vapour of water and ethanol. [-] 3 to 4 % by saturation; in tanks up to
20 % with what the walls lose, which is counted separately here."""

HEAT_CAPACITY = 4.15e3
"""Of must and mead, on the average of a ferment. [J/(kg K)] Zenteno et al. 2010; strong musts 3.7e3 to 3.85e3."""

MUST_DENSITY = 1050.0
"""Of must and mead, on the average of a ferment. [kg/m^3]"""

TRANSMITTANCE = Span(5.0, 8.0, 10.0)
"""Heat that a still bucket or carboy passes to still air. [W/(m^2 K)] From memory; checked against the 3 to 4 K that
17 L of red must were above their room at 3.6 g/L of sugar per hour (Stellenbosch University, open data of 2022)."""


def surface(volume: Any, size: float | None = None) -> Array:
    """Surface of a must in a vessel as wide as it is high.

    Parameters
    ----------
    volume : array-like
        Volume of the must. [m^3]
    size : float or None
        Room of the vessel; None where it holds just the must. [m^3]

    Returns
    -------
    numpy.ndarray
        All of the must's: side, bottom and top. [m^2]

    Examples
    --------
    >>> round(float(surface(0.020)), 2)
    0.41
    >>> round(float(surface(0.010, 0.050)), 2)  # low in a wide vessel
    0.35
    """
    must = np.asarray(volume, dtype=float)
    width = np.cbrt(4.0 * (must if size is None else np.maximum(must, size)) / np.pi)
    return np.asarray(0.5 * np.pi * width**2 + 4.0 * must / width)


class Vessel(NamedTuple):
    """What decides the warmth of a must besides its room.

    Attributes
    ----------
    heating : Any
        Warming per hexose used and not lost. [K m^3/kg]
    cooling : Any
        Share of its excess over the room that it loses per time. [1/d]
    """

    heating: Any
    cooling: Any


def vessel(
    volume: Any,
    transmittance: Any = TRANSMITTANCE.typical,
    heat: Any = HEAT.typical,
    carried_off: Any = CARRIED_OFF.typical,
    size: float | None = None,
) -> Vessel:
    """A still vessel in a room.

    Parameters
    ----------
    volume : array-like
        Volume of the must, above zero. [m^3]
    transmittance : array-like
        From must to room. [W/(m^2 K)]
    heat : array-like
        Set free per hexose. [J/kg]
    carried_off : array-like
        Share of it that leaves with the gas. [-]
    size : float or None
        Room of the vessel; None where it holds just the must. [m^3]

    Raises
    ------
    ValueError
        A volume that is not above zero.
    """
    room = np.asarray(volume, dtype=float)
    if not np.all(room > 0.0):
        raise ValueError(f"volume was {room[~(room > 0.0)].flat[0]:g} m^3; accepted is more than 0 m^3.")
    heating = np.asarray(heat) * (1.0 - np.asarray(carried_off)) / (MUST_DENSITY * HEAT_CAPACITY)
    loss = np.asarray(transmittance) * surface(room, size) / (room * MUST_DENSITY * HEAT_CAPACITY)
    return Vessel(heating, loss * SECONDS_PER_DAY)


def excess_over(days: Any, used: Any, around: Vessel) -> Array:
    """By how much a must is warmer than its room while it uses sugar as at a temperature that is held.

    Parameters
    ----------
    days : array-like, shape (n,)
        Rising. [d]
    used : array-like, shape (n,)
        Hexose used until then. [kg/m^3]
    around : Vessel
        Its vessel; one value each. [as its fields]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Excess over the room. [K] Exact for steady use between the days; that warmth quickens the ferment is left out.

    Examples
    --------
    Twenty litres that use 2 g/L per hour, after five days:

    >>> round(float(excess_over([0.0, 5.0], [0.0, 240.0], vessel(0.020))[-1]), 1)
    1.8
    """
    times, taken = np.asarray(days, dtype=float), np.asarray(used, dtype=float)
    excess = np.zeros(times.size)
    for i, (span, sugar) in enumerate(zip(np.diff(times), np.diff(taken), strict=True)):
        kept = float(np.exp(-around.cooling * span))
        excess[i + 1] = excess[i] * kept + around.heating * sugar / span / around.cooling * (1.0 - kept)
    return excess


def rise(excess: Any, uptake: Any, around: Vessel) -> Any:
    """How fast a must warms.

    Parameters
    ----------
    excess : float or numpy.ndarray
        By how much it is warmer than its room. [K]
    uptake : float or numpy.ndarray
        Hexose used. [kg/(m^3 d)]

    Returns
    -------
    float or numpy.ndarray
        Rate of change of the excess. [K/d]
    """
    return around.heating * uptake - around.cooling * excess


def steady_rise(uptake: Any, around: Vessel) -> Array:
    """By how much a must stays warmer than its room while it uses sugar at one rate.

    Parameters
    ----------
    uptake : array-like
        Hexose used. [kg/(m^3 d)]

    Returns
    -------
    numpy.ndarray
        Excess over the room. [K]

    Examples
    --------
    Twenty litres that use 2 g/L per hour:

    >>> round(float(steady_rise(48.0, vessel(0.020))), 1)
    1.8
    """
    return np.asarray(around.heating * np.asarray(uptake, dtype=float) / around.cooling)
