"""Whether the log's last gravity is another than one without a day."""

from __future__ import annotations

from collections.abc import Sequence

from planner.document.reading_kinds import GRAVITIES
from planner.timeline.readings import Logged

SAME_MEAD = 0.002
"""How far gravity may have moved since a sugar test for it still to hold. [-] Two lines of a hydrometer."""


def last_gravity(rows: Sequence[Logged]) -> Logged | None:
    """The last reading of the log that floated a stem or sensor and counts; None without one. [as its fields]"""
    return max(_floated(rows), key=_when, default=None)


def differs(rows: Sequence[Logged], measured: float) -> Logged | None:
    """The last gravity of the log, if a gravity without a day is not that one; None where they agree, or without one.

    Parameters
    ----------
    measured : float
        Entered in the adjustment, where it carries no day. [-]
    """
    last = last_gravity(rows)
    return last if last is not None and abs(last.gravity - measured) > SAME_MEAD + 1e-9 else None


def _floated(rows: Sequence[Logged]) -> list[Logged]:
    return [row for row in rows if row.counts and row.kind in GRAVITIES]


def _when(row: Logged) -> tuple[float, int]:
    """Its day, and its place among those of one day."""
    return row.day or 0.0, row.index
