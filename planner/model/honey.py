"""Neat honey: how heavy a litre of it is."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.liquid import WATER_DENSITY

Array = npt.NDArray[np.float64]

EXPANSION = -4.0e-4
"""Relative change of density with temperature. [1/K] Derived from the refractive index's -0.00023 per kelvin."""


def density(moisture: Any, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """Density of clear liquid honey.

    Crystallised honey holds air and is not a liquid of this density: it is weighed, not measured by volume.

    Parameters
    ----------
    moisture : array-like
        Mass of water over mass of honey. [kg/kg] Table from 0.13 to 0.21; continued smoothly.
    temperature : array-like
        Temperature. [K] 283.15 to 323.15.

    Returns
    -------
    numpy.ndarray
        Density, good to +-3 kg/m^3. [kg/m^3]

    References
    ----------
    .. [1] J. W. White, in FAO Agricultural Services Bulletin 124 (table of 1975): quadratic through its nine
       gravities, from memory with four independent checks; see resources/sources.csv, white-1975.

    Examples
    --------
    >>> round(float(density(0.17)), 0)
    1421.0
    """
    drier = 100.0 * np.asarray(moisture, dtype=float) - 17.0
    specific_gravity = 1.42347 - 0.0063017 * drier - 0.00020097 * drier**2
    warmth = 1.0 + EXPANSION * (np.asarray(temperature, dtype=float) - REFERENCE_TEMPERATURE)
    return np.asarray(specific_gravity * WATER_DENSITY * warmth)
