"""Arithmetic that is written once for plain floats, which are quick alone, and for arrays of members."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np


class Maths(NamedTuple):
    """What rates need besides arithmetic."""

    exp: Callable[[Any], Any]
    larger: Callable[[Any, Any], Any]
    smaller: Callable[[Any, Any], Any]
    level: Callable[[Any, float], Any]
    """One number in the shape of a value: numpy bounds an array by an array in half the time that a number takes."""


ARRAYS = Maths(np.exp, np.maximum, np.minimum, lambda like, number: np.zeros(np.shape(like)) + number)
# A value first, its bound second: then both keep what is not a number.
FLOATS = Maths(math.exp, max, min, lambda _, number: number)
