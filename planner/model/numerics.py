"""Small numerical tools that several formulas share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def alike(one: Any, other: Any) -> bool:
    """Whether two values are the same to the last digit, arrays and values made of them as well; what they only keep does not count. [-]"""
    if one is other:
        return True
    if type(one) is not type(other):
        return False
    if isinstance(one, np.ndarray):
        return bool(np.array_equal(one, other))
    if isinstance(one, msgspec.Struct):
        told = (name for name in one.__struct_fields__ if not name.startswith("_"))
        return all(alike(getattr(one, name), getattr(other, name)) for name in told)
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(map(alike, one, other))
    return bool(one == other)


def polynomial(coefficients: Sequence[float], x: Any) -> Array:
    """A polynomial by rising powers, by Horner's rule; cheaper than numpy's on small arrays, and most on a single value.

    Parameters
    ----------
    coefficients : sequence of float
        Coefficients from the constant upwards. [any]
    x : array-like
        Where to evaluate. [any]

    Returns
    -------
    numpy.ndarray
        Value of the polynomial. [any]
    """
    x = np.asarray(x, dtype=float)
    if x.size == 1:
        value, single = coefficients[-1], x.item()
        for coefficient in reversed(coefficients[:-1]):
            value = value * single + coefficient
        return np.full(x.shape, value, dtype=float)
    total = np.full_like(x, coefficients[-1])
    for coefficient in reversed(coefficients[:-1]):
        total *= x
        total += coefficient
    return np.asarray(total)


def percentiles(values: Any, levels: Sequence[float]) -> Array:
    """Percentiles along the last axis, straight between two members.

    `numpy.percentile` gives the same, but takes half a millisecond to begin, and a window shows some thirty spans; and it
    reads the whole of numpy's masked arrays when it is first asked.

    Parameters
    ----------
    values : array-like, shape (..., m)
        Members, one at least. [any]
    levels : sequence of float, shape (k,)
        From 0 to 100. [%]

    Returns
    -------
    numpy.ndarray, shape (k, ...)
        The percentiles; not a number where a member is none. [as the values]

    Examples
    --------
    >>> percentiles([1.0, 2.0, 4.0], [0.0, 50.0, 75.0]).tolist()
    [1.0, 2.0, 3.0]
    """
    values = np.asarray(values, dtype=float)
    last = values.shape[-1] - 1
    places = [level / 100.0 * last for level in levels]
    below = [int(place) for place in places]
    above = [min(place + 1, last) for place in below]
    ordered = np.partition(values, sorted({*below, *above, last}), axis=-1)
    part = np.array([place - int(place) for place in places])
    found = ordered[..., below] + part * (ordered[..., above] - ordered[..., below])
    lacking = np.isnan(ordered[..., -1:])  # the order puts it last
    return np.moveaxis(np.where(lacking, np.nan, found), -1, 0)


def median(values: Any) -> float:
    """The middle one of some values, or the middle between two; `percentiles` tells why not numpy's.

    Parameters
    ----------
    values : array-like, shape (m,)
        One at least. [any]

    Returns
    -------
    float
        Their median; not a number where one of them is none. [as the values]

    Examples
    --------
    >>> median([4.0, 1.0, 2.0, 3.0])
    2.5
    """
    return float(percentiles(values, (50.0,))[0])


def solve_increasing(
    function: Callable[[Array], Array], target: Any, low: float, high: float, tolerance: float = 1e-12
) -> Array:
    """Where an increasing function takes given values: false position as Anderson and Björck improved it, on arrays.

    Parameters
    ----------
    function : callable
        Increasing and continuous between `low` and `high`; called with arrays of the target's shape. [any]
    target : array-like
        Wanted values. Beyond the function's values at the ends, the end is returned. [any]
    low, high : float
        Bracket. [any]
    tolerance : float
        Largest step, relative to the bracket, at which the search ends. [-]

    Returns
    -------
    numpy.ndarray
        Arguments at which the function takes the target values. [any]

    References
    ----------
    .. [1] Anderson & Björck 1973, BIT 13, 253-264: the end that stays is weighed by how far the other one came.
    """
    target = np.asarray(target, dtype=float)
    a, b = np.full_like(target, low), np.full_like(target, high)
    fa, fb = function(a) - target, function(b) - target
    below, above = fa >= 0.0, fb <= 0.0
    x = np.where(below, a, b)
    side = np.zeros_like(target)
    for _ in range(100):
        slope = np.where(fb == fa, 1.0, fb - fa)
        step = np.minimum(np.maximum(b - fb * (b - a) / slope, np.minimum(a, b)), np.maximum(a, b))
        moved = np.max(np.abs(step - x), initial=0.0)
        x = step
        fx = function(x) - target
        left = fx < 0.0
        former = np.where(left, fa, fb)
        weight = 1.0 - fx / np.where(former == 0.0, 1.0, former)
        weight = np.where(weight > 0.0, weight, 0.5)
        fb = np.where(left & (side < 0), fb * weight, fb)
        fa = np.where(~left & (side > 0), fa * weight, fa)
        a, fa = np.where(left, x, a), np.where(left, fx, fa)
        b, fb = np.where(left, b, x), np.where(left, fb, fx)
        side = np.where(left, -1.0, 1.0)
        if moved <= tolerance * (high - low) or not np.any(fx):
            break
    return np.where(below, low, np.where(above, high, x))
