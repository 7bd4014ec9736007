"""Makes the program at home on a Linux desktop, for this user: its entry, its icon, and its kind of file. No Qt."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

from planner.reference.shipped import resources

ID = "org.fruitmeadplanner.Planner"
"""By which desktops know the program: the name of its entry, its icon and its windows."""

_REFRESHING = (
    ("update-mime-database", "mime"),
    ("update-desktop-database", "applications"),
    ("gtk-update-icon-cache", "icons/hicolor"),
)
"""Commands of the desktop that read again what a folder holds. Where one is missing, the desktop reads it at the next login."""


def places(data: Path) -> Iterator[tuple[Path, Path]]:
    """What is installed, and where, by the XDG Base Directory Specification, version 0.8."""
    desktop, icons = resources() / "desktop", resources() / "icons"
    hicolor = data / "icons" / "hicolor"
    yield desktop / f"{ID}.desktop", data / "applications" / f"{ID}.desktop"
    yield desktop / f"{ID}.metainfo.xml", data / "metainfo" / f"{ID}.metainfo.xml"
    yield desktop / f"{ID}.xml", data / "mime" / "packages" / f"{ID}.xml"
    yield icons / "program.svg", hicolor / "scalable" / "apps" / f"{ID}.svg"
    for side in (48, 256):
        yield icons / f"program-{side}.png", hicolor / f"{side}x{side}" / "apps" / f"{ID}.png"


def data_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """The folder of this user's own data."""
    return Path(environment.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")


def install(data: Path) -> list[Path]:
    """Put everything into its place. Raises OSError where that cannot be written."""
    written = []
    for source, place in places(data):
        place.parent.mkdir(parents=True, exist_ok=True)
        if source.suffix == ".desktop":
            # The entry names this very program: a command of an environment is on nobody's path.
            entry = source.read_text(encoding="utf-8").replace(
                "Exec=fruit-mead-planner", f"Exec={_quoted(sys.executable)} -m planner"
            )
            place.write_text(entry, encoding="utf-8")
        else:
            shutil.copyfile(source, place)
        written.append(place)
    _refresh(data)
    return written


def remove(data: Path) -> list[Path]:
    """Take away what `install` put there. Raises OSError where that cannot be done."""
    gone = [place for _, place in places(data) if place.exists()]
    for place in gone:
        place.unlink()
    _refresh(data)
    return gone


def _quoted(program: str) -> str:
    """As the Desktop Entry Specification 1.5 wants it in "Exec"."""
    escaped = "".join(f"\\{sign}" if sign in '"`$\\' else sign for sign in program).replace("%", "%%")
    return f'"{escaped}"'


def _refresh(data: Path) -> None:
    for command, folder in _REFRESHING:
        if shutil.which(command) and (data / folder).is_dir():
            subprocess.run([command, str(data / folder)], check=False, capture_output=True)
