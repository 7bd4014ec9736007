"""What the log makes of the expected course: how the ferment stands, and where and when it should come to rest.

The method is a particle filter. Some thousand possible ferments (`particles.py`) live from reading to reading, and readings
choose among them (`particle_filter.py`); those that are left live on beyond the last one. The same dice are thrown each time, so that
the same log gives the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.liquid import Liquid
from planner.model.numerics import alike, percentiles
from planner.model.span import Z_90, Span
from planner.timeline.actual_recipe import NOTHING_MET, Met
from planner.timeline.observations import BY_EYE, Observation, suspicions
from planner.timeline.particle_filter import (
    DRY,
    HALF,
    STILL_SWEET,
    ParticleFilter,
    Present,
    standing,
    systematic,
)
from planner.timeline.particles import PER_SUGAR, ParticleEnsemble
from planner.timeline.prior import Prior
from planner.timeline.random_numbers import normals

Array = npt.NDArray[np.float64]
Booleans = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.intp]

PARTICLES, FORESEEN = 1500, 400
"""Possible ferments that are followed, and those of them that are followed on beyond the last reading. [-]"""

LONGEST, FORETOLD_FINELY = 150.0, 20.0
"""Day at which forecasts end, and days beyond the last reading that are followed closely. [d]"""

NEAR_STRIDE, FAR_STRIDE = 0.5, 2.0
"""Days between those of a forecast that are kept, before and after `FORETOLD_FINELY`. [d]"""

NEXT_LOOK = 3.0
"""Days until another reading is thought of. [d] Common practice, no source: twice a week."""

NO_FALL = 0.002
"""Fall of gravity since a sugar test up to which that still stands. [-] Two lines of a hydrometer."""

NEXT_IN = (2.0, 5.0)
"""Fewest and most days to the next reading that is asked for. [d] Sooner tells little of a slow one, and later comes too late for
one that stops (common practice, no source)."""

LEAST_KEPT = 0.15
"""Least share of the possible ferments on which a forecast may rest that leaves out those that stop. [-] Of fewer, too few would
tell the rest of the story."""


LONG_TAIL = 30.0
"""Days in which what hardly moves any more may yet get dry, to count as a ferment that does not stop. [d] Estimate."""


class Ferments(msgspec.Struct, frozen=True, eq=False):
    """Possible ferments at one moment, as alike likely ones.

    Attributes
    ----------
    origin : numpy.ndarray, shape (n,)
        Which particle of the prior each was at pitching. [-]
    sugar, alcohol, gravity : numpy.ndarray, shape (n,)
        Fermentable [kg/m^3], by volume [m^3/m^3], and as the instrument of the last gravity shows it [-].
    grown : int
        How often liquid had been given by then. [-]
    """

    origin: Integers
    sugar: Array
    alcohol: Array
    gravity: Array
    grown: int


class Past(msgspec.Struct, frozen=True, eq=False):
    """What the possible ferments that are left had on the days of the readings: 5th, 50th and 95th percentiles.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        From pitching on. [d]
    sugar, alcohol : numpy.ndarray, shape (3, n)
        Fermentable [kg/m^3], and by volume [m^3/m^3].
    """

    days: Array
    sugar: Array
    alcohol: Array


class Outlook(msgspec.Struct, frozen=True, eq=False):
    """Of the possible ferments behind the forecast, each in its place: what measurements now and soon would find.

    Attributes
    ----------
    sugar : numpy.ndarray, shape (k,)
        Fermentable, after the last reading. [kg/m^3]
    gravity : numpy.ndarray, shape (k,)
        Some days later. [-]
    day : float
        When that is. [d]
    """

    sugar: Array
    gravity: Array
    day: float


class Posterior(msgspec.Struct, frozen=True, eq=False):
    """The course as the log has it.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching. [d]
    band : numpy.ndarray, shape (4, n)
        5th, 25th, 75th and 95th percentile of gravity, on the same condition as the finish. [-]
    gravity : numpy.ndarray, shape (n,)
        Median gravity, likewise. [-]
    steps : tuple of Present
        How it stood after each reading.
    finish_gravity, finish_sugar, finish_alcohol, finish_day : Span
        Where it comes to rest [-], [kg/m^3], [m^3/m^3], and the day on which it is dry or has come to rest [d]: on the condition
        that it does not stop on the way. The day is later than `high` one time in ten: everywhere the same interval.
    dry_days : numpy.ndarray, shape (m,)
        Day on which each of the ferments followed on is dry; infinite where it never is. [d]
    finish_days : numpy.ndarray, shape (k,)
        Days behind `finish_day`. [d]
    sticks : float
        Probability that it comes to rest with more than `STILL_SWEET` of sugar. [-]
    present, finish : Ferments
        The possible ferments after the last reading; and where they come to rest, those of them that the forecast rests on.
    past : Past
        How they came there.
    extract_doubt : float
        What was not known of other extract beforehand, as sugar that gravity takes it for; standard deviation. [kg/m^3]
    outlook : Outlook or None
        None where no day is ahead.
    shift : float
        By how much the instrument of the last gravity reads too high, as far as is known. [-]
    held : bool
        Whether it stands still now, rather than not: what has stopped then stands in the forecast until something is done.
    met : Met
        What the log says has happened to it.
    here, ends : Liquid or None
        `present` and `finish` as liquids, the first member the typical one, shape (components, 1 + m) [kg]: see `state.py`.
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
    finish_days: Array
    sticks: float
    present: Ferments
    finish: Ferments
    past: Past
    extract_doubt: float
    outlook: Outlook | None = None
    shift: float = 0.0
    held: bool = False
    met: Met = NOTHING_MET
    here: Liquid | None = None
    ends: Liquid | None = None

    @property
    def now(self) -> Present | None:
        """How it stands after the last reading; None before the first."""
        return self.steps[-1] if self.steps else None

    @property
    def next_day(self) -> float:
        """Day of the next reading that tells something: by then it should fall by twice the doubt of a difference. [d]"""
        now = self.steps[-1]
        fall = PER_SUGAR * max(now.uptake.typical, 1e-3)
        wait = np.clip(2.0 * np.sqrt(2.0) * self._reading_sd() / fall, *NEXT_IN)
        return float(round(now.evidence.day + float(wait)))

    def reading_on(self, day: float) -> Span:
        """What the instrument of the last gravity should show on a day [d], if the ferment does not stop on the way. [-]"""
        low, middle, high = (
            float(np.interp(day, self.days, row)) for row in (self.band[0], self.gravity, self.band[3])
        )
        noise = Z_90 * self._reading_sd()
        under, over = np.hypot((middle - low, high - middle), noise).tolist()
        return Span(middle - under + self.shift, middle + self.shift, middle + over + self.shift)

    def _reading_sd(self) -> float:
        return next((step.evidence.sd for step in reversed(self.steps) if step.evidence.kind == "gravity"), BY_EYE)


class _Weighed(NamedTuple):
    """A log that was weighed, with the filter as it stood after some of its readings: a copy that nobody leads on."""

    prior: Prior
    start: Observation | None
    readings: list[tuple[Observation, float]]  # each with the suspicion against it
    after: dict[int, tuple[ParticleFilter, tuple[Present, ...]]]


_last_weighed: _Weighed | None = None
"""The one weighed last: what is appended to it, or changed late in it, need not be led from the pitching on."""

KEPT_EACH = 16
"""Every so many readings, and after the last two, the filter is kept: about 0.4 MB each."""


def _led(
    prior: Prior, log: Sequence[Observation], start: Observation | None
) -> tuple[ParticleFilter, tuple[Present, ...]]:
    """The filter after a log, from the last reading up to which it was led before."""
    global _last_weighed  # noqa: PLW0603 - whatever it holds, the answer is the same
    readings, before = list(zip(log, suspicions(log), strict=True)), _last_weighed
    after: dict[int, tuple[ParticleFilter, tuple[Present, ...]]] = {}
    if before is not None and before.start == start and alike(before.prior, prior):
        pairs = enumerate(zip(readings, before.readings, strict=False))
        same = next((n for n, (one, other) in pairs if one != other), min(len(readings), len(before.readings)))
        after = {number: kept for number, kept in before.after.items() if number <= same}
    if after:
        begun = max(after)
        kept, steps = after[begun]
        leader = kept.copied()
    else:
        begun, steps, leader = 0, (), ParticleFilter(prior)
        if start is not None:
            leader.start_with(start)
    for number, (found, doubt) in enumerate(readings[begun:], start=begun + 1):
        steps = (*steps, leader.update(found, doubt))
        if number % KEPT_EACH == 0 or number >= len(readings) - 1:
            after[number] = leader.copied(), steps
    _last_weighed = _Weighed(prior, start, readings, after)
    return leader, steps


def follow(prior: Prior, log: Sequence[Observation]) -> list[tuple[Present, ...]]:
    """What `posterior` tells of all readings so far, after each of them; without a forecast.

    Returns
    -------
    list of tuple of Present
        How the ferment stood after each reading, as later ones up to this one have it. [as its fields] Where a reading throws
        doubt on earlier ones, all are weighed again.
    """
    leader, steps, held, told = ParticleFilter(prior), list[Present](), list[float](), list[tuple[Present, ...]]()
    for place in range(len(log)):
        doubts = suspicions(log[: place + 1])
        if doubts[:-1] != held:
            leader = ParticleFilter(prior)
            steps = [leader.update(found, doubt) for found, doubt in zip(log[:place], doubts, strict=False)]
        steps.append(leader.update(log[place], doubts[-1]))
        held = doubts
        told.append(leader.smooth(systematic(leader.weights, FORESEEN), steps)[1])
    return told


def posterior(
    prior: Prior, log: Sequence[Observation], until: float = LONGEST, start: Observation | None = None
) -> Posterior:
    """The course as the log has it, and its forecast.

    Parameters
    ----------
    log : sequence of Observation
        In the order of their days; may be empty. [as its fields]
    until : float
        Day at which the forecast ends. [d]

    Returns
    -------
    Posterior
        Band, forecast, and how it stood after each reading. [as its fields]
    """
    leader, steps = _led(prior, log, start)
    particles, history = leader.particles, leader.history
    which = systematic(leader.weights, FORESEEN)
    past, steps = leader.smooth(which, steps)
    particles.pick(which)
    extract = particles.offsets.extract.copy()
    particles.offsets.draw(normals("forecast/extract", FORESEEN))
    held = bool(steps) and steps[-1].standing >= HALF
    instrument = next((one.instrument for one in reversed(log) if one.kind == "gravity"), "")
    since, tested = _tested(log, steps), leader.tested[which]
    before = _past(leader, past, extract, [one.day for one in log], since, tested)
    present = _ferments(particles, instrument, sugar=tested if np.isfinite(since) else None)
    shift = float(np.median(particles.offsets.of(instrument)))
    if held:
        particles.hold(standing(particles))
    broken, ended_on = particles.stopped, np.full(FORESEEN, np.inf)
    days, gravities, sugars = list(history.days), [], [particles.sugar]
    today = particles.day
    while particles.day < max(until, today) - 1e-9:
        is_far = particles.day >= today + FORETOLD_FINELY
        stride = FAR_STRIDE if is_far else NEAR_STRIDE
        particles.predict(min(max(until, today), particles.day + stride), noisy=True, is_far=is_far)
        at_rest = standing(particles)
        broken = broken | (at_rest & particles.stopped & np.isinf(ended_on))
        ended_on = np.where(at_rest & ~broken, np.minimum(ended_on, particles.day), ended_on)
        days.append(particles.day)
        gravities.append(particles.gravity)
        sugars.append(particles.sugar)
    gravity = np.concatenate((past, gravities)) if gravities else past
    sugar, ahead = np.array(sugars), np.array(days[len(history.days) - 1 :])
    dry_days = _first_day(ahead, sugar, DRY)
    rest_days = _first_day(ahead, sugar, sugar[-1] + 4.5)
    ended = np.isfinite(ended_on) & ~(dry_days <= ended_on + LONG_TAIL)
    kept = np.ones(FORESEEN, dtype=bool) if held else _kept(broken, ended, np.isfinite(dry_days))
    table = percentiles(gravity[:, kept], (5.0, 25.0, 50.0, 75.0, 95.0))
    finish_days = np.where(np.isfinite(dry_days), dry_days, rest_days)[kept]

    def span(values: Array) -> Span:
        low, typical, high = percentiles(values[kept], (5.0, 50.0, 95.0)).tolist()
        return Span(low, typical, high)

    return Posterior(
        days=np.array(days),
        band=table[[0, 1, 3, 4]],
        gravity=table[2],
        steps=steps,
        finish_gravity=span(particles.gravity),
        finish_sugar=span(particles.sugar),
        finish_alcohol=span(particles.alcohol),
        finish_day=Span(*percentiles(finish_days, (10.0, 50.0, 90.0)).tolist()),
        dry_days=dry_days,
        finish_days=finish_days,
        sticks=float(np.mean(sugar[-1] > STILL_SWEET)),
        present=present,
        finish=_ferments(particles, instrument, kept),
        past=before,
        extract_doubt=particles.extract_doubt,
        outlook=_outlook(sugars, gravities, ahead, kept),
        shift=shift,
        held=held,
    )


def _ferments(
    particles: ParticleEnsemble,
    instrument: str,
    which: npt.NDArray[np.bool_] | None = None,
    sugar: Array | None = None,
) -> Ferments:
    """Particles, or some of them, as they are now; with the sugar of a test that still holds."""
    some = slice(None) if which is None else which
    shown, left = particles.gravity + particles.offsets.of(instrument), particles.sugar if sugar is None else sugar
    return Ferments(particles.origin[some], left[some], particles.alcohol[some], shown[some], particles.grown)


def _outlook(sugars: list[Array], gravities: list[Array], days: Array, kept: Booleans) -> Outlook | None:
    """What measurements would find of those kept: now, and `NEXT_LOOK` later."""
    if not gravities:
        return None
    later = min(round(NEXT_LOOK / NEAR_STRIDE), len(gravities))
    return Outlook(sugars[0][kept], gravities[later - 1][kept], float(days[later]))


def _tested(log: Sequence[Observation], steps: Sequence[Present]) -> float:
    """Day of the last sugar test, where it still stands; infinite without one, or where gravity fell since. [d]

    A test stands until the log itself shows a fall: that yeast takes the last grams is thought, not seen.
    """
    if not steps or not steps[-1].tested:
        return np.inf
    believed = [(one, step) for one, step in zip(log, steps, strict=True) if one.kind == "sugar" and step.bad < HALF]
    if not believed or believed[-1][1].indicated.typical - steps[-1].indicated.typical > NO_FALL:
        return np.inf
    return believed[-1][0].day


def _past(
    leader: ParticleFilter, gravity: Array, extract: Array, days: Sequence[float], since: float, tested: Array
) -> Past:
    """What particles had on some days before, from a day on with the sugar that a test has found.

    Their gravities on the days of their history, shape (days, n), go with the mean of their extract.
    """
    history = leader.history
    rows = np.array(sorted({0, *(np.searchsorted(history.days, np.array(days) - 1e-9).tolist())}))
    when, grown = np.array(history.days)[rows], np.array(history.grown)[rows]
    sugar, alcohol = (np.empty((3, rows.size)) for _ in range(2))
    for number in sorted(set(grown.tolist())):
        some = np.flatnonzero(grown == number)
        left, strong = leader.particles.told_at(gravity[rows[some]], number, extract)
        left[when[some] >= since - 1e-9] = tested
        for table, values in ((sugar, left), (alcohol, strong)):
            table[:, some] = percentiles(values, (5.0, 50.0, 95.0))
    return Past(when, sugar, alcohol)


def _kept(broken: Booleans, ended: Booleans, gets_dry: Booleans) -> Booleans:
    """The possible ferments on which the forecast of the end rests: of one that works, those that nothing breaks off. Of these
    either those that get dry or those that end sweet, whichever are more likely.

    `ended` are those that come to rest by what their yeast can do, for good or nearly. Such an end is foretold if it is likely; else it is left out
    as a ferment that stops on the way, as those that are `broken` off.
    """
    if np.mean(ended & ~gets_dry) >= HALF:
        return ended & ~gets_dry
    working = ~broken & ~ended
    if working.mean() < LEAST_KEPT:
        return np.ones_like(working)
    dry = working & gets_dry
    return dry if 2 * np.count_nonzero(dry) >= np.count_nonzero(working) else working & ~gets_dry


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
