"""What is said with a verdict: the sentence, its evidence, what would change it, what to do next and what to mind."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from planner.batch import words
from planner.batch.ferment.posterior import DRY, NEARLY_DRY, Posterior, Present
from planner.batch.ferment.verdict_kinds import (
    BELIEVED,
    FINISHED,
    ON_COURSE,
    SLOW,
    STALLED,
    SURE_DONE,
    TEST,
    TOO_EARLY,
    Plan,
    hardly_begun,
    likelihood,
)
from planner.batch.words import Words, say

SOUR = 3.0
"""pH below which yeast struggles. [-] Common practice, no source: 2.9 to 3.1."""

FEED_UNTIL = 0.09
"""Alcohol from which a feed is of little use. [m^3/m^3] Common practice: before 9 % vol; a later feed restarted a failed mead
in part (late nitrogen in mead, abstract)."""

FEED_FROM = 0.4
"""Share of the sugar that must be left for a feed to be worth while. [-] Nitrogen is taken up in the first third to half."""

COOL_BY = 1.0
"""How far below the middle of its range a yeast is worth warming. [K]"""

AHEAD = 3.0
"""Days after which the next reading is spoken of. [d]"""

SUREST = 0.99
"""Highest probability that is spoken of. [-] Beyond it the model's own doubt is the greater."""


class Circumstances(NamedTuple):
    """What the next steps depend on.

    Attributes
    ----------
    temperature : float
        Of the must, now. [K]
    coldest, best, hottest : float
        The yeast's range and its middle. [K]
    ph : float or None
        Last measured. [-]
    coming : Words or None
        What the recipe has next.
    """

    temperature: float
    coldest: float
    best: float
    hottest: float
    ph: float | None = None
    coming: Words | None = None


def sentence(kind: str, after: Posterior) -> Words:
    """Day, reading and verdict in one sentence.

    Parameters
    ----------
    kind : str
        One of `verdict_kinds.KINDS`.
    after : Posterior
        The course as the log has it. [as its fields]
    """
    now = after.steps[-1]
    found = now.evidence
    tested = found.kind == "sugar"
    start = "Day {}: sugar test {}. " if tested else "Day {}: {}. "
    here = (words.day(found.day), words.concentration(found.value) if tested else words.gravity(found.value))
    if kind == TOO_EARLY:
        return say(start + "Too early to say.", *here)
    if kind == ON_COURSE:
        return _on_course(start, here, after)
    if kind == SLOW and hardly_begun(now):
        return say(start + "Slow: it has hardly begun.", *here)
    if kind == SLOW and now.standing >= now.moving:
        return say(start + "Slow: it hardly moves, and may be stalling.", *here)
    if kind == SLOW:
        return say(start + "Slow: it moves, but later than planned.", *here)
    if kind == STALLED:
        return say(start + "Stalled, with about {} of sugar left.", *here, words.concentration(now.sugar.typical))
    if kind == FINISHED:
        return say(start + "Finished.", *here)
    return say(start + "Finished or stalled: gravity alone cannot tell. Test it for sugar.", *here)


def _on_course(start: str, here: tuple[words.Figure, words.Figure], after: Posterior) -> Words:
    day, rest = after.finish_day, after.finish_gravity
    if after.sticks >= 0.5:
        return say(
            start + "On course, but likely to stay sweet: at rest near {} about day {}.",
            *here, words.gravity(rest.typical), words.day(day.typical),
        )  # fmt: skip
    if round(day.low) == round(day.high):
        return say(
            start + "On course: dry about day {}, near {}.", *here, words.day(day.typical), words.gravity(rest.typical)
        )
    return say(
        start + "On course: dry between day {} and day {}, near {}.",
        *here, words.day(day.low), words.day(day.high), words.gravity(rest.typical),
    )  # fmt: skip


def evidence(kind: str, after: Posterior, plan: Plan | None) -> tuple[Words, ...]:
    """What speaks for a verdict.

    Parameters
    ----------
    kind : str
        One of `verdict_kinds.KINDS`.
    after : Posterior
        The course as the log has it. [as its fields]
    plan : Plan or None
        What was expected. [as its fields]
    """
    now = after.steps[-1]
    said = []
    if kind != TOO_EARLY:
        said.append(say(_HOW_SURE[kind], words.share(min(likelihood(kind, now), SUREST))))
    said.append(
        say("Sugar left: {} to {}, nine times in ten.",
            words.concentration(now.sugar.low), words.concentration(now.sugar.high))
    )  # fmt: skip
    said.append(say("Alcohol so far: {} to {}.", words.alcohol(now.alcohol.low), words.alcohol(now.alcohol.high)))
    if kind in (STALLED, SLOW, TEST) and now.ceased_on is not None:
        said.append(say("If the yeast has stopped, it did so about day {}.", words.day(now.ceased_on)))
    if kind in (ON_COURSE, SLOW):
        said.append(say("It uses {} to {} of sugar a day.",
                        *(words.concentration(max(rate, 0.0)) for rate in (now.uptake.low, now.uptake.high))))  # fmt: skip
    if kind == TEST and now.done >= SURE_DONE:
        said.append(
            say("It rests above {}: so high, what else the fruit gave may hide sugar that the tables do not know of.",
                words.gravity(BELIEVED))
        )  # fmt: skip
    off = _behind(after, plan)
    if kind == SLOW and off is not None:
        said.append(say("The last gravity is {} above what was expected for that day.", words.gravity_step(off)))
    for step in after.steps:
        if step.bad >= 0.5:
            said.append(say("The reading of day {}, {}, does not fit the others and counts for little.",
                            words.day(step.evidence.day), words.gravity(step.evidence.value)))  # fmt: skip
    return tuple(said)


_HOW_SURE = {
    ON_COURSE: "That it is still at work, or done, is {} likely.",
    SLOW: "That it is so is {} likely.",
    STALLED: "That it stands still with sugar left is {} likely.",
    FINISHED: "That its sugar is used up is {} likely.",
    TEST: "That it no longer moves is {} likely; whether sugar is left is not clear.",
}


def _behind(after: Posterior, plan: Plan | None) -> float | None:
    """How far the last gravity is above the expected one. [-]"""
    gravities = [step.evidence for step in after.steps if step.evidence.kind == "gravity"]
    if plan is None or not gravities:
        return None
    off = gravities[-1].value - float(np.interp(gravities[-1].day, plan.days, plan.typical))
    return off if off > 0.0 else None


def would_change(kind: str, after: Posterior) -> Words:
    """What would change a verdict.

    Parameters
    ----------
    kind : str
        One of `verdict_kinds.KINDS`.
    after : Posterior
        The course as the log has it. [as its fields]
    """
    now = after.steps[-1]
    if kind == TEST:
        return say("A sugar test: {} or less is finished, clearly more is stalled.", words.concentration(DRY))
    if kind == FINISHED:
        return say("A sugar test that finds more than {}, or a gravity that falls again.", words.concentration(DRY))
    if kind == STALLED:
        return say("A fall of {} or more within four days.", words.gravity_step(0.003))
    day = now.evidence.day + AHEAD
    low, high = (float(np.interp(day, after.days, after.band[edge])) for edge in (0, 3))
    return say(
        "It should read {} to {} on day {}. A higher gravity would speak for a stall, a lower one for a faster finish.",
        words.gravity(low), words.gravity(high), words.day(day),
    )  # fmt: skip


def steps(kind: str, after: Posterior, around: Circumstances) -> tuple[Words, ...]:
    """The next sensible steps, the gentlest first.

    Parameters
    ----------
    kind : str
        One of `verdict_kinds.KINDS`.
    after : Posterior
        The course as the log has it. [as its fields]
    around : Circumstances
        Temperature, yeast and pH. [as its fields]
    """
    now = after.steps[-1]
    if kind == TOO_EARLY:
        return (say("Read again tomorrow."),)
    if kind == ON_COURSE:
        return (around.coming or say("Read again in two or three days."),)
    if kind == FINISHED:
        tested = _tested_dry(after)
        rack = say("Rack it off the lees.")
        return (rack,) if tested else (rack, say("Before you bottle, make sure with a sugar test."))
    gentle = [*_warm(around), say("Rouse it: stir up the lees gently and let the gas out. Read again in two days.")]
    if kind == TEST:
        return (say("A test for residual sugar settles it: a strip is enough."), *gentle)
    if hardly_begun(now):
        return (*gentle, say("If it has not begun two days later, pitch fresh yeast that was woken in warm water."))
    gentle += [_sour(around), _feed(now)]
    if kind == STALLED:
        gentle.append(
            say("If nothing has moved after a week, restart it: let a strong yeast get used to this mead in growing portions, "
                "then pitch it in full.")
        )  # fmt: skip
    return tuple(gentle)


def _tested_dry(after: Posterior) -> bool:
    """Whether a sugar test has found it dry, within a strip's doubt."""
    return any(step.evidence.kind == "sugar" and step.evidence.value <= NEARLY_DRY for step in after.steps)


def _warm(around: Circumstances) -> list[Words]:
    if around.temperature > around.hottest:
        return [say("Cool it from {} to {}, the middle of this yeast's range.",
                    words.temperature(around.temperature), words.temperature(around.best))]  # fmt: skip
    if around.temperature < around.best - COOL_BY:
        return [say("Warm it slowly from {} to {}, the middle of this yeast's range.",
                    words.temperature(around.temperature), words.temperature(around.best))]  # fmt: skip
    return []


def _sour(around: Circumstances) -> Words:
    if around.ph is None:
        return say("Check the pH: below {} yeast struggles.", words.ph(SOUR))
    if around.ph < SOUR:
        return say("The pH of {} is hard on yeast: raise it to {} or a little more, in small doses.",
                   words.ph(around.ph), words.ph(SOUR + 0.2))  # fmt: skip
    return say("The pH of {} is not what holds it back.", words.ph(around.ph))


def _feed(now: Present) -> Words:
    if now.alcohol.typical < FEED_UNTIL and now.share_left.typical > FEED_FROM:
        return say("If it had little nitrogen, feed it once now: later than {} of alcohol yeast hardly takes it up.",
                   words.alcohol(FEED_UNTIL))  # fmt: skip
    return say("A feed would be of little use: beyond {} of alcohol or half of the sugar yeast hardly takes it up.",
               words.alcohol(FEED_UNTIL))  # fmt: skip


def cautions(kind: str, after: Posterior) -> tuple[Words, ...]:
    """What to mind.

    Parameters
    ----------
    kind : str
        One of `verdict_kinds.KINDS`.
    after : Posterior
        The course as the log has it. [as its fields]
    """
    now, said = after.steps[-1], []
    if kind in (STALLED, SLOW, TEST):
        said.append(say("Stirring and warming set gas free at once: leave room for foam, and air the room."))
        said.append(
            say("Do not bottle it like this: with up to {} of sugar and living yeast, closed bottles can burst.",
                words.concentration(now.sugar.high))
        )  # fmt: skip
    if kind == FINISHED and not _tested_dry(after):
        said.append(
            say("A gravity at rest does not prove that a bottle will stay still; a sugar test does, or stabilising.")
        )
    return tuple(said)
