"""An entry of the log in words, as its cell shows it and as `log_entry.read_value` reads it back."""

from __future__ import annotations

import msgspec

from planner.document.batch import (
    Entry,
    Event,
    What,
)
from planner.document.reading_kinds import EVENTS, GRAVITIES, KINDS, OF_CLASS
from planner.model.scales import brix_from_gravity
from planner.ui.display import MINUS, Display
from planner.ui.log.entry import KIND_WORDS, kind_of
from planner.ui.log.round_trip import exact_number, exact_text
from planner.ui.log.typed_addition import NO_NAMES, Names
from planner.units import GravityScale, Kind, System

_UNITS = {"mass": (Kind.MASS, None), "concentration": (Kind.CONCENTRATION, "g/L"), "temperature": (Kind.TEMPERATURE, None),
          "volume": (Kind.VOLUME, None), "gravity": (Kind.GRAVITY, None)}  # fmt: skip
"""How each measure is told that is not a bare number. [-]"""


def value_text(entry: Entry, display: Display, names: Names = NO_NAMES) -> str:
    """An entry as it was entered, on the reader's scale, with its doubt; `read_value` reads it back."""
    doubt = _doubt(entry, display)
    instrument, known = KINDS[type(entry)], getattr(entry, "known", None)
    of_brix = instrument == "refractometer" and display.gravity_scale == GravityScale.BRIX
    prefix = f"{instrument} " if of_brix or (instrument in GRAVITIES and instrument != "hydrometer") else ""
    if known is not None:
        read = msgspec.structs.replace(entry, known=None)
        return f"check {prefix}{_bare(read, display, names, exact=True)}{doubt} in {_known(known, display, exact=True)}"
    return prefix + _bare(entry, display, names, exact=True) + doubt


def short_text(entry: Entry, display: Display, names: Names = NO_NAMES) -> str:
    """The same without doubt and kind, which a cell shows otherwise."""
    is_plain = display.gravity_scale == GravityScale.BRIX and kind_of(entry) != "check"
    if KINDS[type(entry)] in GRAVITIES and is_plain:
        return display.gravity(
            float(getattr(entry, OF_CLASS[type(entry)].field))
        )  # figures beyond one decimal would come from the conversion
    return _bare(entry, display, names, exact=False)


def described(entry: Entry, display: Display) -> str:
    """What an entry is: its kind, its instrument, its doubt."""
    words = KIND_WORDS[kind_of(entry)]
    doubt = _doubt(entry, display).strip()
    instrument = f"“{entry.instrument}”" if entry.instrument else ""
    return ", ".join(part for part in (words, instrument, doubt) if part)


def _bare(entry: Entry, display: Display, names: Names, exact: bool) -> str:
    """The figure with its unit."""
    if isinstance(entry, Event):
        return _event(entry, display, names, exact)
    kind = OF_CLASS[type(entry)]
    if not kind.field:
        return kind.typed
    value, (unit, own) = getattr(entry, kind.field), _UNITS.get(kind.measure, (None, None))
    shown = _number(value, display, 1, 2, exact) if unit is None else _text(value, display, unit, own, exact)
    known = getattr(entry, "known", None)
    if known is not None:
        return f"check {shown} in {_known(known, display, exact)}"
    return ("<\u00a0{}" if getattr(entry, "below", False) else kind.typed).format(shown)


def _known(gravity: float, display: Display, exact: bool) -> str:
    """The liquid in which an instrument was checked."""
    return "water" if gravity == 1.0 else _text(gravity, display, Kind.GRAVITY, exact=exact)


def _event(entry: Event, display: Display, names: Names, exact: bool) -> str:
    done = "set" if entry.what is What.TEMPERATURE else EVENTS[entry.what].word
    if entry.what is What.TEMPERATURE and entry.temperature is not None:
        return f"{done} to {_text(entry.temperature, display, Kind.TEMPERATURE, exact=exact)}"
    if entry.bottles is not None:
        of = "" if entry.size is None else f" × {_text(entry.size, display, Kind.VOLUME, exact=exact)}"
        return f"{done} {display.number(entry.bottles, 0)}{of}"
    if entry.volume is not None:
        return f"{done} {_text(entry.volume, display, Kind.VOLUME, exact=exact)}"
    if entry.mass is None:
        return done
    of = f" {names.of(entry.key)}" if entry.key else ""
    amount = _text(entry.mass, display, Kind.MASS, exact=exact)
    density = names.density(entry.key) if entry.key and entry.what is What.ADDED else None
    if density is not None:  # as it was typed, by weight or poured: the one that takes fewer figures
        poured = _text(entry.mass / density, display, Kind.VOLUME, exact=exact)
        amount = min(amount, poured, key=lambda text: sum(sign.isdigit() for sign in text))
    return f"{done} {amount}{of}"


def _doubt(entry: Entry, display: Display) -> str:
    half = getattr(entry, "doubt", None)
    if half is None:
        return ""
    if KINDS[type(entry)] in GRAVITIES:
        if display.gravity_scale == GravityScale.BRIX:
            read = float(getattr(entry, OF_CLASS[type(entry)].field))
            wide = float(brix_from_gravity(read + half)) - float(brix_from_gravity(read))
            return f" ± {_number(wide, display, 1, 2)}\u00a0°Bx"
        return f" ± {_number(half, display, 3, 4)}"
    unit, own = _UNITS.get(OF_CLASS[type(entry)].measure, (None, None))
    return f" ± {_number(half, display, 1, 2) if unit is None else _text(half, display, unit, own)}"


def _text(value: float, display: Display, kind: Kind, unit: str | None = None, exact: bool = True) -> str:
    """A number with its unit."""
    return exact_text(value, display, kind, unit) if exact else display.text_for_editing(value, kind, unit)


def _number(value: float, display: Display, fewest: int, most: int, exact: bool = True) -> str:
    """A number with as many decimals as it needs, within two bounds, or with all that were typed."""
    if exact:
        return exact_number(value, display, fewest, most)
    return max(display.number(value, most, trim=True), display.number(value, fewest), key=len)


def hint(kind: str, display: Display) -> str:
    """An example of what may be typed for a kind."""
    warm = "64 °F" if display.system == System.US else "18 °C"
    examples = {
        "refractometer": f"{display.number(20.5, 1)} °Bx",
        "check": f"{display.gravity(1.001)} in water",
        "sugar": "12 g/L or < 2",
        "weight": f"{MINUS}2 lb 4 oz" if display.system == System.US else f"{MINUS}{display.number(1.2, 1)} kg",
        "ph": display.number(3.4, 1),
        "acid": "6 g/L as tartaric",
        "temperature": warm,
        "set": warm,
        "taste": "in words",
        "feed": "5 g of what",
        "added": "1 lb of what" if display.system == System.US else "500 g of what",
        "dose": "2 oz of what" if display.system == System.US else "50 g of what",
        "bottled": "24 × 25 fl oz" if display.system == System.US else "24 × 750 mL",
    }
    if kind in ("racking", "volume"):
        return "2.8 US gal" if display.system == System.US else f"{display.number(10.8, 1)} L"
    if kind in ("stirring", "stabilised", "pitch", "note"):
        return "a word on it"
    return examples.get(kind) or display.gravity(1.050)
