"""Days of a course: when half of its fall was done, and when it had stopped. Of what was expected and of what came alike."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.timeline.course import AT_REST
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST

Array = npt.NDArray[np.float64]

AT_AN_END = (FINISHED, STALLED, TEST)
"""Verdicts on a ferment that has stopped, whatever the reason."""


def has_stopped(outcome: Outcome) -> bool:
    """Whether the ferment has stopped, by its log or because it was bottled."""
    ended = outcome.headline.stage in ("rest", "adjust", "bottled")
    return ended or (outcome.verdict is not None and outcome.verdict.kind in AT_AN_END)


def below_from(days: Array, gravity: Array, level: float) -> float | None:
    """Day from which on a gravity stays below a level; None where it never does.

    Parameters
    ----------
    days, gravity : numpy.ndarray, shape (n,)
        A course, rising in its days. [d], [-]
    level : float
        Gravity. [-]

    Examples
    --------
    >>> below_from(np.array([0.0, 2.0, 4.0]), np.array([1.10, 1.06, 1.02]), 1.05)
    2.5
    """
    above = np.flatnonzero(gravity > level)
    if not above.size:
        return float(days[0])
    last = int(above[-1])
    if last == days.size - 1:
        return None
    part = (gravity[last] - level) / (gravity[last] - gravity[last + 1])
    return round(float(days[last] + part * (days[last + 1] - days[last])), 9)


def _span(days: Array, gravity: Array, band: Array, level: float) -> Span | None:
    typical = below_from(days, gravity, level)
    if typical is None:
        return None
    low, high = below_from(days, band[0], level), below_from(days, band[-1], level)
    return Span(
        typical if low is None else min(low, typical), typical, float(days[-1]) if high is None else max(high, typical)
    )


def expected_half(outcome: Outcome) -> Span | None:
    """Day on which half of the expected fall should be done. [d]"""
    level, curve = _half_way(outcome), outcome.curve
    return None if level is None or curve is None else _span(curve.days, curve.gravity, curve.band, level)


def half(outcome: Outcome) -> Span | None:
    """Day on which half of the expected fall was done, by the log; None where that is not known yet. [d]"""
    after, level = outcome.posterior, _half_way(outcome)
    if level is None or after is None or after.now is None or after.now.indicated.typical >= level:
        return None
    return _span(after.days, after.gravity, after.band, level)


def _half_way(outcome: Outcome) -> float | None:
    """Gravity between the start, as measured where it was, and the end that was expected. [-]"""
    if outcome.must is None or outcome.finish is None:
        return None
    return 0.5 * ((outcome.starting_gravity or outcome.must.first.typical) + outcome.finish.gravity.typical)


def stopped_on(outcome: Outcome) -> Span | None:
    """Day from which on the gravity of the log was as near its last one as a ferment counts as done; None while it works. [d]"""
    after = outcome.posterior
    if after is None or after.now is None or not has_stopped(outcome):
        return None
    past = after.days <= after.now.evidence.day
    days, gravity, band = after.days[past], after.gravity[past], after.band[:, past]
    return _span(days, gravity, band - band[:, -1:] + gravity[-1], float(gravity[-1]) + AT_REST)
