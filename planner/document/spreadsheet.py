"""Texts in a table for a spreadsheet, which would run some of them as formulas: guarded on the way out, and back."""

from __future__ import annotations

import re
from typing import Any

_RUNS = re.compile(r"'*[=+\-@\t\r]")
"""How a text begins that a spreadsheet would take for a formula (common practice, no source), and a guarded one."""


def guarded(cell: Any) -> Any:
    """A cell that no spreadsheet runs: a text with an apostrophe before it, which spreadsheets take for the mark of a text. [-]"""
    return f"'{cell}" if isinstance(cell, str) and _RUNS.match(cell) else cell


def unguarded(text: str) -> str:
    """What a cell says."""
    return text[1:] if text.startswith("'") and _RUNS.match(text) else text
