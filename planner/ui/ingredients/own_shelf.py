"""The shelf of a window: the program's own, the person's own ingredients, and those that the open batch brings along."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import msgspec
from PySide6.QtCore import QObject, Signal

from planner.document.batch import Batch
from planner.document.carried_ingredients import carrying
from planner.reference.catalogue import Catalogue
from planner.reference.own import KINDS, Own, OwnFileError, OwnIngredients, decode_own, encode_own
from planner.reference.own_rows import OWN_SOURCE, new_key, shelf_with
from planner.ui.files import FileError, read_whole, write_whole

FILE = "ingredients.json"


class _Live(Mapping[str, Any]):
    """One kind of ingredient as the shelf holds it at the moment."""

    def __init__(self, shelf: OwnShelf, kind: str) -> None:
        self._shelf, self._kind = shelf, kind

    def __getitem__(self, key: str) -> Any:
        return self._rows[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)

    @property
    def _rows(self) -> Mapping[str, Any]:
        rows: Mapping[str, Any] = getattr(self._shelf.present, self._kind)
        return rows


class OwnShelf(QObject):
    """Keeps the person's own ingredients in their file, and one catalogue that always holds what can be chosen.

    What is worked out never looks here: a batch carries the own rows it uses.

    Signal: `changed` when other ingredients can be chosen.
    """

    changed = Signal()

    def __init__(self, shelf: Catalogue, file: Path | None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.base, self._file = shelf, file
        self.mine = OwnIngredients()
        self.brought = OwnIngredients()
        """What the open batch brings along."""
        self.problem = ""
        """Why the file could not be read; it is then not written over."""
        self.present = shelf
        self.catalogue = Catalogue(
            **{kind.KIND: _Live(self, kind.KIND) for kind in KINDS},
            cautions=shelf.cautions,
            sources={**shelf.sources, OWN_SOURCE.key: OWN_SOURCE},
        )
        self._read()

    def show_batch(self, batch: Batch) -> None:
        """Offer what this batch brings along, too."""
        if batch.own != self.brought:
            self.brought = batch.own
            self._refresh()

    def carried(self, batch: Batch) -> Batch:
        """The batch with the own rows that it uses."""
        return carrying(batch, self.mine, self.base)

    def rows(self) -> tuple[Own, ...]:
        """Every own row that can be chosen: those of the batch stand for those of the file with their key."""
        every = self.mine
        for row in self.brought.rows():
            every = every.having(row)
        return every.rows()

    def keep(self, row: Own) -> Own:
        """Keep a row in the file, in the place of the one with its key, and return it. Raises `FileError`.

        Where another window has put a row of that key there meanwhile, both stay, and this one gets a key of its own.
        """
        before = self.mine.find(row.KIND, row.key)
        self._read()
        there = self.mine.find(row.KIND, row.key)
        if there not in (None, before, row):
            every = self.mine
            for brought in self.brought.rows():
                every = every.having(brought)
            row = msgspec.structs.replace(row, key=new_key(row.name, row.KIND, self.base, every))
        self._write(self.mine.having(row))
        return row

    def remove(self, row: Own) -> None:
        """Take a row out of the file; batches that use it keep it. Raises `FileError`."""
        self._read()
        self._write(self.mine.lacking(row))

    def _read(self) -> None:
        """Take what stands in the file: another window may have written to it."""
        if self._file is None or not os.path.exists(self._file):  # nor where its folder may not be looked into
            return
        self.problem = ""
        try:
            self.mine = decode_own(read_whole(self._file))
        except (FileError, OwnFileError) as failure:
            self.problem = str(failure)
        self._refresh()

    def _write(self, mine: OwnIngredients) -> None:
        if self.problem:
            raise FileError(f"{self.problem} The file was not changed. Repair it or move it, then restart the program.")
        if self._file is not None:
            try:
                self._file.parent.mkdir(parents=True, exist_ok=True)
            except OSError as failure:
                raise FileError(f"{self._file.parent} cannot be made: {failure.strerror or failure}.") from failure
            write_whole(self._file, encode_own(mine))
        self.mine = mine
        self._refresh()

    def _refresh(self) -> None:
        self.present = shelf_with(shelf_with(self.base, self.mine), self.brought)
        self.changed.emit()
