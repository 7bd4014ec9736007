"""The paper of batches side by side."""

from __future__ import annotations

from collections.abc import Iterator

from planner.comparing.comparison import Comparison, Difference, Fact
from planner.papers.measures import figure_of
from planner.papers.tree import Block, Paper, Paragraph, Picture, Row, Section, Table, Text
from planner.reporting.comparison import PARTS
from planner.wording.phrases import Words, say

MOST_CAUSES = 3
"""Of a difference that are printed. [-]"""

_TITLE = "Batches side by side"


def comparison_paper(found: Comparison, curves: Picture | None) -> Paper:
    """All that is printed of a comparison."""
    names = [outcome.batch.name for outcome in found.outcomes]
    about = f"{', '.join(names[1:])}, beside {names[0]}"
    return Paper(_TITLE, about, tuple(_blocks(found, names, curves)))


def _blocks(found: Comparison, names: list[str], curves: Picture | None) -> Iterator[Block]:
    if curves is not None:
        yield curves
    if found.differences:
        rows = tuple(Row((names[one.place], one.head, _causes(one))) for one in found.differences)
        yield Section("How they differ", (
            Table(("Batch", f"Beside {names[0]}", "What could have caused it"), rows, (1.0, 1.0, 1.9)),
            Paragraph("Amounts are for a batch of the size of the first.", "small"),
        ))  # fmt: skip
    else:
        yield Section("How they differ", (Paragraph("No difference would be noticed."),))
    for part, title in PARTS.items():
        rows = tuple(Row((fact.name, *_cells(fact))) for fact in found.facts if fact.part == part)
        yield Section(title, (Table(("", *names), rows, (1.2, *(1.0 for _ in names))),))


def _cells(fact: Fact) -> Iterator[Text]:
    for value in fact.values:
        if value is None or isinstance(value, str):
            yield "–" if value is None else value
        else:
            yield figure_of(value, fact.kind)


def _causes(one: Difference) -> Words:
    """The likeliest causes, each as a sentence."""
    shares = one.causes[:MOST_CAUSES]
    if not shares:
        return say("Neither recipe nor log tells why.")
    told = " ".join(f"{share.told.template[:1].upper()}{share.told.template[1:]}." for share in shares)
    return say(told, *(figure for share in shares for figure in share.told.figures))
