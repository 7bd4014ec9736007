"""What the log says of a ferment, one thing measured at a time, and which of them are to be doubted."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

BY_EYE = 0.0008
"""Standard deviation of a gravity read by eye, without its rounding. [-] Common practice, no source: half a line or so."""

LINES = (0.001, 0.002)
"""Lines to which stems are read. [-]"""

ENOUGH = 4
"""Readings from which their common line can be told. [-]"""

BAD_READING = 0.03
"""Share of readings that are wrong. [-] Estimate."""

RISE = 0.0035
"""Rise of gravity that two good readings do not show. [-] Three times the doubt of their difference, with coarse lines."""

DOUBTED, IN_CONFLICT = 0.7, 0.4
"""Chance of being bad for a reading that the rest of the log speaks against, and for one of two that cannot both be right
while nothing tells which. [-] Estimates."""


class Evidence(msgspec.Struct, frozen=True):
    """One thing measured.

    Attributes
    ----------
    place : int
        In the log.
    day : float
        Since pitching, above zero. [d]
    kind : str
        "gravity" or "sugar".
    value, doubt : float
        What was found and its standard deviation. [-] or [kg/m^3]
    mark : float or None
        Lowest mark of a sugar test that shows no more than that less is left; `value` is then half of it. [kg/m^3]
    readings : int
        How many readings stand together in it. [-]
    """

    place: int
    day: float
    kind: str
    value: float
    doubt: float
    mark: float | None = None
    readings: int = 1


def reading_doubt(gravities: Sequence[float]) -> float:
    """Doubt of gravities read by eye, with the rounding that they themselves betray.

    Parameters
    ----------
    gravities : sequence of float
        As read off the stem. [-]

    Returns
    -------
    float
        Standard deviation of one of them. [-]

    Examples
    --------
    >>> reading_doubt([1.098, 1.084, 1.062, 1.040]) > reading_doubt([1.098, 1.085, 1.062, 1.040])
    True
    """
    fine, coarse = LINES
    lines = np.asarray(gravities, dtype=float) / coarse
    line = coarse if lines.size >= ENOUGH and np.max(np.abs(lines - np.rint(lines))) < 1e-3 else fine
    return float(np.hypot(BY_EYE, line / np.sqrt(12.0)))


def suspicions(log: Sequence[Evidence]) -> list[float]:
    """How likely each reading is to be a bad one, by the others alone: gravity does not rise while yeast works.

    Parameters
    ----------
    log : sequence of Evidence
        In the order of their days. [as its fields]

    Returns
    -------
    list of float
        `DOUBTED` for readings that stand against the longest row of falling ones, `IN_CONFLICT` where two such rows are
        as long, `BAD_READING` for all others. [-]
    """
    places = [i for i, found in enumerate(log) if found.kind == "gravity"]
    value = np.array([log[i].value for i in places])
    n = value.size
    fits = np.tri(n, k=-1, dtype=bool) & (value[:, None] <= value[None, :] + RISE)  # row after column
    before, after = np.ones(n, dtype=int), np.ones(n, dtype=int)
    for i in range(n):
        before[i] += int(np.max(before[:i][fits[i, :i]], initial=0))
    for i in reversed(range(n)):
        after[i] += int(np.max(after[i + 1 :][fits[i + 1 :, i]], initial=0))
    through = before + after
    fine = through == np.max(through, initial=0)
    clash = np.tri(n, k=-1, dtype=bool) & ~fits
    clash = (clash | clash.T) & fine[:, None] & fine[None, :]
    result = [BAD_READING] * len(log)
    for place, good, clashing in zip(places, fine, clash.any(axis=1), strict=True):
        result[place] = DOUBTED if not good else IN_CONFLICT if clashing else BAD_READING
    return result
