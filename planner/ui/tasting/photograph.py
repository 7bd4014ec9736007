"""Photographs beside the file of a batch: taken in as a copy, shown, and never looked for anywhere else."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize, Qt
from PySide6.QtGui import QImage, QImageReader

from planner.ui.files import FileError, file_name, free_name, read_whole, write_whole

KINDS = "Photographs (*.jpg *.jpeg *.png *.webp)"
_SUFFIXES = (".jpg", ".jpeg", ".png", ".webp")
LONGEST_STEM = 60


def keep(source: Path, batch_file: Path, name: str) -> str:
    """Copy a photograph beside the file of a batch.

    Returns
    -------
    str
        The name of the copy, which no other file had.

    Raises
    ------
    FileError
        It cannot be read or written, or is no picture.
    """
    data = read_whole(source)
    if source.suffix.lower() not in _SUFFIXES or decoded(data, QSize(64, 64)).isNull():
        raise FileError(f"“{source.name}” is not a photograph. Choose a JPEG, PNG or WebP file.")
    copy = free_name(batch_file.with_name(f"{file_name(name)[:LONGEST_STEM].lstrip('.')}{source.suffix.lower()}"))
    write_whole(copy, data)
    return copy.name


def beside(batch_file: Path | None, name: str) -> Path | None:
    """The file of a photograph; None where it does not lie beside that of the batch, or is a way to somewhere else."""
    if batch_file is None or Path(name).name != name:
        return None
    path = batch_file.parent / name
    return path if path.is_file() and not path.is_symlink() else None


def decoded(data: bytes, room: QSize) -> QImage:
    """A picture no larger than a room, turned upright; a null one where it is none."""
    buffer = QBuffer()
    buffer.setData(QByteArray(data))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setAutoTransform(True)
    size = reader.size()
    if size.isValid():
        reader.setScaledSize(size.scaled(room, Qt.AspectRatioMode.KeepAspectRatio))
    return reader.read()
