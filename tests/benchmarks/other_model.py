"""A ferment by another structure than the planner's, for measuring how honest its band is.

Growth and death are those of Coleman, Fish & Block 2007 (`tests.published_models.nitrogen_limited`), whose constants depend on
temperature otherwise than the planner's, and whose yield of yeast falls with nitrogen. Sugar enters by carriers, which are
built while there is nitrogen and wear out afterwards (Malherbe et al. 2004, in outline). Ethanol slows by a power of what is
left to the strain's limit (Luong 1985), not hyperbolically. Yeast wakes one cell after another (Weibull), and glucose goes
before fructose by a fixed selectivity (ln G = r ln F). How much each constant differs from ferment to ferment is taken from
the spread of published values, beside each.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.span import Z_90
from tests.published_models.nitrogen_limited import COLEMAN_2007, constants

Array = npt.NDArray[np.float64]

STEP = 0.025
"""Step of a Runge-Kutta integration of the fourth order. [d]"""


class Nature(NamedTuple):
    """What one yeast is like in one must; each of shape (m,)."""

    uptake: Array  # factor on Coleman's [-]
    growth: Array  # factor on Coleman's [-]
    death: Array  # factor on Coleman's [-]
    lag: Array  # until two thirds have woken [d]
    wear: Array  # of carriers without nitrogen [1/d]
    limit: Array  # ethanol at which all ends [kg/m^3]
    shape: Array  # power in Luong's brake [-]
    ethanol: Array  # yield [kg/kg]
    selectivity: Array  # r above [-]
    yeast_per_nitrogen: Array  # [kg/kg]


def drawn(
    dice: np.random.Generator, vigour: Array, tolerance: Array, nitrogen: Array, temperature: Array, pitch: Array
) -> Nature:
    """Yeasts of known traits in musts.

    `vigour` and `tolerance` [kg/m^3] are what the shelf says of the strain, `nitrogen` and `pitch` [kg/m^3], `temperature`
    [K] at pitching; all of shape (m,).
    """
    m = vigour.size

    def around(middle: float, factor: float) -> Array:
        """Log-normal, nine in ten within a factor."""
        return np.asarray(middle * factor ** (dice.standard_normal(m) / Z_90))

    dose = np.maximum(pitch, 1e-3) / 0.25
    return Nature(
        # Published multipliers run from 0.7 to 2 about the printed uptake: a factor of 1.6 about 1.15.
        uptake=vigour * around(1.15, 1.6),
        # Coleman and Zenteno agree within 11 %, later fits to winery data go up to three times.
        growth=around(1.1, 1.5),
        death=around(0.8, 2.0),  # the two papers' death at 100 g/L of ethanol differ by up to five times in the cold
        # 6 to 12 h at 20 to 25 °C, 24 to 72 h at 10 to 13 °C: from memory
        lag=around(0.45, 1.8) * np.exp(0.125 * (293.15 - temperature)) * dose**-0.3,
        wear=around(0.05, 2.0),  # a half-life of one to four weeks; estimate
        limit=tolerance * (1.0 + 0.05 * dice.standard_normal(m)),
        # With a power of 1 a yeast of 17 % vol would not dry a must of 13 % in two months, which it does in two weeks.
        shape=dice.uniform(2.5, 5.0, m),
        ethanol=np.clip(0.465 + 0.011 * dice.standard_normal(m), 0.43, 0.495),  # 16.3 to 17.6 g/L per % vol
        selectivity=dice.uniform(1.6, 2.4, m),  # 2.0 to 2.3 in nine red musts, less in agave
        # 31 kg/kg (Cramer), 19.7 (Zenteno), 13 to 27 falling with nitrogen (Coleman).
        yeast_per_nitrogen=np.exp(3.45 - 2.6 * nitrogen) * around(1.0, 1.2),
    )


def sugar_left(
    nature: Nature, glucose: Array, fructose: Array, nitrogen: Array, pitch: Array,
    schedule: list[tuple[float, float]], warmer: Array, doses: list[tuple[float, float]], days: Array,
) -> tuple[Array, Array]:  # fmt: skip
    """Glucose and fructose at the days wanted, both of shape (n, m). [kg/m^3]

    `schedule` holds days and temperatures [K] common to all, `doses` days and nitrogen [kg/m^3], `warmer` [K] and the musts
    [kg/m^3] are of shape (m,).
    """
    p, started = nature, glucose + fructose
    levels = {day: constants(temperature + warmer) for day, temperature in schedule}
    changes = sorted(levels)

    def slope(day: float, state: Array, now: object) -> Array:
        sugar, food, active, carriers = np.maximum(state, 0.0)
        growth, uptake, decline = now  # type: ignore[misc]
        ethanol = (started - sugar) * p.ethanol
        brake = np.maximum(1.0 - (np.maximum(ethanol, 0.0) / p.limit) ** p.shape, 0.0)
        woken = 1.0 - np.exp(-((day / p.lag) ** 2))
        fed = food / (food + COLEMAN_2007.half_nitrogen)
        growing = p.growth * growth * fed * brake * woken * active
        rate = p.uptake * uptake / COLEMAN_2007.ethanol_per_sugar
        taken = rate * sugar / (sugar + 5.0) * brake * woken * carriers * active
        dying = p.death * decline * np.maximum(ethanol, 0.0) * active
        built = 3.0 * fed * (1.0 - carriers) - p.wear * (1.0 - fed) * carriers
        return np.stack((-taken, -growing / p.yeast_per_nitrogen, growing - dying, built))

    state = np.stack((started, nitrogen, 0.8 * pitch + 0.0 * started, np.full_like(started, 1.0)))
    steps = int(np.ceil(days[-1] / STEP))
    told = np.empty((steps + 1, started.size))
    told[0] = started
    waiting = sorted(doses)
    for i in range(steps):
        day = i * STEP
        while waiting and waiting[0][0] <= day + 0.5 * STEP:
            state[1] += waiting.pop(0)[1]
        now = levels[[c for c in changes if c <= day + 0.5 * STEP][-1]]
        a = slope(day, state, now)
        b = slope(day + 0.5 * STEP, state + 0.5 * STEP * a, now)
        c = slope(day + 0.5 * STEP, state + 0.5 * STEP * b, now)
        d = slope(day + STEP, state + STEP * c, now)
        state = state + STEP / 6.0 * (a + 2.0 * b + 2.0 * c + d)
        told[i + 1] = np.maximum(state[0], 0.0)
    grid = np.arange(steps + 1) * STEP
    sugar = np.stack([np.interp(days, grid, column) for column in told.T], axis=1)
    return _apart(sugar, glucose, fructose, p.selectivity)


def _apart(sugar: Array, glucose: Array, fructose: Array, selectivity: Array) -> tuple[Array, Array]:
    """Glucose and fructose of what is left, glucose having gone as the r-th power of fructose: by bisection."""
    low, high = np.zeros_like(sugar), np.ones_like(sugar)
    for _ in range(40):
        middle = 0.5 * (low + high)
        too_much = fructose * middle + glucose * middle**selectivity > sugar
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    left = np.minimum(glucose * low**selectivity, sugar)
    return left, sugar - left
