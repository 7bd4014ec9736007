"""What is said with a verdict: the sentence, its evidence, what would change it, what to do next and what to mind."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import msgspec
import numpy as np

from planner.timeline.actual_recipe import MEASURED_HOLDS
from planner.timeline.current_gravity import present_gravity
from planner.timeline.instrument_conflicts import MEASURE_AGAIN, Disagreement, open_one
from planner.timeline.instrument_conflicts import sentence as both_sentence
from planner.timeline.next_actions import (
    COOL_BY,
    KNOWN_WARMTH,
    LAST_ALCOHOL,
    LAST_SHARE,
    TOO_LATE_TO_FEED,
    racked_at_rest,
    racking,
    warming,
)
from planner.timeline.observations import SETTLED, Observation
from planner.timeline.particle_filter import DRY, HALF, NEARLY_DRY
from planner.timeline.particles import BEGUN
from planner.timeline.posterior import Posterior
from planner.timeline.verdict_rule import (
    BELIEVED,
    FINISHED,
    LONG_LAG,
    ON_COURSE,
    SEEN_AT_REST,
    SLOW,
    STALLED,
    TEST,
    TOO_EARLY,
    Plan,
    hardly_begun,
    likelihood,
    likely_done,
    not_begun,
    would_finish,
)
from planner.wording import phrases
from planner.wording.phrases import Figure, Words, say

SOUR = 3.0
"""pH below which yeast struggles. [-] Common practice, no source: 2.9 to 3.1."""

VAGUE = 1.5
"""Width of the finishing day, by the days left, from which no single day is named. [-] A number that may be twice as far away
says too much."""

SUREST = 0.99
"""Highest probability that is spoken of. [-] Beyond it the model's own doubt is the greater."""

OFF_PLAN = 2.0
"""How far from the plan a measured temperature is worth a word. [K] Uptake changes by some tenth."""

LONG_GAP = 12.0
"""Days without a reading that are worth a word. [d] Most of a ferment may pass in them."""

SPOKEN_OF = 0.25
"""Chance of a stop with sugar left from which it stands beside the forecast of a dry one. [-] Below, it stands in "Why?"."""

GETS_DRY = 0.75
"""Probability of getting dry from which "dry" is said. [-]"""

WORTH_A_WORD = 0.1
"""Chance from which it is said that a ferment may stop while sweet. [-]"""

LINE = 0.004
"""Least fall of gravity that shows that a ferment has begun. [-] Two lines of a coarse hydrometer."""

WAIT = 2.0
"""Days to wait for a must that was warmed and stirred before yeast is pitched anew. [d] Common practice, no source."""


class Circumstances(msgspec.Struct, frozen=True):
    """What the next steps depend on.

    Attributes
    ----------
    temperature : float
        Of the must, now. [K]
    coldest, best, hottest : float
        The yeast's range and its middle. [K]
    ph : float or None
        Last measured. [-]
    sweet : bool
        Whether a rest with sugar left is wished or planned.
    coming : Words or None
        What the recipe has next.
    torn : tuple of Disagreement
        Readings that other instruments contradict.
    """

    temperature: float
    coldest: float
    best: float
    hottest: float
    ph: float | None = None
    sweet: bool = False
    coming: Words | None = None
    torn: tuple[Disagreement, ...] = ()


class Telling(msgspec.Struct, frozen=True):
    """What is to be said of one verdict.

    Attributes
    ----------
    kind : str
        One of `verdict_kinds.KINDS`.
    after : Posterior
        The course as the log has it, after one reading at least.
    plan : Plan or None
        What was expected.
    around : Circumstances
        Temperature, yeast and pH.
    decided : Observation
        The reading from which on this verdict was given.
    """

    kind: str
    after: Posterior
    plan: Plan | None
    around: Circumstances
    decided: Observation

    def sentence(self) -> Words:
        """Day, reading and verdict in one sentence."""
        torn = open_one(self.around.torn)
        if torn is not None and torn.is_last:
            return both_sentence(torn)
        day = phrases.day(self.after.steps[-1].evidence.day)
        what, found = self._here()
        rest, figures = self._verdict()
        return say(f"Day {{}}: {what}. {rest}", day, *found, *figures)

    def _here(self) -> tuple[str, tuple[Figure, ...]]:
        """What was found last. Where the last reading is not believed, or one of many, what all together say goes with it."""
        now, here = self.after.steps[-1], present_gravity(self.after)
        what, value = _found(now.evidence)
        if what or here is None or here.is_read:
            return f"{what}{{}}", (value,)
        likely = phrases.gravity(here.gravity.typical)
        return ("about {}", (likely,)) if now.bad < HALF else ("read {}, but likely {}", (value, likely))

    def _verdict(self) -> tuple[str, tuple[Figure, ...]]:
        now = self.after.steps[-1]
        if self.kind == ON_COURSE:
            return self._on_course()
        fresh = now.evidence.kind == "sugar"
        if self.kind == STALLED and fresh:
            return "Stalled, with that much sugar left.", ()
        if self.kind == STALLED:
            return "Stalled, with about {} of sugar left.", (phrases.concentration(now.sugar.typical),)
        if self.kind == FINISHED:
            return "Finished.", ()
        if self.kind == TEST:
            return "Finished or stalled: gravity alone cannot tell. Test it for sugar.", ()
        if not_begun(now):
            return self._not_begun()
        if self.kind == TOO_EARLY:
            return "Too early to say: it has only just begun.", ()
        if hardly_begun(now) and now.moving < HALF:
            return "Slow: it has hardly begun, and no longer moves.", ()
        if now.tested and now.moving < HALF and fresh:
            return "Slow: nearly dry, and hardly moving.", ()
        if now.tested and now.moving < HALF:
            return "Slow: nearly dry, with about {} of sugar left.", (phrases.concentration(now.sugar.typical),)
        if now.standing >= now.moving:
            return "Slow: it hardly moves, and may be stalling.", ()
        return "Slow: it moves, but later than expected.", ()

    def _not_begun(self) -> tuple[str, tuple[Figure, ...]]:
        due = None if self.plan is None else self.plan.begun_by
        if self.kind == TOO_EARLY:
            return "Too early to say: nothing shows yet that it has begun.", ()
        if due is None:
            return "It has not started yet.", ()
        return "It has not started yet; it should have by day {}.", (phrases.day(due),)

    def _on_course(self) -> tuple[str, tuple[Figure, ...]]:
        after = self.after
        rest, (when, days) = phrases.gravity(after.finish_gravity.typical), self._when()
        if after.sticks >= HALF and after.finish_sugar.typical > DRY:
            left = phrases.concentration(after.finish_sugar.typical)
            but = "" if self.around.sweet else ", but likely to stay sweet"
            return f"On course{but}. It should stop near {{}} with about {{}} of sugar left, {when}.", (
                rest,
                left,
                *days,
            )
        what = "be dry" if np.mean(np.isfinite(after.dry_days)) >= GETS_DRY else "stop"
        should = f"If it ferments on, it should {what}" if after.sticks >= HALF else f"It should {what}"
        told = f"On course. {should} {when}, near {{}}."
        if after.sticks < SPOKEN_OF:
            return told, (*days, rest)
        return told + " Chance that it stops sooner: {} in 10.", (*days, rest, phrases.count(10.0 * after.sticks))

    def _when(self) -> tuple[str, list[Figure]]:
        """The finishing day, and by when it is nearly sure; where the day is hardly known, only from when to when."""
        after = self.after
        today, (early, middle, late) = after.steps[-1].evidence.day, after.finish_day
        if round(middle) == round(late):
            return "about day {}", [phrases.day(middle)]
        if late - early > VAGUE * (middle - today):
            return "between day {} and day {}", [phrases.day(early), phrases.day(late)]
        return "about day {}, hardly later than day {}", [phrases.day(middle), phrases.day(late)]

    def evidence(self) -> tuple[Words, ...]:
        """What speaks for the verdict, its amounts with their day: later tests and doses are of another mead."""
        now = self.after.steps[-1]
        day = phrases.day(now.evidence.day)
        told = [
            self._how_sure(),
            *self._decided(),
            *self._scatter(),
            _span("Sugar left on day {}", now.sugar.low, now.sugar.high, phrases.concentration, 1.0, day),
            _span("Alcohol on day {}", now.alcohol.low, now.alcohol.high, phrases.alcohol, 1e-3, day),
            *self._pace(),
            *self._doubts(),
            *self._met(),
        ]
        return (*told, *self._bad_readings())

    def _how_sure(self) -> Words:
        now = self.after.steps[-1]
        return say(f"{{}} % sure: {self._claim()}.", _percent(min(likelihood(self.kind, now), SUREST)))

    def _claim(self) -> str:
        now = self.after.steps[-1]
        if self.kind in (TOO_EARLY, SLOW) and not_begun(now):
            return "it has not begun"
        if self.kind == TOO_EARLY:
            return "it has hardly begun, and does not move yet"
        if self.kind == SLOW and now.tested and now.moving < HALF:
            return "it has stopped"
        if self.kind == SLOW:
            return "it is still fermenting, slowly" if now.moving > now.standing else "it has stopped with sugar left"
        return {
            ON_COURSE: "it is still fermenting, or has finished",
            STALLED: "it has stopped with sugar left",
            FINISHED: "it has finished, with little sugar left",
            TEST: "it has stopped, and may have sugar left",
        }[self.kind]

    def _decided(self) -> Iterator[Words]:
        now, first = self.after.steps[-1], self.decided
        if self.kind in (TOO_EARLY, ON_COURSE) or first.place == now.evidence.place:
            return
        what, value = _found(first)
        name = "sugar test" if what else "reading"
        yield say(
            f"The {name} that settled it: day {{}}, {what.removeprefix(SUGAR_TEST)}{{}}.", phrases.day(first.day), value
        )

    def _pace(self) -> Iterator[Words]:
        now = self.after.steps[-1]
        if self.kind in (ON_COURSE, SLOW) and not not_begun(now):
            low, high = (max(rate, 0.0) for rate in (now.uptake.low, now.uptake.high))
            yield _span(
                "Sugar used a day, about day {}", low, high, phrases.concentration, 0.5, phrases.day(now.evidence.day)
            )
        if now.ceased_on is not None and self.kind == STALLED:
            yield say("It most likely stopped about day {}.", phrases.day(now.ceased_on))
        elif now.ceased_on is not None and self.kind in (SLOW, TEST):
            yield say("If the yeast has stopped, it did so about day {}.", phrases.day(now.ceased_on))
        off = self._behind()
        if self.kind == SLOW and off is not None and not not_begun(now):
            yield say("The last gravity is {} above what was expected for that day.", phrases.gravity_step(off))
        if self.kind == ON_COURSE and WORTH_A_WORD <= self.after.sticks < HALF:
            yield say("The chance that it stops while it is sweet is about {} %.", _percent(self.after.sticks))
        if self.kind == ON_COURSE and self.after.sticks >= HALF:
            left = self.after.finish_sugar
            yield _span("Sugar left when it stops", left.low, left.high, phrases.concentration, 1.0)

    def _behind(self) -> float | None:
        """How far the last gravity is above the expected one. [-]"""
        gravities = [step.evidence for step in self.after.steps if step.evidence.kind == "gravity"]
        if self.plan is None or not gravities:
            return None
        off = gravities[-1].value - float(np.interp(gravities[-1].day, self.plan.days, self.plan.typical))
        return off if off > 0.0 else None

    def _doubts(self) -> Iterator[Words]:
        """Why it is not yet called finished, and what an earlier test still says."""
        now = self.after.steps[-1]
        tests = [step.evidence for step in self.after.steps[:-1] if step.evidence.kind == "sugar"]
        if tests and now.tested and now.evidence.kind == "gravity" and self.decided != tests[-1]:
            what, value = _found(tests[-1])
            yield say(f"The sugar test of day {{}} found {what.removeprefix(SUGAR_TEST)}{{}}; little has been used since.",
                      phrases.day(tests[-1].day), value)  # fmt: skip
        if self.kind == TEST and likely_done(now):
            if now.evidence.value >= BELIEVED + 0.0005:
                yield say("It stopped above {}. Either sugar is left, or other extract of the fruit holds the gravity up.",
                          phrases.gravity(BELIEVED))  # fmt: skip
            else:
                yield say("It may still be falling. “Finished” needs {} days with a fall of {} at most, or a sugar test.",
                          phrases.day(SEEN_AT_REST), phrases.gravity_step(SETTLED[0]))  # fmt: skip

    def _met(self) -> Iterator[Words]:
        """What has happened to it."""
        met, now = self.after.met, self.after.steps[-1].evidence
        days = [0.0, *(step.evidence.day for step in self.after.steps)]
        if now.day - days[-2] > LONG_GAP and self.kind not in (TOO_EARLY, FINISHED):
            yield say("The log has no reading from day {} to day {}, so the course between them is not known.",
                      phrases.day(days[-2]), phrases.day(now.day))  # fmt: skip
        off = 0.0 if met.measured is None or met.planned is None else met.measured - met.planned
        if self.kind != FINISHED and abs(off) >= OFF_PLAN and abs(now.day - (met.day or 0.0)) <= MEASURED_HOLDS:
            side = "warmer" if off > 0.0 else "colder"
            yield say(f"On day {{}} the must was at {{}}, {side} than the {{}} planned. The measured temperature counts.",
                      phrases.day(met.day or 0.0), phrases.temperature(met.measured or 0.0),
                      phrases.temperature(met.planned or 0.0))  # fmt: skip
        racked = [day for day in met.racked if day <= now.day]
        if racked and self.kind in (ON_COURSE, SLOW, STALLED, TEST):
            yield say("It was racked on day {}, and settled yeast stayed behind. The forecast leaves out how much that slows it.", phrases.day(racked[-1]))  # fmt: skip
        if met.by in _BY:
            yield say(_BY[met.by])

    def _scatter(self) -> Iterator[Words]:
        """How many readings of a sensor the present gravity is the middle of."""
        now, here = self.after.steps[-1], present_gravity(self.after)
        if now.evidence.kind == "gravity" and now.evidence.readings > 1 and here is not None:
            yield say("The readings of the sensor scatter. Together they say {}, whatever the last one alone says.",
                      phrases.gravity(here.gravity.typical))  # fmt: skip

    def _bad_readings(self) -> Iterator[Words]:
        for step in self.after.steps:
            if step.bad >= HALF:
                what, value = _found(step.evidence)
                yield say(f"The {what.removesuffix('below ') or 'reading '}of day {{}}, {what.removeprefix(SUGAR_TEST)}{{}}, does not fit the others and counts for little.", phrases.day(step.evidence.day), value)  # fmt: skip

    def would_change(self) -> Words:
        """What would change the verdict."""
        now = self.after.steps[-1]
        if self.kind == TEST:
            return say(
                "A sugar test: {} or less means finished, clearly more means stalled.", phrases.concentration(DRY)
            )
        if self.kind == FINISHED:
            return say(
                "A sugar test that finds more than {}, or a gravity that falls again.", phrases.concentration(DRY)
            )
        if self.kind in (TOO_EARLY, SLOW) and hardly_begun(now):
            start, rest = float(self.after.gravity[0]), self.after.finish_gravity.typical
            return say("A gravity of {} or less would show that it has begun.",
                       phrases.gravity(start - max(LINE, BEGUN * (start - rest))))  # fmt: skip
        if self.kind == STALLED or now.standing >= now.moving:
            return say(
                "A fall of {} or more within four days would show that it still ferments.", phrases.gravity_step(0.003)
            )
        day = self.after.next_day
        low, _, high = self.after.reading_on(day)
        return say("A gravity above {} on day {} would speak for a stall. One below {} would speak for a faster finish.",
                   phrases.gravity(high), phrases.day(day), phrases.gravity(low))  # fmt: skip

    def _next_reading(self) -> Words:
        """The day of the next reading, and what it should be, so that it answers a question."""
        day = self.after.next_day
        low, _, high = self.after.reading_on(day)
        return say("Read again on day {}: it should show {} to {}.",
                   phrases.day(day), phrases.gravity(low), phrases.gravity(high))  # fmt: skip

    def steps(self) -> tuple[Words, ...]:
        """The next sensible steps, the gentlest first."""
        return (*([] if open_one(self.around.torn) is None else [MEASURE_AGAIN]), *self._steps())

    def _steps(self) -> tuple[Words, ...]:
        now = self.after.steps[-1]
        if self.kind == TOO_EARLY:
            return (say("Read again tomorrow."),)
        if self.kind == ON_COURSE:
            return (*([] if self.around.coming is None else [self.around.coming]), self._next_reading())
        if self.kind == FINISHED:
            racked = racked_at_rest(self.after.steps, self.after.met)
            rack, all_done = racking(racked, self.after.met), racked >= self.after.met.rackings
            if self._tested_dry():
                return (rack, say("Taste it, adjust it, and bottle it once it is stable.")) if all_done else (rack,)
            test = say("Test the sugar before you bottle.")
            return (test, rack) if all_done else (rack, test)
        if self.kind == TEST:
            return tuple(self._test())
        if self.kind == SLOW and hardly_begun(now):
            return tuple(self._wake())
        rouse = say("Rouse it: stir up the lees gently and let the gas out. Read again in two days.")
        gentle = [*self._warm(), rouse, self._sour(), self._feed()]
        if self.kind == STALLED and hardly_begun(now):  # with so little alcohol no strong starter is needed
            gentle.append(say("If nothing has moved after two days, pitch fresh yeast that was woken in warm water."))
        elif self.kind == STALLED:
            gentle.append(say("If nothing has moved after a week, restart it. Let a strong yeast get used to this mead in growing portions, then pitch it all."))  # fmt: skip
        return tuple(gentle)

    def _test(self) -> Iterator[Words]:
        yield say("Test for residual sugar, with a test that finds fructose too.")
        again = would_finish(self.after.steps)
        if again is not None:
            yield say("Or read again on day {}. If it then shows {} or more, it has most likely finished.",
                      phrases.day(np.ceil(again.day)), phrases.gravity(again.gravity))  # fmt: skip
        begin, figures = "If the test finds more than {}: ", [phrases.concentration(DRY)]
        if self.around.temperature < self.around.best - COOL_BY:
            known = self.after.met.told in KNOWN_WARMTH
            begin += "warm it slowly from {} to {}, " if known else "warm it slowly to {} if it is colder, "
            figures += [phrases.temperature(self.around.temperature)] if known else []
            figures += [phrases.temperature(self.around.best)]
        yield say(begin + "stir up the lees gently, let the gas out, and read again in two days.", *figures)

    def _wake(self) -> Iterator[Words]:
        """For a must that has not begun."""
        now, around = self.after.steps[-1], self.around
        yield from self._warm() or [
            say("Check the temperature: {} would suit this yeast.", phrases.temperature(around.best))
        ]
        yield say("Stir it up well: before it starts, a little air helps the yeast.")
        if around.ph is not None and around.ph < SOUR:
            yield self._sour()
        until = phrases.day(max(np.ceil(now.evidence.day + WAIT), LONG_LAG))
        yield say("Wait until day {}, and read again.", until)
        yield say("If nothing has begun by then, pitch fresh yeast that was woken in warm water.")

    def _tested_dry(self) -> bool:
        """Whether a sugar test has found it dry, within a strip's doubt."""
        found = (step.evidence for step in self.after.steps)
        return any(one.kind == "sugar" and one.value <= NEARLY_DRY for one in found)

    def _warm(self) -> list[Words]:
        return warming(self.around.temperature, self.around.best, self.around.hottest, self.after.met)

    def _sour(self) -> Words:
        ph = self.around.ph
        if ph is None:
            return say("Check the pH: below {} yeast struggles.", phrases.ph(SOUR))
        if ph < SOUR:
            return say("A pH of {} is hard on yeast. Raise it to {} or a little more, in small doses.",
                       phrases.ph(ph), phrases.ph(SOUR + 0.2))  # fmt: skip
        return say("A pH of {} does not hold the yeast back.", phrases.ph(ph))

    def _feed(self) -> Words:
        now = self.after.steps[-1]
        in_time = now.alcohol.typical < LAST_ALCOHOL and 1.0 - now.share_left.typical < LAST_SHARE
        first = "If it had little nitrogen, feed it once now." if in_time else "A feed is of little use now."
        return say(f"{first} {TOO_LATE_TO_FEED}.")

    def cautions(self) -> tuple[Words, ...]:
        """What to mind."""
        now, torn = self.after.steps[-1], open_one(self.around.torn)
        if self.kind == FINISHED and not self._tested_dry():
            told = "Bottles can still burst: a gravity that no longer falls does not make them safe. Test the sugar, or stabilise. "
            return (say(told + _SOURCE),)
        if self.kind == SLOW and not_begun(now):
            keep = "Keep it under an airlock: must that is not fermenting spoils easily. If mould grows on it, throw it away."
            return (say(keep),)
        if self.kind not in (STALLED, SLOW, TEST):
            return ()
        return (
            say("Stirring and warming set gas free at once, which can suffocate. Leave room for foam, and air the room. " + _SOURCE),
            say("Closed bottles can burst: do not bottle this. Up to {} of sugar can still ferment. " + _SOURCE,
                phrases.concentration(max(now.sugar.high, DRY if torn is None else torn.sugar.high, DRY))),
        )  # fmt: skip


_SOURCE = "Source: common practice."

_BY = {
    "refractometer": "All readings are from a refractometer. Gravities worked out from °Brix are less sure than a hydrometer's.",
    "weight": "All readings are weights. Gravities worked out from lost gas are less sure than a hydrometer's.",
}
"""What is said where one indirect instrument alone speaks."""


SUGAR_TEST = "sugar test "
"""How a test is called in front of what it found."""


def _percent(probability: float) -> Figure:
    """A probability as whole percent: no more is known of it."""
    return phrases.count(100.0 * probability)


def _found(one: Observation) -> tuple[str, Figure]:
    """What a reading is called in front of its figure, and that figure."""
    if one.kind != "sugar":
        return "", phrases.gravity(one.value)
    if one.mark is not None:
        return f"{SUGAR_TEST}below ", phrases.concentration(one.mark)
    return SUGAR_TEST, phrases.concentration(one.value)


def _span(what: str, low: float, high: float, full: Callable[[float], Figure], least: float, *of: Figure) -> Words:
    """An amount of something between two bounds that hold nine times in ten; below `least` it is next to none."""
    if high < least:
        return say(f"{what}: less than {{}}.", *of, full(least))
    if low < 0.5 * least:
        return say(f"{what}: {{}} at most.", *of, full(high))
    if str(Words("{}", (full(low),))) == str(Words("{}", (full(high),))):
        return say(f"{what}: about {{}}.", *of, full(high))
    return say(f"{what}: {{}} to {{}}.", *of, full(low), full(high))
