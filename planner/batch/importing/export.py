"""The log of a batch as a table for a spreadsheet, without loss: importing it gives the same readings."""

from __future__ import annotations

import csv
import io
import math

from planner.batch.batch import (
    AcidityReading,
    Batch,
    Entry,
    Event,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    WeightReading,
)
from planner.batch.ferment.readings import Logged
from planner.batch.importing.cells import UNDATED
from planner.batch.importing.mapping import OWN_HEADINGS, PLAIN_COLUMNS
from planner.batch.importing.rows import KINDS
from planner.batch.outcome import Outcome
from planner.model.constants import ZERO_CELSIUS

_READ, _MORE = tuple(OWN_HEADINGS)[:PLAIN_COLUMNS], tuple(OWN_HEADINGS)[PLAIN_COLUMNS:]
_WORKED_OUT = (
    "Worked out: day",
    "Worked out: gravity at 20 °C",
    "Worked out: sugar [g/L]",
    "Worked out: alcohol [% vol]",
)
_DIGITS = (".3f", ".5f", ".2f", ".2f")


def export_csv(batch: Batch, outcome: Outcome | None = None) -> str:
    """The readings of a batch as comma-separated text (RFC 4180), decimal point, one row for each.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    outcome : Outcome or None
        What follows from it, for more columns with what is worked out of each reading; the import passes them over.
        [as its fields]

    Returns
    -------
    str
        Every number with all its digits, in g/L, °C, days and specific gravity. [-]
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    rows = outcome.log if outcome is not None and outcome.batch.log == batch.log else ()
    more = any(_needs_more(reading) for reading in batch.log.readings)
    writer.writerow((*_READ, *(_MORE if more else ()), *(_WORKED_OUT if rows else ())))
    for index, reading in enumerate(batch.log.readings):
        cells = (*_as_read(reading), *(_with_more(reading) if more else ()))
        writer.writerow((*cells, *(_as_worked_out(rows[index]) if rows else ())))
    return text.getvalue()


def _as_read(reading: Entry) -> tuple[str | float, ...]:
    undated = reading.at is None and reading.day is None
    return (
        UNDATED if undated else reading.at or "",
        "" if reading.day is None else reading.day,
        reading.gravity if isinstance(reading, HydrometerReading | SensorReading) else "",
        _sugar(reading) if isinstance(reading, SugarReading) else "",
        "" if reading.temperature is None else _celsius(reading.temperature),
        reading.note,
        "yes" if reading.excluded else "",
    )


def _sugar(reading: SugarReading) -> str | float:
    return f"<{reading.sugar!r}" if reading.below else reading.sugar


def _needs_more(reading: Entry) -> bool:
    """Whether the plain columns do not hold all of an entry."""
    plain = isinstance(reading, HydrometerReading | SugarReading)
    return not plain or bool(reading.instrument) or getattr(reading, "doubt", None) is not None


_WORDS = {meant: word for word, meant in KINDS.items()}


def _with_more(reading: Entry) -> tuple[str | float, ...]:
    doubt = getattr(reading, "doubt", None)
    return (
        reading.brix if isinstance(reading, RefractometerReading) else "",
        reading.lost if isinstance(reading, WeightReading) else "",
        reading.ph if isinstance(reading, AcidityReading) else "",
        _WORDS[reading.what] if isinstance(reading, Event) else _WORDS[type(reading)],
        reading.instrument,
        "" if doubt is None else doubt,
        reading.mass if isinstance(reading, Event) and reading.mass is not None else "",
        (reading.key or "") if isinstance(reading, Event) else "",
    )


def _celsius(kelvin: float) -> float:
    """The shortest number of °C that is the same temperature when read back."""
    celsius = kelvin - ZERO_CELSIUS
    shorter = (round(celsius, decimals) for decimals in range(12))
    return next((short for short in shorter if short + ZERO_CELSIUS == kelvin), celsius)


def _as_worked_out(row: Logged) -> tuple[str | float, ...]:
    values = (row.day, row.gravity, row.sugar, 100.0 * row.alcohol)
    return tuple(
        "" if value is None or math.isnan(value) else float(format(value, digits))
        for value, digits in zip(values, _DIGITS, strict=True)
    )
