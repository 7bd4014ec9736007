"""The scales a hydrometer or a label may speak, all read off the one density engine by root finding."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model import sucrose
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.liquid import WATER_DENSITY
from planner.model.numerics import solve_increasing

Array = npt.NDArray[np.float64]

LIGHTEST, HEAVIEST = -0.10, 0.85
"""Sucrose mass fractions between which a gravity can be told as °Brix; below zero the formula is continued. [-]"""


def gravity_from_brix(brix: Any) -> Array:
    """Specific gravity 20/20 °C of a sucrose solution.

    Parameters
    ----------
    brix : array-like
        °Brix: hundred times the mass fraction of sucrose. [g/(100 g)] -10 to 85.

    Returns
    -------
    numpy.ndarray
        Specific gravity. [-]

    References
    ----------
    .. [1] ICUMSA SPS-4, 1998.

    Examples
    --------
    >>> round(float(gravity_from_brix(20.0)), 5)
    1.08292
    """
    return np.asarray(sucrose.density(np.asarray(brix, dtype=float) / 100.0, REFERENCE_TEMPERATURE) / WATER_DENSITY)


def brix_from_gravity(gravity: Any) -> Array:
    """°Brix of a liquid with the density of a sucrose solution; the inverse of `gravity_from_brix`.

    Parameters
    ----------
    gravity : array-like
        Specific gravity 20/20 °C. [-]

    Returns
    -------
    numpy.ndarray
        °Brix; below water's gravity it is negative, as hydrometers for finished drinks are marked. [g/(100 g)]

    Examples
    --------
    >>> round(float(brix_from_gravity(1.08292)), 2)
    20.0
    """
    return 100.0 * solve_increasing(lambda w: gravity_from_brix(100.0 * w), gravity, LIGHTEST, HEAVIEST)
