"""A batch that ferments, for the tests of what shows it; every number is invented."""

from __future__ import annotations

from functools import cache

from planner.document import edits
from planner.document.batch import (
    Batch,
    Feed,
    FruitLine,
    HoneyLine,
    HydrometerReading,
    Recipe,
    SugarReading,
    Yeast,
)
from planner.evaluation.outcome import Outcome, evaluate
from planner.reference.catalogue import catalogue
from planner.ui.curve.plot_data import Scene, scene_of

PITCHED = "2026-10-17T11:00+02:00"


def planned() -> Batch:
    """A recipe without a log."""
    recipe = Recipe(
        yeast=Yeast(key="all-rounder", pitch=0.010),
        fruits=(FruitLine(key="damson", mass=8.0),),
        honeys=(HoneyLine(key="blossom", mass=5.0),),
        water=8.0,
        feeds=(Feed(key="yeast-autolysate", mass=0.005, day=2.0),),
    )
    return Batch(name="Test damson", recipe=recipe)


def logged(*gravities: float, every: float = 2.0, pitched_at: str | None = PITCHED) -> Batch:
    """The recipe with hydrometer readings every so many days from pitching on."""
    readings = tuple(
        HydrometerReading(gravity=gravity, day=number * every, temperature=293.15)
        for number, gravity in enumerate(gravities)
    )
    return edits.change_log(planned(), readings=readings, pitched_at=pitched_at)


def stopped() -> Batch:
    """A ferment at rest far above where it should end: the last three readings, over eight days, agree."""
    return logged(1.100, 1.070, 1.050, 1.041, 1.040, 1.040, every=4.0)


def with_sugar_test(batch: Batch, day: float, sugar: float, excluded: bool = False) -> Batch:
    """The batch with one more reading: a sugar test. [kg/m^3]"""
    return edits.add_readings(batch, SugarReading(sugar=sugar, day=day, excluded=excluded))


@cache
def outcome(batch: Batch, members: int = 20) -> Outcome:
    """What follows from a batch."""
    return evaluate(batch, catalogue(), members)


def scene(batch: Batch) -> Scene:
    """What is drawn of a batch."""
    return scene_of(outcome(batch), lambda key: catalogue().nutrient(key).name)
