"""The schedule as a calendar file (iCalendar, RFC 5545) that a second export brings up to date instead of doubling it."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta

from planner.document.batch import Batch
from planner.planning.task import Schedule, Task

NAMESPACE = uuid.UUID("7d5a0f0e-5a0c-4b52-9d0e-1d8f5d1f6a11")
"""Of the identifiers of tasks. Drawn once by chance; another one would double every calendar already exported."""

PRODUCT = "-//fruit-mead-planner//schedule//EN"

SHORT = timedelta(minutes=30)
"""How long a task without an end takes up in a calendar."""


class NoDate(ValueError):  # noqa: N818  the word says more than "error"
    """Pitching has no date, so that no task has one; the text says what to enter."""


def identifier(batch: Batch, task: Task) -> str:
    """The identifier of a task, the same in every export of the same batch.

    Parameters
    ----------
    batch : Batch
        Known by what it is called in calendars, or else by its name. [-]
    task : Task
        Known by its key. [-]
    """
    return f"{uuid.uuid5(NAMESPACE, f'{batch.recipe.calendar or batch.name}/{task.key}')}@fruit-mead-planner"


def new_identity() -> str:
    """A name for a batch in calendars that no other batch has. [-]"""
    return str(uuid.uuid4())


def calendar(batch: Batch, plan: Schedule, now: datetime) -> bytes:
    """The schedule as a calendar file.

    Parameters
    ----------
    batch : Batch
        For the names. [-]
    plan : Schedule
        With a date of pitching. [as its fields]
    now : datetime
        Moment of the export, with its offset; its seconds number the versions. [-]

    Returns
    -------
    bytes
        UTF-8; tasks of a day as whole days, others by the clock, all in UTC.

    Raises
    ------
    NoDate
        If pitching is neither logged nor planned.
    """
    from icalendar import Calendar, Event

    if plan.pitched is None:
        raise NoDate("The calendar needs a date: enter when the yeast was pitched, or is to be.")
    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    made.add("x-wr-calname", batch.name)
    version = int(now.timestamp()) // 60 % 2_000_000_000
    for task in plan.tasks:
        moment, end = plan.moment(task.day), plan.moment(task.until if task.until is not None else task.day)
        assert moment is not None
        assert end is not None
        event = Event()
        event.add("uid", identifier(batch, task))
        event.add("dtstamp", now.astimezone(UTC))
        event.add("sequence", version)
        event.add("summary", f"{batch.name}: {task.title}")
        event.add("description", _text(task, plan))
        if task.key == "pitch" or task.done:
            event.add("dtstart", moment.astimezone(UTC).replace(microsecond=0))
            event.add("dtend", (moment.astimezone(UTC) + SHORT).replace(microsecond=0))
        else:
            event.add("dtstart", moment.date())
            event.add("dtend", max(end.date(), moment.date()) + timedelta(days=1))
        event.add("status", "CONFIRMED" if task.done else "TENTATIVE")
        event.add("transp", "TRANSPARENT")
        made.add_component(event)
    return bytes(made.to_ical())


def _text(task: Task, plan: Schedule) -> str:
    text = str(task.text)
    early, late = plan.moment(task.early), plan.moment(task.late)
    if task.done:
        return f"{text} Done."
    if task.late - task.early >= 2.0 and early is not None and late is not None:
        text += f" May fall between {early.date().isoformat()} and {late.date().isoformat()}."
    return text
