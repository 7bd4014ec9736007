"""Papers as one web page that stands alone: text, boxes to tick, curves as vectors, and how it is printed."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Callable, Iterable, Sequence
from html import escape
from typing import Any

from planner.papers.tree import (
    LANGUAGE,
    REGION,
    Beside,
    Block,
    Card,
    Link,
    Listing,
    Paper,
    Paragraph,
    Picture,
    Reader,
    Row,
    Scales,
    Section,
    Table,
    shown,
)
from planner.papers.typeset import Sheet, title_of
from planner.reference.shipped import resources

_PAGE_SIZE = {Sheet.A4: "A4", Sheet.LETTER: "letter"}
_DEEPEST = 6


def html(papers: Sequence[Paper], reader: Reader, sheet: Sheet) -> str:
    """The papers as one page of HTML, which nothing has to be loaded for."""
    style = (resources() / "paper.css").read_text(encoding="utf-8").replace("PAGE_SIZE", _PAGE_SIZE[sheet])
    articles = "\n".join(_article(shown(paper, reader)) for paper in papers)
    return (
        f'<!DOCTYPE html>\n<html lang="{LANGUAGE}-{REGION}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_safe(title_of(papers))}</title>\n<style>\n{style}</style>\n</head>\n<body>\n{articles}\n</body>\n</html>\n"
    )


def _safe(text: Any) -> str:
    """A text in which nothing is taken for a tag; signs that no page may hold are left out."""
    kept = "".join(sign for sign in str(text) if sign in "\n\t" or (ord(sign) >= 32 and not 0x7F <= ord(sign) < 0xA0))
    return escape(kept)


def _lines(text: Any) -> str:
    return _safe(text).replace("\n", "<br>")


def _article(paper: Paper) -> str:
    head = f"<h1>{_safe(paper.title)}</h1>\n<p class=about>{_lines(paper.about)}</p>\n"
    return f"<article>\n{head}{_blocks(paper.blocks, 2)}</article>"


def _blocks(blocks: Iterable[Block], level: int) -> str:
    return "".join(_SHOWN[type(block)](block, level) + "\n" for block in blocks)


def _paragraph(node: Paragraph, _: int) -> str:
    tone = f" class={node.tone}" if node.tone else ""
    told = _lines(node.text)
    if node.tone == "danger":  # its first sentence names the danger and the act
        first = re.split(r"[.:] ", str(node.text))[0]
        told = f"<strong>{_lines(first)}</strong>{_lines(str(node.text)[len(first) :])}"
    return f"<p{tone}>{told}</p>"


def _listing(node: Listing, _: int) -> str:
    tag = "ol" if node.numbered else "ul"
    return f"<{tag}>{''.join(f'<li>{_lines(item)}</li>' for item in node.items)}</{tag}>" if node.items else ""


def _table(node: Table, _: int) -> str:
    boxed = any(row.done is not None for row in node.rows)
    count = len(node.head) or (len(node.rows[0].cells) if node.rows else 0)
    head = "".join(f"<th scope=col>{_lines(text)}</th>" for text in node.head)
    if head:
        head = f"<thead><tr>{'<td></td>' if boxed else ''}{head}</tr></thead>"
    looks = [_look(node, place) for place in range(count)]
    rows = "".join(_row(row, boxed, looks) for row in node.rows)
    blank = f"<tr class=blank>{'<td></td>' * (count + boxed)}</tr>" * node.blank
    return f"<table>{head}<tbody>{rows}{blank}</tbody></table>"


def _look(node: Table, place: int) -> str:
    """Whether the cells of a column are as narrow as they can be, and end at the right."""
    names = [
        name
        for name, holds in (("fit", node.widths[place : place + 1] == (0.0,)), ("right", place in node.right))
        if holds
    ]
    return f' class="{" ".join(names)}"' if names else ""


def _row(row: Row, boxed: bool, looks: Sequence[str]) -> str:
    box = ""
    if boxed:
        ticked = " checked" if row.done else ""
        named = _safe(" ".join(str(cell) for cell in row.cells[:2]))
        box = f'<td><input type=checkbox aria-label="{named}"{ticked}></td>' if row.done is not None else "<td></td>"
    cells = (f"<td{look}>{_lines(text)}</td>" for look, text in zip(looks, row.cells, strict=True))
    return f"<tr>{box}{''.join(cells)}</tr>"


def _scales(node: Scales, _: int) -> str:
    rows = (
        f"<tr><th scope=row>{_safe(what)}</th><td>{_safe(low)}</td><td class=scale><hr></td><td>{_safe(high)}</td></tr>"
        for what, low, high in node.rows
    )
    return f"<table class=scales><tbody>{''.join(rows)}</tbody></table>"


def _picture(node: Picture, _: int) -> str:
    # As a picture of its own, the names within it cannot meet those of another.
    data = b64encode(node.svg.encode()).decode()
    return f'<p><img src="data:image/svg+xml;base64,{data}" alt="{_safe(node.alt)}"></p>'


def _beside(node: Beside, level: int) -> str:
    return f"<div class=beside><div>{_blocks(node.left, level)}</div><div>{_blocks(node.right, level)}</div></div>"


def _card(node: Card, _: int) -> str:
    lines = "".join(f"<p>{_lines(line)}</p>" for line in node.lines)
    card = f"<div class=card><p class=name>{_safe(node.title)}</p>{lines}</div>"
    return f"<div class=cards>{card * node.count}</div>"


def _link(node: Link, _: int) -> str:
    return f'<p class=small><a href="{_safe(node.to)}">{_lines(node.text)}</a></p>'


def _section(node: Section, level: int) -> str:
    page = " class=page" if node.new_page else ""
    name = f"h{min(level, _DEEPEST)}"
    blocks = _blocks(node.blocks, level + 1)
    if node.columns > 1:
        blocks = f'<div style="columns: {node.columns}">\n{blocks}</div>\n'
    return f"<section{page}>\n<{name}>{_safe(node.title)}</{name}>\n{blocks}</section>"


_SHOWN: dict[type, Callable[[Any, int], str]] = {
    Paragraph: _paragraph, Listing: _listing, Table: _table, Scales: _scales, Picture: _picture, Beside: _beside,
    Card: _card, Link: _link, Section: _section,
}  # fmt: skip
