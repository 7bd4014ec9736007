"""What is known of an ingredient, with the range and the footing of each figure, for its hover and for F1."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import escape
from typing import Any, NamedTuple

from planner.model.components import COMPONENTS
from planner.model.span import Span
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive, Fruit, Honey, Nutrient, Yeast
from planner.reference.status import Status
from planner.ui.display import SPACE, Display
from planner.units import Kind

_MOST_PARTS = 6
"""Substances of an additive that are named; the smallest are left out."""


class _Line(NamedTuple):
    """One figure of a row: its name, how it is shown, and where its status stands."""

    name: str
    field: str
    kind: Kind
    unit: str | None = None
    factor: float = 1.0
    after: str = ""
    status: str = "status"


_LINES: dict[type, tuple[_Line, ...]] = {
    Fruit: (
        _Line("Sugars of the flesh", "sugar", Kind.FRACTION),
        _Line("Sorbitol", "sorbitol", Kind.FRACTION),
        _Line("Acid", "acid", Kind.FRACTION, status="acid_status"),
        _Line("pH", "ph", Kind.NUMBER, status="ph_status"),
        _Line("Juice, plainly pressed", "yield_fresh", Kind.FRACTION, status="yield_status"),
        _Line("Juice with enzyme", "yield_enzyme", Kind.FRACTION, status="yield_status"),
        _Line("Nitrogen for yeast, in the juice", "nitrogen", Kind.CONCENTRATION, "mg/L", status="nitrogen_status"),
    ),
    Honey: (
        _Line("Water", "moisture", Kind.FRACTION),
        _Line("Fermentable sugar, as hexose", "fermentable", Kind.FRACTION),
        _Line("Nitrogen for yeast", "nitrogen", Kind.NUMBER, None, 1e6, f"{SPACE}mg/kg", "estimate"),
    ),
    Yeast: (
        _Line("Stops at", "tolerance", Kind.STRENGTH),
        _Line("Works from", "t_low", Kind.TEMPERATURE),
        _Line("Best at", "t_best", Kind.TEMPERATURE),
        _Line("Works cleanly to", "t_high", Kind.TEMPERATURE),
        _Line("Nitrogen needed per sugar", "demand", Kind.NUMBER, None, 1e3, f"{SPACE}mg/g"),
        _Line("Pace, beside an average yeast", "vigour", Kind.NUMBER),
        _Line("Time to wake, beside an average yeast", "lag", Kind.NUMBER),
        _Line("Maltose it takes (other sugars whole)", "maltose", Kind.FRACTION),
    ),
    Nutrient: (_Line("Nitrogen for yeast", "nitrogen", Kind.FRACTION),),
    Additive: (),
}  # fmt: skip


def sheet(row: Any, catalogue: Catalogue, display: Display) -> str:
    """A row of the shelf as a page: each figure with its range and how far it can be trusted, then the sources."""
    body = "".join(
        f"<tr><td>{escape(name)}&nbsp;&nbsp;</td><td>{escape(value)}</td><td>&nbsp;&nbsp;<i>{escape(status.label)}</i></td></tr>"
        for name, value, status in figures(row, display)
    )
    notes = [getattr(row, field, "") for field in ("note", "fermentable_note", "ceiling_note")]
    said = "".join(f"<p>{escape(text)}</p>" for text in notes if text)
    cited = "".join(f"<li>{escape(catalogue.source(key).citation)}</li>" for key in row.sources)
    table = f"<table>{body}</table>" if body else ""
    return f"<p><b>{escape(row.name)}</b>: {escape(row.status.label)}.</p>{table}{said}<p>Sources:</p><ul>{cited}</ul>"


def figures(row: Any, display: Display) -> Iterator[tuple[str, str, Status]]:
    """The figures of a row: name, value with its range, status. Parts that are absent are left out."""
    for line in _LINES.get(type(row), ()):
        value = getattr(row, line.field)
        if value == 0.0 or (isinstance(value, Span) and value.high <= 0.0):
            continue
        yield line.name, _shown(value, line, display), footing_of(row, line.field)
    if isinstance(row, Additive):
        parts = sorted(((share, key) for key, share in row.composition if share > 0.0), reverse=True)
        for share, key in parts[:_MOST_PARTS]:
            yield COMPONENTS[key].name, display.percent(share), row.status


def footing_of(row: Any, field: str) -> Status:
    """How far one figure of a row can be trusted."""
    line = next((line for line in _LINES.get(type(row), ()) if line.field == field), None)
    name = "status" if line is None else line.status
    status: Status = Status.ESTIMATE if name == "estimate" and row.status is not Status.OWN else row.status
    return getattr(row, name, status)


def _shown(value: Any, line: _Line, display: Display) -> str:
    span = value if isinstance(value, Span) else Span.exactly(float(value))
    tell: Callable[[Span], str] = _numbers(line, display) if line.kind is Kind.NUMBER else _quantity(line, display)
    return tell(span.scaled(line.factor))


def _quantity(line: _Line, display: Display) -> Callable[[Span], str]:
    if line.kind is Kind.TEMPERATURE:
        return lambda span: display.temperature(span.typical, 0)
    return lambda span: display.format_span(span, line.kind, line.unit)


def _numbers(line: _Line, display: Display) -> Callable[[Span], str]:
    def tell(span: Span) -> str:
        places = 1 if span.typical < 10.0 else 0
        low, typical, high = (display.number(bound, places) for bound in span)
        return f"{typical}{line.after}" + ("" if span.is_exact else f" ({low} to {high})")

    return tell
