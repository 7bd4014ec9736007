"""A plan of feeds: what nitrogen the must lacks, in which portions it is given, until when, and what keeps it in bounds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import NamedTuple

import numpy as np

from planner.batch import words
from planner.batch.batch import Batch, Feed
from planner.batch.ferment.given import feeds_given
from planner.batch.ferment.readings import Logged
from planner.batch.moments import day_of
from planner.batch.recipe.rules import LeftOut, nutrient_objections
from planner.batch.results import Curve, MustOutcome
from planner.batch.words import Words, say
from planner.model.span import Span
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Nutrient

LAST_SHARE = 1.0 / 3.0
"""Share of the sugar after which no more is given. [-] Nitrogen is taken up in the first third of a ferment, whatever there
is of it (density down by 30 points; a trade article and a lecture of 2014, two places)."""

LAST_ALCOHOL = 0.09
"""Alcohol by volume after which no more is given. [-] Common practice, no source: it hinders the uptake; 9 to 10 % vol."""

FIRST_DAY = 1.0
"""Earliest day of a feed. [d] Common practice, no source: once the yeast is awake, and never into the water that wakes it."""

AWAKE = 0.02
"""Share of the sugar whose use shows that the yeast is awake. [-] Estimate."""

THREE_FROM, TWO_FROM = 2.0, 0.75
"""Days between the first and the last feed from which there are three of them, or two. [d] In portions, because one large
dose of ammonium makes the must hot (one source); how many is common practice, no source."""

FRESH = 1.5
"""Days for which a reading tells how much of the sugar is used. [d] Estimate."""

ENOUGH = 0.05
"""Share of the need that may be missing without a word. [-] Less than what any of the figures is known to."""


class Step(NamedTuple):
    """One feed of a plan.

    Attributes
    ----------
    feed : Feed
        What is given, how much [kg] and when it is due.
    day : float
        When that should be. [d]
    nitrogen : float
        What it brings. [kg/m^3]
    reaches : float
        What must and feeds have brought with it, all together. [kg/m^3]
    why : Words
        Why then.
    """

    feed: Feed
    day: float
    nitrogen: float
    reaches: float
    why: Words


class Total(NamedTuple):
    """How much of one nutrient a plan takes.

    Attributes
    ----------
    key : str
        The nutrient.
    mass : Span
        From what the must may at least lack to what it may at most. [kg]
    dose : float
        Per volume of must. [kg/m^3]
    """

    key: str
    mass: Span
    dose: float


class Ceiling(NamedTuple):
    """How near a plan comes to the law's limit for ammonium phosphate.

    Attributes
    ----------
    dose : float
        Ammonium phosphate, or what brings as much nitrogen, with what was given already. [kg/m^3]
    limit : float
        What the law allows. [kg/m^3]
    note : str
        Which law.
    binds : bool
        Whether the plan would give more without it.
    """

    dose: float
    limit: float
    note: str
    binds: bool


@dataclass(frozen=True, slots=True)
class FeedingPlan:
    """A proposal: nothing of it is done before the user takes it.

    Attributes
    ----------
    need, has, lack : Span
        Nitrogen that this yeast wants for the sugar, what the must brings, and what is missing beside what was fed already.
        [kg/m^3]
    given : float
        Nitrogen fed already, by the log. [kg/m^3]
    steps : tuple of Step
        In the order of their days; empty where no feed is needed, or none would be of use.
    totals : tuple of Total
        One for each nutrient that is used.
    ceiling : Ceiling or None
        None where nothing with ammonium is given.
    short : float
        What stays missing because a limit binds. [kg/m^3]
    last_day : float or None
        Day after which nothing is given; None if the ferment never gets there. [d]
    refused : tuple of LeftOut
        Nutrients that house rules keep out.
    summary : tuple of Words
        The reasons in sentences.
    feeds : tuple of Feed
        What the recipe's feeds become when the plan is taken: what was given, and the steps.
    """

    need: Span
    has: Span
    lack: Span
    given: float
    steps: tuple[Step, ...]
    totals: tuple[Total, ...]
    ceiling: Ceiling | None
    short: float
    last_day: float | None
    refused: tuple[LeftOut, ...]
    summary: tuple[Words, ...]
    feeds: tuple[Feed, ...]


def day_now(batch: Batch, today: datetime | None) -> float:
    """Days since pitching that have passed: by the clock, or as far as the log goes.

    Parameters
    ----------
    batch : Batch
        With its log. [as its fields]
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
    catalogue : Catalogue
        The shelf. [-]

    Returns
    -------
    tuple of str
        Otherwise an organic one and one with ammonium, as far as the house rules allow.
    """
    rows, rules = catalogue.nutrients, batch.recipe.rules
    allowed = [key for key, row in rows.items() if not nutrient_objections(rules, row)]
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
) -> FeedingPlan:
    """Propose feeds.

    Parameters
    ----------
    batch : Batch
        Its yeast, house rules and log. [as its fields]
    catalogue : Catalogue
        The shelf, holding every key of the batch and all of `keys`. [-]
    must : MustOutcome
        The must. [as its fields]
    curve : Curve
        The course to be expected, with the feeds that are planned now. [as its fields]
    keys : iterable of str
        Nutrients to use: organic ones are given first, those with ammonium last, half of the nitrogen each.
    now : float
        Days since pitching; nothing is proposed for the past. [d]
    log : sequence of Logged
        The readings: where a fresh one tells how much sugar is left, it counts before the expected course. [as their fields]

    Returns
    -------
    FeedingPlan
        In portions until a third of the sugar is used, within the law's limit. [as its fields]
    """
    need = must.sugar.scaled(catalogue.yeast(batch.recipe.yeast.key).demand)
    fed = [(feed, catalogue.nutrient(feed.key)) for feed in _given(batch)]
    room = must.volume.typical
    given = sum(feed.mass * row.nitrogen.typical for feed, row in fed) / room
    lack = _lack(need, must.nitrogen, given)
    rows, refused = _offered(batch, catalogue, keys)
    last_day = _last_day(curve)
    moments = _moments(curve, last_day, now, _used(curve, log, now))
    wanted = lack.typical if lack.typical > ENOUGH * need.typical and moments else 0.0
    limit = _limit(catalogue)
    left = None if limit is None else max(limit.nitrogen - _with_ammonium(fed) / room, 0.0)
    shares = _shares(rows, wanted, left)
    binds = sum(shares) < wanted and any(not row.organic for row in rows)
    steps = _steps(rows, shares, moments, must.nitrogen.typical + given, room, binds)
    short = wanted - sum(step.nitrogen for step in steps) if wanted else 0.0
    totals = _totals(rows, steps, lack, room)
    ceiling = _ceiling(limit, rows, steps, fed, room, binds)
    plan = FeedingPlan(
        need=need,
        has=must.nitrogen,
        lack=lack,
        given=given,
        steps=steps,
        totals=totals,
        ceiling=ceiling,
        short=max(short, 0.0) if short > ENOUGH * need.typical else 0.0,
        last_day=last_day,
        refused=refused,
        summary=(),
        feeds=(*(feed for feed, _ in fed), *(step.feed for step in steps)),
    )
    return replace(plan, summary=tuple(_sentences(plan, bool(rows), bool(moments))))


def _given(batch: Batch) -> list[Feed]:
    """What the log says was fed, as lines of a recipe."""
    return [
        Feed(key=event.key or "", mass=event.mass or 0.0, day=min(max(day, 0.0), 3660.0))
        for _, event, day in feeds_given(batch)
    ]


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
        elif row.nitrogen.typical > 0.0:
            kept.append(row)
    return sorted(kept, key=lambda row: not row.organic), tuple(out)


def _last_day(curve: Curve) -> float | None:
    """The day on which a third of the sugar is used, or alcohol stops the uptake, if that is before."""
    strong = np.flatnonzero(curve.alcohol >= LAST_ALCOHOL)
    days = [] if curve.third_day is None else [curve.third_day]
    if strong.size:
        days.append(float(curve.days[strong[0]]))
    return min(days, default=None)


def _used(curve: Curve, log: Sequence[Logged], now: float) -> float | None:
    """Share of the sugar that the last reading shows as used, if it is fresh. [-]"""
    told = [(row.day, row.sugar) for row in log if row.counts and row.day is not None and np.isfinite(row.sugar)]
    day, sugar = max(told, default=(0.0, 0.0))
    return 1.0 - sugar / float(curve.sugar[0]) if told and now - day <= FRESH else None


def _moments(curve: Curve, last: float | None, now: float, measured: float | None) -> list[tuple[float, bool]]:
    """Days of the feeds, and whether each is the one at a third of the sugar. [d]"""
    if measured is not None and measured >= LAST_SHARE:
        return []
    used = 1.0 - curve.sugar / curve.sugar[0]
    begun = np.flatnonzero(used >= AWAKE)
    awake = math.ceil(2.0 * float(curve.days[begun[0]])) / 2.0 if begun.size else FIRST_DAY
    first = max(FIRST_DAY, awake, now)
    if last is None:
        return [(first, False), (first + 1.0, False)]
    if now >= last:
        return [] if measured is None else [(now, False)]
    at_third = curve.third_day is not None and last == curve.third_day
    if last - first >= THREE_FROM:
        return [(first, False), (round(first + last) / 2.0, False), (last, at_third)]
    if last - first >= TWO_FROM:
        return [(first, False), (last, at_third)]
    return [(min(first, max(last, now)), False)]


class _Limit(NamedTuple):
    """The strictest limit of the shelf for ammonium salts, as nitrogen and as salt. [kg/m^3]"""

    nitrogen: float
    salt: float
    note: str


def _limit(catalogue: Catalogue) -> _Limit | None:
    limits = [
        _Limit(row.ceiling * row.nitrogen.typical, row.ceiling, row.ceiling_note)
        for row in catalogue.nutrients.values()
        if row.ceiling is not None and not row.organic
    ]
    return min(limits, default=None)


def _with_ammonium(fed: Iterable[tuple[Feed, Nutrient]]) -> float:
    """Nitrogen that counts towards the limit: all of whatever holds ammonium, as blends do not tell their parts. [kg]"""
    return sum(feed.mass * row.nitrogen.typical for feed, row in fed if not row.organic)


def _shares(rows: Sequence[Nutrient], wanted: float, left: float | None) -> list[float]:
    """Nitrogen that each nutrient brings: half from organic ones, unless the law allows less from the others. [kg/m^3]"""
    slow = sum(row.organic for row in rows)
    fast = len(rows) - slow
    from_fast = wanted * (0.5 if slow else 1.0) if fast else 0.0
    if left is not None:
        from_fast = min(from_fast, left)
    from_slow = wanted - from_fast if slow else 0.0
    return [from_slow / slow if row.organic else from_fast / fast for row in rows]


def _weights(number: int, organic: bool, mixed: bool) -> list[float]:
    """Part of a nutrient's nitrogen in each portion: slow food first and fast food last where there are both."""
    if not mixed or number == 1:
        return [1.0 / number] * number
    rising = [place / (number - 1) for place in range(number)]
    weights = rising[::-1] if organic else rising
    return [weight / sum(weights) for weight in weights]


def _steps(
    rows: Sequence[Nutrient],
    shares: Sequence[float],
    moments: list[tuple[float, bool]],
    before: float,
    room: float,
    at_most: bool,
) -> tuple[Step, ...]:
    mixed = len({row.organic for row in rows}) == 2
    found: list[Step] = []
    reached = before
    for place, (day, at_third) in enumerate(moments):
        for row, share in zip(rows, shares, strict=True):
            part = share * _weights(len(moments), row.organic, mixed)[place]
            mass = as_weighed(part * room / row.nitrogen.typical, at_most and not row.organic)
            if mass <= 0.0:
                continue
            brings = mass * row.nitrogen.typical / room
            reached += brings
            when = {"sugar_used": LAST_SHARE} if at_third else {"day": round(day, 2)}
            found.append(Step(Feed(key=row.key, mass=mass, **when), day, brings, reached, _why(place, len(moments))))
    return tuple(found)


def _why(place: int, number: int) -> Words:
    if place == 0:
        return say("The yeast is awake and grows.")
    if place == number - 1:
        return say("The last that it takes up.")
    return say("In portions, or the must gets hot.")


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


def _totals(rows: Sequence[Nutrient], steps: Sequence[Step], lack: Span, room: float) -> tuple[Total, ...]:
    totals = []
    for row in rows:
        mass = sum(step.feed.mass for step in steps if step.feed.key == row.key)
        if mass > 0.0:
            spread = Span(mass * lack.low / lack.typical, mass, mass * lack.high / lack.typical)
            totals.append(Total(row.key, spread, mass / room))
    return tuple(totals)


def _ceiling(
    limit: _Limit | None,
    rows: Sequence[Nutrient],
    steps: Sequence[Step],
    fed: Sequence[tuple[Feed, Nutrient]],
    room: float,
    binds: bool,
) -> Ceiling | None:
    by_key = {row.key: row for row in rows}
    every = [*fed, *((step.feed, by_key[step.feed.key]) for step in steps)]
    if limit is None or not (binds or any(not row.organic for _, row in every)):
        return None
    dose = _with_ammonium(every) / room * limit.salt / limit.nitrogen
    return Ceiling(dose, limit.salt, limit.note, binds)


def _sentences(plan: FeedingPlan, picked: bool, in_time: bool) -> list[Words]:
    need, has, lack = (words.trace(span.typical) for span in (plan.need, plan.has, plan.lack))
    known = say("This yeast wants about {} of nitrogen for so much sugar; the must brings about {}.", need, has)
    if plan.given > 0.0:
        known = say(known.template[:-1] + ", feeds so far {}.", *known.figures, words.trace(plan.given))
    if plan.lack.typical <= ENOUGH * plan.need.typical:
        told = [known, say("No feed is needed.")]
        if plan.lack.high > 0.2 * plan.need.typical:
            told.append(say("Nitrogen of fruit varies: at worst {} are missing. If it is slow by the second day, feed.",
                            words.trace(plan.lack.high)))  # fmt: skip
        return told
    missing = say("About {} are missing.", lack)
    if plan.lack.high - plan.lack.low > 0.1 * plan.need.typical:
        missing = say("About {} are missing: {} to {}, because fruit varies.", lack, words.trace(plan.lack.low),
                      words.trace(plan.lack.high))  # fmt: skip
    told = [known, missing]
    if not in_time:
        told.append(say("It is too late to feed: the yeast takes up no more once a third of the sugar is used. What is given "
                        "now feeds others."))  # fmt: skip
    elif not picked:
        told.append(say("Choose a nutrient that the house rules allow." if plan.refused else "Choose a nutrient."))
    elif plan.short > 0.0:
        told.append(say("About {} stay missing, because the law's limit binds. An organic nutrient has none.",
                        words.trace(plan.short)))  # fmt: skip
    return told
