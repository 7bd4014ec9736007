"""An entry of the log in words, its figures still figures: what was read, or what was done."""

from __future__ import annotations

from collections.abc import Callable

from planner.document.batch import Entry, Event, What
from planner.document.reading_kinds import EVENTS, OF_CLASS
from planner.wording import phrases
from planner.wording.phrases import Figure, Words, say


def in_words(entry: Entry, name_of: Callable[[str], str]) -> Words:
    """An entry of the log, as it was read."""
    if isinstance(entry, Event):
        return _done(entry, name_of)
    kind = OF_CLASS[type(entry)]
    figures = [Figure(kind.measure, getattr(entry, kind.field))] if "{}" in kind.said else []
    known = getattr(entry, "known", None)
    if known is not None:
        return say("check {} in {}", *figures, phrases.gravity(known))
    return say(kind.said.replace("{}", "below {}") if getattr(entry, "below", False) else kind.said, *figures)


def _done(entry: Event, name_of: Callable[[str], str]) -> Words:
    if entry.what is What.TEMPERATURE and entry.temperature is not None:
        return say("set to {}", phrases.temperature(entry.temperature))
    if entry.bottles is not None:
        size = "" if entry.size is None else " of {}"
        figures = [] if entry.size is None else [phrases.volume(entry.size)]
        return say(f"bottled {{}}{size}", phrases.count(entry.bottles), *figures)
    if entry.volume is not None:
        return say(f"{EVENTS[entry.what].word} to {{}}", phrases.volume(entry.volume))
    if entry.mass is not None:
        named = "" if entry.key is None else f" of {phrases.in_a_sentence(name_of(entry.key))}"
        return say(f"{EVENTS[entry.what].word} {{}}{named}", phrases.mass(entry.mass))
    return say(EVENTS[entry.what].word)
