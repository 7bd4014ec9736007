"""What an import will bring, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from planner.batch.batch import Batch, Entry, HydrometerReading, SensorReading, SugarReading
from planner.batch.importing.reading import Imported
from planner.batch.moments import day_of, parsed
from planner.ui.display import Display
from planner.ui.log.when import date_text


def counted(number: int, one: str, several: str, display: Display) -> str:
    """A number and its noun: "1 reading", "1,200 readings"."""
    return f"{display.number(number, 0)} {one if number == 1 else several}"


def summary(imported: Imported, fresh: Imported, batch: Batch, display: Display) -> str:
    """How many readings of when and of what, and what stays out and why."""
    known = len(imported.readings) - len(fresh.readings)
    refused = len(imported.refused)
    parts = [_of_the_new(fresh.readings, batch, display)] if fresh.readings else []
    if refused:
        parts.append(f"{counted(refused, 'row', 'rows', display)} cannot be read.")
    if known and not fresh.readings:
        all_of_them = {1: "The one reading is", 2: "Both readings are"}
        words = all_of_them.get(known, f"All {display.number(known, 0)} readings are")
        parts.append(f"{words} in the log already; there is nothing to add.")
    elif known:
        parts.append(
            f"{display.number(known, 0)} {'is' if known == 1 else 'are'} in the log already and not added again."
        )
    return " ".join(parts) or "No row holds a reading."


def _of_the_new(readings: Sequence[Entry], batch: Batch, display: Display) -> str:
    in_order = _by_time(readings)
    gravities = [reading.gravity for reading in in_order if isinstance(reading, HydrometerReading | SensorReading)]
    sugars = [reading.sugar for reading in in_order if isinstance(reading, SugarReading)]
    parts = [counted(len(readings), "reading", "readings", display), _when(readings, batch, display)]
    if gravities:
        parts.append(f"gravity {_from_to(*map(display.gravity, (gravities[0], gravities[-1])))}")
    if sugars:
        parts.append(f"sugar {_from_to(*map(display.grams_per_litre, (sugars[0], sugars[-1])))}")
    return ", ".join(part for part in parts if part) + "."


def _by_time(readings: Sequence[Entry]) -> Sequence[Entry]:
    """In the order of their days, where all of them have one; else as they come."""
    days = [reading.day for reading in readings if reading.day is not None]
    if len(days) < len(readings) or all(before <= after for before, after in pairwise(days)):
        return readings
    return sorted(readings, key=lambda reading: reading.day or 0.0)


def _when(readings: Sequence[Entry], batch: Batch, display: Display) -> str:
    """The span of time: in days since pitching where these can be told, else in dates."""
    days = [day for r in readings if (day := day_of(r.at, r.day, batch.log.pitched_at)) is not None]
    if days:
        first, last = (display.number(day, 1, trim=True) for day in (min(days), max(days)))
        return f"day {_from_to(first, last)}"
    moments = [moment for r in readings if r.at and (moment := parsed(r.at)) is not None]
    if not moments:
        return ""
    first_text, last_text = (_date(moment, display) for moment in (min(moments), max(moments)))
    return _from_to(first_text, last_text)


def _date(moment: datetime, display: Display) -> str:
    return f"{date_text(moment.date(), display.locale)} {moment.year}"


def _from_to(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"
