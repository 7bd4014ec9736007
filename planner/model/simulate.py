"""A ferment day by day: the rates integrated piece by piece between the acts that interrupt it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.kinetics import ACTIVE_PER_DRY, STATE, Culture, awake, lag_time, pace, rates

Array = npt.NDArray[np.float64]

RELATIVE_ERROR, ABSOLUTE_ERROR = 1e-5, 1e-4
"""Tolerances of the integration. [-], [kg/m^3] They keep the gravity of a single run within 1e-4 of a tight solve, and
within 5e-4 for members of an ensemble, whose steps are chosen for all together (see tests)."""


class Dose(NamedTuple):
    """Nitrogen given at a time. [d], [kg per m^3 of must, one value or one per member]"""

    day: float
    nitrogen: Any


class Course(NamedTuple):
    """How the must changed. Concentrations are per volume of must, so that masses follow by one factor.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching. [d]
    glucose, fructose, nitrogen, yeast : numpy.ndarray, shape (n, m)
        Concentrations, disaccharides counted as the hexose they give, yeast as active mass. [kg/m^3]
    temperature : numpy.ndarray, shape (n,)
        Temperature of the must (typical member). [K]
    """

    days: Array
    glucose: Array
    fructose: Array
    nitrogen: Array
    yeast: Array
    temperature: Array

    @property
    def sugar(self) -> Array:
        """Both hexoses. [kg/m^3]"""
        return self.glucose + self.fructose


def temperature_at(schedule: Sequence[tuple[float, float]], day: Any) -> Array:
    """Temperature planned for a day: each step holds until the next.

    Parameters
    ----------
    schedule : sequence of (float, float)
        Day from which a temperature holds, rising, and the temperature. [d], [K]
    day : array-like
        Days since pitching. [d]

    Returns
    -------
    numpy.ndarray
        Temperature. [K]
    """
    starts = np.array([start for start, _ in schedule])
    levels = np.array([level for _, level in schedule])
    return np.asarray(levels[np.clip(np.searchsorted(starts, day, side="right") - 1, 0, len(levels) - 1)])


def run(
    glucose: Any,
    fructose: Any,
    nitrogen: Any,
    culture: Culture,
    schedule: Sequence[tuple[float, float]],
    doses: Sequence[Dose],
    days: Array,
    warmer: Any = 0.0,
) -> Course:
    """Ferment a must.

    Parameters
    ----------
    glucose, fructose, nitrogen : array-like, shape (m,)
        Concentrations at pitching. [kg/m^3]
    culture : Culture
        The yeast; its fields are floats or of shape (m,). [as its fields]
    schedule : sequence of (float, float)
        Day and temperature of each step, the first at day 0. [d], [K]
    doses : sequence of Dose
        Nitrogen given during the ferment. [d], [kg/m^3]
    days : numpy.ndarray, shape (n,)
        Days at which the state is wanted, rising from 0. [d]
    warmer : array-like, shape (m,)
        By how much each member is warmer than the schedule says. [K]

    Returns
    -------
    Course
        At the days wanted. [as its fields]

    Notes
    -----
    The solver never steps over an act: it stops and starts again at each dose and each step of temperature.
    """
    from scipy.integrate import solve_ivp  # slow to import; only needed once there is something to integrate

    members = np.broadcast_shapes(*(np.shape(v) for v in (glucose, fructose, nitrogen, warmer, *culture)), (1,))
    sugars = np.broadcast_to(np.asarray(glucose, dtype=float) + fructose, members)
    pitched = np.asarray(culture.pitch) * ACTIVE_PER_DRY
    state = np.stack(
        [np.broadcast_to(np.asarray(v, dtype=float), members) for v in (glucose, fructose, nitrogen, pitched)]
    )
    lag = lag_time(schedule[0][1] + np.asarray(warmer), culture.pitch) * culture.lag
    end = float(days[-1])
    acts = sorted({0.0, end, *(d for d, _ in schedule if 0 < d < end), *(d.day for d in doses if 0 <= d.day < end)})
    table = np.empty((len(days), len(STATE), *members))
    for start, stop in itertools.pairwise(acts):
        for dose in doses:
            if dose.day == start:
                state[2] = state[2] + dose.nitrogen
        now = pace(temperature_at(schedule, start) + np.asarray(warmer), culture)

        def slope(day: float, flat: Array, now: Any = now, shape: tuple[int, ...] = state.shape) -> Array:
            shaped = flat.reshape(shape)
            return rates(shaped, sugars, awake(day, lag), now, culture).ravel()

        wanted = (days >= start) & ((days < stop) | (days == end) & (stop == end))
        moments = np.append(days[wanted], stop) if not len(days[wanted]) or days[wanted][-1] != stop else days[wanted]
        solution = solve_ivp(
            slope, (start, stop), state.ravel(), t_eval=moments, rtol=RELATIVE_ERROR, atol=ABSOLUTE_ERROR
        )
        if not solution.success:
            raise ArithmeticError(
                f"The ferment could not be followed beyond day {solution.t[-1]:.1f}: {solution.message}"
            )
        found = solution.y.T.reshape(len(moments), *state.shape)
        table[wanted] = found[: int(wanted.sum())]
        state = found[-1].copy()
    table = np.maximum(table, 0.0)
    return Course(days, table[:, 0], table[:, 1], table[:, 2], table[:, 3], temperature_at(schedule, days))


def day_when_used(course: Course, share: float) -> float | None:
    """Day on which the first member has used a share of its sugar; None if it never does. [d]"""
    used = 1.0 - course.sugar[:, 0] / course.sugar[0, 0] if course.sugar[0, 0] > 0.0 else np.zeros(len(course.days))
    reached = np.flatnonzero(used >= share)
    if not len(reached):
        return None
    i = int(reached[0])
    if i == 0:
        return float(course.days[0])
    part = (share - used[i - 1]) / (used[i] - used[i - 1])
    return float(course.days[i - 1] + part * (course.days[i] - course.days[i - 1]))
