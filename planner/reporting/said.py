"""How the text of a report says its numbers: in the reader's units, each with its range where it has one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from planner.wording.figures import Reader, joined, ranged, told
from planner.wording.phrases import Words

Say = Callable[[Words], str]
"""How the sentences among the data are told."""


class Said:
    """Numbers of the data as text for one reader."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader

    def __call__(self, kind: str, value: Any, factor: float = 1.0) -> str:
        """A number, or one with its range: "10 L", "10 L (9.5 to 11)"; a dash for none.

        Parameters
        ----------
        value : float or dict or None
            As it stands in the data. [unit of its key]
        factor : float
            What makes the unit of its key that of the kind. [-]
        """
        if value is None:
            return "-"
        if not isinstance(value, dict):
            return joined(told(kind, value * factor, self.reader), self.reader)
        bounds = [value[end] * factor for end in ("typical", "low", "high")]
        middle, first, last = ranged(kind, bounds, self.reader)
        return f"{joined(middle, self.reader)} ({first.number} to {last.number})"

    def fixed(self, value: Any, digits: int, unit: str = "") -> str:
        """The same with so many decimals, for what has one unit everywhere. [unit of its key]"""
        after = f"{self.reader.space}{unit}" if unit else ""
        if value is None:
            return "-"
        if not isinstance(value, dict):
            return f"{self.reader.number(value, digits)}{after}"
        low, typical, high = (self.reader.number(value[end], digits) for end in ("low", "typical", "high"))
        return f"{typical}{after} ({low} to {high})"

    def trimmed(self, value: float, digits: int, unit: str = "") -> str:
        """A number with so many decimals at most. [unit of its key]"""
        after = f"{self.reader.space}{unit}" if unit else ""
        return f"{self.reader.number(value, digits, trim=True)}{after}"

    def signed(self, value: Any, digits: int, unit: str = "") -> str:
        """A change, its rises with a plus. [unit of its key]"""
        text = self.fixed(value, digits, unit)
        typical = value["typical"] if isinstance(value, dict) else value
        return text if round(typical, digits) < 0.0 else f"+{text}"

    def column(self, value: float | None, digits: int, width: int) -> str:
        """A bare number at the right of its column, or the room for it where there is none. [unit of its key]"""
        return (self.reader.number(value, digits) if value is not None else "").rjust(width)

    def degrees(self, celsius: float | None, digits: int, width: int) -> str:
        """A temperature [°C] at the right of its column."""
        if celsius is None:
            return " " * width
        is_us = self.reader.system == "us"
        return self.column(1.8 * celsius + 32.0 if is_us else celsius, 0 if is_us else digits, width)

    @property
    def degree(self) -> str:
        """The unit of temperatures."""
        return "°F" if self.reader.system == "us" else "°C"

    def gravity(self, specific: float | None, width: int) -> str:
        """A gravity at the right of its column."""
        text = "" if specific is None else told("gravity", specific, self.reader).number
        return text.rjust(width)


CELSIUS = 273.15
"""What makes a temperature of the data one in kelvin. [K]"""
