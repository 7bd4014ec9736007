"""Readings from a table, in three steps: read the table, guess what its columns mean, and take the readings from it.

Everything is a value between the steps, so that the user sees and mends each before anything enters the log.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo

from planner.batch import edits
from planner.batch.batch import (
    AcidityReading,
    Batch,
    Entry,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    WarmthReading,
    WeightReading,
)
from planner.batch.entries import Entries
from planner.batch.importing.at_once import taken
from planner.batch.importing.columns import Reader
from planner.batch.importing.export import export_csv
from planner.batch.importing.guess import guess
from planner.batch.importing.mapping import Mapping, Meaning, series_names
from planner.batch.importing.notices import Notice, notices, notices_at_once
from planner.batch.importing.rows import Rows
from planner.batch.importing.table import ImportRefused, ImportStopped, Table, never, read_table
from planner.batch.moments import SECONDS_PER_DAY, parsed

__all__ = [
    "ImportRefused",
    "ImportStopped",
    "Imported",
    "Mapping",
    "Meaning",
    "Notice",
    "Refusal",
    "Table",
    "added",
    "export_csv",
    "guess",
    "new_only",
    "read_table",
    "readings",
    "series_names",
]

Reading = Entry

SAME_TIME = 60.0
"""Two readings closer than this may be one, typed once with and once without seconds. [s]"""
SAME_GRAVITY, SAME_SUGAR, SAME_BRIX, SAME_MASS, SAME_PH, SAME_TEMPERATURE = 5e-5, 0.05, 0.005, 5e-5, 0.005, 0.05
"""Two values closer than this are the same reading; half of what anyone writes down. [-], [kg/m^3], [g/(100 g)], [kg], [-],
[K]"""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A row that cannot be read.

    Attributes
    ----------
    line : int
        Where it begins in the file, from 1.
    text : str
        Why.
    """

    line: int
    text: str


@dataclass(frozen=True, eq=False, slots=True)
class Imported:
    """What a table gives.

    Attributes
    ----------
    readings : Entries
        In the order of the file. [as their fields]
    lines : sequence of int
        The line of each.
    refused : tuple of Refusal
        Rows that cannot be read.
    notices : tuple of Notice
        What the user should know.
    assumed : int
        Moments among the chosen rows that state no offset from UTC, and were given the assumed one.
    tried : bool
        Whether all are known to be such as a file of the batch can hold.
    """

    readings: Entries[Reading]
    lines: Sequence[int]
    refused: tuple[Refusal, ...]
    notices: tuple[Notice, ...]
    assumed: int
    tried: bool = False


def readings(
    table: Table,
    mapping: Mapping,
    assumed_offset: tzinfo,
    now: datetime | None = None,
    stop: Callable[[], bool] = never,
    floats: bool = False,
) -> Imported:
    """The readings in a table.

    Parameters
    ----------
    table : Table
        The table. [-]
    mapping : Mapping
        What its columns mean. [-]
    assumed_offset : tzinfo
        Offset from UTC, or time zone, of moments that state none, neither themselves nor in their heading. [-]
    now : datetime or None
        The present moment with its offset, to notice readings from the future. [-]
    stop : callable
        Asked now and then whether the work has become needless. [-]
    floats : bool
        Whether gravities are those of a floating sensor, where no column says of what kind they are. [-]

    Returns
    -------
    Imported
        Entries in SI; a row with a gravity and a sugar gives one of each. [as its fields]

    Raises
    ------
    ImportRefused
        If the mapping lacks something; its `problem` says what.
    ImportStopped
        If `stop` said so.
    """
    problem = mapping.problem()
    if problem:
        raise ImportRefused(problem)
    in_utc = _heading_says_utc(table, mapping)
    offset = UTC if in_utc else assumed_offset
    reader = Reader(_chosen(table, mapping), mapping.decimal, mapping.day_first, offset, stop)
    reader.hot_in_fahrenheit = mapping.hot_in_fahrenheit
    plain = taken(table, mapping, offset, floats)
    if plain is not None:
        reader.seen.update(plain.seen)
        remarks = notices_at_once(table, mapping, reader, plain, table.lines, now)
        assumed = 0 if in_utc else reader.seen["assumed"]
        return Imported(Entries(plain.readings), table.lines, (), remarks, assumed, True)
    # Two lists, not one of pairs: a hundred thousand pairs would make each pass of the garbage collector a pause.
    found: list[Reading] = []
    lines: list[int] = []
    for reading, line in Rows(table, mapping, reader, floats).readings(stop):
        found.append(reading)
        lines.append(line)
    refused = [Refusal(table.lines[row], text) for row, text in sorted(reader.troubles.items())]
    return Imported(
        readings=Entries(tuple(found)),
        lines=tuple(lines),
        refused=tuple(refused),
        notices=notices(table, mapping, reader, found, lines, now),
        assumed=0 if in_utc else reader.seen["assumed"] + reader.seen["noon"],
    )


def _heading_says_utc(table: Table, mapping: Mapping) -> bool:
    """Whether the heading of the moments, such as "time (UTC)", states the offset that its cells lack."""
    column = mapping.column(Meaning.MOMENT)
    said = column is not None and re.search(r"(?<![a-z])(?:utc|gmt)(?![a-z+-])", table.headings[column].casefold())
    return bool(said)


def _chosen(table: Table, mapping: Mapping) -> Sequence[int]:
    """The rows of the series that was chosen."""
    by = mapping.column(Meaning.SERIES)
    if by is None:
        return range(len(table.rows))
    return [row for row, cell in enumerate(table.column(by)) if cell.strip() == mapping.series]


@dataclass(frozen=True, slots=True)
class _Known:
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
    if isinstance(reading, HydrometerReading | SensorReading):
        return "gravity", reading.gravity, SAME_GRAVITY  # whichever of the two it was taken for
    if isinstance(reading, SugarReading):
        return "below" if reading.below else "sugar", reading.sugar, SAME_SUGAR
    if isinstance(reading, RefractometerReading):
        return "brix", reading.brix, SAME_BRIX
    if isinstance(reading, WeightReading):
        return "weight", reading.lost, SAME_MASS
    if isinstance(reading, AcidityReading):
        return "ph", reading.ph, SAME_PH
    if isinstance(reading, WarmthReading):
        return "temperature", reading.temperature, SAME_TEMPERATURE
    if isinstance(reading, TasteReading):
        return f"taste {reading.note}", 0.0, 1.0
    return f"{reading.what} {reading.key} {reading.note}", reading.mass or 0.0, SAME_MASS


def new_only(imported: Imported, batch: Batch) -> Imported:
    """What of an import is not in the log of a batch yet.

    Parameters
    ----------
    imported : Imported
        From a table. [as its fields]
    batch : Batch
        The batch to which it is to be added. [as its fields]

    Returns
    -------
    Imported
        Without readings of the same kind, moment and value as one in the log; each of those counts once, so that two
        equal rows are two readings unless both are known. Notes and temperatures do not tell readings apart. [as its
        fields]
    """
    pitched = parsed(batch.log.pitched_at) if batch.log.pitched_at else None
    known: dict[tuple[str, str, int], list[tuple[int, _Known]]] = {}
    for index, reading in enumerate(batch.log.readings):
        told = _identity(reading, pitched)
        for clock, seconds in told.seconds.items():
            known.setdefault((told.kind, clock, int(seconds // SAME_TIME)), []).append((index, told))
    if not known:
        return imported
    used: set[int] = set()
    kept: list[Reading] = []
    lines: list[int] = []
    for reading, line in zip(imported.readings, imported.lines, strict=True):
        same = _same(_identity(reading, pitched), known, used)
        if same is None:
            kept.append(reading)
            lines.append(line)
        else:
            used.add(same)
    return replace(imported, readings=Entries(tuple(kept)), lines=tuple(lines))


def added(batch: Batch, imported: Imported) -> Batch:
    """The batch with readings from a table at the end of its log.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    imported : Imported
        What is to be added. [as its fields]

    Raises
    ------
    planner.batch.edits.EditRefused
        If a file could not hold one of them.
    """
    if not imported.tried:
        return edits.add_readings(batch, *imported.readings)
    return edits.with_entries(batch, batch.log.entries + imported.readings)


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
