"""How far a figure can be trusted."""

from __future__ import annotations

from enum import StrEnum


class Status(StrEnum):
    """What stands behind a figure, from firm to loose."""

    VERIFIED = "verified"
    ONE_SOURCE = "one-source"
    MEMORY = "memory"
    ESTIMATE = "estimate"
    OWN = "own"
    """Entered by the person who uses the program; no table of the program says so."""

    @property
    def label(self) -> str:
        """The status in words for users."""
        return _LABELS[self]


_LABELS = {
    Status.VERIFIED: "checked in two places or in an official table",
    Status.ONE_SOURCE: "from one published source",
    Status.MEMORY: "no source, from general knowledge",
    Status.ESTIMATE: "an estimate of this project",
    Status.OWN: "your own value, entered by you",
}
