"""The rates of the program as a solver of differential equations wants them."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.kinetics import Culture, Pace, law

Array = npt.NDArray[np.float64]


def rates(state: Array, started: Any, woken: Any, now: Pace, culture: Culture) -> Array:
    """Rate of change of the state.

    Parameters
    ----------
    state : numpy.ndarray, shape (4, m)
        Glucose, fructose, nitrogen and active yeast. [kg/m^3] Slightly negative values, which solvers try, count
        as zero inside the rates; the state itself is never clipped.
    started, now, culture
        As those of `law`. [as there]
    woken : float or array-like
        Share of the yeast that has woken. [-]

    Returns
    -------
    numpy.ndarray, shape (4, m)
        Time derivative. [kg/(m^3 d)]
    """
    there = np.maximum(state, 0.0)
    relative = law(started, now, culture)(*there, woken)
    return np.stack(np.broadcast_arrays(*relative)) * there
