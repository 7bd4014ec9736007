"""Figures behind the first page: the must, what makes its finishing gravity, the strength by every way, and the expected course."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.evaluation.outcome import Outcome
from planner.papers.measures import figure_of
from planner.papers.tree import Beside, Block, Listing, Measure, Row, Section, Table
from planner.timeline import alcohol_text
from planner.timeline.results import Curve
from planner.units import Kind
from planner.wording import phrases
from planner.wording.phrases import say

MOST_DAYS = 20
"""Rows of the expected course, about."""


def figure_pages(outcome: Outcome) -> Iterator[Block]:
    """What was worked out of must and ferment; nothing where there is none."""
    must, finish = outcome.must, outcome.finish
    if must is None or finish is None:
        return
    told = [
        ("Volume", must.volume, "volume"), ("Mass", must.mass, "mass"), ("Gravity", must.gravity, "gravity"),
        ("Fermentable sugar", must.sugar, "concentration"), ("Acid, as tartaric", must.acid, "concentration"),
        ("Nitrogen for yeast", must.nitrogen, "trace"), (f"pH, {'measured' if 'ph' in must.measured else 'estimated'}", must.ph, "ph"),
    ]  # fmt: skip
    of_must = tuple(Row((name, figure_of(span, kind))) for name, span, kind in told if span is not None)
    parts = tuple(Row((Measure(part.lifts.scaled(1e3), Kind.NUMBER), part.name)) for part in finish.parts)
    blocks: list[Block] = [
        Beside(
            (Section("The must, by the recipe", (Table((), of_must, (0.0, 1.0)),)),),
            (Section("What makes the finishing gravity", (Table(("Points of 0.001", "From"), parts, (0.0, 1.0)),)),),
        )
    ]
    if outcome.so_far is not None:
        blocks.append(Section("Alcohol so far", (Listing(tuple(alcohol_text.sentences(outcome.so_far))),)))
    if outcome.curve is not None:
        blocks.append(Section("The expected course", (_course(outcome.curve),)))
    yield Section("Figures", tuple(blocks), new_page=True)


def _course(curve: Curve) -> Table:
    """The typical course, some days apart."""
    last = int(np.floor(curve.days[-1]))
    rows = []
    for day in range(0, last + 1, max(1, last // MOST_DAYS)):
        at = int(np.searchsorted(curve.days, day, side="right")) - 1
        gravity, alcohol, sugar = (
            float(np.interp(day, curve.days, one)) for one in (curve.gravity, curve.alcohol, curve.sugar)
        )
        rows.append(Row((
            say("{}", phrases.day(day)), say("{}", phrases.gravity(gravity)), say("{}", phrases.alcohol(alcohol)),
            say("{}", phrases.concentration(sugar)), say("{}", phrases.temperature(float(curve.temperature[at]))),
        )))  # fmt: skip
    head = ("Day", "Gravity", "Strength", "Fermentable sugar", "Temperature")
    return Table(head, tuple(rows), (0.5, 1.0, 1.0, 1.0, 1.0), right=(0, 1, 2, 3, 4))
