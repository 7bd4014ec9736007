"""What the log says of the acid of the must: its pH and its titratable acid, measured before yeast changes them much."""

from __future__ import annotations

from typing import Any

from planner.document.batch import AcidityReading, Log, TitrationReading
from planner.document.timestamps import day_of, parsed
from planner.model.span import Span
from planner.timeline.readings import AT_PITCHING

MEASURED_PH_DOUBT = 0.05
"""Half width of the 90 % interval of a pH measured at home. [-] Estimate: a meter that was set with buffers."""

TITRATION_DOUBT = 0.2
"""The same of a titratable acid. [kg/m^3] Estimate: a drop of half a millilitre of 0.1 N lye in ten of must is 0.4 g/L."""

EARLY = 2.0
"""Day until which a reading tells of the must. [d] Later ones tell of the mead that comes of it."""

CHANGED = (0.2, 0.5)
"""Least doubt about the pH [-] and the titratable acid [kg/m^3] of the must by a reading from after pitching. Estimates: so much
does a ferment change them within two days."""


def ph_of_must(log: Log) -> Span | None:
    """pH of the must by the log: the reading nearest to pitching, with its doubt; None without one. [-]

    Parameters
    ----------
    log : Log
        As entered. [as its fields]
    """
    return _of_must(log, AcidityReading, "ph", MEASURED_PH_DOUBT, CHANGED[0])


def acid_of_must(log: Log) -> Span | None:
    """Titratable acid of the must by the log, likewise. [kg/m^3, as tartaric]

    Parameters
    ----------
    log : Log
        As entered. [as its fields]
    """
    return _of_must(log, TitrationReading, "acid", TITRATION_DOUBT, CHANGED[1])


def _of_must(log: Log, kind: Any, field: str, usual: float, changed: float) -> Span | None:
    found = []
    for place, entry in log.entries.of_kind(kind):
        day = day_of(entry.at, entry.day, log.pitched_at)
        if day is None and log.pitched_at is None and entry.at and (moment := parsed(entry.at)) is not None:
            nearness, day = -moment.timestamp(), 0.0  # nothing is pitched yet, and the last is of the must as it is
        else:
            nearness = abs(day or 0.0)
        if entry.excluded or day is None or day > EARLY:
            continue
        doubt = usual if entry.doubt is None else entry.doubt
        doubt = max(doubt, changed) if day > AT_PITCHING[1] else doubt
        value = getattr(entry, field)
        found.append((nearness, place, Span(max(value - doubt, 0.0), value, value + doubt)))
    return min(found)[2] if found else None
