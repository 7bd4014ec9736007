"""A ferment day by day: the rates integrated piece by piece between the acts that interrupt it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.kinetics import ACTIVE_PER_DRY, STATE, Culture, awake, lag_time, pace, relative_rates
from planner.model.self_heating import Vessel, rise, steady_rise
from planner.model.stepping import follow

Array = npt.NDArray[np.float64]

RELATIVE_ERROR = 1e-5
ABSOLUTE_ERROR = np.array([[0.001], [0.001], [1e-5], [1e-4], [1e-3]])
"""Tolerances of one step. [-], [kg/m^3], the last of the must's warmth [K]. They keep the gravity of a single run within
1e-4 of a tight solve, and within 5e-4 for members of an ensemble, whose steps are chosen for all together (see tests)."""

QUIET, LOOKS = 0.1, (5.0, 10.0, 20.0, 40.0, 80.0)
"""Warmth over the room that is not worth following [K], and days on which that is looked at [d]. Between an idle must and
its room the steps are bound by how fast the must cools, for weeks in which nothing happens."""

NOTHING = 1e-300
"""What stands for none at all, as there is no logarithm of nought. [kg/m^3]"""

# Logarithms between which amounts are told: below, arithmetic is slow and nothing is left; above is no must, and a step
# that tries it is refused for its error. Yeast may start from next to none, which must stay none.
_LOWEST, _HIGHEST = np.array([[-80.0], [-80.0], [-80.0], [-690.0]]), 10.0


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


def planned_temperature(schedule: Sequence[tuple[float, float]], day: Any, ramps: bool) -> Array:
    """Temperature of a schedule: each step holds until the next, or the way between them is straight.

    Parameters
    ----------
    schedule : sequence of (float, float)
        Days, rising, and temperatures. [d], [K]
    day : array-like
        Days since pitching. [d]
    ramps : bool
        Whether it changes steadily from one to the next, as between measurements. [-]

    Returns
    -------
    numpy.ndarray
        Temperature. [K]
    """
    if ramps:
        return np.asarray(np.interp(day, [start for start, _ in schedule], [level for _, level in schedule]))
    return temperature_at(schedule, day)


def run(
    glucose: Any,
    fructose: Any,
    nitrogen: Any,
    culture: Culture,
    schedule: Sequence[tuple[float, float]],
    doses: Sequence[Dose],
    days: Array,
    warmer: Any = 0.0,
    *,
    ramps: bool = False,
    vessel: Vessel | None = None,
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
    ramps : bool
        Whether temperature goes steadily from one entry of the schedule to the next, as between measurements. [-]
    vessel : Vessel or None
        Given, the schedule is that of the room, and the must warms itself; None where it is that of the must. [-]

    Returns
    -------
    Course
        At the days wanted. [as its fields]

    Raises
    ------
    ArithmeticError
        Rates that no step is small enough for.

    Notes
    -----
    What is integrated are logarithms: no concentration can pass below nought, and the end of sugar or nitrogen, which is
    sudden, becomes a straight line. The solver never steps over an act: it starts again at each dose and each entry of
    the schedule.
    """
    members = np.broadcast_shapes(*(np.shape(v) for v in (glucose, fructose, nitrogen, warmer, *culture)), (1,))
    pitched = np.asarray(culture.pitch) * ACTIVE_PER_DRY
    state = np.zeros((len(STATE) + (vessel is not None), *members))
    for row, values in zip(state, (glucose, fructose, nitrogen, pitched), strict=False):
        row[:] = np.log(np.maximum(values, NOTHING))
    ferment = _Ferment(np.asarray(glucose, dtype=float) + fructose, culture, schedule, warmer, ramps, vessel)
    end = float(days[-1])
    acts = sorted({0.0, end, *(d for d, _ in schedule if 0 < d < end), *(d.day for d in doses if 0 <= d.day < end)})
    looks = {day for day in LOOKS if vessel is not None and day < end} - set(acts)
    table = np.empty((len(days), *state.shape))
    step = _FIRST_STEP
    for start, stop in itertools.pairwise(sorted({*acts, *looks})):
        for dose in doses:
            if dose.day == start:
                state[2] = np.logaddexp(state[2], np.log(np.maximum(dose.nitrogen, NOTHING)))
        ferment.enter(start)
        if start in looks:
            ferment.rest_if_quiet(start, state)
        else:
            ferment.rests = False
        wanted = (days >= start) & ((days < stop) | (days == end) & (stop == end))
        table[wanted], state, step = follow(
            ferment.slope, ferment.tolerance, start, stop, state, days[wanted], min(step, _STEP_AFTER_ACT)
        )
    if end == 0.0:
        table[:] = state
    found = _amounts(table.swapaxes(0, 1).reshape(len(state), -1)).reshape(len(STATE), len(days), *members)
    shown = planned_temperature(schedule, days, ramps)
    if vessel is not None:
        shown = shown + table[:, -1].reshape(len(days), -1)[:, 0]
    return Course(days, found[0], found[1], found[2], found[3], shown)


def _amounts(logarithms: Array) -> Array:
    """Concentrations of the state, without the row of warmth. [kg/m^3]"""
    return np.asarray(np.exp(np.clip(logarithms[: len(STATE)], _LOWEST, _HIGHEST)))


_FIRST_STEP, _STEP_AFTER_ACT = 0.05, 0.5  # of days


class _Ferment:
    """Slope and tolerance of the logarithms between two acts."""

    def __init__(
        self,
        sugars: Any,
        culture: Culture,
        schedule: Sequence[tuple[float, float]],
        warmer: Any,
        ramps: bool,
        vessel: Vessel | None,
    ) -> None:
        self._sugars, self._culture, self._schedule = sugars, culture, schedule
        self._warmer, self._ramps, self._vessel = np.asarray(warmer), ramps, vessel
        self._lag = lag_time(schedule[0][1] + self._warmer, culture.pitch) * culture.lag
        self._level: Array = np.asarray(0.0)
        self.rests = False
        """Whether its warmth over the room is no longer followed: until something is done to it."""
        self.enter(0.0)

    def enter(self, day: float) -> None:
        """Take up the temperature that holds from a day on."""
        self._level = temperature_at(self._schedule, day) + self._warmer
        self._pace = pace(self._level, self._culture)

    def rest_if_quiet(self, day: float, state: Array) -> None:
        """Follow the warmth no longer where the must has worked and neither is warm nor would become so."""
        assert self._vessel is not None
        amounts = _amounts(state)
        change = relative_rates(amounts, self._sugars, awake(day, self._lag), self._pace, self._culture)
        uptake = -(change[0] * amounts[0] + change[1] * amounts[1])
        warmth = np.maximum(np.abs(state[-1]), steady_rise(uptake, self._vessel))
        asleep = amounts[0] + amounts[1] > 0.95 * self._sugars
        self.rests = bool(np.all((warmth < QUIET) & ~asleep))
        if self.rests:
            state[-1] = 0.0

    def slope(self, day: float, state: Array) -> Array:
        """Time derivative of the logarithms, and of the must's excess over its room."""
        amounts = _amounts(state)
        now = self._pace
        if self._ramps or (self._vessel is not None and not self.rests):
            room = planned_temperature(self._schedule, day, True) + self._warmer if self._ramps else self._level
            now = pace(room + state[-1] if self._vessel is not None else room, self._culture)
        change = relative_rates(amounts, self._sugars, awake(day, self._lag), now, self._culture)
        if self._vessel is None:
            return change
        if self.rests:
            return np.concatenate((change, np.zeros_like(state[-1:])))
        used = -(change[0] * amounts[0] + change[1] * amounts[1])
        return np.concatenate((change, rise(state[-1], used, self._vessel)[None]))

    def tolerance(self, state: Array) -> Array:
        """Error allowed: of each concentration its own absolute and relative one, told as an error of its logarithm."""
        amounts = _amounts(state)
        allowed = ABSOLUTE_ERROR[: len(STATE)] / amounts + RELATIVE_ERROR
        if self._vessel is None:
            return np.asarray(allowed)
        return np.concatenate((allowed, np.full_like(state[-1:], ABSOLUTE_ERROR[-1, 0])))


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
