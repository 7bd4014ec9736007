"""An integrator for one ferment or many at once: the pair of Dormand and Prince, with one step for all members.

It does what general solvers do, with less ado per step, and it measures the error of each part of the state by that
part's own tolerance, which the caller works out from the state: a logarithm needs it. What was walked is kept, so that
the state at any moment of it can be asked for afterwards. One ferment is walked in plain floats, which for four numbers
are ten times as fast as arrays.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from math import isfinite, sqrt
from operator import mul
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

# Dormand & Prince 1980, J. Comput. Appl. Math. 6, 19-26; the polynomial between the ends of a step by Shampine 1986,
# Math. Comp. 46, 135-150.
_NODES = (0.0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0)
_STAGES = (
    (1 / 5,),
    (3 / 40, 9 / 40),
    (44 / 45, -56 / 15, 32 / 9),
    (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
    (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
)
_END = (35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84)
_ERROR: tuple[float, ...] = (-71 / 57600, 0.0, 71 / 16695, -71 / 1920, 17253 / 339200, -22 / 525, 1 / 40)
_ERROR_ROW = np.array(_ERROR)
_BETWEEN = np.array(
    (
        (1.0, -8048581381 / 2820520608, 8663915743 / 2820520608, -12715105075 / 11282082432),
        (0.0, 0.0, 0.0, 0.0),
        (0.0, 131558114200 / 32700410799, -68118460800 / 10900136933, 87487479700 / 32700410799),
        (0.0, -1754552775 / 470086768, 14199869525 / 1410260304, -10690763975 / 1880347072),
        (0.0, 127303824393 / 49829197408, -318862633887 / 49829197408, 701980252875 / 199316789632),
        (0.0, -282668133 / 205662961, 2019193451 / 616988883, -1453857185 / 822651844),
        (0.0, 40617522 / 29380423, -110615467 / 29380423, 69997945 / 29380423),
    )
)
_SHARES = np.arange(1, 5)

SAFETY, LEAST_FACTOR, MOST_FACTOR = 0.9, 0.2, 5.0
"""How much of the step that would just do is taken, and how far a step may shrink or grow at once. [-]"""

LEAST_STEP = 1e-7
"""Step at which the integration is given up. [as the time] Of a day, a hundredth of a second."""

MOST_STEPS = 20_000
"""Steps of one path, taken or refused, after which the integration is given up. [-] A ferment takes some hundred."""


class PathError(ArithmeticError):
    """A path that no step is small enough for, or that takes too many of them; the text says from when on."""


class Stretch(NamedTuple):
    """One step that was taken: when it begins, how long it is, the state it begins with, and the seven slopes."""

    start: float
    length: float
    state: Any
    slopes: Any


_TRIES, _NEAR = 80, 1e-9
"""Tries to find a crossing, and the share of a step within which it is known. [-]"""

_ROWS_BETWEEN = tuple(tuple(row) for row in _BETWEEN.tolist())


def _weights(shares: Array) -> Array:
    """Weights of the seven slopes of a step for the states at shares of it, shape (n, 7)."""
    return np.asarray((shares[:, None] ** _SHARES) @ _BETWEEN.T)


def _weights_at(share: float) -> tuple[float, ...]:
    """The same for one share."""
    return tuple(share * (a + share * (b + share * (c + share * d))) for a, b, c, d in _ROWS_BETWEEN)


class Path(ABC):
    """What was walked from a time on, and how to walk further.

    Between two walks the state may be changed by hand, as by a dose. `Alone` and `Together` are its two kinds.

    Attributes
    ----------
    day : float
        How far it was walked. [any]
    state : numpy.ndarray or sequence of float
        The state there. [any]
    step : float
        The step that would be tried next. [as the time]
    """

    def __init__(self, day: float, state: Any, step: float) -> None:
        self.day, self.state, self.step = day, state, step
        self._stretches: list[Stretch] = []
        self._tried = 0

    def walk(
        self,
        slope: Callable[[float, Any], Any],
        tolerance: Callable[[Any], Any],
        stop: float,
        crossing: Callable[[Any], float] | None = None,
    ) -> bool:
        """Walk to a time, or to where something rises through nought.

        Parameters
        ----------
        slope : callable
            Time derivative of a state at a time, part by part; smooth between `day` and `stop`. [per time]
        tolerance : callable
            Error that each part of a state may have in a step. [as the state]
        stop : float
            Until when. [as the time]
        crossing : callable or None
            Something of a state that rises and is below nought now; where it passes nought the walk ends. [-]

        Returns
        -------
        bool
            Whether it ended at the crossing; what `crossing` says of the state then is not below nought.

        Raises
        ------
        PathError
            A derivative that is not a number, one that no step is small enough for, or more than `MOST_STEPS`.

        Examples
        --------
        >>> path = Alone(0.0, [1.0], 0.1)
        >>> path.walk(lambda t, y: [-y[0]], lambda y: [1e-8 + 1e-8 * y[0]], 2.0)
        False
        >>> round(float(path.at([1.0])[0, 0]), 6), round(path.state[0], 6)
        (0.367879, 0.135335)
        """
        step = free = self.step
        self._begin(slope(self.day, self.state))
        allowed = tolerance(self.state)
        while self.day < stop:
            free = step
            if self.day + 1.01 * step >= stop:  # no crumb is left for a last step
                step = stop - self.day
            for i, row in enumerate(_STAGES, start=1):
                self._add(i, slope(self.day + _NODES[i] * step, self._moved(row, step)))
            ahead = self._moved(_END, step)
            self._add(6, slope(self.day + step, ahead))
            allowed_ahead = tolerance(ahead)
            error = step * self._error(allowed, allowed_ahead)
            self._tried += 1
            refused = not error <= 1.0
            if refused:
                step *= max(LEAST_FACTOR, SAFETY * error**-0.2) if isfinite(error) else LEAST_FACTOR
            if self._tried > MOST_STEPS or (refused and step < LEAST_STEP):
                raise PathError(f"The ferment could not be followed beyond day {self.day:.1f}.")
            if refused:
                continue
            self._stretches.append(Stretch(self.day, step, self.state, self._slopes))
            wider = step * (MOST_FACTOR if error == 0.0 else min(MOST_FACTOR, SAFETY * error**-0.2))
            if crossing is not None and crossing(ahead) >= 0.0:
                self._end_between(crossing, ahead)
                self.step = max(wider, free)
                return True
            self.day = stop if step == stop - self.day else self.day + step
            self.state, allowed = ahead, allowed_ahead
            self._begin(self._last())
            step = wider
        self.step = max(step, free)  # the last step may have been cut short
        return False

    def at(self, moments: Sequence[float] | Array) -> Array:
        """The states at moments of the path.

        Parameters
        ----------
        moments : array-like, shape (n,)
            Rising, none before the beginning nor after the end of the path; where a walk began anew, the state then. [any]

        Returns
        -------
        numpy.ndarray, shape (n, ...)
            In the shape of the state. [any]
        """
        times = np.asarray(moments, dtype=float)
        end = np.asarray(self.state, dtype=float)
        found = np.empty((len(times), *end.shape))
        if not self._stretches:
            found[:] = end
            return found
        which = np.searchsorted([s.start for s in self._stretches], times, side="right") - 1
        bounds = np.searchsorted(which, np.arange(len(self._stretches) + 1))
        starts, lengths = (np.array([s[k] for s in self._stretches]) for k in (0, 1))
        weights = _weights((times - starts[which]) / lengths[which])
        for stretch, first, last in zip(self._stretches, bounds, bounds[1:], strict=False):
            if last > first:
                slopes = self._table(stretch.slopes)
                change = stretch.length * (weights[first:last] @ slopes)
                found[first:last] = np.asarray(stretch.state) + change.reshape(-1, *end.shape)
        return found

    def _end_between(self, crossing: Callable[[Any], float], ahead: Any) -> None:
        """End the last stretch where something passes nought: the Illinois variant of false position on its polynomial.

        It ends on the far side, however near: who waits for the crossing would otherwise wait for it again and again.
        `side` counts how often in turn the near (below nought) or the far end was moved.
        """
        start, length = self._stretches[-1][:2]
        low, high, below, above = 0.0, 1.0, crossing(self.state), crossing(ahead)
        end, side = ahead, 0
        for _ in range(_TRIES):
            if above == 0.0 or high - low < _NEAR:
                break
            # Where rounding holds one end fast, halving brings the other near.
            share = (low + high) / 2.0 if abs(side) > 2 else high - above * (high - low) / (above - below)
            there = self._moved(_weights_at(share), length)
            value = crossing(there)
            if value < 0.0:
                low, below, above = share, value, above * (0.5 if side < 0 else 1.0)
                side = min(side, 0) - 1
            else:
                high, above, below, end = share, value, below * (0.5 if side > 0 else 1.0), there
                side = max(side, 0) + 1
        self.day, self.state = start + high * length, end

    _slopes: Any

    @abstractmethod
    def _begin(self, slope: Any) -> None:
        """Begin a step with its first slope."""

    @abstractmethod
    def _add(self, i: int, slope: Any) -> None:
        """Add a slope to the step."""

    @abstractmethod
    def _last(self) -> Any:
        """The slope at the end of a step, with which the next one begins."""

    @abstractmethod
    def _moved(self, weights: tuple[float, ...], step: float) -> Any:
        """The state moved by weighted slopes."""

    @abstractmethod
    def _error(self, here: Any, ahead: Any) -> float:
        """Error per step length by what is allowed at both ends, as the root of its mean square."""

    @abstractmethod
    def _table(self, slopes: Any) -> Array:
        """Slopes as an array, shape (7, size of the state)."""


class Together(Path):
    """The path of many ferments: the state is an array, a row for each part of it."""

    def _begin(self, slope: Any) -> None:
        self._slopes = np.empty((7, self.state.size))
        self._add(0, slope)

    def _add(self, i: int, slope: Any) -> None:
        for row, part in zip(self._slopes[i].reshape(self.state.shape), slope, strict=True):
            row[:] = part

    def _last(self) -> Any:
        return self._slopes[6].reshape(self.state.shape)

    def _moved(self, weights: tuple[float, ...], step: float) -> Any:
        change = np.array(weights) * step @ self._slopes[: len(weights)]
        return self.state + change.reshape(self.state.shape)

    def _error(self, here: Any, ahead: Any) -> float:
        total = 0.0
        for row, one, other in zip((_ERROR_ROW @ self._slopes).reshape(self.state.shape), here, ahead, strict=True):
            off = row / np.minimum(one, other)
            total += float(np.vdot(off, off))
        return sqrt(total / self.state.size)

    def _table(self, slopes: Any) -> Array:
        return np.asarray(slopes)


class Alone(Path):
    """The path of one ferment: states are sequences of floats, and the slopes of a step stand in a list for each."""

    def _begin(self, slope: Any) -> None:
        self._slopes = [[first, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0] for first in slope]

    def _add(self, i: int, slope: Any) -> None:
        for row, value in zip(self._slopes, slope, strict=True):
            row[i] = value

    def _last(self) -> Any:
        return [row[6] for row in self._slopes]

    def _moved(self, weights: tuple[float, ...], step: float) -> Any:
        return [part + step * sum(map(mul, weights, row)) for part, row in zip(self.state, self._slopes, strict=True)]

    def _error(self, here: Any, ahead: Any) -> float:
        total = 0.0
        for row, one, other in zip(self._slopes, here, ahead, strict=True):
            off = sum(map(mul, _ERROR, row)) / min(one, other)
            total += off * off
        return sqrt(total / len(here))

    def _table(self, slopes: Any) -> Array:
        return np.array(slopes).T
