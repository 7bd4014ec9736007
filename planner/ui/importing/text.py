"""What an import will bring, in one sentence."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from planner.document import pitch_date
from planner.document.batch import Batch, Entry, Log
from planner.document.columnar_log import Array, Entries, Places
from planner.document.timestamps import parsed
from planner.importing.reading import Imported
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


def _of_the_new(readings: Entries[Entry], batch: Batch, display: Display) -> str:
    order = _by_time(readings.floats("day"))
    gravities, sugars = (
        values[~np.isnan(values)] for values in (readings.floats(n)[order] for n in ("gravity", "sugar"))
    )
    parts = [counted(len(readings), "reading", "readings", display), _when(readings, batch, display)]
    if len(gravities):
        parts.append(f"gravity {_from_to(*map(display.gravity, map(float, gravities[[0, -1]])))}")
    if len(sugars):
        parts.append(f"sugar {_from_to(*map(display.grams_per_litre, map(float, sugars[[0, -1]])))}")
    return ", ".join(part for part in parts if part) + "."


def _by_time(days: Array) -> Places:
    """In the order of their days, where all of them have one; else as they come."""
    return np.arange(len(days)) if np.isnan(days).any() else np.argsort(days, kind="stable")


def _when(readings: Entries[Entry], batch: Batch, display: Display) -> str:
    """The span of time: in days since pitching where these can be told, else in dates."""
    days = pitch_date.days(Log(pitched_at=batch.log.pitched_at, readings=readings))
    days = days[~np.isnan(days)]
    if len(days):
        first, last = (display.number(float(day), 1, trim=True) for day in (days.min(), days.max()))
        return f"day {_from_to(first, last)}"
    ticks = pitch_date.ticks(readings)
    if np.isnan(ticks).all():
        return ""
    ends = (readings[int(place)].at for place in (np.nanargmin(ticks), np.nanargmax(ticks)))
    first_text, last_text = (_date(moment, display) for at in ends if at and (moment := parsed(at)) is not None)
    return _from_to(first_text, last_text)


def _date(moment: datetime, display: Display) -> str:
    return date_text(moment.date(), display.locale)


def _from_to(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"
