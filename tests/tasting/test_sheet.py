"""The sheet: its lines, and marks in words."""

from __future__ import annotations

from example_batches import SHELF, with_sheets, worked_out

from planner.document.tasting import Mark, Tasting, last_mark
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.tasting.sheet import AGEING, FAULTS, LINES, SHEET, marked


def test_that_each_line_has_a_key_of_its_own():
    assert len(LINES) == sum(len(lines) for _, lines in SHEET) + len(FAULTS)
    assert set(AGEING) <= set(LINES)


def test_that_marks_are_told_in_the_order_of_the_sheet():
    marks = (
        Mark(line="vinegar", value=5.0), Mark(line="sour", fit=2), Mark(line="sweet", value=3.5, fit=-1), Mark(line="odd {}", value=1.0),
    )  # fmt: skip
    told = "Sweet 3.5 of 10, too little. Sour: much too much. Vinegar: a trace. odd { } 1.0 of 10."
    assert str(marked(marks)) == told
    assert str(marked(())) == ""


def test_that_the_last_mark_of_a_line_is_that_of_the_last_sheet_that_has_one():
    sheets = (
        Tasting(note="", marks=(Mark(line="sweet", value=2.0),)),
        Tasting(note="", marks=(Mark(line="sweet", fit=1),)),
    )
    assert last_mark(sheets, "sweet") == 2.0
    assert last_mark(sheets, "sour") is None


def test_that_the_report_tells_marks_and_what_blind_tests_show():
    text = as_text(as_data(worked_out(with_sheets()), SHELF))
    assert "Sweet 3.5 of 10, too little. Body 2.0 of 10. Vinegar: a trace. Long, a little thin." in text
    assert "Which is the odd one? 1 of 1 answers are right." in text
