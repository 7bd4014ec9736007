"""Files moved to the bin of the desktop, and brought back."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QFile

from planner.ui.files import FileError, free_name, read_whole, write_whole


class Bin:
    """Moves files to the bin and takes the last of them back, as long as the program runs; later the desktop can."""

    def __init__(self) -> None:
        self._moved: list[tuple[Path, Path, bytes]] = []

    @property
    def last(self) -> Path | None:
        """Where the file was that was moved last; None where there is none to take back."""
        return self._moved[-1][0] if self._moved else None

    def move(self, path: Path) -> None:
        """Move a file to the bin. Raises `FileError`; the file then stays."""
        content = read_whole(path)
        file = QFile(str(path))
        if not file.moveToTrash():
            raise FileError(f"“{path.name}” cannot be moved to the bin: {file.errorString()}. It was left where it is.")
        self._moved.append((path, Path(file.fileName()), content))

    def take_back(self) -> Path:
        """Put the file that was moved last where it was, or beside what has taken its place. Raises `FileError`."""
        path, binned, content = self._moved[-1]
        free = free_name(path)
        write_whole(free, content)
        self._moved.pop()
        with suppress(OSError):  # what stays in the bin does no harm
            if binned.read_bytes() == content:
                binned.unlink()
                (binned.parent.parent / "info" / f"{binned.name}.trashinfo").unlink()
        return free
