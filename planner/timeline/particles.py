"""Many ferments at once, each one a possibility: what may be in the vessel, how its yeast may work, and when it may stop.

A particle is one possible ferment. It follows the rates of `kinetics`, with a pace that wanders from day to day, because
no model knows the yeast of a batch, and with a chance on each day that the yeast ceases. Readings weigh the particles
(`posterior.py`); here they only live.
"""

from __future__ import annotations

import bisect
import math
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.kinetics import ACTIVE_PER_DRY, WIDE_AWAKE, Culture, awake, lag_of, law, pace
from planner.model.span import Span
from planner.timeline.culture import PACE, WARMTH
from planner.timeline.prior import Outset

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.intp]

WANDER, WANDER_DAYS = 0.30, 10.0
"""How far the pace of uptake wanders from the model's (standard deviation of its logarithm), and in which time it forgets.
[-], [d] The two published models differ by a factor of up to two on the same must; estimate."""

JOLTS, JOLT = 0.1, (0.8, 0.4)
"""Chance per day that the pace has changed by more than it wanders, and how far down or up it then has (standard deviations of
its logarithm). [1/d], [-] Readings that fall half as fast as those before are common, yeast that has just stopped is not, and
yeast at work never works much faster of a sudden. Estimates."""

HELD_BACK = Span(0.8, 1.5, 3.2)
"""Factor on the alcohol that halves the uptake. [-] Refits of Zenteno's model to winery data lie between a quarter and six
times its 40 g/L; Coleman's model has no such limit. Its middle leaves room for `BRAKE`, which slows as well."""

BRAKE = Span(0.1, 0.2, 0.45)
"""Power of what is left to the strain's limit by which uptake slows besides. [-] Levenspiel's and Luong's models have such a
power, of a half to three, in place of the hyperbola; measured musts run from nearly straight to nearly exponential. Estimate."""

OWN_GROWTH, OWN_DECLINE = Span(0.75, 1.0, 1.4), Span(0.2, 0.5, 1.0)
"""Factors on growth and decline of a batch's own. [-] Later fits of growth differ more than the two published models; viability
often stays until sugar use stops (Cramer et al. 2002, abstract), and measured red musts take their last third faster than the
papers' decline lets them, so decline is less rather than more. Estimates."""

LAST_SUGAR = Span(0.5, 1.1, 2.3)
"""Factor on the sugar that halves the uptake, which decides how long the end takes. [-] The papers have 7.5 and 10 g/L, measured
red musts the model's own 3."""

DRY_OFFSET, EXTRACT_DOUBT = 0.0009, 0.08
"""Doubt of the gravity of dry mead that no ingredient accounts for, as standard deviation: so much, and such a share of what
extract adds to it. [-] Estimates; fruits of one kind differ more than their table shows."""

CEASING = 0.015
"""Chance per day that a working yeast ceases for a reason outside the model. [1/d] With the causes below, about one ferment
in six; estimate, common practice has no figure."""

COLD_SHOCK, SHOCK_DAYS, SHOCKED, UNCOMFORTABLE = 4.0, 3.0, 5.0, 3.0
"""Fall of temperature [K] within so many days [d] that makes ceasing so many times as likely [-], and how many times a
temperature outside the yeast's range does. [-] Estimates; cold and heat are the usual outside causes of sticking."""

RESUMING = 0.012
"""Chance per day that a yeast that has ceased takes up work again. [1/d] Estimate."""

CREEP = (0.001, 0.04)
"""Range of the pace that is left when a yeast has ceased. [-] Estimate."""

BEGUN, NOTHING_TO_STICK_AT = 0.03, 3.0
"""Share of the sugar used from which a ferment counts as begun, and sugar below which nothing can stick. [-], [kg/m^3]"""

SLIDE, LEAST_SPREAD = 0.7, 0.4
"""Size of the exchange of sugar for extract that is offered, by the doubt of the dry gravity; and share of the spread that
traits had at first which their variation never falls below. [-] Of the method, not of the ferment."""

PER_SUGAR = 4.4e-4
"""Fall of gravity per sugar used. [m^3/kg] With its alcohol; about a line of the hydrometer for 2.3 g/L."""

FULL_STEP, LATE_STEP, LATE = 0.25, 0.5, 15.0
"""Longest steps before and after a day. [d] Of an exponential midpoint rule; one step is off by less than the wandering."""

FAR_STEP = 2.0
"""Longest step weeks beyond the last reading, where little happens any more. [d]"""


def _cubic(coefficients: Array, x: Array) -> Array:
    a, b, c, d = coefficients
    return np.asarray(((a * x + b) * x + c) * x + d)


class Traits(NamedTuple):
    """What stays as it is in one particle's life but is not known of the batch; each of shape (n,)."""

    tolerance: Array  # logarithm of a factor [-]
    decline: Array  # logarithm of a factor [-]
    vigour: Array  # logarithm of a factor [-]
    lag: Array  # logarithm of a factor [-]
    growth: Array  # logarithm of a factor [-]
    brake: Array  # logarithm of a power [-]
    warmth: Array  # logarithm of the factor on uptake per 10 K [-]
    held: Array  # logarithm of the factor on the alcohol that halves uptake [-]
    last: Array  # logarithm of the factor on the sugar that halves uptake [-]
    offset: Array  # of the gravity when dry [-]


class Flock:
    """Particles on a day. Their moments are told by `step`; `pick` lets some of them live on."""

    def __init__(self, start: Outset, generator: np.random.Generator) -> None:
        n = start.size
        self.start, self.day, self.dice = start, 0.0, generator
        pitched = np.asarray(start.culture.pitch) * ACTIVE_PER_DRY
        self.state = np.stack([start.glucose, start.fructose, start.nitrogen, pitched])
        self.sugars = start.glucose + start.fructose
        self.origin: Integers = np.arange(n)
        self.pace = np.zeros(n)
        self.ceased = np.zeros(n, dtype=bool)
        self.ceased_on = np.full(n, np.nan)
        self._held: npt.NDArray[np.bool_] | None = None
        self.creep = CREEP[0] * (CREEP[1] / CREEP[0]) ** generator.random(n)
        normal = generator.standard_normal
        self.traits = Traits(
            tolerance=np.zeros(n),
            decline=np.log(OWN_DECLINE.at(normal(n), 0.03)),
            vigour=np.log(PACE.at(normal(n), 0.2)),
            lag=0.15 * normal(n),
            growth=np.log(OWN_GROWTH.at(normal(n), 0.2)),
            brake=np.log(BRAKE.at(normal(n), 0.01)),
            warmth=np.log(WARMTH.at(normal(n), 0.3)),
            held=np.log(HELD_BACK.at(normal(n), 0.2)),
            last=np.log(LAST_SUGAR.at(normal(n), 0.2)),
            offset=np.hypot(DRY_OFFSET, EXTRACT_DOUBT * start.lift) * normal(n),
        )
        self.uptake = np.zeros(n)
        self._first_spread = np.std(self.traits, axis=1, keepdims=True)
        dry = start.gravity[3] + self.traits.offset
        self._dry = float(dry.mean()), float(dry.std())
        self._given: set[int] = set()
        # Doses of an outset have their days: those bound to sugar used were found on the expected course.
        self._doses = [(dose.day, dose.nitrogen) for dose in start.doses if dose.day is not None]
        self._turns = [day for day, _ in start.schedule]
        self._acts = sorted({*self._turns, *(day for day, _ in self._doses)})
        self._culture, self._lag = start.culture, np.zeros(n)
        self._refresh()

    def _refresh(self) -> None:
        """Constants that depend on the particles but not on the day."""
        base, own, t = self.start.culture, self.origin, self.traits
        picked = Culture(*(values[own] for values in base))
        self._culture = picked._replace(
            tolerance=picked.tolerance * np.exp(t.tolerance),
            vigour=picked.vigour * np.exp(t.vigour),
            decline=picked.decline * np.exp(t.decline),
            growth=picked.growth * np.exp(t.growth),
            lag=picked.lag * np.exp(t.lag),
        )
        warmth = self.start.schedule[0][1] + self.start.warmer[own]
        self._lag = lag_of(warmth, self._culture)
        self._all_awake = WIDE_AWAKE * float(self._lag.max())
        self._cubics = tuple(table[:, own] for table in (self.start.gravity, self.start.alcohol, self.start.sugar))
        self._at_first = np.maximum(self.sugars, 1e-9)
        self._brake = np.exp(t.brake)
        self._pace_at: tuple[float, Any] | None = None

    @property
    def size(self) -> int:
        """Number of particles. [-]"""
        return self.sugars.size

    @property
    def share(self) -> Array:
        """Share of the sugar that is left. [-]"""
        return np.asarray((self.state[0] + self.state[1]) / self._at_first)

    @property
    def gravity(self) -> Array:
        """Specific gravity. [-]"""
        share = self.share
        return np.asarray(_cubic(self._cubics[0], share) + self.traits.offset * (1.0 - share))

    @property
    def alcohol(self) -> Array:
        """Alcohol by volume, of the sugar that its fall of gravity tells: other extract was there from the start. [m^3/m^3]"""
        share, offset = self.share, self.traits.offset
        a, b, c, _ = self._cubics[0]
        slope = np.maximum((3.0 * a * share + 2.0 * b) * share + c, 0.02)
        return np.asarray(np.maximum(_cubic(self._cubics[1], share + offset * (1.0 - share) / slope), 0.0))

    @property
    def extract_doubt(self) -> float:
        """What is not known of other extract beforehand, as sugar that gravity takes it for; standard deviation. [kg/m^3]"""
        return self._dry[1] / PER_SUGAR

    @property
    def sugar(self) -> Array:
        """Fermentable sugar per volume. [kg/m^3]"""
        return self._sugar_at(self.share)

    def _sugar_at(self, share: Array) -> Array:
        return np.maximum(_cubic(self._cubics[2], share), 0.0)

    def hold(self) -> None:
        """From now on, what has ceased stands where it stands: that it starts again is not to be counted on, but to be seen to."""
        self._held = self.ceased
        self.creep = np.where(self.ceased, 0.0, self.creep)

    def pick(self, which: Integers) -> None:
        """Let these live on, in this order; one named twice lives twice."""
        self.origin, self.sugars, self.state = self.origin[which], self.sugars[which], self.state[:, which]
        self.pace, self.ceased, self.ceased_on = self.pace[which], self.ceased[which], self.ceased_on[which]
        self.creep, self.uptake = self.creep[which], self.uptake[which]
        self.traits = Traits(*np.array(self.traits)[:, which])
        self._refresh()

    def vary(self, width: float) -> None:
        """Give copies traits of their own without widening the whole: each is drawn a little to the mean, then moved. [-]"""
        keep = np.sqrt(1.0 - width**2)
        values = np.array(self.traits)
        mean, spread = values.mean(axis=1, keepdims=True), values.std(axis=1, keepdims=True)
        # A spread that has all but gone is owed to few survivors, not to what the readings say of it.
        step = width * np.maximum(spread, LEAST_SPREAD * self._first_spread)
        self.traits = Traits(*(mean + keep * (values - mean) + step * self.dice.standard_normal(values.shape)))
        self._refresh()

    def slide(self) -> None:
        """Exchange sugar for other extract at the same gravity, as far as what was known of the dry gravity allows.

        Readings of gravity cannot tell the two apart. Each particle is offered another dry gravity and takes it by the
        odds of the two beforehand (Metropolis' rule), so that survivors keep the doubt that is really left.
        """
        middle, spread = self._dry
        share, offset = self.share, self.traits.offset
        a, b, c, d = self._cubics[0]
        change = SLIDE * spread * self.dice.standard_normal(share.size)
        dry = d + offset
        odds = np.exp(0.5 * (((dry - middle) / spread) ** 2 - ((dry + change - middle) / spread) ** 2))
        slope = np.maximum((3.0 * a * share + 2.0 * b) * share + c - offset, 0.02)
        wanted = share - change * (1.0 - share) / slope
        taken = (self.dice.random(share.size) < odds) & (wanted > 1e-4) & (wanted < 1.0 - BEGUN) & (share < 1.0 - BEGUN)
        before = self.gravity
        self.state[:2] *= np.where(taken, wanted / np.maximum(share, 1e-9), 1.0)
        self._keep_gravity(before)

    def _keep_gravity(self, before: Array) -> None:
        """Let the offset of the dry gravity make up for a change of sugar."""
        gone = np.maximum(1.0 - self.share, 0.1)
        self.traits = self.traits._replace(offset=self.traits.offset + (before - self.gravity) / gone)

    def resweeten(self, sugar: Array) -> None:
        """Set the sugar left, and let the offset of the dry gravity make up for it, so that the gravity stays. [kg/m^3]"""
        before = self.gravity
        factor = np.clip(
            sugar / np.maximum(self.sugar, 1e-3), 0.0, np.minimum(1e3, 0.97 / np.maximum(self.share, 1e-6))
        )
        self.state[:2] = np.maximum(self.state[:2], 1e-6) * factor
        self._keep_gravity(before)

    def _share_at(self, gravity: Array) -> Array:
        """Share of the sugar that is left at a gravity [-]. [-]"""
        share = self.share
        a, b, c, _ = self._cubics[0]
        for _ in range(4):
            slope = np.maximum((3.0 * a * share + 2.0 * b) * share + c - self.traits.offset, 0.02)
            now = _cubic(self._cubics[0], share) + self.traits.offset * (1.0 - share)
            share = np.clip(share + (gravity - now) / slope, 1e-4, 1.0)
        return share

    def steer(self, which: npt.NDArray[np.bool_], gravity: Array, change: Array) -> None:
        """Let these have gone to a gravity [-] at another pace: a change of its logarithm [-], half of which is the batch's own."""
        share = self.share
        steered = np.where(which, self._share_at(gravity), share)
        self.state[:2] *= steered / np.maximum(share, 1e-9)
        change = np.where(which, change, 0.0)
        self.uptake = self.uptake * np.exp(change)
        self.pace = self.pace + 0.5 * change
        self.traits = self.traits._replace(vigour=self.traits.vigour + 0.5 * change)
        self._refresh()

    def move_to(self, gravity: float, doubt: float, fall: float) -> None:
        """Go to where the ferment was found, with a pace about that of its last fall of gravity. [-], [-], [1/d]"""
        share = self._share_at(gravity + doubt * self.dice.standard_normal(self.size))
        self.state[:2] *= share / np.maximum(self.share, 1e-9)
        foreseen = np.maximum(PER_SUGAR * self.uptake, 1e-5)
        ratio = np.clip(max(fall, 1e-5) / foreseen, 1.0 / 3.0, 3.0)
        self.ceased = self.dice.random(self.size) < np.where(ratio < 0.5, 0.5, 0.0)
        self.ceased_on = np.where(self.ceased, self.day, np.nan)
        self.pace = (
            self.pace + np.where(self.ceased, 0.0, np.log(ratio)) + WANDER * self.dice.standard_normal(self.size)
        )
        self._sleep_on(share > 1.0 - BEGUN)

    def _sleep_on(self, asleep: npt.NDArray[np.bool_]) -> None:
        """Let yeast that was thought at work, but has not begun, be as it was pitched, and wake about now or later."""
        if not asleep.any():
            return
        pitched = self.start.culture.pitch[self.origin] * ACTIVE_PER_DRY
        self.state[2] = np.where(asleep, np.maximum(self.state[2], self.start.nitrogen[self.origin]), self.state[2])
        self.state[3] = np.where(asleep, pitched, self.state[3])
        self.ceased, self.ceased_on = self.ceased & ~asleep, np.where(asleep, np.nan, self.ceased_on)
        later = self.day * (0.9 + self.dice.random(self.size))
        longer = np.where(asleep, np.log(np.maximum(later / self._lag, 1.0)), 0.0)
        self.traits = self.traits._replace(lag=self.traits.lag + longer)
        self._refresh()

    def run_to(self, until: float, is_far: bool = False) -> None:
        """Live until a day, in steps that cross no act. [d]"""
        while self.day < until - 1e-9:
            longest = FULL_STEP if self.day < LATE else FAR_STEP if is_far else LATE_STEP
            stop = min(until, self.day + longest)
            ahead = bisect.bisect_right(self._acts, self.day + 1e-9)
            if ahead < len(self._acts):
                stop = min(stop, self._acts[ahead])
            self._feed()
            self._step(stop - self.day)

    def _feed(self) -> None:
        for index, (day, nitrogen) in enumerate(self._doses):
            if index not in self._given and day <= self.day + 1e-9:
                self._given.add(index)
                self.state[2] = self.state[2] + nitrogen[self.origin]

    def _planned(self, day: float) -> float:
        """Temperature of the schedule; the same as `temperature_at`, which is made for many days at once. [K]"""
        return float(self.start.schedule[max(bisect.bisect_right(self._turns, day) - 1, 0)][1])

    def _now(self) -> Any:
        planned = self._planned(self.day + 1e-9)
        if self._pace_at is None or self._pace_at[0] != planned:
            kelvin = planned + self.start.warmer[self.origin]
            now = pace(kelvin, self._culture)
            warm = np.exp(self.traits.warmth * (kelvin - REFERENCE_TEMPERATURE) / 10.0)
            held = now.k_ethanol * np.exp(self.traits.held)
            last = now.k_sugar * np.exp(self.traits.last)
            self._pace_at = (planned, now._replace(uptake=now.uptake * warm, k_ethanol=held, k_sugar=last))
        return self._pace_at[1]

    def _step(self, days: float) -> None:
        now = self._now()
        work = np.where(self.ceased, self.creep, np.exp(self.pace)) * self._spared()
        now = now._replace(uptake=now.uptake * work, maintenance=now.maintenance * np.minimum(work, 1.0))
        changes = law(self.sugars, now, self._culture)
        before = self.sugar
        first = np.array(changes(*self.state, self._awake(self.day)))
        middle = self.state * np.exp(np.clip(0.5 * days * first, -5.0, 3.0))
        change = np.array(changes(*middle, self._awake(self.day + 0.5 * days)))
        self.state = self.state * np.exp(np.clip(days * change, -10.0, 5.0))
        share = self.share
        sugar = self._sugar_at(share)
        self.uptake = (before - sugar) / days
        self._wander(days, (share < 1.0 - BEGUN) & (sugar > NOTHING_TO_STICK_AT))
        self.day += days

    def _awake(self, day: float) -> Any:
        """Share of the yeast that has woken. [-]"""
        return awake(day, self._lag) if day < self._all_awake else 1.0

    def _spared(self) -> Array:
        """Uptake by how near the alcohol is to what the strain bears. [-]"""
        alcohol = (self.sugars - self.state[0] - self.state[1]) * self._culture.ethanol_yield
        return np.asarray(np.maximum(1.0 - alcohol / self._culture.tolerance, 1e-3) ** self._brake)

    def _wander(self, days: float, may_stick: npt.NDArray[np.bool_]) -> None:
        normal = self.dice.standard_normal(self.size)
        keep = math.exp(-days / WANDER_DAYS)
        self.pace = self.pace * keep + WANDER * math.sqrt(1.0 - keep**2) * normal
        chance = self.dice.random(self.size)
        ceasing = (
            ~self.ceased & may_stick & (chance < 1.0 - np.exp(-days * CEASING * self._danger() * self._culture.risk))
        )
        resuming = self.ceased & (chance < 1.0 - math.exp(-days * RESUMING))
        if self._held is not None:
            resuming &= ~self._held
        self.ceased = (self.ceased | ceasing) & ~resuming
        self.ceased_on = np.where(ceasing, self.day + 0.5 * days, np.where(resuming, np.nan, self.ceased_on))

    @property
    def chilled(self) -> bool:
        """Whether it is so cold that a standstill need not be the yeast's fault."""
        kept = sorted(self._planned(self.day * part / 24) for part in range(25))
        lately = self._planned(max(self.day - 0.5, 0.0))
        return lately < max(self.start.comfort[0], kept[12] - COLD_SHOCK)

    def _danger(self) -> float:
        """How many times as likely as usual it is now that the yeast ceases."""
        today, *before = (self._planned(self.day - part * SHOCK_DAYS / 3.0) for part in range(4))
        low, high = self.start.comfort
        factor = SHOCKED if max(before) - today > COLD_SHOCK else 1.0
        return factor * (UNCOMFORTABLE if not low <= today <= high else 1.0)
