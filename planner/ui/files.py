"""Bytes to and from the disk: all of a file or none of it, and a sentence for each way in which it can fail."""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QIODevice, QSaveFile

LARGEST = 200 * 1024 * 1024
"""Two million readings of a sensor stay below this; a larger file is neither read nor written. [bytes]"""


class FileError(OSError):
    """A file that could not be read or written; the message says why and what to do."""


def read_whole(path: Path) -> bytes:
    """The content of a file.

    Raises
    ------
    FileError
        If there is no such file, it is a folder, may not be read, or is larger than `LARGEST`.
    """
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise FileError(
            f"There is no file “{path.name}” in {path.parent}. It may have been moved or renamed."
        ) from None
    except PermissionError:
        # Some systems refuse to open a folder in the words of a missing permission.
        raise FileError(_is_folder(path) if path.is_dir() else f"You are not permitted to read {path}.") from None
    except IsADirectoryError:
        raise FileError(_is_folder(path)) from None
    except OSError as error:
        raise FileError(f"{path} cannot be read: {error.strerror or error}.") from error
    if len(data) > LARGEST:
        raise FileError(f"{path} is larger than {LARGEST // 1024**2} MB, which no batch is. Choose another file.")
    return data


def write_whole(path: Path, data: bytes) -> None:
    """Replace the file at `path` by `data`, all of it or not at all: on any failure the old file stays as it was.

    Raises
    ------
    FileError
        If the folder is missing, may not be written to, or has no room, or if `read_whole` would refuse the file.
    """
    if len(data) > LARGEST:
        raise FileError(
            f"{path} was not written: it would be larger than {LARGEST // 1024**2} MB and could not be opened again. "
            "Remove readings from the log that you do not need."
        )
    if path.is_dir():
        raise FileError(f"{_is_folder(path)} Choose a file name.")
    if not path.parent.is_dir():
        raise FileError(f"There is no folder {path.parent}. Choose another place with Save As.")
    file = QSaveFile(str(path))
    if not file.open(QIODevice.OpenModeFlag.WriteOnly):
        raise FileError(f"{path} cannot be written: {file.errorString()}. Choose another place with Save As.")
    if not _write_all(file, data) or not file.commit():
        problem = file.errorString()
        file.cancelWriting()
        raise FileError(f"{path} was not saved and is as it was before: {problem}. Choose another place with Save As.")


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


def _is_folder(path: Path) -> str:
    return f"{path} is a folder, not a file."


def same_place(one: Path, other: Path) -> bool:
    """Whether two paths mean one file, whatever way they are written."""
    try:
        return one.samefile(other)
    except OSError as error:
        if error.errno not in (errno.ENOENT, errno.ENOTDIR):
            raise
        return one.absolute() == other.absolute()


def file_name(name: str) -> str:
    """A batch's name as a file name on any system."""
    kept = "".join(" " if c in '<>:"/\\|?*' or ord(c) < 32 else c for c in name)
    return " ".join(kept.split()).rstrip(". ") or "batch"


def free_name(path: Path) -> Path:
    """The path, or one beside it with a number, that no file has."""
    number = 2
    free = path
    while free.exists():
        free = path.with_stem(f"{path.stem} ({number})")
        number += 1
    return free
