"""What the program is made of: each part with its version and its licence, as its own metadata tell them."""

from __future__ import annotations

import platform
import re
from collections.abc import Iterator
from importlib import metadata
from typing import NamedTuple

from PySide6.QtCore import QSysInfo, qVersion
from PySide6.QtGui import QGuiApplication

from planner import __version__

_OURS = ("PySide6-Essentials", "matplotlib", "numpy", "scipy", "pint", "msgspec", "icalendar")
"""What the program asks for itself; the rest is asked for by these."""

_LONGEST = 60
"""Letters of a licence's name; where a package prints its whole licence, its class is told instead."""


class Part(NamedTuple):
    """A library with its version and licence."""

    name: str
    version: str
    licence: str


def parts() -> list[Part]:
    """Every library that comes with the program, by name."""
    found: dict[str, Part] = {}
    wanted = list(_OURS)
    while wanted:
        name = wanted.pop()
        if _key(name) in found:
            continue
        try:
            about = metadata.metadata(name)
        except metadata.PackageNotFoundError:
            continue  # asked for on other systems only
        found[_key(name)] = Part(str(about["Name"]), str(about["Version"]), _licence(about))
        wanted += _asked_for(about)
    return sorted(found.values(), key=lambda part: part.name.casefold())


def _asked_for(about: metadata.PackageMetadata) -> Iterator[str]:
    for line in about.get_all("Requires-Dist") or ():
        name = re.match(r"[\w.-]+", line)
        if name is not None and "extra ==" not in line:
            yield name[0]


def _licence(about: metadata.PackageMetadata) -> str:
    told = [str(about[field]).strip() for field in ("License-Expression", "License") if field in about]
    short = [text for text in told if 0 < len(text) <= _LONGEST and "\n" not in text]
    classes = [
        line.rpartition(" :: ")[2] for line in about.get_all("Classifier") or () if line.startswith("License ::")
    ]
    return (short or classes or ["see its own files"])[0]


def _key(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).casefold()


def details() -> str:
    """All that helps to find a fault, as text; nothing of the person or the batch."""
    screen = QGuiApplication.primaryScreen()
    lines = [
        f"Fruit Mead Planner {__version__}",
        f"Python {platform.python_version()}, Qt {qVersion()}, {QSysInfo.prettyProductName()}, {QSysInfo.currentCpuArchitecture()}",
        f"Platform {QGuiApplication.platformName()}, letters {QGuiApplication.font().pointSizeF():g} pt",
    ]
    if screen is not None:
        size = screen.size()
        lines.append(f"Screen {size.width()} × {size.height()}, scale {screen.devicePixelRatio():g}")
    return "\n".join([*lines, *(f"{part.name} {part.version}: {part.licence}" for part in parts())])
