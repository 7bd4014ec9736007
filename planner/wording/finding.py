"""Doubts about a batch as data: how serious, where, and in words. A pane shows each beside the field it speaks of."""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum

import msgspec

from planner.reference.catalogue import Catalogue
from planner.wording.phrases import Figure, Words, literal, say, tabled


class Level(IntEnum):
    """How serious a finding is."""

    CAUTION = -1
    """A danger of what is used, told of every batch that uses it; not a doubt about this one."""
    NOTE = 0
    """Worth knowing."""
    WARNING = 1
    """Likely to go wrong."""
    ERROR = 2
    """Cannot be worked out, or must not be done so."""


class Finding(msgspec.Struct, frozen=True):
    """One doubt.

    Attributes
    ----------
    level : Level
        How serious.
    place : str
        Where in the batch, as a path such as "recipe.honeys.0" or "recipe.yeast".
    text : Words
        A sentence for the user, its figures still figures.
    """

    level: Level
    place: str
    text: Words


def note(place: str, template: str, *figures: Figure) -> Finding:
    """Something worth knowing."""
    return Finding(Level.NOTE, place, say(template, *figures))


def caution(place: str, key: str, catalogue: Catalogue, before: str = "", *figures: Figure) -> Finding:
    """A caution of the shelf, with its sources after it.

    Parameters
    ----------
    place : str
        Where in the batch.
    before : str
        What is said first of this batch, with braces for its figures. [-]
    *figures : Figure
        In order.
    """
    told = warned(key, catalogue)
    return Finding(Level.CAUTION, place, say(before + told.template, *figures, *told.figures))


def warned(key: str, catalogue: Catalogue) -> Words:
    """A caution of the shelf, with its sources after it. [-]"""
    row = catalogue.cautions[key]
    return with_sources(tabled(row.text), row.sources, catalogue)


def with_sources(told: Words, sources: Sequence[str], catalogue: Catalogue) -> Words:
    """What somebody is warned of, with what it rests on after it. [-]"""
    named = "; ".join(catalogue.sources[source].named for source in sources)
    return say(f"{told.template} {'Source' if len(sources) == 1 else 'Sources'}: {literal(named)}.", *told.figures)


def warning(place: str, template: str, *figures: Figure) -> Finding:
    """Something likely to go wrong."""
    return Finding(Level.WARNING, place, say(template, *figures))


def error(place: str, template: str, *figures: Figure) -> Finding:
    """Something that cannot be, or must not be done."""
    return Finding(Level.ERROR, place, say(template, *figures))
