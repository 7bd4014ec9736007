"""Where a result comes from: method, sources, how far what enters can be trusted, and what was assumed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from planner.document.batch import FruitLine, HoneyLine
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome
from planner.evaluation.provenance_methods import METHODS, NOT_MEASURED
from planner.model.components import COMPONENTS
from planner.reference.catalogue import Catalogue
from planner.reference.own_rows import OWN_SOURCE
from planner.reference.sources import Source
from planner.reference.status import Status

_STATUS = {
    "composition": "status",
    "acid": "acid_status",
    "ph": "ph_status",
    "yield": "yield_status",
    "nitrogen": "nitrogen_status",
}
"""What of a fruit has a status of its own."""

_CALLED = {"ph": "pH", "yield": "yield of juice"}
"""What of it is not called by its key."""

_MEASURED_GRAVITY = (
    "The gravity that you measured at pitching is taken, ±0.001; the sugar of the recipe is scaled to it."
)
_MEASURED_MEAD = "The gravity that you measured in the finished mead is taken, ±0.001."
_OF_ACID = frozenset({"must.acid", "must.ph", "finish.acid", "stand.acid", "stand.ph"})
_BY_LOG = {
    "ph": "The pH of the must is the one in your log. Where no acid was titrated, the usual acid for that pH is taken.",
    "acid": "The titratable acid of the must is the one in your log; its acids are scaled to it.",
}
_TITRATED = "The acid before additions is the last that was titrated, by your log."
_BY_YOU = {
    "volume": "The volume before additions is the one you measured.",
    "alcohol": "The alcohol before additions is the one you measured, ±0.3 % vol.",
    "acid": "The acid before additions is the one you titrated, ±0.2 g/L.",
    "ph": "The pH before additions is the one you measured.",
}


class Entering(msgspec.Struct, frozen=True):
    """Something that enters a result: its name, how far it can be trusted, and the keys of its sources."""

    name: str
    status: Status
    sources: tuple[str, ...]


class Provenance(msgspec.Struct, frozen=True):
    """Where a result comes from.

    Attributes
    ----------
    key : str
        Of the result, such as "finish.alcohol".
    method : str
        What is done, in a sentence.
    sources : tuple of str
        Keys of the sources of formulas and constants; those of the rows stand with them.
    entering : tuple of Entering
        Rows of the shelf and substances that enter.
    assumptions : tuple of str
        Those that matter most, in sentences.
    """

    key: str
    method: str
    sources: tuple[str, ...]
    entering: tuple[Entering, ...]
    assumptions: tuple[str, ...]

    @property
    def all_sources(self) -> tuple[str, ...]:
        """Keys of every source, each once."""
        return tuple(dict.fromkeys((*self.sources, *(key for row in self.entering for key in row.sources))))

    @property
    def weakest(self) -> Status | None:
        """The loosest footing of anything that enters; None where nothing does. Own values do not count as loose."""
        order = (Status.ESTIMATE, Status.MEMORY, Status.ONE_SOURCE, Status.VERIFIED, Status.OWN)
        return min((row.status for row in self.entering), key=order.index, default=None)


def source_of(key: str, catalogue: Catalogue) -> Source:
    """The source of a key, also of a value that the person entered.

    Raises
    ------
    UnknownIngredient
        There is no such source.
    """
    return OWN_SOURCE if key == OWN_SOURCE.key else catalogue.source(key)


def provenance(key: str, outcome: Outcome, catalogue: Catalogue) -> Provenance:
    """Where a result comes from.

    Parameters
    ----------
    key : str
        One of `planner.evaluation.provenance_methods.METHODS`. An addition's may end in its place: "addition.acid.2".
    catalogue : Catalogue
        The shelf; the batch's own rows need not be on it. [-]

    Raises
    ------
    KeyError
        No result has that key.
    """
    shelf = shelf_of(outcome.batch, catalogue)
    base, only = _place(key)
    method = METHODS[base]
    rows = tuple(row for part, what in method.rows for row in _rows(part, what, outcome, shelf, only))
    return Provenance(
        key=key,
        method=method.sentence,
        sources=tuple(dict.fromkeys(method.sources)),
        entering=(*dict.fromkeys(rows), *_substances(method.components)),
        assumptions=(*_measured(base, outcome), *(text for text in method.assumptions if _holds(text, outcome))),
    )


def every_provenance(outcome: Outcome, catalogue: Catalogue) -> dict[str, Provenance]:
    """Where each result that this outcome holds comes from, by key."""
    return {key: provenance(key, outcome, catalogue) for key in _held(outcome)}


def _held(outcome: Outcome) -> Iterator[str]:
    """Keys of the results that there are."""
    kinds = {f"log.{row.kind}" for row in outcome.log}
    parts = {f"budget.{part.name}" for part in outcome.finish.parts} if outcome.finish is not None else set()
    if outcome.so_far is not None:
        kinds |= {"read.alcohol", *(["read.pair"] if outcome.so_far.pairs else [])}
    if outcome.curve is not None and any(row.tells for row in outcome.log):
        kinds |= {"read.plan"}
    if outcome.posterior is not None:
        kinds |= {"curve.forecast"}
    there = {
        "must": outcome.must is not None,
        "finish": outcome.finish is not None,
        "plan": outcome.must is not None,
        "verdict": outcome.verdict is not None,
        "worth": outcome.worth is not None,
        "dose": outcome.mead is not None,
        "stand": outcome.mead is not None,
        "mead": outcome.mead is not None and bool(outcome.mead.effects),
        "still": outcome.mead is not None,
        "addition": outcome.mead is not None and bool(outcome.mead.effects),
    }
    for key in METHODS:
        block = key.partition(".")[0]
        if key in ("stand.ph", "mead.ph") and (outcome.mead is None or outcome.mead.ph is None):
            continue
        if key == "must.ph" and (outcome.must is None or outcome.must.ph is None):
            continue
        if key in ("plan.proposal", "plan.warmth") and outcome.curve is None:
            continue
        if key == "curve.gravity" and outcome.curve is None:
            continue
        if there.get(block, False) or key == "curve.gravity" or key in kinds or key in parts:
            yield key


def _place(key: str) -> tuple[str, int | None]:
    """The key without the place of an addition, and that place."""
    base, _, last = key.rpartition(".")
    return (base, int(last)) if key.startswith("addition.") and last.isdecimal() else (key, None)


def _measured(key: str, outcome: Outcome) -> Iterator[str]:
    """What the person measured that takes the place of what is expected."""
    block, _, name = key.partition(".")
    adjustment = outcome.batch.adjustment
    if outcome.must is not None and key in _OF_ACID:
        yield from (_BY_LOG[which] for which in outcome.must.measured)
    if block in ("finish", "budget", "curve") and outcome.starting_gravity is not None:
        yield _MEASURED_GRAVITY
    known = None if outcome.mead is None else outcome.mead.known
    if key == "stand.acid" and adjustment.acid is None and known is not None and known.acid_from_log:
        yield _TITRATED
    if block in ("stand", "mead"):
        if adjustment.gravity is not None:
            yield _MEASURED_MEAD
        if name in _BY_YOU and getattr(adjustment, name) is not None:
            yield _BY_YOU[name]


def _holds(assumption: str, outcome: Outcome) -> bool:
    """Whether it is assumed here: what stands in for a gravity is no matter where one was measured."""
    return assumption != NOT_MEASURED or outcome.batch.adjustment.gravity is None


def _rows(part: str, what: str, outcome: Outcome, shelf: Catalogue, only: int | None) -> Iterator[Entering]:
    """The rows that a part of the batch names. What the shelf does not hold enters nothing."""
    batch = outcome.batch
    if part == "yeast":
        lines: tuple[Any, ...] = (batch.recipe.yeast,)
    elif part == "additions":
        lines = batch.adjustment.additions if only is None else batch.adjustment.additions[only : only + 1]
    else:
        lines = getattr(batch.recipe, part)
    held = {"yeast": shelf.yeasts, "feeds": shelf.nutrients, "additions": shelf.additives}.get(part)
    rows: Any = getattr(shelf, part) if held is None else held
    for line in lines:
        row = rows.get(line.key)
        if row is not None:
            yield _entering(line, row, what)


def _entering(line: Any, row: Any, what: str) -> Entering:
    """A row, or in its place what the person measured of it."""
    if isinstance(line, FruitLine):
        if what == "yield" and (line.as_juice or line.press_yield is not None):
            return Entering(f"{row.name}, amount of juice", Status.OWN, (OWN_SOURCE.key,))
        if what == "composition" and line.juice_gravity is not None:
            return Entering(f"{row.name}, gravity of the juice", Status.OWN, (OWN_SOURCE.key, *row.sources))
        return Entering(f"{row.name}, {_CALLED.get(what, what)}", getattr(row, _STATUS[what]), row.sources)
    if isinstance(line, HoneyLine):
        # The nitrogen of honey is an estimate in all rows that come with the program.
        if what == "nitrogen" and row.status is not Status.OWN:
            return Entering(f"{row.name}, nitrogen", Status.ESTIMATE, row.sources)
        moist = " and measured moisture" if line.moisture is not None else ""
        return Entering(f"{row.name}, {what}{moist}", row.status, row.sources)
    return Entering(row.name, row.status, row.sources)


def _substances(keys: tuple[str, ...]) -> Iterator[Entering]:
    for key in keys:
        row = COMPONENTS[key]
        yield Entering(row.name, Status(row.status), tuple(row.source.split()))
