"""Which of a person's own ingredients a batch uses, so that they travel inside it."""

from __future__ import annotations

import msgspec

from planner.document.batch import Batch, Event, What
from planner.reference.catalogue import Catalogue
from planner.reference.own import OwnIngredients


def used_keys(batch: Batch) -> dict[str, frozenset[str]]:
    """The keys that a batch names, by kind of ingredient: "fruits", "honeys", "yeasts", "nutrients", "additives"."""
    recipe, adjustment = batch.recipe, batch.adjustment
    given = [entry for _, entry in batch.log.entries.of_kind(Event) if entry.key]
    fed = {str(entry.key) for entry in given if entry.what is What.FEED}
    added = {*(line.key for line in recipe.step_feeds), *(str(e.key) for e in given if e.what is What.ADDED)}
    dosed = {str(entry.key) for entry in given if entry.what not in (What.FEED, What.ADDED)}
    tried = {part.key for trial in adjustment.trials for part in trial.parts}
    return {
        "fruits": frozenset(line.key for line in recipe.fruits) | added,
        "honeys": frozenset(line.key for line in recipe.honeys) | added,
        "yeasts": frozenset({recipe.yeast.key}),
        "nutrients": frozenset({line.key for line in recipe.feeds} | fed),
        "additives": frozenset({line.key for line in adjustment.additions} | tried | dosed | added),
    }


def carrying(batch: Batch, mine: OwnIngredients, shelf: Catalogue) -> Batch:
    """The batch with those own rows that it uses and does not carry yet; the same object where it lacks none.

    Parameters
    ----------
    mine : OwnIngredients
        The person's own rows.
    shelf : Catalogue
        The shelf that comes with the program, whose rows need not be carried. [-]
    """
    own = batch.own
    for kind, keys in used_keys(batch).items():
        for key in sorted(keys - set(getattr(shelf, kind))):
            row = mine.find(kind, key)
            if row is not None and own.find(kind, key) is None:
                own = own.having(row)
    return batch if own is batch.own else msgspec.structs.replace(batch, own=own)
