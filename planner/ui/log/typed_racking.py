"""Volumes as they are typed: how much came off the lees, how much there is, and how many bottles of which size."""

from __future__ import annotations

import re

from planner.document.batch import Event, VolumeReading, What
from planner.ui.amounts import amounts
from planner.ui.display import Display
from planner.ui.entry import EntryError, read_quantity
from planner.ui.log.typed_addition import Names, amounts_with_rest
from planner.units import Kind, System

MOST_BOTTLES, LARGEST_BOTTLE = 100_000, 0.1
"""How many bottles a batch can hold [-], and the largest vessel that counts as one [m^3]."""

_BARE_SIZES = {
    System.METRIC: (("L", 0.1, 5.0), ("cL", 18.0, 99.0), ("mL", 100.0, 5000.0)),
    System.US: (("L", 0.1, 5.0), ("US_floz", 6.0, 99.0), ("mL", 100.0, 5000.0)),
}
"""Units that a bare size of a bottle can only be in, and from which figure to which: 0.75, 75 and 750 are one bottle."""

FIGURE = re.compile(r"[\d½⅓⅔¼¾]")
_BOTTLES = re.compile(r"\s*(\d+)\s*(?:bottles?)?\s*(?:(?:[x×*]|of|at|à)\s*(\S.*))?", re.IGNORECASE)


def read_bottling(text: str, display: Display, _names: Names) -> Event:
    """Into how many bottles, and of which size; mere words are its note."""
    if not FIGURE.search(text):
        return Event(what=What.BOTTLED, note=text.strip())
    match = _BOTTLES.fullmatch(text)
    number = int(match[1]) if match else 0
    if match is None or not 1 <= number <= MOST_BOTTLES:
        example = "24 × 25 fl oz" if display.system == System.US else "24 × 750 mL"
        raise EntryError(
            f"“{text.strip()}” could not be read. Enter how many bottles of which size, such as bottled {example}."
        )
    if not match[2]:
        return Event(what=What.BOTTLED, bottles=number)
    size = _size_of_bottle(match[2], display)
    if not 0.0 < size <= LARGEST_BOTTLE:
        raise EntryError(
            f"“{match[2].strip()}” is not a size of a bottle; up to {display.volume(LARGEST_BOTTLE)} is accepted."
        )
    return Event(what=What.BOTTLED, bottles=number, size=size)


def _size_of_bottle(text: str, display: Display) -> float:
    """Its volume; a bare figure is in the one unit in which it is a bottle. [m^3]"""
    parts = list(amounts(text, display.locale, "Enter the size of a bottle, such as 750 mL."))
    if parts[0].unit:
        return read_quantity(text, Kind.VOLUME, "mL", display.locale)
    bare = parts[0].number
    unit = next((unit for unit, least, most in _BARE_SIZES[display.system] if least <= bare <= most), None)
    if unit is None:
        raise EntryError(f"“{text.strip()}”: of what? Enter the size with its unit, such as 750 mL or 0.75 L.")
    return read_quantity(text, Kind.VOLUME, unit, display.locale)


def read_racking(text: str, display: Display, _names: Names) -> Event:
    """How much came off the lees, where it was measured; other words are its note."""
    text = text.strip(" \t,:")
    found = _room(re.sub(r"(?i)^(?:to|of)\b\s*(?=[\d½⅓⅔¼¾])", "", text), display)
    if found is not None:
        return Event(what=What.RACKING, volume=found[0], note=found[1])
    begins = FIGURE.match(text)
    if begins and (len(text.split()) == 1 or next(amounts_with_rest(text, display), None) is not None):
        raise EntryError(f"“{text}”: enter the volume that came off the lees, such as racked {_ten(display)}.")
    return Event(what=What.RACKING, note=text)


_OF_BATCH = re.compile(r"(?i)(?:(?:of|in|is|are|the|there|it|must|mead|left|now|vessel|fermenter|demijohn)\b\s*)+")
"""Words behind a volume that tell that it is what there is of the batch."""


def read_volume(text: str, display: Display, _names: Names) -> VolumeReading:
    """How much must or mead there is; other words are its note."""
    bare = re.sub(r"(?i)^\s*(?:(?:is|of|now|left)\b|[,:=])*\s*", "", text)
    unit = display.unit_for(0.01, Kind.VOLUME)
    found = _room(
        f"{bare} {unit.symbol}" if unit and re.fullmatch(r"[\d½⅓⅔¼¾][^\W\d_]*\S*\s*", bare) else bare, display
    )
    if found is None:
        raise EntryError(f"Enter the volume of must or mead, without fruit, such as volume {_ten(display)}.")
    return VolumeReading(volume=found[0], note="" if _OF_BATCH.fullmatch(found[1]) else found[1])


def is_room(text: str, display: Display) -> bool:
    """Whether a text without its word tells how much there is: "10.8 L in the vessel"."""
    found = _room(text, display)
    return found is not None and bool(found[1]) and _OF_BATCH.fullmatch(found[1]) is not None


def _room(text: str, display: Display) -> tuple[float, str] | None:
    """The volume with which a text begins [m^3], and the rest of it."""
    found = next(amounts_with_rest(text, display), None)
    if found is None or found[1].kind != Kind.VOLUME or not FIGURE.match(text):
        return None
    return read_quantity(found[0], Kind.VOLUME, "L", display.locale), found[2]


def _ten(display: Display) -> str:
    """An example of a volume."""
    return "2.8 US gal" if display.system == System.US else "10.8 L"
