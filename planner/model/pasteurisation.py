"""Heat as a way to end all life in a bottle: how much a course of temperatures does, and how long to hold."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.constants import ZERO_CELSIUS
from planner.model.span import Span

Array = npt.NDArray[np.float64]

BASE_TEMPERATURE = 60.0 + ZERO_CELSIUS
"""At which one minute is one pasteurisation unit. [K] Definition."""

PER_KELVIN = 1.393
"""How much faster heat kills per kelvin. [-] Del Vecchio et al. 1951; ten times in 6.95 K, others say 7."""

TARGET = Span(30.0, 50.0, 100.0)
"""Units for still mead of 10 to 14 % vol with sugar left. [-] Estimate from 50 units for fermented cider; unfermented
juice needs 500 to 1000."""


def units_per_minute(temperature: Any) -> Array:
    """Pasteurisation units that each minute at a temperature counts for.

    Parameters
    ----------
    temperature : array-like
        At the coldest point, in the middle of the bottle. [K] 273.15 to 373.15.

    Returns
    -------
    numpy.ndarray
        Units per minute. [1/min]

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] Del Vecchio et al. 1951: 1.393^(T - 60 °C).

    Examples
    --------
    >>> round(float(units_per_minute(65.0 + 273.15)), 2)
    5.25
    """
    kelvin = guards.temperature("temperature", temperature, high=373.15)
    return np.asarray(PER_KELVIN ** (kelvin - BASE_TEMPERATURE))


def minutes_for(target: Any, temperature: Any) -> Array:
    """How long to hold a temperature for so many units.

    Parameters
    ----------
    target : array-like
        Units wanted; see `TARGET`. [-]
    temperature : array-like
        At the coldest point. [K] 273.15 to 373.15.

    Returns
    -------
    numpy.ndarray
        Time at that temperature, without the way up and down. [min]

    Raises
    ------
    guards.BadInput
        Outside the range.

    Examples
    --------
    >>> round(float(minutes_for(50.0, 65.0 + 273.15)), 1)
    9.5
    """
    return np.asarray(guards.amount("target", target, "units") / units_per_minute(temperature))
