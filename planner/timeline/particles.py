"""Many ferments at once, each one a possibility: what may be in the vessel, how its yeast may work, and when it may stop.

A particle is one possible ferment. It follows the rates of `kinetics`, with a pace that wanders from day to day and may
drift for good, because no model knows the yeast of a batch, and with a chance on each day that the yeast stops. What only
shifts a gravity is not drawn: each particle carries a small normal distribution of it (`offsets.py`). Readings weigh the
particles (`particle_filter.py`); here they only live.
"""

from __future__ import annotations

import bisect
import itertools
import math
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.kinetics import ACTIVE_PER_DRY, TREND_FROM, WIDE_AWAKE, Culture, awake, lag_of, law, pace
from planner.model.span import Span
from planner.timeline.culture import PACE, WARMTH
from planner.timeline.offsets import Offsets
from planner.timeline.prior import Prior, learnt_trait
from planner.timeline.random_numbers import dice, normals

Array = npt.NDArray[np.float64]
Booleans = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.intp]

WANDER, WANDER_DAYS = 0.30, 10.0
"""How far the pace of uptake wanders from the model's (standard deviation of its logarithm), and in which time it forgets.
[-], [d] The two published models differ by a factor of up to two on the same must; estimate."""

JOLTS, JOLT = 0.08, (-0.1, 0.45)
"""Chance per day that the pace has changed by more than it wanders [1/d], and by how much it then has: mean and standard
deviation of the relative change [-]. Readings that fall half as fast as those before are common. Estimates."""

BEND, LATE, LATE_FROM, PERSISTS = 0.6, (-0.1, 0.85), TREND_FROM, 0.6
"""Lasting trends of the pace's logarithm: standard deviation of one over the whole of the sugar; mean and standard deviation of one
that sets in when a share of it is used; their correlation, for what slows the first half, yeast that dies or carriers of sugar that
wear, slows the second, too. [-] Without nitrogen carriers wear out faster than yeast dies (Salmon 1989, Appl Environ Microbiol
55:953, from memory), which neither published model knows: hence a mean below nought. Of what whole logs of four structures and of
red musts betray, the correlation of the mean trends is 0.7. Chosen on simulated ferments (tests/benchmarks/verdict), tried on others."""

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

LAST_SUGAR = Span(0.5, 1.3, 3.5)
"""Factor on the sugar that halves the uptake, which decides how long the end takes. [-] The papers have 7.5 and 10 g/L, measured
red musts the model's own 3."""

DRY_OFFSET, EXTRACT_DOUBT = 0.0009, 0.08
"""Doubt of the gravity of dry mead that no ingredient accounts for, as standard deviation: so much, and such a share of what
extract adds to it. [-] Estimates; fruits of one kind differ more than their table shows."""

STOPPING = 0.010
"""Chance per day that a working yeast stops for a reason outside the model. [1/d] With the causes below, about one ferment
in eight; estimate, common practice has no figure."""

COLD_SHOCK, SHOCK_DAYS, SHOCKED, UNCOMFORTABLE = 4.0, 3.0, 5.0, 3.0
"""Fall of temperature [K] within so many days [d] that makes stopping so many times as likely [-], and how many times a
temperature outside the yeast's range does. [-] Estimates; cold and heat are the usual outside causes of sticking."""

RESUMING = 0.02
"""Chance per day that a yeast that has stopped takes up work again. [1/d] Estimate."""

CREEP = (0.001, 0.04)
"""Range of the pace that is left when a yeast has stopped. [-] Estimate."""

BEGUN, NOTHING_TO_STICK_AT = 0.03, 3.0
"""Share of the sugar used from which a ferment counts as begun, and sugar below which nothing can stick. [-], [kg/m^3]"""

EXCHANGE, LEAST_SPREAD = 0.7, 0.4
"""Size of the exchange of sugar for extract that is offered, by the doubt of the dry gravity; and share of the spread that
traits had at first which their variation never falls below. [-] Of the method, not of the ferment."""

NEAR_THE_END = 0.15
"""Share of the sugar left up to which only yeast that has stopped may have had more of it than was thought. [-] Estimate."""

PER_SUGAR = 4.4e-4
"""Fall of gravity per sugar used. [m^3/kg] With its alcohol; about a line of the hydrometer for 2.3 g/L."""

STEPS = ((2.0, 0.125), (10.0, 0.25), (math.inf, 0.5))
"""Longest steps up to a day. [d] Of an exponential midpoint rule: lag and growth are quick, what follows is slow."""

FAR_STEP = 2.0
"""Longest step weeks beyond the last reading, where little happens any more. [d]"""

MONTHS_LATER, SHARE_OF_AGE = 150.0, 0.1
"""Day from which on steps may be as long as such a share of the days since pitching [d], [-]: what is read then is of a mead."""


def _cubic(coefficients: Array, x: Array) -> Array:
    a, b, c, d = coefficients
    return np.asarray(((a * x + b) * x + c) * x + d)


class Traits(NamedTuple):
    """What stays as it is in one particle's life but is not known of the batch; each of shape (n,)."""

    decline: Array  # logarithm of a factor [-]
    vigour: Array  # logarithm of a factor [-]
    lag: Array  # logarithm of a factor [-]
    growth: Array  # logarithm of a factor [-]
    brake: Array  # logarithm of a power [-]
    warmth: Array  # logarithm of the factor on uptake per 10 K [-]
    held: Array  # logarithm of the factor on the alcohol that halves uptake [-]
    last: Array  # logarithm of the factor on the sugar that halves uptake [-]
    bend: Array  # trend of the pace over the share of sugar used [-]
    late: Array  # trend that sets in late [-]


class Gap(NamedTuple):
    """Where each particle stood at the last reading or event: from there on its pace is not drawn yet."""

    day: float  # [d]
    sugar: Array  # [kg/m^3 of must]
    gravity: Array  # without what only shifts it [-]


class ParticleEnsemble:
    """Possible ferments on a day. `predict` lets them live, `pick` lets some of them live on."""

    steps = STEPS

    def __init__(self, prior: Prior) -> None:
        n = prior.size
        self.prior, self.day = prior, 0.0
        pitched = np.asarray(prior.culture.pitch) * ACTIVE_PER_DRY
        self.state = np.stack([prior.glucose, prior.fructose, prior.nitrogen, pitched])
        self.sugars = prior.glucose + prior.fructose
        self.origin: Integers = np.arange(n)
        self.pace = np.zeros(n)
        self.stopped = np.zeros(n, dtype=bool)
        self.stopped_on = np.full(n, np.nan)
        self._held = False
        bend = normals("bend", n)
        self.creep = CREEP[0] * (CREEP[1] / CREEP[0]) ** dice("creep").random(n)
        self.traits = Traits(
            decline=np.log(OWN_DECLINE.at(normals("decline", n), 0.03)),
            vigour=np.log(PACE.at(normals("vigour", n), 0.2)),
            lag=0.3 * normals("lag", n),
            growth=np.log(OWN_GROWTH.at(normals("growth", n), 0.2)),
            brake=np.log(BRAKE.at(normals("brake", n), 0.01)),
            warmth=np.log(WARMTH.at(normals("warmth", n), 0.3)),
            held=np.log(HELD_BACK.at(normals("held", n), 0.2)),
            last=np.log(LAST_SUGAR.at(normals("last", n), 0.2)),
            bend=BEND * bend,
            late=LATE[0] + LATE[1] * (PERSISTS * bend + math.sqrt(1.0 - PERSISTS**2) * normals("late", n)),
        )
        self.traits = Traits(*map(learnt_trait, Traits._fields, self.traits, itertools.repeat(prior.habits)))
        self.offsets = Offsets(np.hypot(math.hypot(DRY_OFFSET, prior.dry_sd), EXTRACT_DOUBT * prior.lift))
        self.uptake = np.zeros(n)
        self._first_spread = np.std(self.traits, axis=1, keepdims=True)
        self._tables, self._given, self.grown = prior.tables, 0, 0  # grown: how often liquid was given
        self._turns = [day for day, _ in prior.schedule]
        self._acts = sorted({*self._turns, *(given.day for given in prior.given)})
        self.gap = Gap(0.0, self.sugars, np.zeros(n))
        self._refresh()
        self.begin_gap()

    def _refresh(self) -> None:
        """Constants that depend on the particles but not on the day."""
        base, own, t = self.prior.culture, self.origin, self.traits
        picked = Culture(*(values[own] for values in base))
        self._culture = picked._replace(
            vigour=picked.vigour * np.exp(t.vigour),
            decline=picked.decline * np.exp(t.decline),
            growth=picked.growth * np.exp(t.growth),
            lag=picked.lag * np.exp(t.lag),
        )
        warmth = self.prior.schedule[0][1] + self.prior.warmer[own]
        self._lag = lag_of(warmth, self._culture)
        self._all_awake = WIDE_AWAKE * float(self._lag.max())
        self._gravity, self._alcohol, self._sugar = (table[:, own] for table in self._tables)
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
    def model_gravity(self) -> Array:
        """Specific gravity without what only shifts it. [-]"""
        return _cubic(self._gravity, self.share)

    @property
    def gravity(self) -> Array:
        """Specific gravity of the liquid: with its extract, without errors of instruments. [-]"""
        share = self.share
        return _cubic(self._gravity, share) + self.offsets.extract * (1.0 - share)

    @property
    def alcohol(self) -> Array:
        """Alcohol by volume, of the sugar that its fall of gravity tells: other extract was there from the start. [m^3/m^3]"""
        return self._alcohol_at(self.share)

    def _alcohol_at(self, share: Array) -> Array:
        shift = self.offsets.extract * (1.0 - share) / self._slope(share)
        return np.maximum(_cubic(self._alcohol, share + shift), 0.0)

    def told_at(self, gravity: Array, grown: int, extract: Array) -> tuple[Array, Array]:
        """Sugar [kg/m^3] and alcohol [m^3/m^3] that each had at earlier gravities [-], shape (k, n), when liquid had been given so
        often [-], and with the shift of the dry gravity [-] that goes with them."""
        kept = self._gravity, self._alcohol, self._sugar
        tables = (self.prior.tables, *(one.tables for one in self.prior.given if one.tables is not None))[grown]
        self._gravity, self._alcohol, self._sugar = (table[:, self.origin] for table in tables)
        share = self._share_at(gravity, extract)
        told = self._sugar_at(share), self._alcohol_at(share)
        self._gravity, self._alcohol, self._sugar = kept
        return told

    def _slope(self, share: Array) -> Array:
        """Change of gravity with the share of the sugar. [-]"""
        a, b, c, _ = self._gravity
        return np.asarray(np.maximum((3.0 * a * share + 2.0 * b) * share + c, 0.02))

    @property
    def extract_doubt(self) -> float:
        """What is not known of other extract beforehand, as sugar that gravity takes it for; standard deviation. [kg/m^3]"""
        return float(np.mean(self.offsets.first_sd)) / PER_SUGAR

    @property
    def sugar(self) -> Array:
        """Fermentable sugar per volume. [kg/m^3]"""
        return self._sugar_at(self.share)

    def _sugar_at(self, share: Array) -> Array:
        return np.maximum(_cubic(self._sugar, share), 0.0)

    def hold(self, still: Booleans) -> None:
        """From now on, what stands still stays so: that it starts again is not to be counted on, but to be seen to."""
        self._held = True
        self.stopped = self.stopped | still
        self.creep = np.where(self.stopped, 0.0, self.creep)

    def pick(self, which: Integers) -> None:
        """Let these live on, in this order; one named twice lives twice."""
        self.origin, self.sugars, self.state = self.origin[which], self.sugars[which], self.state[:, which]
        self.pace, self.stopped, self.stopped_on = self.pace[which], self.stopped[which], self.stopped_on[which]
        self.creep, self.uptake = self.creep[which], self.uptake[which]
        self.traits = Traits(*np.array(self.traits)[:, which])
        self.offsets.pick(which)
        self.gap = Gap(self.gap.day, self.gap.sugar[which], self.gap.gravity[which])
        self._refresh()

    def take(self, traits: Traits) -> None:
        """Let each have these traits."""
        self.traits = traits
        self._refresh()

    def jitter(self, width: float) -> None:
        """Give copies traits of their own without widening the whole (Liu & West 2001): each is drawn a little to the mean,
        then moved. [-]"""
        keep = math.sqrt(1.0 - width**2)
        values = np.array(self.traits)
        mean, spread = values.mean(axis=1, keepdims=True), values.std(axis=1, keepdims=True)
        # A spread that has all but gone is owed to few survivors, not to what the readings say of it.
        step = width * np.maximum(spread, LEAST_SPREAD * self._first_spread)
        moved = np.stack([normals(f"jitter/{name}", self.size, self.day) for name in Traits._fields])
        self.traits = Traits(*(mean + keep * (values - mean) + step * moved))
        self._refresh()

    # --- sugar and extract, which gravity cannot tell apart

    def exchange(self) -> None:
        """Offer each particle another split of its gravity into sugar and extract, taken by its odds (Metropolis' rule).

        Readings of gravity cannot tell the two apart, so survivors keep the doubt that is really left.
        """
        share, mean = self.share, self.offsets.extract
        spread = self.offsets.first_sd
        change = EXCHANGE * spread * normals("exchange", self.size, self.day)
        known = np.maximum(spread**2 - self.offsets.extract_variance, 0.02 * spread**2)
        odds = np.exp(np.minimum(0.5 * (mean**2 - (mean + change) ** 2) / known, 0.0))
        wanted = share - change * (1.0 - share) / self._slope(share)
        taken = dice("exchange/odds", self.day).random(self.size) < odds
        taken &= (wanted > 1e-4) & (wanted < 1.0 - BEGUN) & (share < 1.0 - BEGUN)
        taken &= self.stopped | (share > NEAR_THE_END)  # yeast at work would have used what it had left
        self._set_share(np.where(taken, wanted, share))

    def resweeten(self, sugar: Array) -> None:
        """Set the sugar left, and let the extract make up for it, so that the gravity stays. [kg/m^3]"""
        share = self.share
        factor = sugar / np.maximum(self.sugar, 1e-3)
        self._set_share(np.clip(np.maximum(share, 1e-7) * np.minimum(factor, 1e3), 0.0, np.maximum(share, 0.97)))

    def _set_share(self, share: Array) -> None:
        """Another share of the sugar left [-] at the same gravity."""
        before, now = self.gravity, self.share
        self.state[:2] = np.maximum(self.state[:2], 1e-6) * (share / np.maximum(now, 1e-6 / self._at_first))
        gone = np.maximum(1.0 - self.share, 0.1)
        self.offsets.shift_extract((before - self.gravity) / gone)
        self.begin_gap()

    # --- the pace since the last reading

    def begin_gap(self) -> None:
        """From here on the mean pace is open until something is read, or is drawn."""
        self.gap = Gap(self.day, self.state[0] + self.state[1], self.model_gravity)

    @property
    def fallen(self) -> Array:
        """Fall of gravity since the gap began. [-]"""
        return np.maximum(self.gap.gravity - self.model_gravity, 0.0)

    def pace_variance(self) -> tuple[float, float, float]:
        """Of the wandering pace since the gap began: variance of its mean, covariance of that with the pace now, variance of the
        pace now. [-] Ornstein and Uhlenbeck's process from a known value."""
        x = max((self.day - self.gap.day) / WANDER_DAYS, 1e-6)
        once, twice = -math.expm1(-x), -math.expm1(-2.0 * x)
        mean = max(2.0 * x - 4.0 * once + twice, 0.0) / x**2 if x > 1e-3 else 2.0 * x / 3.0
        return WANDER**2 * mean, WANDER**2 * once**2 / x, WANDER**2 * twice

    def change_pace(self, change: Array, jolted: Booleans | None = None) -> None:
        """Let each have worked by a relative change [-] faster or slower since the gap began, and go on accordingly."""
        variance, covariance, later = self.pace_variance()
        end = self.state[0] + self.state[1]
        wanted = self.gap.sugar - (self.gap.sugar - end) * (1.0 + np.maximum(change, -0.98))
        self.state[:2] *= np.clip(wanted, 0.02 * end, np.maximum(self.gap.sugar, end)) / np.maximum(end, 1e-12)
        self.uptake = self.uptake * (1.0 + np.maximum(change, -0.98))
        lasting = np.log1p(np.clip(change, -0.95, 3.0))
        rest = math.sqrt(max(later - covariance**2 / variance, 0.0)) * normals("pace/rest", self.size, self.day)
        follows = covariance / variance * lasting + rest
        if jolted is None or not jolted.any():
            self.pace = self.pace + follows
            return
        self.pace = self.pace + np.where(jolted, 0.6 * lasting, follows)
        self.traits = self.traits._replace(vigour=self.traits.vigour + np.where(jolted, 0.5 * lasting, 0.0))
        self._refresh()

    def draw_pace(self) -> None:
        """Draw the pace since the gap began where nothing was read at its end."""
        if self.day > self.gap.day + 1e-9:
            often = -math.expm1(-JOLTS * (self.day - self.gap.day))
            jolted = dice("jolt", self.day).random(self.size) < often
            width = math.sqrt(self.pace_variance()[0])
            score = normals("pace", self.size, self.day)
            self.change_pace(np.where(jolted, JOLT[0] + math.hypot(JOLT[1], width) * score, width * score), jolted)
        self.begin_gap()

    # --- where a reading finds it against all expectation

    def _share_at(self, gravity: Array, extract: Array) -> Array:
        """Share of the sugar that is left at a gravity [-], with a shift of the dry one [-]. [-]"""
        share = self.share
        for _ in range(4):
            slope = np.maximum(self._slope(share) - extract, 0.02)
            now = _cubic(self._gravity, share) + extract * (1.0 - share)
            share = np.clip(share + (gravity - now) / slope, 1e-4, 1.0)
        return share

    def move_to(self, gravity: float, sd: float, fall: float) -> None:
        """Go to where the ferment was found, with a pace about that of its last fall of gravity. [-], [-], [1/d]"""
        share = self._share_at(gravity + sd * normals("moved", self.size, self.day), self.offsets.extract)
        self.state[:2] *= share / np.maximum(self.share, 1e-9)
        foreseen = np.maximum(PER_SUGAR * self.uptake, 1e-5)
        ratio = np.clip(max(fall, 1e-5) / foreseen, 1.0 / 3.0, 3.0)
        self.stopped = dice("moved/stopped", self.day).random(self.size) < np.where(ratio < 0.5, 0.5, 0.0)
        self.stopped_on = np.where(self.stopped, self.day, np.nan)
        wander = WANDER * normals("moved/pace", self.size, self.day)
        self.pace = self.pace + np.where(self.stopped, 0.0, np.log(ratio)) + wander
        self._sleep_on(share > 1.0 - BEGUN)
        self.begin_gap()

    def _sleep_on(self, asleep: Booleans) -> None:
        """Let yeast that was thought at work, but has not begun, be as it was pitched, and wake about now or later."""
        if not asleep.any():
            return
        pitched = self.prior.culture.pitch[self.origin] * ACTIVE_PER_DRY
        self.state[2] = np.where(asleep, np.maximum(self.state[2], self.prior.nitrogen[self.origin]), self.state[2])
        self.state[3] = np.where(asleep, pitched, self.state[3])
        self.stopped, self.stopped_on = self.stopped & ~asleep, np.where(asleep, np.nan, self.stopped_on)
        later = self.day * (0.9 + dice("wakes", self.day).random(self.size))
        longer = np.where(asleep, np.log(np.maximum(later / self._lag, 1.0)), 0.0)
        self.traits = self.traits._replace(lag=self.traits.lag + longer)
        self._refresh()

    # --- life from day to day

    def predict(self, until: float, noisy: bool = False, is_far: bool = False) -> None:
        """Live until a day [d], in steps that cross no act; with a pace drawn at each step, or with its mean left open."""
        while self.day < until - 1e-9:
            longest = FAR_STEP if is_far else next(step for day, step in self.steps if self.day < day)
            longest = longest if self.day < MONTHS_LATER else SHARE_OF_AGE * self.day
            stop = min(until, self.day + longest)
            ahead = bisect.bisect_right(self._acts, self.day + 1e-9)
            if ahead < len(self._acts):
                stop = min(stop, self._acts[ahead])
            self._give()
            self._step(stop - self.day, noisy)

    def _give(self) -> None:
        """Give what falls due: what brings liquid closes the gap, for it is no fall that a reading could tell the pace by."""
        while self._given < len(self.prior.given) and self.prior.given[self._given].day <= self.day + 1e-9:
            one, own = self.prior.given[self._given], self.origin
            self._given += 1
            if one.tables is None or one.sugars is None:
                self.state[2] = self.state[2] + one.nitrogen[own]
                continue
            self.draw_pace()
            self.state = self.state * np.asarray(one.thinner)[own]
            for row, more in enumerate((one.glucose, one.fructose, one.nitrogen)):
                self.state[row] += np.asarray(more)[own]
            self.sugars, self._tables, self.grown = one.sugars[own], one.tables, self.grown + 1
            self._refresh()
            self.begin_gap()

    def _planned(self, day: float) -> float:
        """Temperature of the schedule; the same as `temperature_at`, which is made for many days at once. [K]"""
        return float(self.prior.schedule[max(bisect.bisect_right(self._turns, day) - 1, 0)][1])

    def _now(self) -> Any:
        planned = self._planned(self.day + 1e-9)
        if self._pace_at is None or self._pace_at[0] != planned:
            kelvin = planned + self.prior.warmer[self.origin]
            now = pace(kelvin, self._culture)
            warm = np.exp(self.traits.warmth * (kelvin - REFERENCE_TEMPERATURE) / 10.0)
            held = now.k_ethanol * np.exp(self.traits.held)
            last = now.k_sugar * np.exp(self.traits.last)
            self._pace_at = (planned, now._replace(uptake=now.uptake * warm, k_ethanol=held, k_sugar=last))
        return self._pace_at[1]

    def _step(self, days: float, noisy: bool) -> None:
        now = self._now()
        work = np.where(self.stopped, self.creep, np.exp(self.pace + self._trend(self.share))) * self._spared()
        now = now._replace(uptake=now.uptake * work, maintenance=now.maintenance * np.minimum(work, 1.0))
        changes = law(self.sugars, now, self._culture)
        before = self.sugar
        first = np.array(changes(*self.state, self._awake(self.day)))
        middle = self.state * np.exp(np.minimum(np.maximum(0.5 * days * first, -5.0), 3.0))
        change = np.array(changes(*middle, self._awake(self.day + 0.5 * days)))
        self.state = self.state * np.exp(np.minimum(np.maximum(days * change, -10.0), 5.0))
        share = self.share
        sugar = self._sugar_at(share)
        self.uptake = (before - sugar) / days
        self.day += days
        keep = math.exp(-days / WANDER_DAYS)
        self.pace = self.pace * keep
        if noisy:
            self.pace += WANDER * math.sqrt(1.0 - keep**2) * normals("pace/step", self.size, self.day)
        self._stop_or_resume(days, (share < 1.0 - BEGUN) & (sugar > NOTHING_TO_STICK_AT))

    def _trend(self, share: Array) -> Array:
        """Logarithm of the pace by the share of sugar left. [-]"""
        used = 1.0 - share
        late = np.maximum(used - LATE_FROM, 0.0) / (1.0 - LATE_FROM)
        return np.asarray(self.traits.bend * (used - 0.5) + self.traits.late * late)

    def _awake(self, day: float) -> Any:
        """Share of the yeast that has woken. [-]"""
        return awake(day, self._lag) if day < self._all_awake else 1.0

    def _spared(self) -> Array:
        """Uptake by how near the alcohol is to what the strain bears. [-]"""
        alcohol = (self.sugars - self.state[0] - self.state[1]) * self._culture.ethanol_yield
        return np.asarray(np.maximum(1.0 - alcohol / self._culture.tolerance, 1e-3) ** self._brake)

    def _stop_or_resume(self, days: float, may_stick: Booleans) -> None:
        chance = dice("stops", self.day).random(self.size)
        stopping = (
            ~self.stopped & may_stick & (chance < -np.expm1(-days * STOPPING * self._danger() * self._culture.risk))
        )
        resuming = self.stopped & (chance < -math.expm1(-days * RESUMING)) & (not self._held)
        self.stopped = (self.stopped | stopping) & ~resuming
        self.stopped_on = np.where(stopping, self.day - 0.5 * days, np.where(resuming, np.nan, self.stopped_on))

    @property
    def chilled(self) -> bool:
        """Whether it is so cold that a standstill need not be the yeast's fault."""
        kept = sorted(self._planned(self.day * part / 24) for part in range(25))
        lately = self._planned(max(self.day - 0.5, 0.0))
        return lately < max(self.prior.comfort[0], kept[12] - COLD_SHOCK)

    def _danger(self) -> float:
        """How many times as likely as usual it is now that the yeast stops."""
        today, *before = (self._planned(self.day - part * SHOCK_DAYS / 3.0) for part in range(4))
        low, high = self.prior.comfort
        factor = SHOCKED if max(before) - today > COLD_SHOCK else 1.0
        return factor * (UNCOMFORTABLE if not low <= today <= high else 1.0)
