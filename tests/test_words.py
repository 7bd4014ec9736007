"""What the program says: one word for one thing, in short sentences with a subject (see "Words" in DEVELOPERS.md).

The rules are the project's own; the spelling of quantities follows the SI Brochure, 9th edition, section 5.4.
"""

from __future__ import annotations

import ast
import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

SILENT = ("units.py", "ui/theme.py", "reference/tables.py", "document/columnar_log.py")
"""Rooms whose strings no user reads: sheets of style, and checks of the tables that ship with the program."""

TEXTS = ("name", "title", "text", "note", "ceiling_note")
"""Columns of the tables that are shown."""

SAY: dict[str, str] = {
    r"spindle": "hydrometer",
    r"bottle bomb": "a bottle that may burst",
    r"kept from working|keeps? (the )?yeast from working": "stabilised",
    r"sugar (that )?(the |this |living )?yeast (can|could|may) take|sugar for (the )?yeast|yeast sugar": "fermentable sugar",
    r"\bat rest\b(?!$)|comes? to rest|\bit rests\b|stands? still|standstill": "has stopped",
    r"stuck|may stick": "stalled, may stall",
    r"still (wine )?bottles?|stays? still|keeps? still|is still\.": "ordinary bottles, stable",
    r"\bwish(ed|es)?\b|\bis wanted\b|\bare wanted\b": "target; Enter …; you want",
    r"routes? to|\btake this route\b": "ways to finish",
    r"food for (the )?yeast|yeast food": "feed, nutrient",
    r"\bgoes before\b|\bgo before\b": "Follow … first",
    r"\bbears?\b": "tolerates",
    r"\blest\b|\banew\b|\bbesides\b|\bmakes sure\b|\bmend\b|\bfeeds others\b|\bby the gram\b": "plain English",
    r"(?<!there )\b(is|are) no (?!longer\b)": "is not a …",
    r"\b(heavier|lighter) than (the|its)\b": "higher, lower in gravity",
    r"\bsettings\b": "preferences",
    r"\bsnapshots?\b|\bscorecards?\b": "pinned design; tasting sheet",
    r"\bfinal gravity\b": "finishing gravity",
    r"\bposterior\b|\bgrave\b": "forecast; severe",
    r"\bwine\b(?=.*\bis ready\b)|\bliquor\b": "mead",
    r"throw .{0,40} away\?": "Discard",
    r"1\.3125": "131.25 × the drop in gravity",
    r"not reckoned|reckoned with": "counted",
}
"""What is not said, as a pattern, and what is said for it."""

SPELLING = re.compile(
    r"\b(\w*(?:stabiliz|fermentor|sulfit|flavor|color(?!im)|aging\b|liter\b|liters\b|mold\b|odor)\w*)", re.I
)
"""American spellings; the program writes British ones and reads both."""

UNSAID = ("Was it ", "Is it ", "Should ", "Must be ", "Could ", "Would ", "Has to ", "Comes ", "Goes ", "Ends ")
"""Openings of a sentence that lacks its subject."""

LONGEST = 20
"""Words in a sentence, from its capital to its full stop; a figure that is put in counts as one."""


def _doc(node: ast.AST) -> set[int]:
    return {
        id(one.value) for one in ast.walk(node) if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant)
    }


def _spoken(node: ast.AST) -> str | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return None


def _in_code() -> Iterator[tuple[str, str]]:
    for path in sorted((ROOT / "planner").rglob("*.py")):
        place = path.relative_to(ROOT / "planner").as_posix()
        if place.startswith(SILENT):
            continue
        tree = ast.parse(path.read_text("utf-8"))
        parts = {id(part) for one in ast.walk(tree) if isinstance(one, ast.JoinedStr) for part in one.values}
        silent = parts | _doc(tree)
        for node in ast.walk(tree):
            text = None if id(node) in silent else _spoken(node)
            if text is not None and " " in text.strip():
                yield f"{place}:{node.lineno}", text


def _in_tables() -> Iterator[tuple[str, str]]:
    for path in (ROOT / "resources" / "cautions.csv", *sorted((ROOT / "resources" / "tables").glob("*.csv"))):
        for row in csv.DictReader(path.read_text("utf-8").splitlines()):
            for column in TEXTS:
                if row.get(column):
                    yield f"{path.name}:{row['key']}", row[column]


SAID = (*_in_code(), *_in_tables())


def sentences(text: str) -> list[str]:
    """A text in its sentences; what a colon or semicolon joins is one."""
    bare = re.sub(r"<[^>]+>", " ", text)
    return [part for part in re.split(r"(?<=[.!?])\s+|\n", bare) if part.strip()]


def test_that_there_is_something_to_read():
    assert len(SAID) > 1500


@pytest.mark.parametrize("pattern", SAY)
def test_that_one_thing_has_one_name(pattern):
    found = [f"{place}: {text}" for place, text in SAID if re.search(pattern, text, re.I)]
    assert not found, f"say {SAY[pattern]!r}:\n" + "\n".join(found)


def test_that_the_spelling_is_british():
    found = [(place, match[1]) for place, text in SAID for match in [SPELLING.search(text)] if match]
    assert not [one for one in found if not one[0].startswith(("ui/entry", "importing/", "ui/log/entry"))]


def test_that_every_sentence_is_short():
    long = [
        f"{place}: {len(part.split())} words: {part}"
        for place, text in SAID
        for part in sentences(text)
        if len(part.split()) > LONGEST and "libegl" not in part and "(?" not in part
    ]
    assert not long, "\n".join(long)


def test_that_no_sentence_lacks_its_subject():
    found = [f"{place}: {part}" for place, text in SAID for part in sentences(text) if part.startswith(UNSAID)]
    assert not found, "\n".join(found)


def test_that_a_range_names_its_unit_once():
    unit = r"(?:mg/L|g/L|kg|mL|L|°C|°F|bar|% vol|%|mPa·s)"
    twice = re.compile(rf"\d {unit} to \d[\d.]* {unit}(?!\w)")
    found = [
        f"{place}: {text}"
        for place, text in SAID
        if (match := twice.search(text)) and len(set(re.findall(unit, match[0]))) == 1
    ]
    assert not found, "\n".join(found)


def test_that_a_space_stands_between_a_number_and_its_unit():
    # SI Brochure, 9th edition, 5.4.3: a space before the symbol, also before % and °C.
    close = re.compile(r"\d(?:%|°C|°F|g/L|mg/L|kg|mL|mm|bar)(?!\w)")
    found = [f"{place}: {text}" for place, text in SAID if close.search(text) and "QPush" not in text]
    assert not found, "\n".join(found)


def test_that_nothing_invisible_is_shown():
    invisible = re.compile("[\u200b-\u200f\u2060-\u2064\u00ad\ufeff]")
    assert not [f"{place}: {text!r}" for place, text in SAID if invisible.search(text)]
