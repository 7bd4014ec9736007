"""From a batch to its posterior: the recipe as really done becomes particles, the log becomes evidence."""

from __future__ import annotations

import itertools

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, Recipe, SugarReading
from planner.model.given import Dose
from planner.model.liquid import volume
from planner.model.numerics import median
from planner.model.random_scores import scores
from planner.model.span import Z_90
from planner.reference.catalogue import Catalogue
from planner.timeline.actual_recipe import as_measured, met
from planner.timeline.course import UNPLANNED, WARMER, Expected
from planner.timeline.culture import culture
from planner.timeline.observations import Evidence, reading_doubt
from planner.timeline.posterior import LONGEST, PARTICLES, Posterior, posterior
from planner.timeline.prior import Outset, outset
from planner.timeline.readings import OF_FERMENT, SUGAR_DOUBT, Columns, Logged, columns_of

Array = npt.NDArray[np.float64]

MOST_READINGS = 60
"""Readings that are weighed one by one; denser ones, of a sensor, are first gathered into so many. [-]"""

FEWEST_GATHERED = 20
"""Gathered readings of a sensor that are left room for beside those by hand. [-]"""

LEAST_DOUBT = 0.0004
"""Standard deviation that is left to gathered readings, because an instrument errs the same way each time. [-]"""


def evidence(batch: Batch, rows: tuple[Logged, ...], anchored: bool) -> tuple[Evidence, ...]:
    """What the log says of the ferment, in the order of days.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    rows : tuple of Logged
        Its log as understood. [as its fields]
    anchored : bool
        Whether the course already starts from a measured gravity; readings before half a day then say nothing new.

    Returns
    -------
    tuple of Evidence
        Gravities and sugar tests that count, after pitching. Where there are too many gravities, those of a stretch of days
        stand together as their median. [as its fields]
    """
    told = columns_of(rows)
    counts = np.isin(told.tells, OF_FERMENT) & ~told.excluded & np.isfinite(told.day)
    since = counts & (told.day > 0.0) & (told.day <= LONGEST)
    floated = np.flatnonzero(counts & ((told.kind == "hydrometer") | (told.kind == "sensor")))
    least = reading_doubt([rows[place].indicated or 0.0 for place in floated])
    late = since & (told.day > 0.5) if anchored else since
    which = np.flatnonzero(late & (told.tells == "gravity") & np.isfinite(told.gravity))
    which = which[np.argsort(told.day[which], kind="stable")]
    gravities = _gravities(which, told, least)
    tests = [_test(batch, rows[place]) for place in np.flatnonzero(since & (told.tells == "sugar"))]
    return tuple(sorted([*gravities, *tests], key=lambda e: (e.day, e.kind == "sugar")))


def _test(batch: Batch, row: Logged) -> Evidence:
    """A sugar test, with its standard deviation."""
    reading = batch.log.readings[row.index]
    stated = reading.doubt if isinstance(reading, SugarReading) else None
    usual = max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * row.sugar, row.sugar if row.below else 0.0)
    doubt = max(usual if stated is None or row.below else stated, 0.2) / Z_90
    return Evidence(row.index, row.day or 0.0, "sugar", row.sugar, doubt, 2.0 * row.sugar if row.below else None)


def _gravities(places: npt.NDArray[np.intp], told: Columns, least: float) -> list[Evidence]:
    """Gravities in the order of days. Of too many those of a sensor are gathered, so that one read by hand among them counts for
    itself; unless those by hand are many, too."""
    doubts = np.fmax(0.5 * (told.high[places] - told.low[places]) / Z_90, least)
    floats = told.kind[places] == "sensor"
    most = MOST_READINGS - np.count_nonzero(~floats)
    apart = places.size > MOST_READINGS and most >= FEWEST_GATHERED
    parts = ((~floats, MOST_READINGS), (floats, int(most))) if apart else ((np.full(places.size, True), MOST_READINGS),)
    return [
        found
        for part, at_most in parts
        for found in _gathered(places[part], told.day[places[part]], told.gravity[places[part]], doubts[part], at_most)
    ]


def _gathered(places: npt.NDArray[np.intp], days: Array, values: Array, doubts: Array, most: int) -> list[Evidence]:
    """At most so many, each the median of those of its stretch of days; the last one is never older than its own."""
    if days.size <= most:
        each = zip(places.tolist(), days.tolist(), values.tolist(), doubts.tolist(), strict=True)
        return [Evidence(place, day, "gravity", value, doubt) for place, day, value, doubt in each]
    edges = np.linspace(days[0], days[-1], most + 1)[1:-1]
    bounds = [0, *np.searchsorted(days, edges, side="left").tolist(), days.size]
    together = []
    for first, end in itertools.pairwise(bounds):
        if first == end:
            continue
        mine = slice(first, end)
        doubt = max(median(doubts[mine]) / np.sqrt(end - first), LEAST_DOUBT)
        middle = median(values[mine])
        together.append(
            Evidence(int(places[end - 1]), median(days[mine]), "gravity", middle, doubt, readings=end - first)
        )
    return together


def beginning(recipe: Recipe, ahead: Expected, catalogue: Catalogue, size: int = PARTICLES) -> Outset:
    """The particles of a batch at pitching.

    Parameters
    ----------
    recipe : Recipe
        As really done: see `given.as_given`. [as its fields]
    ahead : Expected
        Its expected course, with an ensemble. [as its fields]
    catalogue : Catalogue
        The shelf. [-]
    size : int
        Number of particles. [-]
    """
    start, members = ahead.start, ahead.start.nitrogen.size - 1
    room = volume(start.liquid)
    yeast = catalogue.yeast(recipe.yeast.key)
    steps = sorted((step.day, step.temperature) for step in recipe.temperatures) or [(0.0, UNPLANNED)]
    doses = [Dose(dose.day, dose.nitrogen * ahead.room / room) for dose in ahead.doses if dose.liquid is None]
    return outset(
        start.liquid,
        start.nitrogen / room,
        ahead.yields,
        culture(recipe, start, ahead.yields, catalogue, ahead.fall_of_ph),
        WARMER.at(scores("must/warmer", members), -np.inf),
        steps,
        doses,
        (yeast.t_low, yeast.t_high),
        size,
    )


def weighed(
    batch: Batch, recipe: Recipe, ahead: Expected, rows: tuple[Logged, ...], anchored: bool, catalogue: Catalogue
) -> Posterior | None:
    """The course as the log has it.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    recipe : Recipe
        Its recipe as really done. [as its fields]
    ahead : Expected
        The expected course, with an ensemble. [as its fields]
    rows : tuple of Logged
        The log. [as its fields]
    anchored : bool
        Whether the course starts from a measured gravity. [-]
    catalogue : Catalogue
        The shelf. [-]

    Returns
    -------
    Posterior or None
        None where the log says nothing yet, no yeast is pitched, or there is no ensemble to weigh. [as its fields]
    """
    log = evidence(batch, rows, anchored)
    if not log or ahead.start.nitrogen.size < 2 or recipe.yeast.pitch <= 0.0:
        return None
    counted = as_measured(batch, recipe, rows)
    happened = met(batch, recipe, counted, rows, log[-1].day)
    return msgspec.structs.replace(posterior(beginning(counted, ahead, catalogue), log), met=happened)
