"""A plan of feeds: what nitrogen the must lacks, in which portions it is given, until when, and what keeps it in bounds."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document import edits
from planner.document.batch import Batch, Feed
from planner.document.timestamps import day_of
from planner.feeding.feeding_plan import ENOUGH, WORTH_INSURING, FeedingPlan, Step, Total, other_ways, sentences
from planner.feeding.limits import Fed, Limit, ceilings, limits, nitrogen_of, within
from planner.model.span import Span
from planner.recipe.house_rules import LeftOut, nutrient_objections
from planner.recipe.must import anchored
from planner.recipe.must import must as recipe_must
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Nutrient
from planner.timeline.actual_recipe import as_given, feeds_given, replaced_feeds
from planner.timeline.course import Expected, expected
from planner.timeline.next_actions import LAST_ALCOHOL, LAST_SHARE
from planner.timeline.readings import Logged
from planner.timeline.results import Curve, MustOutcome
from planner.timeline.start_reading import starting_reading
from planner.wording.measuring import measured_as
from planner.wording.phrases import Words, say

Array = npt.NDArray[np.float64]

LAST_DAY = 3660.0
"""As far as a recipe counts days. [d] Where a log goes beyond it, a moment in it is wrong."""
FIRST_DAY = 1.0
"""Earliest day of a feed. [d] Common practice, no source: once the yeast is awake, and never into the water that wakes it."""

AWAKE = 0.02
"""Share of the sugar whose use shows that the yeast is awake. [-] Estimate."""

MIDDLE_SHARE = LAST_SHARE / 2.0
"""Share of the sugar at which the middle one of three feeds is given. [-] In portions, because one large dose of ammonium
makes the must hot (one source); how many is common practice, no source."""

APART = 0.6
"""Fewest days between two feeds; closer ones become one. [d] Common practice, no source: 12 to 24 h."""

FRESH = 1.5
"""Days for which a reading tells how much of the sugar is used. [d] Estimate."""


def day_now(batch: Batch, today: datetime | None) -> float:
    """Days since pitching that have passed: by the clock, or as far as the log goes.

    Parameters
    ----------
    today : datetime or None
        The present moment with its offset; None to go by the log alone. [-]

    Returns
    -------
    float
        0 before pitching. [d]
    """
    log = batch.log
    days = [day_of(entry.at, entry.day, log.pitched_at) for entry in log.readings if not entry.excluded]
    if today is not None and log.pitched_at:
        days.append(day_of(today.isoformat(), None, log.pitched_at))
    return max([0.0, *(day for day in days if day is not None)])


def usual_food(batch: Batch, catalogue: Catalogue) -> tuple[str, ...]:
    """The nutrients that a plan is first proposed with.

    Parameters
    ----------
    batch : Batch
        Those of its recipe, if there are any. [as its fields]

    Returns
    -------
    tuple of str
        Otherwise an organic one and one with ammonium, as far as the house rules allow.
    """
    rows, rules = catalogue.nutrients, batch.recipe.rules
    allowed = [key for key, row in rows.items() if row.is_food and not nutrient_objections(rules, row)]
    used = tuple(dict.fromkeys(feed.key for feed in batch.recipe.feeds if feed.key in allowed))
    if used:
        return used
    slow = next((key for key in allowed if rows[key].organic), None)
    fast = next((key for key in allowed if not rows[key].organic), None)
    return tuple(key for key in (slow, fast) if key is not None)


def propose(
    batch: Batch,
    catalogue: Catalogue,
    must: MustOutcome,
    curve: Curve,
    keys: Iterable[str],
    now: float = 0.0,
    log: Sequence[Logged] = (),
    starting_gravity: float | None = None,
) -> FeedingPlan:
    """Propose feeds.

    Parameters
    ----------
    keys : iterable of str
        Nutrients to use: organic ones are given first, those with ammonium last, half of the nitrogen each as far as limits
        let them.
    now : float
        Days since pitching; nothing is proposed for the past. [d]
    log : sequence of Logged
        The readings: where a fresh one tells how much sugar is left, it counts before the expected course. [as their fields]
    starting_gravity : float or None
        As measured at pitching. [-]

    Returns
    -------
    FeedingPlan
        In portions until a third of the sugar is used, within the law's limit and the usual dose of organic food; its days are
        those of the must so fed.
    """
    food = tuple(keys)
    plan = _propose(batch, catalogue, must, curve, food, now, log)
    if not plan.steps:
        return plan
    fed = edits.change_recipe(batch, feeds=plan.feeds)
    start = recipe_must(batch, catalogue, 0)
    if starting_gravity is not None:
        row = starting_reading(tuple(log))
        start = anchored(start, starting_gravity, 0.0 if row is None else row.day or 0.0)
    course = expected(as_given(fed), start, catalogue)
    return _propose(batch, catalogue, must, course, food, now, log)


def _propose(
    batch: Batch,
    catalogue: Catalogue,
    must: MustOutcome,
    ahead: Curve | Expected,
    keys: Iterable[str],
    now: float,
    log: Sequence[Logged],
) -> FeedingPlan:
    """Propose feeds for one pace of the ferment."""
    curve = _Pace(ahead.days, _typical(ahead.sugar), _typical(ahead.alcohol), ahead.used, ahead.third_day)
    need = Span(*map(catalogue.yeast(batch.recipe.yeast.key).nitrogen_for, must.sugar_in_all))
    fed = [(feed, catalogue.nutrient(feed.key)) for feed in _given(batch)]
    room = must.volume.typical
    given = nitrogen_of(fed) / room
    lack = _lack(need, must.nitrogen, given)
    rows, refused = _offered(batch, catalogue, keys)
    last_day = last_day_to_feed(curve.days, curve.alcohol, curve.third_day)
    moments = _moments(curve, last_day, now, _used(curve, log, now))
    wanted = lack.typical if lack.typical > ENOUGH * need.typical and moments else 0.0
    known = limits(catalogue)
    shares, binding = _shares(rows, wanted, known, fed, room)
    by_key = {row.key: row for row in rows}

    def weighed(bounding: Collection[str]) -> tuple[tuple[Step, ...], list[tuple[Feed, Nutrient]]]:
        bounded = {row.key for row in rows for limit in known if limit.key in bounding and limit.counts(row)}
        steps = _steps(rows, shares, moments, must.nitrogen.typical + given, room, bounded)
        return steps, [*fed, *((step.feed, by_key[step.feed.key]) for step in steps)]

    steps, every = weighed(binding)
    # Shares within a limit that does not bind may still pass it once each portion is rounded up to what a scale shows.
    passed = {limit.key for limit in known if limit.used(every, room) > limit.nitrogen}
    if passed - binding:
        steps, every = weighed(binding | passed)
    insurance = (
        None if wanted else _insurance(rows, lack, need, moments, must.nitrogen.typical + given, (known, fed, room))
    )
    short = wanted - sum(step.nitrogen for step in steps) if wanted else 0.0
    least, most = (_shares(rows, bound, known, fed, room)[0] for bound in (lack.low, lack.high))
    totals = _totals(rows, steps, zip(least, shares, most, strict=True), room)
    plan = FeedingPlan(
        need=need,
        has=must.nitrogen,
        lack=lack,
        given=given,
        steps=steps,
        totals=totals,
        ceilings=ceilings(known, every, room, binding),
        short=max(short, 0.0) if short > ENOUGH * need.typical else 0.0,
        last_day=last_day,
        refused=refused,
        summary=(),
        feeds=(
            *(feed for feed, _ in fed),
            *_no_food(batch, catalogue),
            *(step.feed for step in steps),
            *([insurance.feed] if insurance is not None else []),
        ),
        insurance=insurance,
    )
    ways = other_ways(batch, catalogue, must.sugar_in_all.typical)
    return msgspec.structs.replace(plan, summary=tuple(sentences(plan, rows, bool(moments), ways)))


def _given(batch: Batch) -> list[Feed]:
    """What the log says was fed, as lines of a recipe."""
    return [
        Feed(key=event.key or "", mass=event.mass or 0.0, day=min(max(day, 0.0), LAST_DAY))
        for _, event, day in feeds_given(batch)
    ]


def _no_food(batch: Batch, catalogue: Catalogue) -> list[Feed]:
    """Carbonates that are planned and not given yet, which a plan of food leaves as they are."""
    done = set(replaced_feeds(batch).values())
    feeds = enumerate(batch.recipe.feeds)
    return [feed for place, feed in feeds if place not in done and not catalogue.nutrient(feed.key).is_food]


def _lack(need: Span, has: Span, given: float) -> Span:
    """Need less what there is; doubts of the two are independent, so that their squares add up. [kg/m^3]"""
    middle = need.typical - has.typical - given
    low = math.hypot(need.typical - need.low, has.high - has.typical)
    high = math.hypot(need.high - need.typical, has.typical - has.low)
    return Span(*(max(bound, 0.0) for bound in (middle - low, middle, middle + high)))


def _offered(batch: Batch, catalogue: Catalogue, keys: Iterable[str]) -> tuple[list[Nutrient], tuple[LeftOut, ...]]:
    kept, out = [], []
    for key in dict.fromkeys(keys):
        row = catalogue.nutrient(key)
        against = nutrient_objections(batch.recipe.rules, row)
        if against:
            out.append(LeftOut(row.name, against[0]))
        elif row.is_food:
            kept.append(row)
    return sorted(kept, key=lambda row: not row.organic), tuple(out)


def last_day_to_feed(days: Array, alcohol: Array, third_day: float | None) -> float | None:
    """The day on which a third of the sugar is used, or alcohol hinders the uptake, if that is before.

    Parameters
    ----------
    days : numpy.ndarray, shape (n,)
        Rising. [d]
    alcohol : numpy.ndarray, shape (n,)
        By volume. [m^3/m^3]
    third_day : float or None
        When a third of the sugar is used. [d]

    Returns
    -------
    float or None
        None if it never gets so far. [d]
    """
    strong = np.flatnonzero(alcohol >= LAST_ALCOHOL)
    ends = [] if third_day is None else [third_day]
    if strong.size:
        ends.append(float(days[strong[0]]))
    return min(ends, default=None)


class _Pace(msgspec.Struct, frozen=True):
    """How the typical must goes: days [d], sugar [kg/m^3], alcohol [m^3/m^3], and when a third of the sugar is used [d]."""

    days: Array
    sugar: Array
    alcohol: Array
    used: Array  # share of the sugar given by then [-]
    third_day: float | None


def _typical(values: Array) -> Array:
    return values[:, 0] if values.ndim == 2 else values


def _used(curve: _Pace, log: Sequence[Logged], now: float) -> float | None:
    """Share of the sugar that the last reading shows as used, if it is fresh. [-]"""
    told = [(row.day, row.sugar) for row in log if row.counts and row.day is not None and np.isfinite(row.sugar)]
    day, sugar = max(told, default=(0.0, 0.0))
    if not told or now - day > FRESH:
        return None
    some = curve.used < 0.9  # what is given so far, per volume then; where it is nearly dry that says no more
    return 1.0 - sugar / float(np.interp(day, curve.days[some], curve.sugar[some] / (1.0 - curve.used[some])))


class _Moment(NamedTuple):
    """When a feed is due: the expected day [d], and the share of the sugar that it is bound to [-], if it is."""

    day: float
    share: float | None


def _moments(curve: _Pace, last: float | None, now: float, measured: float | None) -> list[_Moment]:
    """When feeds are of use: once the yeast is awake, half way, and at a third of the sugar; what is past is left out."""
    if (measured is not None and measured >= LAST_SHARE) or now > LAST_DAY - 1.0:
        return []
    begun = np.flatnonzero(curve.used >= AWAKE)
    awake = math.ceil(2.0 * float(curve.days[begun[0]])) / 2.0 if begun.size else FIRST_DAY
    first = max(FIRST_DAY, awake, now)
    if last is None:
        return [_Moment(first, None), _Moment(first + 1.0, None)]
    if now >= last:
        return [] if measured is None else [_Moment(now, None)]
    if last - first < APART:
        return [_Moment(max(min(first, last), now), None)]
    found = [_Moment(first, None)]
    half = float(np.interp(MIDDLE_SHARE, curve.used, curve.days))
    if first + APART <= half <= last - APART:
        found.append(_Moment(half, MIDDLE_SHARE))
    found.append(_Moment(last, LAST_SHARE if last == curve.third_day else None))
    return found


def _shares(
    rows: Sequence[Nutrient], wanted: float, known: Sequence[Limit], fed: Fed, room: float
) -> tuple[list[float], frozenset[str]]:
    """Nitrogen that each nutrient brings: half from organic ones, more or less where limits keep either out. [kg/m^3]"""
    slow, fast = [row for row in rows if row.organic], [row for row in rows if not row.organic]
    half, binds_half = within(slow, wanted * (0.5 if fast else 1.0), known, fed, room)
    from_fast, binds_fast = within(fast, wanted - sum(half), known, fed, room)
    from_slow, binds_slow = within(slow, wanted - sum(from_fast), known, fed, room)
    return [*from_slow, *from_fast], binds_half | binds_fast | binds_slow  # in the order of `_offered`


def _weights(slow: float, fast: float, number: int) -> tuple[list[float], list[float]]:
    """Parts of the organic and of the fast nitrogen in each portion: portions alike, slow food first and fast food last."""
    even = [1.0 / number] * number
    if number == 1 or not slow > 0.0 or not fast > 0.0:
        return even, even
    falling = [2.0 * (number - 1 - place) / (number * (number - 1)) for place in range(number)]
    left = [max((slow + fast) / number - slow * weight, 0.0) for weight in falling]
    return falling, [part / sum(left) for part in left]


def _steps(
    rows: Sequence[Nutrient],
    shares: Sequence[float],
    moments: Sequence[_Moment],
    before: float,
    room: float,
    bound: Collection[str],
) -> tuple[Step, ...]:
    """The feeds; of nutrients that are `bound` by a limit a little less is weighed rather than a little more."""
    found: list[Step] = []
    reached = before
    slow = sum(share for row, share in zip(rows, shares, strict=True) if row.organic)
    of_slow, of_fast = _weights(slow, sum(shares) - slow, max(len(moments), 1))
    for place, (day, used) in enumerate(moments):
        for row, share in zip(rows, shares, strict=True):
            part = share * (of_slow if row.organic else of_fast)[place]
            mass = as_weighed(part * room / row.nitrogen.typical, row.key in bound)
            if mass <= 0.0:
                continue
            brings = mass * row.nitrogen.typical / room
            reached += brings
            due = Feed(key=row.key, mass=mass, day=round(day, 2) if used is None else None, sugar_used=used)
            found.append(Step(due, day, brings, reached, _diluted(mass, _why(place, len(moments), row.organic))))
    return tuple(found)


def _insurance(
    rows: Sequence[Nutrient],
    lack: Span,
    need: Span,
    moments: Sequence[_Moment],
    before: float,
    bounds: tuple[Sequence[Limit], Fed, float],
) -> Step | None:
    """Half of what is missing at worst, as the mildest food, where typically nothing is; None where that is not in doubt.

    Half: if it proves needless, other organisms find little of it.
    """
    if not rows or not moments or lack.high <= WORTH_INSURING * need.typical:
        return None
    known, fed, room = bounds
    shares, _ = within(rows[:1], 0.5 * lack.high, known, fed, room)
    day, used = moments[len(moments) // 2]
    mass = as_weighed(shares[0] * room / rows[0].nitrogen.typical, at_most=True)
    if mass <= 0.0:
        return None
    brings = mass * rows[0].nitrogen.typical / room
    due = Feed(key=rows[0].key, mass=mass, day=round(day, 2) if used is None else None, sugar_used=used)
    return Step(
        due,
        day,
        brings,
        before + brings,
        _diluted(
            mass,
            say("This is an insurance. Give it only if the must ferments slowly by then, or smells of rotten eggs."),
        ),
    )


def _diluted(mass: float, why: Words) -> Words:
    """With how less than a scale shows is measured all the same."""
    how = measured_as(mass)
    return why if how is None else say(f"{why.template} {how.template}", *why.figures, *how.figures)


def _why(place: int, number: int, organic: bool) -> Words:
    if place == 0:
        return say("By then the yeast is awake and grows.")
    if place == number - 1:
        return say("This is the last feed that the yeast takes up.")
    return say("Feed in portions, while the yeast grows." if organic else "Feed in portions, or the must gets hot.")


def as_weighed(mass: float, at_most: bool = False) -> float:
    """A mass as a kitchen scale shows it.

    Parameters
    ----------
    mass : float
        [kg]
    at_most : bool
        Whether it must not become more. [-]

    Returns
    -------
    float
        In steps of 0.1 g up to 10 g, of 0.5 g up to 100 g, of 1 g up to 1 kg, then of 10 g. [kg]

    Examples
    --------
    >>> as_weighed(0.0043712), as_weighed(0.0338), as_weighed(0.0338, at_most=True), as_weighed(1.2345)
    (0.0044, 0.034, 0.0335, 1.23)
    """
    grams = mass * 1e3
    steps = 10.0 if grams < 10.0 else 2.0 if grams < 100.0 else 1.0 if grams < 1000.0 else 0.1
    whole = math.floor(grams * steps + 1e-9) if at_most else round(grams * steps)
    return whole / steps / 1e3


def _totals(
    rows: Sequence[Nutrient], steps: Sequence[Step], shares: Iterable[tuple[float, float, float]], room: float
) -> tuple[Total, ...]:
    """How much of each nutrient; `shares` tell its nitrogen with the least, the typical and the most that may be missing.

    Shares that one limit sets are the same but for the rounding of their sums, which other processors do otherwise.
    """
    totals = []
    for row, (least, typical, most) in zip(rows, shares, strict=True):
        mass = sum(step.feed.mass for step in steps if step.feed.key == row.key)
        if mass > 0.0:
            fewer, more = round(least / typical, 9), round(most / typical, 9)
            totals.append(Total(row.key, Span(mass * fewer, mass, mass * more), mass / room))
    return tuple(totals)
