"""Papers of batches, made ready to be written: their curves drawn, their numbers in a reader's units."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum

import msgspec

from planner.evaluation.outcome import Outcome
from planner.papers.batch_paper import paper_of
from planner.papers.html import html
from planner.papers.tree import Paper
from planner.papers.typeset import Sheet, pdf, pictures
from planner.reference.catalogue import catalogue
from planner.ui.display import Display
from planner.ui.papers.curve import picture
from planner.ui.papers.reader import InUnits
from planner.units import GravityScale, System


class Kind(StrEnum):
    """What papers are written as, by the suffix."""

    PDF = ".pdf"
    HTML = ".html"


class Document(msgspec.Struct, frozen=True):
    """Papers, and who reads them."""

    papers: tuple[Paper, ...]
    display: Display

    def written(self, kind: Kind, sheet: str) -> bytes:
        """The papers as a file for a sheet of that size."""
        reader, size = InUnits(self.display), Sheet(sheet)
        return pdf(self.papers, reader, size) if kind is Kind.PDF else html(self.papers, reader, size).encode()

    def pictured(self, sheet: str, fineness: float) -> list[bytes]:
        """Each page as a PNG of so many dots in an inch. [1/in]"""
        return pictures(self.papers, InUnits(self.display), Sheet(sheet), fineness)


def document_for(outcomes: Iterable[Outcome], display: Display, today: datetime | None = None) -> Document:
    """The papers of batches for one reader."""
    shelf = catalogue()
    papers = (paper_of(outcome, shelf, picture(outcome, shelf, display), today) for outcome in outcomes)
    return Document(tuple(papers), display)


def document(outcomes: Iterable[Outcome], units: str, gravity: str) -> Document:
    """The same for who names units and scale of gravity, and writes numbers as programs do."""
    return document_for(outcomes, Display(System(units), GravityScale(gravity)))
