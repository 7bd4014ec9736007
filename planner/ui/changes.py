"""What has changed between two figures, as they are shown: "+0.8 % vol"."""

from __future__ import annotations

import re

from PySide6.QtCore import QLocale

from planner.ui.display import MINUS, SPACE, Display

_FIGURE = re.compile(r"\s*([\u2212-]?[^\s]*\d)[\s\u00a0\u202f]*(.*)", re.DOTALL)
"""A number and its unit."""


def change_text(before: str, now: str, display: Display) -> str:
    """The change between two shown figures, so that it is the one that a reader would work out; empty where they are the same."""
    if before == now:
        return ""
    old, new = _read(before, display.locale), _read(now, display.locale)
    if old is None or new is None or old[1] != new[1]:
        return f"was {before}"
    decimals = max(old[2], new[2])
    change = new[0] - old[0]
    told = display.number(abs(change), decimals)
    return f"{MINUS if change < 0.0 else '+'}{told}{SPACE if new[1] else ''}{new[1]}"


def _read(text: str, locale: QLocale) -> tuple[float, str, int] | None:
    """A number, its unit and its decimals; None for anything else, such as a range."""
    match = _FIGURE.fullmatch(text)
    if match is None:
        return None
    number = match[1].replace(MINUS, "-")
    value, is_number = locale.toDouble(number)
    decimals = len(number.rpartition(locale.decimalPoint())[2]) if locale.decimalPoint() in number else 0
    return (value, match[2], decimals) if is_number else None
