"""The batches that a report is asked for: a file, a folder of them, a sample by its name, or what comes in."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from planner.document.batch import Batch
from planner.document.codec import SUFFIX, BatchFileError, decode
from planner.document.whole_file import FileError, read_whole
from planner.reference.shipped import samples

INPUT = "-"
"""Stands for the standard input."""


def find(name: str) -> Path:
    """The path of a batch file.

    Raises
    ------
    BatchFileError
        If there is none.
    """
    path = Path(name)
    with suppress(OSError):  # what no file can be called may be a sample
        if path.exists():
            return path
    for sample in sorted(samples().glob(f"*{SUFFIX}")):
        if name in (sample.name, sample.stem):
            return sample
    known = ", ".join(sample.stem for sample in sorted(samples().glob(f"*{SUFFIX}")))
    raise BatchFileError(f"There is no file {name!r}. Give a batch file, or one of the samples: {known}.")


def is_folder(name: str) -> bool:
    """Whether a name stands for a folder, and so for all batches in it."""
    return name != INPUT and Path(name).is_dir()


def each(name: str) -> Iterator[str]:
    """The batch files that a name stands for: those in a folder, not in folders within it, by their names; else itself.

    Raises
    ------
    BatchFileError
        A folder that cannot be read or holds no batch.
    """
    if not is_folder(name):
        yield name
        return
    try:
        found = sorted(path for path in Path(name).iterdir() if path.suffix == SUFFIX and path.is_file())
    except OSError as failure:
        raise BatchFileError(f"{name} cannot be read: {failure.strerror}.") from failure
    if not found:
        raise BatchFileError(f"There is no batch in the folder {name!r}: a batch is a file that ends in {SUFFIX}.")
    yield from map(str, found)


def load(name: str) -> Batch:
    """The batch in a file or packaged sample, or from the standard input.

    Raises
    ------
    BatchFileError
        If there is none, or it cannot be read.
    """
    place = "The standard input" if name == INPUT else str(find(name))
    try:
        data = sys.stdin.buffer.read() if name == INPUT else read_whole(find(name))
    except FileError as failure:
        raise BatchFileError(str(failure)) from failure
    except OSError as failure:
        raise BatchFileError(f"{place} cannot be read: {failure.strerror}.") from failure
    try:
        return decode(data)
    except BatchFileError as failure:
        raise BatchFileError(f"{place}: {failure}") from failure
