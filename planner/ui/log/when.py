"""When something was measured, as a person types and reads it: a moment on the clock, or a day since pitching."""

from __future__ import annotations

import re
from calendar import isleap
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from PySide6.QtCore import QDate, QLocale, QTime

from planner.document.timestamps import FIRST_YEAR, LAST_YEAR, parsed
from planner.ui.amounts import EntryError
from planner.ui.entry import read_number

FIRST_DAY, LAST_DAY = -365.0, 3660.0
"""Days since pitching that a batch can hold. [d]"""

LONGEST = 80
"""Letters of a moment at most; a longer text was pasted by mistake."""

_NOON = time(12, 0)
_SLACK = timedelta(days=1)
"""How far ahead of now a date without a year may lie: clocks differ."""

_TIME = re.compile(r"(?:^|[\s,T])(?P<hour>\d{1,2})(?::(?P<minute>\d{2})(?::\d{2})?)?\s*(?P<half>[ap]\.?m\.?)?$", re.I)
_ISO_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_NUMBERS = re.compile(r"(\d{1,2})([./-])\s*(\d{1,2})(?:[./-]\s*(\d{2}|\d{4})?)?")
_DAY = re.compile(r"(?:days?|d)\s*([-−]?\d.*)|([-−]?\d+(?:[.,]\d+)?)(\s*(?:days?|d))?", re.I)
_BESIDE = frozenset({"at", "of", "the"})
"""Words in a date that say nothing."""

_POINT = re.compile(r"(\d{1,2})\.(\d{1,2})")


class When(NamedTuple):
    """Either a moment in ISO 8601 with its offset from UTC, or days since pitching. [d]"""

    at: str | None = None
    day: float | None = None


def now() -> datetime:
    """The present moment with the offset of this machine, to the minute."""
    return datetime.now().astimezone().replace(second=0, microsecond=0)


def read_when(
    text: str,
    locale: QLocale,
    present: datetime,
    pitched: datetime | None = None,
    planned: datetime | None = None,
    *,
    days: bool = False,
) -> When:
    """Read a moment or a day: "now", "yesterday 21:30", "3 Dec 14:05", "2026-12-03 14:05", "day 12", "12.5".

    A bare number is a day since pitching; one that may be a date or a time as well, such as 7.30, is asked about. A date
    without a year is the last one since pitching, else the one nearest to the days since then; where that lies ahead of now,
    the year is asked for. A date without a time is noon of it, and a time without a date is today's. A moment without an
    offset has that of this machine on that date.

    Parameters
    ----------
    text : str
        What the person typed.
    locale : QLocale
        Decides names of months, the order of day and month in numbers, and the decimal sign.
    present : datetime
        The present moment with its offset.
    pitched : datetime, optional
        When the yeast was pitched; without it a date without a year is the last one.
    planned : datetime, optional
        Given where a plan is typed: a date without a year is then the one nearest to it.
    days : bool
        Whether the text stands under “day”, so that a bare number can be nothing else.

    Returns
    -------
    When

    Raises
    ------
    EntryError
        If the text is anything else.
    """
    plain = " ".join(text.split()).strip(" ,")
    if plain.casefold() in ("", "now"):
        return When(at=present.isoformat(timespec="minutes"))
    if len(plain) > LONGEST:
        raise EntryError(f"“{plain[:30]}…” is too long for a moment. {_wanted(locale)}")
    stored = parsed(plain) if _ISO_DATE.match(plain) else None
    if stored is not None:
        _refuse_other_times(plain, stored.date())
        return When(at=stored.isoformat(timespec="seconds" if stored.second else "minutes"))
    as_day = _DAY.fullmatch(plain)
    if as_day is not None:
        if as_day[2] and not as_day[3] and not days:
            _ask_what_is_meant(plain, locale)
        return When(day=_day(as_day[1] or as_day[2], locale))
    try:
        clock, rest = _clock(plain)
        year_of = _Years(present.date(), pitched and pitched.date(), planned and planned.date())
        on = _date(rest, locale, year_of)
        _refuse_other_times(plain, on)
        if clock is None:
            clock = present.time() if on == present.date() else _NOON
        moment = datetime.combine(on, clock.replace(tzinfo=None)).astimezone()
    except EntryError:
        raise
    except (ValueError, OverflowError):
        raise EntryError(f"“{text.strip()}” is not a moment known here. {_wanted(locale)}") from None
    return When(at=moment.isoformat(timespec="minutes"))


def moment_text(moment: datetime, locale: QLocale, this_year: int | None = None) -> str:
    """A moment on its own clock: "3 Dec 14:05", with the year where that is not `this_year`."""
    return f"{date_text(moment.date(), locale, this_year)} {time_text(moment, locale)}"


def date_text(on: date, locale: QLocale, this_year: int | None = None) -> str:
    """A date: "3 Dec" or "Dec 3", with the year where that is not `this_year`."""
    first = _month_first(locale)
    text = locale.toString(QDate(on.year, on.month, on.day), "MMM d" if first else "d MMM")
    return text if on.year == this_year else f"{text}{',' if first else ''} {on.year}"


def time_text(moment: datetime, locale: QLocale) -> str:
    """A time of day to the minute."""
    halves = "ap" in locale.timeFormat(QLocale.FormatType.ShortFormat).casefold()
    return locale.toString(QTime(moment.hour, moment.minute), "h:mm AP" if halves else "HH:mm")


def moment_for_editing(moment: datetime) -> str:
    """A moment as a field holds it; `read_when` reads it back, wherever the field is."""
    here = moment.astimezone()
    written = moment.strftime("%Y-%m-%d %H:%M")
    return written if here.utcoffset() == moment.utcoffset() else moment.isoformat(timespec="minutes")


def _day(number: str, locale: QLocale) -> float:
    """A day since pitching."""
    value = read_number(number, locale, negative=True)
    if not FIRST_DAY <= value <= LAST_DAY:
        raise EntryError(
            f"Day {number} is out of range. Days since pitching run from {FIRST_DAY:.0f} to {LAST_DAY:.0f}."
        )
    return value


def _ask_what_is_meant(number: str, locale: QLocale) -> None:
    """Refuse "7.30" and "28.11", which are days to some, times and dates to others."""
    pieces = _POINT.fullmatch(number)
    if pieces is None:
        return
    first, second, point = int(pieces[1]), int(pieces[2]), locale.decimalPoint()
    written = [f"day {pieces[1]}{point}{pieces[2]}"]
    if len(pieces[2]) == 2 and first < 24 and second < 60:
        written.append(f"{first}:{pieces[2]}")
    if (len(pieces[2]) == 2 or point != ".") and 1 <= second <= 12 and 1 <= first <= 31:
        month = locale.monthName(second, QLocale.FormatType.ShortFormat)
        written.append(f"{month} {first}" if _month_first(locale) else f"{first} {month}")
    if len(written) > 1:
        raise EntryError(
            f"“{number}” can be read in {'two' if len(written) == 2 else 'three'} ways. Write {' or '.join(written)}."
        )


def _refuse_other_times(text: str, on: date) -> None:
    """Refuse a year in which no batch of this program can be: it is a slip."""
    if not FIRST_YEAR <= on.year <= LAST_YEAR:
        raise EntryError(f"“{text}” is in the year {on.year}. Dates are accepted from {FIRST_YEAR} to {LAST_YEAR}.")


def _clock(text: str) -> tuple[time | None, str]:
    """The time of day at the end of a text, if there is one, and what stands before it."""
    match = _TIME.search(text)
    if match is None or not (match["minute"] or match["half"]):
        return None, text
    hour, minute = int(match["hour"]), int(match["minute"] or 0)
    if match["half"]:
        if not 1 <= hour <= 12:
            raise ValueError(hour)
        hour = hour % 12 + 12 * (match["half"][0] in "pP")
    return time(hour, minute), text[: match.start()].strip(" ,")


class _Years(NamedTuple):
    """By what the year of a date without one is found; see `read_when`."""

    today: date
    pitched: date | None
    planned: date | None


def _date(text: str, locale: QLocale, by: _Years) -> date:
    """The day that a text names."""
    today = by.today
    words = {"": today, "today": today, "yesterday": today - timedelta(days=1)}
    if text.casefold() in words:
        return words[text.casefold()]
    iso = _ISO_DATE.fullmatch(text)
    if iso is not None:
        return date(int(iso[1]), int(iso[2]), int(iso[3]))
    numbers = _NUMBERS.fullmatch(text)
    if numbers is not None:
        first, second = int(numbers[1]), int(numbers[3])
        month, day = (first, second) if numbers[2] == "/" and _month_first(locale) else (second, first)
        if numbers[2] == "-" and numbers[4] is not None and len(numbers[4]) == 2:
            return _in_either_order(text, (int(numbers[4]), month, day), locale)
        return _in_year(day, month, numbers[4], by, locale)
    parts = [part.strip(".") for part in re.split(r"[\s,]+", text)]
    months = [found for part in parts if (found := _named(part, 12, QLocale.monthName, locale))]
    figures = [part for part in parts if part.isdecimal()]
    beside = [part for part in parts if part.casefold() in _BESIDE or _named(part, 7, QLocale.dayName, locale)]
    if len(months) != 1 or not 1 <= len(figures) <= 2 or len(parts) != 1 + len(figures) + len(beside):
        raise ValueError(text)
    year = figures[1] if len(figures) == 2 else None
    return _in_year(int(figures[0]), months[0], year, by, locale)


def _in_year(day: int, month: int, year: str | None, by: _Years, locale: QLocale) -> date:
    """The date in a year written with two or four figures; without one, the one that a log is likely to mean."""
    if year is not None:
        return date(int(year) + (2000 if len(year) == 2 else 0), month, day)
    today, pitched, planned = by
    if planned is not None:
        near = (
            date(one, month, day)
            for one in range(planned.year - 4, planned.year + 5)
            if (month, day) != (2, 29) or isleap(one)
        )
        return min(near, key=lambda one: abs(one - planned))
    years = range(today.year + 1, (today if pitched is None else pitched).year - 2, -1)
    latest = today + _SLACK
    found = [date(one, month, day) for one in years if month != 2 or day != 29 or isleap(one)]
    if pitched is None:
        found, pitched = [on for on in found if on <= latest], latest
    if not found:
        raise ValueError(day)
    first = min(pitched, latest)
    on = min(found, key=lambda one: max(first - one, one - latest, timedelta(0)))  # of several since then, the last
    if on > latest:
        told = date_text(on, locale)
        raise EntryError(
            f"{told} is still to come. Write it with its year if that is meant, or the day on which it was read."
        )
    return on


def _in_either_order(text: str, numbers: tuple[int, int, int], locale: QLocale) -> date:
    """The date in numbers such as 26-11-28, of which the first may be the day or the year; both at once are asked about."""
    last, month, first = numbers
    found = set()
    for year, day in ((last, first), (first, last)):
        try:
            found.add(date(2000 + year, month, day))
        except ValueError:
            continue
    if len(found) > 1:
        told = " or ".join(date_text(on, locale) for on in sorted(found))
        raise EntryError(f"“{text}” can be read in two ways: is it {told}? Write the year with four figures.")
    if not found:
        raise ValueError(text)
    return found.pop()


def _named(
    part: str, count: int, called: Callable[[QLocale, int, QLocale.FormatType], str], locale: QLocale
) -> int | None:
    """The month or day of the week that a word names, in this locale or in English, in full or by three letters at least."""
    word = part.casefold()
    for known in (locale, QLocale.c()):
        for number in range(1, count + 1):
            forms = (QLocale.FormatType.LongFormat, QLocale.FormatType.ShortFormat)
            names = (called(known, number, form).casefold().strip(".") for form in forms)
            if any(word == name or (len(word) >= 3 and name.startswith(word)) for name in names):
                return number
    return None


def _month_first(locale: QLocale) -> bool:
    """Whether the month stands before the day."""
    form = locale.dateFormat(QLocale.FormatType.ShortFormat)
    return "M" in form and "d" in form and form.index("M") < form.index("d") and not form.startswith("y")


def _wanted(locale: QLocale) -> str:
    example = date_text(date(2026, 12, 3), locale, 2026)
    return f"Enter a date and time such as {example} 14:05, a day since pitching such as 12, or now."
