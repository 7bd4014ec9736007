"""What one ferment tells of its yeast: the pace that the log shows, as far as that is the yeast's own."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import msgspec
import numpy as np
import numpy.typing as npt

from planner.comparing.as_made import as_made
from planner.comparing.pace import expected_half
from planner.document.batch import Batch
from planner.document.learnt import Learning
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome, evaluate
from planner.model.span import Z_90, Span
from planner.reference.catalogue import Catalogue
from planner.reference.own import OwnYeast
from planner.reference.own_rows import new_key, shelf_with
from planner.reference.rows import Yeast
from planner.timeline.culture import PACE

Array = npt.NDArray[np.float64]

EARLIEST = 0.1
"""Day before which nothing is told of a pace. [d]"""

SLOWEST, QUICKEST = 0.2, 4.0
"""Vigour that a yeast may have beside an average one. [-] As its own ingredient accepts."""

WORTH_TAKING = 0.03
"""Change of vigour that is taken over. [-] Less is no news."""

TRIED = 7
"""Vigours that are tried, between which is interpolated. [-] Day and vigour are close to a power law: to some percent."""


def with_vigour(
    outcome: Outcome, came: Span, catalogue: Catalogue
) -> tuple[str, float, Callable[[Batch], Batch]] | None:
    """What a ferment tells of the vigour of its yeast.

    Parameters
    ----------
    came : Span
        Day on which half of the fall was done. [d]

    Returns
    -------
    tuple or None
        Name of the yeast, factor on its vigour [-], and what gives the next batch a yeast of that vigour; None where nothing
        is learnt.

    Notes
    -----
    The must as it was made, from its measured gravity and as warm as it was measured, is given the vigour with which half of
    its fall is done on that day. The logarithm of that factor is the sum of what is the strain's and of what is this must's
    (`culture.PACE`), each normal: the strain takes its share of the variance, and its range shrinks as much.
    """
    batch = outcome.batch
    row = shelf_of(batch, catalogue).yeasts.get(batch.recipe.yeast.key)
    if row is None:
        return None
    # What is taken over stands beside the shelf, not beside what earlier batches taught.
    made = msgspec.structs.replace(as_made(outcome, with_start=True), learning=Learning())
    tried, days = _tried(made, row, catalogue)
    if days.size < 2:
        return None
    slow, typical, quick = (
        float(np.interp(-math.log(max(day, EARLIEST)), -days, tried)) for day in (came.high, came.typical, came.low)
    )
    strain, must, read = (
        (high - low) / (2.0 * Z_90) for low, high in (
            (math.log(row.vigour.low), math.log(row.vigour.high)), (math.log(PACE.low), math.log(PACE.high)), (slow, quick)
        )
    )  # fmt: skip
    share = strain**2 / (strain**2 + must**2 + read**2) if strain > 0.0 else 0.0
    moved = math.exp(share * typical)
    if abs(moved - 1.0) < WORTH_TAKING:
        return None
    half = Z_90 * strain * math.sqrt(1.0 - share)
    middle = row.vigour.typical * moved
    vigour = tuple(min(max(middle * math.exp(z * half), SLOWEST), QUICKEST) for z in (-1.0, 0.0, 1.0))
    return row.name, moved, partial(_having, Span(*vigour), batch.name, catalogue)


def _tried(made: Batch, row: Yeast, catalogue: Catalogue) -> tuple[Array, Array]:
    """Logarithms of factors on the vigour, rising, and of the days on which half of the fall is then done, falling. [-], [-]"""
    usual = row.vigour.typical
    found = []
    for factor in np.geomspace(SLOWEST / usual, QUICKEST / usual, TRIED).tolist():
        vigour = Span.exactly(min(max(usual * factor, SLOWEST), QUICKEST))
        day = expected_half(evaluate(_having(vigour, "", catalogue, made), catalogue, 0, to_draw=False))
        if day is not None:
            found.append((math.log(factor), math.log(max(day.typical, EARLIEST))))
    factors, days = np.array(found).reshape(-1, 2).T
    return factors, days


def _having(vigour: Span, source: str, catalogue: Catalogue, batch: Batch) -> Batch:
    """The batch with its yeast as an own one of such a vigour."""
    key, own = batch.recipe.yeast.key, batch.own
    known, values = own.find("yeasts", key), (vigour.low, vigour.typical, vigour.high)
    shelf = shelf_with(catalogue, own)
    if isinstance(known, OwnYeast):
        mine = msgspec.structs.replace(known, vigour=values)
    else:
        name = f"{shelf.yeast(key).name}, own pace"
        mine = OwnYeast(key=new_key(name, "yeasts", shelf, own), name=name, based_on=key, vigour=values)
    if source:
        mine = msgspec.structs.replace(mine, note=f"Vigour by the log of {source}.")
    recipe = msgspec.structs.replace(batch.recipe, yeast=msgspec.structs.replace(batch.recipe.yeast, key=mine.key))
    return msgspec.structs.replace(batch, recipe=recipe, own=own.having(mine))
