"""The mead before anything is added to it: the state of the batch by its log, or as the recipe foresees it, or as measured."""

from __future__ import annotations

from enum import StrEnum

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.done import Done, done_to, since_first_dose
from planner.adjusting.sugar_test import differs
from planner.document.batch import Batch, Recipe
from planner.model.fermentation import TYPICAL_YIELDS, Yields, partly_fermented
from planner.model.liquid import Liquid, alcohol, fermentable, fermentable_concentration, gravity
from planner.model.numerics import solve_increasing
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.must import MEASURED_GRAVITY_ERROR, with_gravity
from planner.reference.catalogue import Catalogue
from planner.timeline.course import Expected, volume_on
from planner.timeline.ferment_ph import ph_at_rest
from planner.timeline.logged_acidity import NEVER, acid_of_mead, ph_of_mead
from planner.timeline.particle_filter import HALF, Present
from planner.timeline.posterior import Posterior
from planner.timeline.readings import AT_PITCHING, Logged
from planner.timeline.state import brought_to, on_days, sweeter, titrated, torn
from planner.timeline.sugar_tests import drawn
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST

Array = npt.NDArray[np.float64]

SAME_MEAD = 0.003
"""Difference of gravity up to which a measured gravity is that of the mead of the log. [-] As for sugar tests."""

SINCE = TYPICAL_YIELDS._replace(malic=0.0)
"""Yields of what a mead ferments further. [kg/kg] Its malic acid went with the sugar before."""

SOURING = ("acid", "deacidifier")
"""Groups of additives after which acid is another, so that no reading tells of the mead before them."""


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


class KnownMead(msgspec.Struct, frozen=True, eq=False):
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
    acid_from_log : bool
        Whether its acid was titrated, by the log.
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
    room : float or None
        Its volume by the last one measured before anything was stirred in; None where none was measured. [m^3]
    done : tuple of Done
        What the log says was stirred in, and volumes measured since.
    """

    liquid: Liquid
    basis: Basis
    kind: str = ""
    day: Span | None = None
    present: Present | None = None
    ph: Span | None = None
    ph_from_log: bool = False
    acid_from_log: bool = False
    by_log: bool = False
    kept_at: tuple[float, float | None] | None = None
    differs: tuple[float, float] | None = None
    by_test: bool = False
    torn: bool = False
    room: float | None = None
    done: tuple[Done, ...] = ()


def known_mead(
    batch: Batch,
    done: Recipe,
    ahead: Expected,
    rows: tuple[Logged, ...],
    after: Posterior | None,
    kind: str,
    catalogue: Catalogue,
    contradicted: bool = False,
) -> KnownMead:
    """Where the mead stands before its additions.

    Parameters
    ----------
    kind : str
        The verdict on the log; empty without one. [-]

    Returns
    -------
    KnownMead
        The person's own gravity wins; then a log at rest, then the forecast of a log that moves, then the plan.
    """
    measured, now = batch.adjustment.gravity, None if after is None else after.now
    rests, logged = (
        kind in (FINISHED, STALLED, TEST),
        any(row.counts and row.tells == "gravity" and (row.day or 0.0) > AT_PITCHING[1] for row in rows),
    )
    day: Span | None = None
    if after is None or now is None or after.here is None or after.ends is None:
        liquid, basis, day = ahead.finished, Basis.FORECAST if logged else Basis.EXPECTED, Span.of(ahead.finish_day)
    elif rests:
        liquid, basis, day = after.here, Basis.AT_REST, Span.exactly(now.evidence.day)
    else:
        liquid, basis, day = after.ends, Basis.FORECAST, after.finish_day
    tested = now is not None and now.tested and now.bad < HALF
    same = True
    if measured is not None:
        here = liquid if after is None or after.here is None else after.here
        same = now is not None and rests and abs(now.indicated.typical - measured) <= SAME_MEAD
        if not (same and contradicted):  # of two possibilities none is brought to a gravity that only one of them has
            liquid = _at(measured, here, ahead, now, same, tested or contradicted)
        basis, day = Basis.MEASURED, None
    other = None if measured is None or (same and now is not None and _of_many(now)) else differs(rows, measured)
    soured = _soured(batch, catalogue)
    found, acid = ph_of_mead(batch.log, soured), acid_of_mead(batch.log, soured)
    if acid is not None:
        liquid = titrated(liquid, acid.at(scores("log/acid of the mead", liquid.masses.shape[1] - 1), 0.0))
    return KnownMead(
        liquid=liquid,
        basis=basis,
        kind=kind,
        day=day,
        present=now if same else None,
        ph=found if found is not None else ph_at_rest(done, ahead.start, catalogue, _used(ahead, liquid)),
        ph_from_log=found is not None,
        acid_from_log=acid is not None,
        by_log=now is not None and same,
        kept_at=_kept_at(done, rows),
        differs=None if other is None else (other.gravity, other.day or 0.0),
        by_test=tested and basis in (Basis.AT_REST, Basis.MEASURED),
        torn=contradicted and basis in (Basis.AT_REST, Basis.MEASURED),
        room=_measured_room(
            batch, liquid, now.evidence.day if now is not None and rests else np.inf, ahead, after, catalogue
        ),
        done=since_first_dose(done_to(batch, catalogue)),
    )


def _measured_room(
    batch: Batch, liquid: Liquid, until: float, ahead: Expected, after: Posterior | None, catalogue: Catalogue
) -> float | None:
    """Volume of the mead by the last one measured before anything was stirred in. [m^3]

    What ferments or is added after it changes the volume as it does of the whole batch, of which a share was left by then.
    """
    done = done_to(batch, catalogue)
    before = done[: len(done) - len(since_first_dose(done))]
    if not before:
        return None
    (day, _), room = before[-1].when, before[-1].room or 0.0
    sugar = None if after is None else float(on_days(after, np.array([day]))[0][1, 0])
    return room * volume_on(ahead, until, float(fermentable_concentration(liquid)[0])) / volume_on(ahead, day, sugar)


def _of_many(now: Present) -> bool:
    """Whether the last of many readings that scatter need not be what all of them say. [-]"""
    return now.evidence.kind == "gravity" and now.evidence.readings > 1


def tested_after(known: KnownMead, found: float, sd: float, extract_doubt: float) -> KnownMead:
    """The mead with the sugar of a test that was made after something was stirred in, less what that brought.

    Parameters
    ----------
    found, sd : float
        Sugar before the doses, and its standard deviation. [kg/m^3]
    extract_doubt : float
        What was not known of other extract beforehand, as sugar; standard deviation. [kg/m^3]
    """
    if known.basis not in (Basis.AT_REST, Basis.MEASURED):
        return known
    liquid = known.liquid
    sugar, dice = fermentable_concentration(liquid), scores("mead/sugar left", liquid.masses.shape[1] - 1)
    moved, near, _ = drawn(sugar, float(np.mean(sugar)), found, sd, extract_doubt, dice)
    less = not near[0]
    moved = np.maximum(found + sd * dice, 0.0) if less else moved
    tested = brought_to(liquid, moved, alcohol(liquid), gravity(liquid))
    return msgspec.structs.replace(
        known, liquid=torn(liquid, tested) if less else tested, by_test=True, torn=known.torn or less
    )


def _soured(batch: Batch, catalogue: Catalogue) -> tuple[float, int]:
    """When acid or what takes it away was first stirred in: day, and place in the log. [d], [-]"""
    doses = (one for one in done_to(batch, catalogue) if one.key)
    return next((one.when for one in doses if catalogue.additive(one.key).group in SOURING), NEVER)


def _kept_at(done: Recipe, rows: tuple[Logged, ...]) -> tuple[float, float | None] | None:
    measured = [
        (r.day, r.temperature) for r in rows if not r.excluded and r.day is not None and r.temperature is not None
    ]
    if measured:
        day, kelvin = max(measured)
        return kelvin, day
    last = max(done.temperatures, key=lambda step: step.day, default=None)
    return None if last is None else (last.temperature, None)


def _at(measured: float, here: Liquid, ahead: Expected, now: Present | None, same: bool, tested: bool) -> Liquid:
    """The mead at a gravity that was entered without a day.

    What the log says of its sugar holds where that gravity is the log's. A lower one has used sugar since, but for a sugar
    test, because it may as well be the older one and bottles are at stake. What it is higher by may be sugar.
    """
    if now is None:
        return at_gravity(ahead.whole, ahead.yields, measured)
    kept = brought_to(here, fermentable_concentration(here), alcohol(here), _read(measured, here))
    if same:
        return kept
    if measured < now.indicated.typical:
        return kept if tested else at_gravity(here, SINCE, measured)
    return sweeter(at_gravity(ahead.whole, ahead.yields, measured), kept)


def _read(measured: float, of: Liquid) -> Array:
    """A gravity that was entered as each member of an ensemble may have it. [-]"""
    wanted = Span(measured - MEASURED_GRAVITY_ERROR, measured, measured + MEASURED_GRAVITY_ERROR)
    return wanted.at(scores("mead/gravity", of.masses.shape[1] - 1), 0.7)


def at_gravity(must: Liquid, yields: Yields, measured: float) -> Liquid:
    """The mead of each member that has a measured gravity.

    Where a member's must passes through that gravity, sugar is what is left; where even dry it would be heavier or
    lighter, what else is dissolved is taken to differ. So the ensemble tells how much sugar there may be.

    Parameters
    ----------
    must : Liquid
        Before, shape (components, m). [kg]
    yields : Yields
        Products per hexose. [kg/kg]
    measured : float
        Gravity, corrected. [-]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    total, wanted = fermentable(must), _read(measured, must)
    share = solve_increasing(lambda s: gravity(partly_fermented(must, s * total, yields)), wanted, 0.0, 1.0, 1e-7)
    liquid = partly_fermented(must, share * total, yields)
    off = np.abs(gravity(liquid) - wanted) > 1e-5
    return Liquid(np.where(off, with_gravity(liquid, wanted).masses, liquid.masses)) if np.any(off) else liquid


def _used(ahead: Expected, finished: Liquid) -> float:
    """Share of the sugar that a mead has used of all that it was given. [-]"""
    given, left = (float(fermentable(each.member(0))) for each in (ahead.whole, finished))
    return min(max(1.0 - left / given, 0.0), 1.0) if given > 0.0 else 0.0
