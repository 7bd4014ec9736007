"""The work of an import away from the window: a request goes in, all that the dialog shows comes out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone, tzinfo
from itertools import islice
from pathlib import Path

import msgspec
import numpy as np
from PySide6.QtCore import QLocale

from planner.document import pitch_date
from planner.document.batch import Batch, Log
from planner.document.columnar_log import Array
from planner.document.timestamps import parsed
from planner.document.whole_file import FileError, read_whole
from planner.importing.import_warnings import unit_notices
from planner.importing.mapping import NUMBERS
from planner.importing.reading import (
    Imported,
    ImportRefused,
    Mapping,
    Meaning,
    Notice,
    Table,
    guess,
    new_only,
    read_table,
    readings,
    series_names,
)
from planner.importing.table import never
from planner.ui.display import Display
from planner.ui.importing.preview import ROWS
from planner.ui.importing.text import summary
from planner.wording.finding import Level

BEFORE, LONG_BEFORE = 1.0, 30.0
"""Days before pitching from which a reading is remarked on, and from which it is not added unasked: no cold soak takes so long.
[d] Estimates."""

MOST_SERIES = 500
"""A column with more names than this tells rows apart, not series."""


class LocalZone(tzinfo):
    """The time zone of this machine, with the offset that it has at each moment."""

    def utcoffset(self, moment: datetime | None) -> timedelta | None:
        return None if moment is None else moment.replace(tzinfo=None).astimezone().utcoffset()

    def dst(self, _moment: datetime | None) -> timedelta | None:
        return None

    def tzname(self, _moment: datetime | None) -> str | None:
        return None


def usual_offset(batch: Batch) -> int | None:
    """The offset in which a batch was pitched, where that is not the one of this machine. [min]"""
    pitched = parsed(batch.log.pitched_at) if batch.log.pitched_at else None
    offset = pitched.utcoffset() if pitched is not None else None
    if pitched is None or offset is None or offset == pitched.astimezone().utcoffset():
        return None
    return round(offset.total_seconds() / 60.0)


def zone_of(offset: int | None) -> tzinfo:
    """The time zone of an offset from UTC; that of this machine for None. [min]"""
    return LocalZone() if offset is None else timezone(timedelta(minutes=offset))


def month_first(locale: QLocale) -> bool:
    """Whether people there write the month before the day."""
    form = locale.dateFormat(QLocale.FormatType.ShortFormat)
    return form.find("M") < form.find("d") and not form.startswith("y")


class Request(msgspec.Struct, frozen=True, eq=False):
    """What is to be read, and how."""

    source: bytes | Path | Table
    mapping: Mapping | None
    """None for the first guess."""
    offset: int | None
    batch: Batch
    display: Display
    now: datetime
    watched: bool = False
    """Whether it is a file that a sensor keeps writing to: its gravities are those of a floating sensor, if nobody says
    otherwise."""


class Answer(msgspec.Struct, frozen=True, eq=False):
    """What was read."""

    table: Table
    mapping: Mapping
    problem: str
    """What the person must still say; empty if nothing."""
    sentence: str = ""
    imported: Imported | None = None
    fresh: Imported | None = None
    rows: tuple[int, ...] = ()
    """The first rows of what is imported."""
    refused: dict[int, str] | None = None
    """Reasons by line."""
    known: frozenset[int] = frozenset()
    """Lines of readings that are in the log already."""
    series: tuple[tuple[str, int], ...] = ()
    """Series to choose from, each with its number of rows."""
    notices: tuple[Notice, ...] = ()
    early: int = 0
    """How many readings would be of so long before pitching that a year or the pitching is wrong."""
    has_commas: bool = False
    """Whether the decimal sign is a question at all."""
    has_slashes: bool = False
    """Whether the order of day and month is."""


class ImportWork:
    """Answers requests on the worker; `stop` tells whether the one at hand is still wanted."""

    def __init__(self) -> None:
        self.stop: Callable[[], bool] = never

    def answer(self, request: object) -> Answer:
        """The stage of a recalculator."""
        assert isinstance(request, Request)
        source = read_file(request.source) if isinstance(request.source, Path) else request.source
        table = source if isinstance(source, Table) else read_table(source, self.stop)
        mapping = request.mapping or first_guess(table, not month_first(request.display.locale), request.watched)
        names, problem = _series(table, mapping)
        mapping = mapping if problem else mapping.settled(table)
        found = Answer(
            table,
            mapping,
            problem or mapping.problem(),
            rows=_rows(table, mapping),
            series=names,
            has_commas=_has_commas(table, mapping),
            has_slashes=_has_slashes(table, mapping),
            notices=tuple(unit_notices(table, mapping)),
        )
        return found if found.problem else self._read(found, request)

    def _read(self, found: Answer, request: Request) -> Answer:
        zone = zone_of(request.offset)
        imported = readings(found.table, found.mapping, zone, request.now, self.stop)
        fresh = new_only(imported, request.batch)
        return msgspec.structs.replace(
            found,
            sentence=summary(imported, fresh, request.batch, request.display),
            imported=imported,
            fresh=fresh,
            refused={refusal.line: refusal.text for refusal in imported.refused},
            known=frozenset() if fresh is imported else frozenset(imported.lines) - frozenset(fresh.lines),
            notices=(*imported.notices, *_not_pitched(fresh, request.batch), *_before_pitching(fresh, request.batch)),
            early=int(np.count_nonzero(_days(fresh, request.batch) < -LONG_BEFORE)),
        )


def first_guess(table: Table, day_first: bool, watched: bool) -> Mapping:
    """What the columns of a table probably mean; what writes to a watched file is a floating sensor."""
    mapping = guess(table, day_first)
    return msgspec.structs.replace(mapping, floats=True) if watched else mapping


def read_file(path: Path) -> bytes:
    """The content of a file of readings; for the worker.

    Raises
    ------
    ImportRefused
        If it cannot be read, or is so large that it holds something else; the text says which.
    """
    try:
        return read_whole(path)
    except FileError as failure:
        raise ImportRefused(str(failure)) from failure


def _series(table: Table, mapping: Mapping) -> tuple[tuple[tuple[str, int], ...], str]:
    """The series to choose from, or why there are none."""
    by = mapping.column(Meaning.SERIES)
    if by is None:
        return (), ""
    names = series_names(table, by)
    if not names:
        return (), f"“{table.headings[by]}” is empty and names no series."
    if len(names) > MOST_SERIES:
        return (), f"“{table.headings[by]}” has too many different entries to name series; choose another column."
    return tuple(names.items()), ""


def _rows(table: Table, mapping: Mapping) -> tuple[int, ...]:
    by = mapping.column(Meaning.SERIES)
    if by is None or mapping.series is None:
        return tuple(range(min(ROWS, len(table.rows))))
    return tuple(islice((i for i, cell in enumerate(table.column(by)) if cell.strip() == mapping.series), ROWS))


def _has_commas(table: Table, mapping: Mapping) -> bool:
    return table.figures is None and any(
        "," in cell for column in mapping.columns(*NUMBERS) for cell in table.column(column)
    )


def _has_slashes(table: Table, mapping: Mapping) -> bool:
    rows = table.rows if table.figures is None else table.rows[:1]  # there all moments are written alike
    cells = (row[column] for column in mapping.columns(Meaning.MOMENT) for row in rows if column < len(row))
    return any("/" in cell or "-" in cell[1:3] for cell in cells)


def _days(fresh: Imported, batch: Batch) -> Array:
    """Days since pitching of what is new. [d]"""
    return pitch_date.days(Log(pitched_at=batch.log.pitched_at, readings=fresh.readings))


def _before_pitching(fresh: Imported, batch: Batch) -> tuple[Notice, ...]:
    """Readings of long before pitching are of another year, or the moment of pitching is not right."""
    days = _days(fresh, batch)
    early = days[days < -BEFORE]
    if not len(early):
        return ()
    many = f"{len(early)} reading{' lies' if len(early) == 1 else 's lie'}"
    text = (
        f"{many} before pitching, by up to {round(-float(early.min()))} days: check the year, and the day of pitching."
    )
    return (Notice(text, level=Level.WARNING),)


def _not_pitched(fresh: Imported, batch: Batch) -> tuple[Notice, ...]:
    dated = ~np.isnan(pitch_date.ticks(fresh.readings)) & np.isnan(fresh.readings.floats("day"))
    if not dated.any() or (batch.log.pitched_at and parsed(batch.log.pitched_at)):
        return ()
    text = "The batch has no moment of pitching yet: readings with a date appear on the curve once it is entered."
    return (Notice(text, level=Level.WARNING),)
