"""Figures of many kinds in the cells of one table, in the reader's units."""

from __future__ import annotations

from planner.model.span import Span
from planner.papers.measures import figure_of
from planner.papers.tree import shown as told
from planner.ui.display import Display
from planner.ui.papers.reader import InUnits


def shown(span: Span | None, kind: str, display: Display) -> str:
    """A number with its range; a dash where there is none.

    Parameters
    ----------
    span : Span or None
        In SI. [as its kind]
    kind : str
        One of the keys of `figures.TELLERS`.
    display : Display
        The reader's units.
    """
    return "–" if span is None else str(told(figure_of(span, kind), InUnits(display)))
