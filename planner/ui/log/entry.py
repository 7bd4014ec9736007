"""An entry of the log as it is typed: "1.050", "20.5 °Bx", "pH 3.4", "TA 6 g/L", "< 2 g/L", "−1.2 kg", "fed 5 g yeast autolysate"."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import msgspec

from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Batch,
    Entry,
    Event,
    RefractometerReading,
    SugarReading,
    TasteReading,
    TitrationReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.document.reading_kinds import EVENTS, GRAVITIES, OF_CLASS, READINGS, EventKind, ReadingKind
from planner.model.scales import brix_from_gravity, gravity_from_brix
from planner.ui.amounts import LONGEST, amounts
from planner.ui.display import Display
from planner.ui.entry import EntryError, read_gravity, read_number, read_quantity
from planner.ui.log.typed_addition import (
    NO_NAMES,
    Names,
    amounts_with_rest,
    plain_addition,
    read_addition,
    read_dose,
    read_feed,
)
from planner.ui.log.typed_racking import FIGURE, is_room, read_bottling, read_racking, read_volume
from planner.ui.log.when import When
from planner.units import GravityScale, Kind, System, find_unit, units_of

MOST_SUGAR, MOST_ACID = 1000.0, 50.0
"""More sugar, and more acid, than fits into a litre of must. [kg/m^3]"""

GLUCOSE = 0.18016
"""A millimole of glucose. [kg/mol, as g/L in each mmol/L] C6H12O6; IUPAC's standard atomic weights."""

SAMPLE = (263.15, 333.15)
"""Temperatures of a sample that a batch can hold. [K]"""

BRIX = (-2.0, 80.0)
"""What a refractometer shows. [g/(100 g)]"""

FREEZING, HOT = 273.15, 313.15
"""Temperatures below and above which a bare figure is asked about: in the other unit it is an ordinary one. [K]"""

LONGEST_NOTE = 20_000
"""Letters of a note that a batch can hold."""

Reading = Entry


_KINDS: tuple[ReadingKind | EventKind, ...] = (*READINGS, *EVENTS.values())
KIND_WORDS = {"": "as typed", **{kind.key: kind.word for kind in _KINDS}, "check": "instrument checked"}
"""What may be entered, in the order of choice, and what each is called."""

_FIRST_WORDS = {word: kind.key for kind in _KINDS for word in kind.first} | {
    "check": "check", "checked": "check", "temperature": "warmth", "pasteurised": "pasteurised", "pasteurized": "pasteurised",
    "warmed": "changed", "cooled": "changed", "heated": "changed", "chilled": "changed",
}  # fmt: skip
_IN_WORDS = ("taste", "note", "racking", "stirring", "stabilised", "pasteurised", "pitch")
"""What is told in words, of which there may be many."""

_WORD = re.compile(r"\s*([^\W\d_]+)\b\s*[:,]?\s*(.*)", re.DOTALL)
_BELOW = re.compile(r"\s*(?:<|≤|below\b|under\b|less than\b)\s*(.*)", re.IGNORECASE | re.DOTALL)
_DOUBT = re.compile(r"(.*?)\s*(?:±|\+/-|\+-|\+/−)\s*(.*)", re.DOTALL)
_CONCENTRATION = re.compile(r"\d\s*[^\W\d_]+\.?\s*(?:/|per\b|p)\s*[^\W\d_]", re.IGNORECASE)
_PH = re.compile(r"\s*(?:ph\b.*|.*\d\s*ph)\s*", re.IGNORECASE | re.DOTALL)
_BX = re.compile(r".*\d\s*°?\s*(?:bx|brix)\.?\s*", re.IGNORECASE | re.DOTALL)
_LIKE_GRAVITY = re.compile(r"\s*(?:1[.,]\d{3}|0[.,]9\d\d)\s*")
_STEMS = "|".join(word for kind in READINGS if kind.key in GRAVITIES for word in kind.first)
_CHECKED = re.compile(
    rf"\s*(?:({_STEMS})\s*[:,]?\s+)?(.+?)\s+in\s+(?:(water)|(?:a\s+)?(?:gravity\s+of\s+)?(.+?))\s*",
    re.IGNORECASE | re.DOTALL,
)
_SHARE = re.compile(r".*\d\s*%\s*", re.DOTALL)
_UNIT = re.compile(r".*?\d[\d.,'\s]*\s*(°?\s*[^\W\d_]+(?:\s[^\W\d_]+)?)\s*$", re.DOTALL)


def read_value(text: str, display: Display, kind: str = "", names: Names = NO_NAMES) -> Entry:
    """Read what was measured or done; without its moment.

    Parameters
    ----------
    text : str
        What the person typed.
    display : Display
        The reader's habits: with gravity in °Brix, "20 °Bx" is off the stem of a hydrometer; else off a refractometer.
    kind : str
        One of `KIND_WORDS`: what a bare figure is meant as; the text itself may say otherwise.
    names : Names
        What nutrients and additives are called.

    Returns
    -------
    Entry
        One without moment, to be completed by `reading_of`.

    Raises
    ------
    EntryError
        If the text is nothing that a log holds.
    """
    word = _WORD.fullmatch(text)
    found = _FIRST_WORDS.get(word[1].casefold()) if word else None
    meant = kind if kind in ("taste", "note") else found or kind
    if len(text) > LONGEST and meant not in _IN_WORDS and (meant != "bottled" or FIGURE.search(text)):
        raise EntryError(
            f"“{text.strip()[:30]}…” is too long for a reading. Put words into the note, or begin them with note."
        )
    if found == "sugar" and word is not None and plain_addition(text, display, names) is not None:
        found = None  # “sugar 500 g” is not a test
    if found is not None and word is not None and kind not in ("taste", "note"):
        return _READERS[found](word[2], display, names)
    addition = plain_addition(text, display, names) if kind == "" else None
    if addition is not None:
        return addition
    chosen = kind or _kind_of(text, display)
    return _READERS[chosen](text, display, names)


def _kind_of(text: str, display: Display) -> str:
    """The kind that a text without its word is of."""
    if not text.strip():
        raise EntryError("Enter a gravity such as 1.050, a test such as 12 g/L or pH 3.4, or what was done: racked.")
    if not FIGURE.search(text) and not _BELOW.fullmatch(text):
        raise EntryError(
            f"“{text.strip()}” could not be read. Enter a gravity such as {display.gravity(1.05)}, or a test such as 12 g/L, TA 6 g/L or pH {display.number(3.4, 1)}. Or enter what was done: racked, stirred, fed 5 g. Mere words are a note."
        )
    main = text.split("±")[0]
    if _BELOW.fullmatch(text) or _CONCENTRATION.search(main):
        return "sugar"
    if _PH.fullmatch(main):
        return "ph"
    if _SHARE.fullmatch(main):
        raise EntryError(
            f"“{text.strip()}”: of what? For a sugar test choose “sugar test”, or write g/L: 2 % are 20 g/L."
        )
    if _BX.fullmatch(main):
        return "hydrometer" if display.gravity_scale == GravityScale.BRIX else "refractometer"
    if is_room(text, display):
        return "volume"
    named = next((one for one in amounts_with_rest(text, display) if one[2][:1].isalpha()), None)
    if named is not None:
        raise EntryError(
            f"“{named[2]}” is none of those known here. Add it under Batch > My ingredients, or begin the words with note."
            if named[1].kind == Kind.MASS
            else f"“{named[2]}” is not poured into a must here. Enter its mass, such as dosed 50 g {named[2]}."
        )
    match = _UNIT.fullmatch(main)
    unit = find_unit(match[1]) if match else None
    if unit is not None and unit.kind == Kind.TEMPERATURE:
        return "temperature"
    if unit is not None and unit.kind == Kind.VOLUME:
        room = re.sub(r"^\D+", "", text.strip())
        raise EntryError(
            f"“{text.strip()}” is a volume. Enter volume {room} for what there is, racked {room}, or added {room} apple juice."
        )
    if unit is not None and unit.kind == Kind.MASS:
        if main.lstrip()[0] not in "-−–":
            raise EntryError(
                f"“{text.strip()}” is a mass. Write −{text.strip()} for weight lost since pitching, "
                f"fed {text.strip()} for a feed, or added {text.strip()} honey."
            )
        return "weight"
    return "hydrometer"


def _parted(text: str) -> tuple[str, str]:
    """A figure and the half width behind it; an empty one where there is none."""
    match = _DOUBT.fullmatch(text)
    return (match[1], match[2]) if match else (text, "")


def _gravity(text: str, display: Display) -> tuple[float, float | None]:
    main, doubt = _parted(text)
    gravity = read_gravity(main, display.locale, display.gravity_scale)
    if not doubt.strip():
        return gravity, None
    on_brix = bool(_BX.fullmatch(doubt)) or (
        display.gravity_scale == GravityScale.BRIX and not re.match(r"\s*0[.,]00", doubt)
    )
    width = read_number(re.sub(r"(?i)°?\s*(?:bx|brix)\.?\s*$", "", doubt), display.locale)
    if on_brix:
        width = float(gravity_from_brix(brix_from_gravity(gravity) + width)) - gravity
    if width > 0.5:
        raise EntryError(f"“± {doubt.strip()}” is too wide for a gravity; half a line of the stem is ± 0.001.")
    return gravity, width


def _gravity_of(kind: ReadingKind) -> Callable[[str, Display, Names], Entry]:
    """The reader of an instrument that shows a gravity."""

    def read(text: str, display: Display, _names: Names) -> Entry:
        gravity, doubt = _gravity(text, display)
        made: Entry = kind.made(gravity=gravity, doubt=doubt)
        return made

    return read


def _check(text: str, display: Display, names: Names) -> Entry:
    """What follows "check": an instrument in water, or in a liquid whose gravity is known."""
    match = _CHECKED.fullmatch(text)
    if match is None:
        one, other = display.gravity(1.001), display.gravity(1.05)
        raise EntryError(f"Enter what it shows and in what, such as check {one} in water, or check {one} in {other}.")
    sensor, shown, water, known = match.groups()
    entry = _READERS[_FIRST_WORDS[(sensor or "hydrometer").casefold()]](shown, display, names)
    true = 1.0 if water else read_gravity(known, display.locale, display.gravity_scale)
    return msgspec.structs.replace(entry, known=true)


def _refractometer(text: str, display: Display, _names: Names) -> Entry:
    main, doubt = _parted(text)
    bare, half = (re.sub(r"(?i)°?\s*(?:bx|brix)\.?\s*$", "", part) for part in (main, doubt))
    if bare == main and re.fullmatch(r"\s*1[.,]\d{3,12}\s*|\s*1\d{3}\s*", bare):
        brix = float(
            brix_from_gravity(read_gravity(bare, display.locale))
        )  # it has a scale of gravity beside the other
    else:
        brix = read_number(_with_point(bare, display), display.locale, negative=True)
    if not BRIX[0] <= brix <= BRIX[1]:
        raise EntryError(f"“{text.strip()}”: a refractometer shows {BRIX[0]:g} to {BRIX[1]:g} °Bx, such as 20.5 °Bx.")
    return RefractometerReading(brix=brix, doubt=read_number(half, display.locale) if half.strip() else None)


def _weight(text: str, display: Display, _names: Names) -> Entry:
    main, doubt = _parted(text)
    unit = "oz" if display.system == System.US else "kg"
    # The sign means the loss as a whole, of 2 lb 4 oz too.
    lost = read_quantity(main.strip().lstrip("-−–"), Kind.MASS, unit, display.locale)
    half = read_quantity(doubt, Kind.MASS, unit, display.locale) if doubt.strip() else None
    return WeightReading(lost=lost, doubt=half)


_DECIMALS = re.compile(r"(?<![\d.,])(\d{1,2})[.,](\d{1,12})(?![\d.,])")
"""A number of two figures with decimals, by either sign: where there are no thousands, both can only mean that."""


def _with_point(text: str, display: Display) -> str:
    """A temperature, a pH or °Brix with the decimal sign that is written here."""
    return _DECIMALS.sub(rf"\g<1>{display.locale.decimalPoint()}\g<2>", text)


_OF_ACID = {"%": 10.0}
_OF_SUGAR = {"mg/dl": 0.01, "mg per dl": 0.01, "mmol/l": GLUCOSE, "mmol per l": GLUCOSE, "%": 10.0}
"""Units of tests for them, besides those of any concentration. [kg/m^3] Per cent is grams in 100 mL, as test strips have it
(common practice, no source)."""


def _concentration(
    text: str, display: Display, called: str = "sugar test", units: Mapping[str, float] = _OF_SUGAR
) -> float:
    """What a test found, in a unit of any such test. [kg/m^3]"""
    parts = list(amounts(text, display.locale, f"Enter a {called} such as {'12' if units is _OF_SUGAR else '6'} g/L."))
    unit = " ".join(parts[0].unit.casefold().replace(" /", "/").replace("/ ", "/").split())
    if len(parts) == 1 and unit in units:
        if parts[0].number < 0.0:
            raise EntryError(f"“{text.strip()}”: a {called} cannot be negative.")
        return parts[0].number * units[unit]
    if unit and len(parts) == 1 and find_unit(parts[0].unit) is None:
        listed = ", ".join(known.symbol for known in units_of(Kind.CONCENTRATION))
        more = "mg/dL, mmol/L (of glucose) and %" if units is _OF_SUGAR else "%"
        raise EntryError(
            f"“{text.strip()}”: “{parts[0].unit}” is not a unit of a {called}. Accepted are {listed}, {more} (grams in 100 mL)."
        )
    return read_quantity(text, Kind.CONCENTRATION, "g/L", display.locale)


def _sugar(text: str, display: Display, _names: Names) -> Entry:
    text = re.sub(r"(?i)^\s*test\b\s*[:,]?", "", text)
    match = _BELOW.fullmatch(text)
    main, doubt = _parted(match[1] if match else text)
    if _LIKE_GRAVITY.fullmatch(main):
        raise EntryError(
            f"“{main.strip()}” reads like a gravity. For a sugar test write {main.strip()} g/L; for a gravity choose “as typed”."
        )
    sugar, half = (_concentration(part, display) if part.strip() else None for part in (main, doubt))
    if sugar is None:
        raise EntryError(
            "Enter a sugar test such as 12 g/L. Enter < 2 g/L where it shows no more than its lowest mark."
        )
    if sugar > MOST_SUGAR:
        raise EntryError(f"“{text.strip()}” is more sugar than a litre can hold; up to 1000 g/L is accepted.")
    return SugarReading(sugar=sugar, below=match is not None, doubt=half)


def _ph(text: str, display: Display, _names: Names) -> Entry:
    main, doubt = (re.sub(r"(?i)\bph\b|(?<=\d)\s*ph", "", part) for part in _parted(text))
    ph = read_number(_with_point(main, display), display.locale)
    if not 0.0 <= ph <= 14.0:
        raise EntryError(f"“{text.strip()}” is not a pH of a must, which lies between about 2.8 and 4.2.")
    return AcidityReading(ph=ph, doubt=read_number(doubt, display.locale) if doubt.strip() else None)


def _acid(text: str, display: Display, _names: Names) -> Entry:
    text = re.sub(r"(?i)^\s*(?:acid(?:ity)?|ta)?\b\s*[:,]?", "", text)
    text = re.sub(r"(?i)\s*,?\s*as tartaric(?: acid)?\s*$", "", text)
    main, doubt = _parted(text)
    acid, half = (
        _concentration(part, display, "titratable acid", _OF_ACID) if part.strip() else None for part in (main, doubt)
    )
    if acid is None:
        raise EntryError("Enter the titratable acid, counted as tartaric, such as 6 g/L.")
    if acid > MOST_ACID:
        raise EntryError(f"“{text.strip()}” is more acid than a must can hold; up to {MOST_ACID:.0f} g/L is accepted.")
    return TitrationReading(acid=acid, doubt=half)


def _temperature(text: str, display: Display, _names: Names) -> Entry:
    kelvin = read_temperature(text, display)
    if kelvin is None:
        raise EntryError(f"Enter a temperature such as {display.temperature(291.15)}.")
    return WarmthReading(temperature=kelvin)


def _warmth(text: str, display: Display, names: Names) -> Entry:
    """What follows "temperature": a reading, or what it was set to."""
    word = _WORD.fullmatch(text)
    return _set(word[2], display, names) if word and word[1].casefold() == "set" else _temperature(text, display, names)


def _pasteurised(text: str, _display: Display, _names: Names) -> Entry:
    return Event(what=What.STABILISED, note=" ".join(("pasteurised", text.strip())).strip())


def _taste(text: str, _display: Display, _names: Names) -> Entry:
    return TasteReading(note=text.strip())


def _set(text: str, display: Display, _names: Names) -> Entry:
    kelvin = read_temperature(re.sub(r"(?i)^\s*to\b", "", text), display)
    if kelvin is None:
        raise EntryError(f"Enter the new temperature, such as set to {_cool(display)}.")
    return Event(what=What.TEMPERATURE, temperature=kelvin)


def _cool(display: Display) -> str:
    """An example of a temperature."""
    return "61 °F" if display.system == System.US else "16 °C"


def _changed(text: str, display: Display, names: Names) -> Entry:
    """What follows "warmed" or "cooled", where only "to" tells a temperature from a difference."""
    if text.strip() and not re.match(r"(?i)\s*to\b", text):
        raise EntryError(
            f"“{text.strip()}”: to that temperature, or by so much? Enter the temperature after the change, such as cooled to {_cool(display)}."
        )
    return _set(text, display, names)


def _done(what: What) -> Callable[[str, Display, Names], Entry]:
    """The reader of something that is done without a figure; further words are its note."""

    def read(text: str, _display: Display, _names: Names) -> Entry:
        return Event(what=what, note=text.strip())

    return read


_READERS: dict[str, Callable[[str, Display, Names], Entry]] = {
    **{kind.key: _gravity_of(kind) for kind in READINGS if kind.field == "gravity"},
    **{EVENTS[what].key: _done(what) for what in (What.STIRRING, What.STABILISED, What.PITCH, What.NOTE)},
    "refractometer": _refractometer, "check": _check, "sugar": _sugar, "weight": _weight, "ph": _ph, "acid": _acid,
    "temperature": _temperature, "volume": read_volume, "taste": _taste, "feed": read_feed, "added": read_addition, "dose": read_dose,
    "racking": read_racking, "set": _set, "changed": _changed, "bottled": read_bottling, "pasteurised": _pasteurised, "warmth": _warmth,
}  # fmt: skip


def read_temperature(text: str, display: Display) -> float | None:
    """Read the temperature of a sample; None for an empty text. [K]

    Raises
    ------
    EntryError
        If the text is no temperature, or one that no sample has.
    """
    if not text.strip():
        return None
    unit = "degF" if display.system == System.US else "degC"
    text = _with_point(text, display)
    kelvin = read_quantity(text, Kind.TEMPERATURE, unit, display.locale)
    low, high = SAMPLE
    bare = text.strip().lstrip("-−").replace(",", "").replace(".", "").isdecimal()
    here, other = ("°F", "°C") if unit == "degF" else ("°C", "°F")
    unlikely = bare and (FREEZING - kelvin if unit == "degF" else kelvin - HOT) > 0.0
    if not low <= kelvin <= high:
        between = f"{display.temperature(low)} to {display.temperature(high)}"
        hint = f" If you mean {other}, enter {text.strip()} {other}." if unlikely else ""
        raise EntryError(f"“{text.strip()}” is out of range: samples are accepted from {between}.{hint}")
    if unlikely:
        raise EntryError(f"“{text.strip()}”: in which unit? Enter {text.strip()} {other} or {text.strip()} {here}.")
    return kelvin


def kind_of(entry: Entry) -> str:
    """Which of `KIND_WORDS` an entry is."""
    if isinstance(entry, Event):
        return EVENTS[entry.what].key
    return "check" if getattr(entry, "known", None) is not None else OF_CLASS[type(entry)].key


def reading_of(
    value: Entry, when: When, temperature: float | None = None, note: str = "", instrument: str = ""
) -> Entry:
    """An entry for the log from what was read, with its moment and what else was typed; `temperature` in kelvin."""
    warm = {} if value.temperature is not None else {"temperature": temperature}
    notes = "; ".join(part for part in (value.note, note) if part)
    return msgspec.structs.replace(value, at=when.at, day=when.day, note=notes, instrument=instrument, **warm)


def with_value(batch: Batch, index: int, value: Entry) -> Batch:
    """The batch with one entry of the log read anew, be it as another kind.

    Raises
    ------
    planner.document.edits.EditRefused
        The value is beyond what a file can hold.
    """
    before = batch.log.readings[index]
    after = reading_of(value, When(before.at, before.day), before.temperature, "", before.instrument)
    note = value.note or before.note
    return edits.replace_reading(batch, index, msgspec.structs.replace(after, note=note, excluded=before.excluded))


def without(batch: Batch, indices: list[int]) -> Batch:
    """The batch without some readings of its log."""
    gone = set(indices)
    kept = tuple(reading for index, reading in enumerate(batch.log.readings) if index not in gone)
    return edits.change_log(batch, readings=kept)
