"""Ethanol and water: density by the international alcoholometric formula."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.constants import ETHANOL_DENSITY, REFERENCE_TEMPERATURE
from planner.model.numerics import polynomial
from planner.model.sucrose import water_density

Array = npt.NDArray[np.float64]

# Coefficients as printed: A by rising power of p, B by rising power of (t - 20), C by power of (t - 20), then of p.
_A = (
    9.982012300e2, -1.929769495e2, 3.891238958e2, -1.668103923e3, 1.352215441e4, -8.829278388e4,
    3.062874042e5, -6.138381234e5, 7.470172998e5, -5.478461354e5, 2.234460334e5, -3.903285426e4,
)  # fmt: skip
_B = (-2.0618513e-1, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11)
_C = (
    (
        1.693443461530087e-1, -1.046914743455169e1, 7.196353469546523e1, -7.047478054272792e2,
        3.924090430035045e3, -1.210164659068747e4, 2.248646550400788e4, -2.605562982188164e4,
        1.852373922069467e4, -7.420201433430137e3, 1.285617841998974e3,
    ),
    (
        -1.193013005057010e-2, 2.517399633803461e-1, -2.170575700536993, 1.353034988843029e1,
        -5.029988758547014e1, 1.096355666577570e2, -1.422753946421155e2, 1.080435942856230e2,
        -4.414153236817392e1, 7.442971530188783,
    ),
    (
        -6.802995733503803e-4, 1.876837790289664e-2, -2.002561813734156e-1, 1.022992966719220,
        -2.895696483903638, 4.810060584300675, -4.672147440794683, 2.458043105903461, -5.411227621436812e-1,
    ),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)  # fmt: skip


_WARMEST = 20.0  # 40 °C, where the formula ends, above 20 °C [K]


def density(mass_fraction: Any, temperature: Any) -> Array:
    """Density of a mixture of ethanol and water at one atmosphere.

    Parameters
    ----------
    mass_fraction : array-like
        Mass of ethanol over mass of the mixture. [kg/kg] Valid from 0 to 1.
    temperature : array-like
        Temperature; broadcast against `mass_fraction`. [K] Valid from 253.15 to 313.15, and up to 348.15 for mixtures
        of up to 0.15 as carried on beyond the formula.

    Returns
    -------
    numpy.ndarray
        Density. [kg/m^3]

    Notes
    -----
    Above 40 °C the ratio to the density of water is carried on from its values at 20, 30 and 40 °C, by a parabola; water
    is that of the sugar formula, good to 80 °C. Two other ways to carry on agree within 0.0005 of the volume at 75 °C.
    Estimate.

    References
    ----------
    .. [1] OIML R 22, "International alcoholometric tables", 1975; the same formula and coefficients in the
       annex of Council Directive 76/766/EEC.

    Examples
    --------
    >>> round(float(density(0.1, 293.15)), 2)
    981.85
    """
    if isinstance(temperature, float) and temperature == REFERENCE_TEMPERATURE:
        return polynomial(_A, mass_fraction)
    p, d = np.broadcast_arrays(
        np.asarray(mass_fraction, dtype=float), np.asarray(temperature, dtype=float) - REFERENCE_TEMPERATURE
    )
    at_twenty = polynomial(_A, p)
    if not np.any(d):
        return at_twenty
    hot = d > _WARMEST
    if np.any(hot):
        return np.where(hot, _beyond(p, np.maximum(d, _WARMEST)), _at(p, np.minimum(d, _WARMEST), at_twenty))
    return _at(p, d, at_twenty)


def _at(p: Array, d: Array, at_twenty: Array) -> Array:
    """The formula, from its density at 20 °C. [kg/m^3]"""
    by_temperature = polynomial((0.0, *_B), d)
    mixed = np.zeros_like(p)
    for power, coefficients in reversed(list(enumerate(_C, start=1))):
        mixed = mixed + polynomial((0.0, *coefficients), p) * d**power
    return np.asarray(at_twenty + by_temperature + mixed)


def _beyond(p: Array, d: Array) -> Array:
    """The density above 40 °C. [kg/m^3]"""
    nodes = REFERENCE_TEMPERATURE + np.array([0.0, 10.0, _WARMEST])
    first, second, third = (density(p, kelvin) / density(0.0, kelvin) for kelvin in nodes.tolist())
    parabola = (
        (d - 10.0) * (d - 20.0) / 200.0 * first - d * (d - 20.0) / 100.0 * second + d * (d - 10.0) / 200.0 * third
    )
    end = nodes[-1]
    water = density(0.0, end) * water_density(REFERENCE_TEMPERATURE + d) / water_density(end)  # no step at 40 °C
    return np.asarray(parabola * water)


def volume_fraction(mass_fraction: Any) -> Array:
    """Alcoholic strength by volume at 20 °C of a mixture of ethanol and water.

    Parameters
    ----------
    mass_fraction : array-like
        Mass of ethanol over mass of the mixture. [kg/kg]

    Returns
    -------
    numpy.ndarray
        Volume of ethanol over volume of the mixture, both at 20 °C. [m^3/m^3]

    References
    ----------
    .. [1] OIML R 22, 1975: q = p rho(p, 20 °C) / rho(1, 20 °C).

    Examples
    --------
    >>> round(float(volume_fraction(0.09641)), 4)
    0.12
    """
    p = np.asarray(mass_fraction, dtype=float)
    return np.asarray(p * density(p, REFERENCE_TEMPERATURE) / ETHANOL_DENSITY)
