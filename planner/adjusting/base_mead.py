"""Where the mead stands before anything is added to it, and by what that is known: measured, by the log, or expected."""

from __future__ import annotations

from enum import StrEnum

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.contradiction import along, sweeter, torn
from planner.adjusting.sugar_test import (
    PER_SUGAR,
    differs,
    doubted,
    last_gravity,
    rose_since_test,
    sugar_by_test,
    tested_since,
)
from planner.document.batch import Batch, Recipe
from planner.model.components import ACIDS, SUGARS
from planner.model.constants import ETHANOL_DENSITY
from planner.model.fermentation import Yields, partly_fermented
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume
from planner.model.numerics import solve_increasing
from planner.model.random_scores import scores
from planner.model.span import Z_90, Span
from planner.recipe.must import MEASURED_GRAVITY_ERROR, with_gravity
from planner.reference.catalogue import Catalogue
from planner.timeline.course import Expected
from planner.timeline.current_gravity import present_gravity
from planner.timeline.ferment_ph import ph_at_rest
from planner.timeline.instruments import AlcoholSoFar
from planner.timeline.particle_filter import Present
from planner.timeline.particles import DRY_OFFSET, EXTRACT_DOUBT
from planner.timeline.particles import PER_SUGAR as TAKEN_FOR_SUGAR
from planner.timeline.posterior import Posterior
from planner.timeline.readings import SUGAR_DOUBT, Logged
from planner.timeline.sugar_tests import reach
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST

Array = npt.NDArray[np.float64]

SAME_MEAD = 0.003
"""Difference of gravity up to which a measured gravity is that of the mead of the log. [-] As for sugar tests."""

MOST_ALCOHOL = 0.25
"""Most alcohol that a mead is taken to have. [m^3/m^3] To there the density of the liquid was tried."""

LOGGED_PH = Span(-0.15, 0.0, 0.15)
"""Doubt about a pH of the log as that of the finished mead. [-] Estimate: an electrode's 0.05, and what has changed since."""


class Basis(StrEnum):
    """By what the mead before its additions is known."""

    MEASURED = "measured"
    """Its gravity was entered in the adjustment."""
    AT_REST = "at rest"
    """The log has come to rest: finished, stalled, or one of the two."""
    FORECAST = "forecast"
    """The log still moves: where it should come to rest."""
    EXPECTED = "expected"
    """There is no log: where the recipe should come to rest."""


class Standing(msgspec.Struct, frozen=True, eq=False):
    """The mead before its additions, as far as it is known.

    Attributes
    ----------
    liquid : Liquid
        Ensemble, shape (components, m). [kg]
    basis : Basis
        By what it is known.
    kind : str
        The verdict on the log, one of `verdict_kinds.KINDS`; empty without one.
    day : Span or None
        Of the last reading, or on which it should come to rest. [d]
    present : Present or None
        How the ferment stood at the last reading.
    ph : Span or None
        By the log, or predicted from fruit, honey and yeast; None where nothing sour goes in. [-]
    ph_from_log : bool
        Which of the two.
    by_log : bool
        Whether the liquid rests on what an ensemble made of the log.
    kept_at : (float, float or None) or None
        Temperature last known [K], and the day on which it was measured [d]; None for a planned one.
    differs : (float, float) or None
        Last gravity of the log [-] and its day [d], where the gravity entered in the adjustment is another.
    by_test : bool
        Whether a sugar test still says how much sugar there is.
    torn : bool
        Whether two instruments disagree, and half of the ensemble believes each.
    """

    liquid: Liquid
    basis: Basis
    kind: str = ""
    day: Span | None = None
    present: Present | None = None
    ph: Span | None = None
    ph_from_log: bool = False
    by_log: bool = False
    kept_at: tuple[float, float | None] | None = None
    differs: tuple[float, float] | None = None
    by_test: bool = False
    torn: bool = False


def standing(
    batch: Batch,
    done: Recipe,
    ahead: Expected,
    rows: tuple[Logged, ...],
    after: Posterior | None,
    kind: str,
    rests: bool,
    catalogue: Catalogue,
    so_far: AlcoholSoFar | None = None,
    tested: Span | None = None,
) -> Standing:
    """Where the mead stands before its additions.

    Parameters
    ----------
    batch : Batch
        What was measured. [as its fields]
    done : Recipe
        Its recipe as really done. [as its fields]
    ahead : Expected
        The expected course. [as its fields]
    rows : tuple of Logged
        The log. [as its fields]
    after : Posterior or None
        The course as the log has it. [as its fields]
    kind : str
        The verdict on the log; empty without one. [-]
    rests : bool
        Whether the last gravities agree, where there is no verdict. [-]
    catalogue : Catalogue
        The shelf. [-]
    so_far : AlcoholSoFar, optional
        Alcohol by the log. The mead has no other, as long as it is the mead that was read. [as its fields]
    tested : Span, optional
        Sugar by a test that was made after something was stirred in, without what that brought. [kg/m^3]

    Returns
    -------
    Standing
        The person's own gravity wins; then a log at rest, then the forecast of a log that moves, then the plan.
    """
    measured = batch.adjustment.gravity
    liquid, basis, day, present = _known(measured, ahead, rows, after, kind, rests)
    tested = tested if basis in (Basis.AT_REST, Basis.MEASURED) else None
    liquid, contradicts = (liquid, False) if tested is None else _as_tested(liquid, ahead, tested)
    told = _alcohol(measured, basis, after, so_far)
    liquid = liquid if told is None else as_told(liquid, told)
    rival = None if told is None or basis is Basis.FORECAST or so_far is None else so_far.rival
    if rival is not None:
        liquid = torn(liquid, along(ahead.whole, ahead.yields, rival.sugar))
    found = logged_ph(rows)
    other, last = None if measured is None else differs(rows, measured), last_gravity(rows)
    here = None if after is None else present_gravity(after)
    if (
        measured is not None
        and here is not None
        and here.is_fresh
        and last is not None
        and last.kind == "sensor"
        and abs(here.gravity.typical - measured) <= SAME_MEAD
    ):
        other = None  # the last of many that scatter is not what all of them say
    heavy = measured if measured is not None else 1.0 if last is None else last.gravity
    return Standing(
        liquid=liquid,
        basis=basis,
        kind=kind,
        day=day,
        present=present,
        ph=found if found is not None else ph_at_rest(done, ahead.start, catalogue, _used(ahead, liquid)),
        ph_from_log=found is not None,
        by_log=told is not None or (after is not None and (basis is not Basis.MEASURED or present is not None)),
        kept_at=_kept_at(done, rows),
        differs=None if other is None else (other.gravity, other.day or 0.0),
        by_test=tested is not None or sugar_by_test(rows, heavy) is not None,
        torn=rival is not None or contradicts,
    )


def _as_tested(liquid: Liquid, ahead: Expected, tested: Span) -> tuple[Liquid, bool]:
    """The mead with the sugar of a test, and whether that contradicts what was known.

    Where the test finds what was thought likely, the narrower of both holds. More than that is believed at once, because
    bottles are at stake; if it finds less than can be, both stay possible.
    """
    known = Span.of(fermentable(liquid) / volume(liquid))
    if known.low <= tested.typical <= known.high:
        tested = Span(max(known.low, tested.low), tested.typical, min(known.high, tested.high))
    found = with_sugar(ahead.whole, ahead.yields, Span.of(gravity(liquid)), tested)
    return (torn(liquid, found), True) if tested.high < known.low else (found, False)


def _kept_at(done: Recipe, rows: tuple[Logged, ...]) -> tuple[float, float | None] | None:
    measured = [
        (r.day, r.temperature) for r in rows if not r.excluded and r.day is not None and r.temperature is not None
    ]
    if measured:
        day, kelvin = max(measured)
        return kelvin, day
    last = max(done.temperatures, key=lambda step: step.day, default=None)
    return None if last is None else (last.temperature, None)


def _known(
    measured: float | None,
    ahead: Expected,
    rows: tuple[Logged, ...],
    after: Posterior | None,
    kind: str,
    rests: bool,
) -> tuple[Liquid, Basis, Span | None, Present | None]:
    must, yields = ahead.whole, ahead.yields
    now = after.now if after is not None else None
    here = present_gravity(after) if after is not None else None
    resting = kind in (FINISHED, STALLED, TEST)
    if measured is not None:
        tested = sugar_by_test(rows, measured)
        same = here is not None and abs(here.gravity.typical - measured) <= SAME_MEAD
        if tested is None and resting and now is not None and same:
            return with_sugar(must, yields, _read(measured), doubted(now.sugar)), Basis.MEASURED, None, now
        liquid = at_gravity(must, yields, measured, tested)
        if tested is not None and rose_since_test(rows, measured):
            liquid = sweeter(liquid, at_gravity(must, yields, measured))
        return liquid, Basis.MEASURED, None, None
    if after is not None and now is not None and here is not None:
        if resting:
            heavy, last = here.gravity, last_gravity(rows)
            tested = tested_since(rows, now.evidence.day, heavy.typical if last is None else last.gravity)
            if tested is not None and last is not None and (last.day or 0.0) > now.evidence.day:
                heavy = _read(last.gravity)
            liquid = with_sugar(must, yields, heavy, doubted(now.sugar) if tested is None else tested)
            return liquid, Basis.AT_REST, Span.exactly(now.evidence.day), now
        liquid = with_sugar(must, yields, after.finish_gravity, after.finish_sugar, together=True)
        return liquid, Basis.FORECAST, after.finish_day, now
    counted = [row for row in rows if row.counts and row.day is not None and row.tells == "gravity" and row.day > 0.5]
    if not counted:
        return ahead.finished, Basis.EXPECTED, Span.of(ahead.finish_day), None
    last = max(counted, key=lambda row: row.day or 0.0)
    if rests:
        liquid = at_gravity(must, yields, last.gravity, sugar_by_test(rows, last.gravity))
        return liquid, Basis.AT_REST, Span.exactly(last.day or 0.0), None
    return ahead.finished, Basis.FORECAST, Span.of(ahead.finish_day), None


def _alcohol(measured: float | None, basis: Basis, after: Posterior | None, so_far: AlcoholSoFar | None) -> Span | None:
    """What the log says of the alcohol of this mead; None where it speaks of another state of it, or not at all."""
    if basis is Basis.FORECAST and after is not None and after.now is not None:
        return after.finish_alcohol
    if so_far is None or basis in (Basis.FORECAST, Basis.EXPECTED):
        return None
    return so_far.balance if measured is None or abs(so_far.gravity - measured) <= SAME_MEAD else None


def as_told(liquid: Liquid, told: Span) -> Liquid:
    """The mead with the alcohol that the log tells: what was strongest stays so, and gravity and sugar are kept.

    Parameters
    ----------
    liquid : Liquid
        Ensemble, shape (components, m). [kg]
    told : Span
        Alcohol. [m^3/m^3]

    Returns
    -------
    Liquid
        Of the same mass. [kg]
    """
    now = alcohol(liquid)
    own = Span.of(now)
    under = now < own.typical
    wide = np.where(under, own.typical - own.low, own.high - own.typical)
    wanted = np.where(under, told.typical - told.low, told.high - told.typical)
    stretched = np.divide(wanted, wide, out=np.zeros_like(now), where=wide > 0.0)
    return with_alcohol(
        liquid, np.clip(told.typical + stretched * (now - own.typical), 0.0, MOST_ALCOHOL), gravity(liquid)
    )


def with_alcohol(liquid: Liquid, strength: Array, heavy: Array | None) -> Liquid:
    """The same mass of mead with so much alcohol.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    strength : numpy.ndarray, shape (m,)
        Alcohol. [m^3/m^3]
    heavy : numpy.ndarray, shape (m,), or None
        Gravity it shall have; what is dissolved besides sugars and acids then differs. None where gravity follows. [-]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    for _ in range(3):  # volume changes with alcohol and extract: each round leaves a twentieth of the error
        ethanol = strength * volume(liquid) * ETHANOL_DENSITY
        liquid = liquid.plus(ethanol=ethanol - liquid["ethanol"], water=liquid["ethanol"] - ethanol)
        liquid = Liquid(np.maximum(liquid.masses, 0.0))  # what is taken away whole leaves a trace below nothing
        liquid = liquid if heavy is None else with_gravity(liquid, heavy, (*SUGARS, *ACIDS))
    return liquid


def _read(measured: float) -> Span:
    return Span(measured - MEASURED_GRAVITY_ERROR, measured, measured + MEASURED_GRAVITY_ERROR)


def with_sugar(must: Liquid, yields: Yields, heavy: Span, sugar: Span, together: bool = False) -> Liquid:
    """The mead of each member that has such a gravity and so much fermentable sugar.

    Parameters
    ----------
    must : Liquid
        Musts at pitching, shape (components, m). [kg]
    yields : Yields
        Products per hexose. [kg/kg]
    heavy : Span
        Gravity. [-]
    sugar : Span
        Fermentable sugar left. [kg/m^3]
    together : bool
        Whether more sugar goes with more gravity, as in a forecast; else the gravity is known, whatever its sugar. [-]

    Returns
    -------
    Liquid
        Shape (components, m). What else is dissolved is taken to differ so that both hold. [kg]
    """
    members = must.masses.shape[1] - 1
    one, other = scores("mead/sugar left", members), scores("mead/gravity", members)
    wide, lift = heavy.high - heavy.low, PER_SUGAR * (sugar.high - sugar.low)
    bound = min(lift / wide, 1.0) if together and wide > 0.0 else 0.0
    left = sugar.at(one, 0.0)
    wanted = heavy.at(bound * one + np.sqrt(1.0 - bound**2) * other, 0.7)
    dry = partly_fermented(must, 0.0 * fermentable(must), yields)
    known = partly_fermented(must, np.minimum(left * volume(dry), fermentable(must)), yields)
    return _otherwise_dissolved(known, wanted)


def _otherwise_dissolved(liquid: Liquid, wanted: Array) -> Liquid:
    """These with a gravity of their own by other extract; by their acids too only where there is not enough of that. The
    acids' own doubt is in the members already."""
    found = with_gravity(liquid, wanted, (*SUGARS, *ACIDS))
    off = np.abs(gravity(found) - wanted) > 1e-5
    return Liquid(np.where(off, with_gravity(found, wanted, SUGARS).masses, found.masses)) if np.any(off) else found


def _disagree(must: Liquid, yields: Yields, by_gravity: Liquid, sugar: float) -> bool:
    """Whether a sugar test is further from what gravity tells than other extract of this must can account for."""
    dry = partly_fermented(must, 0.0 * fermentable(must), yields)
    lift = gravity(dry) - gravity(Liquid.of(water=dry["water"], ethanol=dry["ethanol"]))
    own = np.sqrt(np.var(gravity(dry)) + DRY_OFFSET**2 + (EXTRACT_DOUBT * float(lift[0])) ** 2) / TAKEN_FOR_SUGAR
    told = float((fermentable(by_gravity) / volume(by_gravity))[0])
    return abs(told - sugar) > reach(sugar, max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * sugar) / Z_90, float(own))


def at_gravity(must: Liquid, yields: Yields, measured: float, sugar: Span | None = None) -> Liquid:
    """The mead of each member that has a measured gravity.

    Where a member's must passes through that gravity, sugar is what is left; where even dry it would be heavier or
    lighter, what else is dissolved is taken to differ. So the ensemble tells how much sugar there may be.

    Parameters
    ----------
    must : Liquid
        Musts at pitching, shape (components, m). [kg]
    yields : Yields
        Products per hexose. [kg/kg]
    measured : float
        Gravity, corrected. [-]
    sugar : Span or None
        Fermentable sugar by a test; the gravity then tells what else is dissolved. Where that cannot be, half of the members
        believe the test. [kg/m^3]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    members = must.masses.shape[1] - 1
    if sugar is not None:
        by_gravity = at_gravity(must, yields, measured)
        if _disagree(must, yields, by_gravity, sugar.typical):
            return torn(by_gravity, along(must, yields, sugar))
        return with_sugar(must, yields, _read(measured), sugar)
    wanted, total = _read(measured).at(scores("mead/gravity", members), 0.7), fermentable(must)
    share = solve_increasing(lambda s: gravity(partly_fermented(must, s * total, yields)), wanted, 0.0, 1.0, 1e-7)
    liquid = partly_fermented(must, share * total, yields)
    off = np.abs(gravity(liquid) - wanted) > 1e-5
    return Liquid(np.where(off, with_gravity(liquid, wanted).masses, liquid.masses)) if np.any(off) else liquid


# --- pH


def logged_ph(rows: tuple[Logged, ...]) -> Span | None:
    """pH by the last reading of the log that was taken while it fermented, with its doubt; None without one. [-]

    Parameters
    ----------
    rows : tuple of Logged
        The log. [as its fields]
    """
    found = [(row.day, row.ph) for row in rows if row.ph is not None and row.day is not None and not row.excluded]
    late = [(day, ph) for day, ph in found if day > 2.0 and 2.0 <= ph <= 7.0]
    if not late:
        return None
    _, last = max(late)
    return Span(*(last + doubt for doubt in LOGGED_PH))


def _used(ahead: Expected, finished: Liquid) -> float:
    """Share of the sugar that a mead has used of all that it was given. [-]"""
    given, left = (float(fermentable(each.member(0))) for each in (ahead.whole, finished))
    return min(max(1.0 - left / given, 0.0), 1.0) if given > 0.0 else 0.0
