"""When something was measured: a moment with its offset from UTC, or days since pitching, and from one to the other."""

from __future__ import annotations

from datetime import datetime, timedelta

SECONDS_PER_DAY = 86_400.0

FIRST_YEAR, LAST_YEAR = 1976, 2076
"""Years in which a batch can be: a century around the one in which this was written. Fixed, so that a file that opens today
opens for ever, whatever a clock says; to be moved on in good time."""


def from_iso(text: str) -> datetime:
    """A moment by ISO 8601, the same on every Python. [-]

    Raises
    ------
    ValueError
        Where it is none, or is the end of a day told as 24:00, which Python takes from 3.14 on only.
    """
    if text[11:13] == "24":
        raise ValueError(f"{text!r} is a day that ends; accepted is 00:00 of the next.")
    return datetime.fromisoformat(text)


def parsed(text: str) -> datetime | None:
    """A moment as it stands in a file; None where it cannot be read or carries no offset from UTC.

    Parameters
    ----------
    text : str
        ISO 8601 with an offset, such as 2026-08-14T19:30+02:00. [-]
    """
    try:
        moment = from_iso(text)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else None


def day_of(at: str | None, day: float | None, pitched_at: str | None) -> float | None:
    """Days since pitching of something that carries either a moment or a day.

    Parameters
    ----------
    at : str or None
        Moment with offset. [-] Taken before `day` where the pitching moment is known.
    day : float or None
        Days since pitching. [d]
    pitched_at : str or None
        Moment of pitching with offset. [-]

    Returns
    -------
    float or None
        Days since pitching; None where it cannot be told. [d]
    """
    moment = parsed(at) if at else None
    pitched = parsed(pitched_at) if pitched_at else None
    if moment is not None and pitched is not None:
        return (moment - pitched).total_seconds() / SECONDS_PER_DAY
    return day


def moment_of(day: float, pitched_at: str | None) -> datetime | None:
    """The moment so many days after pitching, in the pitching's own offset; None where pitching is not dated.

    Parameters
    ----------
    day : float
        Days since pitching. [d]
    pitched_at : str or None
        Moment of pitching with offset. [-]
    """
    pitched = parsed(pitched_at) if pitched_at else None
    if pitched is None:
        return None
    try:
        return pitched + timedelta(days=day)
    except OverflowError:
        return None
