"""What is said of a simulated ferment after each of its readings, set beside the truth, and the figures that come of many."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from planner.model.span import Z_90
from planner.timeline.observations import Observation, reading_doubt
from planner.timeline.particle_filter import DRY, NEARLY_DRY, Present
from planner.timeline.posterior import Posterior, follow, posterior
from planner.timeline.readings import SUGAR_DOUBT
from planner.timeline.verdict_costs import COSTS, Costs
from planner.timeline.verdict_rule import FINISHED, ON_COURSE, STALLED, TEST, kinds_of, likelihood
from tests.benchmarks.verdict_maker import prior_for, raised_by
from tests.benchmarks.verdict_population import Ferment

NAMED_WITHIN = (7.0, 3)
"""A stall is named in time within so many days [d], or by so many readings after it."""

GOES_ON = (10.0, 0.1)
"""Sugar [g/L], and share of what is left [-], that a ferment must yet use for "stalled" to be false of it."""

STAGES = {"third": 2.0 / 3.0, "half": 0.5}
"""Share of the sugar that is left when the finishing day is asked for, after the last addition."""

BOUNDS = (0.0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.0)
"""Of the classes of stated probabilities. [-]"""


class Truth(NamedTuple):
    """How a ferment went."""

    days: Any
    sugars: Any
    stall: float | None
    resume: float | None
    finish: float | None
    finish_gravity: float | None

    @classmethod
    def of(cls, ferment: Ferment) -> Truth:
        told = ferment["truth"]
        days, sugars = np.array(told["sugar_g_l"], dtype=float).T
        return cls(days, sugars, *(told.get(f"{key}_day") for key in ("stall", "resume", "finish")), told.get("finish_gravity"))  # fmt: skip

    def left(self, day: float) -> float:
        """Sugar left. [g/L]"""
        return float(np.interp(day, self.days, self.sugars))

    def has_stopped(self, day: float) -> bool:
        """Whether it has stopped with sugar left, and has not taken up work again."""
        return self.stall is not None and self.stall <= day < (np.inf if self.resume is None else self.resume)

    def goes_on(self, day: float) -> bool:
        """Whether it works, and has much of its sugar yet to use before it stops or is dry."""
        if self.has_stopped(day):
            return False
        ends = self.stall if self.stall is not None and day < self.stall else self.days[-1]
        left = self.left(day)
        return left - self.left(ends) > max(GOES_ON[0], GOES_ON[1] * left)

    def state(self, day: float) -> str:
        """As the planner's probabilities have it."""
        if self.left(day) < NEARLY_DRY:
            return FINISHED
        return STALLED if self.has_stopped(day) else ON_COURSE


class Foreseen(NamedTuple):
    """What was said of the finishing day at one stage of a ferment that gets dry."""

    covered: bool
    width: float  # of the 80 % interval [d]
    left: float  # until it is dry [d]
    score: float  # of that interval (Gneiting & Raftery 2007) [d]
    error: float  # of the median, by the finishing day [-]
    gravity_covered: bool | None  # by the 90 % interval of the finishing gravity
    next_covered: bool | None = None  # the next reading, by the 90 % interval of what it should show


class Score(NamedTuple):
    """What came out for one ferment; None where it was not asked."""

    name: str
    verdicts: tuple[tuple[float, str], ...]
    false_finished: bool
    false_stalled: bool
    early_stalled: bool | None
    stall_named: bool | None
    reversals: int
    needless_test: bool
    finish_named: float | None  # days after it was dry; until the last reading where it was not
    tests_right: tuple[bool, ...]
    foreseen: dict[str, Foreseen]
    stated: tuple[tuple[str, float, bool], ...]


class Led(NamedTuple):
    """What the filter makes of one ferment, so that other rules of the verdict can be asked without it."""

    ferment: Ferment
    plain: list[tuple[Present, ...]]
    tested: list[tuple[Present, ...]]
    foreseen: dict[str, Foreseen]
    stops: tuple[tuple[str, float, bool], ...]


def evidence_of(ferment: Ferment, with_tests: bool) -> list[Observation]:
    """A ferment's readings, and its sugar tests if they are wanted, in the order of their days."""
    doubt, raised = reading_doubt([float(g) for _, g in ferment["readings"]]), raised_by(ferment)
    found = [Observation(i, float(d), "gravity", float(g), doubt, raised=raised(float(d)))
             for i, (d, g) in enumerate(ferment["readings"]) if d > 0.0]  # fmt: skip
    if with_tests:
        found += [Observation(-1, float(d), "sugar", float(s), max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * s) / Z_90)
                  for d, s in ferment.get("sugar_tests", []) if d > 0.0]  # fmt: skip
    return sorted(found, key=lambda e: e.day)


def lead(ferment: Ferment) -> Led:
    """Ask the filter after each reading, without and with sugar tests, and for forecasts at each stage."""
    truth, prior = Truth.of(ferment), prior_for(ferment)
    log, tests = evidence_of(ferment, with_tests=False), evidence_of(ferment, with_tests=True)
    plain = follow(prior, log)
    foreseen, stops = {}, []
    for stage, share in STAGES.items():
        at = _reached(ferment, truth, log, share)
        if at is None:
            continue
        after = posterior(prior, log[: at + 1])
        day = log[at].day
        if not truth.has_stopped(day) and truth.left(day) > NEARLY_DRY:
            stops.append(("stops sweet", after.sticks, truth.finish is None))
        if truth.finish is not None and day < truth.finish and (truth.stall is None or day >= (truth.resume or 0.0)):
            foreseen[stage] = _foreseen(after, truth, truth.finish, log[at:])
    return Led(ferment, plain, follow(prior, tests) if len(tests) > len(log) else [], foreseen, tuple(stops))


def _reached(ferment: Ferment, truth: Truth, log: Sequence[Observation], share: float) -> int | None:
    """The first reading with no more than such a share of the sugar left, after the last addition."""
    since = max((float(day) for day, *_ in ferment.get("events", ())), default=0.0)
    most = float(truth.sugars.max())
    return next((i for i, e in enumerate(log) if e.day > since and truth.left(e.day) <= share * most), None)


def _foreseen(after: Posterior, truth: Truth, finish: float, log: Sequence[Observation]) -> Foreseen:
    day, coming = log[0].day, log[1] if len(log) > 1 else None
    shown = None if coming is None else after.reading_on(coming.day)
    days = after.finish_days if len(after.finish_days) else np.array([np.inf])
    low, middle, high = np.minimum(np.percentile(days, [10.0, 50.0, 90.0]), 1e3).tolist()
    rest, gravity = after.finish_gravity, truth.finish_gravity
    return Foreseen(
        covered=low <= finish <= high,
        width=high - low,
        left=finish - day,
        score=high - low + 10.0 * max(low - finish, 0.0) + 10.0 * max(finish - high, 0.0),
        error=middle / finish - 1.0,
        gravity_covered=None if gravity is None else rest.low <= gravity <= rest.high,
        next_covered=None if coming is None or shown is None else shown.low <= coming.value <= shown.high,
    )


def judge(led: Led, costs: Costs = COSTS) -> Score:
    """Set the verdicts on one ferment beside the truth."""
    truth, steps = Truth.of(led.ferment), [told[-1] for told in led.plain]
    verdicts = [(told[-1].evidence.day, kinds_of(told, costs=costs)[-1]) for told in led.plain]
    stall = truth.stall
    # One reading after it has begun again there is nothing yet to tell it by.
    known = [True, *(not truth.has_stopped(day) for day, _ in verdicts)]
    before = [
        d for (d, v), is_known in zip(verdicts, known, strict=False) if v == STALLED and is_known and truth.goes_on(d)
    ]
    after = [] if stall is None else [(n, d, v) for n, (d, v) in enumerate((x for x in verdicts if x[0] >= stall), 1) if truth.has_stopped(d)]  # fmt: skip
    in_time = [v for n, d, v in after if n <= NAMED_WITHIN[1] or d <= (stall or 0.0) + NAMED_WITHIN[0]]
    named = any(v in (STALLED, TEST) for v in in_time)
    over = truth.resume is None or len(after) > NAMED_WITHIN[1] or truth.resume > (stall or 0.0) + NAMED_WITHIN[0]
    return Score(
        name=led.ferment["name"],
        verdicts=tuple(verdicts),
        false_finished=any(v == FINISHED and truth.left(d) > NEARLY_DRY for d, v in verdicts),
        false_stalled=any(stall is None or d >= stall for d in before),
        early_stalled=None if stall is None else any(d < stall for d in before),
        stall_named=named if after and (named or over) else None,
        reversals=_reversals(verdicts, truth),
        needless_test=any(v == TEST and truth.goes_on(d) for d, v in verdicts),
        finish_named=None
        if truth.finish is None
        else next(
            (
                max(d - truth.finish, 0.0)
                for i, (d, _) in enumerate(verdicts)
                if all(v in (FINISHED, TEST) for _, v in verdicts[i:])
            ),
            verdicts[-1][0] - truth.finish,
        ),
        tests_right=_with_tests(led.tested, truth, costs),
        foreseen=led.foreseen,
        stated=(*_stated(steps, [v for _, v in verdicts], truth), *led.stops),
    )


def score(ferment: Ferment) -> Score:
    """Ask for every verdict on one ferment and set it beside the truth."""
    return judge(lead(ferment))


def _reversals(verdicts: Sequence[tuple[float, str]], truth: Truth) -> int:
    """How often "stalled" or "finished" was taken back; not where it has taken up work again since, as is told."""
    count = 0
    for (first, said), (then, now) in pairwise(verdicts):
        restarted = truth.resume is not None and said == STALLED and then >= truth.resume and truth.has_stopped(first)
        count += said in (STALLED, FINISHED) and now != said and not restarted
    return count


def _stated(steps: Sequence[Present], kinds: Sequence[str], truth: Truth) -> list[tuple[str, float, bool]]:
    """Each probability that was stated, and whether what it was stated of was so."""
    told = []
    for step, kind in zip(steps, kinds, strict=True):
        so = truth.state(step.evidence.day)
        told += [("moves", step.moving, so == ON_COURSE), ("has stopped sweet", step.standing, so == STALLED),
                 ("is done", step.done, so == FINISHED)]  # fmt: skip
        claimed = {ON_COURSE: so != STALLED, STALLED: so == STALLED, FINISHED: so == FINISHED, TEST: so != ON_COURSE}
        if kind in claimed:
            told.append((f"verdict “{kind}”", likelihood(kind, step), claimed[kind]))
    return told


def _with_tests(tested: Sequence[tuple[Present, ...]], truth: Truth, costs: Costs) -> tuple[bool, ...]:
    """Whether each verdict that rests on a fresh sugar test is right.

    Dry must be called finished. A ferment on course must not be called stalled, nor finished unless the sugar is within a
    strip's doubt of dry, nor be sent for the test that was just made. A stall must not be called finished nor be sent for it;
    it must be called stalled by the time in which stalls are to be named, counted from its onset, or at the last reading if
    the log ends before.
    """
    kinds, days = [kinds_of(told, costs=costs)[-1] for told in tested], [told[-1].evidence.day for told in tested]
    right = []
    for i, (kind, day) in enumerate(zip(kinds, days, strict=True)):
        if tested[i][-1].evidence.kind != "sugar":
            continue
        if truth.left(day) <= DRY:
            right.append(kind == FINISHED)
        elif truth.has_stopped(day):
            named_by = (truth.stall or 0.0) + NAMED_WITHIN[0]
            due = next((j for j in range(i, len(kinds)) if days[j] >= named_by), len(kinds) - 1)
            right.append(kind not in (FINISHED, TEST) and STALLED in kinds[i : due + 1])
        elif truth.goes_on(day):
            right.append(kind not in (STALLED, TEST) and (kind != FINISHED or truth.left(day) <= NEARLY_DRY))
    return tuple(right)


def _mean(values: Iterable[Any]) -> float:
    kept = [value for value in values if value is not None]
    return float(np.mean(kept)) if kept else float("nan")


def figures(scores: Sequence[Score]) -> dict[str, float]:
    """The rates, and those of the forecast at each stage."""
    told = {
        "false_finished": _mean(s.false_finished for s in scores),
        "false_stalled": _mean(s.false_stalled for s in scores),
        "early_stalled": _mean(s.early_stalled for s in scores),
        "stalls_named": _mean(s.stall_named for s in scores),
        "reversals": _mean(s.reversals for s in scores),
        "needless_tests": _mean(s.needless_test for s in scores),
        "finish_named_days": _mean(s.finish_named for s in scores),
        "right_with_test": _mean(right for s in scores for right in s.tests_right),
    }
    for stage in STAGES:
        found = [s.foreseen[stage] for s in scores if stage in s.foreseen]
        told |= {
            f"coverage_80_{stage}": _mean(one.covered for one in found),
            f"width_by_left_{stage}": float(np.median([one.width / one.left for one in found])) if found else np.nan,
            f"interval_score_{stage}": _mean(one.score for one in found),
            f"median_error_{stage}": float(np.median([abs(one.error) for one in found])) if found else np.nan,
            f"gravity_90_{stage}": _mean(one.gravity_covered for one in found),
            f"next_90_{stage}": _mean(one.next_covered for one in found),
        }
    return told


def reliability(scores: Sequence[Score]) -> dict[str, list[tuple[float, float, int]]]:
    """Of each stated probability, by classes: its mean, how often it was so, and how often it was stated."""
    table: dict[str, list[tuple[float, float, int]]] = {}
    for what in dict.fromkeys(what for s in scores for what, _, _ in s.stated):
        pairs = np.array([(p, so) for s in scores for name, p, so in s.stated if name == what])
        place = np.clip(np.searchsorted(BOUNDS, pairs[:, 0], side="right") - 1, 0, len(BOUNDS) - 2)
        table[what] = [(*pairs[place == i].mean(axis=0).tolist(), int(np.sum(place == i))) for i in range(len(BOUNDS) - 1) if np.any(place == i)]  # fmt: skip
    return table
