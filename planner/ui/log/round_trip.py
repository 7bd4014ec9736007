"""Nothing is lost between the log and its cells: what was typed is shown as typed, and what is left untouched stays."""

from __future__ import annotations

import msgspec

from planner.document.batch import Entry
from planner.document.reading_kinds import READINGS
from planner.ui.display import SPACE, Display
from planner.units import UNITS, GravityScale, Kind, scale

MOST_DECIMALS = 6
"""More than anyone types. Figures beyond come from a conversion, and are rounded where they are shown."""

_VALUES = (*(kind.field for kind in READINGS), "mass", "size", "doubt")


def exact_number(value: float, display: Display, fewest: int, most: int) -> str:
    """A plain number with all the decimals that were typed; one with more is rounded to `most`."""
    decimals = next((n for n in range(MOST_DECIMALS + 1) if round(value, n) == value), most)
    # The finer first: 9.96 is as long as the 10.0 that it would round to.
    return max(display.number(value, decimals, trim=True), display.number(value, fewest), key=len)


def exact_text(value: float, display: Display, kind: Kind, unit: str | None = None) -> str:
    """A number with its unit, with all the decimals that were typed in that unit; others as fields show them.

    Parameters
    ----------
    value : float
        The number. [SI unit of the kind]
    display : Display
        The reader's habits.
    kind : Kind
        What it is a number of.
    unit : str, optional
        Key of the unit; by default the one in which fields show it.
    """
    usual = display.text_for_editing(value, kind, unit)
    if kind == Kind.GRAVITY:
        on_stem = display.gravity_scale == GravityScale.SG
        return max(exact_number(value, display, 3, 4), usual, key=len) if on_stem else usual
    row = UNITS[unit] if unit else display.unit_for(value, kind)
    if row is None or row.key == "lb":  # in pounds and ounces two units share the number
        return usual
    shown = scale(row.key).shown(value)
    decimals = next((n for n in range(MOST_DECIMALS + 1) if scale(row.key).si(round(shown, n)) == value), None)
    if decimals is None:
        return usual
    return max(f"{display.number(shown, decimals, trim=True)}{SPACE}{row.symbol}", usual, key=len)


def kept(before: Entry, shown: Entry | None, typed: Entry) -> Entry:
    """What was typed over an entry, with the values of the entry itself where they were left as they were shown.

    Parameters
    ----------
    shown : Entry or None
        As its text in the cell would be read; None where it could not be. [as its fields]
    """
    if not type(before) is type(shown) is type(typed):
        return typed
    same = {
        name: getattr(before, name)
        for name in _VALUES
        if name in typed.__struct_fields__ and getattr(typed, name) == getattr(shown, name) is not None
    }
    return msgspec.structs.replace(typed, **same)
