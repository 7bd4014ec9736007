"""What ingredients are called in the log, also those that the person adds or renames while it is open."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from planner.document.batch import Batch
from planner.recipe.step_feeding import density_of, offered
from planner.reference.catalogue import DEFAULT_HONEY, Catalogue
from planner.ui.log.typed_addition import Names


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


class _Added(Mapping[str, str]):
    """Names of what may be added while a must works, as the shelf holds it at the moment."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue

    def __getitem__(self, key: str) -> str:
        return offered(self._catalogue)[key]

    def __iter__(self) -> Iterator[str]:
        return iter(offered(self._catalogue))

    def __len__(self) -> int:
        return len(offered(self._catalogue))


def names_on(catalogue: Catalogue, batch: Callable[[], Batch | None] = lambda: None) -> Names:
    """What nutrients, additives and what may be added of a shelf are called; by honey alone that of a batch is meant."""

    def honey() -> str:
        shown = batch()
        recipe = None if shown is None else shown.recipe
        keys = (
            [] if recipe is None else [*(line.key for line in recipe.step_feeds), *(pot.key for pot in recipe.honeys)]
        )
        return next((key for key in keys if key in catalogue.honeys), DEFAULT_HONEY)

    return Names(
        LiveNames(catalogue.nutrients),
        LiveNames(catalogue.additives),
        _Added(catalogue),
        lambda key: density_of(key, catalogue),
        honey,
    )
