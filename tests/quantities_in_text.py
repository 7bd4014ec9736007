"""What is wrong with the quantities in a text: units of the other system, needless digits, spaces, and what cannot be seen.

Spelling after the SI Brochure, 9th edition, sections 5.4.3 and 5.4.7. In American measures concentrations stay in g/L and
mg/L, viscosities in mPa·s, and less than half an ounce in grams: instruments and scales there are marked so.
"""

from __future__ import annotations

import re

SPACES = re.compile("[\u00a0\u202f\u2009]")
INVISIBLE = re.compile("[\u200b-\u200f\u2060-\u2064\u00ad\ufeff]")

_NUMBER = r"(?<![\w.])\d[\d.]*"
_METRIC = rf"{_NUMBER} ?(?:kg|mL|cL|L|°C|bar|kPa|mm|cm|m)(?![\w/·°])|\b(?:litres?|kilograms?|kilos|°C)\b"
_AMERICAN = rf"{_NUMBER} ?(?:lb|oz|gal|fl oz|°F|psi)(?![\w/])|\b(?:US (?:gal|fl oz|qt|pt|cup)|ounces?|pounds?|gallons?|°F|psi)\b"
FOREIGN = {"us": re.compile(_METRIC), "metric": re.compile(_AMERICAN)}
_GRAMS = re.compile(r"(?<![\w.,/])(\d[\d.]*) g(?![\w/])")
HALF_AN_OUNCE = 14.2
"""[g] NIST Handbook 44, appendix C."""

_UNIT = r"(?:mg/L|g/L|kg|mg|g|mL|L|°C|°F|bar|psi|% vol|%(?! vol)|US gal|US fl oz|oz|lb)(?![\w/])"
NEEDLESS = re.compile(
    rf"(?<![\w.])(?<!to )(?<!\()\d+\.\d*0 {_UNIT}(?! \(| of extract \()|(?<![\w.])[1-9]\d{{3,}} (?:mg/L|g|mL)(?![\w/])"
)
CLOSE = re.compile(rf"\d{_UNIT}")
TWICE = re.compile(rf"(?<![\w.])\d[\d.]* ({_UNIT}) to \d[\d.]* \1(?!\w)")


NEEDLESS_ANYWHERE = re.compile(rf"(?<![\w.])(?<!to )(?<!\()\d+\.\d+0 {_UNIT}(?! \()|(?<![\w.])0\.0+ {_UNIT}")


def faults(text: str, system: str, rounded: bool = True) -> list[str]:
    """What is wrong with a text for readers of "metric" or "us" measures, in words.

    A figure `rounded` by its doubt may end in a nought that the doubt leaves; where the text does not tell, only two
    decimals of which the last is none are taken for needless.
    """
    bare = SPACES.sub(" ", text)
    found = [f"{one!r} cannot be seen" for one in INVISIBLE.findall(bare)]
    found += [f"{match[0]!r} is foreign" for match in FOREIGN[system].finditer(bare)]
    if system == "us":
        found += [f"{match[0]!r} is foreign" for match in _GRAMS.finditer(bare) if float(match[1]) > HALF_AN_OUNCE]
    for why, rule in (
        ("has needless digits", NEEDLESS if rounded else NEEDLESS_ANYWHERE),
        ("lacks a space", CLOSE),
        ("names its unit twice", TWICE),
    ):
        found += [f"{match[0]!r} {why}" for match in rule.finditer(bare)]
    return found
