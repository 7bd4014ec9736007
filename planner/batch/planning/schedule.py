"""What is done when: from thawing to the first open bottle, moved along by what really happened."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

import msgspec
import numpy as np

from planner.batch import words
from planner.batch.batch import Batch, Event, SugarReading, What
from planner.batch.ferment.verdict_kinds import STALLED
from planner.batch.moments import day_of, parsed
from planner.batch.outcome import Outcome
from planner.batch.recipe.preparation import THAW_DAYS, enzyme_hours, prepared
from planner.batch.words import Words, literal, say
from planner.reference.catalogue import Catalogue
from planner.reference.own_rows import shelf_with

LEES_DAYS = 7.0
"""From rest to the first racking: yeast has settled, and is not yet sour. [d] Common practice, no source: 5 to 14."""

CLEARING_DAYS = 42.0
"""From one racking to the next. [d] Common practice, no source: four to eight weeks."""

TASTING_DAYS = 30.0
"""Between tastings while it ages. [d] Common practice, no source."""

DOSING_DAYS = 14.0
"""From dosing to bottling, so that what was stirred in settles and shows whether it stays still. [d] Common practice, no
source."""

LAST_RACKING_DAYS = 30.0
"""From the last racking to dosing. [d] Common practice, no source: until it falls clear."""

RESTING_DAYS = 60.0
"""In the bottle before the first is opened. [d] Common practice, no source: two months at least."""

STIR_UNTIL = 1.0 / 3.0
"""Share of the sugar until which stirring in air helps the yeast. [-] Common practice, no source."""

STEPS = (
    "thaw", "enzyme", "soak", "press", "pitch", "stir", "third", "off-fruit", "restart", "rest", "sugar-test", "racking",
    "tasting", "dose", "bottle", "open",
)  # fmt: skip
"""Kinds of tasks, beside "feed"; part of the identity that a calendar keeps, so that none is ever renamed."""


class Task(msgspec.Struct, frozen=True):
    """Something to do.

    Attributes
    ----------
    key : str
        What it is, the same in each schedule of the batch: "press", "feed-0", "racking-1".
    title, text : Words
        What to do, and how.
    day : float
        Days since pitching; before it negative. [d]
    until : float or None
        For what goes on for days. [d]
    early : float
        The earliest it may fall due. [d]
    late : float
        The latest. [d]
    done : bool
        Whether the log says it was done; `day` is then when.
    """

    key: str
    title: Words
    text: Words
    day: float
    until: float | None
    early: float
    late: float
    done: bool


class Schedule(msgspec.Struct, frozen=True):
    """What is done when.

    Attributes
    ----------
    tasks : tuple of Task
        In the order of their days.
    pitched : datetime or None
        The moment from which days count: as logged, or else as planned; None if neither is known.
    is_planned : bool
        Whether that moment is still to come.
    """

    tasks: tuple[Task, ...]
    pitched: datetime | None
    is_planned: bool

    def moment(self, day: float) -> datetime | None:
        """The moment of a day [d]; None where pitching has no date."""
        return None if self.pitched is None else self.pitched + timedelta(days=day)


def schedule(outcome: Outcome, catalogue: Catalogue) -> Schedule:
    """The schedule of a batch.

    Parameters
    ----------
    outcome : Outcome
        What follows from the batch: its finish gives the days, its log what was done already. [as its fields]
    catalogue : Catalogue
        The shelf, holding every key of the batch. [-]

    Returns
    -------
    Schedule
        Empty where there is nothing to ferment. [as its fields]
    """
    batch = outcome.batch
    catalogue = shelf_with(catalogue, batch.own)
    logged = parsed(batch.log.pitched_at) if batch.log.pitched_at else None
    planned = parsed(batch.recipe.pitch_planned) if batch.recipe.pitch_planned else None
    tasks: list[Task] = []
    if outcome.finish is not None and outcome.curve is not None:
        tasks = [*_before(batch, catalogue), *_fermenting(outcome, catalogue), *_after(outcome)]
    return Schedule(tuple(sorted(tasks, key=lambda task: task.day)), logged or planned, logged is None)


def days_to_bottle(rest: float) -> float:
    """From pitching to bottling for a ferment that rests on a day, with two rackings. [d]

    Parameters
    ----------
    rest : float
        Day on which it comes to rest. [d]

    Examples
    --------
    >>> days_to_bottle(30.0)
    123.0
    """
    return rest + LEES_DAYS + CLEARING_DAYS + LAST_RACKING_DAYS + DOSING_DAYS


def _task(key: str, title: Words, text: Words, day: float, **more: object) -> Task:
    given: dict[str, object] = {"until": None, "early": day, "late": day, "done": False} | more
    return Task(key, title, text, day, **given)  # type: ignore[arg-type]


def _before(batch: Batch, catalogue: Catalogue) -> Iterator[Task]:
    """The days before pitching, counted backwards from it."""
    how, made = batch.recipe.preparation, prepared(batch, catalogue)
    done = batch.log.pitched_at is not None
    if made.fruit <= 0.0:
        return
    soaked = 0.0 if how.whole else how.soak
    start = -soaked - (enzyme_hours(285.15) / 24.0 if how.enzyme and soaked < 1.0 else 0.0)
    if how.frozen:
        yield _task("thaw", say("Thaw {} of fruit", words.mass(made.fruit)),
                    say("In covered buckets in the cool; catch every drop of juice."), start - THAW_DAYS["cool"], done=done)  # fmt: skip
    if how.enzyme:
        total = sum(dose.mass for dose in made.enzyme)
        yield _task(
            "enzyme",
            say("Stir in pectic enzyme"),
            say(f"About {total * 1e3:.1g} g of a concentrated powder; the packet's own dose goes before. Give it about {{}} hours at {{}}.",
                words.count(enzyme_hours(285.15)), words.temperature(285.15)),
            start,
            done=done,
        )  # fmt: skip
    if soaked > 0.0:
        yield _task("soak", say("Cold soak: stir once a day"), say("Below {}, covered.", words.temperature(281.15)),
                    start, until=0.0, done=done)  # fmt: skip
    if not how.whole:
        loads = made.loads
        text = say("Free run first, about {}; the press adds about {}. Do not crush stones.", words.mass(made.free_run),
                   words.mass(made.pressings))  # fmt: skip
        if loads is not None:
            text = say(text.template + " About {} loads of this press.", *text.figures, words.count(loads.number))
        yield _task("press", say("Press"), text, 0.0, done=done)


def _fermenting(outcome: Outcome, catalogue: Catalogue) -> Iterator[Task]:
    batch, curve, finish = outcome.batch, outcome.curve, outcome.finish
    assert curve is not None
    assert finish is not None
    recipe = batch.recipe
    must = say("Starting gravity should be near {}. Note the reading and the moment.", words.gravity(outcome.must.gravity.typical)) if outcome.must else say("Note the starting gravity.")  # fmt: skip
    yield _task("pitch", say("Pitch {} of yeast", words.mass(recipe.yeast.pitch)), must, 0.0,
                done=batch.log.pitched_at is not None)  # fmt: skip
    fed = _logged(batch, What.FEED)
    for place, moment in enumerate(curve.feeds):
        feed = recipe.feeds[moment.feed] if moment.feed < len(recipe.feeds) else None
        if feed is None:
            continue
        given = place < len(fed)
        yield _task(
            f"feed-{moment.feed}",
            say("Feed {}", words.mass(feed.mass)),
            say(f"{literal(catalogue.nutrient(feed.key).name)}, stirred up in a little must: it foams."),
            fed[place] if given else moment.day,
            done=given,
        )
    third = curve.third_day
    if third is not None:
        yield _task("stir", say("Stir twice a day"), say("Air and stirring help until a third of the sugar is used; keep air out after."),
                    0.5, until=third)  # fmt: skip
        yield _task("third", say("Check: a third of the sugar used?"),
                    say("Read the gravity. From here on no more feeds, and no more air."), third)  # fmt: skip
    if recipe.preparation.whole:
        yield _task("off-fruit", say("Take it off the fruit and press"),
                    say("Drain, press gently, and top up. Longer on stones is not wise."), recipe.preparation.on_fruit)  # fmt: skip


def _after(outcome: Outcome) -> Iterator[Task]:
    batch, finish = outcome.batch, outcome.finish
    assert finish is not None
    rest, early, late = finish.day.typical, finish.day.low, finish.day.high
    rested = _day_at_rest(outcome)
    if outcome.verdict is not None and outcome.verdict.kind == STALLED:
        # It stands still, but is not done: what is left of the course begins with what gets it going.
        rested, last = None, max(day for day, _ in _gravities(outcome))
        spent = last - _day_as_planned(outcome)
        rest, early, late = rest + spent, max(early + spent, last), late + spent
        yield _task("restart", say("Get it going again"), outcome.verdict.steps[0], last)
    if rested is not None:
        rest = early = late = rested
    yield _task("rest", say("Should be at rest"), say("Two readings four days apart that agree; expected near {}.",
                words.gravity(finish.gravity.typical)), rest, early=early, late=late, done=rested is not None)  # fmt: skip
    tested = _tested_after(batch, rest)
    when = (rest + 1.0, early + 1.0, late + 1.0) if tested is None else (tested, tested, tested)
    yield _task("sugar-test", say("Test for residual sugar"), say("Gravity alone cannot tell finished from stalled."),
                when[0], early=when[1], late=when[2], done=tested is not None)  # fmt: skip
    racked = _logged(batch, What.RACKING)
    day, slack = rest + LEES_DAYS, (early - rest, late - rest)
    for number in range(batch.recipe.losses.rackings):
        if number < len(racked):
            day, slack = racked[number], (0.0, 0.0)
        yield _task(
            f"racking-{number}",
            say("Rack off the lees") if number == 0 else say("Rack again"),
            say("Into a vessel that it fills to the neck; a sample for the log."),
            day, early=day + slack[0], late=day + slack[1], done=number < len(racked),
        )  # fmt: skip
        last, day = day, day + CLEARING_DAYS
    yield from _bottling(batch, last, slack)


def _bottling(batch: Batch, racked: float, slack: tuple[float, float]) -> Iterator[Task]:
    dosed = _logged(batch, What.DOSE)
    dose = racked + LAST_RACKING_DAYS
    tasting = racked + 0.5 * LAST_RACKING_DAYS
    yield _task("tasting-0", say("Taste"), say("Sweet, sharp, body: note it, and try additions in a glass."), tasting,
                early=tasting + slack[0], late=tasting + slack[1])  # fmt: skip
    if dosed:
        dose, slack = dosed[-1], (0.0, 0.0)
    text = say("Sweetness and body as tried in the glass; weigh, stir, wait.")
    yield _task(
        "dose", say("Adjust the mead"), text, dose, early=dose + slack[0], late=dose + slack[1], done=bool(dosed)
    )
    bottle = dose + DOSING_DAYS
    yield _task("bottle", say("Bottle"), say("Only what is still: gravity unchanged since dosing, sugar test in hand."), bottle,
                early=bottle + slack[0], late=bottle + slack[1])  # fmt: skip
    first = bottle + TASTING_DAYS
    yield _task("tasting-1", say("Open one to see that it is still"), say("Chilled, over a basin. If it hisses, chill them all."),
                first, early=first + slack[0], late=first + slack[1])  # fmt: skip
    opened = bottle + RESTING_DAYS
    yield _task("open", say("First open bottle"), say("Write down what you taste."), opened,
                early=opened + slack[0], late=opened + slack[1])  # fmt: skip


def _logged(batch: Batch, what: What) -> list[float]:
    """Days on which something was done, by the log. [d]"""
    days = [
        day_of(entry.at, entry.day, batch.log.pitched_at)
        for entry in batch.log.readings
        if isinstance(entry, Event) and entry.what == what and not entry.excluded
    ]
    return sorted(day for day in days if day is not None)


def _day_at_rest(outcome: Outcome) -> float | None:
    """The first day of the readings that agree at the end of the log; None while it moves. [d]"""
    from planner.batch.headline import REST_FALL, at_rest

    if not at_rest(outcome.log):
        return None
    rows = _gravities(outcome)
    first, last = rows[-1]
    for day, gravity in reversed(rows):
        if abs(gravity - last) > REST_FALL:
            break
        first = day
    return first


def _gravities(outcome: Outcome) -> list[tuple[float, float]]:
    """Days and gravities that a hydrometer read, by time. [d], [-]"""
    return sorted((row.day or 0.0, row.gravity) for row in outcome.log if row.counts and row.kind == "hydrometer")


def _day_as_planned(outcome: Outcome) -> float:
    """The day on which the last gravity read was expected. [d]"""
    assert outcome.curve is not None
    return float(np.interp(-_gravities(outcome)[-1][1], -outcome.curve.gravity, outcome.curve.days))


def _tested_after(batch: Batch, rest: float) -> float | None:
    """The day of the first sugar test since it came to rest, by the log; None without one. [d]"""
    days = (
        day_of(entry.at, entry.day, batch.log.pitched_at)
        for entry in batch.log.readings
        if isinstance(entry, SugarReading) and not entry.excluded
    )
    return min((day for day in days if day is not None and day >= rest), default=None)
