"""A batch of the cellar: what is read off its file at once, and how it stands once that is worked out."""

from __future__ import annotations

from array import array
from pathlib import Path

import msgspec

from planner.model.span import Span
from planner.planning.task import Schedule, Task
from planner.wording.finding import Finding
from planner.wording.phrases import Words

Stamp = tuple[int, int, int]
"""What changes whenever a file is written: its time [ns], its size [bytes], and its place on the disk."""


class Sketch(msgspec.Struct, frozen=True, gc=False):
    """A small curve.

    Attributes
    ----------
    expected, read : tuple of array
        Days since pitching and gravities, as expected and as read. [d], [-] In single precision: of a thousand batches all
        are kept.
    """

    expected: tuple[array[float], array[float]]
    read: tuple[array[float], array[float]]


class BatchStatus(msgspec.Struct, frozen=True, gc=False):
    """How a batch stands.

    Attributes
    ----------
    members : int
        Of the ensemble on which it rests; none for the typical case. [-]
    stage : str
        One of `headline.STAGES`.
    sentence, next : Words
        Its headline.
    plan : Schedule
        What is done when, without what was overtaken.
    due : Task or None
        What comes next of it; None where nothing does.
    sketch : Sketch or None
        None where nothing ferments.
    strength, sweetness : Span or None
        Of the mead with all that is to be added. [m^3/m^3], [kg/m^3 as sucrose]
    doubts : tuple of Finding
        The gravest first.
    """

    members: int
    stage: str
    sentence: Words
    next: Words
    plan: Schedule
    due: Task | None
    sketch: Sketch | None
    strength: Span | None
    sweetness: Span | None
    doubts: tuple[Finding, ...]


class Row(msgspec.Struct, frozen=True, gc=False):
    """A file of the cellar.

    Attributes
    ----------
    path : Path
        The file.
    stamp : tuple of int
        Of the file as it was read.
    name : str
        Of the batch; of the file where that is damaged.
    identity : str
        What it is called in calendars.
    fruits : tuple of str
        What they are called, the one with the largest mass first.
    year : int or None
        In which it was pitched, or is to be; None where neither is known. [-]
    stage : str
        One of `headline.STAGES`, as the log alone tells it, until `batch_status` knows better; empty where the file is damaged.
    words : str
        What a search looks through, in small letters.
    trouble : str
        Why it cannot be read, or not be worked out; empty where it can.
    status : BatchStatus or None
        None until it is worked out.
    """

    path: Path
    stamp: Stamp
    name: str
    identity: str = ""
    fruits: tuple[str, ...] = ()
    year: int | None = None
    stage: str = ""
    words: str = ""
    trouble: str = ""
    status: BatchStatus | None = None

    @property
    def is_damaged(self) -> bool:
        """Whether the file cannot be read."""
        return not self.stage
