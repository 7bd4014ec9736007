"""One row is one published figure: what it is for, where it stands, how it was come by, and how exact it is."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec
import pytest

from planner.model.components import COMPONENTS
from planner.model.liquid import TARTARIC_PER_EQUIVALENT
from published.sources import SOURCES

READ = "read"
"""Seen in the source, in an official copy, or in an excerpt of it."""

RECALLED = "recalled"
"""From memory of the source; nobody looked at it for this check."""

LIBRARY = "library"
"""Worked out at run time by a general-purpose library that has nothing to do with this project."""

DATA = "data"
"""Read at run time from the publisher's own data file."""


class Row(msgspec.Struct, frozen=True):
    """A published figure.

    `published` is a number, or a pair between which the answer must lie. `tolerance` is how exact the source is: half
    of its last digit, or a whole one where the digit before was rounded too, or the spread that the source states.
    `differ` says with what a figure disagrees, and by how much, where two sources do: both stand, and the tolerance is
    the spread between them. Empty where none does.
    """

    topic: str
    source: str
    how: str
    unit: str
    tolerance: float
    given: tuple[Any, ...]
    published: float | tuple[float, float]
    differ: str = ""

    def deviation(self, found: float) -> float:
        """How far an answer lies from what is published; nothing inside a pair."""
        low, high = self.published if isinstance(self.published, tuple) else (self.published, self.published)
        return found - high if found > high else found - low if found < low else 0.0


def table(
    topic: str,
    source: str,
    how: str,
    tolerance: float,
    rows: Iterable[tuple[Any, ...]],
    unit: str = "",
    differ: str = "",
) -> list[Any]:
    """Rows of one source as parameters of a test: in each, the published figure comes last."""
    assert source in SOURCES, source
    assert not differ or len(differ) > 12, "say with what it disagrees, and by how much"
    return [
        pytest.param(
            Row(topic, source, how, unit, tolerance, row[:-1], row[-1], differ),
            id="-".join([source, *(str(part) for part in row[:-1])]).replace(" ", "_"),
        )
        for row in rows
    ]


def apart(one: float, other: float, digit: float = 0.0) -> float:
    """The tolerance that two sources leave: how far their figures lie apart, and half of the last digit printed."""
    return abs(one - other) + digit / 2.0


def printed(value: float, digit: float) -> tuple[float, float]:
    """What a printed figure stands for: all that rounds to it."""
    return value - digit / 2.0, value + digit / 2.0


def as_tartaric(concentration, acid):
    """Titratable acid stated as one acid, in terms of tartaric. [as stated]"""
    return concentration * COMPONENTS[acid].acid_equivalents * TARTARIC_PER_EQUIVALENT
