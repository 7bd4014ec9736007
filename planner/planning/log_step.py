"""Ticking a task of the schedule off: the entry of the log that says it was done, or why there is none to be made."""

from __future__ import annotations

from collections.abc import Sequence

from planner.document.batch import Batch, Event, Feed, StepFeed, What
from planner.planning.task import Schedule, Task
from planner.wording.phrases import Words, say


def hindrance(plan: Schedule, task: Task, batch: Batch) -> Words | None:
    """Why a task cannot be ticked off; None if it can.

    Returns
    -------
    Words or None
        In one sentence.
    """
    if task.done:
        return say("The log says that this is done. Change it in the log if that is wrong.")
    if task.records is None:
        return say(
            "There is nothing to tick here. A reading, a test, a dose or a note in the log says that it was done."
        )
    if batch.log.pitched_at is None:
        return say("First enter in the log when the yeast was pitched: an entry needs its day.")
    if _open_before(plan, task, batch):
        return say("Tick the task before it first.")
    return None


def entry_of(task: Task, batch: Batch, at: str) -> Event | None:
    """The entry that says that a task was done.

    Parameters
    ----------
    at : str
        When it was done: ISO 8601 with its offset. [-]

    Returns
    -------
    Event or None
        None where a task does not say all that an entry needs. [as its fields]
    """
    if task.records is What.FEED:
        feed = batch.recipe.feeds[_number(task)]
        return Event(what=What.FEED, key=feed.key, mass=feed.mass, at=at)
    if task.records is What.ADDED:
        line = batch.recipe.step_feeds[_number(task)]
        return Event(what=What.ADDED, key=line.key, mass=line.mass, at=at)
    return None if task.records is None else Event(what=task.records, at=at)


def _open_before(plan: Schedule, task: Task, batch: Batch) -> bool:
    """Whether another of its kind comes before it and is not done: the log tells them apart by their order alone."""
    if task.records is What.RACKING:
        return any(t.records is What.RACKING and not t.done and _number(t) < _number(task) for t in plan.tasks)
    if task.records not in (What.FEED, What.ADDED):
        return False
    lines: Sequence[Feed | StepFeed] = batch.recipe.feeds if task.records is What.FEED else batch.recipe.step_feeds
    key = lines[_number(task)].key
    same = [t for t in plan.tasks if t.records is task.records and not t.done and lines[_number(t)].key == key]
    return bool(same) and same[0].key != task.key


def _number(task: Task) -> int:
    return int(task.key.rpartition("-")[2])
