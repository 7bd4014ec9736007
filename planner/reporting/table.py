"""Reports as a table: a row for each batch, a column for each figure that batches are compared by, units in the heading."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping
from typing import Any

from planner.document.spreadsheet import guarded
from planner.wording.figures import GALLON

Data = Mapping[str, Any]

_PLAIN = (
    "file", "name", "stage", "headline", "next", "must.measured_starting_gravity_sg20", "verdict.verdict",
    "verdict.probability", "verdict.day", "plan.bottled_l", "bottled.day", "bottled.at", "adjustment.rests_on",
    "adjustment.stillness.risk", "plan.cost.total", "plan.cost.currency",
)  # fmt: skip
_UNCERTAIN = (
    "must.volume_l", "must.gravity_sg20", "must.fermentable_sugar_g_per_l", "must.acid_g_per_l_tartaric",
    "must.nitrogen_mg_per_l", "must.ph", "finish.gravity_sg20", "finish.alcohol_pct_vol", "finish.sugar_left_g_per_l",
    "finish.volume_l", "finish.day", "verdict.alcohol_pct_vol", "verdict.sugar_left_g_per_l",
    "verdict.forecast.gravity_sg20", "verdict.forecast.alcohol_pct_vol", "verdict.forecast.sugar_left_g_per_l",
    "verdict.forecast.day", "adjustment.after.volume_l", "adjustment.after.gravity_sg20",
    "adjustment.after.alcohol_pct_vol", "adjustment.after.sweetness_g_per_l_sucrose", "adjustment.after.body_mpa_s",
    "adjustment.after.acid_g_per_l_tartaric", "adjustment.after.fermentable_sugar_g_per_l", "adjustment.ph_after",
)  # fmt: skip
_COUNTED: Mapping[str, Callable[[Data], int]] = {
    "findings.errors": lambda data: _found(data, "error"),
    "findings.warnings": lambda data: _found(data, "warning"),
    "log.entries": lambda data: len(data["log"]),
    "bottled.number": lambda data: sum(lot["number"] for lot in (data["bottled"] or {"bottles": ()})["bottles"]),
}

COLUMNS = (*_PLAIN, *_COUNTED, *(f"{key}{end}" for key in _UNCERTAIN for end in ("", ".low", ".high")))
"""Headings: where a figure stands in the JSON of the report. Of an uncertain one, the typical value and the ends of its
range, which are empty where it is known."""


_LITRES = re.compile(r"(?<!_per)_l(?=$|\.low$|\.high$)")
"""How a heading in litres ends. Concentrations are in g/L and mg/L for all readers, as laboratories give them."""


def header(units: str = "metric") -> str:
    """The headings as a line, in "metric" or "us" measures. [-]"""
    return _line([_LITRES.sub("_us_gal", key) for key in COLUMNS] if units == "us" else COLUMNS)


def row(data: Data, units: str = "metric") -> str:
    """A report as a line under the headings."""
    cells = [_at(data, key) for key in _PLAIN]
    cells += [count(data) for count in _COUNTED.values()]
    for key in _UNCERTAIN:
        value = _at(data, key)
        cells += [value["typical"], value["low"], value["high"]] if isinstance(value, Mapping) else [value, None, None]
    if units == "us":
        cells = [
            float(f"{cell * 1e-3 / GALLON:.6g}") if cell is not None and _LITRES.search(key) else cell
            for key, cell in zip(COLUMNS, cells, strict=True)
        ]
    return _line([guarded(cell) for cell in cells])


def _found(data: Data, level: str) -> int:
    return sum(finding["level"] == level for finding in data["findings"])


def _at(data: Data, key: str) -> Any:
    """What stands at a place such as "verdict.forecast.day"; nothing where a block on the way is missing."""
    found: Any = data
    for step in key.split("."):
        if found is None:
            return None
        found = found[step]
    return found


def _line(cells: Any) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue()
