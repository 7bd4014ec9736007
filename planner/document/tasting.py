"""What tasters found: notes, marks on a sheet, a photograph, and blind tests between glasses."""

# Annotations are not postponed here: the reader of files asks for all of them, and has to compile each that is a text.
from typing import Annotated, Literal

import msgspec

from planner.document.values import FileName, Key, Moment, Text, Value, named

Name = Annotated[str, msgspec.Meta(max_length=80)]
Sample = Annotated[int, msgspec.Meta(ge=0, le=5)]
"""Place of a glass among those of a test. [-]"""

Code = Annotated[int, msgspec.Meta(ge=100, le=999)]
"""Three figures on a glass, which say nothing of what is in it. [-]"""

FEWEST_SAMPLES, MOST_SAMPLES = 2, 6
"""Glasses that are told apart in one test. [-] More tire the tongue."""


class Mark(Value, frozen=True, kw_only=True):
    """What a taster found on one line of the sheet."""

    line: Key
    """See `planner.tasting.sheet`; one that is not known there is kept."""
    value: Annotated[float, msgspec.Meta(ge=0.0, le=10.0, title="How strong, of ten")] | None = named("of_10", None)
    """On an unbroken line from one end to the other."""
    fit: Annotated[int, msgspec.Meta(ge=-2, le=2)] | None = named("just_right_0", None)
    """-2 much too little, 0 just right, 2 much too much."""


class Tasting(Value, frozen=True, kw_only=True):
    """What it tasted like on a day."""

    note: Text
    at: Moment | None = None
    taster: Name = ""
    marks: tuple[Mark, ...] = ()
    photograph: FileName | None = named("photograph_file", None)
    """Beside the file of the batch."""

    @property
    def is_empty(self) -> bool:
        """Whether nothing was found."""
        return not (self.note.strip() or self.marks or self.photograph)

    def mark(self, line: str) -> Mark | None:
        """What was found on a line of the sheet."""
        return next((mark for mark in self.marks if mark.line == line), None)


def last_mark(tastings: tuple[Tasting, ...], line: str) -> float | None:
    """What was marked last on a line of the sheet; None where it never was. [of 10]"""
    found = (mark.value for one in reversed(tastings) if (mark := one.mark(line)) is not None)
    return next((value for value in found if value is not None), None)


class Serving(Value, frozen=True, kw_only=True):
    """Glasses put before one taster: what they hold, in the order in which they stand, and what was answered."""

    taster: Name = ""
    samples: Annotated[tuple[Sample, ...], msgspec.Meta(min_length=2, max_length=MOST_SAMPLES)]
    codes: Annotated[tuple[Code, ...], msgspec.Meta(min_length=2, max_length=MOST_SAMPLES)]
    answer: Annotated[tuple[Sample, ...], msgspec.Meta(max_length=MOST_SAMPLES)] = ()
    """Places of the glasses: the odd one, the chosen one, or all from the first to the last rank. Empty until it is given."""

    def __post_init__(self) -> None:
        if len(self.samples) != len(self.codes) or len(set(self.codes)) != len(self.codes):
            raise ValueError("each glass of a serving has one code, and no two have the same")
        if any(place >= len(self.samples) for place in self.answer) or len(set(self.answer)) != len(self.answer):
            raise ValueError("an answer names glasses of its serving, each once")


class BlindTest(Value, frozen=True, kw_only=True):
    """A small test between glasses whose contents the tasters do not know.

    `triangle`: three glasses, two alike; which is the odd one? `paired`: which of two has more of something, where the second
    sample truly has? `preference`: which of two is liked better? `ranking`: all glasses from the best down.
    """

    kind: Literal["triangle", "paired", "preference", "ranking"]
    question: Text = ""
    samples: Annotated[tuple[Name, ...], msgspec.Meta(min_length=FEWEST_SAMPLES, max_length=MOST_SAMPLES)]
    """What is in the glasses."""
    servings: tuple[Serving, ...] = ()
    at: Moment | None = None

    def __post_init__(self) -> None:
        if self.kind != "ranking" and len(self.samples) != FEWEST_SAMPLES:
            raise ValueError(f"a {self.kind} test is between two samples")
        if any(sample >= len(self.samples) for serving in self.servings for sample in serving.samples):
            raise ValueError("a serving holds samples of its test")
