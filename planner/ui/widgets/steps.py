"""How far one press of an arrow key goes: to the next round number that matters at this size."""

from __future__ import annotations

import math

from planner.ui.display import Display
from planner.units import UNITS, GravityScale, Kind, scale

_SHARE = 1.0 / 20.0
"""A step is at most about this part of the number. [-]"""

_START = {Kind.TEMPERATURE: 293.15, Kind.GRAVITY: 1.0}
"""Where stepping begins when there is no number yet. [SI unit of the kind]"""


def stepped(
    value: float | None, steps: int, kind: Kind, display: Display, unit: str | None, step: float | None = None
) -> float:
    """The value some steps further, on the grid of round numbers of the scale that the person reads.

    Parameters
    ----------
    value : float or None
        Where to start; None for an empty field. [SI unit of the kind]
    steps : int
        How many steps; negative for down.
    kind : Kind
        What it is a number of.
    display : Display
        The scale that the person reads.
    unit : str or None
        Key of the unit that is shown, for kinds that have units.
    step : float, optional
        The size of a step; by default it follows from kind and size. [SI unit of the kind]

    Returns
    -------
    float
        The new value; it may lie out of any range. [SI unit of the kind]
    """
    if value is None:
        return _START.get(kind, 0.0) if kind in _START else display.from_scale(abs(steps) * 1.0, kind, unit)
    number = display.to_scale(value, kind, unit)
    # Down from ten the grid is the one below ten, so that down and up again lead back.
    size = _size(number * (1.0 - 1e-6 * (steps < 0)), kind, display, unit)
    if step is not None:
        size = display.to_scale(value + step, kind, unit) - number
    size *= abs(steps)
    if steps > 0:
        number = (math.floor(number / size + 1e-6) + 1) * size
    else:
        number = (math.ceil(number / size - 1e-6) - 1) * size
    # Multiples of 0.1 gather noise in the last digits, which a comparison of values would take for a change.
    return display.from_scale(round(number, 9), kind, unit)


def _size(number: float, kind: Kind, display: Display, unit: str | None) -> float:
    """The size of one step on the scale that is shown."""
    if kind == Kind.TEMPERATURE:
        return 0.5 if unit == "degC" else 1.0
    if kind == Kind.GRAVITY:
        return 0.1 if display.gravity_scale == GravityScale.BRIX else 0.001
    if kind in (Kind.FRACTION, Kind.STRENGTH, Kind.NUMBER):
        return 0.1
    if kind == Kind.TIME:
        return 1.0
    if unit == "lb":
        return _halved(number)
    return _round_down(abs(number) * _SHARE)


def _round_down(size: float) -> float:
    """The largest of 1, 2, 5 times a power of ten that is no larger; a hundredth for nothing."""
    if size <= 0.0:
        return 0.1
    power = 10.0 ** math.floor(math.log10(size * (1.0 + 1e-12)))
    return power * max(digit for digit in (1.0, 2.0, 5.0) if digit * power <= size * (1.0 + 1e-9))


def _halved(pounds: float) -> float:
    """As `_round_down`, in the halves, quarters ... of a pound into which ounces divide it; an ounce at least."""
    ounce = scale("oz").factor / scale(UNITS["lb"].key).factor
    size = max(abs(pounds) * _SHARE, ounce)
    return ounce * 2.0 ** math.floor(math.log2(size / ounce * (1.0 + 1e-9)))
