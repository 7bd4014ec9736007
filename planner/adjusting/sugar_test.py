"""What the last sugar test still says of the mead, when gravity was read beside it, since, or at an unknown time."""

from __future__ import annotations

from collections.abc import Sequence

from planner.model.span import Span
from planner.timeline.readings import Logged

SAME_MEAD = 0.002
"""How far gravity may have moved since a sugar test for it still to hold. [-] Two lines of a hydrometer."""

SUGAR_TEST_ERROR = 1.0
"""Doubt about a residual-sugar test of almost nothing. [kg/m^3] Strips read 1 to 2 g/L in dry wine, from memory."""

SUGAR_TEST_SHARE = 0.5
"""Share of what a residual-sugar test finds by which it may be wrong. [-] Estimate."""

PER_SUGAR = 3.86e-4
"""By how much a gram of sugar in a litre lifts the gravity. [m^3/kg] Sucrose: ICUMSA SPS-4."""


def last_gravity(rows: Sequence[Logged]) -> Logged | None:
    """The last reading of the log that floated a stem or sensor and counts; None without one. [as its fields]

    Parameters
    ----------
    rows : sequence of Logged
        The log. [as its fields]
    """
    return max(_floated(rows), key=_when, default=None)


def differs(rows: Sequence[Logged], measured: float) -> Logged | None:
    """The last gravity of the log, if a gravity without a day is not that one; None where they agree, or without one.

    Parameters
    ----------
    rows : sequence of Logged
        The log. [as its fields]
    measured : float
        Entered in the adjustment, where it carries no day. [-]

    Returns
    -------
    Logged or None
        Apart by more than `SAME_MEAD`. [as its fields]
    """
    last = last_gravity(rows)
    return last if last is not None and abs(last.gravity - measured) > SAME_MEAD + 1e-9 else None


def found_by(test: float) -> Span:
    """Fermentable sugar that a test may have found, with the doubt of a strip. [kg/m^3]

    Parameters
    ----------
    test : float
        What it shows. [kg/m^3]

    Examples
    --------
    >>> found_by(12.0)
    Span(low=6.0, typical=12.0, high=19.0)
    """
    return Span((1.0 - SUGAR_TEST_SHARE) * test, test, (1.0 + SUGAR_TEST_SHARE) * test + SUGAR_TEST_ERROR)


def sugar_by_test(rows: Sequence[Logged], present: float) -> Span | None:
    """Fermentable sugar by the last test, as far as it still holds.

    A fall of gravity since the test uses sugar, but only the log can tell that it came after: a gravity without a day may as
    well be the older one. Then the test stands, because bottles are at stake. What gravity rose by may be sugar.

    Parameters
    ----------
    rows : sequence of Logged
        The log. [as its fields]
    present : float
        Gravity of the mead, with or without a day. [-]

    Returns
    -------
    Span or None
        Sugar; None without a test, or where the log itself shows that gravity fell since by more than `SAME_MEAD`. [kg/m^3]
    """
    test, beside, last = _last_test(rows), _beside(rows), last_gravity(rows)
    if test is None:
        return None
    low, typical, high = found_by(test.sugar)
    if beside is None or last is None or abs(beside.gravity - present) <= SAME_MEAD + 1e-9:
        return Span(low, typical, high)
    moved = present - beside.gravity
    if moved > 0.0:
        return Span(low, typical, high + moved / PER_SUGAR)
    if differs(rows, present) is None and _when(last) > _when(test):
        return None
    return Span(max(low + moved / PER_SUGAR, 0.0), typical, high)


def rose_since_test(rows: Sequence[Logged], present: float) -> bool:
    """Whether gravity is higher than beside the last test, so that there may be more sugar than it found.

    Parameters
    ----------
    rows : sequence of Logged
        The log. [as its fields]
    present : float
        Gravity of the mead. [-]
    """
    beside = _beside(rows)
    return beside is not None and present - beside.gravity > SAME_MEAD + 1e-9


def tested_since(rows: Sequence[Logged], day: float, present: float) -> Span | None:
    """The same, where the last test came after a day up to which the log is weighed already.

    Parameters
    ----------
    rows : sequence of Logged
        The log. [as its fields]
    day : float
        Since pitching. [d]
    present : float
        Gravity of the mead. [-]

    Returns
    -------
    Span or None
        Sugar; None where there is no such test. [kg/m^3]
    """
    later = any(row.counts and row.kind == "sugar" and (row.day or 0.0) > day for row in rows)
    return sugar_by_test(rows, present) if later else None


def doubted(sugar: Span) -> Span:
    """Sugar that a ferment at rest has left, with no less doubt than a strip leaves. [kg/m^3]

    Parameters
    ----------
    sugar : Span
        As all readings together have it. [kg/m^3]
    """
    return Span(sugar.low, sugar.typical, max(sugar.high, SUGAR_TEST_ERROR))


def _last_test(rows: Sequence[Logged]) -> Logged | None:
    return max((row for row in rows if row.counts and row.kind == "sugar"), key=_when, default=None)


def _beside(rows: Sequence[Logged]) -> Logged | None:
    """The gravity read nearest to the last test, of two the later one."""
    test = _last_test(rows)
    if test is None:
        return None
    at = _when(test)[0]
    return min(_floated(rows), key=lambda row: (abs(_when(row)[0] - at), -row.index), default=None)


def _floated(rows: Sequence[Logged]) -> list[Logged]:
    return [row for row in rows if row.counts and row.kind in ("hydrometer", "sensor")]


def _when(row: Logged) -> tuple[float, int]:
    """Its day, and its place among those of one day."""
    return row.day or 0.0, row.index
