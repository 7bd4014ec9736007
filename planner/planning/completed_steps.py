"""What the log shows as done, by its day: what a schedule asks of it."""

from __future__ import annotations

from planner.document.batch import Batch, Event, SugarReading, TasteReading, What
from planner.document.timestamps import day_of
from planner.recipe.house_rules import SORBATES, SULPHITES

SALTS = SULPHITES | SORBATES
"""Keys of additives that together keep yeast from working."""


def days_of(batch: Batch, what: What, salts: bool | None = None, bare: bool = False) -> list[float]:
    """Days on which something was done, by the log. [d]

    Parameters
    ----------
    salts : bool or None
        Of doses: those of salts against yeast, or of all else; None for both. [-]
    bare : bool
        Whether only those are meant that tell no amount of something. [-]
    """
    days = [
        day_of(entry.at, entry.day, batch.log.pitched_at)
        for _, entry in batch.log.entries.of_kind(Event)
        if entry.what == what
        and not entry.excluded
        and (salts is None or (entry.key in SALTS) == salts)
        and not (bare and entry.key and entry.mass)
    ]
    return sorted(day for day in days if day is not None)


def tested_after(batch: Batch, rest: float) -> float | None:
    """The day of the first sugar test since it came to rest, by the log; None without one. [d]

    Parameters
    ----------
    rest : float
        When it came to rest. [d]
    """
    days = (
        day_of(entry.at, entry.day, batch.log.pitched_at)
        for _, entry in batch.log.entries.of_kind(SugarReading)
        if not entry.excluded
    )
    return min((day for day in days if day is not None and day >= rest), default=None)


def tasted_since(batch: Batch, since: float) -> float | None:
    """The first day since another on which it was tasted, by the log or the notes on it; None if it was not. [d]

    Parameters
    ----------
    since : float
        From when on. [d]
    """
    notes = (day_of(tasting.at, None, batch.log.pitched_at) for tasting in batch.tastings)
    entries = (
        day_of(entry.at, entry.day, batch.log.pitched_at)
        for _, entry in batch.log.entries.of_kind(TasteReading)
        if not entry.excluded
    )
    return min((day for day in (*notes, *entries) if day is not None and day >= since), default=None)
