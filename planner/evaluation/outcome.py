"""Everything that follows from a batch, worked out whole: must, expected course, log, mead, findings and a headline."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.additions import given_doses
from planner.adjusting.after_dosing import apart_from_doses, beside_doses, dosed_findings, sugar_by_dosed_test
from planner.adjusting.base_mead import KnownMead, known_mead, tested_after
from planner.adjusting.mead import Mead, mead
from planner.adjusting.mead_findings import mead_findings
from planner.document.batch import Adjustment, Batch, Prices, Recipe, Wish
from planner.document.codec import refuse_impossible
from planner.document.shelf import shelf_of
from planner.evaluation import headline, log_findings, recipe_findings
from planner.evaluation.carried_out import carried_out, shortened, understood, way_of
from planner.evaluation.worth_measuring import Worth, worth_before, worth_while
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, titratable_acid, volume
from planner.model.numerics import percentiles
from planner.model.random_scores import MEMBERS
from planner.model.scales import brix_from_gravity
from planner.model.simulate import temperature_at
from planner.model.span import Span
from planner.model.stepping import PathError
from planner.recipe.acidity import as_measured
from planner.recipe.house_rules import addition_rule_findings
from planner.recipe.must import Must, must, typical
from planner.recipe.step_feeding import offered, together
from planner.reference.catalogue import Catalogue, UnknownIngredient
from planner.timeline import alcohol_text, course, instrument_conflicts, readings, start_reading
from planner.timeline.actual_recipe import as_warmed
from planner.timeline.finish_budget import finish_budget
from planner.timeline.fit_log import as_liquids, posterior_of
from planner.timeline.instruments import AlcoholSoFar, alcohol_so_far
from planner.timeline.logged_acidity import acid_of_must, ph_of_must
from planner.timeline.particle_filter import STILL_SWEET
from planner.timeline.posterior import Posterior
from planner.timeline.results import Curve, FinishOutcome, MustOutcome, State
from planner.timeline.self_warming import Warmth, warmth
from planner.timeline.state import on_days
from planner.timeline.verdict import Verdict, verdict
from planner.timeline.verdict_rule import FINISHED, SLOW, STALLED, Plan
from planner.timeline.verdict_text import Circumstances
from planner.wording.finding import Finding, error
from planner.wording.phrases import literal

Array = npt.NDArray[np.float64]

NOT_USUAL = "Look for an amount of sugar, yeast or nutrient that is far from what is usual."
"""What is said of a must whose ferment cannot be worked out: none of common practice is known that cannot be."""

LEAST_SUGAR = 0.01
"""Fermentable sugar below which nothing ferments. [kg/m^3] A hundredth of what an instrument of the trade could show."""

LEAST_MUST = 1e-3
"""Mass below which there is nothing to work out. [kg] A gram: yeast and feeds on less are no concentration."""


class Outcome(msgspec.Struct, frozen=True, eq=False):
    """What follows from a batch. Parts that cannot be worked out are None, and a finding says why.

    Attributes
    ----------
    batch : Batch
        The batch it belongs to.
    must, finish, curve, mead : MustOutcome, FinishOutcome, Curve, Mead or None
        See there.
    log : tuple of Logged
        The readings as understood.
    starting_gravity : float or None
        Measured at pitching; the course then starts from it. [-]
    findings : tuple of Finding
        Doubts, the gravest first.
    of_ferment : tuple of Finding
        Those among them that no addition to the mead changes.
    headline : Headline
        One sentence on how the batch stands, and what comes next.
    with_band : bool
        Whether the spans and the band rest on an ensemble, so that this is the whole answer.
    posterior : Posterior or None
        The course as the log has it, with its forecast; None without an ensemble or before the first reading.
    verdict : Verdict or None
        How the ferment stands; None likewise.
    so_far : AlcoholSoFar or None
        The alcohol at the last reading by every way that the log allows; None likewise.
    worth : Worth or None
        Which measurement would tell most; None where none tells much.
    warmth : Warmth or None
        How warm the must gets by its own heat; None where nothing ferments.
    """

    batch: Batch
    must: MustOutcome | None
    finish: FinishOutcome | None
    curve: Curve | None
    log: tuple[readings.Logged, ...]
    starting_gravity: float | None
    mead: Mead | None
    findings: tuple[Finding, ...]
    headline: headline.Headline
    with_band: bool
    of_ferment: tuple[Finding, ...] = ()
    posterior: Posterior | None = None
    verdict: Verdict | None = None
    so_far: AlcoholSoFar | None = None
    warmth: Warmth | None = None
    worth: Worth | None = None

    def on(self, *rows: readings.Logged) -> list[State | None]:
        """What the batch holds on the days of some entries that were read of it; None where that is not known."""
        after, days = self.posterior, np.array([np.nan if row.day is None else row.day for row in rows])
        if after is None:
            return [row.dosed for row in rows]
        sugar, strong = (table.T.tolist() for table in on_days(after, days))
        return [
            row.dosed if row.tells not in readings.OF_FERMENT or row.day is None
            else State(Span(*sugar[place]), Span(*strong[place])) for place, row in enumerate(rows)
        ]  # fmt: skip

    @property
    def is_pending(self) -> bool:
        """Whether nothing of the batch is worked out yet."""
        return self.headline is headline.PENDING


def evaluate(
    batch: Batch,
    catalogue: Catalogue,
    members: int = MEMBERS,
    today: datetime | None = None,
    to_draw: bool = True,
    to_tell: bool = True,
) -> Outcome:
    """Work out everything that follows from a batch.

    Parameters
    ----------
    members : int
        Members of the ensemble besides the typical one; 0 for the typical course alone, which weighs no log and judges
        nothing. [-]
    today : datetime or None
        The present moment with its offset, for what comes next; None where none is wanted. [-]
    to_draw : bool
        Whether the curve is to be drawn: then that of the recipe alone is worked out, too, where the must was measured. [-]
    to_tell : bool
        Whether anything is to be told. Without, there is no more than must and course, the stage in the headline, and a log that is
        not long: what moves with the hand. [-]

    Raises
    ------
    ImpossibleBatch
        The batch, made by a script, holds what no file can: a negative mass, a text for a number.
    """
    refuse_impossible(batch)
    catalogue = shelf_of(batch, catalogue)
    unknown = recipe_findings.unknown_keys(batch, catalogue)
    if unknown:
        return _without_science(batch, unknown, today, members)
    try:
        start = must(batch, catalogue, members)
    except UnknownIngredient as failure:  # a key the checks do not know of is a gap in them, but no reason to stop
        return _without_science(batch, (error("recipe", literal(str(failure))),), today, members)
    if float(start.liquid.mass[0]) < LEAST_MUST:
        return _without_science(batch, recipe_findings.recipe_findings(batch, catalogue, None, None), today, members)
    first_way = readings.path(start.free().member(0))
    room = float(volume(start.liquid)[0])
    log = batch.log if to_tell else shortened(batch.log)
    rows: tuple[readings.Logged, ...] = apart_from_doses(
        batch, readings.logged(log, first_way), first_way, room, catalogue
    )
    start = as_measured(start, batch.recipe, catalogue, ph_of_must(batch.log), acid_of_must(batch.log))
    planned = _must_outcome(batch, start, catalogue)
    if not _ferments(start):
        found = (
            *recipe_findings.recipe_findings(batch, catalogue, planned, None),
            *log_findings.log_findings(batch, rows, today),
            *addition_rule_findings(batch, catalogue),
        )
        return Outcome(batch, planned, None, None, rows, start_reading.starting_gravity(rows), None, _gravest_first(found),
                       headline.headline(batch, None, None, rows, today), members > 0)  # fmt: skip
    try:
        done, ahead, was_read, measured_start = carried_out(batch, start, rows, catalogue)
    except PathError as failure:
        return _without_science(batch, (error("recipe", f"{failure} {NOT_USUAL}"),), today, members)
    if not np.all(ahead.comes_off > 0.0):
        lost = "The pomace may hold all of the must, so that no mead comes off it. Enter another yield of the press, or press first."
        return _without_science(batch, (error("recipe.fruits", literal(lost)),), today, members)
    way = way_of(ahead)
    finish = _finish_outcome(ahead)
    alone = _planned(batch, start, ahead, catalogue) if to_draw and measured_start is not None else None
    curve = _curve(ahead, alone, batch)
    stage = headline.of_stage(batch, rows)
    rows = understood(batch, ahead, way, catalogue) if log is batch.log else ()
    if not to_tell:
        return Outcome(batch, planned, finish, curve, rows, measured_start, None, (), stage, members > 0)
    warm = warmth(done, ahead)
    done = as_warmed(done, ahead.days, ahead.temperature)
    after = posterior_of(batch, done, ahead, rows, was_read is not None, catalogue)
    torn = instrument_conflicts.disagreements(batch.log, rows, way, after)
    rival = instrument_conflicts.open_one(torn)
    so_far = alcohol_so_far(
        batch.log, rows, way, measured_start, planned.gravity, after, (curve.days, curve.gravity),
        instrument_conflicts.doubted(rows, after, torn), rival,
    )  # fmt: skip
    if after is not None and rival is not None:
        after = as_liquids(ahead, after, rival.sugar)
        so_far = None if so_far is None else msgspec.structs.replace(so_far, alcohol=after.steps[-1].alcohol)
    names = _names(catalogue)
    unfed = log_findings.feed_findings(batch, curve, rows, names)
    judged = None if after is None else _asking(_verdict(batch, done, curve, rows, after, catalogue, torn), unfed)
    kind = "" if judged is None else judged.kind
    known = known_mead(batch, done, ahead, rows, after, kind, catalogue, rival is not None)
    known = _as_tested(batch, rows, known, catalogue, 0.0 if after is None else after.extract_doubt)
    findings = (
        *recipe_findings.recipe_findings(batch, catalogue, planned, ahead, warm, kind == FINISHED),
        *log_findings.log_findings(batch, rows, today),
        *unfed,
        *log_findings.misread_findings(batch, rows, after),
        *log_findings.start_findings(rows, planned, measured_start is not None),
        *log_findings.strain_findings(batch, catalogue, rows, finish.day.typical),
        *instrument_conflicts.findings(torn),
        *alcohol_text.doubts(so_far, frozenset([*(r.index for r in rows if not r.fits), *(one.place for one in torn)])),
    )
    ferment = Outcome(
        batch=batch,
        must=planned,
        finish=finish,
        curve=curve,
        log=rows,
        starting_gravity=measured_start,
        mead=None,
        findings=findings,
        headline=headline.PENDING,
        with_band=members > 0,
        of_ferment=findings,
        posterior=after,
        verdict=judged,
        so_far=so_far,
        warmth=warm,
        worth=worth_before(batch, start, ahead, measured_start is not None, catalogue)
        if after is None
        else worth_while(batch, after),
    )
    return _adjusted(ferment, known, batch, catalogue, today)


def _as_tested(
    batch: Batch, rows: tuple[readings.Logged, ...], known: KnownMead, catalogue: Catalogue, extract_doubt: float
) -> KnownMead:
    """The mead before its additions, as a sugar test after doses tells of it, too."""
    if not (given := given_doses(batch.log.readings)):
        return known
    found = mead(batch.adjustment, known.liquid, batch.adjustment.gravity is not None, catalogue, given, known)
    tested = sugar_by_dosed_test(batch, rows, found, catalogue)
    return known if tested is None else tested_after(known, *tested, extract_doubt)


def _adjusted(
    ferment: Outcome, known: KnownMead, batch: Batch, catalogue: Catalogue, today: datetime | None
) -> Outcome:
    """What follows from a batch whose ferment is worked out, with what is stirred into its mead."""
    so_far, judged = ferment.so_far, ferment.verdict
    given, measured = given_doses(batch.log.readings), batch.adjustment.gravity is not None
    adjusted = mead(batch.adjustment, known.liquid, measured, catalogue, given, known)
    rows = beside_doses(batch, ferment.log, adjusted, catalogue)
    if so_far is not None:
        so_far = msgspec.structs.replace(so_far, stirred=None if adjusted.now is None else adjusted.now.alcohol)
    stands = headline.headline(
        batch, ferment.finish, ferment.curve, rows, today, judged, adjusted, catalogue, _names(catalogue)
    )
    if judged is not None and stands.stage == "bottled":  # nothing of what a ferment asks for can be done in a bottle
        judged = msgspec.structs.replace(judged, steps=(stands.next,), cautions=())
    findings = (
        *ferment.of_ferment,
        *addition_rule_findings(batch, catalogue),
        *(() if ferment.finish is None else mead_findings(batch, catalogue, adjusted, ferment.finish)),
        *dosed_findings(batch, rows, adjusted, catalogue),
    )
    return msgspec.structs.replace(
        ferment, batch=batch, log=rows, so_far=so_far, verdict=judged, mead=adjusted, headline=stands,
        findings=_gravest_first(findings),
    )  # fmt: skip


def carried_over(last: Outcome, batch: Batch, catalogue: Catalogue, today: datetime | None = None) -> Outcome | None:
    """The whole answer to an edit that leaves the ferment as it was.

    Parameters
    ----------
    last : Outcome
        The answer before the edit. [as its fields]
    batch : Batch
        The batch after it. [as its fields]

    Returns
    -------
    Outcome or None
        The same that `evaluate` would give: with words or prices alone nothing is worked out, with other additions the mead
        is. None where more than that was edited. [as its fields]
    """
    if _of_ferment(batch) != _of_ferment(last.batch):
        return None
    if batch.adjustment == last.batch.adjustment:
        return msgspec.structs.replace(last, batch=batch)
    shelf = shelf_of(batch, catalogue)
    if last.mead is None or last.mead.known is None or recipe_findings.unknown_keys(batch, shelf):
        return None
    return _adjusted(last, last.mead.known, batch, shelf, today)


def _of_ferment(batch: Batch) -> Batch:
    """A batch less what its ferment does not depend on: words, prices, targets, and what is stirred into the mead."""
    log, adjustment = batch.log, batch.adjustment
    wish = Wish(sweetness=0.0 if (batch.recipe.wish.sweetness or 0.0) <= STILL_SWEET else 1000.0)
    recipe = msgspec.structs.replace(batch.recipe, prices=Prices(), calendar="", wish=wish)
    given = given_doses(log.readings)
    # What was stirred in already tells of the ferment, by what it went into and by its label.
    labels = tuple(msgspec.structs.replace(line, mass=0.0) for line in adjustment.additions if line.key in given)
    kept = msgspec.structs.replace(
        adjustment, additions=labels, trials=(), stabilised=False, stabilising="", vessel=None, serving_temperature=293.15
    ) if given else Adjustment(gravity=adjustment.gravity)  # fmt: skip
    return msgspec.structs.replace(
        batch, name="-", notes="", tastings=(), tests=(), adjustment=kept, recipe=recipe,
        log=msgspec.structs.replace(log, readings=log.entries.alike(note="")),
    )  # fmt: skip


def _asking(judged: Verdict, unfed: tuple[Finding, ...]) -> Verdict:
    """A verdict of what is late or stands still, which asks after the first step for feeds that were never logged."""
    if judged.kind not in (SLOW, STALLED) or not unfed:
        return judged
    first, *others = judged.steps
    return msgspec.structs.replace(judged, steps=(first, *(finding.text for finding in unfed), *others))


def _names(catalogue: Catalogue) -> dict[str, str]:
    """What may be fed or added while it works is called, by key."""
    return {**offered(catalogue), **{key: row.name for key, row in catalogue.nutrients.items()}}


def _verdict(
    batch: Batch,
    done: Recipe,
    curve: Curve,
    rows: tuple[readings.Logged, ...],
    after: Posterior,
    catalogue: Catalogue,
    torn: tuple[instrument_conflicts.Disagreement, ...],
) -> Verdict:
    """What the posterior means, with what the next steps depend on: the temperature kept, the pH last found, the yeast."""
    yeast = catalogue.yeast(done.yeast.key)
    day = after.steps[-1].evidence.day
    kept = sorted((step.day, step.temperature) for step in done.temperatures) or [(0.0, course.UNPLANNED)]
    acidity = sorted((r.day, r.ph) for r in rows if r.ph is not None and r.day is not None and not r.excluded)
    around = Circumstances(
        temperature=float(temperature_at(kept, day)),
        coldest=yeast.t_low,
        best=yeast.t_best,
        hottest=yeast.t_high,
        ph=acidity[-1][1] if acidity else None,
        sweet=max(float(curve.sugar[-1]), batch.recipe.wish.sweetness or 0.0) > STILL_SWEET,
        coming=headline.next_feed(batch, curve, day, _names(catalogue)),
        torn=torn,
    )
    return verdict(after, Plan(curve.days, curve.gravity, curve.band[3]), around)


SOME_MUST = Liquid.of(water=0.8, glucose=0.1, fructose=0.1)
"""Stands for the must where there is none yet, so that doubts about the log itself can be told. [kg]"""


def pending(batch: Batch) -> Outcome:
    """Of a batch of which nothing is worked out yet."""
    return Outcome(batch, None, None, None, (), None, None, (), headline.PENDING, False)


def _without_science(batch: Batch, findings: tuple[Finding, ...], today: datetime | None, members: int) -> Outcome:
    rows = readings.logged(batch.log, readings.path(SOME_MUST)) if batch.log.readings else ()
    # Whether a reading fits the must cannot be said without one.
    fitting = tuple(msgspec.structs.replace(row, fits=True) for row in rows)
    found = (*findings, *log_findings.log_findings(batch, fitting, today))
    return Outcome(
        batch, None, None, None, (), None, None, found, headline.headline(batch, None, None, (), today), members > 0
    )


def _gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda finding: -finding.level))


def _must_outcome(batch: Batch, start: Must, catalogue: Catalogue) -> MustOutcome:
    liquid, acidity = start.liquid, start.ph
    alone = start.nitrogen.size == 1
    measured = {"ph": ph_of_must(batch.log), "acid": acid_of_must(batch.log)}
    room, heavy = volume(liquid), gravity(liquid)
    later = fermentable(together(batch.recipe, catalogue, start.nitrogen.size - 1))
    return MustOutcome(
        volume=Span.of(room),
        mass=Span.of(liquid.mass),
        gravity=Span.of(heavy),
        first=Span.of(gravity(start.free())),
        brix=Span.of(brix_from_gravity(heavy)),
        sugar=Span.of(fermentable(liquid) / room),
        sugar_in_all=Span.of((fermentable(liquid) + later) / room),
        acid=Span.of(titratable_acid(liquid)),
        nitrogen=Span.of(start.nitrogen / room),
        juices=tuple(Span.of(volume(juice)) for juice in start.juices),
        ph=Span.exactly(acidity.typical) if alone and acidity is not None else acidity,
        measured=tuple(name for name, found in measured.items() if found is not None),
    )


def _finish_outcome(ahead: course.Expected) -> FinishOutcome:
    end: Liquid = ahead.finished
    return FinishOutcome(
        gravity=Span.of(gravity(end)),
        dry_gravity=Span.of(gravity(ahead.dry)),
        alcohol=Span.of(alcohol(end)),
        sugar=Span.of(fermentable(end) / volume(end)),
        acid=Span.of(titratable_acid(end)),
        volume=Span.of(volume(end)),
        day=Span.of(ahead.finish_day),
        parts=finish_budget(end),
    )


def _ferments(start: Must) -> bool:
    """Whether the typical must holds sugar for yeast."""
    return float(fermentable(start.liquid)[0]) > LEAST_SUGAR * float(volume(start.liquid)[0])


def _planned(batch: Batch, start: Must, ahead: course.Expected, catalogue: Catalogue) -> Array | None:
    """The curve of the recipe alone, so that a change of the recipe shows although the must has been measured."""
    alone = typical(start)
    if not _ferments(alone):
        return None
    plan = course.expected(batch.recipe, alone, catalogue, float(ahead.days[-1]))
    return np.interp(ahead.days, plan.days, plan.gravity[:, 0])


def _curve(ahead: course.Expected, planned: Array | None, batch: Batch) -> Curve:
    # Their own, so that the curve on the screen does not keep those of all members.
    middle, strength, left = (each[:, 0].copy() for each in (ahead.gravity, ahead.alcohol, ahead.sugar))
    if ahead.gravity.shape[1] > 1:
        band = percentiles(ahead.gravity[:, 1:], (5.0, 25.0, 75.0, 95.0))
    else:
        band = np.broadcast_to(middle, (4, middle.size))
    return Curve(
        days=ahead.days,
        gravity=middle,
        alcohol=strength,
        sugar=left,
        planned=planned,
        band=band,
        temperature=ahead.temperature,
        used=ahead.used,
        feeds=tuple(moment for moment in ahead.feeds if moment.feed < len(batch.recipe.feeds)),
        step_feeds=tuple(moment for moment in ahead.step_feeds if moment.feed < len(batch.recipe.step_feeds)),
        third_day=ahead.third_day,
        on_fruit=ahead.start.pulp is not None,
    )
