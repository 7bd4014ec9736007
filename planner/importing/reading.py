"""Readings from a table, in three steps: read the table, guess what its columns mean, and take the readings from it.

Everything is a value between the steps, so that the user sees and mends each before anything enters the log.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, tzinfo

import msgspec
import numpy as np

from planner.document import edits
from planner.document.batch import Batch, Entry
from planner.document.columnar_log import Entries
from planner.importing.columns import Reader
from planner.importing.duplicates import known_places, repeated
from planner.importing.export import export_csv
from planner.importing.fast_path import taken
from planner.importing.guess import guess
from planner.importing.import_warnings import Notice, notices, notices_at_once
from planner.importing.mapping import Mapping, Meaning, series_names
from planner.importing.rows import Rows
from planner.importing.table import ImportRefused, ImportStopped, Table, never, read_table

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


class Refusal(msgspec.Struct, frozen=True):
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


class Imported(msgspec.Struct, frozen=True, eq=False):
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
    """

    readings: Entries[Reading]
    lines: Sequence[int]
    refused: tuple[Refusal, ...]
    notices: tuple[Notice, ...]
    assumed: int


def readings(
    table: Table,
    mapping: Mapping,
    assumed_offset: tzinfo,
    now: datetime | None = None,
    stop: Callable[[], bool] = never,
) -> Imported:
    """The readings in a table.

    Parameters
    ----------
    assumed_offset : tzinfo
        Offset from UTC, or time zone, of moments that state none, neither themselves nor in their heading. [-]
    now : datetime or None
        The present moment with its offset, to notice readings from the future. [-]

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
    plain = taken(table, mapping, offset)
    if plain is not None:
        reader.seen.update(plain.seen)
        again = repeated(plain.readings.made()) if plain.repeats else []
        reader.seen["again"] = len(again)
        remarks = notices_at_once(table, mapping, reader, plain, table.lines, now)
        assumed = 0 if in_utc else reader.seen["assumed"]
        return _without(Imported(Entries(plain.readings), table.lines, (), remarks, assumed), again, mapping)
    # Two lists, not one of pairs: a hundred thousand pairs would make each pass of the garbage collector a pause.
    found: list[Reading] = []
    lines: list[int] = []
    for reading, line in Rows(table, mapping, reader).readings(stop):
        found.append(reading)
        lines.append(line)
    if stop():
        raise ImportStopped
    refused = [Refusal(table.lines[row], text) for row, text in sorted(reader.troubles.items())]
    again = repeated(found)
    reader.seen["again"] = len(again)
    imported = Imported(
        readings=Entries(tuple(found)),
        lines=tuple(lines),
        refused=tuple(refused),
        notices=notices(table, mapping, reader, found, lines, now),
        assumed=0 if in_utc else reader.seen["assumed"] + reader.seen["noon"],
    )
    return _without(imported, again, mapping)


def _without(imported: Imported, again: Sequence[int], mapping: Mapping) -> Imported:
    """What was read without the readings that repeat another, unless those are wanted too."""
    if not again or mapping.repeats:
        return imported
    lines = np.delete(np.array(imported.lines), again).tolist()
    return msgspec.structs.replace(imported, readings=imported.readings.without(again), lines=tuple(lines))


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


def new_only(imported: Imported, batch: Batch) -> Imported:
    """What of an import is not in the log of a batch yet.

    Returns
    -------
    Imported
        Without readings of the same kind, moment and value as one in the log; each of those counts once, so that two
        equal rows are two readings unless both are known. Notes and temperatures do not tell readings apart. [as its
        fields]
    """
    known = known_places(imported.readings, batch)
    if not known:
        return imported
    lines = np.delete(np.array(imported.lines), known).tolist()
    return msgspec.structs.replace(imported, readings=imported.readings.without(known), lines=tuple(lines))


def added(batch: Batch, imported: Imported) -> Batch:
    """The batch with readings from a table at the end of its log.

    Raises
    ------
    planner.document.edits.EditRefused
        If a file could not hold one of them.
    """
    return edits.add_entries(batch, imported.readings)
