"""Doubts about a batch as data: how serious, where, and in words. A pane shows each beside the field it speaks of."""

from __future__ import annotations

from enum import IntEnum

import msgspec

from planner.wording.phrases import Figure, Words, say


class Level(IntEnum):
    """How serious a finding is."""

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


def warning(place: str, template: str, *figures: Figure) -> Finding:
    """Something likely to go wrong."""
    return Finding(Level.WARNING, place, say(template, *figures))


def error(place: str, template: str, *figures: Figure) -> Finding:
    """Something that cannot be, or must not be done."""
    return Finding(Level.ERROR, place, say(template, *figures))
