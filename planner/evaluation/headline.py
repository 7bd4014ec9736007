"""One sentence on how the batch stands, the stage it is in, and what comes next."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

import msgspec
import numpy as np

from planner.adjusting.adjustment_headline import adjusting_words, bottled_words
from planner.adjusting.mead import Mead
from planner.adjusting.stabilisation import logged_as_kept, logged_as_stabilised
from planner.document.batch import Batch, What
from planner.document.bottled import RESTING_DAYS, TASTING_DAYS, Bottled, bottled, opened
from planner.document.timestamps import SECONDS_PER_DAY, parsed
from planner.reference.catalogue import Catalogue
from planner.timeline.actual_recipe import replaced_feeds
from planner.timeline.readings import Logged, columns_of
from planner.timeline.results import Curve, FinishOutcome
from planner.timeline.verdict import Verdict
from planner.timeline.verdict_rule import FINISHED, ON_COURSE, SEEN_AT_REST, STALLED, TEST
from planner.wording import phrases
from planner.wording.phrases import Words, in_a_sentence, say

STAGES = ("plan", "ferment", "rest", "adjust", "bottled")
"""Stages in order: planned; pitched and moving; at rest; being adjusted; in the bottle."""

REST_FALL = 0.0015
"""Fall over `REST_DAYS` up to which a ferment is at rest. [-] One line of a hydrometer, and the rounding of two."""

REST_DAYS = SEEN_AT_REST
"""Days between two readings that must agree before a ferment rests. [d]"""

SAME_HOUR = 1.0 / 24.0
"""Feeds no further apart than this are one. [d]"""

NEXT_TO_NOTHING = 1e-3
"""Fruit or honey of which no must is made. [kg]"""


class Headline(msgspec.Struct, frozen=True):
    """How a batch stands.

    Attributes
    ----------
    stage : str
        One of `STAGES`.
    sentence, next : Words
        How it stands, and what comes next.
    """

    stage: str
    sentence: Words
    next: Words


PENDING = Headline("plan", say("Being worked out …"), say(""))
"""Until the first answer to a batch is there."""


def of_stage(batch: Batch, rows: tuple[Logged, ...]) -> Headline:
    """The stage alone, without a word, as far as it is known before a log is weighed."""
    if bottled(batch) is not None:
        return Headline("bottled", say(""), say(""))
    if batch.adjustment.gravity is not None:
        return Headline("adjust", say(""), say(""))
    begun = batch.log.pitched_at is not None or bool(_by_day(rows))
    return Headline("ferment" if begun else "plan", say(""), say(""))


def headline(
    batch: Batch,
    finish: FinishOutcome | None,
    curve: Curve | None,
    rows: tuple[Logged, ...],
    today: datetime | None,
    verdict: Verdict | None = None,
    mead: Mead | None = None,
    catalogue: Catalogue | None = None,
    names: Mapping[str, str] | None = None,
) -> Headline:
    """How a batch stands.

    Parameters
    ----------
    finish : FinishOutcome or None
        Where it should come to rest. [as its fields]
    verdict : Verdict or None
        What the ensemble makes of the log; without one, nothing is said of how it ferments. [-]
    mead : Mead or None
        Before and after its additions; without one, nothing is said of them. [as its fields]

    Returns
    -------
    Headline
        In plain words.
    """
    if finish is None or curve is None:
        masses = [fruit.mass for fruit in batch.recipe.fruits] + [honey.mass for honey in batch.recipe.honeys]
        if max(masses, default=0.0) > NEXT_TO_NOTHING:
            return Headline(
                "plan",
                say("This recipe cannot be worked out yet."),
                say("Read the remarks in the recipe, and change what they name."),
            )
        return Headline("plan", say("Nothing to ferment yet."), say("Enter fruit and honey in the recipe."))
    end = bottled(batch)
    if end is not None:
        danger = None if mead is None or catalogue is None else bottled_words(batch, mead, catalogue)
        return _bottled(batch, end, today) if danger is None else Headline("bottled", *danger)
    counted = _by_day(rows)
    if mead is not None and catalogue is not None and _is_adjusted(batch, rows, verdict, mead):
        return Headline("adjust", *adjusting_words(batch, mead, catalogue))
    if not counted:
        return _planned(batch, finish, curve, today, catalogue)
    if verdict is not None:
        resting = verdict.kind in (STALLED, FINISHED, TEST)
        coming = verdict.steps if verdict.kind == ON_COURSE else verdict.steps[:1]
        told = say(" ".join(words.template for words in coming), *(one for words in coming for one in words.figures))
        return Headline("rest" if resting else "ferment", verdict.sentence, told)
    return _begun(batch, finish, curve, *counted[-1], names)


def _by_day(rows: tuple[Logged, ...], kind: str | None = None) -> list[tuple[float, Logged]]:
    log = columns_of(rows)
    chosen = np.flatnonzero(log.counts if kind is None else log.counts & (log.kind == kind))
    order = chosen[np.argsort(log.day[chosen], kind="stable")]
    return [(day, rows[place]) for day, place in zip(log.day[order].tolist(), order.tolist(), strict=True)]


def _is_adjusted(batch: Batch, rows: tuple[Logged, ...], verdict: Verdict | None, mead: Mead) -> bool:
    """Whether it is the adjustment that counts by now.

    Additions alone are a plan until the log says that it has finished. A gravity measured of the finished mead says so
    itself, as do doses that were stirred into what rests, but against a stall only if it lies below it; a stall is behind
    once the log says that it was stabilised.
    """
    adjustment = batch.adjustment
    if not adjustment.additions and adjustment.gravity is None and not mead.given:
        return False
    kind = None if verdict is None else verdict.kind
    if kind != STALLED:
        return adjustment.gravity is not None or kind == FINISHED or (bool(mead.given) and kind == TEST)
    last = _by_day(rows, "hydrometer")
    moved = adjustment.gravity is not None and bool(last) and adjustment.gravity < last[-1][1].gravity - REST_FALL
    return moved or logged_as_stabilised(batch) or (adjustment.stabilised and logged_as_kept(batch))


def _bottled(batch: Batch, end: Bottled, today: datetime | None) -> Headline:
    when, figures = ("", []) if end.day is None else (" on day {}", [phrases.day(end.day)])
    what = ""
    if end.number is not None:
        what = ": one bottle" if end.number == 1 else ": {} bottles"
        figures += [] if end.number == 1 else [phrases.count(end.number)]
        what += "" if end.size is None else " of {}"
        figures += [] if end.size is None else [phrases.volume(end.size)]
    sentence = say(f"Bottled{when}{what}.", *figures)
    age = -1.0 if today is None or end.moment is None else (today - end.moment).total_seconds() / SECONDS_PER_DAY
    ages = opened(batch)
    if ages and age < ages[-1] + TASTING_DAYS:
        return Headline("bottled", sentence,
                        say("You opened one after {} days. Open another {} days later, and note what you taste.",
                            phrases.day(ages[-1]), phrases.day(TASTING_DAYS)))  # fmt: skip
    if age >= RESTING_DAYS:
        return Headline(
            "bottled",
            sentence,
            say("It has been {} days in the bottle. Open one, and note what you taste.", phrases.day(age)),
        )
    if age >= TASTING_DAYS:
        return Headline("bottled", sentence,
                        say("Keep it in the bottle for {} days before you pour the first.", phrases.day(RESTING_DAYS)))  # fmt: skip
    return Headline("bottled", sentence,
                    say("After {} days open one, chilled and over a basin, to see that it is stable.", phrases.day(TASTING_DAYS)))  # fmt: skip


def _planned(
    batch: Batch, finish: FinishOutcome, curve: Curve, today: datetime | None, catalogue: Catalogue | None
) -> Headline:
    foreseen = _foreseen(finish)
    ill_placed = None if catalogue is None else _outside_its_range(batch, curve, catalogue)
    if ill_placed is not None:
        sentence = say(
            ill_placed.template + " If it goes on, it reaches {} in {} to {} days.", *ill_placed.figures, *foreseen
        )
    else:
        rest = phrases.gravity(finish.gravity.typical)
        sentence = say("It should reach {} in {} to {} days and stop near {}.", *foreseen, rest)
    pitched = parsed(batch.log.pitched_at) if batch.log.pitched_at else None
    if pitched is None and ill_placed is not None:
        return Headline("plan", sentence, say("Plan another temperature, or a yeast for this one."))
    if pitched is None:
        return Headline("plan", sentence, say("Pitch the yeast, then enter the day and the starting gravity."))
    elapsed = (today - pitched).total_seconds() / SECONDS_PER_DAY if today is not None else -1.0
    if elapsed >= 1.0:
        return Headline("ferment", sentence, say("Pitched {} days ago: take a gravity reading.", phrases.day(elapsed)))
    return Headline("ferment", sentence, say("Take the starting gravity."))


def _outside_its_range(batch: Batch, curve: Curve, catalogue: Catalogue) -> Words | None:
    """That the yeast begins its work in a cold or a warmth that it does not like; later it may be chilled on purpose."""
    yeast = catalogue.yeasts.get(batch.recipe.yeast.key)
    steps = sorted((step.day, step.temperature) for step in batch.recipe.temperatures)
    working = [kelvin for day, kelvin in steps[:1] + [step for step in steps[1:] if step[0] < (curve.third_day or 0.0)]]
    if yeast is None or not working:
        return None
    told = (phrases.temperature(yeast.t_low), phrases.temperature(yeast.t_high))
    if min(working) < yeast.t_low:
        return say("{} is below this yeast's range, {} to {}. It starts late, works slowly and may stop.",
                   phrases.temperature(min(working)), *told)  # fmt: skip
    if max(working) > yeast.t_high:
        return say("{} is above this yeast's range, {} to {}. It may stop early.", phrases.temperature(max(working)), *told)  # fmt: skip
    return None


def _begun(
    batch: Batch, finish: FinishOutcome, curve: Curve, day: float, last: Logged, names: Mapping[str, str] | None
) -> Headline:
    """Where no reading tells yet how it ferments, as with that at the pitch alone: what is expected."""
    return Headline(
        "ferment",
        say("Day {}: {}. It should reach {} in {} to {} days and stop near {}.", phrases.day(day), phrases.gravity(last.gravity),
            *_foreseen(finish), phrases.gravity(finish.gravity.typical)),
        next_feed(batch, curve, day, names)
        or say("Read again in two or three days; it should stop about day {}.", phrases.day(finish.day.typical)),
    )  # fmt: skip


def _foreseen(finish: FinishOutcome) -> tuple[phrases.Figure, ...]:
    """Alcohol at rest, and the days until then."""
    return (phrases.alcohol(finish.alcohol.typical), phrases.day(finish.day.low), phrases.day(finish.day.high))


def next_feed(batch: Batch, curve: Curve, day: float, names: Mapping[str, str] | None = None) -> Words | None:
    """What is fed or added next after a day, in words: all that falls due in the same hour.

    Parameters
    ----------
    day : float
        From then on. [d]
    names : mapping of str to str or None
        What nutrients are called, by key; their keys where it is not told. [-]

    Returns
    -------
    Words or None
        None if none does. [as its fields]
    """
    recipe = batch.recipe
    coming = [
        (moment.day, word, lines[moment.feed])
        for word, what, moments, lines in (
            ("Feed", What.FEED, curve.feeds, recipe.feeds),
            ("Add", What.ADDED, curve.step_feeds, recipe.step_feeds),
        )
        for moment in moments
        if moment.day > day
        and moment.feed < len(lines)
        and lines[moment.feed].mass > 0.0
        and moment.feed not in replaced_feeds(batch, what).values()
    ]
    if not coming:
        return None
    first = min(when for when, _, _ in coming)
    together: dict[tuple[str, str], float] = {}
    for when, word, line in coming:
        if when - first < SAME_HOUR:
            together[word, line.key] = together.get((word, line.key), 0.0) + line.mass
    words = " and ".join(dict.fromkeys(word for word, _ in together)).capitalize()
    parts = "; ".join(f"{{}} {in_a_sentence((names or {}).get(key, key))}" for _, key in together)
    return say(
        f"{words} about day {{}}: {parts}.", phrases.day(first), *(phrases.mass(mass) for mass in together.values())
    )
