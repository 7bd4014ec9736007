"""Whether a table was written by a floating sensor: its headings say so, or its rows come at even times, day and night."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from itertools import islice, pairwise

from planner.importing.cells import day_number, moment
from planner.importing.mapping import SINCE_PITCHING, Mapping, Meaning
from planner.importing.table import Table

_SENSOR = frozenset([
    "sensor", "sensors", "floating", "float", "floater", "schwimmer", "schwebend", "sonde", "capteur", "flotteur",
    "flotador",
])  # fmt: skip
"""Words of headings and instruments."""
_BESIDE = frozenset(["battery", "batterie", "akku", "voltage", "spannung", "rssi", "signal", "angle", "winkel"])
"""Words of columns that only a sensor writes."""

_LOOKED_AT = 60
"""Rows whose times are looked at."""
FEWEST, OFTEN, EVENLY, EVEN = 20, 0.26, 0.3, 0.8
"""Readings from which they can be told by their times, days between them at most [d], how far from the usual interval one
counts as even, and the share that must be. Nobody reads a stem every six hours for five days. Estimates."""


_EPOCH = datetime(1970, 1, 1)


def floats(table: Table, mapping: Mapping) -> bool:
    """Whether the gravities of a table are probably those of a floating sensor."""
    headings = _words(" ".join(table.headings)) if table.named else frozenset()
    return bool(headings & (_SENSOR | _BESIDE)) or _by_name(table, mapping) or _at_even_times(table, mapping)


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[^\W\d_]+", text.casefold()))


def _by_name(table: Table, mapping: Mapping) -> bool:
    column = mapping.column(Meaning.INSTRUMENT)
    names = [cell for cell in islice(table.column(column), _LOOKED_AT) if cell.strip()] if column is not None else []
    return bool(names) and sum(not _words(name).isdisjoint(_SENSOR) for name in names) > len(names) / 2


def _at_even_times(table: Table, mapping: Mapping) -> bool:
    days = _days(table, mapping)
    between = [after - before for before, after in pairwise(days)]
    if len(days) < FEWEST:
        return False
    usual = sorted(between)[len(between) // 2]
    even = sum(abs(gap - usual) <= EVENLY * usual for gap in between)
    return 0.0 < usual <= OFTEN and even >= EVEN * len(between)


def _days(table: Table, mapping: Mapping) -> list[float]:
    """When the first rows were read. [d]"""
    rows = table.rows[:_LOOKED_AT]
    hand, date, clock = (
        mapping.column(*meanings) for meanings in (tuple(SINCE_PITCHING), (Meaning.MOMENT,), (Meaning.CLOCK,))
    )

    def cell(row: tuple[str, ...], column: int | None) -> str:
        return row[column] if column is not None and column < len(row) else ""

    if hand is not None:
        scale = SINCE_PITCHING[mapping.meanings[hand]]
        numbers = (day_number(cell(row, hand), mapping.decimal) for row in rows)
        return [number.value / scale for number in numbers if number is not None]
    moments = (moment(f"{cell(row, date)} {cell(row, clock)}".strip(), mapping.day_first) for row in rows)
    return [
        (found.when.replace(tzinfo=None) - _EPOCH) / timedelta(days=1)  # of any year, which a timestamp is not
        for found in moments
        if found is not None and found.has_time
    ]
