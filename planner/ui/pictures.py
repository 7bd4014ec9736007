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


AROUND = (6.0, 3.8, 1.0, 0.9)
"""Room for labels to the left of a plot, below, to the right and above it. [heights of its letters]"""


def leave_room(figure: Figure, points: float) -> None:
    """Place the plot of a figure within its labels; matplotlib's own way draws everything twice.

    Parameters
    ----------
    points : float
        Height of its letters. [pt]
    """
    wide, high = (inches * 72.0 / points for inches in figure.get_size_inches())
    left, bottom, right, top = AROUND
    figure.subplots_adjust(
        left=min(left / wide, 0.4),
        bottom=min(bottom / high, 0.4),
        right=max(1.0 - right / wide, 0.6),
        top=max(1.0 - top / high, 0.6),
    )
