"""Readings from a long table of plain numbers and moments: column by column, where nothing in it asks for a question.

It gives the same readings, to the last digit, as reading cell by cell, or it gives none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timezone, tzinfo
from itertools import pairwise, repeat
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.batch.batch import HydrometerReading, SensorReading
from planner.batch.importing.columns import COLD, DAY, GRAVITY, HOT, TEMPERATURE, YEARS
from planner.batch.importing.figures import Array, Bytes, Figures
from planner.batch.importing.mapping import TEMPERATURES, Mapping, Meaning
from planner.batch.importing.table import Table
from planner.model.constants import ZERO_CELSIUS

_KNOWN = frozenset({
    Meaning.IGNORED, Meaning.MOMENT, Meaning.DAY, Meaning.HOURS, Meaning.GRAVITY, Meaning.CELSIUS, Meaning.FAHRENHEIT,
})  # fmt: skip
"""What columns may hold; a table with another meaning is read cell by cell."""

_LONGEST_MONTHS = np.array([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_OFFSETS = ("", "Z", "+00:00", "-00:00")
"""How the offset of a moment is written, each figure as a nought."""

Whole = npt.NDArray[np.int64]


class _NotAtOnce(Exception):  # noqa: N818  nothing went wrong
    """Something in the table asks for a look at its cells."""


@dataclass(frozen=True, eq=False, slots=True)
class Taken:
    """The readings of a plain table.

    Attributes
    ----------
    readings : list of HydrometerReading or SensorReading
        One for each row. [as their fields]
    seen : dict of str to int
        How often something worth a note was met, by its name. [-]
    repeats : bool
        Whether some may be of the same time.
    dates : numpy.ndarray of int or None, shape (rows,)
        The date of each, as `date_key` counts; None without moments.
    """

    readings: list[HydrometerReading | SensorReading]
    seen: dict[str, int]
    repeats: bool
    dates: Whole | None


def taken(table: Table, mapping: Mapping, offset: tzinfo, floats: bool) -> Taken | None:
    """The readings of a plain table; None where its cells must be looked at one by one.

    Parameters
    ----------
    table : Table
        The table. [-]
    mapping : Mapping
        What its columns mean. [-]
    offset : tzinfo
        Offset from UTC, or time zone, of moments that state none. [-]
    floats : bool
        Whether gravities are those of a floating sensor. [-]
    """
    figures = table.figures
    if (
        figures is None
        or mapping.decimal != "."
        or mapping.hot_in_fahrenheit
        or not _KNOWN.issuperset(mapping.meanings)
    ):
        return None
    date, hand = mapping.column(Meaning.MOMENT), mapping.column(Meaning.DAY, Meaning.HOURS)
    gravity, warmth = mapping.column(Meaning.GRAVITY), mapping.column(*TEMPERATURES)
    seen = {"near one": figures.rows}
    try:
        gravities = _gravities(figures, gravity)
        days = _days(figures, hand, mapping)
        temperatures = _temperatures(figures, warmth, mapping, seen)
        moments, dates = _moments(figures, date, offset, mapping, seen)
    except _NotAtOnce:
        return None
    stem = SensorReading if floats else HydrometerReading
    if isinstance(moments, repeat):
        made = [
            stem(day=day, temperature=kelvin, gravity=value)
            for day, kelvin, value in zip(days, temperatures, gravities, strict=False)
        ]
    else:
        made = [
            stem(at=at, day=day, temperature=kelvin, gravity=value)
            for at, day, kelvin, value in zip(moments, days, temperatures, gravities, strict=False)
        ]
    repeats = not any(figures.rises(column) for column in (date, hand) if column is not None)
    return Taken(made, seen, repeats, dates)


def _column(figures: Figures, column: int) -> Array:
    if column not in figures.numbers:
        raise _NotAtOnce
    return figures.array(column)


def _check(values: Array, limits: tuple[float, float]) -> None:
    if not (limits[0] <= values.min() and values.max() <= limits[1]):
        raise _NotAtOnce


def _gravities(figures: Figures, column: int | None) -> list[float]:
    """Specific gravities near one. [-]"""
    if column is None:
        raise _NotAtOnce
    _check(_column(figures, column), GRAVITY)
    return figures.numbers[column]


def _days(figures: Figures, column: int | None, mapping: Mapping) -> Iterator[None] | list[float]:
    """Days since pitching. [d]"""
    if column is None:
        return repeat(None)
    days = _column(figures, column)
    if mapping.meanings[column] is Meaning.DAY:
        _check(days, DAY)
        return figures.numbers[column]
    from_hours = days / 24.0
    _check(from_hours, DAY)
    return list(from_hours.tolist())


def _temperatures(
    figures: Figures, column: int | None, mapping: Mapping, seen: dict[str, int]
) -> Iterator[None] | list[float]:
    """Temperatures; which of them are odd is counted. [K]"""
    if column is None:
        return repeat(None)
    said = _column(figures, column)
    if mapping.meanings[column] is Meaning.FAHRENHEIT:
        name, odd, kelvin = "cold", said <= COLD, (said - 32.0) / 1.8 + ZERO_CELSIUS
    else:
        name, odd, kelvin = "hot", said >= HOT, said + ZERO_CELSIUS
    _check(kelvin, TEMPERATURE)
    seen[name] = int(np.count_nonzero(odd))
    seen["warm"] = figures.rows - seen[name]
    return list(kelvin.tolist())


# --- moments


class _Form(NamedTuple):
    """Where the parts of a moment stand in its text; the time of day begins at the twelfth character in all forms."""

    year: int
    month: int
    day: int
    seconds: bool
    offset: bool


def _moments(
    figures: Figures, column: int | None, offset: tzinfo, mapping: Mapping, seen: dict[str, int]
) -> tuple[Iterator[None] | list[str], Whole | None]:
    """Moments in ISO 8601 with their offset, and their dates."""
    if column is None:
        return repeat(None), None
    if column not in figures.moments:
        raise _NotAtOnce
    signs = figures.moments[column]
    form = _form(signs, mapping.day_first)
    dates = _dates(signs, form)
    if form.offset:
        return _texts(signs), dates
    seen["assumed"] = figures.rows
    return _with_offsets(signs, form, dates, offset), dates


def _form(signs: Bytes, day_first: bool) -> _Form:
    """The form of the first moment, which all others must share."""
    figure = (signs >= ord("0")) & (signs <= ord("9"))
    if np.any(figure != figure[0]) or np.any(signs[:, ~figure[0]] != signs[0, ~figure[0]]):
        raise _NotAtOnce
    text = signs[0].tobytes().decode()
    written = "".join("0" if is_figure else sign for sign, is_figure in zip(text, figure[0], strict=True))
    rest = written[16:]
    seconds = rest.startswith(":00") and rest[3:] in _OFFSETS
    zone = rest[3:] if seconds else rest
    iso = written.startswith("0000-00-00")
    if zone not in _OFFSETS or (zone and not iso):
        raise _NotAtOnce
    if written[4] in "-/":
        return _Form(0, 5, 8, seconds, bool(zone))
    day, month = (0, 3) if day_first or written[2] == "." else (3, 0)
    return _Form(6, month, day, seconds, bool(zone))


def orders_of(signs: Bytes) -> dict[str, str]:
    """What moments in figures tell of the order of day and month, as `cells.day_order` does, each with an example.

    Parameters
    ----------
    signs : numpy.ndarray of bytes, shape (rows, characters)
        A column of moments. [-]
    """
    if signs[0, 2] not in b"/-":
        return {}
    first, second = _number_at(signs, 0, 2), _number_at(signs, 3, 2)
    kinds = {
        "day": (first > 12) & (first != second),
        "month": (first <= 12) & (second > 12),
        "either": (first <= 12) & (second <= 12) & (first != second),
    }
    return {name: signs[int(np.argmax(which))].tobytes().decode() for name, which in kinds.items() if np.any(which)}


def _number_at(signs: Bytes, place: int, figures: int) -> Whole:
    value = np.zeros(len(signs), np.int64)
    for index in range(place, place + figures):
        value = 10 * value + (signs[:, index] - ord("0"))
    return value


def date_key(year: int | Whole, month: int | Whole, day: int | Whole) -> Whole:
    """A number for each date that grows from one to the next.

    Parameters
    ----------
    year, month, day : int or numpy.ndarray of int
        The date. [-]
    """
    return np.asarray(512 * year + 32 * month + day)


def _dates(signs: Bytes, form: _Form) -> Whole:
    """The dates, if all parts are those of a moment."""
    year, month, day = _number_at(signs, form.year, 4), _number_at(signs, form.month, 2), _number_at(signs, form.day, 2)
    hour, minute = _number_at(signs, 11, 2), _number_at(signs, 14, 2)
    good = (year >= YEARS[0]) & (year <= YEARS[1]) & (month >= 1) & (month <= 12) & (hour < 24) & (minute < 60)
    if form.seconds:
        good &= _number_at(signs, 17, 2) < 60
    if form.offset and signs[0, -1] != ord("Z"):
        good &= (_number_at(signs, -5 + signs.shape[1], 2) < 24) & (_number_at(signs, -2 + signs.shape[1], 2) < 60)
    if not np.all(good):
        raise _NotAtOnce
    common = ((year % 4 != 0) | ((year % 100 == 0) & (year % 400 != 0))) & (month == 2)
    if np.any((day < 1) | (day > _LONGEST_MONTHS[month] - common)):
        raise _NotAtOnce
    return date_key(year, month, day)


def _texts(signs: Bytes) -> list[str]:
    """Each row as a text."""
    lines = np.empty((len(signs), signs.shape[1] + 1), np.uint8)
    lines[:, :-1] = signs
    lines[:, -1] = ord("\n")
    return lines.tobytes()[:-1].decode("ascii").split("\n")


def _with_offsets(signs: Bytes, form: _Form, dates: Whole, offset: tzinfo) -> list[str]:
    """The moments in ISO 8601, each with the offset that the zone has at that time."""
    iso = np.empty((len(signs), 25), np.uint8)
    iso[:, :19] = np.frombuffer(b"0000-00-00T00:00:00", np.uint8)
    for place, source, figures in ((0, form.year, 4), (5, form.month, 2), (8, form.day, 2), (11, 11, 5)):
        iso[:, place : place + figures] = signs[:, source : source + figures]
    if form.seconds:
        iso[:, 16:19] = signs[:, 16:19]
    if isinstance(offset, timezone):
        iso[:, 19:] = _ending(iso[0], offset)
        return _texts(iso)
    edges = [0, *(np.flatnonzero(dates[1:] != dates[:-1]) + 1).tolist(), len(iso)]
    for start, end in pairwise(edges):
        iso[start:end, 19:] = _endings(iso[start:end, :19], offset)
    return _texts(iso)


def _endings(moments: Bytes, offset: tzinfo) -> Bytes:
    """The offsets of moments of one date: one for all, or one for each where the clocks are put forward or back."""
    edges = np.repeat(moments[:1], 2, axis=0)
    edges[:, 11:] = np.frombuffer(b"00:00:0023:59:59", np.uint8).reshape(2, 8)
    first, last = (_ending(edge, offset) for edge in edges)
    return first if np.array_equal(first, last) else np.array([_ending(moment, offset) for moment in moments])


def _ending(moment: Bytes, offset: tzinfo) -> Bytes:
    """The offset of a moment, as ISO 8601 writes it."""
    when = datetime.fromisoformat(moment[:19].tobytes().decode("ascii"))
    written = when.replace(tzinfo=offset).isoformat(timespec="seconds")[19:]
    if len(written) != 6:
        raise _NotAtOnce  # offsets with seconds, of the time before there were time zones
    return np.frombuffer(written.encode(), np.uint8)
