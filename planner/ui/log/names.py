"""What ingredients are called in the log, also those that the person adds or renames while it is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.reference.catalogue import Catalogue
from planner.ui.log.entry import Names


class LiveNames(Mapping[str, str]):
    """Names of the rows of a shelf by key, as the shelf holds them at the moment."""

    def __init__(self, rows: Mapping[str, Any]) -> None:
        self._rows = rows

    def __getitem__(self, key: str) -> str:
        return str(self._rows[key].name)

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)


def names_on(catalogue: Catalogue) -> Names:
    """What nutrients and additives of a shelf are called."""
    return Names(LiveNames(catalogue.nutrients), LiveNames(catalogue.additives))
