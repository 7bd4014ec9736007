"""A paper as plain data: what is said, in which order and in which part, and nothing of how it looks.

Whoever has something to print makes a `Paper` of these nodes; `html.py` and `pages.py` show any of them. A text may be
`Words`, whose figures are shown in the reader's units when the paper is, or a `Measure`; a plain text is shown as it is.
"""

from __future__ import annotations

from typing import Literal, Protocol, TypeVar

import msgspec

from planner.model.span import Span
from planner.units import Kind
from planner.wording.phrases import Words


class Measure(msgspec.Struct, frozen=True):
    """A number with its range.

    Attributes
    ----------
    span : Span
        Low, typical and high. [SI unit of the kind]
    kind : Kind
        What it is a number of.
    unit : str or None
        Key of the unit; None for the one in which it has a handy size.
    after : str
        What follows a plain number, such as its unit.
    """

    span: Span
    kind: Kind
    unit: str | None = None
    after: str = ""


Text = str | Words | Measure
Tone = Literal["", "lead", "next", "small", "danger"]


class Reader(Protocol):
    """How one person reads numbers."""

    def words(self, words: Words) -> str:
        """A sentence with its figures in their units."""

    def measure(self, measure: Measure) -> str:
        """A number with its range."""


LANGUAGE, REGION = "en", "GB"
"""What papers are written in: ISO 639-1 and ISO 3166-1."""


class Paragraph(msgspec.Struct, frozen=True, tag="paragraph"):
    """Some sentences. `tone` tells what they are: the verdict, what comes next, what stands in small letters, or a danger."""

    text: Text
    tone: Tone = ""


class Listing(msgspec.Struct, frozen=True, tag="listing"):
    """Sentences one below the other, numbered where their order matters."""

    items: tuple[Text, ...]
    numbered: bool = False


class Row(msgspec.Struct, frozen=True):
    """A row of a table. `done` gives it a box: with a tick, or empty for a pencil."""

    cells: tuple[Text, ...]
    done: bool | None = None


class Table(msgspec.Struct, frozen=True, tag="table"):
    """Rows under headings; all of one length.

    Attributes
    ----------
    head : tuple of Text
        A heading for each column; empty for a list of pairs or amounts, whose first cells are headings of their rows.
    rows : tuple of Row
        What is known.
    widths : tuple of float
        Parts of the width for each column; 0 for as much as its longest word or figure needs. [-]
    right : tuple of int
        Columns of figures, which end at the right.
    blank : int
        Empty ruled lines after them, with room for a pencil.
    fills : bool
        Whether such lines go on to the end of the page.
    """

    head: tuple[Text, ...]
    rows: tuple[Row, ...] = ()
    widths: tuple[float, ...] = ()
    right: tuple[int, ...] = ()
    blank: int = 0
    fills: bool = False


class Scales(msgspec.Struct, frozen=True, tag="scales"):
    """Unbroken lines to set a mark on: what is judged, and what either end means."""

    rows: tuple[tuple[Text, Text, Text], ...]


class Picture(msgspec.Struct, frozen=True, tag="picture"):
    """A drawing as scalable vector graphics, and what it shows for those who do not see it."""

    svg: str
    alt: Text


class Beside(msgspec.Struct, frozen=True, tag="beside"):
    """Two stacks of blocks side by side."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]


class Card(msgspec.Struct, frozen=True, tag="card"):
    """Labels to cut out, all alike: the name on each, the lines below it, and how many there are."""

    title: Text
    lines: tuple[Text, ...]
    count: int = 1


class Link(msgspec.Struct, frozen=True, tag="link"):
    """A citation, and where to read it."""

    text: Text
    to: str


class Section(msgspec.Struct, frozen=True, tag="section"):
    """Blocks under a heading, or under headings of their own; on a new page where that is told, and in so many columns."""

    title: Text
    blocks: tuple[Block, ...]
    new_page: bool = False
    columns: int = 1


Block = Paragraph | Listing | Table | Scales | Picture | Beside | Card | Link | Section


class Paper(msgspec.Struct, frozen=True):
    """All that is printed of one thing.

    Attributes
    ----------
    title : str
        What it is called.
    about : Text
        One line under the title.
    blocks : tuple of Block
        What stands in it.
    """

    title: str
    about: Text
    blocks: tuple[Block, ...]


_Node = TypeVar("_Node")


def shown(node: _Node, reader: Reader) -> _Node:
    """The same tree with every text as the reader gets to see it.

    Parameters
    ----------
    node : Paper, or a part of one
        With texts that are not yet in anybody's units. [-]
    """
    if isinstance(node, Words):
        return reader.words(node)  # type: ignore[return-value]
    if isinstance(node, Measure):
        return reader.measure(node)  # type: ignore[return-value]
    if isinstance(node, tuple):
        return tuple(shown(part, reader) for part in node)  # type: ignore[return-value]
    if isinstance(node, msgspec.Struct):
        parts = {name: shown(getattr(node, name), reader) for name in node.__struct_fields__}
        return msgspec.structs.replace(node, **parts)
    return node
