"""Where the files that come with the program lie: beside the package in a checkout, inside it when installed."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


class ShippedFilesError(RuntimeError):
    """The files that come with the program are not where they must be."""


def folder(name: str, package: Path = _PACKAGE) -> Path:
    """The folder `name` that comes with the program.

    Parameters
    ----------
    name : str
        "resources" or "samples".
    package : pathlib.Path
        Folder of the package; another one only in tests.

    Returns
    -------
    pathlib.Path
        `package/_name` of an installed program, else `name` beside the package.

    Raises
    ------
    ShippedFilesError
        Neither is there: the installation is damaged.
    """
    places = (package / f"_{name}", package.parent / name)
    for place in places:
        if place.is_dir():
            return place
    raise ShippedFilesError(
        f"The program's folder '{name}' is missing; looked for {places[0]} and {places[1]}. "
        "Installing the program again puts it back."
    )


def resources() -> Path:
    """The folder of tables, sources and pictures. Raises `ShippedFilesError` if it is not there."""
    return folder("resources")


def samples() -> Path:
    """The folder of sample batches. Raises `ShippedFilesError` if it is not there."""
    return folder("samples")
