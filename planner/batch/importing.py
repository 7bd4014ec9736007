"""Readings from a table, in three steps: read the table, guess what its columns mean, and take the readings from it.

Everything is a value between the steps, so that the user sees and mends each before anything enters the log.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from typing import Any

from planner.batch.batch import Batch, HydrometerReading, SugarReading
from planner.batch.importing_columns import Reader
from planner.batch.importing_export import export_csv
from planner.batch.importing_guess import guess
from planner.batch.importing_mapping import GRAVITIES, Mapping, Meaning, series_names
from planner.batch.importing_notices import Notice, notices
from planner.batch.importing_table import ImportRefused, ImportStopped, Table, crooked_rows, never, read_table
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
    "export_csv",
    "guess",
    "new_only",
    "read_table",
    "readings",
    "series_names",
]

Reading = HydrometerReading | SugarReading

SAME_TIME = 60.0
"""Two readings closer than this may be one, typed once with and once without seconds. [s]"""
SAME_GRAVITY, SAME_SUGAR = 5e-5, 0.05
"""Two values closer than this are the same reading; half of what anyone writes down. [-], [kg/m^3]"""

MOST_SUGAR = 1000.0
"""More than a batch can hold. [kg/m^3]"""
LONGEST_NOTE = 20_000
"""More than a batch can hold. [characters]"""

_STOP_EVERY = 2048
"""Rows between two questions whether to go on."""


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
    readings : tuple of HydrometerReading or SugarReading
        In the order of the file. [as their fields]
    lines : tuple of int
        The line of each.
    refused : tuple of Refusal
        Rows that cannot be read.
    notices : tuple of Notice
        What the user should know.
    assumed : int
        Moments among the chosen rows that state no offset from UTC, and were given the assumed one.
    """

    readings: tuple[Reading, ...]
    lines: tuple[int, ...]
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

    Returns
    -------
    Imported
        Readings in SI; a row with a gravity and a sugar gives one of each. [as its fields]

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
    # Two lists, not one of pairs: a hundred thousand pairs would make each pass of the garbage collector a pause.
    found: list[Reading] = []
    lines: list[int] = []
    for reading, line in _Rows(table, mapping, reader).readings(stop):
        found.append(reading)
        lines.append(line)
    refused = [Refusal(table.lines[row], text) for row, text in sorted(reader.troubles.items())]
    return Imported(
        readings=tuple(found),
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


class _Rows:
    """Puts the columns of a table together, row by row; a column that is not there is empty."""

    def __init__(self, table: Table, mapping: Mapping, reader: Reader) -> None:
        self._table, self._mapping, self._reader = table, mapping, reader
        self._notes = self._joined_notes()
        self._sugars = [self._column(index, reader.sugar) for index in mapping.columns(Meaning.SUGAR)]
        self._gravity = self._gravities()
        self._at = self._moments()
        self._day = self._only({Meaning.DAY: reader.day, Meaning.HOURS: reader.hours})
        self._warmth = self._only({Meaning.CELSIUS: reader.celsius, Meaning.FAHRENHEIT: reader.fahrenheit})
        self._left_out = self._only({Meaning.LEFT_OUT: reader.left_out})

    def readings(self, stop: Callable[[], bool]) -> Iterator[tuple[Reading, int]]:
        """Each reading of the rows without trouble, and its line."""
        troubles = self._reader.troubles
        for place, row in enumerate(self._reader.chosen):
            if place % _STOP_EVERY == 0 and stop():
                raise ImportStopped
            if row in troubles:
                continue
            measured = self._measured(place, row)
            if row in troubles or measured is None:
                continue
            at, day = self._at[place], self._day[place]
            if at is None and day is None:
                troubles[row] = "It has no date and no day."
                continue
            self._reader.seen["no time"] += not at and day is None
            common = {"at": at or None, "day": day, "temperature": self._warmth[place],
                      "excluded": bool(self._left_out[place])}  # fmt: skip
            note, line = self._notes.get(row, ""), self._table.lines[row]
            gravity, sugar = measured
            if gravity is not None:
                yield HydrometerReading(gravity=gravity, note=note, **common), line
                note = ""
            if sugar is not None:
                yield SugarReading(sugar=sugar, note=note, **common), line

    def _measured(self, place: int, row: int) -> tuple[float | None, float | None] | None:
        """Gravity and sugar of a row; None where it has neither."""
        gravity, sugar = self._gravity[place], None
        parts = [column[place] for column in self._sugars]
        known = [part for part in parts if part is not None]
        if known and len(known) < len(parts):
            self._reader.troubles[row] = "One of the sugars that are added up is missing."
        elif known:
            sugar = sum(known)
            if sugar > MOST_SUGAR:
                self._reader.troubles[row] = f"The sugars add up to more than {MOST_SUGAR:g} g/L."
        if gravity is None and sugar is None and row not in self._reader.troubles:
            self._reader.seen["nothing"] += 1
            return None
        return gravity, sugar

    def _column(self, index: int, read: Callable[[str], Any]) -> list[Any]:
        return self._reader.each(self._table.headings[index], self._table.column(index), read)

    def _only(self, readers: dict[Meaning, Callable[[str], Any]]) -> list[Any]:
        """The one column with one of these meanings."""
        index = self._mapping.column(*readers)
        if index is None:
            return [None] * len(self._reader.chosen)
        return self._column(index, readers[self._mapping.meanings[index]])

    def _gravities(self) -> list[float | None]:
        index = self._mapping.column(*GRAVITIES)
        if index is None:
            return [None] * len(self._reader.chosen)
        name, cells = self._table.headings[index], self._table.column(index)
        return self._reader.gravities(name, cells, self._mapping.meanings[index])

    def _moments(self) -> list[str | None]:
        date, hand = self._mapping.column(Meaning.MOMENT), self._mapping.column(Meaning.CLOCK)
        if date is None:
            return [None] * len(self._reader.chosen)
        dates = self._table.column(date)
        hands = self._table.column(hand) if hand is not None else [""] * len(dates)
        return self._reader.each(self._table.headings[date], list(zip(dates, hands, strict=True)), self._reader.moment)

    def _joined_notes(self) -> dict[int, str]:
        """The notes by row. Commas in a note that stands last need no quotes; elsewhere they shift what follows."""
        columns = self._mapping.columns(Meaning.NOTE)
        texts: dict[int, list[str]] = {}
        tails = self._tails(columns[-1] if columns else None)
        for index in columns:
            for row, cell in enumerate(self._table.column(index)):
                text = tails.get(row, cell) if index == columns[-1] else cell
                if text:
                    texts.setdefault(row, []).append(text)
        for row, parts in texts.items():
            if sum(map(len, parts)) > LONGEST_NOTE:
                self._reader.troubles.setdefault(row, f"Its note is longer than {LONGEST_NOTE} characters.")
        return {row: "; ".join(parts) for row, parts in texts.items()}

    def _tails(self, note: int | None) -> dict[int, str]:
        """Rows with too many cells: their note, if it stands last; else they cannot be read."""
        texts = {}
        for row, filled in crooked_rows(self._table):
            if note == self._table.width - 1:
                texts[row] = f"{self._table.separator} ".join(self._table.rows[row][note:filled])
            else:
                self._reader.troubles[row] = f"It has {filled} cells; the table has {self._table.width} columns."
        return texts


@dataclass(frozen=True, slots=True)
class _Known:
    """What tells one reading from another.

    Attributes
    ----------
    seconds : dict
        When, by each clock on which that can be told: since 1970, and since pitching. [s]
    value : float
        Gravity [-] or sugar [kg/m^3].
    tolerance : float
        Within which another value is the same.
    """

    seconds: dict[str, float]
    value: float
    tolerance: float


def _identity(reading: Reading, pitched: datetime | None) -> _Known:
    seconds = {}
    moment = parsed(reading.at) if reading.at else None
    if moment is not None:
        seconds["clock"] = moment.timestamp()
    elif reading.day is not None and pitched is not None:
        seconds["clock"] = pitched.timestamp() + reading.day * SECONDS_PER_DAY
    if reading.day is not None:
        seconds["pitching"] = reading.day * SECONDS_PER_DAY
    if isinstance(reading, SugarReading):
        return _Known(seconds, reading.sugar, SAME_SUGAR)
    return _Known(seconds, reading.gravity, SAME_GRAVITY)


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
    known: dict[tuple[float, str, int], list[tuple[int, _Known]]] = {}
    for index, reading in enumerate(batch.log.readings):
        told = _identity(reading, pitched)
        for clock, seconds in told.seconds.items():
            known.setdefault((told.tolerance, clock, int(seconds // SAME_TIME)), []).append((index, told))
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
    return replace(imported, readings=tuple(kept), lines=tuple(lines))


def _same(told: _Known, known: dict[tuple[float, str, int], list[tuple[int, _Known]]], used: set[int]) -> int | None:
    """The number of a reading of the log that is this one."""
    for clock, seconds in told.seconds.items():
        minute = int(seconds // SAME_TIME)
        for near in (minute, minute - 1, minute + 1):
            for index, other in known.get((told.tolerance, clock, near), ()):
                close = abs(other.seconds[clock] - seconds) < SAME_TIME
                if close and abs(other.value - told.value) < told.tolerance and index not in used:
                    return index
    return None
