"""Papers as PDF, read back by two programs that did not make them: pypdf for the structure, PDFium for the letters."""

from __future__ import annotations

import re
from functools import cache
from io import BytesIO

import msgspec
import pypdf
import pypdfium2
import pytest
from example_batches import full, plain, worked_out
from hypothesis import given, settings
from random_batches import batches

from planner.library import evaluate, open_batch
from planner.papers.batch_paper import paper_of
from planner.papers.tree import Paper, Paragraph, Picture, Section, shown
from planner.papers.typeset import Sheet
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.ui.display import Display
from planner.ui.papers.making import Document, Kind, document_for
from planner.ui.papers.reader import InUnits
from planner.units import GravityScale, System

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))
READERS = [Display(), Display(System.US, GravityScale.BRIX)]
SHEETS = list(Sheet)

SIZES = {Sheet.A4: (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0), Sheet.LETTER: (8.5 * 72.0, 11.0 * 72.0)}
"""[pt] ISO 216 and ANSI/ASME Y14.1."""


@cache
def made(name: str, display: Display, sheet: Sheet) -> tuple[Document, bytes]:
    document = document_for([evaluate(open_batch(name))], display)
    return document, document.written(Kind.PDF, sheet)


every = pytest.mark.parametrize(
    ("name", "display", "sheet"),
    [(name, display, sheet) for name in SAMPLES for display, sheet in zip(READERS, SHEETS, strict=True)],
    ids=lambda value: getattr(value, "system", value),
)


def texts(node: object) -> list[str]:
    """Every text of a tree that is shown, but for drawings."""
    if isinstance(node, str):
        return [node] if node.strip() else []
    if isinstance(node, Picture):
        return []
    if isinstance(node, tuple):
        return [text for part in node for text in texts(part)]
    if isinstance(node, msgspec.Struct):
        skipped = ("tone", "to")
        return [text for name in node.__struct_fields__ if name not in skipped for text in texts(getattr(node, name))]
    return []


def bare(text: str) -> str:
    """A text without spaces, and without the hyphens at which lines are broken."""
    return re.sub(r"[\s\u00a0\u2060-]+", "", text)


def read_by_pypdf(data: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(BytesIO(data)).pages]


def read_by_pdfium(data: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(data)
    try:
        return [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()


@every
@pytest.mark.parametrize("read", [read_by_pypdf, read_by_pdfium])
def test_that_every_word_can_be_searched_for(read, name, display, sheet):
    document, data = made(name, display, sheet)
    (paper,) = document.papers
    footer = re.compile(re.escape(bare(paper.title)) + r"\d+of\d+$")
    # PDFium has a sign of its own where a word is broken at the end of a line.
    found = "".join(footer.sub("", bare(page.replace("\ufffe", ""))) for page in read(data))
    told = texts(shown(paper, InUnits(display)))
    assert len(told) > 200
    assert not [text for text in told for line in text.split("\n") if bare(line) not in found]


@every
def test_that_it_has_a_title_a_language_and_tags(name, display, sheet):
    document, data = made(name, display, sheet)
    reader = pypdf.PdfReader(BytesIO(data))
    assert reader.metadata.title == document.papers[0].title
    assert reader.root_object["/Lang"] == "en-GB"
    assert reader.root_object["/MarkInfo"]["/Marked"]
    assert reader.root_object["/ViewerPreferences"]["/DisplayDocTitle"]
    assert (
        b"pdfuaid" in reader.root_object["/Metadata"].get_object().get_data()
    )  # ISO 14289-1, 5: it says that it keeps to it
    kinds = {}

    def walk(node):
        node = node.get_object()
        if isinstance(node, pypdf.generic.DictionaryObject):
            if "/S" in node:
                kinds.setdefault(node["/S"], []).append(node)
            children = node.get("/K", [])
            for child in children if isinstance(children, list) else [children]:
                walk(child)

    walk(reader.root_object["/StructTreeRoot"])
    assert {"/H1", "/H2", "/H3", "/P", "/Table", "/TH", "/L", "/Figure"} <= kinds.keys()
    assert all(figure["/Alt"] for figure in kinds["/Figure"])


@every
def test_that_pages_have_their_size_and_letters_lie_within(name, display, sheet):
    _, data = made(name, display, sheet)
    reader = pypdf.PdfReader(BytesIO(data))
    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    for page in reader.pages:
        assert [float(side) for side in page.mediabox.upper_right] == pytest.approx(SIZES[sheet], abs=0.01)
    assert fonts
    for font in fonts:
        descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        assert {"/FontFile2", "/FontFile3"} & descriptor.keys()


def test_that_citations_are_links_to_where_they_can_be_read():
    _, data = made(SAMPLES[0], READERS[0], Sheet.A4)
    notes = [note.get_object() for page in pypdf.PdfReader(BytesIO(data)).pages for note in page.get("/Annots", [])]
    links = {note["/A"]["/URI"] for note in notes if note["/Subtype"] == "/Link"}
    assert links
    for link in links:
        assert re.fullmatch(r"https://doi\.org/10\.\d{4,9}/[^\s]+[^\s.,;)]", link)  # DOI Handbook, 2.2.1


def test_that_the_curve_is_drawn_and_not_painted():
    _, data = made(SAMPLES[0], READERS[0], Sheet.A4)
    assert not pypdf.PdfReader(BytesIO(data)).pages[0].images


def test_that_the_first_page_holds_what_is_pinned_up():
    for name in SAMPLES:
        for display, sheet in zip(READERS, SHEETS, strict=True):
            document, data = made(name, display, sheet)
            first = bare(pypdf.PdfReader(BytesIO(data)).pages[0].extract_text())
            reader = InUnits(display)
            blocks = shown(document.papers[0], reader).blocks
            upto = next(place for place, block in enumerate(blocks) if isinstance(block, Section) and block.new_page)
            assert all(bare(line) in first for text in texts(blocks[:upto]) for line in text.split("\n"))


def test_that_many_batches_are_one_paper_with_all_of_them():
    document = document_for([worked_out(plain()), worked_out(full())], READERS[0])
    reader = pypdf.PdfReader(BytesIO(document.written(Kind.PDF, Sheet.A4)))
    assert reader.metadata.title == "2 batches"
    chapters = [one.title for one in reader.outline if not isinstance(one, list)]
    assert chapters == [plain().name, full().name]


HOSTILE = [
    "#pagebreak()",
    "*bold* _it_ $x$ <a> @ref \\ ` [ ] { } //",
    "<script>alert(1)</script> & \"'",
    "éß Ω жы 日本 🍯",
    "{0} {}",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_that_nothing_in_a_name_is_taken_for_a_command(name):
    batch = msgspec.structs.replace(full(), name=name, notes=name)
    data = document_for([worked_out(batch)], READERS[0]).written(Kind.PDF, Sheet.A4)
    reader = pypdf.PdfReader(BytesIO(data))
    assert reader.metadata.title == name


def test_that_a_sign_which_no_letters_have_does_not_keep_a_paper_from_being_made():
    batch = msgspec.structs.replace(plain(), name="Plum \U000f0000 \ue123")
    data = document_for([worked_out(batch)], READERS[0]).written(Kind.PDF, Sheet.A4)
    assert pypdf.PdfReader(BytesIO(data)).root_object["/MarkInfo"]["/Marked"]


def test_that_a_paper_is_made_of_any_tree():
    paper = Paper("Notes", "", (Section("Kept", (Paragraph("One."),)),))
    data = Document((paper,), READERS[0]).written(Kind.PDF, Sheet.LETTER)
    assert "One." in pypdf.PdfReader(BytesIO(data)).pages[0].extract_text()


@settings(max_examples=25)
@given(batch=batches())
def test_that_a_paper_is_made_of_any_batch(batch):
    document = document_for([worked_out(batch)], READERS[0])
    data = document.written(Kind.PDF, Sheet.A4)
    assert len(pypdf.PdfReader(BytesIO(data)).pages) >= 2


def test_that_a_long_log_is_told_by_its_end_and_says_so():
    from example_batches import read, with_log

    log = [read(day / 10, 1.1 - day * 1e-4) for day in range(400)]
    paper = paper_of(worked_out(with_log(plain(), *log)), catalogue(), None)
    found = texts(shown(paper, InUnits(READERS[0])))
    assert "Here are the last 40 of 400 entries. All of them are in the batch file." in found


def test_that_a_word_that_no_line_holds_is_broken():
    batch = msgspec.structs.replace(plain(), name="Plum" * 50, notes="w" * 900)
    data = document_for([worked_out(batch)], READERS[0]).written(Kind.PDF, Sheet.A4)
    page = pypdfium2.PdfDocument(data)[0]
    letters = page.get_textpage()
    boxes = [letters.get_charbox(place) for place in range(letters.count_chars())]
    assert (
        max(right for _, _, right, _ in boxes) <= SIZES[Sheet.A4][0] - 20.0 / 25.4 * 72.0 + 1.0
    )  # the margin of 20 mm


def test_that_the_same_batch_gives_the_same_file():
    document = document_for([worked_out(plain())], READERS[0])
    assert document.written(Kind.PDF, Sheet.A4) == document.written(Kind.PDF, Sheet.A4)
    again = document_for([worked_out(plain())], READERS[0])
    assert again.written(Kind.PDF, Sheet.A4) == document.written(Kind.PDF, Sheet.A4)
    assert again.written(Kind.HTML, Sheet.A4) == document.written(Kind.HTML, Sheet.A4)
