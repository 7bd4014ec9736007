"""A batch as it was made: what was done in place of what was planned, without what was measured of it."""

from __future__ import annotations

import msgspec

from planner.adjusting.mead import in_all
from planner.document.batch import Adjustment, Batch, HydrometerReading, Log
from planner.evaluation.outcome import Outcome
from planner.timeline.actual_recipe import as_given, as_measured


def as_planned(batch: Batch) -> Batch:
    """A batch as it was before its yeast was pitched: the recipe, and nothing that was logged, adjusted or tasted."""
    log = Log(pitched_at=batch.log.pitched_at, hydrometer=batch.log.hydrometer, refractometer=batch.log.refractometer)
    return msgspec.structs.replace(batch, log=log, adjustment=Adjustment(), tastings=(), tests=())


def as_made(outcome: Outcome, with_start: bool = False) -> Batch:
    """A batch as it was made.

    Parameters
    ----------
    with_start : bool
        Whether its measured starting gravity still counts.

    Returns
    -------
    Batch
        With feeds as they were given, temperatures as they were set and measured, and as additions what was stirred in or is
        planned to be, as much for each litre of a mead of which nothing was lost. [as its fields]
    """
    batch = outcome.batch
    recipe = as_given(batch)
    if not recipe.in_room:
        recipe = as_measured(batch, recipe, outcome.log)
    made = as_planned(msgspec.structs.replace(batch, recipe=recipe))
    if with_start and outcome.starting_gravity is not None:
        first = HydrometerReading(
            day=0.0, gravity=outcome.starting_gravity, temperature=batch.log.hydrometer.calibration
        )
        made = msgspec.structs.replace(made, log=msgspec.structs.replace(made.log, readings=(first,)))
    if outcome.mead is None or outcome.finish is None:
        return made
    # Without losses and samples the mead is larger: each litre of it shall hold as much.
    grown = outcome.finish.volume.typical / outcome.mead.before.volume.typical
    added = tuple(
        msgspec.structs.replace(line, mass=line.mass * grown) for line in in_all(batch.adjustment, outcome.mead.given)
    )
    return msgspec.structs.replace(made, adjustment=Adjustment(additions=added))
