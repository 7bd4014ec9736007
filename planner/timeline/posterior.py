"""What the log makes of the expected course: how the ferment stands, and where and when it should come to rest.

The method is a particle filter. Some thousand possible ferments (`particles.py`) live from reading to reading, and readings
choose among them (`following.py`); those that are left live on beyond the last one. The same dice are thrown each time, so that
the same log gives the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.numerics import percentiles
from planner.model.span import Span
from planner.timeline.actual_recipe import NOTHING_MET, Met
from planner.timeline.observations import Evidence, suspicions
from planner.timeline.particle_filter import DRY, HALF, STILL_SWEET, Follower, Present, span_of, survivors
from planner.timeline.particles import FAR_STEP, LATE_STEP
from planner.timeline.prior import Outset

Array = npt.NDArray[np.float64]

PARTICLES, FORESEEN = 1200, 400
"""Possible ferments that are followed, and those of them that are followed on beyond the last reading. [-]"""

LONGEST, FORETOLD_FINELY = 150.0, 20.0
"""Day at which forecasts end, and days beyond the last reading that are followed closely. [d]"""


class Posterior(msgspec.Struct, frozen=True, eq=False):
    """The course as the log has it.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching. [d]
    band : numpy.ndarray, shape (4, n)
        5th, 25th, 75th and 95th percentile of gravity. [-]
    gravity : numpy.ndarray, shape (n,)
        Median gravity. [-]
    steps : tuple of Present
        How it stood after each reading.
    finish_gravity, finish_sugar, finish_alcohol, finish_day : Span
        Where it should come to rest [-], [kg/m^3], [m^3/m^3], and the day on which it is dry or has come to rest. [d]
    dry_days : numpy.ndarray, shape (m,)
        Day on which each of the ferments followed on is dry; infinite where it never is. [d]
    sticks : float
        Probability that it comes to rest with more than `STILL_SWEET` of sugar. [-]
    held : bool
        Whether it stands still now, rather than not: what has stopped then stands in the forecast until something is done.
    met : Met
        What the log says has happened to it.
    """

    days: Array
    band: Array
    gravity: Array
    steps: tuple[Present, ...]
    finish_gravity: Span
    finish_sugar: Span
    finish_alcohol: Span
    finish_day: Span
    dry_days: Array
    sticks: float
    held: bool = False
    met: Met = NOTHING_MET

    @property
    def now(self) -> Present | None:
        """How it stands after the last reading; None before the first."""
        return self.steps[-1] if self.steps else None


def _led(start: Outset, log: Sequence[Evidence]) -> tuple[Follower, tuple[Present, ...]]:
    leader = Follower(start)
    steps = tuple(leader.weigh(found, doubt) for found, doubt in zip(log, suspicions(log), strict=True))
    return leader, steps


def follow(start: Outset, log: Sequence[Evidence]) -> tuple[Present, ...]:
    """How the ferment stood after each reading, knowing only the readings up to it; without a forecast.

    Parameters
    ----------
    start : Outset
        What is known at pitching. [as its fields]
    log : sequence of Evidence
        In the order of their days. [as its fields]

    Returns
    -------
    tuple of Present
        One per reading. [as its fields] Where a reading throws doubt on earlier ones, all are weighed again.
    """
    leader, steps, held = Follower(start), [], list[float]()
    for place in range(len(log)):
        doubts = suspicions(log[: place + 1])
        if doubts[:-1] != held:
            leader = Follower(start)
            for found, doubt in zip(log[:place], doubts, strict=False):
                leader.weigh(found, doubt)
        steps.append(leader.weigh(log[place], doubts[-1]))
        held = doubts
    return tuple(steps)


def posterior(start: Outset, log: Sequence[Evidence], until: float = LONGEST) -> Posterior:
    """The course as the log has it, and its forecast.

    Parameters
    ----------
    start : Outset
        What is known at pitching. [as its fields]
    log : sequence of Evidence
        In the order of their days; may be empty. [as its fields]
    until : float
        Day at which the forecast ends. [d]

    Returns
    -------
    Posterior
        Band, forecast, and how it stood after each reading. [as its fields]
    """
    leader, steps = _led(start, log)
    flock, diary = leader.flock, leader.diary
    which = survivors(leader.weights, FORESEEN)
    past, steps = leader.looking_back(which, steps)
    flock.pick(which)
    held = bool(steps) and steps[-1].standing >= HALF
    if held:
        flock.hold()
    days, gravities, sugars = list(diary.days), [], [flock.sugar]
    today = flock.day
    while flock.day < max(until, today):
        is_far = flock.day >= today + FORETOLD_FINELY
        flock.run_to(min(max(until, today), flock.day + (FAR_STEP if is_far else LATE_STEP)), is_far)
        days.append(flock.day)
        gravities.append(flock.gravity)
        sugars.append(flock.sugar)
    gravity = np.concatenate((past, gravities)) if gravities else past
    sugar, ahead = np.array(sugars), np.array(days[len(diary.days) - 1 :])
    table = percentiles(gravity, (5.0, 25.0, 50.0, 75.0, 95.0))
    dry_days = _first_day(ahead, sugar, DRY)
    rest_days = _first_day(ahead, sugar, sugar[-1] + 4.5)
    even = np.full(FORESEEN, 1.0 / FORESEEN)
    return Posterior(
        days=np.array(days),
        band=table[[0, 1, 3, 4]],
        gravity=table[2],
        steps=steps,
        finish_gravity=span_of(flock.gravity, even),
        finish_sugar=span_of(flock.sugar, even),
        finish_alcohol=span_of(flock.alcohol, even),
        finish_day=span_of(np.where(np.isfinite(dry_days), dry_days, rest_days), even),
        dry_days=dry_days,
        sticks=float(np.mean(sugar[-1] > STILL_SWEET)),
        held=held,
    )


def _first_day(days: Array, sugar: Array, level: float | Array) -> Array:
    """First day, between the rows, on which the sugar of each particle is below a level; infinite if never. [d]"""
    below = sugar <= level
    at = np.argmax(below, axis=0)
    never = ~below.any(axis=0)
    before = np.maximum(at - 1, 0)
    columns = np.arange(sugar.shape[1])
    high, low = sugar[before, columns], sugar[at, columns]
    part = np.clip((high - level) / np.maximum(high - low, 1e-9), 0.0, 1.0)
    return np.where(never, np.inf, days[before] + part * (days[at] - days[before]))
