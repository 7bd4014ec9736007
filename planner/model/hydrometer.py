"""What a hydrometer says, and what it would have said at 20 °C."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model import sucrose
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.liquid import WATER_DENSITY, Liquid, density
from planner.model.scales import brix_from_gravity

Array = npt.NDArray[np.float64]

GLASS_EXPANSION = 25e-6
"""Cubic expansion of hydrometer glass. [1/K] ISO 1768:1975, conventional value."""


HOT, HOTTEST = 313.15, 353.15
"""From where on a sample is hot, as the formula for alcohol ends, and where that for sugar solutions ends. [K] OIML R 22; ICUMSA
SPS-4."""

HOT_DOUBT, HOTTER_DOUBT, HOTTER = 0.0015, 0.003, 333.15
"""Half width of the 90 % interval of a gravity read in a hot sample, up to a temperature, and beyond it. [-], [K] Estimate: the sample
cools by 2 to 4 K while the stem settles, at half a point for each, and water steams off."""


def sample_density(indicated: Any, temperature: Any, calibration: Any = REFERENCE_TEMPERATURE) -> Array:
    """Density of the liquid that floats a hydrometer at a mark.

    Parameters
    ----------
    indicated : array-like
        Specific gravity read off the stem, relative to water at the calibration temperature. [-]
    temperature : array-like
        Temperature of the sample. [K]
    calibration : array-like
        Temperature for which the hydrometer is made (293.15, 288.15 or 288.71). [K]

    Returns
    -------
    numpy.ndarray
        Density of the sample at its own temperature. [kg/m^3]

    References
    ----------
    .. [1] ISO 1768:1975 for the glass; the displaced mass equals the hydrometer's, which does not change.
    """
    glass = 1.0 - GLASS_EXPANSION * (np.asarray(temperature, dtype=float) - np.asarray(calibration, dtype=float))
    return np.asarray(np.asarray(indicated, dtype=float) * sucrose.water_density(calibration) * glass)


def corrected(
    indicated: Any,
    temperature: Any,
    like: Callable[[Array], Liquid],
    calibration: Any = REFERENCE_TEMPERATURE,
) -> Array:
    """Specific gravity 20/20 °C of a sample from the reading at its own temperature.

    Parameters
    ----------
    indicated : array-like, shape (n,)
        Specific gravities as read. [-]
    temperature : array-like, shape (n,)
        Temperatures of the samples. [K] 273.15 to 313.15.
    like : callable
        Gives, for gravities of shape (n,), liquids of the kind that the sample is and near that gravity: its thermal
        expansion is used. A must expands as sugar solution does, a finished mead more, for its alcohol. [-]
    calibration : array-like
        Temperature for which the hydrometer is made. [K]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Specific gravity at 20 °C relative to water at 20 °C. [-]

    Notes
    -----
    Fixed point on the composition; the expansion changes so little with gravity that three rounds settle it.
    """
    seen = sample_density(indicated, temperature, calibration)
    result = np.asarray(indicated, dtype=float)
    for _ in range(3):
        liquid = like(result)
        result = np.asarray(seen / WATER_DENSITY * density(liquid) / density(liquid, temperature))
    return result


def corrected_hot(indicated: Any, temperature: Any, calibration: Any = REFERENCE_TEMPERATURE) -> Array:
    """Specific gravity 20/20 °C of a hot must that has not begun to ferment, from the reading at its own temperature.

    Parameters
    ----------
    indicated : array-like, shape (n,)
        Specific gravities as read. [-]
    temperature : array-like, shape (n,)
        Temperatures of the samples; beyond `HOTTEST` as at it. [K]
    calibration : array-like
        Temperature for which the hydrometer is made. [K]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Specific gravity at 20 °C relative to water at 20 °C. [-] It expands as a solution of sucrose does.

    Examples
    --------
    >>> round(float(corrected_hot([1.100], [333.15])[0]), 4)
    1.1172
    """

    def like(gravities: Array) -> Liquid:
        share = np.clip(brix_from_gravity(gravities) / 100.0, 1e-9, 0.85)
        return Liquid.of(water=1.0 - share, sucrose=share)

    warmth = np.minimum(np.asarray(temperature, dtype=float), HOTTEST)
    return corrected(np.asarray(indicated, dtype=float), warmth, like, calibration)


def hot_doubt(temperature: Any) -> Array:
    """Half width of the 90 % interval of a gravity, as far as the heat of its sample makes it. [-]

    Parameters
    ----------
    temperature : array-like
        Of the sample. [K]
    """
    warmth = np.asarray(temperature, dtype=float)
    return np.asarray(np.where(warmth > HOTTER, HOTTER_DOUBT, np.where(warmth > HOT, HOT_DOUBT, 0.0)))
