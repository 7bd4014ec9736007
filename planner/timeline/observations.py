"""What the log says of a ferment, one thing measured at a time, and which of them are to be doubted."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

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


SETTLED = (0.002, 1.5)
"""Fall of gravity, since a reading of so many days before, up to which it counts as at rest. [-], [d] Two lines of the hydrometer,
or one of a coarse one."""

PLAINLY_FALLING = (0.002, 0.0015)
"""Fall of gravity since a reading most of a day before, so much [-] and so much per day [1/d], beyond which nothing is called
stalled, whatever the flock makes of it. Half a line a day is the least that counts as movement; estimate."""

MOST_OF_A_DAY, LATELY = 0.9, 2.5
"""Least time between two gravities whose fall is looked at, and most for which it still goes on. [d] Readings once a day are
not a day apart to the minute; what fell over many days may have come to rest since."""

AT_WORK, STEADY = 0.005, 0.5
"""Fall of gravity within `LATELY` that yeast which has stopped does not show, three times the doubt of the difference of two
readings; and share of the pace within it that the last readings must still have. [-], [-] Estimates."""


class Observation(msgspec.Struct, frozen=True):
    """One thing measured.

    Attributes
    ----------
    place : int
        In the log.
    day : float
        Since pitching, above zero. [d]
    kind : str
        "gravity" or "sugar".
    value, sd : float
        What was found and its standard deviation. [-] or [kg/m^3]
    mark : float or None
        Lowest mark of a sugar test that shows no more than that less is left; `value` is then half of it. [kg/m^3]
    readings : int
        How many readings stand together in it. [-]
    instrument : str
        What was read: readings of one instrument share its constant error.
    offset_sd : float
        Standard deviation of that constant error. [-]
    raised : float
        By how much honey and juice given so far have raised the gravity. [-]
    """

    place: int
    day: float
    kind: str
    value: float
    sd: float
    mark: float | None = None
    readings: int = 1
    instrument: str = "hydrometer"
    offset_sd: float = 0.0007
    raised: float = 0.0

    @property
    def level(self) -> float:
        """A gravity as it would be without what was given while it worked, so that falls can be told. [-]"""
        return self.value - self.raised


class Falls(msgspec.Struct, frozen=True):
    """Falls to the last gravity from each before it, the last one first.

    Attributes
    ----------
    ago : tuple of float
        Days since. [d]
    fallen : tuple of float
        Fall since. [-]
    """

    ago: tuple[float, ...]
    fallen: tuple[float, ...]

    @classmethod
    def of(cls, log: Sequence[Observation]) -> Falls:
        """From what was measured and is believed, in the order of days."""
        found = [one for one in reversed(log) if one.kind == "gravity"]
        return cls(tuple(found[0].day - one.day for one in found), tuple(one.level - found[0].level for one in found))

    def _since(self, days: float) -> tuple[float, float] | None:
        """Days and fall since the last one that is so many days old."""
        return next(((ago, fall) for ago, fall in zip(self.ago, self.fallen, strict=True) if ago >= days), None)

    @property
    def seen(self) -> bool:
        """Whether any fall was read at all; a start that was only reckoned may have been lower."""
        return max(self.fallen, default=0.0) > PLAINLY_FALLING[0] + 1e-9

    def settled(self, days: float = SETTLED[1], readings: int = 2) -> bool:
        """Whether gravity no longer falls, by so many readings at least."""
        since = self._since(days)
        if since is None or since[1] > SETTLED[0] + 1e-9:
            return False
        return self.ago.index(since[0]) + 1 >= readings

    def scattered(self, days: float, most: float) -> bool:
        """Whether the last gravity alone is lower than one that is so many days older, and by no more than so much. [d], [-]"""
        since = self._since(days)
        if since is None or since[1] > most + 1e-9:
            return False
        (ago, fallen), earlier = (self.ago[1], self.fallen[1]), slice(1, None)
        return Falls(
            tuple(a - ago for a in self.ago[earlier]), tuple(f - fallen for f in self.fallen[earlier])
        ).settled(days)

    @property
    def resting(self) -> tuple[float, float]:
        """Days and fall since the first of the gravities at the end that differ by no more than a settled one may. [d], [-]"""
        alike = takewhile(lambda pair: abs(pair[1]) <= SETTLED[0] + 1e-9, zip(self.ago, self.fallen, strict=True))
        return max(alike, default=(0.0, 0.0))

    def plain(self, lately: float = np.inf) -> bool:
        """Whether it plainly fell between the last two, most of a day apart and not more than `lately`."""
        since = self._since(MOST_OF_A_DAY)
        if since is None or since[0] > lately:
            return False
        return since[1] > max(PLAINLY_FALLING[0], PLAINLY_FALLING[1] * since[0]) + 1e-9

    @property
    def at_work(self) -> bool:
        """Whether it falls so plainly, lately by so much and no less steadily, that no doubt of readings makes a stop of it."""
        last = self._since(MOST_OF_A_DAY)
        if last is None or not self.plain(LATELY):
            return False
        days, fall = max((ago, fall) for ago, fall in zip(self.ago, self.fallen, strict=True) if ago <= LATELY)
        return fall >= AT_WORK - 1e-9 and last[1] / last[0] >= STEADY * fall / days


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


def suspicions(log: Sequence[Observation]) -> list[float]:
    """How likely each reading is to be a bad one, by the others alone: gravity does not rise while yeast works.

    Returns
    -------
    list of float
        `DOUBTED` for readings that stand against the longest row of falling ones, `IN_CONFLICT` where two such rows are
        as long, `BAD_READING` for all others. [-]
    """
    places = [i for i, found in enumerate(log) if found.kind == "gravity"]
    value = np.array([log[i].level for i in places])
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
