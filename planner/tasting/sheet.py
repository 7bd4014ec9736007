"""The lines of a tasting sheet, in the order of all handbooks: sight, odour, taste, mouth, after, whole.

Intensities stand on unbroken lines (ISO 4121:2003, scope); the words follow the general use of ISO 5492:2008. No points are
added up: a sum of unlike lines has no meaning.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from planner.document.tasting import Mark
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

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


def marked(marks: Iterable[Mark]) -> Words:
    """Marks in words, in the order of the sheet, such as "Sweet 3.5 of 10, too little"."""
    order = list(LINES)
    found = sorted(marks, key=lambda mark: order.index(mark.line) if mark.line in LINES else len(order))
    told = [part for mark in found for part in _told(mark)]
    return say(" ".join(f"{part.template}." for part in told), *(figure for part in told for figure in part.figures))


def _told(mark: Mark) -> Iterator[Words]:
    name = LINES[mark.line].name if mark.line in LINES else literal(mark.line)
    is_fault = any(line.key == mark.line for line in FAULTS)
    fit = "" if mark.fit is None else FITS[mark.fit]
    if is_fault and mark.value in DEGREES:
        yield say(f"{name}: {DEGREES[mark.value]}")
    elif mark.value is not None:
        yield say(f"{name} {{}}{', ' if fit else ''}{fit}", phrases.score(mark.value))
    elif fit:
        yield say(f"{name}: {fit}")
