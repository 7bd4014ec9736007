"""The constant error of each instrument: what is thought of it beforehand, and what checks in a known liquid tell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from planner.document.batch import HydrometerReading, Log, SensorReading
from planner.document.reading_kinds import KINDS, READINGS
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.hydrometer import corrected
from planner.model.liquid import Liquid
from planner.model.span import Z_90
from planner.timeline.observations import BY_EYE

OFFSETS = {kind.key: kind.offset for kind in READINGS}
"""Standard deviation of the constant error of an instrument, by kind of reading. [-]"""


class Error(NamedTuple):
    """By how much an instrument reads too high, and the standard deviation of what is known of that. [-]"""

    mean: float
    sd: float


def instrument_of(kind: str, name: str) -> str:
    """What one instrument is called: its kind, and the user's name for it."""
    return f"{kind} {name}".strip()


def told_by(before: Error, off: float, sd: float) -> Error:
    """An instrument's error after a check that found it so far off, with a standard deviation (Kalman's update). [-]

    Examples
    --------
    >>> round(told_by(Error(0.0, 1.0), 1.5, 0.5).mean, 3)
    1.2
    """
    gain = before.sd**2 / (before.sd**2 + sd**2)
    return Error(before.mean + gain * (off - before.mean), before.sd * float(np.sqrt(1.0 - gain)))


def checks(log: Log) -> Iterator[tuple[int, str, HydrometerReading | SensorReading]]:
    """The place of each check that counts, its instrument by `instrument_of`, and the entry."""
    if not log.entries.tells("known"):
        return
    for place, entry in enumerate(log.entries):
        if isinstance(entry, HydrometerReading | SensorReading) and entry.known is not None and not entry.excluded:
            yield place, instrument_of(KINDS[type(entry)], entry.instrument), entry


def checked(log: Log) -> dict[str, Error]:
    """The error of each instrument that was checked in a liquid of known gravity, by `instrument_of`. [-]"""
    found: dict[str, Error] = {}
    for _, name, entry in checks(log):
        kind = KINDS[type(entry)]
        made_for = log.hydrometer.calibration if kind == "hydrometer" else REFERENCE_TEMPERATURE
        warmth = np.clip(REFERENCE_TEMPERATURE if entry.temperature is None else entry.temperature, 273.15, 313.15)
        # What it is checked in is water, or so near to it that it expands alike.
        shown = float(
            corrected(np.array([entry.gravity]), np.array([warmth]), lambda _: Liquid.of(water=1.0), made_for)[0]
        )
        sd = BY_EYE if entry.doubt is None else entry.doubt / Z_90
        assert entry.known is not None
        found[name] = told_by(found.get(name, Error(0.0, OFFSETS[kind])), shown - entry.known, sd)
    return found
