"""From a batch to its posterior: the recipe as really done becomes a prior, the log becomes observations."""

from __future__ import annotations

import itertools
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, Recipe, SugarReading
from planner.document.reading_kinds import GRAVITIES
from planner.model.liquid import gravity
from planner.model.numerics import median
from planner.model.random_scores import scores
from planner.model.span import Z_90, Span
from planner.reference.catalogue import Catalogue
from planner.timeline.actual_recipe import as_measured, met
from planner.timeline.course import UNPLANNED, WARMER, Expected
from planner.timeline.culture import culture
from planner.timeline.current_gravity import present_gravity
from planner.timeline.instrument_checks import OFFSETS, checked, instrument_of
from planner.timeline.observations import BY_EYE, Observation, reading_doubt
from planner.timeline.particle_filter import HALF
from planner.timeline.posterior import PARTICLES, Posterior, posterior
from planner.timeline.prior import Prior, as_learnt, prior_of
from planner.timeline.readings import OF_FERMENT, Columns, Logged, columns_of, sugar_doubt
from planner.timeline.start_reading import starting_reading
from planner.timeline.state import by_rival, gravity_of, liquids, state_of

Array = npt.NDArray[np.float64]

MOST_READINGS = 60
"""Readings that are weighed one by one; denser ones, of a sensor, are first gathered into so many. [-]"""

FEWEST_GATHERED = 20
"""Gathered readings of a sensor that are left room for beside those by hand. [-]"""

LEAST_SD = 0.0006
"""Standard deviation that is left to gathered readings. [-] A sensor's noise within an hour or two is not of one reading alone."""


def observations_of(batch: Batch, rows: tuple[Logged, ...], anchored: bool) -> tuple[Observation, ...]:
    """What the log says of the ferment, in the order of days.

    Parameters
    ----------
    anchored : bool
        Whether the course already starts from a measured gravity; readings before half a day then say nothing new.

    Returns
    -------
    tuple of Observation
        Gravities and sugar tests that count, after pitching. Where there are too many gravities, those of a stretch of days
        stand together as their median. [as its fields]
    """
    told = columns_of(rows)
    counts = np.isin(told.tells, OF_FERMENT) & ~told.excluded & np.isfinite(told.day)
    since = counts & (told.day > 0.0)
    floated = np.flatnonzero(counts & np.isin(told.kind, GRAVITIES))
    scatter = batch.learning.of("scatter")
    least = reading_doubt([rows[place].indicated or 0.0 for place in floated])
    least *= 1.0 if scatter is None else np.exp(scatter.mean)
    late = since & (told.day > 0.5) if anchored else since
    which = np.flatnonzero(late & (told.tells == "gravity") & np.isfinite(told.gravity))
    which = which[np.argsort(told.day[which], kind="stable")]
    gravities = _gravities(which, told, least, _instruments(batch, told, which))
    tests = [_test(batch, rows[place]) for place in np.flatnonzero(since & (told.tells == "sugar"))]
    return tuple(sorted([*gravities, *tests], key=lambda e: (e.day, e.kind == "sugar")))


def _test(batch: Batch, row: Logged) -> Observation:
    """A sugar test, with its standard deviation."""
    reading = batch.log.readings[row.index]
    stated = reading.doubt if isinstance(reading, SugarReading) else None
    usual = sugar_doubt(row.sugar, None if row.below else stated)
    sd = max(usual, row.sugar if row.below else 0.2) / Z_90
    return Observation(row.index, row.day or 0.0, "sugar", row.sugar, sd, 2.0 * row.sugar if row.below else None)


def _instruments(batch: Batch, told: Columns, places: npt.NDArray[np.intp]) -> list[tuple[str, float]]:
    """What each reading was read with, and the standard deviation of that instrument's constant error. [-]"""
    names, errors = batch.log.entries.values("instrument"), checked(batch.log)
    called = [(instrument_of(told.kind[place], names[place]), told.kind[place]) for place in places]
    return [(name, errors[name].sd if name in errors else OFFSETS[kind]) for name, kind in called]


def _gravities(
    places: npt.NDArray[np.intp], told: Columns, least: float, instruments: list[tuple[str, float]]
) -> list[Observation]:
    """Gravities in the order of days. Of too many those of a sensor are gathered, so that one read by hand among them counts for
    itself; unless those by hand are many, too."""
    constant = np.array([sd for _, sd in instruments])
    stated = 0.5 * (told.high[places] - told.low[places]) / Z_90
    # Of a stated doubt the constant error is a part; a stem's lines are what one reading of it leaves open.
    sds = np.fmax(np.sqrt(np.maximum(stated**2 - constant**2, 0.0)), least)
    floats = told.kind[places] == "sensor"
    most = MOST_READINGS - np.count_nonzero(~floats)
    apart = places.size > MOST_READINGS and most >= FEWEST_GATHERED
    parts = ((~floats, MOST_READINGS), (floats, int(most))) if apart else ((np.full(places.size, True), MOST_READINGS),)
    names = np.array([name for name, _ in instruments], dtype=object)
    return [
        found
        for part, at_most in parts
        for found in _gathered(
            places[part],
            told.day[places[part]],
            told.gravity[places[part]],
            sds[part],
            names[part],
            constant[part],
            at_most,
        )
    ]


def _gathered(
    places: npt.NDArray[np.intp], days: Array, values: Array, sds: Array, names: Any, constant: Array, most: int
) -> list[Observation]:
    """At most so many, each the median of those of its stretch of days; the last one is never older than its own."""
    if days.size <= most:
        each = zip(*(c.tolist() for c in (places, days, values, sds, names, constant)), strict=True)
        return [Observation(place, day, "gravity", value, sd, instrument=name, offset_sd=offset)
                for place, day, value, sd, name, offset in each]  # fmt: skip
    edges = np.linspace(days[0], days[-1], most + 1)[1:-1]
    bounds = [0, *np.searchsorted(days, edges, side="left").tolist(), days.size]
    together = []
    for first, end in itertools.pairwise(bounds):
        if first == end:
            continue
        mine = slice(first, end)
        sd = max(median(sds[mine]) / np.sqrt(end - first), LEAST_SD)
        together.append(
            Observation(int(places[end - 1]), median(days[mine]), "gravity", median(values[mine]), sd,
                        readings=end - first, instrument=names[end - 1], offset_sd=float(constant[end - 1]))
        )  # fmt: skip
    return together


def starting_observation(batch: Batch, rows: tuple[Logged, ...]) -> Observation | None:
    """The starting gravity to which the must was brought, as an observation by its instrument; None without one."""
    row = starting_reading(rows)
    if row is None:
        return None
    name, errors = instrument_of(row.kind, batch.log.readings[row.index].instrument), checked(batch.log)
    offset = errors[name].sd if name in errors else OFFSETS[row.kind]
    return Observation(row.index, 0.0, "gravity", row.gravity, BY_EYE, instrument=name, offset_sd=offset)


def prior_of_recipe(recipe: Recipe, ahead: Expected, catalogue: Catalogue, size: int = PARTICLES) -> Prior:
    """The particles of a batch at pitching.

    Parameters
    ----------
    size : int
        Number of particles. [-]
    """
    start, members = ahead.start, ahead.start.nitrogen.size - 1
    yeast = catalogue.yeast(recipe.yeast.key)
    steps = sorted((step.day, step.temperature) for step in recipe.temperatures) or [(0.0, UNPLANNED)]
    found = prior_of(
        start.free(),
        start.free_nitrogen / ahead.room,
        ahead.yields,
        culture(recipe, start, ahead.yields, catalogue, ahead.fall_of_ph),
        WARMER.at(scores("must/warmer", members), -np.inf),
        steps,
        ahead.doses,
        (yeast.t_low, yeast.t_high),
        size,
    )
    return as_learnt(found, yeast.habits)


def _raised(log: tuple[Observation, ...], ahead: Expected) -> tuple[Observation, ...]:
    """The same, each gravity with what honey and juice given before it have raised it by: about as much as an unfermented must."""
    stages = [(day, float(gravity(liquid.member(0)))) for day, liquid in ahead.stages]
    if len(stages) == 1:
        return log
    first = stages[0][1]
    return tuple(
        msgspec.structs.replace(one, raised=next(whole for day, whole in reversed(stages) if day < one.day) - first)
        if one.kind == "gravity" else one
        for one in log
    )  # fmt: skip


def posterior_of(
    batch: Batch, recipe: Recipe, ahead: Expected, rows: tuple[Logged, ...], anchored: bool, catalogue: Catalogue
) -> Posterior | None:
    """The course as the log has it.

    Returns
    -------
    Posterior or None
        None where the log says nothing yet, no yeast is pitched, or there is no ensemble to weigh. [as its fields]
    """
    log = observations_of(batch, rows, anchored)
    if not log or ahead.start.nitrogen.size < 2 or recipe.yeast.pitch <= 0.0:
        return None
    counted = as_measured(batch, recipe, rows)
    happened = met(batch, recipe, counted, rows, log[-1].day)
    start = starting_observation(batch, rows) if anchored else None
    log = _raised(log, ahead)
    prior = prior_of_recipe(counted, ahead, catalogue)
    return as_liquids(ahead, msgspec.structs.replace(posterior(prior, log, start=start), met=happened))


def as_liquids(ahead: Expected, after: Posterior, rival: Span | None = None) -> Posterior:
    """The same, its figures asked of liquids, so that whoever asks these liquids later is told the same.

    Parameters
    ----------
    after : Posterior
        The course as the log has it, after one reading at least. [as its fields]
    rival : Span, optional
        Sugar by an instrument that contradicts the log: half of the possible ferments are by it. [kg/m^3]
    """
    here = present_gravity(after)
    liquid = liquids(ahead, after.present, None if here is None else here.gravity.typical)
    liquid = liquid if rival is None else by_rival(ahead, liquid, rival)
    now = after.steps[-1]
    rests = after.held or (now.tested and now.moving < HALF)
    ends = liquid if rests else liquids(ahead, after.finish)
    state, end = state_of(liquid), state_of(ends)
    last = msgspec.structs.replace(now, sugar=state.sugar, alcohol=state.alcohol)
    last = last if rival is not None else msgspec.structs.replace(last, indicated=gravity_of(liquid))
    return msgspec.structs.replace(
        after, steps=(*after.steps[:-1], last), here=liquid, ends=ends, finish_gravity=gravity_of(ends),
        finish_sugar=end.sugar, finish_alcohol=end.alcohol,
    )  # fmt: skip
