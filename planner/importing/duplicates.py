"""Readings of a table that are in the log already: the same kind, moment and value."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document import pitch_date
from planner.document.batch import (
    Batch,
    Entry,
    Event,
    HydrometerReading,
)
from planner.document.columnar_log import Entries, Places
from planner.document.reading_kinds import OF_CLASS
from planner.document.timestamps import SECONDS_PER_DAY, parsed

Array = npt.NDArray[np.float64]
Reading = Entry

SAME_TIME = 60.0
"""Two readings closer than this may be one, typed once with and once without seconds. [s]"""
SAME_GRAVITY = OF_CLASS[HydrometerReading].same
SAME_MASS = 5e-5
"""The same of what was given. [kg]"""
_NEARLY = 1e-3
"""What may be lost of a time on the way, so that it must be looked at in full whether it is the same. [s]"""
_ELSEWHERE = -1e12
"""Where days stand on the clock as long as nobody knows when they began: far from all that is dated. [s]"""


def known_places(found: Entries[Entry], batch: Batch) -> list[int]:
    """Which of some readings are in the log of a batch already.

    Returns
    -------
    list of int
        Their places, rising. Each reading of the log counts once, so that two equal ones are two unless both are known.
        [-]
    """
    log = batch.log.entries
    pitched = parsed(batch.log.pitched_at) if batch.log.pitched_at else None
    if not len(log):
        return []
    fresh, old = _gravities(found, pitched), _gravities(log, pitched)
    if fresh is None or old is None:
        return sorted(_one_by_one(enumerate(found), enumerate(log), pitched))
    sure, doubtful, rivals = _at_once(fresh, old)
    others = np.isnan(found.floats("gravity"))
    looked_at = sorted([*np.flatnonzero(others).tolist(), *doubtful])
    if not looked_at:
        return sorted(sure)
    beside = sorted([*np.flatnonzero(np.isnan(log.floats("gravity"))).tolist(), *rivals])
    one_by_one = _one_by_one(((p, found[p]) for p in looked_at), ((p, log[p]) for p in beside), pitched)
    return sorted([*sure, *one_by_one])


def repeated(found: Sequence[Entry]) -> list[int]:
    """Which readings of a table repeat an earlier one of it to the last figure: a line that was written twice.

    Returns
    -------
    list of int
        Their places, rising. What was done may be done twice on one day, and what has no date may be of two days: neither
        counts. [-]
    """
    met: set[Entry] = set()
    again = []
    for place, entry in enumerate(found):
        if (entry.at is None and entry.day is None) or isinstance(entry, Event):
            continue
        before = len(met)
        met.add(entry)
        if len(met) == before:
            again.append(place)
    return again


# --- gravities that have no rival, all at once


class _Gravities(NamedTuple):
    """Gravities that have a time, by that: their place among all, seconds on one clock, and values."""

    places: Places
    seconds: Array
    values: Array


def _gravities(entries: Entries[Entry], pitched: datetime | None) -> _Gravities | None:
    """The gravities by time; None where one states both a moment and a day, which may not agree."""
    values = entries.floats("gravity")
    moments, days = pitch_date.ticks(entries) / 1e6, entries.floats("day")
    if np.any(~np.isnan(values) & ~np.isnan(moments) & ~np.isnan(days)):
        return None
    start = _ELSEWHERE if pitched is None else pitched.timestamp()
    seconds = np.where(np.isnan(moments), start + days * SECONDS_PER_DAY, moments)
    places = np.flatnonzero(~np.isnan(values + seconds))
    places = places[np.argsort(seconds[places], kind="stable")]
    return _Gravities(places, seconds[places], values[places])


def _at_once(fresh: _Gravities, old: _Gravities) -> tuple[list[int], list[int], list[int]]:
    """Fresh ones that are known for sure, those to be looked at one by one, and the old ones that may be the same as these."""
    first = np.searchsorted(old.seconds, fresh.seconds - SAME_TIME - _NEARLY)
    end = np.searchsorted(old.seconds, fresh.seconds + SAME_TIME + _NEARLY)
    claims = _covered(first, end, len(old.places))
    near = end > first
    only = np.where(near, first, 0)
    alone = near & (end - first == 1)
    if len(old.places):
        apart = np.abs(old.seconds[only] - fresh.seconds)
        alone &= (claims[only] == 1) & (apart < SAME_TIME - _NEARLY)
    sure = alone & (np.abs(old.values[only] - fresh.values) < SAME_GRAVITY) if len(old.places) else alone
    doubtful = near & ~alone
    rivals = _covered(first[doubtful], end[doubtful], len(old.places)) > 0
    return fresh.places[sure].tolist(), fresh.places[doubtful].tolist(), old.places[rivals].tolist()


def _covered(first: Places, end: Places, count: int) -> Places:
    """How many of some stretches hold each place."""
    edges = np.bincount(first, minlength=count + 1) - np.bincount(end, minlength=count + 1)
    return np.cumsum(edges)[:count]


# --- all others, one by one


class _Known(msgspec.Struct, frozen=True):
    """What tells one entry from another.

    Attributes
    ----------
    kind : str
        What was measured or done.
    seconds : dict
        When, by each clock on which that can be told: since 1970, and since pitching. [s]
    value : float
        What was found. [as the entry holds it]
    tolerance : float
        Within which another value is the same.
    """

    kind: str
    value: float
    tolerance: float
    seconds: dict[str, float]


def _identity(reading: Reading, pitched: datetime | None) -> _Known:
    seconds = {}
    moment = parsed(reading.at) if reading.at else None
    if moment is not None:
        seconds["clock"] = moment.timestamp()
    elif reading.day is not None and pitched is not None:
        seconds["clock"] = pitched.timestamp() + reading.day * SECONDS_PER_DAY
    if reading.day is not None:
        seconds["pitching"] = reading.day * SECONDS_PER_DAY
    return _Known(*_what(reading), seconds=seconds)


def _what(reading: Entry) -> tuple[str, float, float]:
    """What an entry says, in a form that can be compared: kind, value, and within what another value is the same."""
    if isinstance(reading, Event):
        if reading.bottles is not None:
            return f"{reading.what} {round((reading.size or 0.0) * 1e9)} {reading.note}", reading.bottles, 0.5
        told = f"{reading.what} {reading.key} {round((reading.volume or 0.0) * 1e9)} {reading.note}"
        return told, reading.mass or 0.0, SAME_MASS
    kind = OF_CLASS[type(reading)]
    if not kind.field:
        return f"{kind.key} {reading.note}", 0.0, 1.0
    known = getattr(reading, "known", None)
    told = f"check in {known:.4f}" if known is not None else "below" if getattr(reading, "below", False) else kind.field
    return told, getattr(reading, kind.field), kind.same  # whichever instrument showed it


def _one_by_one(
    found: Iterable[tuple[int, Entry]], log: Iterable[tuple[int, Entry]], pitched: datetime | None
) -> list[int]:
    """The places of readings that are in a log."""
    known: dict[tuple[str, str, int], list[tuple[int, _Known]]] = {}
    for index, reading in log:
        told = _identity(reading, pitched)
        for clock, seconds in told.seconds.items():
            known.setdefault((told.kind, clock, int(seconds // SAME_TIME)), []).append((index, told))
    used: set[int] = set()
    places = []
    for place, reading in found:
        same = _same(_identity(reading, pitched), known, used)
        if same is not None:
            used.add(same)
            places.append(place)
    return places


def _same(told: _Known, known: dict[tuple[str, str, int], list[tuple[int, _Known]]], used: set[int]) -> int | None:
    """The number of a reading of the log that is this one."""
    for clock, seconds in told.seconds.items():
        minute = int(seconds // SAME_TIME)
        for near in (minute, minute - 1, minute + 1):
            for index, other in known.get((told.kind, clock, near), ()):
                close = abs(other.seconds[clock] - seconds) < SAME_TIME
                if close and abs(other.value - told.value) < told.tolerance and index not in used:
                    return index
    return None
