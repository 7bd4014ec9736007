"""A ferment day by day: the rates integrated piece by piece between the acts that interrupt it."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.added_substances import Dose, Holding, Way, first_of
from planner.model.fermentation import hexoses
from planner.model.kinetics import ACTIVE_PER_DRY, STATE, WIDE_AWAKE, Culture, awake, lag_of, law, pace
from planner.model.liquid import Liquid, volume
from planner.model.maths import ARRAYS, FLOATS, Maths
from planner.model.self_heating import Vessel, rise, steady_rise
from planner.model.stepping import Alone, Path, Together

Array = npt.NDArray[np.float64]

RELATIVE_ERROR = 1e-5
ABSOLUTE_ERROR = (0.001, 0.001, 1e-5, 1e-4, 1e-3)
"""Tolerances of one step. [-], [kg/m^3], the last of the must's warmth [K]. They keep the gravity of a single run within
1e-4 of a tight solve, and within 5e-4 for members of an ensemble, whose steps are chosen for all together (see tests)."""

QUIET, LOOKS = 0.03, (5.0, 10.0, 20.0, 40.0, 80.0)
"""Warmth over the room that is not worth following [K], and days on which that is looked at [d]. Between an idle must and
its room the steps are bound by how fast the must cools, for weeks in which nothing happens."""

NOTHING = 1e-300
"""What stands for none at all, as there is no logarithm of nought. [kg/m^3]"""

# Logarithms between which amounts are told: below, arithmetic is slow and nothing is left; above is no must, and a step
# that tries it is refused for its error. Yeast may start from next to none, which must stay none.
_LOWEST, _HIGHEST = (-80.0, -80.0, -80.0, -690.0), 10.0
_LOWEST_ROWS = {axes: np.reshape(_LOWEST, (4, *(1,) * (axes - 1))) for axes in (2, 3)}


class Course(NamedTuple):
    """How the must changed. Concentrations are per volume of must at pitching, so that masses follow by one factor.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching. [d]
    glucose, fructose, nitrogen, yeast : numpy.ndarray, shape (n, m)
        Concentrations, disaccharides counted as the hexose they give, yeast as active mass. [kg/m^3]
    temperature : numpy.ndarray, shape (n,)
        Temperature of the must (typical member). [K]
    given : numpy.ndarray, shape (n, m)
        Hexose that it started with and was given by then. [kg/m^3]
    """

    days: Array
    glucose: Array
    fructose: Array
    nitrogen: Array
    yeast: Array
    temperature: Array
    given: Array

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

    Returns
    -------
    numpy.ndarray
        Temperature. [K]
    """
    if ramps:
        return np.asarray(np.interp(day, [start for start, _ in schedule], [level for _, level in schedule]))
    return temperature_at(schedule, day)


class Ferment(msgspec.Struct, frozen=True, eq=False):
    """A must that was fermented, of which the state on any day can be asked.

    Attributes
    ----------
    given : tuple of float or None
        Day of each dose, in the order in which they were asked for; None for one whose share of sugar was not used. [d]
    """

    given: tuple[float | None, ...]
    _path: Path
    _schedule: Sequence[tuple[float, float]]
    _ramps: bool
    _warms: bool
    _holds: tuple[Holding, ...]

    def course(self, days: Array) -> Course:
        """How it was.

        Parameters
        ----------
        days : numpy.ndarray, shape (n,)
            Days wanted, rising, none after the end of the ferment. [d]
        """
        table = self._path.at(days)
        table = table.reshape(*table.shape[:2], -1)
        shown = planned_temperature(self._schedule, days, self._ramps)
        if self._warms:
            shown = shown + table[:, -1, 0]
        amounts = _amounts(table.swapaxes(0, 1), ARRAYS)
        which = np.searchsorted([held.since for held in self._holds], days, side="right") - 1
        size = table.shape[-1]
        room, given = (np.array([np.broadcast_to(held[k], size) for held in self._holds])[which] for k in (1, 2))
        if len(self._holds) > 1:
            amounts *= room
        glucose, fructose, nitrogen, yeast = amounts
        return Course(days, glucose, fructose, nitrogen, yeast, shown, given)


def ferment(
    glucose: Any,
    fructose: Any,
    nitrogen: Any,
    culture: Culture,
    schedule: Sequence[tuple[float, float]],
    doses: Sequence[Dose],
    end: float,
    warmer: Any = 0.0,
    *,
    ramps: bool = False,
    vessel: Vessel | None = None,
    way: Way | None = None,
) -> Ferment:
    """Ferment a must up to a day.

    Parameters
    ----------
    glucose, fructose, nitrogen : array-like, shape (m,)
        Concentrations at pitching. [kg/m^3]
    schedule : sequence of (float, float)
        Day and temperature of each step, the first at day 0. [d], [K]
    doses : sequence of Dose
        What is given during the ferment. [as their fields]
    end : float
        Until when. [d]
    warmer : array-like, shape (m,)
        By how much each member is warmer than the schedule says. [K]
    ramps : bool
        Whether temperature goes steadily from one entry of the schedule to the next, as between measurements. [-]
    vessel : Vessel or None
        Given, the schedule is that of the room, and the must warms itself; None where it is that of the must. [-]
    way : Way or None
        The gravity of the first member; needed where a dose waits for one. [-]

    Raises
    ------
    PathError
        Rates that no step is small enough for.

    Notes
    -----
    What is integrated are logarithms: no concentration can pass below nought, and the end of sugar or nitrogen, which is
    sudden, becomes a straight line. The solver never steps over an act: it starts again at each dose and each entry of
    the schedule. A single ferment is followed in plain floats, many in arrays, by the same rates.
    """
    size = max(np.size(v) for v in (glucose, fructose, nitrogen, warmer, *culture, *(vessel or ())))

    def each(value: Any) -> Any:
        return float(np.reshape(value, ())) if size == 1 else np.asarray(value, dtype=float)

    yeast = Culture(*(each(value) for value in culture))
    around = None if vessel is None else Vessel(*(each(value) for value in vessel))
    sugars, warmth = each(np.asarray(glucose, dtype=float) + fructose), each(warmer)
    working = _Working(sugars, yeast, schedule, warmth, ramps, around, FLOATS if size == 1 else ARRAYS, way)
    state = np.zeros((len(STATE) + (vessel is not None), size))
    for row, values in zip(state, (glucose, fructose, nitrogen, yeast.pitch * ACTIVE_PER_DRY), strict=False):
        row[:] = np.log(np.maximum(values, NOTHING))
    path = Alone(0.0, state[:, 0].tolist(), _FIRST_STEP) if size == 1 else Together(0.0, state, _FIRST_STEP)
    given = _walked(path, working, doses, schedule, end)
    return Ferment(given, path, schedule, ramps, vessel is not None, tuple(working.holds))


def _walked(
    path: Path, working: _Working, doses: Sequence[Dose], schedule: Sequence[tuple[float, float]], end: float
) -> tuple[float | None, ...]:
    """Walk to the end from act to act, and tell when each dose was given."""
    given = [dose.day for dose in doses]
    waiting = [i for i, dose in enumerate(doses) if dose.day is None and not dose.is_nothing]
    working.weigh_in(doses[i] for i in waiting)
    acts = sorted({0.0, end, *(d for d, _ in schedule if 0 < d < end),
                   *(dose.day for dose in doses if dose.day and 0 <= dose.day < end and not dose.is_nothing)})  # fmt: skip
    looks = working.looks(end) - set(acts)
    for start, stop in itertools.pairwise(sorted({*acts, *looks})):
        for dose in doses:
            if dose.day == start:
                path.state = working.fed(start, path.state, dose)
        working.enter(start)
        if start in looks:
            path.state = working.rested(start, path.state)
        else:
            working.rests = False
        while path.day < stop:
            # One at a time: after one that brings sugar, another may have to wait again.
            while (due := next((i for i in waiting if working.until(doses[i])(path.state) >= 0.0), None)) is not None:
                waiting.remove(due)
                given[due] = path.day
                path.state = working.fed(path.day, path.state, doses[due])
                working.enter(path.day)
                working.rests = False
            path.step = min(path.step, _STEP_AFTER_ACT)
            path.walk(working.slope, working.tolerance, stop, working.next_of([doses[i] for i in waiting]))
    return tuple(given)


_FIRST_STEP, _STEP_AFTER_ACT = 0.05, 0.5  # of days
_WILDEST = 60.0  # excess over the room beyond which a step that tries it is refused anyway [K]


def _amounts(logarithms: Any, maths: Maths) -> Any:
    """Concentrations of the state, without its warmth. [kg/m^3]"""
    if maths is ARRAYS:
        table = np.maximum(logarithms[: len(STATE)], _LOWEST_ROWS[logarithms.ndim])
        np.minimum(table, _HIGHEST, out=table)
        return np.exp(table, out=table)
    exp, larger, smaller = maths.exp, maths.larger, maths.smaller
    return [exp(smaller(larger(part, low), _HIGHEST)) for part, low in zip(logarithms, _LOWEST, strict=False)]


def _like(state: Any, parts: list[Any]) -> Any:
    """Parts as a state of the same kind."""
    return np.array(parts) if isinstance(state, np.ndarray) else [float(np.reshape(part, ())) for part in parts]


class _Working:
    """Slope and tolerance of the logarithms between two acts, of one ferment in floats or of many in arrays."""

    def __init__(
        self,
        sugars: Any,
        culture: Culture,
        schedule: Sequence[tuple[float, float]],
        warmer: Any,
        ramps: bool,
        vessel: Vessel | None,
        maths: Maths,
        way: Way | None,
    ) -> None:
        self._sugars, self._culture, self._schedule = sugars, culture, schedule
        self._warmer, self._ramps, self._vessel, self._maths = warmer, ramps, vessel, maths
        self._alone = maths is FLOATS
        lag = self._lag = lag_of(schedule[0][1] + warmer, culture, maths)
        self._awake_from = WIDE_AWAKE * float(np.max(lag))
        self._level: Any = 0.0
        self._way, self._brought = way, Liquid.of()
        self._gravity: Callable[[float], float] | None = None
        self.holds = [Holding(0.0, 1.0, sugars)]
        """What it holds from which day on."""
        self.rests = False
        """Whether its warmth over the room is no longer followed: until something is done to it."""
        self.enter(0.0)

    def enter(self, day: float) -> None:
        """Take up the temperature that holds from a day on."""
        self._level = float(temperature_at(self._schedule, day)) + self._warmer
        self._law = law(self._sugars, pace(self._level, self._culture, self._maths), self._culture, self._maths)

    def looks(self, end: float) -> set[float]:
        """Days on which to look whether anything still happens. [d]"""
        return set() if self._vessel is None else {day for day in LOOKS if day < end}

    def rested(self, day: float, state: Any) -> Any:
        """Follow the warmth no longer where the must has worked and neither is warm nor would become so."""
        assert self._vessel is not None
        amounts = _amounts(state, self._maths)
        warmth = np.maximum(
            np.abs(state[-1]), steady_rise(self._uptake(amounts, self._rates(day, amounts)), self._vessel)
        )
        asleep = amounts[0] + amounts[1] > 0.95 * self._sugars
        self.rests = bool(np.all((warmth < QUIET) & ~np.asarray(asleep)))
        return _like(state, [*state[:-1], 0.0 * state[-1]]) if self.rests else state

    def used(self, state: Any) -> float:
        """Share of its sugar that the first member has used. [-]"""
        first = [float(part if self._alone else part[0]) for part in state[:2]]
        started = float(self._sugars if self._alone else self._sugars[0])
        glucose, fructose = _amounts(first, FLOATS)
        return max(1.0 - (glucose + fructose) / started, 0.0) if started > 0.0 else 0.0

    def weigh_in(self, waiting: Iterable[Dose]) -> None:
        """Follow the gravity of the first member where a dose waits for it."""
        if any(dose.gravity is not None for dose in waiting):
            assert self._way is not None
            self._gravity = self._way(None)

    def until(self, dose: Dose) -> Callable[[Any], float]:
        """What passes nought when a dose falls due that has no day."""
        level, gravity, share = dose.gravity, self._gravity, dose.used
        if level is None or gravity is None:
            return lambda state: self.used(state) - share
        return lambda state: level - gravity(1.0 - self.used(state))

    def next_of(self, waiting: Sequence[Dose]) -> Callable[[Any], float] | None:
        """What passes nought when the next of those that wait falls due."""
        dues = [self.until(dose) for dose in waiting]
        return (lambda state: max(due(state) for due in dues)) if dues else None

    def fed(self, day: float, state: Any, dose: Dose) -> Any:
        """The state with a dose, whose liquid dilutes the rest."""
        room, grown, brought = self.holds[-1].room, self.holds[-1].room, [0.0, 0.0, dose.nitrogen, 0.0]
        if dose.liquid is not None:
            sugars = hexoses(dose.liquid)
            brought[:2] = sugars
            grown = room + volume(dose.liquid)
            given = self.holds[-1].given + sugars.total
            self.holds.append(Holding(day, grown, given))
            self._sugars = given / grown
            if self._alone:
                self._sugars = float(np.reshape(self._sugars, ()))
            if self._gravity is not None and self._way is not None:
                self._brought = self._brought + first_of(dose.liquid)
                self._gravity = self._way(self._brought)
        there = [part + np.log(room) for part in state[: len(brought)]]
        fed = [np.logaddexp(part, np.log(np.maximum(more, NOTHING))) - np.log(grown)
               for part, more in zip(there, brought, strict=True)]  # fmt: skip
        return _like(state, [*fed, *state[len(brought) :]])

    def slope(self, day: float, state: Any) -> Sequence[Any]:
        """Time derivative of the logarithms, and of the must's excess over its room."""
        amounts = _amounts(state, self._maths)
        change = self._rates(day, amounts, None if self._vessel is None or self.rests else state[-1])
        if self._vessel is None:
            return change
        if self.rests:
            return *change, 0.0 * state[-1]
        return *change, rise(state[-1], self._uptake(amounts, change), self._vessel)

    def _rates(self, day: float, amounts: Any, excess: Any = None) -> tuple[Any, Any, Any, Any]:
        at = self._law
        if self._ramps or excess is not None:
            kelvin = self._level
            if self._ramps:
                kelvin = float(planned_temperature(self._schedule, day, True)) + self._warmer
            if excess is not None:
                kelvin = kelvin + self._maths.smaller(self._maths.larger(excess, -_WILDEST), _WILDEST)
            at = law(self._sugars, pace(kelvin, self._culture, self._maths), self._culture, self._maths)
        woken = 1.0 if day > self._awake_from else awake(day, self._lag, self._maths)
        return at(*amounts, woken)

    @staticmethod
    def _uptake(amounts: Any, change: tuple[Any, Any, Any, Any]) -> Any:
        """Sugar used. [kg/(m^3 d)]"""
        return -(change[0] * amounts[0] + change[1] * amounts[1])

    def tolerance(self, state: Any) -> list[Any]:
        """Error allowed: of each concentration its own absolute and relative one, told as an error of its logarithm."""
        amounts = _amounts(state, self._maths)
        allowed = [most / amount + RELATIVE_ERROR for most, amount in zip(ABSOLUTE_ERROR, amounts, strict=False)]
        return allowed if self._vessel is None else [*allowed, ABSOLUTE_ERROR[-1]]


def share_used(course: Course) -> Array:
    """Share of the sugar given by then that the first member has used, shape (n,). [-]"""
    sugar, given = course.sugar[:, 0], course.given[:, 0]
    return np.asarray(1.0 - np.divide(sugar, given, out=np.ones_like(sugar), where=given > 0.0))


def day_when_used(course: Course, share: float) -> float | None:
    """Day on which the first member has used a share of the sugar it was given by then; None if it never does. [d]"""
    used = share_used(course)
    reached = np.flatnonzero(used >= share)
    if not len(reached):
        return None
    i = int(reached[0])
    if i == 0:
        return float(course.days[0])
    part = (share - used[i - 1]) / (used[i] - used[i - 1])
    return float(course.days[i - 1] + part * (course.days[i] - course.days[i - 1]))
