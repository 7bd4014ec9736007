"""The gravity at pitching, as far as the log holds one that can be relied on."""

from __future__ import annotations

import itertools

from planner.model.hydrometer import HOT
from planner.timeline.readings import AT_PITCHING, Logged

STARTS = ("hydrometer", "refractometer", "sensor")
"""Kinds of reading that can tell the starting gravity, the surest first."""


def starting_gravity(rows: tuple[Logged, ...]) -> float | None:
    """Measured gravity at pitching, within a day before and half a day after: by the surest instrument, nearest to it. [-]

    A hot sample alone tells none; two that agree do.
    """
    row = starting_reading(rows)
    return None if row is None else row.gravity


def starting_reading(rows: tuple[Logged, ...]) -> Logged | None:
    """The reading that tells the gravity at pitching; None without one. [as its fields]"""
    near = [r for r in rows if r.counts and r.kind in STARTS and AT_PITCHING[0] <= (r.day or 0.0) <= AT_PITCHING[1]]
    cool = [row for row in near if not is_hot(row)]
    if not cool and not any(_agree(one, other) for one, other in itertools.combinations(near, 2)):
        return None
    return min(cool or near, key=lambda r: (STARTS.index(r.kind), abs(r.day or 0.0)))


def is_hot(row: Logged) -> bool:
    """Whether its sample was so hot that it tells the start only with a second reading."""
    return row.kind in ("hydrometer", "sensor") and row.temperature is not None and row.temperature > HOT


def _agree(one: Logged, other: Logged) -> bool:
    """Whether two readings are of one gravity, as far as each is known."""
    return max(one.low, other.low) <= min(one.high, other.high)
