"""The lines of a tasting sheet, in the order of all handbooks: sight, odour, taste, mouth, after, whole.

Intensities stand on unbroken lines (ISO 4121:2003, scope); the words follow the general use of ISO 5492:2008. No points are
added up: a sum of unlike lines has no meaning.
"""

from __future__ import annotations

import msgspec

_NONE, _MUCH = "none", "very strong"


class Line(msgspec.Struct, frozen=True):
    """One line of the sheet.

    Attributes
    ----------
    key, name : str
        What is judged.
    low, high : str
        What either end means.
    is_fitted : bool
        Whether it is also asked if that is just right.
    """

    key: str
    name: str
    low: str = _NONE
    high: str = _MUCH
    is_fitted: bool = False


SHEET: tuple[tuple[str, tuple[Line, ...]], ...] = (
    ("Sight", (
        Line("clarity", "Clarity", "cloudy", "brilliant"), Line("colour", "Depth of colour", "pale", "deep"),
        Line("bubbles", "Bubbles", _NONE, "many"),
    )),
    ("Odour", (
        Line("odour", "Strength"), Line("honey", "Honey"), Line("fruit", "Fruit"), Line("flowers", "Flowers"),
        Line("yeast", "Yeast, bread"), Line("spice", "Spice, wood"),
    )),
    ("Taste", (
        Line("sweet", "Sweet", is_fitted=True), Line("sour", "Sour", is_fitted=True), Line("bitter", "Bitter"),
    )),
    ("Mouth", (
        Line("body", "Body", "thin", "syrupy", is_fitted=True), Line("drying", "Drying", is_fitted=True),
        Line("warming", "Warming", is_fitted=True),
    )),
    ("Whole", (
        Line("length", "Length", "short", "long"), Line("balance", "Balance", "poor", "perfect"),
        Line("liking", "Liking", "not at all", "very much"),
    )),
)  # fmt: skip
"""What is judged."""

FAULTS = tuple(
    Line(key, name, "absent", "clear") for key, name in (
        ("vinegar", "Vinegar"), ("solvent", "Solvent, glue"), ("struck-match", "Struck match"), ("rotten-egg", "Rotten egg"),
        ("sherry", "Sherry"), ("cardboard", "Wet cardboard"), ("geranium", "Geranium leaf"),
    )
)  # fmt: skip
"""Smells that a good mead does not have: absent, a trace, or clear."""

DEGREES = {0.0: "absent", 5.0: "a trace", 10.0: "clear"}
"""What is marked of them, of ten."""

FITS = {-2: "much too little", -1: "too little", 0: "just right", 1: "too much", 2: "much too much"}
"""Answers to whether something is just right. They mix strength with liking and pull to the middle: ASTM MNL63 (2009)."""

LINES = {line.key: line for _, lines in SHEET for line in lines} | {line.key: line for line in FAULTS}
"""All lines by their keys."""

AGEING = ("sweet", "sour", "body", "drying", "warming", "length", "liking")
"""Lines that are drawn over the time in the bottle."""
