"""Figures of the adjustment pane as text: ranges, steps, signs and units that what it says has in common."""

from __future__ import annotations

from planner.model.span import Span
from planner.ui.display import MINUS, SPACE, Display
from planner.units import GravityScale, Kind

BODY_UNIT = "mPa·s"
PER_LITRE = "g/L"

WIDE = 4.0
"""Width of an interval of sugar from which it is told by its ends. [kg/m^3] Dry and sweet lie so far apart."""


def ends(span: Span, kind: Kind, display: Display, unit: str | None = None) -> str:
    """A range with both ends as finely as its width allows, or a number where they look alike: "0.997 to 1.016"."""
    preferred = display.unit_for(span.typical, kind)
    whole = display.format_span(span, kind, unit if unit or preferred is None else preferred.key)
    number, bounded, inside = whole.partition(" (")
    symbol = number.partition(SPACE)[2]
    low, _, high = inside.removesuffix(")").partition(" to ")
    if not bounded or low == high:
        return number
    return f"{low} to {high}{SPACE}{symbol}".strip(SPACE)


def ph_text(ph: Span, display: Display) -> str:
    """A pH: measured to the second decimal, else its range."""
    if ph.is_exact:
        return display.number(ph.typical, 2)
    return f"{display.number(ph.low, 1)} to {display.number(ph.high, 1)}"


def sugar_text(sugar: Span, display: Display) -> str:
    """Sugar that yeast can take: "1.0 g/L", or "37 to 54 g/L" where no more is known."""
    if sugar.high - sugar.low < WIDE:
        return display.grams_per_litre(sugar)
    low, high = (display.number(max(end, 0.0), 0) for end in (sugar.low, sugar.high))
    return f"{low} to {high}{SPACE}{PER_LITRE}"


def body_text(viscosity_span: Span, display: Display) -> str:
    """A viscosity: "1.65 mPa·s"."""
    return f"{display.text(viscosity_span.scaled(1e3), Kind.NUMBER)}{SPACE}{BODY_UNIT}"


def steps_text(steps: float, display: Display) -> str:
    """A change in steps that a taster can just notice: "0", "<1", "2.4", "12"."""
    size = abs(steps)
    if size < 0.05:
        return display.number(0.0, 0)
    if size < 1.0:
        return f"<{display.number(1.0, 0)}"
    return display.number(size, 1 if size < 9.95 else 0)


def unbroken(text: str) -> str:
    """A short text in which no line breaks."""
    return text.replace(" ", SPACE)


def signed(text: str) -> str:
    """A number with its sign, also where that is a plus; none for a zero."""
    number = text.partition(SPACE)[0]
    if not any(c.isdecimal() and int(c) for c in number):
        return text.removeprefix(MINUS)
    return text if text.startswith(MINUS) else f"+{text}"


def grams(change: float, display: Display) -> str:
    """A change of a concentration: "+1.2 g/L"."""
    places = 0 if abs(change) >= 99.95 else 1 if abs(change) >= 0.95 else 2
    return f"{signed(display.number(change, places))}{SPACE}{PER_LITRE}"


def gravity_change(change: float, near: float, display: Display) -> str:
    """A change of gravity near a gravity: "+0.007 gravity"."""
    if display.gravity_scale == GravityScale.BRIX:
        return signed(display.gravity_difference(change, near))
    return f"{signed(display.number(change, 3))} gravity"


def kept_together(text: str) -> str:
    """A text in which no range breaks."""
    return text.replace(" to ", f"{SPACE}to{SPACE}")
