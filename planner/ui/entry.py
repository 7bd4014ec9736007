"""From typed text to SI: amounts in the reader's own habits, units from the closed list, nothing guessed."""

from __future__ import annotations

import difflib
import itertools
import re
import unicodedata
from collections.abc import Set

from PySide6.QtCore import QLocale

from planner.ui.amounts import LONGEST, Amount, EntryError, NumberFormat, amounts
from planner.units import UNITS, GravityScale, Kind, Unit, find_unit, names, scale, units_of

__all__ = [
    "EntryError",
    "NumberFormat",
    "read",
    "read_fraction",
    "read_gravity",
    "read_number",
    "read_quantity",
]

_WORDS = {
    Kind.MASS: ("a mass", "750 g, 2.5 kg or 5 lb 8 oz"),
    Kind.VOLUME: ("a volume", "18 L, 750 mL or 1 1/2 US gal"),
    Kind.TEMPERATURE: ("a temperature", "20 °C or 68 °F"),
    Kind.CONCENTRATION: ("a concentration", "6.5 g/L or 150 mg/L"),
    Kind.TIME: ("a time", "14 d or 36 h"),
    Kind.GRAVITY: ("a gravity", "1.085, 1085 or 20 °Bx"),
    Kind.FRACTION: ("a percentage", "12 or 12.5 %"),
    Kind.STRENGTH: ("a strength", "12 or 12.5 % vol"),
    Kind.NUMBER: ("a number", "3.4"),
}
"""For each kind the words for it and examples, written with a decimal point."""

_OTHERWISE = {
    "ppm": "ppm counts by mass, not by volume; enter mg/L",
    "-": "a range cannot be kept here; enter one number",
    "–": "a range cannot be kept here; enter one number",
    "to": "a range cannot be kept here; enter one number",
}
"""What is understood but not accepted where a unit stands, and what to write instead."""

_SHARE = frozenset({"", "%", "percent", "per cent", "pct"})
_BY_VOLUME = frozenset({"% vol", "%vol", "vol %", "vol%", "vol", "% v/v", "% by volume", "% abv", "abv"})
_BRIX = frozenset({"bx", "°bx", "brix", "°brix", "degrees brix"})
_SPECIFIC = frozenset({"", "sg", "s g"})

GRAVITY_RANGE = (0.85, 1.48)
"""Gravities of anything between a strong spirit and a dry honey; the rest are slips. [-] From memory."""

BRIX_RANGE = (-10.0, 85.0)
"""°Brix that `planner.model.scales` turns into a gravity. [g/(100 g)]"""


def read_quantity(text: str, kind: Kind, default_unit: str, locale: QLocale, *, negative: bool | None = None) -> float:
    """Read an amount with its unit: "2.5 kg", "5 lb 8 oz", "1 1/2 US gal", "½ lb", "750".

    Parameters
    ----------
    text : str
        What the person typed.
    kind : Kind
        What is wanted, one of the kinds with units.
    default_unit : str
        Key of the unit that a bare number is in.
    locale : QLocale
        Decides the decimal sign, and whether a bare gallon is the imperial one.
    negative : bool, optional
        Whether a negative number can be meant; by default only for temperatures.

    Returns
    -------
    float
        The amount. [SI unit of the kind]

    Raises
    ------
    EntryError
        If the text is anything else; a guess would put a wrong number into the recipe.
    """
    parts = list(amounts(text, locale, _wanted(kind, locale)))
    units = [_unit(part, text, kind, default_unit, locale, alone=len(parts) == 1) for part in parts]
    _refuse_sums_that_are_none(text, kind, units, locale)
    signed = kind == Kind.TEMPERATURE if negative is None else negative
    if not signed:
        _refuse_negative(text, kind, parts)
    total = sum(scale(unit.key).si(part.number) for part, unit in zip(parts, units, strict=True))
    if kind == Kind.TEMPERATURE and total < 0.0:
        raise EntryError(f"“{text.strip()}” is below absolute zero. {_wanted(kind, locale)}")
    return total


def read_number(text: str, locale: QLocale, *, negative: bool = False) -> float:
    """Read a plain number, such as a pH.

    Raises
    ------
    EntryError
        If the text is anything else.
    """
    bare = re.sub(r"^\s*pH\b", "", text, flags=re.IGNORECASE)
    return _single(bare, Kind.NUMBER, {""}, locale, negative=negative)


def read_fraction(text: str, locale: QLocale, kind: Kind = Kind.FRACTION) -> float:
    """Read a percentage, with or without its sign: "12 %", "12", "12.5 % vol".

    Parameters
    ----------
    text : str
        What the person typed.
    locale : QLocale
        Decides the decimal sign.
    kind : Kind
        `Kind.STRENGTH` also accepts the words for "by volume".

    Returns
    -------
    float
        The share, between 0 and 1. [-]

    Raises
    ------
    EntryError
        If the text is anything else, or no share of a whole.
    """
    suffixes = _SHARE | _BY_VOLUME if kind == Kind.STRENGTH else _SHARE
    percent = _single(text, kind, suffixes, locale)
    if percent > 100.0:
        raise EntryError(f"“{text.strip()}” is more than the whole. {_wanted(kind, locale)}")
    return percent / 100.0


def read_gravity(text: str, locale: QLocale, preferred: GravityScale = GravityScale.SG) -> float:
    """Read a gravity: "1.085", "1,085", "1085", "20 °Bx".

    A gravity lies so near one that "1.085" and "1,085" mean the same in every locale, whichever sign is its decimal
    one: read as thousands both are 1085, which is how the same gravity is written without a sign. So both are accepted.

    Parameters
    ----------
    text : str
        What the person typed.
    locale : QLocale
        Decides the decimal sign of °Brix.
    preferred : GravityScale
        The scale of a bare number. With °Brix, a bare number with three decimals near one, or near a thousand, is
        still a specific gravity: nobody reads °Brix so finely, nor so high.

    Returns
    -------
    float
        Specific gravity 20/20 °C. [-]

    Raises
    ------
    EntryError
        If the text is anything else, or no gravity of a must, a mead or a honey.
    """
    if len(text) > LONGEST:
        raise EntryError(f"“{text.strip()[:30]}…” is too long to be read. {_wanted(Kind.GRAVITY, locale)}")
    bare = re.sub(r"^\s*(?:sg|gravity)\b\s*", "", text, flags=re.IGNORECASE)
    unit = _after_last_digit(bare)
    if unit not in _BRIX | _SPECIFIC:
        raise EntryError(f"“{text.strip()}”: “{unit}” is not a scale of gravity. {_wanted(Kind.GRAVITY, locale)}")
    prefers_brix = unit in _BRIX or (not unit and preferred == GravityScale.BRIX)
    gravity = None if unit in _BRIX else _specific(bare, fewest_decimals=3 if prefers_brix else 0)
    if gravity is None and prefers_brix:
        return _from_brix(text, bare, locale)
    if gravity is None:
        raise _no_gravity(text, bare, locale)
    low, high = GRAVITY_RANGE
    if not low <= gravity <= high:
        between = f"{_local(str(low), locale)} and {_local(str(high), locale)}"
        raise EntryError(f"“{text.strip()}” is not a gravity of a must or mead, which lies between {between}.")
    return gravity


def read(
    text: str, kind: Kind, locale: QLocale, default_unit: str = "", gravity_scale: GravityScale = GravityScale.SG
) -> float:
    """Read text of any kind: the one reader that fields call.

    Raises
    ------
    EntryError
        As the reader of the kind does.
    """
    if kind == Kind.GRAVITY:
        return read_gravity(text, locale, gravity_scale)
    if kind in (Kind.FRACTION, Kind.STRENGTH):
        return read_fraction(text, locale, kind)
    if kind == Kind.NUMBER:
        return read_number(text, locale)
    return read_quantity(text, kind, default_unit, locale)


def _specific(bare: str, fewest_decimals: int) -> float | None:
    """The specific gravity if the text is written as one, in whatever locale; else None."""
    ascii_digits = "".join(str(unicodedata.decimal(c)) if c.isdecimal() else c for c in bare)
    match = re.match(r"\s*(?:([01])(?:[.,٫](\d{1,12}))?|(\d{3,4}))(?![\d.,٫])(?!.*\d)", ascii_digits, re.DOTALL)
    if match is None:
        return None
    whole, decimals, thousands = match.groups(default="")
    if thousands:
        value, ok = QLocale.c().toDouble(thousands)
        return value / 1000.0 if ok else None
    value, ok = QLocale.c().toDouble(f"{whole}.{decimals}0")
    return value if ok and len(decimals) >= fewest_decimals else None


def _no_gravity(text: str, bare: str, locale: QLocale) -> EntryError:
    """Why a text that should be a specific gravity is none."""
    value = _single(bare, Kind.GRAVITY, _SPECIFIC, locale, negative=True)
    shown = text.strip()
    if 1.5 < value < BRIX_RANGE[1]:
        example = _local("1.085", locale)
        return EntryError(
            f"“{shown}” is not a specific gravity, such as {example}. If you mean °Brix, enter {shown} °Bx."
        )
    return EntryError(f"“{shown}” is not a specific gravity. {_wanted(Kind.GRAVITY, locale)}")


def _from_brix(text: str, bare: str, locale: QLocale) -> float:
    """The specific gravity of a number in °Brix."""
    from planner.model.scales import gravity_from_brix

    brix = _single(bare, Kind.GRAVITY, {"", *_BRIX}, locale, negative=True)
    low, high = BRIX_RANGE
    if not low <= brix <= high:
        raise EntryError(f"“{text.strip()}” is out of range. Enter °Brix from {low:g} to {high:g}.")
    return float(gravity_from_brix(brix))


def _single(text: str, kind: Kind, suffixes: Set[str], locale: QLocale, *, negative: bool = False) -> float:
    """One number followed by one of the suffixes."""
    parts = list(amounts(text, locale, _wanted(kind, locale)))
    suffix = " ".join(parts[0].unit.casefold().rstrip(".").split())
    if suffix not in suffixes:
        raise EntryError(f"“{text.strip()}”: “{parts[0].unit}” does not belong here. {_wanted(kind, locale)}")
    if len(parts) > 1:
        raise EntryError(f"“{text.strip()}” has more than one number. {_wanted(kind, locale)}")
    if not negative:
        _refuse_negative(text, kind, parts)
    return parts[0].number


def _refuse_negative(text: str, kind: Kind, parts: list[Amount]) -> None:
    if any(part.number < 0.0 for part in parts):
        raise EntryError(f"“{text.strip()}”: {_WORDS[kind][0]} cannot be negative here.")


def _unit(part: Amount, text: str, kind: Kind, default_unit: str, locale: QLocale, *, alone: bool) -> Unit:
    """The unit of one amount."""
    no_unit = {"", "°", "deg", "degrees"} if kind == Kind.TEMPERATURE else {""}
    if part.unit.casefold().strip(". ") in no_unit:
        if alone:
            return UNITS[default_unit]
        raise EntryError(f"“{text.strip()}” has a number without a unit. {_wanted(kind, locale)}")
    imperial = locale.measurementSystem() == QLocale.MeasurementSystem.ImperialUKSystem
    unit = find_unit(part.unit, kind, imperial)
    if unit is None:
        raise EntryError(f"“{text.strip()}”: {_unknown(part.unit, kind)}")
    if unit.kind != kind:
        also = " Did you mean fl oz?" if unit.key == "oz" and kind == Kind.VOLUME else ""
        raise EntryError(
            f"“{text.strip()}” is {_WORDS[unit.kind][0]}. Enter {_WORDS[kind][0]}, in {_listed(kind)}.{also}"
        )
    return unit


def _unknown(typed: str, kind: Kind) -> str:
    """That no unit is called so, what was perhaps meant, and what is accepted."""
    if typed.casefold() in _OTHERWISE:
        return f"{_OTHERWISE[typed.casefold()]}."
    mine = [name for name, units in names().items() if any(unit.kind == kind for unit in units)]
    close = difflib.get_close_matches(typed.casefold(), mine, n=1, cutoff=0.6)
    unit = find_unit(close[0], kind) if close else None
    guess = f" Did you mean {unit.symbol}?" if unit else ""
    return f"“{typed}” is not a unit known here.{guess} Accepted are {_listed(kind)}."


def _refuse_sums_that_are_none(text: str, kind: Kind, units: list[Unit], locale: QLocale) -> None:
    """Amounts add up only from large to small units, as in 5 lb 8 oz, and temperatures not at all."""
    factors = [scale(unit.key).factor for unit in units]
    falling = all(larger > smaller for larger, smaller in itertools.pairwise(factors))
    if len(units) > 1 and (kind == Kind.TEMPERATURE or not falling):
        raise EntryError(f"“{text.strip()}” has more than one {kind.value}. {_wanted(kind, locale)}")


def _after_last_digit(text: str) -> str:
    """The normalised text after the last digit, or the last fraction; empty if there is neither."""
    match = re.search(r"[\d½⅓⅔¼¾](\D*)$", text)
    return " ".join(match[1].casefold().replace(".", " ").split()) if match else ""


def _listed(kind: Kind) -> str:
    return ", ".join(unit.symbol for unit in units_of(kind))


def _local(example: str, locale: QLocale) -> str:
    """An example with the decimal sign of the locale."""
    return re.sub(r"(?<=\d)\.(?=\d)", locale.decimalPoint(), example)


def _wanted(kind: Kind, locale: QLocale) -> str:
    """What would be accepted, with examples as this locale writes them."""
    what, examples = _WORDS[kind]
    return f"Enter {what}, such as {_local(examples, locale)}."
