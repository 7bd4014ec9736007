"""Carbon dioxide in mead: how much stays dissolved, and what pressure it makes in a closed bottle."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.constants import GAS_CONSTANT, MOLAR_MASS, REFERENCE_TEMPERATURE
from planner.model.span import Span

Array = npt.NDArray[np.float64]

ATMOSPHERE = 101325.0
"""Standard atmosphere. [Pa] Exact by definition (CGPM 1954)."""

BAR = 1e5
"""[Pa] Exact by definition."""

_CO2 = MOLAR_MASS["carbon dioxide"]

DEGASSED = 0.5
"""Carbon dioxide that is left once a mead was stirred or shaken until no more rises. [kg/m^3] Estimate. It is what the limit
of sugar for ordinary bottles counts on, and the most for a closed bottle that is heated."""

STANDING = 1.2
"""Carbon dioxide in a still mead that has stood for months and was not degassed. [kg/m^3] CETIE: the most of a still wine."""

ORDINARY = 1.0 * BAR
"""Pressure above the air, at 20 °C, below which ordinary bottles are used. [Pa] CETIE: the bound of still wine. No standard
rates them at all."""


def water_solubility(temperature: Any) -> Array:
    """Carbon dioxide dissolved in water, per pressure of carbon dioxide.

    Parameters
    ----------
    temperature : array-like
        [K] 273.15 to 313.15.

    Returns
    -------
    numpy.ndarray
        Henry's constant. [kg/(m^3 Pa)] Other correlations lie up to 2.3 % away.

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] R. F. Weiss 1974, fresh water.

    Examples
    --------
    >>> round(float(water_solubility(293.15)) * BAR, 2)  # g/L and bar
    1.7
    """
    kelvin = guards.temperature("temperature", temperature)
    per_atmosphere = np.exp(9345.17 / kelvin - 60.2409 + 23.3585 * np.log(kelvin / 100.0))  # mol/(kg atm)
    return np.asarray(per_atmosphere * _CO2 * 1000.0 / ATMOSPHERE)


def wine_solubility(temperature: Any, alcohol: Any, sugar: Any) -> Array:
    """Carbon dioxide dissolved in a wine or mead, per pressure of carbon dioxide.

    Parameters
    ----------
    temperature : array-like
        [K] 273.15 to 313.15.
    alcohol : array-like
        By volume. [m^3/m^3] 0 to 0.25.
    sugar : array-like
        Sugar, or sweet extract. [kg/m^3] 0 to 400.

    Returns
    -------
    numpy.ndarray
        Henry's constant. [kg/(m^3 Pa)] Pressures measured in one sparkling wine at 6 to 20 °C follow it within 1.2 %;
        published constants for such wine at 10 °C lie up to 8 % above.

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] Regulation (EEC) No 2676/90 at 20 °C, carried to other temperatures as water changes (Weiss). Estimate.

    Examples
    --------
    >>> round(float(wine_solubility(293.15, 0.12, 0.0)) * BAR, 3)
    1.444
    """
    percent = 100.0 * guards.share("alcohol", alcohol, 0.25)
    sweet = guards.within("sugar", sugar, 0.0, 400.0, "kg/m³")
    at_twenty = 1.951e-5 * (0.86 - 0.01 * percent) * (1.0 - 0.00144 * sweet)
    return np.asarray(at_twenty * water_solubility(temperature) / water_solubility(REFERENCE_TEMPERATURE))


GAS_PER_HEXOSE = Span(0.450, 0.470, 0.4886)
"""Carbon dioxide that a second fermentation makes of hexose. [kg/kg] Theory at most; 5 % to yeast and glycerol."""


class Bottle(msgspec.Struct, frozen=True):
    """A closed bottle after all that can ferment has fermented.

    Attributes
    ----------
    pressure : numpy.ndarray
        Partial pressure of carbon dioxide. [Pa]
    gauge : numpy.ndarray
        Pressure above that of the air around it. [Pa]
    dissolved : numpy.ndarray
        Carbon dioxide in the liquid. [kg/m^3]
    """

    pressure: Array
    gauge: Array
    dissolved: Array


def refermentation(
    hexose: Any,
    temperature: Any,
    alcohol: Any,
    sugar: Any = 0.0,
    fill: float = 0.75e-3,
    headspace: float = 0.015e-3,
    present: Any = STANDING,
    gas_per_hexose: float = GAS_PER_HEXOSE.typical,
    purged: bool = False,
) -> Bottle:
    """Pressure that residual or added sugar makes in a closed bottle if yeast takes all of it.

    Parameters
    ----------
    hexose : array-like
        Fermentable sugar at closing, as hexose. [kg/m^3]
    temperature : array-like
        At which the bottle is kept. [K] 273.15 to 313.15.
    alcohol : array-like
        By volume at closing. [m^3/m^3]
    sugar : array-like
        Sweet extract that stays, which leaves less room for gas. [kg/m^3]
    fill, headspace : float
        Volume of liquid, and of the gas above it. [m^3] Default a bottle of 750 mL with 15 mL above.
    present : array-like
        Carbon dioxide dissolved at closing. [kg/m^3] See `STANDING`, and `DEGASSED`.
    gas_per_hexose : float
        Carbon dioxide made. [kg/kg] See `GAS_PER_HEXOSE`.
    purged : bool
        The air of the headspace was driven out before closing. [-]

    Returns
    -------
    Bottle
        Pressures and what is dissolved. [Pa, kg/m^3] As Henry's law and an ideal gas have it; within about 10 %.

    Raises
    ------
    guards.BadInput
        A negative amount, or a value outside the range.

    Notes
    -----
    Gas in all = dissolved + headspace, both in proportion to the same pressure. The alcohol that the sugar makes is
    added before solubility is taken. Never a promise of what a bottle bears: see `vessel_words`.

    Examples
    --------
    >>> at_twenty = refermentation(24.0, 293.15, 0.125)
    >>> round(float(at_twenty.gauge) / BAR, 1)
    8.7
    """
    food = guards.amount("fermentable sugar", hexose, "kg/m³")
    kelvin = guards.temperature("temperature", temperature)
    volume = guards.within("fill", fill, 1e-9, np.inf, "m³")
    room = guards.amount("headspace", headspace, "m³")
    held = guards.amount("carbon dioxide present", present, "kg/m³")
    stronger = np.clip(guards.share("alcohol", alcohol, 0.25) + food * 0.465 / 789.24, 0.0, 0.25)
    henry = wine_solubility(kelvin, stronger, sugar)
    whole = (held + gas_per_hexose * food) * volume
    pressure = whole / (henry * volume + _CO2 * room / (GAS_CONSTANT * kelvin))
    gauge = pressure - (ATMOSPHERE if purged else 0.0)
    return Bottle(np.asarray(pressure), np.asarray(gauge), np.asarray(henry * pressure))


class BottleKind(msgspec.Struct, frozen=True):
    """What a pressure asks of the bottle. [-]"""

    name: str
    words: str


_SPARKLING = (
    "Only bottles made for sparkling wine, with wired closures. Wear goggles, keep them cool and away from people."
)
_VESSELS = (
    (0.5, BottleKind("still", "Any sound bottle and closure.")),
    (
        ORDINARY / BAR,
        BottleKind("prickling", "A trace of gas. Corks can creep in warmth: keep it cool, watch the first bottles."),
    ),
    (
        2.5,
        BottleKind("semi-sparkling", f"Not for ordinary bottles, which are rated for no pressure. {_SPARKLING}"),
    ),
    (6.0, BottleKind("sparkling", _SPARKLING)),
    (
        8.0,
        BottleKind(
            "at the limit", f"As much as bottles for sparkling wine are made for: ask their maker. {_SPARKLING}"
        ),
    ),
    (
        np.inf,
        BottleKind("beyond any bottle", "No bottle is made for this: do not close it. Keep it under an airlock."),
    ),
)


def vessel_words(gauge: float) -> BottleKind:
    """What kind of bottle and closure a pressure at 20 °C asks for, in words.

    Parameters
    ----------
    gauge : float
        Pressure above that of the air, at 20 °C. [Pa] Take the high end of what is uncertain.

    Raises
    ------
    guards.BadInput
        Not a number.

    Notes
    -----
    The bounds are those of the law: still below 1 bar (CETIE), semi-sparkling to 2.5 and sparkling from 3 bar
    (Regulation (EU) No 1308/2013). Bottles for sparkling wine work at 5 to 6 bar in a cool cellar, which are 7 to 8 at
    20 °C. No standard rates bottles for still wine; what new ones bear in a test says nothing of used ones.

    Examples
    --------
    >>> vessel_words(4.0 * BAR).name
    'sparkling'
    """
    pressure = float(guards.within("pressure", gauge, -np.inf, np.inf, "Pa")) / BAR
    return next(vessel for limit, vessel in _VESSELS if pressure < limit)
