"""An entry of the log in words, its figures still figures: what was read, or what was done."""

from __future__ import annotations

from collections.abc import Callable

from planner.document.batch import (
    AcidityReading,
    Entry,
    Event,
    RefractometerReading,
    SugarReading,
    TasteReading,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.wording import phrases
from planner.wording.phrases import Words, say

_DONE = {
    What.PITCH: "pitched", What.FEED: "fed", What.ADDED: "added", What.RACKING: "racked", What.STIRRING: "stirred",
    What.TEMPERATURE: "temperature set", What.STABILISED: "stabilised", What.DOSE: "dosed", What.BOTTLED: "bottled",
    What.NOTE: "note",
}  # fmt: skip


def in_words(entry: Entry, name_of: Callable[[str], str]) -> Words:
    """An entry of the log, as it was read."""
    if isinstance(entry, Event):
        return _done(entry, name_of)
    if isinstance(entry, RefractometerReading):
        return say("refractometer {}", phrases.brix(entry.brix))
    if isinstance(entry, WeightReading):
        return say("{} lighter", phrases.mass(entry.lost))
    if isinstance(entry, SugarReading):
        return say("sugar test below {}" if entry.below else "sugar test {}", phrases.concentration(entry.sugar))
    if isinstance(entry, AcidityReading):
        return say("pH {}", phrases.ph(entry.ph))
    if isinstance(entry, TitrationReading):
        return say("titratable acid {}", phrases.concentration(entry.acid))
    if isinstance(entry, WarmthReading):
        return say("temperature")
    if isinstance(entry, VolumeReading):
        return say("volume {}", phrases.volume(entry.volume))
    if isinstance(entry, TasteReading):
        return say("tasted")
    if entry.known is not None:
        return say("check {} in {}", phrases.gravity(entry.gravity), phrases.gravity(entry.known))
    return say("{}", phrases.gravity(entry.gravity))


def _done(entry: Event, name_of: Callable[[str], str]) -> Words:
    if entry.what is What.TEMPERATURE and entry.temperature is not None:
        return say("set to {}", phrases.temperature(entry.temperature))
    if entry.bottles is not None:
        size = "" if entry.size is None else " of {}"
        figures = [] if entry.size is None else [phrases.volume(entry.size)]
        return say(f"bottled {{}}{size}", phrases.count(entry.bottles), *figures)
    if entry.volume is not None:
        return say(f"{_DONE[entry.what]} to {{}}", phrases.volume(entry.volume))
    if entry.mass is not None:
        named = "" if entry.key is None else f" of {phrases.in_a_sentence(name_of(entry.key))}"
        return say(f"{_DONE[entry.what]} {{}}{named}", phrases.mass(entry.mass))
    return say(_DONE[entry.what])
