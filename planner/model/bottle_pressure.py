"""A closed bottle in the heat: what the mead's growth, the air above it, its vapour and its gas press with."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import gas as carbon_dioxide
from planner.model import guards
from planner.model.constants import ETHANOL_DENSITY, GAS_CONSTANT, MOLAR_MASS, REFERENCE_TEMPERATURE, ZERO_CELSIUS
from planner.model.liquid import Liquid, alcohol, volume

Array = npt.NDArray[np.float64]

ROOM = 0.06
"""Share of a bottle to leave empty before it is heated. [-] Estimate: below 0.05 the pressure climbs steeply, and 0.03 is
unsafe. The liquid of 12 % vol alone fills up 0.019 on its way to 65 °C."""

HOTTEST = 75.0 + ZERO_CELSIUS
"""Up to which the density of mead is carried on. [K]"""

GLASS = 27e-6
"""By how much the room in a glass bottle grows per kelvin. [1/K] Three times 9e-6, soda-lime glass; from memory."""

_VAN_LAAR = (1.68, 0.92)
"""Activity of ethanol in water, and of water in ethanol, infinitely diluted, as logarithms. [-] From memory: handbook
values at one atmosphere."""
_ANTOINE = {"water": (8.07131, 1730.63, 233.426), "ethanol": (8.20417, 1642.89, 230.300)}
"""log10 of the vapour pressure in mmHg, by °C: to 100 °C and to 80 °C. [-] From memory of a data bank's tables."""
_MMHG = 133.322
_WATER, _ETHANOL = 0.018015, MOLAR_MASS["ethanol"]
_CO2 = MOLAR_MASS["carbon dioxide"]


class Heated(msgspec.Struct, frozen=True):
    """What a closed bottle holds at a temperature.

    Attributes
    ----------
    gauge : numpy.ndarray
        Pressure above that of the air around it; infinite where the liquid has filled the bottle. [Pa]
    air, gas, vapour : numpy.ndarray
        Pressures of the air that was closed in, of carbon dioxide, and of water and ethanol. [Pa]
    room : numpy.ndarray
        What is left empty then, as a share of the bottle at closing; nothing or less where it is full. [-]
    """

    gauge: Array
    air: Array
    gas: Array
    vapour: Array
    room: Array


def expansion(liquid: Liquid, temperature: Any, closed_at: float = REFERENCE_TEMPERATURE) -> Array:
    """Volume of a liquid over what it was when its bottle was closed.

    Parameters
    ----------
    liquid : Liquid
        One liquid. [kg]
    temperature : array-like
        [K] 273.15 to 348.15.
    closed_at : float
        Temperature at closing. [K] 273.15 to 348.15.

    Returns
    -------
    numpy.ndarray
        Ratio, from the density engine. [-] Within 0.0005 at 75 °C.

    Raises
    ------
    guards.BadInput
        A temperature outside the range.

    Examples
    --------
    >>> mead = Liquid.of(water=862.0, ethanol=94.7, fructose=30.0)
    >>> round(float(expansion(mead, 338.15)), 4)
    1.0207
    """
    kelvin = guards.temperature("temperature", temperature, high=HOTTEST)
    before = float(guards.temperature("temperature at closing", closed_at, high=HOTTEST))
    return np.asarray(volume(liquid, kelvin) / volume(liquid, before))


def vapour_pressure(alcohol_by_volume: Any, temperature: Any) -> Array:
    """Pressure of water and ethanol above a mead.

    Parameters
    ----------
    alcohol_by_volume : array-like
        [m^3/m^3] 0 to 0.25.
    temperature : array-like
        [K] 273.15 to 348.15.

    Returns
    -------
    numpy.ndarray
        Both together. [Pa] What is dissolved besides lowers it by less than a fiftieth, which is not counted.

    Raises
    ------
    guards.BadInput
        Outside the range.

    Examples
    --------
    >>> round(float(vapour_pressure(0.12, 338.15)) / carbon_dioxide.BAR, 2)
    0.34
    """
    strength = guards.share("alcohol", alcohol_by_volume, 0.25)
    celsius = guards.temperature("temperature", temperature, high=HOTTEST) - ZERO_CELSIUS
    spirit = strength * ETHANOL_DENSITY / _ETHANOL
    x = spirit / (spirit + (1.0 - strength) * 998.2 / _WATER)
    pure = {key: _MMHG * 10.0 ** (a - b / (c + celsius)) for key, (a, b, c) in _ANTOINE.items()}
    a, b = _VAN_LAAR
    shares = a * x + b * (1.0 - x)
    gamma_ethanol, gamma_water = np.exp(a * (b * (1.0 - x) / shares) ** 2), np.exp(b * (a * x / shares) ** 2)
    return np.asarray(x * gamma_ethanol * pure["ethanol"] + (1.0 - x) * gamma_water * pure["water"])


def _henry(temperature: Array) -> Array:
    """Henry's constant of carbon dioxide and water, as partial pressure over mole fraction. [MPa] Carroll et al. 1991."""
    return np.asarray(np.exp(-6.8346 + 1.2817e4 / temperature - 3.7668e6 / temperature**2 + 2.997e8 / temperature**3))


def solubility(liquid: Liquid, temperature: Any) -> Array:
    """Carbon dioxide dissolved in a warm or hot mead, per pressure of carbon dioxide.

    Parameters
    ----------
    liquid : Liquid
        One liquid. [kg]
    temperature : array-like
        [K] 273.15 to 348.15.

    Returns
    -------
    numpy.ndarray
        Per volume of the liquid at 20 °C. [kg/(m^3 Pa)] That of wine at 20 °C, carried to other temperatures as water
        changes. Estimate.

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] Carroll, Slupsky & Mather 1991: carbon dioxide and water, 0 to 160 °C.
    .. [2] Regulation (EEC) No 2676/90 at 20 °C.

    Examples
    --------
    >>> mead = Liquid.of(water=862.0, ethanol=94.7, fructose=30.0)
    >>> round(float(solubility(mead, 338.15)) * carbon_dioxide.BAR, 2)
    0.55
    """
    kelvin = guards.temperature("temperature", temperature, high=HOTTEST)
    sweet = min(float(liquid.extract / volume(liquid)), 400.0)
    at_twenty = carbon_dioxide.wine_solubility(REFERENCE_TEMPERATURE, min(float(alcohol(liquid)), 0.25), sweet)
    return np.asarray(at_twenty * _henry(np.asarray(REFERENCE_TEMPERATURE)) / _henry(kelvin))


def heated(
    liquid: Liquid,
    temperature: Any,
    room: Any = ROOM,
    dissolved: Any = carbon_dioxide.DEGASSED,
    closed_at: float = REFERENCE_TEMPERATURE,
) -> Heated:
    """Pressure in a bottle that was closed cool and is warm now.

    Parameters
    ----------
    liquid : Liquid
        One mead; how much of it does not matter. [kg]
    temperature : array-like
        [K] 273.15 to 348.15.
    room : array-like
        Share of the bottle that was left empty. [-] 0.001 to 0.9.
    dissolved : array-like
        Carbon dioxide in the mead when it was closed. [kg/m^3]
    closed_at : float
        Temperature of mead and air at closing. [K] 273.15 to 348.15.

    Raises
    ------
    guards.BadInput
        A value outside its range.

    Notes
    -----
    The air that is closed in is damp already. The liquid grows more than the glass and presses the air together; no air dissolves, and neither glass nor liquid
    yields to the pressure: an upper bound. Carbon dioxide keeps to Henry's law with all of it in liquid and room. Where
    less than 0.005 of the bottle is left, the doubt of the growth (0.0005) is a tenth of the pressure and more.

    Examples
    --------
    >>> mead = Liquid.of(water=862.0, ethanol=94.7, fructose=30.0)
    >>> round(float(heated(mead, 338.15, room=0.03, dissolved=0.0).gauge) / carbon_dioxide.BAR, 1)
    2.4
    """
    kelvin = guards.temperature("temperature", temperature, high=HOTTEST)
    empty = guards.within("room", room, 1e-3, 0.9, "of the bottle")
    held = guards.amount("dissolved carbon dioxide", dissolved, "kg/m³")
    left = 1.0 + GLASS * (kelvin - closed_at) - (1.0 - empty) * expansion(liquid, kelvin, closed_at)
    open_ = np.maximum(left, 1e-12)  # a full bottle has no pressure that could be told
    strength = min(float(alcohol(liquid)), 0.25)
    dry = carbon_dioxide.ATMOSPHERE - vapour_pressure(strength, closed_at)
    air = np.where(left > 0.0, dry * empty / open_ * kelvin / closed_at, np.inf)
    vapour = vapour_pressure(strength, kelvin)
    above = open_ / (1.0 - empty) * _CO2 / (GAS_CONSTANT * kelvin)
    gas = held / (solubility(liquid, kelvin) + above)
    gauge = np.maximum(air + gas + vapour - carbon_dioxide.ATMOSPHERE, -carbon_dioxide.ATMOSPHERE)
    return Heated(np.asarray(gauge), np.asarray(air), np.asarray(gas), np.asarray(vapour), np.asarray(left))
