"""The paper of what was expected of a batch and what came."""

from __future__ import annotations

from collections.abc import Sequence

from planner.comparing.lessons import Lesson
from planner.papers.measures import figure_of
from planner.papers.tree import Listing, Paper, Paragraph, Row, Section, Table, Text


def lessons_paper(name: str, found: Sequence[Lesson]) -> Paper:
    """All that is printed of it."""
    rows = tuple(Row((lesson.name, _figure(lesson, expected=True), _figure(lesson), lesson.told)) for lesson in found)
    offers = tuple(lesson.carry.told for lesson in found if lesson.carry is not None)
    following: tuple[Text, ...] = offers or ("The recipe as it is.",)
    return Paper(
        "What was expected and what came",
        name,
        (
            Table(("", "Expected", "What came", "What it means"), rows, (1.1, 1.0, 1.0, 1.9)),
            Section("For the next batch", (Listing(following),)),
            Paragraph("Ranges hold nine times in ten.", "small"),
        ),
    )


def _figure(lesson: Lesson, expected: bool = False) -> Text:
    span = lesson.expected if expected else lesson.came
    return "–" if span is None else figure_of(span, lesson.kind)
