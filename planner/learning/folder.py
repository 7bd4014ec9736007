"""Reading what the batches of a folder tell: whole, in the order of their files, as far as nobody calls it off."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from planner.cellar.folder import look, read
from planner.cellar.row import Stamp
from planner.document.batch import Batch
from planner.document.codec import BatchFileError
from planner.document.learnt import Learning, Source
from planner.learning.batch import source_of
from planner.learning.pool import taught_by
from planner.reference.catalogue import Catalogue

Known = dict[Path, tuple[Stamp, Source]]
"""What files told when they were read last."""


class Read(NamedTuple):
    """What a folder told.

    Attributes
    ----------
    sources : tuple of Source
        In the order of the files; one for each that could be read.
    learning : Learning
        What they teach the batch.
    unreadable : tuple of str
        Names of the files that could not.
    """

    sources: tuple[Source, ...]
    learning: Learning
    unreadable: tuple[str, ...]


def read_folder(
    folder: Path,
    batch: Batch,
    catalogue: Catalogue,
    known: Known,
    apart: Path | None = None,
    went: Callable[[int, int], bool] = lambda _done, _all: True,
) -> Read | None:
    """What the batches of a folder tell.

    Parameters
    ----------
    batch : Batch
        Which is to learn. [as its fields]
    known : dict
        Kept up to date: a file that has not changed since is not read again.
    apart : Path or None
        The file of the batch that is to learn; it does not teach itself.
    went : callable
        Called with how many files were read, and of how many [-]; where it says no, the reading is called off.

    Returns
    -------
    Read or None
        None where it was called off.

    Raises
    ------
    OSError
        If the folder cannot be looked into.
    """
    rows = [row for row in look(folder, {}, catalogue) if apart is None or row.path != apart]
    sources, unreadable = [], []
    for place, row in enumerate(rows):
        if not went(place, len(rows)):
            return None
        before = known.get(row.path)
        if before is not None and before[0] == row.stamp:
            sources.append(before[1])
            continue
        found = None if row.is_damaged else _source(row.path, catalogue)
        if found is None:
            unreadable.append(row.path.name)
        else:
            known[row.path] = (row.stamp, found)
            sources.append(found)
    went(len(rows), len(rows))
    return Read(tuple(sources), taught_by(batch, sources), tuple(unreadable))


def _source(path: Path, catalogue: Catalogue) -> Source | None:
    try:
        batch = read(path)
    except BatchFileError:
        return None
    return source_of(batch, path.name, catalogue)
