"""Where figures come from: every citation once, named by key.

Rows of the tables and constants of the model name a source by its key. Where a title could not be read, a description
stands in its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import msgspec

from planner.reference.tables import Row, by_key, read

KINDS: Mapping[str, str] = {
    "standard": "Standards",
    "law": "Laws and regulations",
    "authority": "Authorities",
    "table": "Composition tables",
    "handbook": "Handbooks",
    "paper": "Papers",
    "book": "Books",
    "sheet": "Data sheets and other texts",
    "status": "Where there is no source",
}
"""What a source can be, and what several of a kind are called; "status" marks the three keys that stand for having none."""


class Source(msgspec.Struct, frozen=True):
    """A citation.

    Attributes
    ----------
    key : str
        By which rows name it.
    title : str
        Title, or a description where the title could not be read.
    detail : str
        Who published it, where and when.
    where : str
        Place in it: section, table, or its DOI.
    kind : str
        One of `KINDS`.
    cited_as : str
        How docstrings of the model name it; empty if only rows do, by key.
    """

    key: str
    title: str
    detail: str
    where: str
    kind: str
    cited_as: str = ""

    @property
    def named(self) -> str:
        """Its title, short enough to stand after a sentence."""
        return self.title.lower() if self.kind == "status" else self.title

    @property
    def citation(self) -> str:
        """The citation in one line for users."""
        if self.kind == "status":
            return self.detail
        place = f" ({self.where})" if self.where else ""
        return f"{self.title}. {self.detail.rstrip('.')}{place}."


def read_sources(path: Path) -> Mapping[str, Source]:
    """The sources of `sources.csv` by key.

    Parameters
    ----------
    path : pathlib.Path
        The file.

    Raises
    ------
    TableError
        The file cannot be read, or a row is incomplete or of an unknown kind.
    """
    return {key: _source(row) for key, row in by_key(read(path)).items()}


def _source(row: Row) -> Source:
    return Source(
        key=row.text("key"),
        title=row.text("title"),
        detail=row.text("detail"),
        where=row.cell("where"),
        kind=row.one_of("kind", KINDS),
        cited_as=row.cell("cited_as"),
    )
