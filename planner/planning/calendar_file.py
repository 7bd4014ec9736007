"""The schedule as a calendar file (iCalendar, RFC 5545) that a second export brings up to date instead of doubling it."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from planner.document.batch import Batch
from planner.planning.task import Schedule, Task

if TYPE_CHECKING:
    from icalendar import Event

NAMESPACE = uuid.UUID("7d5a0f0e-5a0c-4b52-9d0e-1d8f5d1f6a11")
"""Of the identifiers of tasks. Drawn once by chance; another one would double every calendar already exported."""

PRODUCT = "-//fruit-mead-planner//schedule//EN"

SHORT = timedelta(minutes=30)
"""How long a task without an end takes up in a calendar."""


class Dated(NamedTuple):
    """A batch as calendars know it, and what is done with it when."""

    identity: str
    """What it is called in calendars, whatever its name becomes."""
    name: str
    plan: Schedule


class NoDate(ValueError):  # noqa: N818  the word says more than "error"
    """Pitching has no date, so that no task has one; the text says what to enter."""


def identity(batch: Batch) -> str:
    """What a batch is called in calendars: as its first export has it, or else by its name. [-]"""
    return batch.recipe.calendar or batch.name


def identifier(identity: str, task: Task) -> str:
    """The identifier of a task, the same in every export of the same batch."""
    return f"{uuid.uuid5(NAMESPACE, f'{identity}/{task.key}')}@fruit-mead-planner"


def new_identity(path: Path | None = None) -> str:
    """A name for a batch in calendars that no other batch has.

    Parameters
    ----------
    path : Path or None
        Its file, which gives the same name each time, so that what does not write into the file finds its entries, too;
        None for a batch without one. [-]
    """
    return str(uuid.uuid4() if path is None else uuid.uuid5(NAMESPACE, path.absolute().as_posix()))


def calendar(batch: Batch, plan: Schedule, now: datetime) -> bytes:
    """The schedule of a batch as a calendar file.

    Parameters
    ----------
    now : datetime
        Moment of the export, with its offset; its seconds number the versions. [-]

    Raises
    ------
    NoDate
        If pitching is neither logged nor planned.
    """
    return calendar_of([Dated(identity(batch), batch.name, plan)], batch.name, now)


def calendar_of(batches: Iterable[Dated], name: str, now: datetime) -> bytes:
    """The schedules of some batches as one calendar file.

    Raises
    ------
    NoDate
        If none of them has a date.
    """
    from icalendar import Calendar

    dated = [batch for batch in batches if batch.plan.pitched is not None]
    if not dated:
        raise NoDate("The calendar needs a date. Enter when you pitched the yeast, or mean to.")
    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    made.add("name", name)  # RFC 7986, 5.1; the older property is what many calendars still read
    made.add("x-wr-calname", name)
    for batch in dated:
        for task in batch.plan.tasks:
            moment = batch.plan.moment(task.day)
            if moment is not None:
                made.add_component(_event(batch, task, moment, now))
    return bytes(made.to_ical())


def _event(batch: Dated, task: Task, moment: datetime, now: datetime) -> Event:
    from icalendar import Event

    plan = batch.plan
    end = moment if task.until is None else plan.moment(task.until) or moment
    event = Event()
    event.add("uid", identifier(batch.identity, task))
    event.add("dtstamp", now.astimezone(UTC))
    event.add("sequence", int(now.timestamp()) // 60 % 2_000_000_000)
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
    return event


def _text(task: Task, plan: Schedule) -> str:
    text = str(task.text)
    early, late = plan.moment(task.early), plan.moment(task.late)
    if task.done:
        return f"{text} Done."
    if task.late - task.early >= 2.0 and early is not None and late is not None:
        text += f" May fall between {early.date().isoformat()} and {late.date().isoformat()}."
    return text
