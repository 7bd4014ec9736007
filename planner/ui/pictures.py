"""A figure as a file: pixels, or vectors where its name ends so."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from matplotlib.figure import Figure

from planner.ui.files import write_whole

INCHES, DPI = (10.0, 6.0), 200
"""Size of a picture [in], and how finely one of pixels is drawn [1/in]."""

PICTURES = "Pictures (*.png *.svg)"


def write_picture(figure: Figure, path: Path) -> None:
    """Write a figure as a PNG or SVG file, by the suffix of the name.

    Raises
    ------
    ValueError
        Another suffix.
    FileError
        If it cannot be written.
    """
    kind = path.suffix.lower().removeprefix(".")
    if kind not in ("png", "svg"):
        raise ValueError(f"“{path.name}”: a picture is saved as .png or .svg.")
    write_whole(path, as_bytes(figure, kind))


def as_bytes(figure: Figure, kind: str) -> bytes:
    """A figure as the content of a "png" or "svg" file."""
    data = BytesIO()
    # Without the date of its making the same curve gives the same file.
    figure.savefig(data, format=kind, dpi=DPI, metadata={"Date": None} if kind == "svg" else None)
    return data.getvalue()
