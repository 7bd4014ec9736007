"""What is dissolved in a mead, and how strong it is: by density and alcohol, and by the gravity it has lost."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model import ethanol, guards
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.liquid import WATER_DENSITY
from planner.model.numerics import solve_increasing
from planner.model.scales import brix_from_gravity

Array = npt.NDArray[np.float64]


def extract_from_gravity(gravity: Any) -> Array:
    """Mass of sucrose per volume of a solution of that gravity: the extract tables of the analysts.

    Parameters
    ----------
    gravity : array-like
        Specific gravity 20/20 °C. [-] 0.99 to 1.40.

    Returns
    -------
    numpy.ndarray
        Extract. [kg/m^3]

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] ICUMSA SPS-4, 1998; the official tables of extract differ from it by up to 0.2 kg/m^3.

    Examples
    --------
    >>> round(float(extract_from_gravity(1.020)), 1)
    51.8
    """
    read = guards.within("gravity", gravity, 0.99, 1.40)
    return np.asarray(brix_from_gravity(read) / 100.0 * read * WATER_DENSITY)


def gravity_of_spirit(alcohol: Any) -> Array:
    """Specific gravity of ethanol and water of that strength.

    Parameters
    ----------
    alcohol : array-like
        Alcohol by volume at 20 °C. [m^3/m^3] 0 to 0.25.

    Returns
    -------
    numpy.ndarray
        Specific gravity 20/20 °C. [-]

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] OIML R 22, 1975.

    Examples
    --------
    >>> round(float(gravity_of_spirit(0.12)), 5)
    0.98413
    """
    strength = guards.share("alcohol", alcohol, 0.25)
    p = solve_increasing(ethanol.volume_fraction, strength, 0.0, 0.3)
    return np.asarray(ethanol.density(p, REFERENCE_TEMPERATURE) / ethanol.density(0.0, REFERENCE_TEMPERATURE))


class Shortcuts(NamedTuple):
    """Alcohol by the rules of thumb of the trade, made for grape or malt; for a cross-check only. [m^3/m^3]

    Attributes
    ----------
    drop : numpy.ndarray
        1.3125 times the drop of gravity. Common practice, no source. For musts of honey and fruit that end dry it is
        within 0.1 % vol of the balance up to 1.080, and 0.5 % vol below it at 1.120.
    sugar : numpy.ndarray
        True extract lost, at 16.83 kg/m^3 per % vol (French order of 14 September 2011, from OIV's convention).
    attenuation : numpy.ndarray
        C. J. N. Balling's equation with his apparent-to-real factors, from Cutaia, Reid & Speers 2009.
    """

    drop: Array
    sugar: Array
    attenuation: Array


DROP_FACTOR = 1.3125
"""Alcohol by volume per drop of gravity. [m^3/m^3] Common practice, no source."""

SUGAR_PER_ALCOHOL = 1683.0
"""Sugar that makes one unit of alcohol by volume. [kg/m^3] Convention for grape must: 16.83 kg/m^3 for 1 % vol."""

_SECANTS = 12
_ALIKE = 1e-9  # of alcohol by volume


def shortcuts(start: Any, present: Any) -> Shortcuts:
    """What the linear rules make of two gravities, to set beside the mass balance.

    Parameters
    ----------
    start, present : array-like
        Specific gravities 20/20 °C before fermentation and now. [-]

    Returns
    -------
    Shortcuts
        Three estimates. [m^3/m^3] They take all of the extract for sugar, and none knows what the must is made of.

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] Cutaia, Reid & Speers 2009 for Balling's equation and factors; OIV-MA-AS2-03B for the extract left.

    Examples
    --------
    >>> [round(100 * float(x), 1) for x in shortcuts(1.090, 1.000)]
    [11.8, 11.6, 12.2]
    """
    first = guards.within("starting gravity", start, 0.98, 1.25)
    now = guards.within("present gravity", present, 0.98, 1.25)
    original, apparent = brix_from_gravity(first), brix_from_gravity(now)
    real = 0.1808 * original + 0.8192 * apparent
    by_mass = (original - real) / (2.0665 - 0.010665 * original) / 100.0
    by_volume = by_mass * now * WATER_DENSITY / 789.24
    return Shortcuts(
        DROP_FACTOR * (first - now),
        _by_extract(first, now),
        np.asarray(by_volume),
    )


def _by_extract(first: Array, now: Array) -> Array:
    """Alcohol at which the extract that is gone, by density and alcohol, has made just that alcohol."""
    whole = brix_from_gravity(first) / 100.0 * first * WATER_DENSITY

    def made(alcohol: Array) -> Array:
        dry = np.clip(now - gravity_of_spirit(np.clip(alcohol, 0.0, 0.25)) + 1.0, 0.99, 1.4)
        return np.asarray(np.clip((whole - extract_from_gravity(dry)) / SUGAR_PER_ALCOHOL, 0.0, 0.25))

    # Each per cent of alcohol hides 3.9 of the 16.83 kg/m^3, nearly a straight line: secants settle it at once.
    before = np.clip(DROP_FACTOR * (first - now), 0.0, 0.25)
    alcohol = made(before)
    off = alcohol - before
    for _ in range(_SECANTS):
        rest = made(alcohol) - alcohol
        turned = np.where(np.abs(rest - off) > 0.0, rest - off, -1.0)
        step = -rest * (alcohol - before) / turned
        before, alcohol, off = alcohol, np.clip(alcohol + step, 0.0, 0.25), rest
        if np.all(np.abs(step) < _ALIKE):
            break
    return np.asarray(alcohol)
