"""What was given to the batch, as it is typed: an amount, and of what."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from planner.document.batch import Event, What
from planner.ui.amounts import amounts
from planner.ui.display import Display
from planner.ui.entry import EntryError, read_quantity
from planner.units import Kind, Unit, find_unit


class Names(NamedTuple):
    """What nutrients, additives, and what may be added while it works are called, by key; and what is known of the last."""

    nutrients: Mapping[str, str] = {}
    additives: Mapping[str, str] = {}
    added: Mapping[str, str] = {}
    density: Callable[[str], float | None] = lambda _key: None
    """Of what is poured, by its key. [kg/m^3]"""
    honey: Callable[[], str] = lambda: ""
    """Key of the honey that is meant by that word alone."""

    def of(self, key: str) -> str:
        """The name of any of them; its key where it has none."""
        return self.nutrients.get(key) or self.added.get(key) or self.additives.get(key) or key


NO_NAMES = Names()


def read_feed(text: str, display: Display, names: Names) -> Event:
    """A feed: an amount, and of which nutrient."""
    return _given(What.FEED, text, display, names.nutrients)


def read_dose(text: str, display: Display, names: Names) -> Event:
    """A dose: an amount, and of which additive."""
    return _given(What.DOSE, text, display, names.additives)


def _given(what: What, text: str, display: Display, shelf: Mapping[str, str]) -> Event:
    if not text.strip():
        return Event(what=what)
    parts = list(amounts(text, display.locale, "Enter an amount, such as 5 g, and of what."))
    unit, _, rest = parts[-1].unit.partition(" ")
    amount = text[: text.rindex(rest)] if rest else text
    mass = read_quantity(amount.strip(), Kind.MASS, "g", display.locale)
    return Event(what=what, mass=mass, key=key_of(rest, shelf) if unit and rest.strip() else None)


_NAME_FIRST = re.compile(r"\s*(?:of\s+)?([^\W\d_][^\d½⅓⅔¼¾]*?)[\s,:]+([\d½⅓⅔¼¾].*)", re.DOTALL)
_UNITS_LONGEST = 2
"""Words of the longest unit, such as fl oz."""


def named_amount(text: str, display: Display) -> tuple[str, Unit, str] | None:
    """An amount by weight or poured, its last unit, and what it is of: "0.5 kg honey" or "honey 0.5 kg"; None otherwise."""
    match = _NAME_FIRST.fullmatch(text)
    amount, name = (match[2], match[1]) if match else (text, "")
    try:
        last = list(amounts(amount, display.locale, ""))[-1].unit
    except EntryError:
        return None
    words = last.split()
    known = (n for n in range(min(_UNITS_LONGEST, len(words)), 0, -1) if find_unit(" ".join(words[:n])) is not None)
    count = next(known, 0)
    rest = " ".join(words[count:])
    if rest:
        amount = amount[: amount.rindex(words[count])]
    unit = find_unit(" ".join(words[:count])) if count else None
    if unit is None or unit.kind not in (Kind.MASS, Kind.VOLUME):
        return None
    return amount.strip(), unit, f"{name} {rest}".strip()


def read_addition(text: str, display: Display, names: Names) -> Event:
    """What was added while it worked: an amount, by weight or poured, and of what."""
    wanted = "Enter an amount and of what, such as added 500 g honey or added 2 L apple juice."
    if not text.strip():
        return Event(what=What.ADDED)
    found = named_amount(text, display)
    if found is None:
        raise EntryError(f"“{text.strip()}” could not be read. {wanted}")
    amount, unit, name = found
    key = _added_key(name, names) if name else None
    if unit.kind == Kind.MASS:
        return Event(what=What.ADDED, mass=read_quantity(amount, Kind.MASS, "kg", display.locale), key=key)
    density = None if key is None else names.density(key)
    if density is None:
        raise EntryError(
            f"“{text.strip()}”: {'what is poured needs its name' if key is None else 'this is weighed'}. {wanted}"
        )
    return Event(what=What.ADDED, mass=density * read_quantity(amount, Kind.VOLUME, "L", display.locale), key=key)


def _added_key(name: str, names: Names) -> str:
    """The key of what was added; honey without more is that of the recipe."""
    bare = name.strip().casefold().removeprefix("of ").strip()
    return names.honey() if bare == "honey" and names.honey() in names.added else key_of(name, names.added)


def plain_addition(text: str, display: Display, names: Names) -> Event | None:
    """An amount of something, without a word for what was done: "honey 0.5 kg", "250 g erythritol". Its name tells that."""
    found = named_amount(text, display)
    if found is None or not found[2]:
        return None
    amount, unit, name = found
    if _known(_added_key, name, names) is not None:
        return read_addition(text, display, names)
    shelves = ((What.FEED, names.nutrients), (What.DOSE, names.additives))
    meant = [(what, key) for what, shelf in shelves if (key := _known(key_of, name, shelf)) is not None]
    if unit.kind != Kind.MASS or len(meant) != 1:
        return None
    return Event(what=meant[0][0], mass=read_quantity(amount, Kind.MASS, "g", display.locale), key=meant[0][1])


def _known(find: Callable[..., str], *words: Any) -> str | None:
    """A key, or None where the words name nothing, or more than one thing."""
    try:
        return find(*words)
    except EntryError:
        return None


_SHORT = {"dap": "diammonium-phosphate", "kms": "potassium-metabisulphite"}
"""How chemicals are called for short in the trade, by their initials (common practice, no source)."""


_LISTED = 12
"""Names in a message at most."""


def key_of(text: str, shelf: Mapping[str, str]) -> str:
    """The key of the one ingredient that the words name."""
    words = re.findall(r"[^\W_]+", text.casefold().removeprefix("of "))
    if len(words) == 1 and _SHORT.get(words[0]) in shelf:
        return _SHORT[words[0]]
    exact = [key for key, name in shelf.items() if text.strip().casefold() in (key.casefold(), name.casefold())]
    near = [key for key, name in shelf.items() if all(_begins(word, f"{key} {name}") for word in words)]
    found = exact or near
    if len(found) == 1:
        return found[0]
    known = [shelf.get(key, key) for key in (near or shelf)]
    listed = ", ".join(known if len(known) <= _LISTED else [*known[:_LISTED], "and others"])
    raise EntryError(f"“{text.strip()}” is {'more than one' if near else 'none'} of those known here: {listed}.")


def _begins(word: str, name: str) -> bool:
    return any(part.startswith(word) for part in re.findall(r"[^\W_]+", name.casefold()))
