"""A published model as published: growth limited by nitrogen, uptake by active yeast, death by ethanol.

Coleman, Fish & Block 2007, with its forerunner by Cramer, Vlassides & Block 2002 at one temperature. It stands here
unchanged, so that the planning model of `kinetics` can be set beside it. One sugar, no lag, no glycerol; its ethanol is
a measure of uptake, as its yield lies above what sugar can give.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from tests.published_models.validity import Outside, Ranges, outside

Array = npt.NDArray[np.float64]

HOURS = 24.0  # per day; the papers count in hours
ZERO_CELSIUS = 273.15


class Parameters(NamedTuple):
    """One row set of parameters. Polynomials are of the natural logarithm, by rising powers of the temperature in °C.

    Attributes
    ----------
    growth : tuple of float
        Greatest specific growth rate, polynomial. [1/h]
    uptake : tuple of float
        Greatest ethanol made per active yeast, polynomial. [kg/(kg h)]
    decline : tuple of float
        Loss of active yeast per ethanol, polynomial. [m^3/(kg h)]
    coldest_decline : float
        Temperature below which the decline is that of this temperature. [°C]
    half_nitrogen, half_sugar : float
        Concentrations that halve growth and uptake. [kg/m^3]
    ethanol_per_sugar : float
        Turns the making of ethanol into the use of sugar. [kg/kg]
    yeast_per_nitrogen : tuple of float
        Polynomial of the initial nitrogen in kg/m^3. [kg/kg]
    ranges : mapping
        What it was fitted to. [SI]
    source : str
        Citation, and how far it was read.
    """

    growth: tuple[float, ...]
    uptake: tuple[float, ...]
    decline: tuple[float, ...]
    coldest_decline: float
    half_nitrogen: float
    half_sugar: float
    ethanol_per_sugar: float
    yeast_per_nitrogen: tuple[float, ...]
    ranges: Ranges
    source: str


COLEMAN_2007 = Parameters(
    growth=(-3.92, 0.0782),
    # A second transcription prints -2.30, twice as fast. What the paper says of its ferments at 11 and 15 °C, the
    # forerunner's 0.30 at 23 °C and the glucose-fructose model all speak for this one.
    uptake=(-2.98, 0.0771),
    decline=(-9.81, -0.108, 0.00478),
    coldest_decline=0.108 / (2.0 * 0.00478),  # the parabola's minimum, 11.3 °C
    half_nitrogen=float(np.exp(-4.73)),
    half_sugar=float(np.exp(2.33)),
    ethanol_per_sugar=float(np.exp(-0.598)),
    yeast_per_nitrogen=(3.50, -3.61),  # from memory; too low at little nitrogen, where the paper has about 40 kg/kg
    ranges={
        "temperature": (284.15, 308.15),
        "starting sugar": (265.0, 300.0),
        "starting nitrogen": (0.070, 0.350),
    },
    source="Coleman, Fish & Block 2007, Appl. Environ. Microbiol. 73(18), 5875-5884, table A2, by transcriptions",
)
"""White musts of 265 to 300 g/L and 70 to 350 mg N/L in flasks at 11 to 35 °C."""

CRAMER_2002 = Parameters(
    growth=(float(np.log(0.16)),),
    uptake=(float(np.log(0.30)),),
    decline=(float(np.log(1e-4)),),
    coldest_decline=-ZERO_CELSIUS,
    half_nitrogen=0.010,
    half_sugar=10.0,
    ethanol_per_sugar=0.47,
    yeast_per_nitrogen=(float(np.log(31.0)),),
    ranges={"temperature": (296.15, 300.15), "starting sugar": (200.0, 300.0), "starting nitrogen": (0.070, 0.350)},
    source="Cramer, Vlassides & Block 2002, Biotechnol. Bioeng. 77, 49-60, by public scripts; range estimated",
)
"""The same structure at one temperature, which by its constants is 25 to 27 °C."""


class Constants(NamedTuple):
    """The model's constants at one temperature, per day."""

    growth: Array  # [1/d]
    uptake: Array  # ethanol per active yeast [kg/(kg d)]
    decline: Array  # per ethanol [m^3/(kg d)]


def _ln_polynomial(coefficients: tuple[float, ...], x: Any) -> Array:
    return np.asarray(np.exp(sum(a * np.asarray(x, dtype=float) ** i for i, a in enumerate(coefficients))))


def constants(temperature: Any, parameters: Parameters = COLEMAN_2007) -> Constants:
    """Constants at a temperature.

    Parameters
    ----------
    temperature : array-like
        Temperature. [K]
    parameters : Parameters
        Row set. [as its fields]

    Returns
    -------
    Constants
        Per day. [as its fields]

    Examples
    --------
    >>> round(float(constants(298.15).growth) / 24, 3)
    0.14
    """
    celsius = np.asarray(temperature, dtype=float) - ZERO_CELSIUS
    return Constants(
        _ln_polynomial(parameters.growth, celsius) * HOURS,
        _ln_polynomial(parameters.uptake, celsius) * HOURS,
        _ln_polynomial(parameters.decline, np.maximum(celsius, parameters.coldest_decline)) * HOURS,
    )


class Trace(NamedTuple):
    """How one must fermented by the model.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Since pitching. [d]
    sugar, ethanol, nitrogen, yeast, active : numpy.ndarray, shape (n,)
        Concentrations; yeast in all, and what of it is active. [kg/m^3]
    outside : tuple of Outside
        What was asked beyond the fitted range.
    """

    days: Array
    sugar: Array
    ethanol: Array
    nitrogen: Array
    yeast: Array
    active: Array
    outside: tuple[Outside, ...]


def ferment(
    sugar: float,
    nitrogen: float,
    yeast: float,
    temperature: float,
    days: Array,
    parameters: Parameters = COLEMAN_2007,
    faster: float = 1.0,
) -> Trace:
    """Ferment a must by the model.

    Parameters
    ----------
    sugar, nitrogen, yeast : float
        At pitching; the yeast all active. [kg/m^3]
    temperature : float
        Temperature throughout. [K]
    days : numpy.ndarray, shape (n,)
        Days wanted, rising from 0. [d]
    parameters : Parameters
        Row set. [as its fields]
    faster : float
        Factor on uptake; 1 is the paper. [-]

    Returns
    -------
    Trace
        At the days wanted. [as its fields]

    References
    ----------
    .. [1] Coleman, Fish & Block 2007, equations 1 to 8.
    """
    from scipy.integrate import solve_ivp  # slow to import

    now = constants(temperature, parameters)
    per_nitrogen = float(_ln_polynomial(parameters.yeast_per_nitrogen, nitrogen))

    def slope(_: float, state: Array) -> list[float]:
        sugar_, ethanol, nitrogen_, _whole, active = np.maximum(state, 0.0)
        growing = now.growth * nitrogen_ / (nitrogen_ + parameters.half_nitrogen) * active
        making = faster * now.uptake * sugar_ / (sugar_ + parameters.half_sugar) * active
        dying = now.decline * ethanol * active
        used = making / parameters.ethanol_per_sugar
        return [-used, making, -growing / per_nitrogen, growing, growing - dying]

    start = [sugar, 0.0, nitrogen, yeast, yeast]
    found = solve_ivp(
        slope, (0.0, float(days[-1])), start, method="LSODA", t_eval=np.asarray(days), rtol=1e-8, atol=1e-8
    )
    asked = {"temperature": temperature, "starting sugar": sugar, "starting nitrogen": nitrogen}
    sugar_, ethanol_, nitrogen_, whole, active = np.maximum(found.y, 0.0)
    return Trace(np.asarray(days), sugar_, ethanol_, nitrogen_, whole, active, outside(parameters.ranges, asked))
