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
from planner.timeline.verdict_costs import COSTS, Costs

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

WOKE_BRIEFLY = 3.0
"""Days at rest after which a ferment that has hardly begun is stalled, and not late to wake. [d] The longest usual lag, from
memory."""

SEEN_AT_REST = 7.0
"""Days over which gravity must not have fallen by more than `observations.SETTLED` before "finished" is said without a sugar test.
[d] What still falls by a line in two days looks the same to two readings four days apart. Common practice, no source: one to
two weeks."""

SCATTER = 3.0
"""Standard deviations of a difference of two readings that are put down to them. [-] Three sigma, common practice."""

SEEN_TO_PAUSE = (2.5, 3)
"""Days without a fall, by so many readings, that bear out by themselves that it has stopped. [d], [-] Yeast at work would have
moved by several lines; two readings might be one bad one."""

BELIEVED = 1.000
"""Gravity up to which a ferment is called finished without a sugar test. [-] Dry wines and meads rest at 0.990 to 1.000 (common
practice, no source); above, the extract of the fruit can hide sugar that no table knows of."""

DOUBTFUL = 0.03
"""Least probability of next to no sugar for which a test tells anything. [-]"""

LONG_LAG = 4.0
"""Days after which a ferment that has not begun is slow, where no plan tells by when it should have. [d] Lag is up to three
days in the cold, from memory."""

LATE_BY, APART = 0.0015, 1.0
"""How far above the planned band a gravity is late [-], and how far apart two such readings must be for "slow" [d]. A line of
the hydrometer and a half; estimate, as no paper draws this line."""

SURELY = 0.99
"""Probability of having begun and stopped from which "stalled" is said of what has hardly begun. [-]"""

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


def kinds_of(steps: Sequence[Present], plan: Plan | None = None, costs: Costs = COSTS) -> list[str]:
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
        last = _next_kind(last, before, step, falls, due, costs)
        if step.evidence.kind == "sugar":
            is_open = step.bad >= HALF
        last = TEST if is_open and last == FINISHED else last
        before = step
        late = plan is not None and _late_twice(steps[: place + 1], plan)
        hardly = (1.0 - step.moving if step.tested else step.standing) >= HALF and not falls.at_work
        kinds.append(SLOW if last == ON_COURSE and (late or hardly) else last)
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
    if last is None or not likely_done(steps[-1]) or last.value >= BELIEVED + 0.0005:
        return None
    days, fall = falls_of(steps).resting
    day = max(last.day - days + SEEN_AT_REST, steps[-1].evidence.day + 1.0)
    return Shown(day, last.value + fall - SETTLED[0])


def likely_done(now: Present) -> bool:
    """Whether no more than readings over a week are wanted for "finished"."""
    return _cost_of_finished(now, COSTS) < 1.0


def _seen_at_rest(now: Present, before: Present | None, falls: Falls, kept: bool) -> bool:
    """Whether it was read to rest, and so low that no extract can hide sugar; or needs not be: a sugar test has told what seven
    days without a fall tell else. What was called finished, and is likely done, is not taken back for what one reading scatters."""
    if now.evidence.kind == "sugar" or (now.tested and kept):
        return True
    if now.tested:
        return falls.settled() and before is not None and before.moving < 0.6
    if kept and likely_done(now):
        scatter = SCATTER * np.sqrt(2.0) * now.evidence.sd
        low = now.evidence.value < BELIEVED + 0.0005 + SETTLED[0]
        return low and (falls.settled(SEEN_AT_REST) or falls.scattered(SEEN_AT_REST, scatter))
    return now.evidence.value < BELIEVED + 0.0005 and falls.settled(SEEN_AT_REST)


def _below(now: Present, before: Present) -> bool:
    """Whether a gravity is lower than the one before it by more than those at rest are, and no test says that it is dry."""
    both = now.evidence.kind == before.evidence.kind == "gravity"
    return both and not now.tested and before.evidence.value - now.evidence.value > SETTLED[0] + 1e-9


def _cost_of_finished(now: Present, costs: Costs) -> float:
    """Of calling it finished. [sugar tests]"""
    return costs.burst * now.sweet + costs.unfinished * (1.0 - now.done)


class _Chances(NamedTuple):
    """That it moves, has stopped sweet, or is done, as far as one reading is trusted. [-]"""

    moving: float
    standing: float
    done: float

    @classmethod
    def of(cls, before: Present | None, now: Present, borne_out: bool, costs: Costs) -> _Chances:
        """Where bare readings do not bear it out, what was thought before still counts; and cold yeast may only wait."""
        earlier = cls(1.0, 0.0, 0.0) if before is None else cls(before.moving, before.standing, before.done)
        old = 0.0 if borne_out else costs.one_reading
        moving, standing, done = (
            (1.0 - old) * new + old * one
            for new, one in zip((now.moving, now.standing, now.done), earlier, strict=True)
        )
        wakes = costs.wakes * standing if now.chilled else 0.0
        return cls(moving + wakes, standing - wakes, done)

    def waiting(self, costs: Costs) -> float:
        """Cost of naming nothing until the next reading. [sugar tests]"""
        return costs.unnoticed * self.standing + costs.idle * self.done

    def testing(self, costs: Costs) -> float:
        """Cost of a test; of what still moves it has told nothing that lasts. [sugar tests]"""
        return 1.0 + costs.premature * self.moving


def _cheapest(last: str, before: Present | None, now: Present, falls: Falls, costs: Costs) -> str:
    """What costs least, of that which the bare readings do not forbid."""
    tested = now.tested or now.evidence.kind == "sugar"
    chances = _Chances.of(before, now, tested or falls.settled(*SEEN_TO_PAUSE), costs)
    offers = {ON_COURSE: chances.waiting(costs)}
    if before is not None and not falls.plain():
        offers[STALLED] = costs.restart * max(1.0 - chances.standing, 1.0 - now.sweet)
    if _seen_at_rest(now, before, falls, last == FINISHED):
        offers[FINISHED] = _cost_of_finished(now, costs)
    if not tested and not falls.plain(LATELY) and now.sweet <= 1.0 - DOUBTFUL:
        offers[TEST] = chances.testing(costs)
    if last in (STALLED, FINISHED) and last in offers:
        offers[last] -= costs.retracted
    return min(offers, key=offers.__getitem__)


def _next_kind(last: str, before: Present | None, now: Present, falls: Falls, due: float, costs: Costs) -> str:
    """The verdict after one more reading."""
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
        woke = min(now.begun, now.standing) >= SURELY and falls.seen and falls.settled(WOKE_BRIEFLY)
        return TOO_EARLY if now.evidence.day <= due else STALLED if woke else SLOW
    return _cheapest(last, before, now, falls, costs)
