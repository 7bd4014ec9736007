"""Sucrose and water: the density formula of the sugar analysts, and the room a kilogram of sugar takes."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from planner.model.numerics import polynomial

Array = npt.NDArray[np.float64]

# b[j][i]: power j of (t - 20)/100, power i + 1 of the mass fraction.
_B = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
_WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)


def water_density(temperature: Any) -> Array:
    """Density of air-free water, as the sucrose formula takes it.

    Parameters
    ----------
    temperature : array-like
        Temperature. [K] Valid from 273.15 to 353.15.

    Returns
    -------
    numpy.ndarray
        Density. [kg/m^3]

    References
    ----------
    .. [1] ICUMSA, Specification and Standard SPS-4, "Densimetry and tables", 1998.

    Examples
    --------
    >>> round(float(water_density(293.15)), 3)
    998.203
    """
    t = np.asarray(temperature, dtype=float) - ZERO_CELSIUS
    return polynomial(_WATER, t) / (1.0 + 16.887236e-3 * t)


@lru_cache(maxsize=64)
def _at_one_temperature(temperature: float) -> float:
    """Density of water at a temperature that is asked for again and again. [kg/m^3]"""
    return float(water_density(temperature))


def solids_term(mass_fraction: Any, temperature: Any) -> Array:
    """What dissolved sucrose adds to the density of water, per unit of its mass fraction.

    Parameters
    ----------
    mass_fraction : array-like
        Mass of sucrose over mass of the solution. [kg/kg]
    temperature : array-like
        Temperature. [K]

    Returns
    -------
    numpy.ndarray
        (density - density of water) / mass fraction; finite at zero. [kg/m^3]

    References
    ----------
    .. [1] ICUMSA SPS-4, 1998, after H. Bettin and F. Spieweck, PTB-Mitteilungen, vol. 100, 1990.
    """
    if isinstance(temperature, float) and temperature == REFERENCE_TEMPERATURE:
        return polynomial(_B[0], mass_fraction)
    w, tau = np.broadcast_arrays(
        np.asarray(mass_fraction, dtype=float),
        (np.asarray(temperature, dtype=float) - REFERENCE_TEMPERATURE) / 100.0,
    )
    total = polynomial(_B[0], w)
    if np.any(tau):
        for power, coefficients in enumerate(_B[1:], start=1):
            total = total + polynomial(coefficients, w) * tau**power
    return total


def density(mass_fraction: Any, temperature: Any) -> Array:
    """Density of a sucrose solution at one atmosphere.

    Parameters
    ----------
    mass_fraction : array-like
        Mass of sucrose over mass of the solution. [kg/kg] Stated for 0 to 0.70; used, with growing error, to 0.85.
    temperature : array-like
        Temperature. [K] Stated for 273.15 to 353.15.

    Returns
    -------
    numpy.ndarray
        Density. [kg/m^3]

    References
    ----------
    .. [1] ICUMSA, Specification and Standard SPS-4, "Densimetry and tables", 1998.

    Examples
    --------
    >>> round(float(density(0.20, 293.15)), 2)
    1080.98
    """
    w = np.asarray(mass_fraction, dtype=float)
    return np.asarray(water_density(temperature) + w * solids_term(w, temperature))


def apparent_specific_volume(mass_fraction: Any, temperature: Any) -> Array:
    """The volume that a mass of sucrose adds to the water it is dissolved in.

    Parameters
    ----------
    mass_fraction : array-like
        Mass of sucrose over mass of the solution. [kg/kg] Above 0.85 the value at 0.85 is used.
    temperature : array-like
        Temperature. [K]

    Returns
    -------
    numpy.ndarray
        Apparent specific volume. [m^3/kg]

    Notes
    -----
    From V = m/rho = m_w/rho_w + m_s v follows v = (1 - B/rho_w)/rho ... with rho = rho_w + w B; written so that
    nothing is divided by the mass fraction and the limit at infinite dilution is exact.

    References
    ----------
    .. [1] ICUMSA SPS-4, 1998.

    Examples
    --------
    >>> round(float(apparent_specific_volume(0.0, 293.15)) * 1e3, 4)
    0.6152
    """
    w = np.minimum(np.asarray(mass_fraction, dtype=float), 0.85)
    water = _at_one_temperature(temperature) if isinstance(temperature, float) else water_density(temperature)
    added = solids_term(w, temperature)
    rho = water + w * added
    # 1/rho = (1 - w)/rho_w + w v  =>  v = (1/rho - 1/rho_w)/w + 1/rho_w = -B/(rho rho_w) + 1/rho_w
    return np.asarray((1.0 - added / rho) / water)
