"""Refractive index of any liquid of this craft, and the °Brix that a refractometer makes of it.

Light is slowed by every substance in proportion to its mass per volume (Lorentz and Lorenz), so that the index follows
from the masses and the density. Sucrose alone gives the sugar analysts' scale again.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model import guards, sucrose
from planner.model.components import COMPONENTS, INDEX
from planner.model.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from planner.model.liquid import Liquid, density
from planner.model.numerics import polynomial

Array = npt.NDArray[np.float64]

WATER_INDEX = 1.33299
"""Refractive index of water at 20 °C, sodium light, against air. [-] ICUMSA SPS-3, OIV-MA-AS2-02."""

_SPECIFIC = np.array([c.specific_refraction for c in COMPONENTS.values()])
_WATER_RHO = float(sucrose.water_density(REFERENCE_TEMPERATURE))
_SPECIFIC[INDEX["water"]] = (WATER_INDEX**2 - 1.0) / (WATER_INDEX**2 + 2.0) / _WATER_RHO  # unrounded: water is exact

_ETHANOL_RISE = 3.4e-6
# Ethanol's specific refraction by its share of the solvent: 0.2770 cm3/g diluted, 0.2804 neat (n 1.3611). Fitted to
# the handbook's indices of 1 to 40 % ethanol, which it meets to one unit of their fourth decimal. [m^3/kg]

_CROWDING = (0.0, -1.48158e-6, -1.70371e-6, 0.53902e-6)
# How sucrose's specific refraction changes with its mass fraction, such that the scale below comes out within
# 0.002 °Brix from 3 to 85 %. [m^3/kg]

_WARMTH = 2.68e-8
# The same with temperature, per mass fraction and kelvin: fitted to the correction table of OIV-MA-AS2-02 from 5 to
# 17 °C and 10 to 70 %, which it meets within 0.035 °Brix. [m^3/(kg K)]

_SCALE = (-99127.4536 + 0.0184, 318417.95, -413145.80, 270177.93, -88885.21, 11758.74)
# °Brix by rising powers of the index, as published; without the 0.0184, its printed coefficients are too short.
_LOWEST, _HIGHEST = 1.325, 1.515


def _water_refraction(temperature: Array) -> Array:
    """Specific refraction of water over that at 20 °C, sodium light. [-] IAPWS R9-97, eq. 1."""
    light = (0.5893 / 0.589) ** 2
    constant = (
        0.244257733
        + 0.00158920570 / light
        + 0.00245934259 / (light - 0.2292020**2)
        + 0.900704920 / (light - 5.432937**2)
    )

    def by_density_and_warmth(kelvin: Any) -> Array:
        delta = np.asarray(sucrose.water_density(kelvin)) / 1000.0
        theta = np.asarray(kelvin, dtype=float) / ZERO_CELSIUS
        return (
            constant
            + 0.00974634476 * delta
            - 0.0166626219 * delta**2
            + theta * (-0.00373234996 + 2.68678472e-4 * light)
        )

    return np.asarray(by_density_and_warmth(temperature) / by_density_and_warmth(REFERENCE_TEMPERATURE))


def refractive_index(liquid: Liquid, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """Refractive index of a liquid for sodium light, against air.

    Parameters
    ----------
    liquid : Liquid
        Shape (...); up to 0.25 by volume of ethanol and 0.85 by mass of extract. [kg]
    temperature : array-like
        Temperature; broadcast against the liquid. [K] 273.15 to 313.15.

    Returns
    -------
    numpy.ndarray
        Refractive index. [-] Sucrose in water to 2e-6, ethanol in water to 1e-4. Neat honey is not well met (its
        index follows from its moisture, see `refractometer.honey_index`); its musts are.

    Raises
    ------
    guards.BadInput
        A negative mass, or a temperature beyond the range.

    Notes
    -----
    (n² - 1)/(n² + 2) = density times the sum of mass fraction times specific refraction (Lorentz, Lorenz).

    References
    ----------
    .. [1] ICUMSA SPS-3 for sucrose, by the published fit of `brix_from_index`. .. [2] Specific refractions from the
       CRC Handbook, 102nd ed.; see `components`. .. [3] IAPWS R9-97 for water that is not at 20 °C.

    Examples
    --------
    >>> round(float(refractive_index(Liquid.of(water=0.9, sucrose=0.1))), 5)
    1.34782
    """
    masses = guards.masses(liquid.masses)
    kelvin = guards.temperature("temperature", temperature)
    total = liquid.mass
    extract = liquid.extract
    solvent = total - extract
    with np.errstate(invalid="ignore", divide="ignore"):
        w = np.where(total > 0.0, extract / total, 0.0)
        p = np.where(solvent > 0.0, liquid["ethanol"] / solvent, 0.0)
    refraction = (
        np.tensordot(_SPECIFIC, masses, axes=(0, 0))
        + polynomial(_CROWDING, w) * extract
        + _ETHANOL_RISE * p * liquid["ethanol"]
    )
    if np.any(kelvin != REFERENCE_TEMPERATURE):
        refraction = (
            refraction
            + _SPECIFIC[INDEX["water"]] * (_water_refraction(kelvin) - 1.0) * liquid["water"]
            + _WARMTH * w * (kelvin - REFERENCE_TEMPERATURE) * extract
        )
    slowed = density(liquid, kelvin) * refraction / total
    return np.asarray(np.sqrt((1.0 + 2.0 * slowed) / (1.0 - slowed)))


def brix_from_index(index: Any) -> Array:
    """What a refractometer's °Brix scale says of an index at 20 °C.

    Parameters
    ----------
    index : array-like
        Refractive index, sodium light, 20 °C. [-] 1.325 to 1.515.

    Returns
    -------
    numpy.ndarray
        °Brix: mass of sucrose per 100 of solution with that index. [g/(100 g)]

    Raises
    ------
    guards.BadInput
        An index outside the scale.

    References
    ----------
    .. [1] Published fit to the table of ICUMSA SPS-3, raised by 0.0184 °Brix, as its coefficients are printed with too
       few figures. With it, the OIV's table (OIV-MA-AS2-02) is met within 0.004 °Brix from 10 to 30 %.

    Examples
    --------
    >>> round(float(brix_from_index(1.37233)), 2)
    25.0
    """
    return polynomial(_SCALE, guards.within("refractive index", index, _LOWEST, _HIGHEST))


def apparent_brix(liquid: Liquid, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """What a refractometer without compensation shows of a liquid, whatever is dissolved in it.

    Parameters
    ----------
    liquid : Liquid
        Shape (...). [kg] See `refractive_index`.
    temperature : array-like
        Of the drop on the prism. [K] 273.15 to 313.15.

    Returns
    -------
    numpy.ndarray
        °Brix as shown; sugar only in a solution of sugar, while alcohol counts about 0.35 per % vol. [g/(100 g)]

    Raises
    ------
    guards.BadInput
        Off the scale, as a liquid is of which four fifths are ash; see also `refractive_index`.

    Examples
    --------
    >>> round(float(apparent_brix(Liquid.of(water=0.90359, ethanol=0.09641))), 1)  # 12 % vol, no extract
    4.3
    """
    return brix_from_index(refractive_index(liquid, temperature))
