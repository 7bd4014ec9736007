"""The batch that a report is asked for: a file, or a sample by its name."""

from __future__ import annotations

from pathlib import Path

from planner.document.batch import Batch
from planner.document.codec import BatchFileError, decode
from planner.reference.shipped import samples


def find(name: str) -> Path:
    """The path of a batch file.

    Parameters
    ----------
    name : str
        A path, or the name of a sample that comes with the program. [-]

    Raises
    ------
    BatchFileError
        If there is none.
    """
    path = Path(name)
    if path.exists():
        return path
    for sample in sorted(samples().glob("*.meadbatch")):
        if name in (sample.name, sample.stem):
            return sample
    known = ", ".join(sample.stem for sample in sorted(samples().glob("*.meadbatch")))
    raise BatchFileError(f"There is no file {name!r}. Give a batch file, or one of the samples: {known}.")


def load(name: str) -> Batch:
    """The batch in a file or packaged sample.

    Parameters
    ----------
    name : str
        Path of a file, or name of a sample. [-]

    Raises
    ------
    BatchFileError
        If there is none, or it cannot be read.
    """
    path = find(name)
    try:
        data = path.read_bytes()
    except OSError as failure:
        raise BatchFileError(f"{path} cannot be read: {failure.strerror}.") from failure
    try:
        return decode(data)
    except BatchFileError as failure:
        raise BatchFileError(f"{path}: {failure}") from failure
