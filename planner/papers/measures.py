"""Figures of many kinds as measures, for tables in which batches or lessons stand side by side."""

from __future__ import annotations

from planner.model.span import Span
from planner.papers.tree import Measure, Text
from planner.units import Kind
from planner.wording import phrases
from planner.wording.phrases import say

_KINDS: dict[str, tuple[Kind, str | None]] = {
    "gravity": (Kind.GRAVITY, None),
    "alcohol": (Kind.STRENGTH, None),
    "share": (Kind.FRACTION, None),
    "concentration": (Kind.CONCENTRATION, "g/L"),
    "trace": (Kind.CONCENTRATION, "mg/L"),
    "temperature": (Kind.TEMPERATURE, None),
    "mass": (Kind.MASS, None),
    "volume": (Kind.VOLUME, None),
    "ph": (Kind.NUMBER, None),
}
"""How each kind of figure (see `figures.TELLERS`) is shown with its range."""


def figure_of(span: Span, kind: str) -> Text:
    """A figure of a kind with its range; days are told whole.

    Parameters
    ----------
    span : Span
        In SI. [as its kind]
    """
    if kind == "viscosity":
        return Measure(span.scaled(1e3), Kind.NUMBER, after="\u00a0mPa·s")
    if kind == "score":
        return say("{}", phrases.score(span.typical))
    if kind == "day":
        low, typical, high = (phrases.day(end) for end in span)
        is_known = round(span.low) == round(span.high)
        return say("day {}", typical) if is_known else say("day {} ({} to {})", typical, low, high)
    return Measure(span, *_KINDS[kind])
