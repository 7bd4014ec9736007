"""A fermenting batch as its own instrument: what it loses in weight is gas, and the gas tells the sugar."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import gas, guards
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.fermentation import (
    ACETIC_YIELD,
    BIOMASS_YIELD,
    ETHANOL_YIELD,
    GLYCEROL_YIELD,
    OTHER_YIELD,
    SUCCINIC_YIELD,
    TYPICAL_YIELDS,
    partly_fermented,
)
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume
from planner.model.numerics import solve_increasing
from planner.model.span import Span

Array = npt.NDArray[np.float64]


class Weighed(msgspec.Struct, frozen=True):
    """What a loss of weight says; each array has low, typical and high (90 %) on its first axis, shape (3, n).

    Attributes
    ----------
    sugar_used : numpy.ndarray
        Hexose taken up. [kg]
    alcohol : numpy.ndarray
        By volume. [m^3/m^3]
    gravity : numpy.ndarray
        Specific gravity to be expected; low, typical and high of the gravity itself. [-]
    sugar : numpy.ndarray
        Hexose left for the yeast. [kg/m^3]
    fits : numpy.ndarray, shape (n,)
        False where more is gone than the sugar could give: something else left the vessel too.
    """

    sugar_used: Array
    alcohol: Array
    gravity: Array
    sugar: Array
    fits: npt.NDArray[np.bool_]


def gas_yield() -> Span:
    """Mass that leaves per hexose taken up, with the doubt of everything that does not leave. [kg/kg]

    Notes
    -----
    The balance of `fermentation`: one less ethanol, glycerol, small acids, other products and yeast. What leaves is
    carbon dioxide with the water and the little ethanol that it carries; carbon dioxide alone is 0.4886 at most.

    Examples
    --------
    >>> [round(x, 3) for x in gas_yield()]
    [0.448, 0.474, 0.493]
    """
    rest = (ETHANOL_YIELD, GLYCEROL_YIELD, SUCCINIC_YIELD, ACETIC_YIELD, OTHER_YIELD, BIOMASS_YIELD)
    typical = float(TYPICAL_YIELDS.gas)
    more = float(np.sqrt(sum((span.high - span.typical) ** 2 for span in rest)))
    less = float(np.sqrt(sum((span.typical - span.low) ** 2 for span in rest)))
    return Span(typical - more, typical, typical + less)


def by_weight(
    lost: Any,
    must: Liquid,
    temperature: Any = REFERENCE_TEMPERATURE,
    doubt: float = 0.0,
    pressure: float = gas.ATMOSPHERE,
) -> Weighed:
    """Sugar used, alcohol and gravity from the weight a batch has lost.

    Weigh the vessel with its airlock at pitching and later, with nothing taken out between. Gas that stays dissolved is
    counted in. Not for open vessels, where water evaporates, nor across a racking.

    Parameters
    ----------
    lost : array-like, shape (n,)
        Weight at pitching less weight now. [kg]
    must : Liquid
        The whole batch at pitching, shape (components,). [kg]
    temperature : array-like, shape (n,)
        Of the batch. [K] 273.15 to 313.15.
    doubt : float
        Half width of the 90 % interval of the difference of two weighings. [kg]
    pressure : float
        Of carbon dioxide above the liquid. [Pa]

    Returns
    -------
    Weighed
        Low, typical and high, joined as independent from the scale, the yield of gas and the gas still dissolved. [as
        its fields]

    Raises
    ------
    guards.BadInput
        A negative loss, or a temperature beyond the range.

    Examples
    --------
    >>> must = Liquid.of(water=16.0, glucose=2.0, fructose=2.0)
    >>> found = by_weight(1.0, must, doubt=0.02)
    >>> [round(100 * float(x), 1) for x in found.alcohol[:, 0]]
    [6.6, 6.9, 7.4]
    """
    gone = np.atleast_1d(guards.amount("weight lost", lost))
    kelvin = guards.temperature("temperature", temperature)
    whole = float(fermentable(must))
    share_of_gas = gas_yield()

    def liquids(used: Array) -> Liquid:
        return partly_fermented(Liquid(must.masses[:, None]), whole - np.clip(used, 0.0, whole))

    def leaves(used: Array) -> Array:
        now = liquids(used)
        held = gas.wine_solubility(kelvin, np.minimum(alcohol(now), 0.25), fermentable(now) / volume(now)) * pressure
        # The first of the gas stays: nothing leaves until the liquid is full of it.
        return np.asarray(np.maximum(share_of_gas.typical * used - held * volume(now), 0.0) + 1e-9 * used)

    used = solve_increasing(leaves, gone, 0.0, whole) if whole > 0.0 else np.zeros_like(gone)
    made = share_of_gas.typical * used
    held = np.maximum(made - gone, 0.0)
    scale = doubt / share_of_gas.typical
    kept = 0.3 * held / share_of_gas.typical  # stirred-out or oversaturated gas: estimate, a third either way
    less = np.sqrt((used * (1.0 - share_of_gas.typical / share_of_gas.high)) ** 2 + scale**2 + kept**2)
    more = np.sqrt((used * (share_of_gas.typical / share_of_gas.low - 1.0)) ** 2 + scale**2 + kept**2)
    rows = np.stack([np.maximum(used - less, 0.0), used, np.minimum(used + more, whole)])
    now = [liquids(row) for row in rows]
    return Weighed(
        rows,
        np.stack([alcohol(n) for n in now]),
        np.stack([gravity(n) for n in reversed(now)]),
        np.stack([fermentable(n) / volume(n) for n in reversed(now)]),
        np.asarray(gone <= share_of_gas.high * whole + doubt),
    )
