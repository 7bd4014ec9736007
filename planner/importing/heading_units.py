"""The unit in the heading of a column: which meaning it gives the column, or that it is none that is known here."""

from __future__ import annotations

import re

from planner.importing.mapping import Meaning

_SUGAR = {
    "g/l": Meaning.SUGAR, "kg/m3": Meaning.SUGAR, "g/dm3": Meaning.SUGAR, "mg/ml": Meaning.SUGAR, "gpl": Meaning.SUGAR,
    "g/100ml": Meaning.SUGAR_PERCENT, "g/dl": Meaning.SUGAR_PERCENT, "g%": Meaning.SUGAR_PERCENT, "%": Meaning.SUGAR_PERCENT,
    "%w/v": Meaning.SUGAR_PERCENT, "%m/v": Meaning.SUGAR_PERCENT, "w/v": Meaning.SUGAR_PERCENT, "m/v": Meaning.SUGAR_PERCENT,
    "mg/l": Meaning.SUGAR_MG, "mg/dl": Meaning.SUGAR_MG_DL, "mg/100ml": Meaning.SUGAR_MG_DL, "mmol/l": Meaning.SUGAR_MMOL,
}  # fmt: skip
_ACID = {
    "g/l": Meaning.ACID, "gpl": Meaning.ACID, "g/100ml": Meaning.ACID_PERCENT, "g/dl": Meaning.ACID_PERCENT,
    "g%": Meaning.ACID_PERCENT, "%": Meaning.ACID_PERCENT, "%w/v": Meaning.ACID_PERCENT, "%m/v": Meaning.ACID_PERCENT,
}  # fmt: skip
_WEIGHT = {"kg": Meaning.WEIGHT, "g": Meaning.WEIGHT_G, "lb": Meaning.WEIGHT_LB, "oz": Meaning.WEIGHT_OZ}
_TIME = {"d": Meaning.DAY, "h": Meaning.HOURS, "min": Meaning.MINUTES, "s": Meaning.SECONDS}
_TEMPERATURE = {"c": Meaning.CELSIUS, "f": Meaning.FAHRENHEIT, "k": Meaning.KELVIN}
_BRIX = dict.fromkeys(("bx", "brix", "plato", "balling", "%", "g/100g", "%w/w"), Meaning.REFRACTOMETER)
_GRAVITY = {
    **dict.fromkeys(("sg", "20/20", "20/4", "60/60"), Meaning.GRAVITY),
    **dict.fromkeys(("bx", "brix", "plato", "balling"), Meaning.BRIX),
    **dict.fromkeys(("oe", "oechsle", "points", "point", "pts"), Meaning.POINTS),
    **dict.fromkeys(("g/ml", "g/cm3", "kg/l", "kg/dm3", "kg/m3", "g/l"), Meaning.DENSITY),
}

KNOWN: dict[str, dict[str, Meaning]] = {
    "sugar": _SUGAR, "acid": _ACID, "weight": _WEIGHT, "time": _TIME, "temperature": _TEMPERATURE, "refractometer": _BRIX,
    "gravity": _GRAVITY, "amount": {"kg": Meaning.AMOUNT}, "volume": {"l": Meaning.BOTTLE_SIZE},
}  # fmt: skip
"""For each quantity, the units that are understood and the meaning that each gives a column."""

UNKNOWN: dict[str, frozenset[str]] = {
    "sugar": frozenset(["mg", "ppm", "ppb", "mol", "mmol", "mm"]),
    "acid": frozenset(["mg", "meq", "mval", "mmol", "ppm", "sulphuric", "sulfuric", "h2so4"]),
    "weight": frozenset(["mg", "ug", "t", "st", "ml", "l"]),
    "time": frozenset(["week", "weeks", "wk", "month", "months", "year", "years", "ms"]),
    "temperature": frozenset(["reaumur", "réaumur", "rankine"]),
    "refractometer": frozenset(["nd", "ri", "index"]),
    "gravity": frozenset(["baume", "baumé", "be", "bé", "kmw", "babo", "twaddell", "twaddle", "api"]),
    "amount": frozenset(["g", "mg", "lb", "oz", "ml", "l"]),
    "volume": frozenset(["ml", "cl", "dl", "oz", "gal", "floz"]),
}
"""For each quantity, words of headings that are units or scales which are not understood."""

_ANY = frozenset(unit for units in (*KNOWN.values(), *UNKNOWN.values()) for unit in units)

_SPELT = {
    "litre": "l", "liter": "l", "litres": "l", "liters": "l", "ltr": "l", "gram": "g", "grams": "g", "gramm": "g", "grammes": "g",
    "gr": "g", "kilogram": "kg", "kilograms": "kg", "kilo": "kg", "kilos": "kg", "pound": "lb", "pounds": "lb", "lbs": "lb",
    "ounce": "oz", "ounces": "oz", "percent": "%", "prozent": "%", "cc": "ml", "cm3": "ml", "celsius": "c", "centigrade": "c",
    "fahrenheit": "f", "kelvin": "k", "degc": "c", "degf": "f", "day": "d", "days": "d", "tag": "d", "tage": "d", "hour": "h",
    "hours": "h", "hr": "h", "hrs": "h", "stunden": "h", "minute": "min", "minutes": "min", "mins": "min", "minuten": "min",
    "second": "s", "seconds": "s", "sec": "s", "secs": "s", "sekunden": "s", "per": "/",
}  # fmt: skip
"""Words that stand for the sign of a unit."""
_SIGNS = str.maketrans(
    {"³": "3", "²": "2", "⁻": "-", "¹": "1", "·": " ", "*": " ", "_": " ", "µ": "u", "μ": "u", "°": " "}
)

_AMOUNT, _OF = r"(?:kg|g|mg|ug|mmol|mol|lb|oz)", r"(?:ml|dl|cl|hl|l|kg|g|m3|dm3|gal|qt)"
_RATIO = re.compile(rf"(?<![a-z%]){_AMOUNT} ?[/ ] ?(?:100 ?)?{_OF}(?![a-z])")
_SHARE = re.compile(r"(?:(?:wt|mass|vol|w|m|v|g) ?)?%(?: ?\(?(?:[wmv] ?/ ?[wmv]|vol|wt|mass|abv)\b)?")
_BRACKET = re.compile(r"[\[(]([^\[\]()]*)[\])]")
_LIKE_UNIT = re.compile(r"[a-z]{1,4}/(?:\d+)?[a-z]{1,3}\d?")


def unit_meaning(quantity: str, heading: str) -> tuple[Meaning | None, bool]:
    """What the unit in a heading makes of a column.

    Returns
    -------
    tuple
        The meaning, None where the heading names no unit that is known for that quantity; and whether it names one that
        is not. [-]
    """
    text, known = _plain(heading), KNOWN[quantity]
    marked = [_closed(match[0]) for pattern in (_RATIO, _SHARE) for match in pattern.finditer(text)]
    marked += map(_closed, _BRACKET.findall(text))
    words = re.findall(r"[^\W\d_]+", text)
    meaning = next((known[unit] for unit in (*marked, *words) if unit in known), None)
    return meaning, meaning is None and (any(map(_is_unit, marked)) or not UNKNOWN[quantity].isdisjoint(words))


def _is_unit(text: str) -> bool:
    return text in _ANY or "%" in text or bool(_LIKE_UNIT.fullmatch(text))


def _plain(text: str) -> str:
    """A text in small letters, with one sign for each unit and one slash for each "per"."""
    spaced = re.sub(r"(?<=[a-zà-ÿ])(?=[A-Z][a-zà-ÿ]{2})", " ", text.translate(_SIGNS)).casefold()
    spaced = re.sub(r"\bdeg(?:rees?)? ?(?=[cf]\b)", "", re.sub(r"(?<!\d)\.|\.(?!\d)", " ", spaced))
    spaced = re.sub(r"\b([kcd]?m|[md]?l|k?g) ?-([123])\b", _inverse, spaced.replace("^", ""))
    words = (_SPELT.get(part, part) for part in re.split(r"([^\w%]+)", spaced))
    return " ".join(re.sub(r" ?/+ ?", "/", "".join(words)).split())


def _inverse(match: re.Match[str]) -> str:
    return f"/{match[1]}{match[2].replace('1', '')}"


def _closed(text: str) -> str:
    """A unit without blanks; what a blank parts is a quotient."""
    tight = re.sub(r" ?([/%]) ?", r"\1", text.strip().lstrip("("))
    ratio = re.fullmatch(rf"({_AMOUNT})[ /]((?:100)? ?{_OF})", tight)
    return f"{ratio[1]}/{ratio[2].replace(' ', '')}" if ratio else tight.replace(" ", "").replace("(", "")
