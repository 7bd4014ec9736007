"""Body: the viscosity of a drink, and how many steps of it a taster can tell apart."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.components import COMPONENTS, INDEX
from planner.model.constants import GAS_CONSTANT, REFERENCE_TEMPERATURE
from planner.model.liquid import Liquid, volume
from planner.model.span import Span

Array = npt.NDArray[np.float64]

# Ethanol and water at 20 °C: mass fraction, viscosity in mPa s (CRC Handbook, 102nd ed., concentrative properties).
_ETHANOL_POINTS = np.array([0.0, 0.06396, 0.08015, 0.09641, 0.10457, 0.11274, 0.12093, 0.12914, 0.14560, 0.20, 0.30])
_ETHANOL_VISCOSITY = np.array([1.0016, 1.300, 1.386, 1.480, 1.529, 1.581, 1.633, 1.688, 1.797, 2.142, 2.667]) * 1e-3

# The same mixtures as they thin with warmth: mass fraction along, 0, 10, 20, 30 and 40 °C down, mPa s (Bingham and
# Jackson 1917). At 20 °C they lie up to 2.5 % above the handbook, so only the ratio to that row is taken from them.
_WARMTHS = np.array([-20.0, -10.0, 0.0, 10.0, 20.0])  # K from the reference temperature
_WARM_POINTS = np.array([0.0, 0.10, 0.20, 0.30, 0.40, 0.50])
_WARM_VISCOSITY = np.array([
    [1.792, 3.311, 5.319, 6.94, 7.14, 6.58],
    [1.308, 2.179, 3.165, 4.05, 4.39, 4.18],
    [1.005, 1.538, 2.183, 2.71, 2.91, 2.87],
    [0.801, 1.160, 1.553, 1.87, 2.02, 2.02],
    [0.656, 0.907, 1.160, 1.368, 1.482, 1.499],
])  # fmt: skip
# Powers of the warmth, none to fourth, that go through the logarithms of all five rows; one column per mass fraction.
_THINNING = np.linalg.solve(np.vander(_WARMTHS, increasing=True), np.log(_WARM_VISCOSITY / _WARM_VISCOSITY[2]))

ACTIVATION_ENERGY = 22e3
"""Of what solutes add to the viscosity. [J/mol] Yanniotis et al. 2007, wines and sweet wines: 21.9 to 22.5 kJ/mol."""

STEP = 0.138e-3
"""Smallest difference a taster notices in wine at 20 °C. [Pa s] Danner et al. 2019, n = 45."""

WINE_CALIBRATION = Span(0.90, 0.95, 1.00)
"""Factor by which measured wines are thinner than the rule says. [-] Estimate from Danner 2019, Yanniotis 2007."""

_SLOPE = np.array([c.viscosity_slope for c in COMPONENTS.values()])
_RISE = np.array([c.viscosity_rise for c in COMPONENTS.values()])
_POLYMERS = {INDEX[c.key]: c.intrinsic_viscosity for c in COMPONENTS.values() if c.intrinsic_viscosity.high > 0.0}


def _thinned(share: Array, temperature: Any) -> Array:
    """Viscosity of ethanol and water over that at 20 °C. [-] Beyond 0 and 40 °C the ends of the table hold."""
    warmth = np.clip(np.asarray(temperature, dtype=float) - REFERENCE_TEMPERATURE, _WARMTHS[0], _WARMTHS[-1])
    share, warmth = np.broadcast_arrays(share, warmth)
    powers = [np.interp(share, _WARM_POINTS, row) for row in _THINNING]
    return np.asarray(np.exp(sum(power * warmth**i for i, power in enumerate(powers))))


def _by_rule(liquid: Liquid, temperature: Any, which: int) -> Array:
    """The rule with the low (0), typical (1) or high (2) intrinsic viscosities of the polymers. [Pa s]"""
    concentrations = liquid.masses / volume(liquid)
    both = liquid["water"] + liquid["ethanol"]
    with np.errstate(invalid="ignore", divide="ignore"):
        p = np.where(both > 0.0, liquid["ethanol"] / both, 0.0)
    shape = (-1,) + (1,) * (concentrations.ndim - 1)
    slopes = _SLOPE.reshape(shape) + _RISE.reshape(shape) * concentrations
    solvent = np.interp(p, _ETHANOL_POINTS, _ETHANOL_VISCOSITY)
    whole = solvent * np.exp((slopes * concentrations).sum(axis=0))
    for index, intrinsic in _POLYMERS.items():
        y = intrinsic[which] * concentrations[index]
        whole = whole * (1.0 + y + 0.4 * y**2)
    cold = 1.0 / np.asarray(temperature, dtype=float) - 1.0 / REFERENCE_TEMPERATURE
    dissolved = (whole - solvent) * np.exp(ACTIVATION_ENERGY / GAS_CONSTANT * cold)
    return np.asarray(solvent * _thinned(p, temperature) + dissolved)


def viscosity(liquid: Liquid, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """Viscosity of a drink by the mixing rule, as calibrated to wine.

    ln(viscosity) is that of ethanol and water plus each solute's slope times its concentration; polymers multiply
    by 1 + y + 0.4 y², y being intrinsic viscosity times concentration. Ethanol and water thin with warmth as measured;
    what the solutes add to them thins by an activation energy of its own.

    Parameters
    ----------
    liquid : Liquid
        Drinks: up to 0.20 by volume of ethanol and 250 kg/m^3 of extract. [kg]
    temperature : array-like
        Temperature. [K] 273.15 to 313.15.

    Returns
    -------
    numpy.ndarray
        Viscosity, 0 to 10 % above measured wines before calibration. [Pa s]

    References
    ----------
    .. [1] Additive logarithms: Migliori et al. 2007. .. [2] Slopes and ethanol table: CRC Handbook, 102nd ed.
    .. [3] Warmth: Bingham and Jackson 1917. .. [4] Polymers: dextran constants of Masuelli 2013; no measured series
       for maltodextrins is known here.
    """
    return np.asarray(WINE_CALIBRATION.typical * _by_rule(liquid, temperature, 1))


def viscosity_span(liquid: Liquid, temperature: float = REFERENCE_TEMPERATURE) -> Span:
    """Viscosity of one drink with the doubt about polymers and calibration. [Pa s] See `viscosity`."""
    low, typical, high = (float(_by_rule(liquid, temperature, which)) for which in range(3))
    calibration = WINE_CALIBRATION
    return Span(low * calibration.low, typical * calibration.typical, high * calibration.high)
