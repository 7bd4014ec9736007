"""One calendar file of all that is due in a cellar."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from planner.cellar.row import Row
from planner.planning.calendar_file import Dated, calendar_of

NAME = "Fruit mead"
"""Of the calendar."""


def due_calendar(rows: Iterable[Row], now: datetime) -> bytes:
    """The schedules of all batches with which something is still to be done.

    What was done already is in it, too: a calendar that holds it as due is then put right.

    Parameters
    ----------
    now : datetime
        Moment of the export, with its offset. [-]

    Raises
    ------
    NoDate
        If nothing is due on a date.
    """
    some = [
        Dated(row.identity, row.name, row.status.plan)
        for row in rows
        if row.status is not None and row.status.due is not None
    ]
    return calendar_of(some, NAME, now)
