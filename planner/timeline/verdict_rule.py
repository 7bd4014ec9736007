"""Which of six verdicts a ferment gets, from probabilities, so that none says more than the log bears out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.timeline.observations import LATELY, SETTLED, Falls
from planner.timeline.particle_filter import HALF, STILL_SWEET, Present
from planner.timeline.particles import BEGUN

Array = npt.NDArray[np.float64]

TOO_EARLY, ON_COURSE, SLOW, STALLED, FINISHED, TEST = KINDS = (
    "too early to say",
    "on course",
    "slow",
    "stalled",
    "finished",
    "finished or stalled: test",
)
"""What a verdict may say."""

SURE = 0.75
"""Probability from which "stalled" or "dry" is said. [-] The first of what has a second opinion and does not plainly fall."""

SURE_DONE = 0.75
"""Probability from which "finished" is said. [-]"""

WOKE_BRIEFLY = 3.0
"""Days at rest after which a ferment that has hardly begun is stalled, and not late to wake. [d] The longest usual lag, from
memory."""

SEEN_AT_REST = 7.0
"""Days over which gravity must not have fallen by more than `observations.SETTLED` before "finished" is said without a sugar test.
[d] What still falls by a line in two days looks the same to two readings four days apart. Common practice, no source: one to
two weeks."""

SURE_TESTED = 0.75
"""Probability from which "finished" is said when a sugar test is at hand. [-] It has settled what gravity leaves open."""

SURE_NOT_SWEET = 0.09
"""Most probability of sugar above 10 g/L with which "finished" is said. [-]"""

QUITE_SURE = 0.85
"""Probability that is enough where only two readings tell of days without a fall. [-] One of them might be a bad one."""

VERY_SURE = 0.99
"""Probability from which one reading alone is enough for "stalled". [-]"""

SURE_CHILLED = 0.96
"""Probability from which "stalled" is said of what has become cold. [-] Cold yeast may wake by itself when it is warmed."""

BELIEVED = 1.000
"""Gravity up to which a ferment is called finished without a sugar test. [-] Dry wines and meads rest at 0.990 to 1.000 (common
practice, no source); above, the extract of the fruit can hide sugar that no table knows of."""

SURE_SWEET = 0.95
"""Probability of sugar above 10 g/L that "stalled" needs. [-]"""

LONG_PAUSE, THRICE = 2.5, 3
"""Days without a fall, by so many readings, of which the last tells a standstill even where the one before was not thought
one. [d], [-] Yeast at work would have moved by several lines; two readings might be one bad one."""

PLAINLY_SWEET = 0.9
"""Probability of sugar above 10 g/L that "stalled" needs without a sugar test. [-] Less may be what no table knows of the fruit;
then the test is asked for."""

AT_REST = 0.5
"""Probability of no longer moving from which a test is asked for. [-]"""

DOUBTFUL = 0.03
"""Least probability of the other of finished and stalled for which a test is worth its price. [-]"""

LONG_LAG = 4.0
"""Days after which a ferment that has not begun is slow, where no plan tells by when it should have. [d] Lag is up to three
days in the cold, from memory."""

WITHIN_REACH = 22.0
"""Sugar that may be left, by the lower bound, for a ferment at rest to be worth a test. [kg/m^3] About ten lines of the
hydrometer above dry; beyond that nobody takes it for finished."""

KEPT = 0.7
"""Probability down to which a verdict of stalled or finished is kept once it was given. [-]"""


LATE_BY, APART = 0.0015, 1.0
"""How far above the planned band a gravity is late [-], and how far apart two such readings must be for "slow" [d]. A line of
the hydrometer and a half; estimate, as no paper draws this line."""

HARDLY_BEGUN = 0.94
"""Share of the sugar left down to which a ferment has hardly begun. [-] Two or three readings' doubt of a strong must."""


class Plan(msgspec.Struct, frozen=True):
    """What was expected.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching. [d]
    typical, high : numpy.ndarray, shape (n,)
        Expected gravity, and the upper bound of its 90 % band. [-]
    """

    days: Array
    typical: Array
    high: Array

    @property
    def begun_by(self) -> float | None:
        """First day on which even the slow end of the plan has used a noticeable share of its sugar; None if never. [d]"""
        start = float(self.typical[0])
        fallen = self.high <= start - BEGUN * (start - float(self.typical.min()))
        return float(self.days[np.argmax(fallen)]) if fallen.any() and start > self.typical.min() else None

    def is_late(self, step: Present) -> bool:
        """Whether a gravity lies clearly above the planned band."""
        found = step.evidence
        return found.kind == "gravity" and found.value > float(np.interp(found.day, self.days, self.high)) + LATE_BY


def kinds_of(steps: Sequence[Present], plan: Plan | None = None) -> list[str]:
    """The verdict after each of some readings.

    Parameters
    ----------
    steps : sequence of Present
        How the ferment stood after each reading. [as its fields]
    plan : Plan, optional
        What was expected; without it, "slow" is said only of what hardly moves. [as its fields]

    Returns
    -------
    list of str
        One of `KINDS` each.

    Examples
    --------
    >>> kinds_of([])
    []
    """
    kinds: list[str] = []
    last, before, is_open = TOO_EARLY, None, False  # the last: whether a sugar test contradicts the gravities
    due = LONG_LAG if plan is None or plan.begun_by is None else plan.begun_by
    for place, step in enumerate(steps):
        falls = falls_of(steps[: place + 1])
        last = _next_kind(last, before, step, falls, due)
        if step.evidence.kind == "sugar":
            is_open = step.bad >= HALF
        last = TEST if is_open and last == FINISHED else last
        before = step
        late = plan is not None and _late_twice(steps[: place + 1], plan)
        kinds.append(SLOW if last == ON_COURSE and (late or (step.standing >= HALF and not falls.at_work)) else last)
    return kinds


def _late_twice(steps: Sequence[Present], plan: Plan) -> bool:
    """Whether the last gravity and one at least a day before it, with all between, are late."""
    gravities = [step for step in steps if step.evidence.kind == "gravity" and step.bad < HALF]
    if not gravities or not plan.is_late(gravities[-1]):
        return False
    for step in reversed(gravities[:-1]):
        if not plan.is_late(step):
            return False
        if gravities[-1].evidence.day - step.evidence.day >= APART:
            return True
    return False


def likelihood(kind: str, now: Present) -> float:
    """How likely it is that a verdict holds. [-]"""
    return {
        TOO_EARLY: 1.0 - now.begun if not_begun(now) else 1.0 - now.moving,
        ON_COURSE: 1.0 - now.standing,
        SLOW: 1.0 - now.begun if not_begun(now) else max(now.moving, 1.0 - now.moving if now.tested else now.standing),
        STALLED: now.standing,
        FINISHED: now.done,
        TEST: 1.0 - now.moving,
    }[kind]


def not_begun(now: Present) -> bool:
    """Whether more likely than not no noticeable share of the sugar is gone."""
    return now.begun < HALF


def hardly_begun(now: Present) -> bool:
    """Whether so little sugar is gone that it may be the lag, or a yeast that never woke."""
    return now.share_left.typical > HARDLY_BEGUN


def falls_of(steps: Sequence[Present]) -> Falls:
    """Falls between the gravities that are believed."""
    return Falls.of([step.evidence for step in steps if step.bad < HALF])


class Shown(NamedTuple):
    """A reading yet to come: its day [d] and gravity [-]."""

    day: float
    gravity: float


def would_finish(steps: Sequence[Present]) -> Shown | None:
    """The first reading, and its least gravity, that would show what is likely done to be finished; None where none would.

    Parameters
    ----------
    steps : sequence of Present
        How the ferment stood after each reading. [as its fields]
    """
    last = next((one.evidence for one in reversed(steps) if one.bad < HALF and one.evidence.kind == "gravity"), None)
    if last is None or steps[-1].done < SURE_DONE or last.value >= BELIEVED + 0.0005:
        return None
    days, fall = falls_of(steps).resting
    day = max(last.day - days + SEEN_AT_REST, steps[-1].evidence.day + 1.0)
    return Shown(day, last.value + fall - SETTLED[0])


def _seen_at_rest(now: Present, before: Present | None, falls: Falls, kept: bool) -> bool:
    """Whether it was read to rest, or needs not be: a sugar test has told what seven days without a fall tell else."""
    if not now.tested and now.evidence.kind != "sugar":
        return falls.settled(SEEN_AT_REST)
    return kept or now.evidence.kind == "sugar" or (falls.settled() and before is not None and before.moving < 0.6)


def _below(now: Present, before: Present) -> bool:
    """Whether a gravity is lower than the one before it by more than those at rest are, and no test says that it is dry."""
    both = now.evidence.kind == before.evidence.kind == "gravity"
    return both and not now.tested and before.evidence.value - now.evidence.value > SETTLED[0] + 1e-9


def _next_kind(last: str, before: Present | None, now: Present, falls: Falls, due: float) -> str:
    """The verdict after one more reading. What was said is kept while it is likely, so that it does not flicker."""
    if (
        now.bad >= HALF
        and now.evidence.kind == "sugar"
        and last == (FINISHED if now.evidence.value > STILL_SWEET else STALLED)
    ):
        return TEST  # whether sugar is left is then the very question
    if now.bad >= HALF and last == FINISHED and before is not None and _below(now, before):
        return TEST  # a slip, or it ferments again: another reading tells
    if now.bad >= HALF and last != TOO_EARLY:
        return last  # a reading that is itself doubted decides nothing
    if now.begun < HALF or (now.moving < HALF and hardly_begun(now)):
        woke = min(now.begun, now.standing) >= VERY_SURE and falls.seen and falls.settled(WOKE_BRIEFLY)
        return TOO_EARLY if now.evidence.day <= due else STALLED if woke else SLOW
    fresh = now.evidence.kind == "sugar"
    kept = last == FINISHED
    plain = now.tested or fresh or now.evidence.value < BELIEVED + 0.0005
    if (
        plain
        and now.done >= (KEPT if kept else SURE_DONE)
        and now.sweet <= SURE_NOT_SWEET * (2.0 if kept else 1.0)
        and _seen_at_rest(now, before, falls, kept)
    ):
        return FINISHED
    twice = fresh or falls.settled(LONG_PAUSE, THRICE) or (before is not None and before.moving <= HALF)
    plainly = now.tested or now.sweet >= PLAINLY_SWEET
    pause = QUITE_SURE if falls.settled(LONG_PAUSE) else VERY_SURE
    enough = KEPT if last == STALLED else SURE_CHILLED if now.chilled else SURE if twice else pause
    likely = now.standing >= enough and now.sweet >= min(enough, SURE_SWEET)
    if before is not None and likely and plainly and not falls.plain():
        return STALLED
    if (
        not now.tested
        and now.moving <= 1.0 - AT_REST
        and not falls.plain(LATELY)
        and (now.sweet <= 1.0 - DOUBTFUL or now.sugar.low < WITHIN_REACH)
    ):
        return TEST
    if now.tested and now.moving <= 1.0 - AT_REST:
        if now.done >= (KEPT if kept else SURE_TESTED):
            return FINISHED
        return STALLED if before is not None and now.sweet >= HALF else SLOW
    return ON_COURSE
