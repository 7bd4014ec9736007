"""A flock led along the log: each reading weighs the possible ferments by how well they foresaw it, and says how it stands.

The unlikely ones die, the likely ones live on in several varied copies. Where too few foresaw a fall, the odds of a changed pace
speak in their place; a reading that none foresaw is taken for a bad one, two in a row are not.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.span import Span
from planner.timeline.observations import BAD_READING, BY_EYE, Evidence, Falls
from planner.timeline.particles import BEGUN, JOLT, JOLTS, PER_SUGAR, WANDER, WANDER_DAYS, Flock, Integers
from planner.timeline.prior import Outset
from planner.timeline.sugar_tests import weigh

Array = npt.NDArray[np.float64]

HALF = 0.5
"""Probability from which a ferment stands still rather than not, and from which a reading is rather a bad one than not. [-]"""

FEW = 20.0
"""Ferments, by their weights, that must have foreseen a reading, lest too few tell the rest of the story. [-] Of the method."""

MOMENT_DOUBT = 0.04
"""Standard deviation of the moment of a reading. [d] About an hour; while gravity falls fast it matters."""

SLIP = (0.010, 0.060)
"""By how much a bad reading is wrong. [-] Any slip up to the first alike, as far as the next number printed on the stem; beyond,
each doubling as likely as the next up to the second: a bubble, a sample not stirred, two digits exchanged. Estimate."""

MOST_STOPPED = 0.08
"""Most that have stopped, of those that are left of a flock after a reading that plainly falls. [-] The yeast may have stopped
just before it was read; of 25 simulated ferments that the flock alone thought stopped, none had. Estimate."""

SINCE_TEST = 4.0
"""Sugar used since a test up to which the test still holds. [kg/m^3] Two lines of a hydrometer."""

DRY, STILL_SWEET = 4.0, 10.0
"""Fermentable sugar up to which a mead is dry, and from which it is certainly not. [kg/m^3] OIV labelling standard and
Bisson 1999 for the first."""

NEARLY_DRY = 6.0
"""Sugar up to which a ferment counts as done. [kg/m^3] Dry, with the doubt of a strip."""

STANDSTILL, STANDSTILL_SHARE = (0.4, 1.2), 1.0 / 60.0
"""Uptake per day below which a ferment stands still: such a share of the sugar left [1/d], but within these bounds
[kg/(m^3 d)]. What is left would take three months, and gravity moves by half a line a day or less. Estimate."""

SOON = 1.5
"""Day up to which a first reading may stand for a start that was not measured. [d] Much is not gone by then; estimate."""


class Present(msgspec.Struct, frozen=True):
    """How the ferment stands after one reading.

    Attributes
    ----------
    evidence : Evidence
        The reading.
    begun, moving, standing, done : float
        Probabilities: that a noticeable share of sugar is gone; and, adding up to one, that it moves (or has yet to begin),
        stands still with sugar left, or has taken its sugar. [-]
    dry, sweet : float
        Probabilities that less than `DRY` and more than `STILL_SWEET` of sugar is left. [-]
    sugar, alcohol, uptake, share_left : Span
        Fermentable sugar [kg/m^3], alcohol by volume [m^3/m^3], sugar taken up per day [kg/(m^3 d)], and share of the sugar
        that is left [-].
    bad : float
        Probability that this reading is a bad one. [-]
    ceased_on : float or None
        Day on which the yeast most likely ceased, if it did. [d]
    tested : bool
        Whether a sugar test was made that still holds.
    chilled : bool
        Whether it is much colder than it was, or than the yeast works at.
    """

    evidence: Evidence
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


def survivors(weights: Array, size: int) -> Integers:
    """Places of survivors, as many of each as its weight says. [-]"""
    edges = np.cumsum(weights) / weights.sum()
    return np.minimum(np.searchsorted(edges, (np.arange(size) + 0.5) / size), weights.size - 1)


class _Diary:
    """What particles had on the way, so that those who live can tell their past: their gravities, and which readings each
    took for bad ones."""

    def __init__(self) -> None:
        self.days: list[float] = []
        self._rows: list[tuple[str, npt.NDArray[Any]]] = []

    def write(self, day: float, gravity: Array) -> None:
        self.days.append(day)
        self._rows.append(("gravity", gravity))

    def correct(self, gravity: Array) -> None:
        """The last gravities were others."""
        place = max(place for place, (what, _) in enumerate(self._rows) if what == "gravity")
        self._rows[place] = ("gravity", gravity)

    def doubted(self, bad: Array) -> None:
        self._rows.append(("bad", bad))

    def believed_after_all(self) -> None:
        """The last reading is a bad one to none."""
        place = max(place for place, (what, _) in enumerate(self._rows) if what == "bad")
        self._rows[place] = ("bad", np.zeros_like(self._rows[place][1]))

    def chosen(self, which: Integers) -> None:
        self._rows.append(("choice", which))

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

    def __init__(self, start: Outset) -> None:
        began, dry = start.gravity.sum(axis=0), start.gravity[3]
        self._gravity, self._spread = float(began.mean()), float(began.std())
        self._fall = BEGUN * (self._gravity - float(dry.mean()))
        self._known, self._left = self._spread < 2.0 * BY_EYE, False

    def is_still_at(self, found: Evidence) -> bool:
        """Whether neither this reading nor any before it has fallen. A start that was not measured is where a first reading
        soon after pitching finds it, if the must may have begun there."""
        if not self._known:
            may_be = found.day <= SOON and abs(found.value - self._gravity) <= 2.0 * self._spread
            self._known, self._left, self._gravity = True, not may_be, found.value
            return False
        self._left = self._left or found.value < self._gravity - self._fall
        return not self._left


class _Steered(NamedTuple):
    """Particles that may have come to a reading at another pace; arrays of shape (n,)."""

    gravity: Array  # [-]
    change: Array  # of the logarithm of the pace [-]
    density: Array  # of the reading by the odds of such a change; none for those that cannot have come to it [-]


def _split_normal(off: Array, under: float, over: float) -> Array:
    """Density of a normal distribution with one spread below its middle and another above. [-]"""
    spread = np.where(off < 0.0, under, over)
    return np.asarray(np.exp(-0.5 * (off / spread) ** 2) * np.sqrt(2.0 / np.pi) / (under + over))


class Follower:
    """A flock led along the log."""

    def __init__(self, start: Outset) -> None:
        self.flock = Flock(start, np.random.default_rng(zlib.crc32(b"log/particles")))
        self._odds = np.random.default_rng(
            zlib.crc32(b"log/steered")
        )  # of their own: those of the flock stay as they fell
        self.weights = np.full(start.size, 1.0 / start.size)
        self.after_test = float("inf")
        self._origin = _Origin(start)
        self._moved_on = 0.0  # day of the last reading that found it moving
        # Day, gravity, and how far off, of a last reading that none foresaw.
        self._lost: tuple[float, float, float] | None = None
        self.diary = _Diary()
        self._since = 0.0, self.flock.gravity  # day and gravities at the last reading
        self.diary.write(0.0, self.flock.gravity)
        self._doubted = np.zeros(start.size)  # how likely each particle takes the last reading for a bad one
        self._doubted_by_next: list[float] = []
        self._believed: list[Evidence] = []

    def looking_back(self, which: Integers, steps: Sequence[Present]) -> tuple[Array, tuple[Present, ...]]:
        """The past of these particles, shape (days, n) [-], and the steps with what later readings say of earlier ones.

        A reading is bad if both the next one and all later ones say so: the next alone may be the bad one of the two, and
        of a ferment that ran as none was expected to, few ancestors are left to speak for a reading long past.
        """
        past, bad = self.diary.told_by(which)
        told = zip(steps[:-1], self._doubted_by_next[1:], bad[:-1], strict=True)
        return past, (
            *(msgspec.structs.replace(step, bad=min(soon, float(late.mean()))) for step, soon, late in told),
            *steps[-1:],
        )

    def go_to(self, day: float, stride: float = 0.5) -> None:
        while self.flock.day < day - 1e-9:
            self.flock.run_to(min(day, self.flock.day + stride))
            self.diary.write(self.flock.day, self.flock.gravity)

    def weigh(self, found: Evidence, suspicion: float = BAD_READING) -> Present:
        self.go_to(found.day)
        if found.kind == "sugar":
            bad, doubted = self._tested(found)
            if bad < HALF:
                self.after_test = float(np.sum(self.weights * self.flock.sugar))
        else:
            bad, doubted = self._read(found, suspicion)
            if bad < HALF:
                self._believed.append(found)
                self._heed_falls()
        self._doubted_by_next.append(float(np.sum(self.weights * self._doubted)))
        self._doubted = doubted
        self.diary.doubted(doubted)
        present = self._present(found, bad)
        if present.moving >= 0.5:
            self._moved_on = found.day
        if 1.0 / np.sum(self.weights**2) < 0.5 * self.weights.size:
            self._choose()
            self.flock.vary(0.12)
        if not np.isfinite(self.after_test):
            self.flock.slide()  # until a test has told sugar from other extract, for good
        self._since = found.day, self.flock.gravity
        return present

    def _choose(self) -> None:
        """Let the likely ones live on."""
        which = survivors(self.weights, self.weights.size)
        self.flock.pick(which)
        self.diary.chosen(which)
        self._doubted = self._doubted[which]
        self.weights = np.full(self.weights.size, 1.0 / self.weights.size)

    def _read(self, found: Evidence, suspicion: float) -> tuple[float, Array]:
        """Weigh by a gravity; gives the probability that it is a bad reading, by all and by each particle."""
        off = found.value - self.flock.gravity
        slope = PER_SUGAR * float(np.sum(self.weights * self.flock.uptake))
        doubt = np.hypot(found.doubt, MOMENT_DOUBT * slope)
        good = (1.0 - suspicion) * np.exp(-0.5 * (off / doubt) ** 2) / (np.sqrt(2.0 * np.pi) * doubt)
        bad = suspicion * _chance_of_slip(off) + 1e-30
        aside = float(np.sum(self.weights * off))
        steered = self._steered(found, good)
        explained = good + bad
        if steered is not None:
            good = good + (1.0 - suspicion) * steered.density
        weights = self.weights * (good + bad)
        share = float(np.sum(self.weights * bad) / np.sum(weights))
        self.weights = weights / weights.sum()
        before, self._lost = self._lost, None
        if self._origin.is_still_at(found) and float(np.sum(self.weights[self.flock.share < 1.0 - BEGUN])) > 0.5:
            self._sleep_on(found)
            return 0.0, np.zeros_like(off)
        if share < 0.5:
            doubted = bad / explained
            if steered is not None:
                other = self._odds.random(off.size) * (good + bad) > explained
                self.flock.steer(other, steered.gravity, steered.change)
                self.diary.correct(self.flock.gravity)
                doubted = np.where(other, 0.0, doubted)
            return share, doubted
        if before is not None and before[2] * aside > 0.0 and found.day > before[0]:
            self._regain(found, (before[1] - found.value) / (found.day - before[0]))
            return 0.0, np.zeros_like(off)
        self._lost = (found.day, found.value, aside)
        return share, bad / (good + bad)

    def _steered(self, found: Evidence, good: Array) -> _Steered | None:
        """What each that works would have gone through if its pace had changed on the way, where too few foresaw a fall.

        A flock of some thousand holds few that changed their pace by chance just as the ferment did, but many that ceased: with
        the odds of the changes instead, what falls at half the pace is told from what has stopped by more than a handful.
        """
        weights = self.weights * good
        is_foreseen = np.sum(weights) ** 2 > FEW * np.sum(weights**2)
        if is_foreseen or not Falls.of([*self._believed, found]).at_work:
            return None
        flock = self.flock
        days = flock.day - self._since[0]
        foreseen = self._since[1] - flock.gravity
        gravity = found.value + found.doubt * self._odds.standard_normal(flock.size)
        fall = self._since[1] - gravity
        which = (
            ~flock.ceased & (flock.share < 1.0 - BEGUN) & (foreseen > 2.0 * found.doubt) & (fall > 2.0 * found.doubt)
        )
        change = np.log(np.where(which, fall / np.where(which, foreseen, 1.0), 1.0))
        wander = WANDER * np.sqrt(2.0 * days / (3.0 * WANDER_DAYS)) + 1e-9
        often = min(JOLTS * days, 0.5)
        density = (1.0 - often) * _split_normal(change, wander, wander) + often * _split_normal(change, *JOLT)
        return _Steered(gravity, change, np.where(which, density / np.where(which, fall, 1.0), 0.0))

    def _sleep_on(self, found: Evidence) -> None:
        """It is still where it began, though most were thought to have begun: their yeast wakes later, at its own pace."""
        self._choose()
        pace = self.flock.pace
        self.flock.move_to(found.value, found.doubt, 0.0)
        self.flock.pace = np.where(self.flock.share > 1.0 - BEGUN, pace, self.flock.pace)

    def _regain(self, found: Evidence, fall: float) -> None:
        """Two readings in a row on the same side that none foresaw are not two bad ones: the flock has lost the ferment."""
        self.diary.believed_after_all()
        self._doubted = np.zeros_like(self.weights)
        self._choose()
        self.flock.move_to(found.value, found.doubt, fall)

    def _tested(self, found: Evidence) -> tuple[float, Array]:
        """Weigh by a sugar test; gives the probability that it is a bad one, by all and by each particle."""
        before = self.flock.sugar
        self.weights, near = weigh(self.flock, self.weights, found)
        self._halt(before)
        return float(np.sum(self.weights[~near])), np.where(near, 0.0, 1.0)

    def _halt(self, before: Array) -> None:
        """Yeast that rested for want of sugar, and is now known to have had it, has ceased; since when is told by the pace."""
        flock = self.flock
        drawn_up = (flock.sugar - before > SINCE_TEST) & (flock.share < 1.0 - BEGUN)
        halted = drawn_up & ~flock.ceased & (flock.uptake < _standstill(flock.sugar))
        flock.ceased = flock.ceased | halted
        flock.ceased_on = np.where(halted, self._moved_on, flock.ceased_on)

    def _heed_falls(self) -> None:
        """What plainly falls has hardly stopped: those that have may not be more than a few of all, whatever the odds of theirs."""
        if not Falls.of(self._believed).at_work:
            return
        standing = self._standing()
        share = float(np.sum(self.weights[standing]))
        if MOST_STOPPED < share < 1.0:
            factor = MOST_STOPPED / (1.0 - MOST_STOPPED) * (1.0 - share) / share
            weights = np.where(standing, factor * self.weights, self.weights)
            self.weights = weights / weights.sum()

    def _standing(self) -> npt.NDArray[np.bool_]:
        """Which of them stand still with sugar left."""
        flock = self.flock
        sugar = flock.sugar
        slow = (flock.uptake < _standstill(sugar)) | flock.ceased
        return np.asarray((sugar >= NEARLY_DRY) & (flock.share < 1.0 - BEGUN) & slow)

    def _present(self, found: Evidence, bad: float) -> Present:
        flock, w = self.flock, self.weights
        sugar, uptake, share = flock.sugar, flock.uptake, flock.share
        begun = share < 1.0 - BEGUN
        done = sugar < NEARLY_DRY
        standing = self._standing()

        def chance(which: npt.NDArray[np.bool_]) -> float:
            return min(float(np.sum(w[which])), 1.0)

        halted = standing & np.isfinite(flock.ceased_on)
        return Present(
            evidence=found,
            begun=chance(begun),
            moving=chance(~done & ~standing),
            standing=chance(standing),
            done=chance(done),
            dry=chance(sugar < DRY),
            sweet=chance(sugar > STILL_SWEET),
            sugar=span_of(sugar, w),
            alcohol=span_of(flock.alcohol, w),
            uptake=span_of(uptake, w),
            share_left=span_of(share, w),
            bad=bad,
            ceased_on=quantiles(flock.ceased_on[halted], w[halted], (0.5,))[0] if chance(halted) > 0.02 else None,
            tested=bool(self.after_test - float(np.sum(w * sugar)) < SINCE_TEST),
            chilled=flock.chilled,
        )
