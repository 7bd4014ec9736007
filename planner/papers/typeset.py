"""Papers as typeset pages: PDF with tags, title and language, or a picture of each page.

The tree goes to the typesetter as data, never as markup, so that nothing in a name or note is taken for a command.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from functools import cache
from importlib.util import find_spec
from typing import TYPE_CHECKING, Final

import msgspec

from planner.papers.tree import LANGUAGE, REGION, Paper, Reader, shown
from planner.reference.shipped import resources

if TYPE_CHECKING:
    from typst import Compiler, Fonts


class Sheet(StrEnum):
    """A size of paper."""

    A4 = "a4"
    """210 mm × 297 mm, ISO 216."""
    LETTER = "letter"
    """8.5 in × 11 in, ANSI/ASME Y14.1."""


_TYPESETTER = {Sheet.A4: "a4", Sheet.LETTER: "us-letter"}
_ACCESSIBLE: Final = "ua-1"
"""ISO 14289-1: tags in the order of reading, a title, a language, and words for pictures."""


def title_of(papers: Sequence[Paper]) -> str:
    """What a document of these papers is called. [-]"""
    return papers[0].title if len(papers) == 1 else f"{len(papers)} batches"


def pdf(papers: Sequence[Paper], reader: Reader, sheet: Sheet) -> bytes:
    """The papers as one PDF.

    Returns
    -------
    bytes
        PDF/UA-1; where a sign is in no font of this machine, which that standard forbids, tagged all the same. [-]
    """
    from typst import TypstError

    data = _data(papers, reader, sheet)
    try:
        made = _typesetter().compile(format="pdf", sys_inputs=data, pdf_standards=_ACCESSIBLE)
    except TypstError:
        made = _typesetter().compile(format="pdf", sys_inputs=data)
    assert isinstance(made, bytes)
    return made


def pictures(papers: Sequence[Paper], reader: Reader, sheet: Sheet, fineness: float) -> list[bytes]:
    """Each page as a PNG, as `pdf` has them.

    Parameters
    ----------
    fineness : float
        Dots in an inch. [1/in]
    """
    made = _typesetter().compile(format="png", ppi=fineness, sys_inputs=_data(papers, reader, sheet))
    return made if isinstance(made, list) else [made or b""]


def _data(papers: Sequence[Paper], reader: Reader, sheet: Sheet) -> dict[str, str]:
    """What the typesetter gets to know."""
    data = {
        "title": title_of(papers),
        "language": LANGUAGE,
        "region": REGION.lower(),
        "sheet": _TYPESETTER[sheet],
        "papers": [shown(paper, reader) for paper in papers],
    }
    return {"data": msgspec.json.encode(data).decode()}


def _typesetter() -> Compiler:
    from typst import Compiler

    return Compiler((resources() / "paper.typ").read_bytes(), font_paths=_letters())


@cache
def _letters() -> Fonts:
    """Letters of the typesetter and of this machine, and those that matplotlib brings along: they have signs for boxes.

    They are found without loading matplotlib, which draws nothing here.
    """
    from typst import Fonts

    found = find_spec("matplotlib")
    folders = () if found is None else found.submodule_search_locations or ()
    return Fonts(font_paths=[f"{folder}/mpl-data/fonts/ttf" for folder in folders])
