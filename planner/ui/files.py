"""Bytes to and from the disk: all of a file or none of it, and a sentence for each way in which it can fail."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QIODevice, QSaveFile

from planner.document import whole_file
from planner.document.whole_file import FileError, as_text, read_whole, why_no_file

__all__ = [
    "FileError",
    "file_name",
    "free_name",
    "is_there",
    "read_whole",
    "refuse_name",
    "same_place",
    "why_nothing_is_kept",
    "write_whole",
]


def write_whole(path: Path, data: bytes) -> None:
    """Replace the file at `path` by `data`, all of it or not at all: on any failure the old file stays as it was.

    Raises
    ------
    FileError
        If the folder is missing, may not be written to, or has no room, or if `read_whole` would refuse the file.
    """
    refuse_name(path)
    largest = whole_file.LARGEST
    if len(data) > largest:
        raise FileError(
            f"{path} was not written: it would be larger than {largest // 1024**2} MB and could not be opened again. "
            "Remove readings from the log that you do not need."
        )
    try:
        if not path.parent.is_dir():
            raise FileError(f"There is no folder {path.parent}. Choose another place with Save As.")
        if problem := why_no_file(path):
            raise FileError(f"{problem} Choose a file name.")
    except FileNotFoundError:
        pass
    except FileError:
        raise
    except OSError as error:
        raise FileError(
            f"{path} cannot be written: {error.strerror or error}. Choose another place with Save As."
        ) from error
    file = QSaveFile(str(path))
    if not file.open(QIODevice.OpenModeFlag.WriteOnly):
        raise FileError(f"{path} cannot be written: {file.errorString()}. Choose another place with Save As.")
    if not _write_all(file, data) or not file.commit():
        problem = file.errorString()
        file.cancelWriting()
        raise FileError(f"{path} was not saved and is as it was before: {problem}. Choose another place with Save As.")


def refuse_name(path: Path) -> None:
    """Refuse a name that the window's toolkit would write as another one.

    Raises
    ------
    FileError
        If the name is not in UTF-8, or holds a sign that no name can.
    """
    if "\x00" in str(path) or as_text(path) != str(path):
        raise FileError(f"The name “{as_text(path.name)}” is not in UTF-8. Give the file another name first.")


def why_nothing_is_kept(folder: Path) -> str:
    """Why nothing can be written into a folder, which is made if it is not there; empty if something can."""
    trial = folder / f"trial-{os.getpid()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        trial.write_bytes(b"room for a little?")
        trial.unlink()
    except OSError as error:
        with suppress(OSError):
            trial.unlink()
        return f"{folder} cannot be written: {error.strerror or error}."
    return ""


def _write_all(file: QSaveFile, data: bytes) -> bool:
    """Write all the data; a disk that fills up takes a part first and reports the trouble only with the next."""
    done = 0
    while done < len(data):
        written = file.write(data[done:])
        if written <= 0:
            return False
        done += written
    return True


def same_place(one: Path, other: Path) -> bool:
    """Whether two paths mean one file, whatever way they are written."""
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there, or cannot be looked at
        return one.absolute() == other.absolute()


def file_name(name: str) -> str:
    """A batch's name as a file name on any system."""
    kept = "".join(" " if c in '<>:"/\\|?*' or ord(c) < 32 else c for c in name)
    return " ".join(kept.split()).rstrip(". ") or "batch"


def is_there(path: Path) -> bool:
    """Whether something is at a place; nothing is where nothing can be."""
    try:
        return path.exists()
    except OSError:
        return False


def free_name(path: Path) -> Path:
    """The path, or one beside it with a number, that no file has."""
    number = 2
    free = path
    while is_there(free):
        free = path.with_stem(f"{path.stem} ({number})")
        number += 1
    return free
