"""An integrator for many ferments at once: the pair of Dormand and Prince, with one step for all members.

It does what general solvers do, with less ado per step, and it measures the error of each part of the state by that
part's own tolerance, which the caller works out from the state: a logarithm needs it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

# Dormand & Prince 1980, J. Comput. Appl. Math. 6, 19-26; the polynomial between the ends of a step by Shampine 1986,
# Math. Comp. 46, 135-150.
_NODES = (0.0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0)
_STAGES = tuple(
    np.array(row)
    for row in (
        (1 / 5,),
        (3 / 40, 9 / 40),
        (44 / 45, -56 / 15, 32 / 9),
        (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
        (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
    )
)
_END = np.array((35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84))
_ERROR = np.array((-71 / 57600, 0.0, 71 / 16695, -71 / 1920, 17253 / 339200, -22 / 525, 1 / 40))
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


def follow(
    slope: Callable[[float, Array], Array],
    tolerance: Callable[[Array], Array],
    start: float,
    stop: float,
    state: Array,
    moments: Array,
    step: float,
) -> tuple[Array, Array, float]:
    """Integrate from one time to another.

    Parameters
    ----------
    slope : callable
        Time derivative of a state at a time, in the state's shape. [as the state, per time]
    tolerance : callable
        Error that each part of a state may have in a step. [as the state]
    start, stop : float
        Between which times; `slope` is smooth between them. [any]
    state : numpy.ndarray, shape (k, m)
        At the start. [any]
    moments : numpy.ndarray, shape (n,)
        Rising, between `start` and `stop`. [as the time]
    step : float
        A first step to try. [as the time]

    Returns
    -------
    numpy.ndarray, shape (n, k, m)
        The state at the moments. [any]
    numpy.ndarray, shape (k, m)
        The state at the end. [any]
    float
        The step that would be tried next. [as the time]

    Raises
    ------
    ArithmeticError
        A derivative that is not a number, or one that no step is small enough for.

    Examples
    --------
    >>> falling, end, _ = follow(
    ...     lambda t, y: -y, lambda y: 1e-8 + 1e-8 * y, 0.0, 2.0, np.ones((1, 1)), np.array([1.0]), 0.1
    ... )
    >>> round(float(falling[0, 0, 0]), 6), round(float(end[0, 0]), 6)
    (0.367879, 0.135335)
    """
    shape = state.shape
    found = np.empty((len(moments), *shape))
    stages = np.empty((7, state.size))
    flat: Array = state.ravel()
    now, told, free = start, 0, step
    stages[0] = slope(now, state).ravel()
    while now < stop:
        free = step
        if now + 1.01 * step >= stop:  # no crumb is left for a last step
            step = stop - now
        for i, row in enumerate(_STAGES, start=1):
            trial = flat + step * (row @ stages[:i])
            stages[i] = slope(now + _NODES[i] * step, trial.reshape(shape)).ravel()
        ahead = flat + step * (_END @ stages[:6])
        stages[6] = slope(now + step, ahead.reshape(shape)).ravel()
        allowed = np.minimum(tolerance(flat.reshape(shape)), tolerance(ahead.reshape(shape))).ravel()
        error = step * float(np.sqrt(np.mean((_ERROR @ stages / allowed) ** 2)))
        if not error <= 1.0:
            step *= max(LEAST_FACTOR, SAFETY * error**-0.2) if np.isfinite(error) else LEAST_FACTOR
            if step < LEAST_STEP:
                raise ArithmeticError(f"The ferment could not be followed beyond day {now:.1f}.")
            continue
        later = stop if step == stop - now else now + step
        until = int(np.searchsorted(moments, later, side="right"))
        if until > told:
            shares = (moments[told:until] - now) / step
            weights = (shares[:, None] ** _SHARES) @ _BETWEEN.T
            found[told:until] = (flat + step * (weights @ stages)).reshape(-1, *shape)
            told = until
        now, flat = later, ahead
        stages[0] = stages[6]
        step *= MOST_FACTOR if error == 0.0 else min(MOST_FACTOR, SAFETY * error**-0.2)
    return found, flat.reshape(shape), max(step, free)  # the last step may have been cut short
