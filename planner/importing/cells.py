"""What one cell of a table says: a number with or without its unit, or a moment. The text decides, never a setting."""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, datetime, timedelta, timezone
from functools import lru_cache
from typing import NamedTuple

from planner.document.timestamps import from_iso

SIGNS = ".,"
"""Characters that may stand before the decimals."""

UNDATED = "undated"
"""The word in place of a moment for a reading that has none."""


class Number(NamedTuple):
    """A number and the text behind it."""

    value: float
    unit: str = ""


class Moment(NamedTuple):
    """A point in time as written, which may lack its offset from UTC, or its time of day."""

    when: datetime
    has_time: bool
    as_it_stands: bool
    """Whether the text itself is ISO 8601 with an offset."""


_NUMBER = re.compile(
    r"(?P<sign>[-+]?)(?P<digits>[.,]?\d(?:[\d.,' ]*\d)?)(?:[eE](?P<power>[-+]?\d{1,3})(?![a-zA-Z]))?(?P<unit>\D*)"
)
_TIME = (
    r"(?P<hour>\d{1,2})[:h](?P<minute>\d{2})(?::(?P<second>\d{2})(?:[.,]\d+)?)?"
    r"\s*(?P<half>[ap]\.?\s?m\.?)?\s*(?P<zone>z|utc|gmt|[-+]\d{2}:?\d{2})?"
)
_CLOCK = re.compile(_TIME, re.IGNORECASE)
_FIGURES = re.compile(rf"(\d{{1,4}})([-./])(\d{{1,2}})\2(\d{{1,4}})\.?(?:[T\s,]+{_TIME})?", re.IGNORECASE)
_DAY_MONTH = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th)?[\s.-]+([^\W\d_]+)[\s.,-]+(\d{{4}}|\d{{2}})(?:[\s,]+{_TIME})?", re.I
)
_MONTH_DAY = re.compile(rf"([^\W\d_]+)[\s.]+(\d{{1,2}})(?:st|nd|rd|th)?[\s,]+(\d{{4}})(?:[\s,]+{_TIME})?", re.I)
_WEEKDAY = re.compile(r"^[^\W\d_]{2,10}\.?,?\s+")
_MONTHS = {
    name: number
    for number, names in enumerate(
        ("jan", "feb fév", "mar mär", "apr avr", "may mai", "jun juin", "jul juil", "aug aoû", "sep", "oct okt",
         "nov", "dec dez déc"),
        start=1,
    )
    for name in names.split()
}  # fmt: skip

_EPOCH_SECONDS = (1e9, 4e9)
"""Seconds since 1970 (POSIX) of the years 2001 to 2096, in which numbers in a column of moments may be meant. [s]"""


def plain(cell: str) -> str:
    """A cell without the spaces around it, and with one kind of space, minus and apostrophe."""
    if cell.isascii():
        return cell.strip()
    text = cell.translate(_ALIKE).strip()
    return "".join(str(unicodedata.decimal(c)) if c.isdecimal() else c for c in text)


_ALIKE = str.maketrans({"\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2212": "-", "\u2019": "'", "\ufeff": None})


def number(cell: str, decimal: str) -> Number | None:
    """The number in a cell.

    Parameters
    ----------
    decimal : str
        The decimal sign of the table, "." or ",". [-] The other sign groups thousands where it can, and is taken as
        decimal sign where it cannot: "18,5" has no other meaning.

    Returns
    -------
    Number or None
        The number and what follows it; None where the cell is no number.
    """
    match = _NUMBER.fullmatch(plain(cell))
    if match is None:
        return None
    digits = _with_point(match["digits"], decimal)
    if digits is None:
        return None
    value = float(f"{match['sign']}{digits}e{match['power'] or 0}")
    return Number(value, match["unit"].strip(" .")) if abs(value) < 1e15 else None


def _with_point(digits: str, decimal: str) -> str | None:
    """Digits and signs as Python writes them; None where the signs make no number."""
    for blank in " '":
        if blank in digits:
            head, *groups = re.split(r"[.,]", digits)[0].split(blank)
            if not _are_thousands(head, groups) or digits.rfind(blank) > len(blank.join((head, *groups))):
                return None
            digits = digits.replace(blank, "")
    if "." in digits and "," in digits:
        last = max(digits.rfind("."), digits.rfind(","))
        other = "," if digits[last] == "." else "."
        head, *groups = digits[:last].split(other)
        return f"{head}{''.join(groups)}.{digits[last + 1 :]}" if _are_thousands(head, groups) else None
    sign = next((s for s in SIGNS if s in digits), "")
    if not sign:
        return digits
    head, *groups = digits.split(sign)
    grouped = _are_thousands(head, groups)
    if len(groups) > 1:
        return "".join((head, *groups)) if grouped else None
    if sign != decimal and grouped:
        return head + groups[0]
    return f"{head or '0'}.{groups[0]}"


def _are_thousands(head: str, groups: list[str]) -> bool:
    """Whether digits are written in groups of three."""
    return 1 <= len(head) <= 3 and head[0] != "0" and all(len(group) == 3 for group in groups)


def decimal_evidence(cell: str) -> tuple[str, bool]:
    """Which decimal sign a cell speaks for, and whether it could still be a mark of thousands.

    Returns
    -------
    tuple of str and bool
        The sign, or nothing for a cell that tells nothing; True where "1,060" may also be a thousand and sixty.
    """
    match = _NUMBER.fullmatch(plain(cell))
    if match is None:
        return "", False
    digits = match["digits"].replace("'", "").replace(" ", "")
    if "." in digits and "," in digits:
        return max(SIGNS, key=digits.rfind), False
    sign = next((s for s in SIGNS if s in digits), "")
    if not sign or digits.count(sign) > 1:
        return "", False
    head, group = digits.split(sign)
    return sign, _are_thousands(head, [group])


def moment(cell: str, day_first: bool = True) -> Moment | None:
    """The moment in a cell.

    Parameters
    ----------
    cell : str
        Text such as "2026-08-14T19:30+02:00", "14.08.2026 19:30", "8/14/26 7:30 PM", "14 Aug 2026". [-]
    day_first : bool
        Whether "3/4/2026" is in April. With dots the day always comes first. [-]

    Returns
    -------
    Moment or None
        None where the cell is no moment. A date alone is taken at noon, nearest to whatever time was meant.
    """
    text = plain(cell)
    if len(text) >= 8 and (text[4] == "-" or text[8:9] == "T"):
        try:
            when = from_iso(text)
        except ValueError:
            pass
        else:
            has_time = len(text) > 10 or "T" in text
            return Moment(when if has_time else when.replace(hour=12), has_time, has_time and when.tzinfo is not None)
    if text.replace(".", "", 1).isdecimal():
        return _epoch(text)
    return _written(text, day_first) or _written(_WEEKDAY.sub("", text), day_first)


def _epoch(text: str) -> Moment | None:
    """Seconds or milliseconds since 1970, as instruments write them."""
    if not 10 <= len(text) <= 17 or not text.replace(".", "", 1).isdecimal():
        return None
    seconds = float(text)
    seconds = seconds / 1000.0 if seconds > _EPOCH_SECONDS[1] else seconds
    if not _EPOCH_SECONDS[0] <= seconds <= _EPOCH_SECONDS[1]:
        return None
    return Moment(datetime.fromtimestamp(round(seconds), UTC), True, False)


def _written(text: str, day_first: bool) -> Moment | None:
    if match := _FIGURES.fullmatch(text):
        first, sign, second, third = match[1], match[2], match[3], match[4]
        if len(first) == 4:
            parts = first, second, third
        elif sign == "." or day_first:
            parts = third, second, first
        else:
            parts = third, first, second
        if len(first) == 3 or len(parts[0]) not in (2, 4):
            return None
        year, month, day = (int(part) for part in parts)
    elif match := _DAY_MONTH.fullmatch(text):
        year, month, day = int(match[3]), _month(match[2]), int(match[1])
    elif match := _MONTH_DAY.fullmatch(text):
        year, month, day = int(match[3]), _month(match[1]), int(match[2])
    else:
        return None
    time = _time_of(match) if match["hour"] else (12, 0, 0)
    if time is None:
        return None
    try:
        when = datetime(year + 2000 if year < 100 else year, month, day, *time, tzinfo=_zone(match["zone"]))
    except ValueError:
        return None
    return Moment(when, match["hour"] is not None, False)


def _month(name: str) -> int:
    """The number of a month; 0, which is none, for other words."""
    word = name.casefold()
    return _MONTHS.get(word[:4]) or _MONTHS.get(word[:3]) or 0


def _time_of(match: re.Match[str]) -> tuple[int, int, int] | None:
    hour, minute, second = int(match["hour"]), int(match["minute"]), int(match["second"] or 0)
    if match["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    return (hour, minute, second) if hour < 24 and minute < 60 and second < 60 else None


@lru_cache(maxsize=64)
def _zone(text: str | None) -> timezone | None:
    if not text:
        return None
    if text[0] not in "+-":
        return UTC
    hours, minutes = int(text[1:3]), int(text[-2:])
    offset = timedelta(hours=hours, minutes=minutes)
    return timezone(-offset if text[0] == "-" else offset)


def clock(cell: str) -> tuple[int, int, int] | None:
    """Hour, minute and second in a cell such as "19:30" or "7:30 pm"; None where it is no time of day."""
    match = _CLOCK.fullmatch(plain(cell))
    return _time_of(match) if match and not match["zone"] else None


def day_order(cell: str) -> str:
    """What a date in figures tells of its order: "day" or "month" comes first, "either" may, or "" without such a date."""
    match = _FIGURES.fullmatch(_WEEKDAY.sub("", plain(cell)))
    if match is None or match[2] == "." or len(match[1]) > 2:
        return ""
    first, second = int(match[1]), int(match[3])
    if first == second:
        return ""
    return "day" if first > 12 else "month" if second > 12 else "either"


_DAY_WORD = re.compile(r"^\s*(?:day|d|tag|jour)\b\.?\s*", re.IGNORECASE)


def day_number(cell: str, decimal: str) -> Number | None:
    """The number of a day, with or without the word: "3", "Day 3", "3 d"."""
    return number(_DAY_WORD.sub("", cell), decimal)
