"""Where a published model is asked beyond what it was fitted to: told as data, so that whoever shows it can say so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np


class Outside(NamedTuple):
    """One quantity outside the range a model was fitted to.

    Attributes
    ----------
    quantity : str
        What it is, in words.
    value : float
        The value that is furthest out. [as its range]
    low, high : float
        Fitted range. [SI]
    """

    quantity: str
    value: float
    low: float
    high: float


Ranges = Mapping[str, tuple[float, float]]
"""Fitted range of each quantity, by its name in words. [SI]"""


def outside(ranges: Ranges, values: Mapping[str, Any]) -> tuple[Outside, ...]:
    """What lies outside the fitted ranges.

    Parameters
    ----------
    ranges : mapping of str to (float, float)
        Fitted ranges. [SI]
    values : mapping of str to array-like
        Values of the same quantities. [SI]

    Returns
    -------
    tuple of Outside
        Empty where nothing is extrapolated.

    Examples
    --------
    >>> outside({"temperature": (284.15, 308.15)}, {"temperature": [290.15, 311.15]})
    (Outside(quantity='temperature', value=311.15, low=284.15, high=308.15),)
    """
    found = []
    for quantity, (low, high) in ranges.items():
        given = np.atleast_1d(np.asarray(values[quantity], dtype=float))
        beyond = np.maximum(low - given, given - high)
        worst = int(np.argmax(beyond))
        if beyond[worst] > 1e-9 * max(abs(low), abs(high)):
            found.append(Outside(quantity, float(given[worst]), low, high))
    return tuple(found)
