"""Papers as web pages: valid by the parser of the HTML standard, whole, and standing alone."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from itertools import pairwise

import html5lib
import msgspec
import pytest
from example_batches import full, worked_out
from test_pages import HOSTILE, SAMPLES, bare, texts

from planner.library import evaluate, open_batch
from planner.papers.tree import shown
from planner.papers.typeset import Sheet
from planner.ui.display import Display
from planner.ui.papers.making import Document, Kind, document_for
from planner.ui.papers.reader import InUnits
from planner.units import GravityScale, System

HTML = "{http://www.w3.org/1999/xhtml}"
READERS = [Display(), Display(System.US, GravityScale.BRIX)]


@cache
def made(name: str, display: Display) -> tuple[Document, str]:
    document = document_for([evaluate(open_batch(name))], display)
    return document, document.written(Kind.HTML, Sheet.A4).decode("utf-8")


def parsed(page: str):
    """The tree of a page; any error of the standard's parser is raised."""
    return html5lib.HTMLParser(strict=True).parse(page)


every = pytest.mark.parametrize(
    ("name", "display"),
    [(name, display) for name in SAMPLES for display in READERS],
    ids=lambda value: getattr(value, "system", value),
)


@every
def test_that_it_is_valid(name, display):
    tree = parsed(made(name, display)[1])
    assert tree.get("lang") == "en-GB"
    ids = Counter(one.get("id") for one in tree.iter() if one.get("id"))
    assert not [name for name, times in ids.items() if times > 1]
    assert all(picture.get("alt") for picture in tree.iter(f"{HTML}img"))
    assert all(box.get("aria-label") for box in tree.iter(f"{HTML}input"))
    levels = [
        int(one.tag[-1])
        for one in tree.iter()
        if isinstance(one.tag, str) and re.fullmatch(rf"{re.escape(HTML)}h\d", one.tag)
    ]
    assert levels[0] == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))


@every
def test_that_every_word_is_in_it(name, display):
    document, page = made(name, display)
    found = bare("".join(parsed(page).itertext()))
    (paper,) = document.papers
    told = texts(shown(paper, InUnits(display)))
    assert not [text for text in told for line in text.split("\n") if bare(line) not in found]


@every
def test_that_nothing_has_to_be_loaded_for_it(name, display):
    page = made(name, display)[1]
    tree = parsed(page)
    assert not [one for tag in ("script", "link", "iframe", "object") for one in tree.iter(f"{HTML}{tag}")]
    assert all(picture.get("src").startswith("data:image/svg+xml") for picture in tree.iter(f"{HTML}img"))
    assert "url(" not in page
    assert "@import" not in page


@pytest.mark.parametrize("name", HOSTILE)
def test_that_nothing_in_a_name_is_taken_for_a_tag(name):
    batch = msgspec.structs.replace(full(), name=name, notes=name)
    page = document_for([worked_out(batch)], READERS[0]).written(Kind.HTML, Sheet.A4).decode("utf-8")
    tree = parsed(page)
    assert tree.find(f".//{HTML}h1").text == name
    assert not list(tree.iter(f"{HTML}script"))


def test_that_it_prints_on_the_paper_that_was_asked_for():
    document, _ = made(SAMPLES[0], READERS[0])
    assert "size: letter" in document.written(Kind.HTML, Sheet.LETTER).decode()
    assert "size: A4" in document.written(Kind.HTML, Sheet.A4).decode()
