"""Figures of many kinds in the cells of one table, in the reader's units."""

from __future__ import annotations

from planner.model.span import Span
from planner.ui.display import SPACE, Display
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


def shown(span: Span | None, kind: str, display: Display) -> str:
    """A number with its range; a dash where there is none.

    Parameters
    ----------
    span : Span or None
        In SI. [as its kind]
    kind : str
        One of the keys of `phrases.PLAIN`.
    display : Display
        The reader's units.
    """
    if span is None:
        return "–"
    if kind == "viscosity":
        return display.format_span(span.scaled(1e3), Kind.NUMBER) + f"{SPACE}mPa·s"
    if kind in ("day", "count"):
        low, typical, high = (display.number(end, 0) for end in span)
        return typical if low == high else f"{typical} ({low} to {high})"
    return display.format_span(span, *_KINDS[kind])
