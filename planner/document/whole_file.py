"""The content of a file, all of it, and a sentence for each way in which it cannot be had."""

from __future__ import annotations

import os
import stat
from pathlib import Path

LARGEST = 200 * 1024 * 1024
"""Two million readings of a sensor stay below this; a larger file is neither read nor written. [bytes]"""


class FileError(OSError):
    """A file that could not be read or written; the message says why and what to do."""


def read_whole(path: Path) -> bytes:
    """The content of a file.

    Parameters
    ----------
    path : Path
        Where it is. [-]

    Raises
    ------
    FileError
        If there is no such file, it is a folder, a pipe or a device, may not be read, or is larger than `LARGEST`.
    """
    shown = as_text(path)
    try:
        if problem := why_no_file(path):
            raise FileError(f"{problem} Choose a file.")
        is_larger = path.stat().st_size > LARGEST
        with path.open("rb") as file:
            data = b"" if is_larger else file.read(LARGEST + 1)
    except FileError:
        raise
    except FileNotFoundError:
        raise FileError(
            f"There is no file “{as_text(path.name)}” in {as_text(path.parent)}. It may have been moved or renamed."
        ) from None
    except PermissionError:
        raise FileError(f"You are not permitted to read {shown}.") from None
    except OSError as error:
        raise FileError(f"{shown} cannot be read: {error.strerror or error}.") from error
    except ValueError:
        raise FileError(f"{shown!r} cannot be the name of a file.") from None
    if is_larger or len(data) > LARGEST:
        raise FileError(f"{shown} is larger than {LARGEST // 1024**2} MB. Choose a smaller file.")
    return data


def why_no_file(path: Path) -> str:
    """Why what is at a place is no file; empty if it is one. A pipe would be waited for, and a device never ends.

    Parameters
    ----------
    path : Path
        Where something is. [-]

    Raises
    ------
    OSError
        If nothing is there, or that cannot be told.
    """
    mode = path.stat().st_mode
    if stat.S_ISDIR(mode):
        return f"{as_text(path)} is a folder, not a file."
    return "" if stat.S_ISREG(mode) else f"{as_text(path)} is a pipe or a device, not a file."


def as_text(path: Path | str) -> str:
    """A path as a text that can be shown; signs that are no letters in any language are replaced."""
    return os.fsencode(path).decode("utf-8", "replace")
