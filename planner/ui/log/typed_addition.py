"""What was given to the batch, as it is typed: an amount, and of what."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

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
    found = named_amount(text, display, shelf)
    amount, _, name = found if found is not None and found[1].kind == Kind.MASS else (text, None, "")
    mass = read_quantity(amount.strip(), Kind.MASS, "g", display.locale)
    return Event(what=what, mass=mass, key=key_of(name, shelf) if name else None)


_AMOUNT_WORDS = 6
"""Words of the longest amount, such as 2 US gal 1 1/2 US qt."""


def amounts_with_rest(text: str, display: Display) -> Iterator[tuple[str, Unit, str]]:
    """Each amount by weight or poured with which a text begins, then with which it ends, the longest first; and the rest of it."""
    words = text.split()
    longest = range(min(_AMOUNT_WORDS, len(words)), 0, -1)
    for amount, rest in (*((words[:n], words[n:]) for n in longest), *((words[-n:], words[:-n]) for n in longest)):
        whole = " ".join(amount).rstrip(",;:")
        unit = _unit_of(whole, display)
        if unit is not None:
            yield whole, unit, re.sub(r"(?i)^of\b\s*", "", " ".join(rest).strip(",;: "))


def _unit_of(amount: str, display: Display) -> Unit | None:
    """The last unit of what is an amount by weight or poured and nothing more."""
    try:
        units = [find_unit(part.unit) for part in amounts(amount, display.locale, "")]
    except EntryError:
        return None
    last = units[-1] if all(units) else None
    return last if last is not None and last.kind in (Kind.MASS, Kind.VOLUME) else None


def named_amount(text: str, display: Display, shelf: Mapping[str, str]) -> tuple[str, Unit, str] | None:
    """An amount by weight or poured, its last unit, and what it is of: "0.5 kg honey", "honey 0.5 kg" or "120 g maltodextrin, DE
    10"; None otherwise. Of several ways to read it, the one whose name is that of one thing on the shelf."""
    found = list(amounts_with_rest(text, display))
    return min(found, key=lambda one: abs(len(_near(one[2], shelf)) - 1), default=None)


def read_addition(text: str, display: Display, names: Names) -> Event:
    """What was added while it worked: an amount, by weight or poured, and of what."""
    wanted = "Enter an amount and of what, such as added 500 g honey or added 2 L apple juice."
    if not text.strip():
        return Event(what=What.ADDED)
    found = named_amount(text, display, names.added)
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


def _means_honey(name: str, names: Names) -> bool:
    return name.casefold() == "honey" and names.honey() in names.added


def _added_key(name: str, names: Names) -> str:
    """The key of what was added; honey without more is that of the recipe."""
    return names.honey() if _means_honey(name, names) else key_of(name, names.added)


def plain_addition(text: str, display: Display, names: Names) -> Event | None:
    """An amount of something, without a word for what was done: "honey 0.5 kg", "250 g erythritol". Its name tells that.

    Raises
    ------
    EntryError
        The name can be that of several ingredients.
    """
    shelves = {What.ADDED: names.added, What.FEED: names.nutrients, What.DOSE: names.additives}
    found = [(one, what, keys) for one in amounts_with_rest(text, display) if one[2]
             for what, shelf in shelves.items() if (keys := _near(one[2], shelf))]  # fmt: skip
    found = [one for one in found if one[1] is What.ADDED or one[0][1].kind == Kind.MASS]
    if not found:
        return None
    (amount, _, name), *_ = min(found, key=lambda one: len(one[2]))
    found = [one for one in found if one[0][0] == amount]
    if any(what is What.ADDED and (len(keys) == 1 or _means_honey(name, names)) for _, what, keys in found):
        return read_addition(text, display, names)
    given = [(what, keys[0]) for _, what, keys in found if len(keys) == 1]
    if len(given) == 1:
        return Event(what=given[0][0], mass=read_quantity(amount, Kind.MASS, "g", display.locale), key=given[0][1])
    done = {What.ADDED: "added", What.FEED: "fed", What.DOSE: "dosed"}
    ways = [f"{done[way]} {amount} {shelves[way][key]}" for _, way, some in found for key in some]
    raise EntryError(f"“{name}” is more than one of those known here. Enter one of these: {_listed(ways)}.")


_SHORT = {"dap": "diammonium-phosphate", "kms": "potassium-metabisulphite"}
"""How chemicals are called for short in the trade, by their initials (common practice, no source)."""


_LISTED = 12
"""Names in a message at most."""


def _near(text: str, shelf: Mapping[str, str]) -> list[str]:
    """The keys of all ingredients that the words can name; the one alone that they name in full."""
    words = re.findall(r"[^\W_]+", text.casefold())
    if not any(word[0].isalpha() for word in words):
        return []
    if len(words) == 1 and _SHORT.get(words[0]) in shelf:
        return [_SHORT[words[0]]]
    exact = [key for key, name in shelf.items() if text.strip().casefold() in (key.casefold(), name.casefold())]
    return exact or [key for key, name in shelf.items() if all(_begins(word, f"{key} {name}") for word in words)]


def key_of(text: str, shelf: Mapping[str, str]) -> str:
    """The key of the one ingredient that the words name."""
    found = _near(text, shelf)
    if len(found) == 1:
        return found[0]
    known = [shelf.get(key, key) for key in (found or shelf)]
    raise EntryError(
        f"“{text.strip()}” is {'more than one' if found else 'none'} of those known here: {_listed(known)}."
    )


def _listed(names: Sequence[str]) -> str:
    """Some names in a message; of many, the first."""
    return ", ".join(names if len(names) <= _LISTED else [*names[:_LISTED], "and others"])


def _begins(word: str, name: str) -> bool:
    """Whether a name has a word that begins so, or a number that is this one."""
    parts = re.findall(r"[^\W_]+", name.casefold())
    return word in parts if word.isdecimal() else any(part.startswith(word) for part in parts)
