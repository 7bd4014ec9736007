"""A particle filter: possible ferments are led along the log, and each reading weighs them by how well they foresaw it.

The unlikely ones die, the likely ones live on in several varied copies. Three things may explain a reading: a ferment that went
on as it wandered, one whose pace changed by a jolt, or a bad reading. What only shifts gravity, and the mean pace since the
reading before, are worked out for each particle and not left to chance (a Rao-Blackwellised filter).
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.span import Span
from planner.timeline.observations import BAD_READING, BY_EYE, Observation
from planner.timeline.particles import (
    BEGUN,
    JOLT,
    JOLTS,
    MONTHS_LATER,
    PER_SUGAR,
    SHARE_OF_AGE,
    ParticleEnsemble,
)
from planner.timeline.prior import Prior
from planner.timeline.random_numbers import dice, normals
from planner.timeline.sugar_tests import weigh

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.intp]

HALF = 0.5
"""Probability from which a ferment stands still rather than not, and from which a reading is rather a bad one than not. [-]"""

MOMENT_DOUBT = 0.04
"""Standard deviation of the moment of a reading. [d] About an hour; while gravity falls fast it matters."""

SLIP = (0.010, 0.060)
"""By how much a bad reading is wrong. [-] Any slip up to the first alike, as far as the next number printed on the stem; beyond,
each doubling as likely as the next up to the second: a bubble, a sample not stirred, two digits exchanged. Estimate."""

SINCE_TEST = 4.0
"""Sugar used since a test up to which the test still holds. [kg/m^3] Two lines of a hydrometer."""

DRY, STILL_SWEET = 4.0, 10.0
"""Fermentable sugar up to which a mead is dry, and from which it is certainly not. [kg/m^3] OIV labelling standard and
Bisson 1999 for the first."""

NEARLY_DRY = 6.0
"""Sugar up to which a ferment counts as done. [kg/m^3] Dry, with the doubt of a strip."""

STANDSTILL, STANDSTILL_SHARE = (0.5, 1.5), 1.0 / 40.0
"""Uptake per day below which a ferment stands still: such a share of the sugar left [1/d], but within these bounds
[kg/(m^3 d)]. What is left would take forty days or more, and gravity moves by little more than half a line a day. Estimate."""

STRIDE = 0.5
"""Days between those of the past that are kept, until a mead is months old. [d]"""

SOON = 1.5
"""Day up to which a first reading may stand for a start that was not measured. [d] Much is not gone by then; estimate."""


class Present(msgspec.Struct, frozen=True):
    """How the ferment stands after one reading.

    Attributes
    ----------
    evidence : Observation
        The reading.
    begun, moving, standing, done : float
        Probabilities: that a noticeable share of sugar is gone; and, adding up to one, that it moves (or has yet to begin),
        stands still with sugar left, or has taken its sugar. [-]
    dry, sweet : float
        Probabilities that less than `DRY` and more than `STILL_SWEET` of sugar is left. [-]
    sugar, alcohol, uptake, share_left : Span
        Fermentable sugar [kg/m^3], alcohol by volume [m^3/m^3], sugar taken up per day [kg/(m^3 d)], and share of the sugar
        that is left [-].
    indicated : Span
        Gravity as the instrument of this reading shows it, by all that was read so far. [-]
    bad : float
        Probability that this reading is a bad one. [-]
    ceased_on : float or None
        Day on which the yeast most likely ceased, if it did. [d]
    tested : bool
        Whether a sugar test was made that still holds.
    chilled : bool
        Whether it is much colder than it was, or than the yeast works at.
    """

    evidence: Observation
    begun: float
    moving: float
    standing: float
    done: float
    dry: float
    sweet: float
    sugar: Span
    alcohol: Span
    uptake: Span
    share_left: Span
    indicated: Span
    bad: float
    ceased_on: float | None
    tested: bool
    chilled: bool


def quantiles(values: Array, weights: Array, levels: Sequence[float]) -> list[float]:
    """Weighted quantiles.

    Parameters
    ----------
    values, weights : numpy.ndarray, shape (n,)
        Values and their weights, not all zero. [any], [-]
    levels : sequence of float
        Shares below the quantiles. [-]

    Returns
    -------
    list of float
        One value per level. [as the values]
    """
    order = np.argsort(values)
    below = np.cumsum(weights[order])
    return [float(values[order[min(np.searchsorted(below, level * below[-1]), values.size - 1)]]) for level in levels]


def span_of(values: Array, weights: Array) -> Span:
    return Span(*quantiles(values, weights, (0.05, 0.5, 0.95)))


def _chance_of_slip(off: Array) -> Array:
    """Density of a bad reading that is so far off, of either sign; it falls off fast beyond the widest slip. [-]"""
    least, most = SLIP
    far = np.maximum(np.abs(off), least)
    whole = 2.0 * (1.0 + np.log(most / least))
    return np.asarray(np.exp(-(np.maximum(far / most - 1.0, 0.0) ** 2)) / (whole * far))


def _standstill(sugar: Array) -> Array:
    """Uptake below which a ferment with so much sugar [kg/m^3] stands still. [kg/(m^3 d)]"""
    return np.asarray(np.clip(STANDSTILL_SHARE * sugar, *STANDSTILL))


def standing(particles: ParticleEnsemble) -> npt.NDArray[np.bool_]:
    """Which of some ferments have begun and stand still with sugar left."""
    sugar = particles.sugar
    slow = (particles.uptake < _standstill(sugar)) | particles.stopped
    return np.asarray((sugar >= NEARLY_DRY) & (particles.share < 1.0 - BEGUN) & slow)


def systematic(weights: Array, size: int, start: float = 0.5) -> Integers:
    """Places of survivors, as many of each as its weight says: systematic resampling, its comb set in by a part of a tooth. [-]"""
    edges = np.cumsum(weights) / weights.sum()
    edges[-1] = 1.0
    return np.searchsorted(edges, (np.arange(size) + start) / size, side="right").astype(np.intp)


def _normal(off: Array, variance: Array) -> Array:
    """Density of a normal distribution about nought."""
    return np.asarray(np.exp(-0.5 * off**2 / variance) / np.sqrt(2.0 * np.pi * variance))


class History:
    """What particles had on the way, so that those who live can tell their past: their gravities, and which readings each
    took for bad ones."""

    def __init__(self) -> None:
        self.days: list[float] = []
        self.grown: list[int] = []  # how often liquid had been given
        self._rows: list[tuple[str, npt.NDArray[Any]]] = []

    def write(self, particles: ParticleEnsemble) -> None:
        self.days.append(particles.day)
        self.grown.append(particles.grown)
        self._rows.append(("gravity", particles.gravity))

    def correct(self, gravity: Array) -> None:
        """The last gravities were others."""
        place = max(place for place, (what, _) in enumerate(self._rows) if what == "gravity")
        self._rows[place] = ("gravity", gravity)

    def judge(self, bad: Array) -> None:
        self._rows.append(("bad", bad))

    def believe_after_all(self) -> None:
        """The last reading is a bad one to none."""
        place = max(place for place, (what, _) in enumerate(self._rows) if what == "bad")
        self._rows[place] = ("bad", np.zeros_like(self._rows[place][1]))

    def choose(self, which: Integers) -> None:
        self._rows.append(("choice", which))

    def copied(self) -> History:
        """Another that goes on from here; what was written is shared."""
        other = History()
        other.days, other.grown, other._rows = [*self.days], [*self.grown], [*self._rows]
        return other

    def told_by(self, which: Integers) -> tuple[Array, Array]:
        """Of these particles, gravities on every day, shape (days, n), and chances that each reading is a bad one, shape
        (readings, n). [-], [-]"""
        gravities: list[Array] = []
        bad: list[Array] = []
        for what, row in reversed(self._rows):
            if what == "choice":
                which = np.asarray(row[which], dtype=np.intp)
            else:
                (gravities if what == "gravity" else bad).append(row[which])
        return np.array(gravities[::-1]), np.array(bad[::-1])


class _Origin:
    """Where gravity began, and whether it is still there as far as any reading tells."""

    def __init__(self, prior: Prior) -> None:
        began, dry = prior.tables.gravity.sum(axis=0), prior.tables.gravity[3]
        self._gravity, self._spread = float(began.mean()), float(began.std())
        self._fall = BEGUN * (self._gravity - float(dry.mean()))
        self._known, self._left = self._spread < 2.0 * BY_EYE, False

    def is_still_at(self, found: Observation) -> bool:
        """Whether neither this reading nor any before it has fallen. A start that was not measured is where a first reading
        soon after pitching finds it, if the must may have begun there."""
        if not self._known:
            may_be = found.day <= SOON and abs(found.value - self._gravity) <= 2.0 * self._spread
            self._known, self._left, self._gravity = True, not may_be, found.value
            return False
        self._left = self._left or found.level < self._gravity - self._fall
        return not self._left


class ParticleFilter:
    """Possible ferments led along a log."""

    def __init__(self, prior: Prior) -> None:
        self.particles = ParticleEnsemble(prior)
        self.weights = np.full(prior.size, 1.0 / prior.size)
        self.after_test = float("inf")
        self.tested = np.zeros(prior.size)  # sugar of each at the last test that was believed
        self._origin = _Origin(prior)
        self._moved_on = 0.0  # day of the last reading that found it moving
        # Day, gravity, and how far off, of a last reading that none foresaw.
        self._lost: tuple[float, float, float] | None = None
        self.history = History()
        self.history.write(self.particles)
        self._bad = np.zeros(prior.size)  # how likely each particle takes the last reading for a bad one
        self._bad_by_next: list[float] = []

    def copied(self) -> ParticleFilter:
        """Another that goes on from here. What is not copied is never changed in its place."""
        other, particles, offsets = copy(self), copy(self.particles), copy(self.particles.offsets)
        particles.state = particles.state.copy()
        offsets.mean, offsets.covariance, offsets.rows = (
            offsets.mean.copy(),
            offsets.covariance.copy(),
            {**offsets.rows},
        )
        particles.offsets, other.particles = offsets, particles
        other.history, other._origin, other._bad_by_next = (
            self.history.copied(),
            copy(self._origin),
            [*self._bad_by_next],
        )
        return other

    def smooth(self, which: Integers, steps: Sequence[Present]) -> tuple[Array, tuple[Present, ...]]:
        """The past of these particles, shape (days, n) [-], and the steps with what later readings say of earlier ones.

        A reading is bad if both the next one and all later ones say so: the next alone may be the bad one of the two, and
        of a ferment that ran as none was expected to, few ancestors are left to speak for a reading long past.
        """
        past, bad = self.history.told_by(which)
        told = zip(steps[:-1], self._bad_by_next[1:], bad[:-1], strict=True)
        return past, (
            *(msgspec.structs.replace(step, bad=min(soon, float(late.mean()))) for step, soon, late in told),
            *steps[-1:],
        )

    def start_with(self, found: Observation) -> None:
        """Let the starting gravity, to which the musts were brought already, speak of its instrument's error."""
        nothing = np.zeros(self.particles.size)
        row = self.particles.offsets.row(found.instrument, found.offset_sd)
        off = found.value - self.particles.gravity
        self.particles.offsets.update(row, nothing, off, np.full_like(nothing, found.sd**2), nothing == 0.0)

    def predict(self, day: float) -> None:
        """Lead them to a day, writing down where they are on the way. [d]"""
        while self.particles.day < day - 1e-9:
            today = self.particles.day
            stride = STRIDE if today < MONTHS_LATER else SHARE_OF_AGE * today
            self.particles.predict(min(day, today + stride))
            self.history.write(self.particles)

    def update(self, found: Observation, suspicion: float = BAD_READING) -> Present:
        """Lead them to a reading and weigh them by it."""
        moves = found.day > self.particles.day + 1e-9
        self.predict(found.day)
        if found.kind == "sugar":
            self.particles.draw_pace()
            bad, each = self._by_sugar(found)
            if bad < HALF:
                self.after_test = float(np.sum(self.weights * self.particles.sugar))
                self.tested = self.particles.sugar
        else:
            bad, each = self._by_gravity(found, suspicion)
        if moves:
            self.history.correct(self.particles.gravity)
        self._bad_by_next.append(float(np.sum(self.weights * self._bad)))
        self._bad = each
        self.history.judge(each)
        present = self._present(found, bad)
        if present.moving >= 0.5:
            self._moved_on = found.day
        if 1.0 / np.sum(self.weights**2) < 0.5 * self.weights.size:
            self.resample()
            self.particles.jitter(0.12)
        if not np.isfinite(self.after_test):
            self.particles.exchange()  # until a test has told sugar from other extract, for good
        self.particles.begin_gap()
        return present

    def resample(self) -> None:
        """Let the likely ones live on, in the order of their sugar, so that neighbours stand for each other."""
        order = np.argsort(self.particles.sugar, kind="stable")
        which = order[systematic(self.weights[order], self.weights.size)]
        self.particles.pick(which)
        self.history.choose(which)
        self._bad, self.tested = self._bad[which], self.tested[which]
        self.weights = np.full(self.weights.size, 1.0 / self.weights.size)

    def _by_gravity(self, found: Observation, suspicion: float) -> tuple[float, Array]:
        """Weigh by a gravity; gives the probability that it is a bad reading, by all and by each particle."""
        particles, n = self.particles, self.particles.size
        used = 1.0 - particles.share
        row = particles.offsets.row(found.instrument, found.offset_sd)
        off = found.value - particles.model_gravity - particles.offsets.shift(row, used)
        fallen, days = particles.fallen, particles.day - particles.gap.day
        noise = found.sd**2 + (MOMENT_DOUBT * PER_SUGAR * particles.uptake) ** 2
        known = noise + particles.offsets.variance(row, used)
        wander = particles.pace_variance()[0]
        often = -np.expm1(-JOLTS * days)
        steady = (1.0 - suspicion) * (1.0 - often) * _normal(off, known + fallen**2 * wander)
        jolt = wander + JOLT[1] ** 2
        jolted = (1.0 - suspicion) * often * _normal(off + JOLT[0] * fallen, known + fallen**2 * jolt)
        bad = suspicion * _chance_of_slip(off) + 1e-30
        total = steady + jolted + bad
        weights = self.weights * total
        share = float(np.sum(self.weights * bad) / np.sum(weights))
        aside = float(np.sum(self.weights * off))
        self.weights = weights / weights.sum()
        before, self._lost = self._lost, None
        if self._origin.is_still_at(found) and float(np.sum(self.weights[particles.share < 1.0 - BEGUN])) > 0.5:
            particles.draw_pace()
            self._sleep_on(found)
            return 0.0, np.zeros(n)
        if share >= HALF:
            if before is not None and before[2] * aside > 0.0 and found.day > before[0]:
                particles.draw_pace()
                self._regain(found, (before[1] - found.value) / (found.day - before[0]))
                return 0.0, np.zeros(n)
            self._lost = (found.day, found.value, aside)
        toss = dice("explains", found.day).random(n) * total
        is_bad, is_jolt = toss < bad, toss >= bad + steady
        variance = np.where(is_jolt, jolt, wander)
        mean = np.where(is_jolt, JOLT[0], 0.0)
        # The relative change of pace since the last reading: drawn from what this one leaves of it, or as it comes.
        gain = np.where(is_bad, 0.0, variance * fallen / (known + fallen**2 * variance))
        left = np.sqrt(np.maximum(variance * (1.0 - gain * fallen), 0.0))
        change = mean - gain * (off + mean * fallen) + left * normals("pace", n, found.day)
        particles.change_pace(change, is_jolt)
        used = 1.0 - particles.share
        residual = found.value - particles.model_gravity - particles.offsets.shift(row, used)
        particles.offsets.update(row, used, residual, noise, ~is_bad)
        return share, is_bad.astype(float)

    def _sleep_on(self, found: Observation) -> None:
        """It is still where it began, though most were thought to have begun: their yeast wakes later, at its own pace."""
        self.resample()
        pace = self.particles.pace
        self.particles.move_to(found.value, found.sd, 0.0)
        self.particles.pace = np.where(self.particles.share > 1.0 - BEGUN, pace, self.particles.pace)

    def _regain(self, found: Observation, fall: float) -> None:
        """Two readings in a row on the same side that none foresaw are not two bad ones: all have lost the ferment."""
        self.history.believe_after_all()
        self._bad = np.zeros_like(self.weights)
        self.resample()
        self.particles.move_to(found.value, found.sd, fall)

    def _by_sugar(self, found: Observation) -> tuple[float, Array]:
        """Weigh by a sugar test; gives the probability that it is a bad one, by all and by each particle."""
        before = self.particles.sugar
        self.weights, near = weigh(self.particles, self.weights, found)
        self._halt(before)
        return float(np.sum(self.weights[~near])), np.where(near, 0.0, 1.0)

    def _halt(self, before: Array) -> None:
        """Yeast that rested for want of sugar, and is now known to have had it, has stopped; since when is told by the pace."""
        particles = self.particles
        drawn_up = (particles.sugar - before > SINCE_TEST) & (particles.share < 1.0 - BEGUN)
        halted = drawn_up & ~particles.stopped & (particles.uptake < _standstill(particles.sugar))
        particles.stopped = particles.stopped | halted
        particles.stopped_on = np.where(halted, self._moved_on, particles.stopped_on)

    def _present(self, found: Observation, bad: float) -> Present:
        particles, w = self.particles, self.weights
        sugar, uptake, share = particles.sugar, particles.uptake, particles.share
        begun = share < 1.0 - BEGUN
        done = sugar < NEARLY_DRY
        stands = standing(particles)

        def chance(which: npt.NDArray[np.bool_]) -> float:
            return min(float(np.sum(w[which])), 1.0)

        halted = stands & np.isfinite(particles.stopped_on)
        return Present(
            evidence=found,
            begun=chance(begun),
            moving=chance(~done & ~stands),
            standing=chance(stands),
            done=chance(done),
            dry=chance(sugar < DRY),
            sweet=chance(sugar > STILL_SWEET),
            sugar=span_of(sugar, w),
            alcohol=span_of(particles.alcohol, w),
            uptake=span_of(uptake, w),
            share_left=span_of(share, w),
            indicated=span_of(particles.gravity + particles.offsets.of(found.instrument), w),
            bad=bad,
            ceased_on=quantiles(particles.stopped_on[halted], w[halted], (0.5,))[0] if chance(halted) > 0.02 else None,
            tested=bool(self.after_test - float(np.sum(w * sugar)) < SINCE_TEST),
            chilled=particles.chilled,
        )
