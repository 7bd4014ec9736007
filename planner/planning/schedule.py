"""What is done when: from thawing to the first open bottle, moved along by what really happened."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from planner.adjusting.adjustment_headline import bottled_words, unstable
from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import CLOSE_BELOW, HANDLING, heating, together
from planner.adjusting.refermentation_risk import clears_below
from planner.adjusting.stabilisation import logged_as_kept
from planner.document.batch import Batch, What
from planner.document.bottled import RESTING_DAYS, TASTING_DAYS, bottled, opened
from planner.document.shelf import shelf_of
from planner.document.timestamps import SECONDS_PER_DAY, parsed
from planner.evaluation.headline import REST_DAYS, REST_FALL
from planner.evaluation.outcome import Outcome
from planner.planning.completed_steps import SALTS, days_of, tasted_since, tested_after
from planner.planning.feeding_tasks import feeds, step_feeds
from planner.planning.task import Schedule, Task, task
from planner.recipe.house_rules import SORBATES, SULPHITES
from planner.recipe.preparation import THAW_DAYS, enzyme_hours, prepared
from planner.reference.catalogue import Catalogue
from planner.timeline.current_gravity import present_gravity
from planner.timeline.posterior import Posterior
from planner.timeline.readings import columns_of
from planner.timeline.results import MustOutcome
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST
from planner.wording import phrases
from planner.wording.phrases import Words, in_a_sentence, say

LEES_DAYS = 7.0
"""From rest to the first racking: yeast has settled, and is not yet sour. [d] Common practice, no source: 5 to 14."""

CLEARING_DAYS = 42.0
"""From one racking to the next. [d] Common practice, no source: four to eight weeks."""

DOSING_DAYS = 14.0
"""From dosing to bottling, so that what was stirred in settles and shows whether it stays still. [d] Common practice, no
source."""

LAST_RACKING_DAYS = 30.0
"""From the last racking to dosing. [d] Common practice, no source: until it falls clear."""

SALTS_DAYS = 2.0
"""From the salts that keep yeast from working to what is sweet. [d] Common practice, no source: a day or more."""

WITH_THE_CHECK = 0.5
"""Feeds so soon after a third of the sugar belong before the check of it. [d] The same visit to the fermenter."""

SOAK_WARMTH, CELLAR_WARMTH = 281.15, 285.15
"""Warmest that a cold soak may be, and a cool room in which enzyme works without one. [K] As in `preparation`."""

AFTER_BOTTLING = ("tasting-1", "open")
"""Tasks that come with the bottles and after."""


def schedule(outcome: Outcome, catalogue: Catalogue, today: datetime | None = None) -> Schedule:
    """The schedule of a batch.

    Parameters
    ----------
    outcome : Outcome
        What follows from the batch: its finish gives the days, its log what was done already. [as its fields]
    today : datetime or None
        The present moment with its offset; None where nothing is to be said of what is past. [-]

    Returns
    -------
    Schedule
        Empty where there is nothing to ferment. [as its fields]
    """
    batch = outcome.batch
    catalogue = shelf_of(batch, catalogue)
    logged = parsed(batch.log.pitched_at) if batch.log.pitched_at else None
    planned = parsed(batch.recipe.pitch_planned) if batch.recipe.pitch_planned else None
    tasks: list[Task] = []
    if outcome.finish is not None and outcome.curve is not None:
        tasks = [*_before(batch, catalogue), *_must(batch, catalogue), *_fermenting(outcome, catalogue),
                 *_after(outcome, catalogue, _day_of(today, logged))]  # fmt: skip
    if bottled(batch) is not None:  # what was to come before it and was not recorded comes no more
        tasks = [task for task in tasks if task.done or task.key in AFTER_BOTTLING]
    return Schedule(tuple(sorted(tasks, key=lambda task: task.day)), logged or planned, logged is None, today)


def _day_of(today: datetime | None, pitched: datetime | None) -> float:
    """Days since pitching; long before it where either is unknown. [d]"""
    return -np.inf if today is None or pitched is None else (today - pitched).total_seconds() / SECONDS_PER_DAY


def earliest_pitching(plan: Schedule, now: datetime) -> datetime | None:
    """The earliest moment of pitching for which no step of the plan has passed; None where none has."""
    waiting = [task.day for task in plan.tasks if not task.done]
    if plan.pitched is None or not plan.is_planned or not waiting or min(waiting) >= 0.0:
        return None
    lead = timedelta(days=-min(waiting))
    return now + lead if (plan.pitched - lead).date() < now.astimezone(plan.pitched.tzinfo).date() else None


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


def _before(batch: Batch, catalogue: Catalogue) -> Iterator[Task]:
    """The days before pitching, counted backwards from it."""
    how, made = batch.recipe.preparation, prepared(batch, catalogue)
    done = batch.log.pitched_at is not None
    if made.fruit <= 0.0:
        return
    soaked = 0.0 if how.whole else how.soak
    in_soak = 24.0 * soaked >= enzyme_hours(SOAK_WARMTH)
    start = -soaked - (enzyme_hours(CELLAR_WARMTH) / 24.0 if how.enzyme and not in_soak else 0.0)
    if how.frozen:
        yield task("thaw", say("Thaw {} of fruit", phrases.mass(made.fruit)),
                    say("Use covered buckets in a cool place, and catch all of the juice."), start - THAW_DAYS["cool"], done=done)  # fmt: skip
    if how.enzyme:
        total, warmth = sum(dose.mass for dose in made.enzyme), SOAK_WARMTH if in_soak else CELLAR_WARMTH
        yield task(
            "enzyme",
            say("Stir in pectic enzyme"),
            say(f"Use about {total * 1000.0:.1g} g of a concentrated powder; follow the packet first. "
                + ("It works in the soak, within about {} hours at {}." if in_soak else "Give it about {} hours at {}."),
                phrases.count(enzyme_hours(warmth)), phrases.temperature(warmth)),
            start,
            done=done,
        )  # fmt: skip
    if soaked > 0.0:
        yield task("soak", say("Cold soak: stir once a day"), say("Keep it below {}, covered.", phrases.temperature(SOAK_WARMTH)),
                    -soaked, until=0.0, done=done)  # fmt: skip
    if not how.whole:
        loads = made.loads
        text = say("First drain about {}; the press adds about {}. Do not crush stones.", phrases.mass(made.free_run),
                   phrases.mass(made.pressings))  # fmt: skip
        if loads is not None:
            text = say(
                text.template + " This takes about {} loads of the press.", *text.figures, phrases.count(loads.number)
            )
        yield task("press", say("Press the fruit"), text, 0.0, done=done)


def _must(batch: Batch, catalogue: Catalogue) -> Iterator[Task]:
    """What goes into the must beside the fruit."""
    recipe, done = batch.recipe, batch.log.pitched_at is not None
    lines = [line for line in recipe.honeys if line.mass > 0.0]
    water = say("Stir until nothing lies at the bottom.")
    if recipe.water > 0.0:
        water = say("Stir with {} of water until nothing lies at the bottom.", phrases.mass(recipe.water))
    if lines:
        names = ", ".join(f"{{}} of {in_a_sentence(catalogue.honey(line.key).name)}" for line in lines)
        yield task("honey", say("Stir in {} of honey", phrases.mass(sum(line.mass for line in lines))),
                    say(f"{names}. Stand it in hand-warm water until it runs. {water.template}",
                        *(phrases.mass(line.mass) for line in lines), *water.figures), 0.0, done=done)  # fmt: skip
    elif recipe.water > 0.0:
        yield task(
            "honey",
            say("Pour in {} of water", phrases.mass(recipe.water)),
            say("Do this before the yeast."),
            0.0,
            done=done,
        )


def _fermenting(outcome: Outcome, catalogue: Catalogue) -> Iterator[Task]:
    batch, curve, finish = outcome.batch, outcome.curve, outcome.finish
    assert curve is not None
    assert finish is not None
    recipe = batch.recipe
    yield task("pitch", say("Pitch {} of yeast", phrases.mass(recipe.yeast.pitch)), _first_reading(outcome.must), 0.0,
                done=batch.log.pitched_at is not None)  # fmt: skip
    yield from feeds(outcome, catalogue)
    yield from step_feeds(outcome, catalogue)
    third = curve.third_day
    if third is not None:
        since = _read_on(outcome)
        since = since[since >= third]
        read = float(since.min()) if since.size else None
        stirred = len(days_of(batch, What.STIRRING))
        often = say("Air and stirring help until a third of the sugar is used; keep air out after.")
        if stirred:
            often = say(often.template + " The log says that it was stirred {} times.", phrases.count(stirred))
        yield task("stir", say("Stir twice a day"), often, min(1.0, third), until=third, records=What.STIRRING,
                    done=bool(stirred) and read is not None)  # fmt: skip
        coming = [moment.day for moment in curve.feeds if moment.feed < len(recipe.feeds) and moment.day >= third]
        checked = max((day for day in coming if day <= third + WITH_THE_CHECK), default=third)
        end = "no more air" if any(day > checked for day in coming) else "no more feeds, and no more air"
        yield task("third", say("Check whether a third of the sugar is used"), say(f"Read the gravity. From here on {end}."),
                    checked if read is None else read, done=read is not None)  # fmt: skip
    for place, step in enumerate(recipe.temperatures):
        if step.day > 0.0:
            where = "the room" if recipe.in_room else "it"
            yield task(f"temperature-{place}", say(f"Bring {where} to {{}}", phrases.temperature(step.temperature)),
                        say("Keep it there."), step.day)  # fmt: skip
    if recipe.preparation.whole:
        yield task("off-fruit", say("Take it off the fruit and press"),
                    say("Drain, press gently, and top up. Do not leave it on the stones for more than a few weeks."), recipe.preparation.on_fruit)  # fmt: skip


def _first_reading(must: MustOutcome | None) -> Words:
    """What the gravity at pitching should be."""
    if must is None:
        return say("Note the starting gravity.")
    first, whole = phrases.gravity(must.first.typical), phrases.gravity(must.gravity.typical)
    if must.first == must.gravity:
        return say("Starting gravity should be near {}. Note the reading and the moment.", first)
    return say("Gravity should be near {} at first, and would come to {} once the fruit has given its juice. Note the reading and "
               "the moment.", first, whole)  # fmt: skip


def _after(outcome: Outcome, catalogue: Catalogue, today: float) -> Iterator[Task]:
    batch, finish = outcome.batch, outcome.finish
    assert finish is not None
    ahead = outcome.posterior if outcome.posterior is not None and outcome.posterior.now is not None else None
    # The log's own forecast goes before the plan's, as everywhere.
    (early, rest, late), gravity = (
        (finish.day, finish.gravity) if ahead is None else (ahead.finish_day, ahead.finish_gravity)
    )
    rested, title = _day_at_rest(outcome), say("Check that it has stopped")
    if outcome.verdict is not None and outcome.verdict.kind == STALLED:
        # It stands still, but is not done: what is left of the course begins with what gets it going.
        assert ahead is not None
        rested, last = None, max(ahead.steps[-1].evidence.day, today)
        if rest < last + REST_DAYS:  # the forecast sees no restart: as much time as the plan had left
            left = max(finish.day.typical - _day_as_planned(outcome, ahead), REST_DAYS)
            rest, late, gravity = last + left, max(late, last + left), finish.gravity
        early, late = max(early, last), max(late, last)
        title = say("Check that it has stopped, if it gets going again")
        yield task("restart", say("Get it going again"), outcome.verdict.steps[0], last)
    if rested is not None:
        rest = early = late = rested
        title = say("It has stopped")
    yield task("rest", title, say("Take two readings {} days apart that agree; {} is expected.",
                phrases.day(REST_DAYS), phrases.gravity(gravity.typical)), rest, early=early, late=late, done=rested is not None)  # fmt: skip
    tested = tested_after(batch, rest)
    when = (rest + 1.0, early + 1.0, late + 1.0) if tested is None else (tested, tested, tested)
    if tested is None and outcome.verdict is not None and outcome.verdict.kind == TEST and ahead is not None:
        when = (ahead.steps[-1].evidence.day,) * 3  # it is asked for now
    yield task("sugar-test", say("Test for residual sugar"), say("Gravity alone cannot tell finished from stalled."),
                when[0], early=when[1], late=when[2], done=tested is not None)  # fmt: skip
    racked = days_of(batch, What.RACKING)
    day, slack = rest + LEES_DAYS, (early - rest, late - rest)
    for number in range(batch.recipe.losses.rackings):
        if number < len(racked):
            day, slack = racked[number], (0.0, 0.0)
        yield task(
            f"racking-{number}",
            say("Rack off the lees") if number == 0 else say("Rack again"),
            say("Use a vessel that it fills to the neck. Take a sample for the log."),
            day, early=day + slack[0], late=day + slack[1], done=number < len(racked), records=What.RACKING,
        )  # fmt: skip
        last, day = day, day + CLEARING_DAYS
    said = None if outcome.mead is None else bottled_words(batch, outcome.mead, catalogue)
    yield from _bottling(outcome, catalogue, last, slack, None if said is None else said[0])


def _stirred_in(batch: Batch, catalogue: Catalogue, salts: bool) -> Words | None:
    """What is planned to be stirred in, in words: the salts that keep yeast from working, or all else; None for nothing."""
    together = _by_salts(batch)
    lines = [
        line for line in batch.adjustment.additions if line.mass > 0.0 and (together and line.key in SALTS) == salts
    ]
    if not lines:
        return None
    names = ", ".join(f"{{}} of {in_a_sentence(catalogue.additive(line.key).name)}" for line in lines)
    return say(names, *(phrases.mass(line.mass) for line in lines))


def _by_salts(batch: Batch) -> bool:
    """Whether sulphite and sorbate together are to keep yeast from working; sulphite alone keeps air from the mead."""
    keys = {line.key for line in batch.adjustment.additions if line.mass > 0.0}
    return batch.adjustment.stabilising == "salts" or bool(keys & SULPHITES and keys & SORBATES)


def _bottling(
    outcome: Outcome, catalogue: Catalogue, racked: float, slack: tuple[float, float], danger: Words | None
) -> Iterator[Task]:
    batch = outcome.batch
    heated = batch.adjustment.stabilising == "heat"
    salted, dosed = (days_of(batch, What.DOSE, salts) for salts in (True, False))
    if not _by_salts(batch):
        dosed = sorted((*salted, *dosed))
    # What is sweet and alive is not left to stand: before heat it goes in on the day of bottling.
    dose = racked + LAST_RACKING_DAYS + (DOSING_DAYS if heated else 0.0)
    tasting = racked + 0.5 * LAST_RACKING_DAYS
    tasted = tasted_since(batch, racked + slack[0])
    yield _moved("tasting-0", say("Taste it"), say("Note sweetness, sharpness and body, and try additions in a glass."),
                 tasting if tasted is None else tasted, slack, tasted is not None)  # fmt: skip
    if _by_salts(batch):
        kept = days_of(batch, What.STABILISED) or (salted if logged_as_kept(batch) else [])
        amounts = _stirred_in(batch, catalogue, True) or say("Take doses by its pH, as in the adjustment")
        yield _moved("stabilise", say("Stabilise: sulphite, then sorbate"),
                     say(f"{amounts.template}. Do this only when the mead is clear, racked and no longer fermenting. Measure the pH first.", *amounts.figures),
                     kept[0] if kept else dose - SALTS_DAYS, slack, bool(kept))  # fmt: skip
    if dosed:
        dose, slack = dosed[-1], (0.0, 0.0)
    yield _moved("dose", say("Adjust the mead"), _dosing(batch, catalogue, heated), dose, slack, bool(dosed))
    bottle = dose + (0.0 if heated else DOSING_DAYS)
    end = bottled(batch)
    is_bottled = end is not None and end.day is not None
    if end is not None and end.day is not None:
        bottle, slack = end.day, (0.0, 0.0)
    if heated:
        kept = days_of(batch, What.STABILISED)
        yield _moved("pasteurise", say("Fill the bottles and pasteurise them, with the closures only laid on"),
                     together(say("Do this only with a mead that a sugar test showed to be dry before you sweetened it."), *heating()),
                     kept[-1] if kept else bottle, slack, bool(kept))  # fmt: skip
        text = say("Close the bottles when they have cooled to {}.", phrases.temperature(CLOSE_BELOW))
    else:
        when = "Bottle it only when the gravity has not moved since dosing. Degas it first. Ordinary bottles need "
        assert outcome.mead is not None
        clear = clears_below(outcome.mead)
        if clear is None:
            text = say(when + "a stabilised mead: no test clears the sugar you added.")
        else:
            text = say(when + "a sugar test of {} or less, or a stabilised mead.", phrases.concentration(clear))
    title, mead = say("Bottle it"), outcome.mead
    if mead is not None and mead.basis is not Basis.FORECAST and not (is_bottled or heated or _by_salts(batch)):
        unsafe = unstable(batch, mead, catalogue)
        title, text = (title, text) if unsafe is None else (say("Make it stable before you bottle it"), unsafe[1])
    yield _moved("bottle", title, text, bottle, slack, is_bottled)
    if danger is not None:
        yield _moved("tasting-1", danger, say(HANDLING), bottle, slack)
        return
    ages = opened(batch)
    yield _moved("tasting-1", say("Open one to see that it is stable"),
                 say("Open it chilled, wrapped in a towel, over a basin. If it hisses, the others may burst. " + HANDLING),
                 bottle + (ages[0] if ages else TASTING_DAYS), slack, bool(ages))  # fmt: skip
    late = [age for age in ages if age >= RESTING_DAYS]
    yield _moved("open", say("Open the first bottle to drink"), say("Write down what you taste."),
                 bottle + (late[0] if late else RESTING_DAYS), slack, bool(late))  # fmt: skip


def _moved(key: str, title: Words, text: Words, day: float, slack: tuple[float, float], done: bool = False) -> Task:
    """A task that may fall due earlier or later by so much; what was done has its day. [d]"""
    early, late = (0.0, 0.0) if done else slack
    return task(key, title, text, day, early=day + early, late=day + late, done=done)


def _dosing(batch: Batch, catalogue: Catalogue, heated: bool) -> Words:
    """What is stirred in at the end, and how."""
    amounts = _stirred_in(batch, catalogue, False)
    if amounts is None:
        return say("Set sweetness and body as tried in the glass: weigh, stir, wait.")
    how = (
        "Do this on the day of bottling, as living yeast would ferment it"
        if heated
        else "Try it in a glass first: weigh, stir, wait"
    )
    return say(f"{amounts.template}. {how}.", *amounts.figures)


def _day_at_rest(outcome: Outcome) -> float | None:
    """The first day of the readings that agree at the end of the log; None while the verdict is that it may still move. [d]"""
    rows, judged = _gravities(outcome), outcome.verdict
    if judged is None or judged.kind not in (FINISHED, TEST) or not rows:
        return None
    until, last = rows[-1]
    first = until
    for day, gravity in reversed(rows):
        if abs(gravity - last) > REST_FALL:
            break
        first = day
    return first if judged.kind == FINISHED or until - first >= REST_DAYS else None


def _gravities(outcome: Outcome) -> list[tuple[float, float]]:
    """Days and gravities that a hydrometer read, by time. [d], [-]"""
    log = columns_of(outcome.log)
    some = log.counts & (log.kind == "hydrometer")
    return sorted(zip(log.day[some].tolist(), log.gravity[some].tolist(), strict=True))


def _read_on(outcome: Outcome) -> npt.NDArray[np.float64]:
    """Days on which a gravity was read. [d]"""
    log = columns_of(outcome.log)
    return np.asarray(log.day[log.counts & (log.tells == "gravity")])


def _day_as_planned(outcome: Outcome, ahead: Posterior) -> float:
    """The day on which the present gravity, by whatever instrument, was expected. [d]"""
    here = present_gravity(ahead)
    assert outcome.curve is not None
    assert here is not None
    return float(np.interp(-here.gravity.typical, -outcome.curve.gravity, outcome.curve.days))
