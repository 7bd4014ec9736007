"""Figures of many kinds as measures, for tables in which batches or lessons stand side by side."""

from __future__ import annotations

from planner.document.timestamps import SECONDS_PER_DAY
from planner.model.span import Span
from planner.papers.tree import Measure
from planner.units import Kind

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
"""How each kind of figure (see `phrases.PLAIN`) is shown with its range."""


def measure_of(span: Span, kind: str) -> Measure:
    """A figure of a kind as a measure; days are told whole.

    Parameters
    ----------
    span : Span
        In SI. [as its kind]
    kind : str
        One of the keys of `phrases.PLAIN`. [-]
    """
    if kind == "viscosity":
        return Measure(span.scaled(1e3), Kind.NUMBER, after="\u00a0mPa·s")
    if kind == "day":
        return Measure(Span(*(round(end) * SECONDS_PER_DAY for end in span)), Kind.TIME, "d")
    return Measure(span, *_KINDS[kind])
