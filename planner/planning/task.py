"""What is to be done, one thing at a time, and all of it in the order of its days."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec

from planner.document.batch import What
from planner.wording.phrases import Words


class Task(msgspec.Struct, frozen=True, gc=False):
    """Something to do.

    Attributes
    ----------
    key : str
        What it is, the same in each schedule of the batch: "press", "feed-0", "racking-1".
    title, text : Words
        What to do, and how.
    day : float
        Days since pitching; before it negative. [d]
    until : float or None
        For what goes on for days. [d]
    early : float
        The earliest it may fall due. [d]
    late : float
        The latest. [d]
    done : bool
        Whether the log says it was done; `day` is then when.
    records : What or None
        The kind of entry by which the log tells that it was done, where the task itself says all of it.
    """

    key: str
    title: Words
    text: Words
    day: float
    until: float | None
    early: float
    late: float
    done: bool
    records: What | None = None


class Schedule(msgspec.Struct, frozen=True):
    """What is done when.

    Attributes
    ----------
    tasks : tuple of Task
        In the order of their days.
    pitched : datetime or None
        The moment from which days count: as logged, or else as planned; None if neither is known.
    is_planned : bool
        Whether that moment is still to come.
    today : datetime or None
        The present moment, with its offset.
    """

    tasks: tuple[Task, ...]
    pitched: datetime | None
    is_planned: bool
    today: datetime | None = None

    def moment(self, day: float) -> datetime | None:
        """The moment of a day [d]; None where pitching has no date, or one so far off that no calendar has that day."""
        try:
            return None if self.pitched is None else self.pitched + timedelta(days=day)
        except OverflowError:
            return None

    def is_past(self, task: Task) -> bool:
        """Whether a task should have been done before today, and nothing says that it was."""
        last = self.moment(max(task.day, task.late, task.until or task.day))
        if task.done or last is None or self.today is None:
            return False
        return last.date() < self.today.astimezone(last.tzinfo).date()


def task(key: str, title: Words, text: Words, day: float, **more: object) -> Task:
    """A task; what is not told of it is as for one that falls due on its day and is not done. [as its fields]"""
    given: dict[str, object] = {"until": None, "early": day, "late": day, "done": False} | more
    return Task(key, title, text, day, **given)  # type: ignore[arg-type]
