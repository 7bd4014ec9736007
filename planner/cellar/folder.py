"""Reading a folder of batches quickly: what their files say of themselves, and nothing that must be worked out."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from planner.cellar.row import Row, Stamp
from planner.document.batch import Batch, Event, HydrometerReading, What
from planner.document.bottled import bottled
from planner.document.codec import SUFFIX, BatchFileError, decode
from planner.document.shelf import shelf_of
from planner.document.timestamps import parsed
from planner.document.whole_file import FileError, read_whole
from planner.planning.calendar_file import new_identity
from planner.reference.catalogue import Catalogue

LARGEST = 50 * 1024 * 1024
"""A file above this is not read for a list. [bytes] Half a million readings of a sensor stay below it."""

_AFTER_FERMENT = (What.STABILISED, What.DOSE)


def look(folder: Path, known: Mapping[Path, Row], catalogue: Catalogue) -> tuple[Row, ...]:
    """The batches of a folder, in the order of their files.

    Parameters
    ----------
    folder : Path
        Its own files count, not those of folders in it. [-]
    known : mapping of Path to Row
        Rows read before; one whose file has not changed is taken from here as it is. [as their fields]

    Raises
    ------
    OSError
        If the folder cannot be looked into.
    """
    rows = []
    for path, stamp in sorted(_files(folder)):
        before = known.get(path)
        rows.append(before if before is not None and before.stamp == stamp else _row(path, stamp, catalogue))
    return tuple(rows)


def read(path: Path) -> Batch:
    """The batch in a file.

    Raises
    ------
    BatchFileError
        If it cannot be read; the text says why.
    """
    try:
        return decode(read_whole(path))
    except FileError as failure:
        raise BatchFileError(str(failure)) from failure


def _files(folder: Path) -> Iterator[tuple[Path, Stamp]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if not entry.name.lower().endswith(SUFFIX):
                continue
            try:
                found = entry.stat()
                if entry.is_file():
                    yield folder / entry.name, (found.st_mtime_ns, found.st_size, found.st_ino)
            except OSError:  # it went meanwhile, or leads nowhere
                continue


def _row(path: Path, stamp: Stamp, catalogue: Catalogue) -> Row:
    try:
        if stamp[1] > LARGEST:
            raise BatchFileError(f"The file is larger than {LARGEST // 1024**2} MB, too large for this list.")
        batch = read(path)
    except BatchFileError as failure:
        return Row(path, stamp, path.stem, words=path.stem.casefold(), trouble=str(failure))
    shelf = shelf_of(batch, catalogue)
    fruits = tuple(dict.fromkeys(_names(batch, shelf)))
    year, identity = _year(batch), batch.recipe.calendar or new_identity(path)
    told = (batch.name, path.stem, *fruits, *_others(batch, shelf), str(year or ""), batch.notes,
            *(tasting.note for tasting in batch.tastings))  # fmt: skip
    return Row(path, stamp, batch.name, identity, fruits, year, _stage(batch), "\n".join(told).casefold())


def _names(batch: Batch, shelf: Catalogue) -> Iterator[str]:
    for line in sorted(batch.recipe.fruits, key=lambda line: -line.mass):
        row = shelf.fruits.get(line.key)
        yield line.key if row is None else row.name


def _others(batch: Batch, shelf: Catalogue) -> Iterator[str]:
    honeys = (shelf.honeys.get(line.key) for line in batch.recipe.honeys)
    for row in (*honeys, shelf.yeasts.get(batch.recipe.yeast.key)):
        if row is not None:
            yield row.name


def _year(batch: Batch) -> int | None:
    at = batch.log.pitched_at or batch.recipe.pitch_planned
    moment = parsed(at) if at else None
    return None if moment is None else moment.year


def _stage(batch: Batch) -> str:
    """The stage as the log alone tells it."""
    if bottled(batch) is not None:
        return "bottled"
    if any(entry.what in _AFTER_FERMENT and not entry.excluded for _, entry in batch.log.entries.of_kind(Event)):
        return "adjust"
    begun = batch.log.pitched_at is not None or any(True for _ in batch.log.entries.of_kind(HydrometerReading))
    return "ferment" if begun else "plan"
