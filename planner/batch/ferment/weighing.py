"""From a batch to its posterior: the recipe as really done becomes particles, the log becomes evidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from planner.batch.batch import Batch, Recipe, SugarReading
from planner.batch.ferment.course import UNPLANNED, WARMER, Expected, culture
from planner.batch.ferment.evidence import Evidence, reading_doubt
from planner.batch.ferment.given import as_measured, met
from planner.batch.ferment.outset import Outset, outset
from planner.batch.ferment.posterior import LONGEST, PARTICLES, Posterior, posterior
from planner.batch.ferment.readings import SUGAR_DOUBT, Logged
from planner.batch.scores import scores
from planner.model.liquid import volume
from planner.model.simulate import Dose
from planner.model.span import Z_90
from planner.reference.catalogue import Catalogue

MOST_READINGS = 60
"""Readings that are weighed one by one; denser ones, of a sensor, are first gathered into so many. [-]"""

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
    least = reading_doubt([row.indicated for row in rows if row.counts and row.indicated is not None])
    found = [
        Evidence(row.index, row.day, row.tells, *_value(batch, row, least), 2.0 * row.sugar if row.below else None)
        for row in rows
        if row.counts and row.day is not None and row.day > (0.5 if anchored and row.tells == "gravity" else 0.0)
    ]
    found = [e for e in found if np.isfinite(e.value) and e.day <= LONGEST]
    gravities = sorted((e for e in found if e.kind == "gravity"), key=lambda e: e.day)
    tests = [e for e in found if e.kind == "sugar"]
    return tuple(sorted([*_gathered(gravities), *tests], key=lambda e: (e.day, e.kind == "sugar")))


def _value(batch: Batch, row: Logged, least: float) -> tuple[float, float]:
    """What was found and its standard deviation."""
    if row.tells == "sugar":
        reading = batch.log.readings[row.index]
        stated = reading.doubt if isinstance(reading, SugarReading) else None
        usual = max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * row.sugar, row.sugar if row.below else 0.0)
        return row.sugar, max(usual if stated is None or row.below else stated, 0.2) / Z_90
    doubt = 0.5 * (row.high - row.low) / Z_90
    return row.gravity, max(doubt, least) if np.isfinite(doubt) else least


def _gathered(gravities: Sequence[Evidence]) -> list[Evidence]:
    """At most `MOST_READINGS`, each the median of those of its stretch of days; the last one is never older than its own."""
    if len(gravities) <= MOST_READINGS:
        return list(gravities)
    days = np.array([e.day for e in gravities])
    edges = np.linspace(days[0], days[-1], MOST_READINGS + 1)
    groups = np.clip(np.searchsorted(edges, days, side="right") - 1, 0, MOST_READINGS - 1)
    together = []
    for group in sorted(set(groups.tolist())):
        mine = [gravities[int(i)] for i in np.flatnonzero(groups == group)]
        middle = float(np.median([e.value for e in mine]))
        doubt = max(float(np.median([e.doubt for e in mine])) / np.sqrt(len(mine)), LEAST_DOUBT)
        together.append(Evidence(mine[-1].place, float(np.median([e.day for e in mine])), "gravity", middle, doubt))
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
    doses = []
    for moment in ahead.feeds:
        feed = recipe.feeds[moment.feed]
        content = catalogue.nutrient(feed.key).nitrogen.at(scores(f"nutrient/{feed.key}", members))
        doses.append(Dose(moment.day, feed.mass * content / room))
    return outset(
        start.liquid,
        start.nitrogen / room,
        ahead.yields,
        culture(recipe, start, ahead.yields, catalogue, own_pace=False),
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
    return replace(posterior(beginning(counted, ahead, catalogue), log), met=happened)
