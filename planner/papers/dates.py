"""Days and dates as papers show them, the same in every country: "Sat, 17 Oct 2026"."""

from __future__ import annotations

from datetime import datetime
from email.utils import format_datetime

_WITHOUT_THE_TIME = 16


def date(moment: datetime) -> str:
    """The day of a moment. [-]

    Examples
    --------
    >>> date(datetime(2026, 10, 7, 18, 30))
    'Wed, 7 Oct 2026'
    """
    return format_datetime(moment)[:_WITHOUT_THE_TIME].replace(", 0", ", ")


def date_and_time(moment: datetime) -> str:
    """The day of a moment, and when on it. [-]"""
    return f"{date(moment)}\n{moment:%H:%M}"
