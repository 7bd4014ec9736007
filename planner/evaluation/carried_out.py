"""A batch as it was carried out: the course that its recipe and the log's deeds lead to, and the log as it reads along it."""

from __future__ import annotations

from typing import NamedTuple

import msgspec
import numpy as np

from planner.adjusting.after_dosing import apart_from_doses
from planner.document import pitch_date
from planner.document.batch import Batch, Event, Log, Recipe
from planner.model.fermentation import TYPICAL_YIELDS, Yields
from planner.model.liquid import volume
from planner.recipe.must import Must, anchored, starts_at
from planner.recipe.step_feeding import together
from planner.reference.catalogue import Catalogue
from planner.timeline import course, readings, start_reading
from planner.timeline.actual_recipe import as_given, as_measured, as_racked, as_warmed


def _added_by(done: Recipe, day: float) -> Recipe:
    """A recipe with no more of what is added to the must than went in by a day. [d]"""
    lines = tuple(line for line in done.step_feeds if line.day is not None and line.day <= day)
    return msgspec.structs.replace(done, step_feeds=lines)


def way_of(ahead: course.Expected) -> readings.Path:
    """The way of the typical must, from each addition on the one that it goes then."""
    begins, *grown = ((day, liquid.member(0)) for day, liquid in ahead.stages)
    return readings.path(begins[1], _typical(ahead.yields), grown)


def _typical(yields: Yields) -> Yields:
    """The yields of the first member alone."""
    return Yields(*(float(np.atleast_1d(value)[0]) for value in yields)) if yields else TYPICAL_YIELDS


def carried_out(
    batch: Batch, start: Must, rows: tuple[readings.Logged, ...], catalogue: Catalogue
) -> tuple[Recipe, course.Expected, float | None, float | None]:
    """The recipe as it was carried out and the course that it leads to; the gravity read at pitching, and whether it starts there."""
    first = start_reading.starting_reading(rows)
    was_read, read_on = (None, 0.0) if first is None else (first.gravity, first.day or 0.0)
    done = as_given(batch)
    early = together(_added_by(done, read_on), catalogue, start.nitrogen.size - 1)
    real = start if was_read is None else anchored(start, was_read, read_on, early)
    measured_start = was_read if was_read is not None and starts_at(real, was_read, read_on, early) else None
    real = start if measured_start is None else real
    last = max((r.day for r in rows if r.counts and r.day is not None), default=0.0)
    ahead = course.expected(done, real, catalogue, last)
    racked = as_racked(batch, done, ahead)
    if racked is not done:
        done, ahead = racked, course.expected(racked, real, catalogue, last)
    return done, ahead, was_read, measured_start


LONG_LOG = 1000
"""Entries from which on a log is not read for a course alone. [-]"""


def shortened(log: Log) -> Log:
    """Of a long log what its course depends on: where it began, and how long it is; events never stand in a long run."""
    if len(log.entries) < LONG_LOG:
        return log
    days = pitch_date.days(log)
    kept = (days >= readings.AT_PITCHING[0]) & (days <= readings.AT_PITCHING[1]) | (
        days == np.nanmax(days, initial=0.0)
    )
    for kind, places in log.entries.places().items():
        kept[places] |= issubclass(kind, Event)
    return msgspec.structs.replace(log, readings=log.entries.without(np.flatnonzero(~kept).tolist()))


def understood(batch: Batch, ahead: course.Expected, way: readings.Path, catalogue: Catalogue) -> readings.Rows:
    """The log along a course."""
    rows = readings.logged(batch.log, way)
    return apart_from_doses(batch, rows, way, float(volume(ahead.whole)[0]), catalogue)


class Led(NamedTuple):
    """A batch as it was carried out, up to where its log is weighed."""

    done: Recipe
    ahead: course.Expected
    rows: tuple[readings.Logged, ...]
    anchored: bool  # whether its start was read


def led(batch: Batch, start: Must, catalogue: Catalogue) -> Led:
    """A batch from its must, acids as measured, up to where its log is weighed: the log of many is so read quickly.

    Raises
    ------
    PathError
        The course cannot be worked out.
    """
    rows = readings.logged(batch.log, readings.path(start.free().member(0)))
    done, ahead, was_read, _ = carried_out(batch, start, rows, catalogue)
    rows = understood(batch, ahead, way_of(ahead), catalogue)
    done = as_warmed(done, ahead.days, ahead.temperature)
    return Led(as_measured(batch, done, rows), ahead, rows, was_read is not None)
