"""What the program remembers between two starts; the only module that names QSettings."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

import msgspec
from PySide6.QtCore import QByteArray, QDir, QLocale, QSettings

from planner.document.batch import Prices
from planner.papers.typeset import Sheet
from planner.ui.display import Display
from planner.ui.files import why_nothing_is_kept
from planner.units import GravityScale, System

FOLDER, FILE = "Fruit Mead Planner", "settings"
MOST_RECENT = 8
LETTERS = (8, 9, 10, 11, 12, 14, 16, 18, 20)
"""Sizes of letters to choose from. [pt]"""

Choice = TypeVar("Choice", bound=StrEnum)


class Appearance(StrEnum):
    """Light or dark."""

    SYSTEM = "system"
    """As the desktop is set."""
    LIGHT = "light"
    DARK = "dark"


def open_store() -> QSettings:
    """The store of this person on this machine: one file that can be read, copied and deleted."""
    return QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, FOLDER, FILE)


class Settings:
    """Typed access to a store. What is missing or unreadable there has its default; nothing here can fail.

    The store is a parameter without a default, so that no test writes into the settings of a person.
    """

    def __init__(self, store: QSettings, locale: QLocale | None = None) -> None:
        self._store = store
        self._locale = QLocale() if locale is None else locale

    @property
    def display(self) -> Display:
        """The habits of this person, as one value."""
        return Display(self.system, self.gravity_scale, self._locale)

    @property
    def system(self) -> System:
        """The preferred units; at first those of the country."""
        us = self._locale.measurementSystem() == QLocale.MeasurementSystem.ImperialUSSystem
        return self._choice("reading/system", System.US if us else System.METRIC)

    @system.setter
    def system(self, system: System) -> None:
        self._store.setValue("reading/system", system.value)

    @property
    def gravity_scale(self) -> GravityScale:
        """The preferred scale of gravity."""
        return self._choice("reading/gravity_scale", GravityScale.SG)

    @gravity_scale.setter
    def gravity_scale(self, gravity_scale: GravityScale) -> None:
        self._store.setValue("reading/gravity_scale", gravity_scale.value)

    @property
    def sheet(self) -> Sheet:
        """The size of paper; at first that of the country."""
        us = self._locale.measurementSystem() == QLocale.MeasurementSystem.ImperialUSSystem
        return self._choice("papers/sheet", Sheet.LETTER if us else Sheet.A4)

    @sheet.setter
    def sheet(self, sheet: Sheet) -> None:
        self._store.setValue("papers/sheet", sheet.value)

    @property
    def appearance(self) -> Appearance:
        """Light, dark, or as the desktop is."""
        return self._choice("window/appearance", Appearance.SYSTEM)

    @appearance.setter
    def appearance(self, appearance: Appearance) -> None:
        self._store.setValue("window/appearance", appearance.value)

    @property
    def axis(self) -> str:
        """What the lower axis of the curve counts: "days" since pitching, or "dates"."""
        return "dates" if self._text("reading/axis") == "dates" else "days"

    @axis.setter
    def axis(self, axis: str) -> None:
        self._store.setValue("reading/axis", axis)

    @property
    def recent_files(self) -> tuple[Path, ...]:
        """The files last opened or saved that still exist, newest first."""
        paths = (Path(text) for text in self._texts("files/recent"))
        return tuple(path for path in paths if os.path.isfile(path))[:MOST_RECENT]  # nor where it may not be looked for

    def remember_file(self, path: Path) -> None:
        """Put a file at the head of the recent ones, and its folder where the next dialog opens."""
        path = path.absolute()
        others = [known for known in self.recent_files if known != path]
        self._set_texts("files/recent", map(str, [path, *others][:MOST_RECENT]))
        self._set_texts("files/folder", [str(path.parent)])

    def forget_file(self, path: Path) -> None:
        """Take a file from the recent ones, because it could not be opened."""
        self._set_texts("files/recent", (str(known) for known in self.recent_files if known != path.absolute()))

    @property
    def folder(self) -> Path:
        """Where the settings lie, and beside them the person's own ingredients."""
        return Path(self._store.fileName()).parent

    @property
    def problem(self) -> str:
        """Why nothing that is set can be kept; empty where it can."""
        return why_nothing_is_kept(self.folder)

    @property
    def last_folder(self) -> Path:
        """The folder in which a file dialog opens: the last one used, as long as it exists."""
        return self._folder("files/folder") or Path(QDir.homePath())

    @property
    def cellar(self) -> Path:
        """The folder of the cellar: the one chosen, as long as it exists, else that of the batch last opened or saved."""
        return self._folder("files/cellar") or self.last_folder

    @cellar.setter
    def cellar(self, folder: Path) -> None:
        self._set_texts("files/cellar", [str(folder.absolute())])

    @property
    def learning(self) -> Path:
        """The folder of the batches to learn from: the one chosen, as long as it exists, else that of the cellar."""
        return self._folder("files/learning") or self.cellar

    @learning.setter
    def learning(self, folder: Path) -> None:
        self._set_texts("files/learning", [str(folder.absolute())])

    @property
    def window_geometry(self) -> bytes:
        """Size and place of the window, as Qt saves them; empty at the first start."""
        return self._bytes("window/geometry")

    @window_geometry.setter
    def window_geometry(self, geometry: bytes) -> None:
        self._store.setValue("window/geometry", QByteArray(geometry))

    @property
    def window_state(self) -> bytes:
        """Widths of the panes, as Qt saves them; empty at the first start."""
        return self._bytes("window/state")

    @window_state.setter
    def window_state(self, state: bytes) -> None:
        self._store.setValue("window/state", QByteArray(state))

    @property
    def curve_split(self) -> bytes:
        """Heights of curve and log, as Qt saves them; empty at the first start."""
        return self._bytes("window/curve_split")

    @curve_split.setter
    def curve_split(self, state: bytes) -> None:
        self._store.setValue("window/curve_split", QByteArray(state))

    @property
    def folded_panes(self) -> frozenset[str]:
        """The names of the panes that are folded to a strip."""
        return frozenset(self._texts("window/folded"))

    @folded_panes.setter
    def folded_panes(self, names: Iterable[str]) -> None:
        self._set_texts("window/folded", sorted(names))

    @property
    def letters(self) -> int:
        """Size of the letters; 0 for the desktop's. [pt]"""
        text = self._text("window/letters")
        return int(text) if text.isdecimal() and int(text) in LETTERS else 0

    @letters.setter
    def letters(self, size: int) -> None:
        self._store.setValue("window/letters", str(size))

    @property
    def is_first(self) -> bool:
        """Whether nobody has opened or saved a batch yet."""
        return not self._texts("files/recent")

    @property
    def hints(self) -> tuple[str, ...]:
        """The hints that are still to be given; none before the first start."""
        return self._texts("window/hints")

    @hints.setter
    def hints(self, names: Iterable[str]) -> None:
        self._set_texts("window/hints", names)

    @property
    def prices(self) -> Prices:
        """What things cost this person, by the batch saved last; a new batch begins with it."""
        try:
            return msgspec.json.decode(self._text("cost/prices") or "{}", type=Prices)
        except msgspec.MsgspecError:
            return Prices()

    @prices.setter
    def prices(self, prices: Prices) -> None:
        self._store.setValue("cost/prices", msgspec.json.encode(prices).decode())

    def write(self) -> None:
        """Put everything on the disk now, rather than when the program is idle."""
        self._store.sync()

    def _choice(self, key: str, default: Choice) -> Choice:
        try:
            return type(default)(self._text(key))
        except ValueError:
            return default

    def _text(self, key: str) -> str:
        value = self._store.value(key, "")
        return value if isinstance(value, str) else ""

    def _bytes(self, key: str) -> bytes:
        value = self._store.value(key, QByteArray())
        return bytes(value.data()) if isinstance(value, QByteArray) else b""

    def _folder(self, key: str) -> Path | None:
        """The first folder that is kept under a key and still exists."""
        return next((Path(text) for text in self._texts(key) if os.path.isdir(text)), None)

    def _texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; as JSON, because an INI file gives back a list of one as no list."""
        try:
            texts = json.loads(self._text(key) or "[]")
        except json.JSONDecodeError:
            return ()
        return tuple(text for text in texts if isinstance(text, str)) if isinstance(texts, list) else ()

    def _set_texts(self, key: str, texts: Iterable[str]) -> None:
        self._store.setValue(key, json.dumps(list(texts), ensure_ascii=False))
