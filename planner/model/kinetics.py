"""How fast yeast works: rates of growth, sugar uptake and decline by sugar, nitrogen, alcohol and temperature.

The structure is that of Zenteno et al. (2010): growth limited by nitrogen, glucose and fructose taken up in
competition, uptake held back by ethanol. The decline of the yeast is that of Coleman, Fish and Block (2007),
which is continuous where Zenteno's is a switch. Added to them, because neither has it, as assumptions of
this project: a lag by temperature and pitch, the strain's tolerance of alcohol and its own temperatures, a slower growth
under strong sugar, and a fading uptake of nitrogen as alcohol rises. What the must itself does to yeast, by its pH and the
like, is in the traits of a `Culture`: see `hardship.py`. The two papers' own models, unchanged, stand among
the tests (`tests/published_models`). Time is in days, as the whole craft counts it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.cardinal import USUAL, Cardinal, by_temperature
from planner.model.maths import ARRAYS, FLOATS, Maths

Array = npt.NDArray[np.float64]

HOURS = 24.0  # per day; the papers count in hours
_R = 8.314e-3  # gas constant as the paper prints it [kJ/(mol K)]

# Zenteno et al. 2010, J. Food Eng. 99(1), 40-48; constants as transcribed in public code of the same group.
MU_ZERO = 0.18 * HOURS  # specific growth rate at 300 K [1/d]
UPTAKE_ETHANOL = 0.225 * HOURS  # ethanol made per active yeast at 296.15 K, each sugar [kg/(kg d)]
ETHANOL_PER_SUGAR = 0.49  # turns that into sugar [kg/kg]
K_NITROGEN, K_GLUCOSE, K_GLUCOSE_ON_FRUCTOSE = 0.01, 7.5, 55.0  # at 293.15 K [kg/m^3]
YEAST_PER_NITROGEN = 19.69  # [kg/kg]
MAINTENANCE = 0.01 * HOURS  # sugar per active yeast at 293.30 K [kg/(kg d)]
_E_GROWTH, _E_UPTAKE, _E_SATURATION, _E_MAINTENANCE = 59.453, 11.0, 46.055, 37.681  # [kJ/mol]

# Coleman, Fish & Block 2007, Appl. Environ. Microbiol. 73(18), 5875-5884: ln k'd by powers of t in °C. [m^3/(kg h)]
_DECLINE = (-9.81, -0.108, 0.00478)
COLDEST_DECLINE = 11.3  # below the parabola's minimum the value there is kept [°C]
DECLINE_FOR_YIELD = 0.55 / 0.465  # that model makes more ethanol of its sugar than yeast does [-]

# Where the two meet. Zenteno's uptake is held back by ethanol, Coleman's only by the death of yeast: both at full
# strength would count the same slowing twice. With the two figures below, and a strain whose tolerance is out of reach,
# the time to 4 g/L lies between the two papers' models, or within 10 % of the nearer, for 200 to 260 g/L of sugar, 150
# to 250 mg/L of nitrogen and 15 to 25 °C (tests/model/test_simulate.py). Neither paper knows a tolerance; where the
# strain's comes near, as at 260 g/L for one of 16 % vol, the end takes up to twice as long. Estimate of this project.
DECLINE_SHARE = (0.4, 0.55)  # of Coleman's decline that is kept, up to 25 and from 30 °C: both papers stick in heat [-]
_HEAT = (298.15, 303.15)
K_ETHANOL = 50.0  # ethanol that halves uptake at 293.15 K; the paper has 40 without a share of decline [kg/m^3]

# Both papers took about 10 g/L from one source, where few samples lay near dryness. Yeast makes carriers of higher
# affinity as sugar runs out (1 to 2 mmol/L, from memory), and measured red musts use their last 20 g/L of fructose in
# a day, which 7.5 g/L would not allow (nine open ferments, Stellenbosch University 2022). With this figure glucose goes
# before fructose as in those, too: ln(glucose) falls 2.2 times as fast as ln(fructose). Estimate.
K_FRUCTOSE = 3.0  # fructose that halves its uptake at 293.15 K; the paper has 7.5 [kg/m^3]

VALID_TEMPERATURE = (284.15, 308.15)
"""Range in which the decline was measured. [K] Coleman et al. 2007: 11 to 35 °C."""

VALID_SUGAR = (180.0, 300.0)
"""Sugar for which the two models were fitted, together. [kg/m^3]"""

# Assumptions of this project, none with a published figure behind it.
HOT_LIMITS = (308.15, 316.15)  # growth and uptake as published up to the first, none at the second; wine yeast lives
# up to 40 to 45 °C (from memory), and the activation energies of the paper would have it ever faster [K]
COLD_LIMITS = (273.15, 284.15)  # none at the first, as published from the second on, below which nothing was measured;
# extremely slow below 10 °C (Ough & Amerine 1966), 40 to 45 d for 10 % vol at 5 °C (Nikolaou 2020) [K]
# Uptake and growth fall as 1 - (ethanol/tolerance)^10, which `K_ETHANOL` makes late.
SUGAR_STRESS = (220.0, 600.0)  # growth is full up to the first, and would cease at the second [kg/m^3]
NITROGEN_FADE = 80.0  # ethanol at which nitrogen is no longer taken up; about 10 % vol [kg/m^3]
LAG_AT_TWENTY = 0.45  # lag at 20 °C and a pitch of 0.25 g/L of dry yeast [d]; 6 to 12 h at 20 to 25 °C, from memory
LAG_DOUBLING = 5.5  # kelvin colder that double it [K]; 24 to 72 h at 10 to 13 °C, from memory
LAG_PITCH_POWER = 0.35  # a quarter of the yeast makes it 1.6 times as long [-]
NORMAL_PITCH = 0.25  # dry yeast [kg/m^3]; common dose, 25 g/hL
TRACE = 0.02  # growth beside the best that is added to a strain's and to an ordinary yeast's before one is told by the other:
# beyond their limits both would be none. Cardinal temperatures are of growth in rich medium. [-]
LONGEST_LAG = 20.0  # times its usual lag, beyond which a yeast at the end of its temperatures does not sleep longer [-]
HOT_BELOW_LIMIT = (
    9.0  # below the temperature at which a strain ceases to grow its range ends, see `cardinal.of_range`; each
)
# kelvin beyond is as hard on it as two are on an ordinary yeast [K]
HOTTEST_DECLINE = 318.15  # above it yeast declines no faster; by then it is gone within hours [K]
TREND_FROM = (
    0.4  # share of the sugar used from which on a culture's trend shows, in proportion to what is used since [-]
)
ACTIVE_PER_DRY = 0.8  # the models' yeast per dry yeast pitched [kg/kg]; 5e6 cells/mL are 0.20 g/L in their units

STATE = ("glucose", "fructose", "nitrogen", "yeast")
"""Rows of the state: concentrations per volume of must, the yeast as active mass. [kg/m^3]"""


class Culture(NamedTuple):
    """What decides the pace of one ferment besides its must; each a float or one value per member."""

    tolerance: Any  # ethanol at which the strain stops, per volume of must [kg/m^3]
    vigour: Any  # factor on sugar uptake, 0.7 to 2 [-]
    growth: Any  # factor on growth [-]
    decline: Any  # factor on decline [-]
    lag: Any  # factor on the lag [-]
    pitch: Any  # dry yeast pitched [kg/m^3]
    ethanol_yield: Any  # ethanol per hexose [kg/kg]
    crop: Any = 1.0  # factor on the yeast grown from nitrogen [-]
    coldest: Any = USUAL.lowest  # temperatures at which it begins to grow, grows best, and ceases to [K]
    best: Any = USUAL.best
    hottest: Any = USUAL.highest
    risk: Any = 1.0  # how many times as likely as usual it is to stop for a reason outside the rates [-]
    trend: Any = 0.0  # logarithm of a factor on uptake that sets in at `TREND_FROM` and is whole at the end [-]


def _arrhenius(energy: float, temperature: Any, reference: float, maths: Maths = ARRAYS) -> Any:
    return maths.exp(energy * (temperature - reference) / (reference * _R * temperature))


def _part_way(value: Any, start: float, end: float, maths: Maths) -> Any:
    """How far a value is from one bound to the other, from 0 to 1. [-]"""
    return maths.smaller(maths.larger((value - start) / (end - start), 0.0), 1.0)


def decline_constant(temperature: Any, maths: Maths = ARRAYS) -> Any:
    """Decline of active yeast per ethanol present. [m^3/(kg d)]

    Parameters
    ----------
    temperature : float or array-like
        [K] Measured from 284.15 to 308.15.

    References
    ----------
    .. [1] Coleman, Fish & Block 2007, table A2.

    Examples
    --------
    >>> round(float(decline_constant(298.15)) / 24 * 1e5, 2)
    7.32
    """
    t = maths.larger(temperature - 273.15, COLDEST_DECLINE)
    return maths.exp(_DECLINE[0] + _DECLINE[1] * t + _DECLINE[2] * (t * t)) * HOURS


def growth_constant(temperature: Any, maths: Maths = ARRAYS) -> Any:
    """Specific growth rate with nitrogen in plenty and no alcohol. [1/d] Zenteno et al. 2010; temperature in [K]."""
    return MU_ZERO * _arrhenius(_E_GROWTH, temperature, 300.0, maths)


def lag_time(temperature: Any, pitch: Any) -> Array:
    """Time until half of the yeast has woken.

    Parameters
    ----------
    temperature : array-like
        Temperature. [K]
    pitch : array-like
        Dry yeast pitched. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        Lag. [d] This project's own curve through times of common practice (no source).
    """
    cold = 2.0 ** ((293.15 - np.asarray(temperature, dtype=float)) / LAG_DOUBLING)
    dose = np.maximum(np.asarray(pitch, dtype=float), 1e-3) / NORMAL_PITCH
    return np.asarray(LAG_AT_TWENTY * cold * dose**-LAG_PITCH_POWER)


def strain_by_temperature(temperature: Any, culture: Culture, maths: Maths = ARRAYS) -> Any:
    """How a strain grows at a temperature beside an ordinary yeast at the same one.

    The published courses are of ordinary yeasts in musts; cardinal temperatures, of growth in rich medium, tell strains apart.

    Parameters
    ----------
    temperature : float or array-like
        Temperature. [K]
    maths : Maths
        `FLOATS` where all of these are floats. [-]

    Returns
    -------
    float or numpy.ndarray
        Factor on growth; its square root is that on uptake, as uptake goes on where growth has ceased. [-]
    """
    own = by_temperature(temperature, Cardinal(culture.coldest, culture.best, culture.hottest), maths)
    return (own + TRACE) / (by_temperature(temperature, USUAL, maths) + TRACE)


def lag_of(temperature: Any, culture: Culture, maths: Maths = ARRAYS) -> Any:
    """Time until half of a culture has woken: see `lag_time`, `strain_by_temperature` and its own `lag`. [d]

    Parameters
    ----------
    temperature : float or array-like
        At pitching. [K]
    maths : Maths
        `FLOATS` where all of these are floats. [-]

    Returns
    -------
    float or numpy.ndarray
        Lag. [d]
    """
    slow = maths.larger(strain_by_temperature(temperature, culture, maths), 1.0 / LONGEST_LAG)
    lag = lag_time(temperature, culture.pitch) * culture.lag / slow
    return float(lag) if maths is FLOATS else lag


class Pace(NamedTuple):
    """Every constant of the rates at one temperature, worked out once per segment of constant temperature."""

    growth: Any
    uptake: Any
    maintenance: Any
    decline: Any
    k_nitrogen: Any
    k_glucose: Any
    k_sugar: Any  # of fructose, which is the last sugar to go, and of upkeep
    k_glucose_on_fructose: Any
    k_ethanol: Any


def pace(temperature: Any, culture: Culture, maths: Maths = ARRAYS) -> Pace:
    """The constants of the rates.

    Parameters
    ----------
    temperature : float or numpy.ndarray, shape () or (m,)
        Temperature. [K]
    maths : Maths
        `FLOATS` where all of these are floats. [-]
    """
    t = temperature
    saturation = _arrhenius(_E_SATURATION, t, 293.15, maths)
    alive = maths.smaller(_part_way(t, *COLD_LIMITS, maths), _part_way(t, HOT_LIMITS[1], HOT_LIMITS[0], maths))
    beyond = maths.larger(t - (culture.hottest - HOT_BELOW_LIMIT), 0.0)
    hot = maths.smaller(t + beyond, HOTTEST_DECLINE)
    share = DECLINE_SHARE[0] + (DECLINE_SHARE[1] - DECLINE_SHARE[0]) * _part_way(hot, *_HEAT, maths)
    strain = strain_by_temperature(t, culture, maths)
    vigour = UPTAKE_ETHANOL / ETHANOL_PER_SUGAR * culture.vigour
    return Pace(
        growth=growth_constant(t, maths) * culture.growth * (alive * strain),
        uptake=vigour * _arrhenius(_E_UPTAKE, t, 296.15, maths) * (alive * strain**0.5),
        maintenance=MAINTENANCE * _arrhenius(_E_MAINTENANCE, t, 293.30, maths) * alive,
        decline=decline_constant(hot, maths) * DECLINE_FOR_YIELD * share * culture.decline,
        k_nitrogen=K_NITROGEN * saturation,
        k_glucose=K_GLUCOSE * saturation,
        k_sugar=K_FRUCTOSE * saturation,
        k_glucose_on_fructose=K_GLUCOSE_ON_FRUCTOSE * saturation,
        k_ethanol=K_ETHANOL * saturation,
    )


WIDE_AWAKE = 7.2
"""Times the lag after which `awake` is one to the last digit of a float. [-]"""


def awake(elapsed: float, lag: Any, maths: Maths = ARRAYS) -> Any:
    """Share of the yeast that has woken a time after pitching: a logistic curve through one half at the lag. [-]"""
    return 1.0 / (1.0 + maths.exp(-6.0 * (elapsed / lag - 1.0)))


Law = Callable[..., tuple[Any, Any, Any, Any]]


def law(started: Any, now: Pace, culture: Culture, maths: Maths = ARRAYS) -> Law:
    """Rates of change of each part of the state relative to that part, which stay finite as the part runs out.

    They are a function of the state alone, for the many times that they are asked at one temperature.

    Parameters
    ----------
    started : float or array-like
        Hexose at pitching. [kg/m^3]
    maths : Maths
        `FLOATS` where all of these are floats. [-]

    Returns
    -------
    callable
        Of glucose, fructose, nitrogen and active yeast, none below zero [kg/m^3], and the share of the yeast that has woken
        [-], each a float or an array, to the time derivatives of their logarithms. [1/d]
    """
    larger, smaller = maths.larger, maths.smaller
    nought, one = maths.level(started, 0.0), maths.level(started, 1.0)
    growth, maintenance, decline = now.growth, now.maintenance, now.decline
    k_nitrogen, k_glucose, k_sugar, k_ethanol = now.k_nitrogen, now.k_glucose, now.k_sugar, now.k_ethanol
    k_held = now.k_glucose_on_fructose
    full_uptake = now.uptake * k_ethanol
    ethanol_yield, per_tolerance = culture.ethanol_yield, 1.0 / culture.tolerance
    per_nitrogen = -1.0 / (YEAST_PER_NITROGEN * culture.crop)
    trend, per_trend = culture.trend, 1.0 / (1.0 - TREND_FROM)
    bends, from_trend = bool(np.any(trend)), TREND_FROM * per_trend
    if bends:
        per_trend = per_trend / larger(started, maths.level(started, 1e-9))
    most_sugar, per_stress, per_fade = SUGAR_STRESS[1], 1.0 / (SUGAR_STRESS[1] - SUGAR_STRESS[0]), 1.0 / NITROGEN_FADE

    def at(glucose: Any, fructose: Any, nitrogen: Any, yeast: Any, woken: Any) -> tuple[Any, Any, Any, Any]:
        sugar = glucose + fructose
        ethanol = larger(started - sugar, nought) * ethanol_yield
        squared = ethanol * per_tolerance
        squared = squared * squared
        fourth = squared * squared
        strain = larger(one - fourth * fourth * squared, nought) * woken
        calm = smaller(larger((most_sugar - sugar) * per_stress, nought), one)
        welcome = larger(one - ethanol * per_fade, nought)
        growing = growth * strain * calm * welcome / (nitrogen + k_nitrogen)  # per yeast and per nitrogen
        at_work = strain * yeast
        working = full_uptake * at_work / (ethanol + k_ethanol)
        if bends:
            late = larger((started - sugar) * per_trend - from_trend, nought)
            working = working * maths.exp(trend * late)
        upkeep = maintenance * at_work / (sugar + k_sugar)
        held_back = k_held / (glucose + k_held)
        return (
            -(working / (glucose + k_glucose) + upkeep),
            -(working * held_back / (fructose + k_sugar) + upkeep),
            growing * yeast * per_nitrogen,
            growing * nitrogen - decline * ethanol,
        )

    return at
