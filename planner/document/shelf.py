"""The shelf as a batch has it: with its own ingredients, and with what earlier batches taught of its yeast and fruit."""

from __future__ import annotations

import math
from typing import Any

import msgspec

from planner.document.batch import Batch
from planner.document.learnt import Learning, Trait
from planner.model.span import Z_90, Span
from planner.reference.catalogue import Catalogue
from planner.reference.own_rows import shelf_with
from planner.reference.rows import Fruit, Habits, Yeast

SHAPE = 0.5
"""What is left of the doubt about whatever else bends a course, once earlier batches told a yeast's trend. [-] Settled on simulated
makers (tests/benchmarks/learning)."""

USUAL: dict[Trait, tuple[float, float]] = {
    "pace": (0.25, 0.25),
    "trend": (0.70, 0.35),
    "lag": (0.35, 0.30),
    "tolerance": (0.010, 0.006),
    "dry_gravity": (0.0015, 0.0012),
    "juice_yield": (0.050, 0.030),
    "sugar": (0.12, 0.10),
    "acid": (0.20, 0.15),
    "ph": (0.12, 0.10),
    "losses": (0.35, 0.25),
    "scatter": (0.35, 0.25),
}
"""What is thought before any batch was read: standard deviation of a maker's mean, and scale of the spread between a maker's batches.
[as `Trait`] Together about as wide as what the shelf says of a single batch; the pace's are those of the reference that the test of
pooling names, the others estimates."""


def shelf_of(batch: Batch, catalogue: Catalogue) -> Catalogue:
    """The shelf with what a batch brings along.

    Parameters
    ----------
    catalogue : Catalogue
        The shelf that comes with the program, or one that this function gave for the same batch.

    Returns
    -------
    Catalogue
        The same object where the batch brings nothing.
    """
    shelf, learning = shelf_with(catalogue, batch.own), batch.learning
    if not learning.used or not learning.values:
        return shelf
    recipe = batch.recipe
    yeast = shelf.yeasts.get(recipe.yeast.key)
    fruits = {line.key: row for line in recipe.fruits if (row := shelf.fruits.get(line.key)) is not None}
    changed: dict[str, Any] = {}
    if yeast is not None and not yeast.learnt:
        changed["yeasts"] = {**shelf.yeasts, yeast.key: _yeast(yeast, learning)}
    fresh = {key: _fruit(row, learning) for key, row in fruits.items() if not row.learnt}
    if fresh:
        changed["fruits"] = {**shelf.fruits, **fresh}
    return msgspec.structs.replace(shelf, **changed) if changed else shelf


def _yeast(row: Yeast, learning: Learning) -> Yeast:
    habits, shift = habits_of(learning, row.key), learning.of("tolerance", row.key)
    tolerance = row.tolerance
    if shift is not None:
        tolerance = _about(tolerance.typical + shift.mean, shift.sd, 0.01, 0.25)
    return msgspec.structs.replace(row, habits=habits, tolerance=tolerance, learnt=True)


OF_YEAST: tuple[Trait, ...] = ("pace", "trend", "lag")


def habits_of(learning: Learning, key: str) -> Habits | None:
    """How a yeast works with the maker, of what nothing is learnt as it is thought beforehand; None where nothing at all is."""
    told = {trait: learning.of(trait, key) for trait in OF_YEAST}
    dry = learning.of("dry_gravity")
    if dry is None and not any(told.values()):
        return None
    values: dict[str, float] = {}
    for trait, one in told.items():
        values[trait] = 0.0 if one is None else one.mean
        values[f"{trait}_sd"] = math.hypot(*USUAL[trait]) if one is None else one.sd
    return Habits(**values, shape=1.0 if told["trend"] is None else SHAPE, dry_sd=None if dry is None else dry.sd)


def _fruit(row: Fruit, learning: Learning) -> Fruit:
    changes: dict[str, Any] = {"learnt": True}
    for trait in ("sugar", "acid"):
        one = learning.of(trait, row.key)
        if one is not None:
            typical = getattr(row, trait).typical
            changes[trait] = Span(*(typical * math.exp(one.mean + z * one.sd) for z in (-Z_90, 0.0, Z_90)))
    ph, juice = learning.of("ph", row.key), learning.of("juice_yield", row.key)
    if ph is not None:
        changes["ph"] = _about(row.ph.typical + ph.mean, ph.sd, 2.0, 7.0)
    if juice is not None:
        for name in ("yield_fresh", "yield_enzyme"):
            changes[name] = _about(getattr(row, name).typical + juice.mean, juice.sd, 0.0, 1.0)
    changed = msgspec.structs.replace(row, **changes)
    # What is dissolved more or less leaves less or more room for water.
    return msgspec.structs.replace(changed, water=max(row.water + row.soluble - changed.soluble, 0.01))


def _about(middle: float, sd: float, least: float, most: float) -> Span:
    return Span(*(min(max(middle + z * sd, least), most) for z in (-Z_90, 0.0, Z_90)))
