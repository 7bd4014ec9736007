"""Another batch as it is laid beside this one: its readings, or its course; no Qt, no drawing."""

from __future__ import annotations

import msgspec
import numpy as np
import numpy.typing as npt

from planner.evaluation.outcome import Outcome
from planner.timeline.readings import columns_of

Array = npt.NDArray[np.float64]

LONGEST_NAME = 24
"""Letters of a batch's name that the key of the curve has room for."""

PINNED = "pinned design"
"""What the course of a pinned design is called in the key."""


class Earlier(msgspec.Struct, frozen=True, eq=False):
    """Another batch, to be compared with.

    Attributes
    ----------
    name : str
        Of the batch.
    days, gravity : numpy.ndarray, shape (n,)
        Its course: days since its pitching [d] and gravity. [-]
    read_day, read : numpy.ndarray, shape (m,)
        Its readings that count, by rising day. [d], [-]
    """

    name: str
    days: Array
    gravity: Array
    read_day: Array
    read: Array

    @property
    def short_name(self) -> str:
        """The name as the key shows it."""
        return self.name if len(self.name) <= LONGEST_NAME else f"{self.name[: LONGEST_NAME - 1].rstrip()}…"


def earlier_of(outcome: Outcome) -> Earlier | None:
    """Another batch as it went: its readings, and where it has none the course of its recipe; None if it has neither.

    The line follows the readings as long as there are some, and the course beyond them only where nothing was read.
    """
    log = columns_of(outcome.log)
    counts = np.flatnonzero(~np.isnan(log.day) & (log.tells != "") & ~log.excluded & (log.kind != "sugar"))
    counts = counts[np.argsort(log.day[counts], kind="stable")]
    day, read = log.day[counts], log.gravity[counts]
    curve = outcome.curve
    if day.size >= 2:
        return Earlier(outcome.batch.name, day, read, day, read)
    if curve is None:
        return None
    return Earlier(outcome.batch.name, curve.days, curve.gravity, day, read)


def pinned_course(days: Array, gravity: Array) -> Earlier:
    """The expected course of a design that is pinned: no readings, which are of the batch and not of the design."""
    none = np.empty(0)
    return Earlier(PINNED, days, gravity, none, none)
