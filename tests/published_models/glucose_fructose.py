"""A published model as published: glucose and fructose in competition, uptake held back by ethanol, death by heat.

Zenteno, Pérez-Correa, Gelmi & Agosin 2010, with its heat balance. It stands here unchanged, so that the planning model of
`kinetics`, which took most of its structure, can be set beside it. No lag, no tolerance of a strain.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from tests.published_models.validity import Outside, Ranges, outside

Array = npt.NDArray[np.float64]

HOURS = 24.0  # per day; the paper counts in hours
GAS_CONSTANT = 8.314  # as the paper's code has it [kJ/(kmol K)]


class Parameters(NamedTuple):
    """One row set of parameters, as the paper prints them: in hours, energies in kJ/kmol.

    Attributes
    ----------
    growth : float
        Specific growth rate at 300 K. [1/h]
    glucose_uptake, fructose_uptake : float
        Ethanol made per yeast at 296.15 K. [kg/(kg h)]
    half_nitrogen, half_glucose, half_fructose, half_glucose_on_fructose, half_ethanol : float
        Concentrations that halve what they limit, at 293.15 K. [kg/m^3]
    death : float
        Of yeast at 305.65 K without ethanol. [1/h]
    yeast_per_nitrogen, yeast_per_sugar, ethanol_per_sugar : float
        Yields. [kg/kg]
    maintenance : float
        Sugar per yeast at 293.30 K. [kg/(kg h)]
    ranges : mapping
        What it was fitted to. [SI]
    source : str
        Citation, and how far it was read.
    """

    growth: float
    glucose_uptake: float
    fructose_uptake: float
    half_nitrogen: float
    half_glucose: float
    half_fructose: float
    half_glucose_on_fructose: float
    half_ethanol: float
    death: float
    yeast_per_nitrogen: float
    yeast_per_sugar: float
    ethanol_per_sugar: float
    maintenance: float
    ranges: Ranges
    source: str


ZENTENO_2010 = Parameters(
    growth=0.18,
    glucose_uptake=0.225,
    fructose_uptake=0.225,
    half_nitrogen=0.01,
    half_glucose=7.5,
    half_fructose=7.5,
    half_glucose_on_fructose=55.0,
    half_ethanol=40.0,
    death=4.4e-4,
    yeast_per_nitrogen=19.69,
    yeast_per_sugar=1.60,
    ethanol_per_sugar=0.49,
    maintenance=0.01,
    ranges={"temperature": (285.15, 305.15), "starting sugar": (180.0, 260.0), "starting nitrogen": (0.080, 0.350)},
    source="Zenteno et al. 2010, J. Food Eng. 99(1), 40-48, by public code of the same group; ranges estimated",
)
"""Red musts in a winery's tank. Growth, ethanol's half value, maintenance and heat are Boulton's of 1979."""

# Energies of activation and the temperatures at which the parameters hold. [kJ/kmol], [K]
_GROWTH, _UPTAKE, _SATURATION, _MAINTENANCE = (
    (59453.0, 300.0), (11000.0, 296.15), (46055.0, 293.15), (37681.0, 293.30),
)  # fmt: skip
_DEATH, _DEATH_PER_ETHANOL = (130000.0, 305.65), 0.0415  # [kJ/kmol], [K]; [m^3/kg]
_DEADLY = (315.89, -0.1279, 0.0049, -1e-4)  # temperature from which yeast dies, by rising powers of ethanol [K]
COLDEST_DEADLY = 273.15
"""Lowest temperature that may count as deadly. [K] The paper's cubic leaves what is physical above 85 g/L of ethanol."""

HEAT, HEAT_CAPACITY = 651.28e3, 4.15e3
"""Heat set free per hexose [J/kg] (Boulton 1979), and heat capacity of the must [J/(kg K)]."""


def must_density(sugar: Any, ethanol: Any, temperature: Any) -> Array:
    """Density of the must as the model's heat balance has it.

    Parameters
    ----------
    sugar, ethanol : array-like
        Mass fractions. [kg/kg]
    temperature : array-like
        Temperature. [K]

    Returns
    -------
    numpy.ndarray
        Density. [kg/m^3] For the balance only; `liquid.density` is the one to rely on.
    """
    s, e = np.asarray(sugar, dtype=float), np.asarray(ethanol, dtype=float)
    at_rest = 998.69 + 361.0 * s - 150.08 * e + 176.2 * s**2 - 59.24 * e**2 + 50.34 * s * e
    return np.asarray(at_rest * (1.2242 - 0.00075 * np.asarray(temperature, dtype=float)))


def deadly_temperature(ethanol: Any) -> Array:
    """Temperature from which yeast dies.

    Parameters
    ----------
    ethanol : array-like
        Concentration. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        Temperature. [K] Not below `COLDEST_DEADLY`.

    Examples
    --------
    >>> round(float(deadly_temperature(60.0)) - 273.15, 1)
    31.1
    """
    e = np.asarray(ethanol, dtype=float)
    cubic = sum(a * e**i for i, a in enumerate(_DEADLY))
    return np.asarray(np.maximum(cubic, COLDEST_DEADLY))


def _arrhenius(energy: tuple[float, float], temperature: Any) -> Any:
    return np.exp(energy[0] * (temperature - energy[1]) / (energy[1] * GAS_CONSTANT * temperature))


def growth_rate(temperature: Any, parameters: Parameters = ZENTENO_2010) -> Array:
    """Specific growth rate with nitrogen in plenty. [1/d] At a temperature [K]."""
    return np.asarray(parameters.growth * HOURS * _arrhenius(_GROWTH, np.asarray(temperature, dtype=float)))


def death_rate(ethanol: Any, temperature: Any, parameters: Parameters = ZENTENO_2010) -> Array:
    """Specific death rate. [1/d] With ethanol [kg/m^3] at a temperature [K]; nothing below `deadly_temperature`."""
    e, t = np.asarray(ethanol, dtype=float), np.asarray(temperature, dtype=float)
    rate = parameters.death * HOURS * np.exp(_DEATH_PER_ETHANOL * e) * _arrhenius(_DEATH, t)
    return np.where(t >= deadly_temperature(e), rate, 0.0)


class Trace(NamedTuple):
    """How one must fermented by the model.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Since pitching. [d]
    glucose, fructose, ethanol, nitrogen, yeast : numpy.ndarray, shape (n,)
        Concentrations. [kg/m^3]
    temperature : numpy.ndarray, shape (n,)
        Of the must. [K]
    outside : tuple of Outside
        What was asked beyond the fitted range.
    """

    days: Array
    glucose: Array
    fructose: Array
    ethanol: Array
    nitrogen: Array
    yeast: Array
    temperature: Array
    outside: tuple[Outside, ...]

    @property
    def sugar(self) -> Array:
        """Both hexoses. [kg/m^3]"""
        return self.glucose + self.fructose


def ferment(
    glucose: float,
    fructose: float,
    nitrogen: float,
    yeast: float,
    temperature: float,
    days: Array,
    parameters: Parameters = ZENTENO_2010,
    cooling: float | None = None,
) -> Trace:
    """Ferment a must by the model.

    Parameters
    ----------
    glucose, fructose, nitrogen, yeast : float
        At pitching. [kg/m^3]
    temperature : float
        Of the must, throughout; with `cooling`, of the must at pitching and of its room. [K]
    days : numpy.ndarray, shape (n,)
        Days wanted, rising from 0. [d]
    parameters : Parameters
        Row set. [as its fields]
    cooling : float or None
        Share of its excess over the room that the must loses per day; 0 loses no heat, None holds the temperature. [1/d]

    Returns
    -------
    Trace
        At the days wanted. [as its fields]

    References
    ----------
    .. [1] Zenteno, Pérez-Correa, Gelmi & Agosin 2010.
    """
    from scipy.integrate import solve_ivp  # slow to import

    p = parameters
    mass = 1000.0 + 0.4 * (glucose + fructose)  # of a cubic metre of must, for fractions in the heat balance [kg/m^3]

    def slope(_: float, state: Array) -> list[float]:
        g, f, e, n, x = np.maximum(state[:5], 0.0)
        t = state[5]
        saturation = _arrhenius(_SATURATION, t)
        growing = growth_rate(t, p) * n / (n + p.half_nitrogen * saturation)
        ethanol_brake = p.half_ethanol * saturation / (e + p.half_ethanol * saturation)
        warm = HOURS * _arrhenius(_UPTAKE, t) * ethanol_brake
        from_glucose = p.glucose_uptake * warm * g / (g + p.half_glucose * saturation)
        glucose_brake = p.half_glucose_on_fructose * saturation / (g + p.half_glucose_on_fructose * saturation)
        from_fructose = p.fructose_uptake * warm * f / (f + p.half_fructose * saturation) * glucose_brake
        upkeep = p.maintenance * HOURS * _arrhenius(_MAINTENANCE, t) / max(g + f, 1e-9)
        used_g = (growing / p.yeast_per_sugar * (g > 0.0) + from_glucose / p.ethanol_per_sugar + upkeep * g) * x
        used_f = (growing / p.yeast_per_sugar * (f > 0.0) + from_fructose / p.ethanol_per_sugar + upkeep * f) * x
        warming = 0.0
        if cooling is not None:
            heavy = must_density((g + f) / mass, e / mass, t)
            warming = HEAT * (used_g + used_f) / (heavy * HEAT_CAPACITY) - cooling * (t - temperature)
        made = (from_glucose + from_fructose) * x
        return [-used_g, -used_f, made, -growing * x / p.yeast_per_nitrogen,
                (growing - death_rate(e, t, p)) * x, warming]  # fmt: skip

    start = [glucose, fructose, 0.0, nitrogen, yeast, temperature]
    found = solve_ivp(
        slope, (0.0, float(days[-1])), start, method="LSODA", t_eval=np.asarray(days), rtol=1e-7, atol=1e-7,
        max_step=1.0,
    )  # fmt: skip
    asked = {"temperature": found.y[5], "starting sugar": glucose + fructose, "starting nitrogen": nitrogen}
    g, f, e, n, x, t = np.maximum(found.y, 0.0)
    return Trace(np.asarray(days), g, f, e, n, x, t, outside(p.ranges, asked))
