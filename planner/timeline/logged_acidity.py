"""What the log says of acid, by pH and by titration: early readings tell of the must, later ones of the mead."""

from __future__ import annotations

from math import inf
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

LATER = (0.15, 0.5)
"""Least doubt about the pH [-] and the titratable acid [kg/m^3] of the finished mead by such a later reading. Estimates: an
electrode's or a titration's own, and what has changed since."""

NEVER = (inf, 0)
"""Day, and place in the log, of what was not done. [d], [-]"""

CHANGED = (0.2, 0.5)
"""Least doubt about the pH [-] and the titratable acid [kg/m^3] of the must by a reading from after pitching. Estimates: so much
does a ferment change them within two days."""


def ph_of_must(log: Log) -> Span | None:
    """pH of the must by the log: the reading nearest to pitching, with its doubt; None without one. [-]"""
    return _of_must(log, AcidityReading, "ph", MEASURED_PH_DOUBT, CHANGED[0])


def acid_of_must(log: Log) -> Span | None:
    """Titratable acid of the must by the log, likewise. [kg/m^3, as tartaric]"""
    return _of_must(log, TitrationReading, "acid", TITRATION_DOUBT, CHANGED[1])


def ph_of_mead(log: Log, before: tuple[float, int] = NEVER) -> Span | None:
    """pH of the mead by the log: the last reading after those of the must, with its doubt; None without one. [-]

    Parameters
    ----------
    before : (float, int)
        Day, and place in the log, from which on other acid is in it. [d], [-]
    """
    return _of_mead(log, AcidityReading, "ph", LATER[0], (2.0, 7.0), before)


def acid_of_mead(log: Log, before: tuple[float, int] = NEVER) -> Span | None:
    """Titratable acid of the mead by the log, likewise. [kg/m^3, as tartaric]

    Parameters
    ----------
    log, before
        As those of `ph_of_mead`. [as there]
    """
    return _of_mead(log, TitrationReading, "acid", LATER[1], (0.0, inf), before)


def _of_mead(
    log: Log, kind: Any, field: str, later: float, within: tuple[float, float], before: tuple[float, int]
) -> Span | None:
    found = []
    for place, entry in log.entries.of_kind(kind):
        day, value = day_of(entry.at, entry.day, log.pitched_at), getattr(entry, field)
        if day is not None and day > EARLY and not entry.excluded and within[0] <= value <= within[1]:
            found.append(((day, place), value, max(later, entry.doubt or 0.0)))
    known = [one for one in found if one[0] < before]
    if not known:
        return None
    _, value, doubt = max(known)
    return Span(max(value - doubt, 0.0), value, value + doubt)


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
