"""Batches that went as the model has it, for the tests of what compares them; every number is invented."""

from __future__ import annotations

from functools import cache

import msgspec
import numpy as np

from planner.document import edits
from planner.document.batch import Batch, Feed, FruitLine, HoneyLine, HydrometerReading, Recipe, TemperatureStep, Yeast
from planner.evaluation.outcome import Outcome, evaluate
from planner.reference.catalogue import catalogue

SHELF = catalogue()
DAYS = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 13.0, 17.0, 22.0, 30.0, 40.0, 55.0, 70.0)
"""On which a careful person reads. [d]"""


def recipe(**changes) -> Recipe:
    """Twenty litres of damson mead of a moderate strength, well fed, which ends dry."""
    usual = {
        "yeast": Yeast(key="all-rounder", pitch=0.010),
        "fruits": (FruitLine(key="damson", mass=10.0),),
        "honeys": (HoneyLine(key="blossom", mass=4.0),),
        "water": 9.0,
        "temperatures": (TemperatureStep(day=0.0, temperature=292.15),),
        "feeds": (
            Feed(key="yeast-autolysate", mass=0.006, day=1.0),
            Feed(key="diammonium-phosphate", mass=0.006, day=2.0),
        ),
    }
    return Recipe(**(usual | changes))


def batch(name: str = "Damson '25", **changes) -> Batch:
    """A batch by that recipe, without a log."""
    return Batch(name=name, recipe=recipe(**changes))


def logged(told: Batch, made: Batch | None = None, days=DAYS, noise: float = 0.0, seed: int = 0) -> Batch:
    """What is told of a batch, with the log of one that was made."""
    curve = evaluate(made or told, SHELF, 0).curve
    assert curve is not None
    dice = np.random.default_rng(seed)
    read = np.interp(days, curve.days, curve.gravity) + noise * dice.standard_normal(len(days))
    readings = tuple(
        HydrometerReading(day=day, gravity=round(float(g), 4), temperature=293.15)
        for day, g in zip(days, read, strict=True)
    )
    return edits.change_log(told, readings=readings, pitched_at="2025-09-20T18:00+02:00")


def having(batch: Batch, **changes) -> Batch:
    """The batch with another recipe."""
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, **changes))


@cache
def outcome(batch: Batch, members: int = 60) -> Outcome:
    """What follows from a batch."""
    return evaluate(batch, SHELF, members)
