"""How a batch of the cellar stands: what is worked out of it, as little of that as a list shows."""

from __future__ import annotations

from array import array
from datetime import datetime

import msgspec
import numpy as np
import numpy.typing as npt

from planner.cellar.row import BatchStatus, Sketch
from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome, evaluate
from planner.planning.due import still_due
from planner.planning.schedule import schedule
from planner.reference.catalogue import Catalogue
from planner.timeline.readings import columns_of
from planner.wording.finding import Level

POINTS = 40
"""Of a small curve at most, and as many readings. [-] More cannot be told apart in a row of a table."""


def batch_status(batch: Batch, catalogue: Catalogue, members: int, today: datetime) -> BatchStatus:
    """How a batch stands.

    Parameters
    ----------
    members : int
        Of the ensemble; 0 for a quick answer without doubts of the log. [-]
    today : datetime
        The present moment with its offset. [-]
    """
    outcome = evaluate(batch, catalogue, members, today, to_draw=False)
    plan = schedule(outcome, catalogue, today)
    due = still_due(plan)
    tasks = tuple(task for task in plan.tasks if task.done or task in due) if due else ()
    return BatchStatus(
        members=members,
        stage=outcome.headline.stage,
        sentence=outcome.headline.sentence,
        next=outcome.headline.next,
        plan=msgspec.structs.replace(plan, tasks=tasks),
        due=due[0] if due else None,
        sketch=sketch_of(outcome),
        strength=None if outcome.mead is None else outcome.mead.after.alcohol,
        sweetness=None if outcome.mead is None else outcome.mead.after.sweetness,
        doubts=tuple(finding for finding in outcome.findings if finding.level > Level.NOTE),
    )


def sketch_of(outcome: Outcome) -> Sketch | None:
    """The small curve of a batch; None where nothing ferments."""
    curve = outcome.curve
    if curve is None:
        return None
    log = columns_of(outcome.log)
    counts = (log.tells == "gravity") & ~log.excluded & ~np.isnan(log.day) & ~np.isnan(log.gravity)
    order = np.argsort(log.day[counts], kind="stable")
    return Sketch(_some(curve.days, curve.gravity), _some(log.day[counts][order], log.gravity[counts][order]))


def _some(days: npt.NDArray[np.float64], gravity: npt.NDArray[np.float64]) -> tuple[array[float], array[float]]:
    """At most so many points as are drawn, the first and the last among them. [d], [-]"""
    chosen = np.unique(np.linspace(0, len(days) - 1, min(len(days), POINTS)).round().astype(int))
    return array("f", days[chosen].tolist()), array("f", gravity[chosen].tolist())
