"""Readings from a long table of plain numbers and moments: column by column, where nothing in it asks for a question.

It gives the same readings, to the last digit, as reading cell by cell, or it gives none.
"""

from __future__ import annotations

from datetime import datetime, timezone, tzinfo
from itertools import pairwise
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Entry, HydrometerReading, SensorReading
from planner.document.columnar_log import Run
from planner.importing.columns import COLD, DAY, GRAVITY, HOT, TEMPERATURE, YEARS
from planner.importing.mapping import TEMPERATURES, Mapping, Meaning
from planner.importing.numeric_table import Array, Bytes, Figures, texts
from planner.importing.table import Table
from planner.model.constants import ZERO_CELSIUS

_KNOWN = frozenset({
    Meaning.IGNORED, Meaning.MOMENT, Meaning.DAY, Meaning.HOURS, Meaning.GRAVITY, Meaning.CELSIUS, Meaning.FAHRENHEIT,
})  # fmt: skip
"""What columns may hold; a table with another meaning is read cell by cell."""

_OFFSETS = ("", "Z", "+00:00", "-00:00")
"""How the offset of a moment is written, each figure as a nought."""

Whole = npt.NDArray[np.int64]
Moments = npt.NDArray[np.datetime64]


class _NotAtOnce(Exception):  # noqa: N818  nothing went wrong
    """Something in the table asks for a look at its cells."""


class Taken(msgspec.Struct, frozen=True, eq=False):
    """The readings of a plain table.

    Attributes
    ----------
    readings : Run
        One for each row. [as their fields]
    seen : dict of str to int
        How often something worth a note was met, by its name. [-]
    repeats : bool
        Whether some may be of the same time.
    times : numpy.ndarray of datetime64 or None, shape (rows,)
        Date and time of each as written, whatever the offset; None without moments.
    """

    readings: Run[Entry]
    seen: dict[str, int]
    repeats: bool
    times: Moments | None


def taken(table: Table, mapping: Mapping, offset: tzinfo) -> Taken | None:
    """The readings of a plain table; None where its cells must be looked at one by one.

    Parameters
    ----------
    offset : tzinfo
        Offset from UTC, or time zone, of moments that state none. [-]
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
        columns: dict[str, npt.NDArray[Any] | None] = {
            "gravity": _gravities(figures, gravity),
            "day": _days(figures, hand, mapping),
            "temperature": _temperatures(figures, warmth, mapping, seen),
        }
        columns["at"], times = _moments(figures, date, offset, mapping, seen)
    except _NotAtOnce:
        return None
    given = {name: column for name, column in columns.items() if column is not None}
    stem = SensorReading if mapping.floats else HydrometerReading
    clocks: list[npt.NDArray[Any] | None] = [times, columns["day"]]
    repeats = not any(clock is not None and bool(np.all(clock[1:] > clock[:-1])) for clock in clocks)
    return Taken(Run(stem(gravity=float(given["gravity"][0])), given), seen, repeats, times)


def _column(figures: Figures, column: int) -> Array:
    if column not in figures.numbers:
        raise _NotAtOnce
    return figures.numbers[column]


def _within(values: Array, limits: tuple[float, float]) -> Array:
    if not (limits[0] <= values.min() and values.max() <= limits[1]):
        raise _NotAtOnce
    return values


def _gravities(figures: Figures, column: int | None) -> Array:
    """Specific gravities near one. [-]"""
    if column is None:
        raise _NotAtOnce
    return _within(_column(figures, column), GRAVITY)


def _days(figures: Figures, column: int | None, mapping: Mapping) -> Array | None:
    """Days since pitching. [d]"""
    if column is None:
        return None
    said = _column(figures, column)
    return _within(said if mapping.meanings[column] is Meaning.DAY else said / 24.0, DAY)


def _temperatures(figures: Figures, column: int | None, mapping: Mapping, seen: dict[str, int]) -> Array | None:
    """Temperatures; which of them are odd is counted. [K]"""
    if column is None:
        return None
    said = _column(figures, column)
    if mapping.meanings[column] is Meaning.FAHRENHEIT:
        name, odd, kelvin = "cold", said <= COLD, (said - 32.0) / 1.8 + ZERO_CELSIUS
    else:
        name, odd, kelvin = "hot", said >= HOT, said + ZERO_CELSIUS
    seen[name] = int(np.count_nonzero(odd))
    seen["warm"] = figures.rows - seen[name]
    return _within(kelvin, TEMPERATURE)


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
) -> tuple[npt.NDArray[Any] | None, Moments | None]:
    """Moments in ISO 8601 with their offset as texts, and as times of the clock that they were read off."""
    if column is None:
        return None, None
    if column not in figures.moments:
        raise _NotAtOnce
    signs = figures.moments[column]
    form = _form(signs, mapping.day_first)
    local = _in_iso(signs, form)
    times = _times(local)
    if form.offset:
        _check_offsets(signs)
        return texts(signs), times
    seen["assumed"] = figures.rows
    return texts(_with_offsets(local, times, offset)), times


def _form(signs: Bytes, day_first: bool) -> _Form:
    """The form of the first moment, which all others must share."""
    written = "".join("0" if sign.isdecimal() else sign for sign in signs[0].tobytes().decode())
    for sign, column in zip(written, signs.T, strict=True):
        if np.any(column - ord("0") > 9 if sign == "0" else column != ord(sign)):  # below "0" it is far above
            raise _NotAtOnce
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


def _in_iso(signs: Bytes, form: _Form) -> Bytes:
    """The moments in ISO 8601 without their offset, a blank perhaps before the time."""
    if form.year == 0 and form.seconds and signs[0, 4] == ord("-"):
        return signs[:, :19]
    iso = np.tile(np.frombuffer(b"0000-00-00T00:00:00", np.uint8), (len(signs), 1))
    for place, source, figures in ((0, form.year, 4), (5, form.month, 2), (8, form.day, 2), (11, 11, 5)):
        iso[:, place : place + figures] = signs[:, source : source + figures]
    if form.seconds:
        iso[:, 17:] = signs[:, 17:19]
    return iso


def _times(iso: Bytes) -> Moments:
    """The moments, if all are such."""
    try:
        times = texts(iso).astype("datetime64[s]")
    except ValueError as problem:
        raise _NotAtOnce from problem
    years = times[[times.argmin(), times.argmax()]].astype("datetime64[Y]").astype(int) + 1970
    if not YEARS[0] <= years[0] <= years[1] <= YEARS[1]:
        raise _NotAtOnce
    return np.asarray(times)


def _check_offsets(signs: Bytes) -> None:
    if signs[0, -1] != ord("Z"):
        hours, minutes = _number_at(signs, -5 + signs.shape[1], 2), _number_at(signs, -2 + signs.shape[1], 2)
        if hours.max() > 23 or minutes.max() > 59:
            raise _NotAtOnce


def _with_offsets(local: Bytes, times: Moments, offset: tzinfo) -> Bytes:
    """The moments in ISO 8601, each with the offset that the zone has at that time."""
    whole = np.empty((len(local), 25), np.uint8)
    whole[:, :19] = local
    whole[:, 10] = ord("T")
    if isinstance(offset, timezone):
        whole[:, 19:] = _ending(local[0], offset)
        return whole
    dates = times.astype("datetime64[D]")
    edges = [0, *(np.flatnonzero(dates[1:] != dates[:-1]) + 1).tolist(), len(local)]
    for start, end in pairwise(edges):
        whole[start:end, 19:] = _endings(local[start:end], offset)
    return whole


def _endings(moments: Bytes, offset: tzinfo) -> Bytes:
    """The offsets of moments of one date: one for all, or one for each where the clocks are put forward or back."""
    edges = np.repeat(moments[:1], 2, axis=0)
    edges[:, 11:] = np.frombuffer(b"00:00:0023:59:59", np.uint8).reshape(2, 8)
    first, last = (_ending(edge, offset) for edge in edges)
    return first if np.array_equal(first, last) else np.array([_ending(moment, offset) for moment in moments])


def _ending(moment: Bytes, offset: tzinfo) -> Bytes:
    """The offset of a moment, as ISO 8601 writes it."""
    when = datetime.fromisoformat(moment.tobytes().decode("ascii"))
    written = when.replace(tzinfo=offset).isoformat(timespec="seconds")[19:]
    if len(written) != 6:
        raise _NotAtOnce  # offsets with seconds, of the time before there were time zones
    return np.frombuffer(written.encode(), np.uint8)
