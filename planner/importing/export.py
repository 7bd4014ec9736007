"""The log of a batch as a table for a spreadsheet, without loss: importing it gives the same readings."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import numpy as np

from planner.document.batch import Batch, Entry, Event, HydrometerReading, SugarReading
from planner.document.columnar_log import Entries
from planner.document.spreadsheet import guarded
from planner.evaluation.outcome import Outcome
from planner.importing.cells import UNDATED
from planner.importing.mapping import OWN_HEADINGS, PLAIN_COLUMNS, RARE_COLUMNS
from planner.importing.rows import WORDS
from planner.model.constants import ZERO_CELSIUS
from planner.wording.figures import FLUID_OUNCE, OUNCE, POUND

_READ, _MORE = tuple(OWN_HEADINGS)[:PLAIN_COLUMNS], tuple(OWN_HEADINGS)[PLAIN_COLUMNS:-RARE_COLUMNS]
*_VOLUMES, _ACID, _KNOWN = tuple(OWN_HEADINGS)[-RARE_COLUMNS:]
_WORKED_OUT = (
    "Worked out: day",
    "Worked out: gravity at 20 °C",
    "Worked out: sugar [g/L]",
    "Worked out: sugar, low [g/L]",
    "Worked out: sugar, high [g/L]",
    "Worked out: alcohol [% vol]",
)
"""Low and high hold nine times in ten."""
_DIGITS = (3, 5, 2, 2, 2, 2)
_AMERICAN: dict[str, tuple[str, Callable[[float], float]]] = {
    "Worked out: temperature [°F]": ("temperature", lambda kelvin: 1.8 * (kelvin - ZERO_CELSIUS) + 32.0),
    "Worked out: weight lost [lb]": ("lost", lambda kilograms: kilograms / POUND),
    "Worked out: amount given [oz]": ("mass", lambda kilograms: kilograms / OUNCE),
    "Worked out: bottle size [US fl oz]": ("size", lambda cubic_metres: cubic_metres / FLUID_OUNCE),
}
"""What readers of American measures get besides, so that the columns that are imported stay as exact as they are."""


def export_csv(batch: Batch, outcome: Outcome | None = None, units: str = "metric") -> str:
    """The readings of a batch as comma-separated text (RFC 4180), decimal point, one row for each.

    Parameters
    ----------
    outcome : Outcome or None
        What follows from it, for more columns with what is worked out of each reading; the import passes them over.
        [as its fields]
    units : str
        Measures of the reader, "metric" or "us"; with American ones, more columns have them. [-]

    Returns
    -------
    str
        Every number with all its digits, in g/L, °C, days and specific gravity; no text that a spreadsheet would run. [-]
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    entries = batch.log.entries
    rows = outcome.log if outcome is not None and outcome.batch.log == batch.log else ()
    more, volumes = _needs_more(entries), any(map(entries.tells, ("bottles", "size", "volume")))
    acid, known = (not np.isnan(entries.floats(name)).all() for name in ("acid", "known"))
    american = _in_american(entries) if units == "us" else {}
    columns = (*_as_read(entries), *(_with_more(entries) if more else ()), *(_in_volumes(entries) if volumes else ()),
               *([_filled(entries.values("acid"))] if acid else ()), *([_filled(entries.values("known"))] if known else ()),
               *(_as_worked_out(outcome) if outcome is not None and rows else ()), *american.values())  # fmt: skip
    writer.writerow((*_READ, *(_MORE if more else ()), *(_VOLUMES if volumes else ()), *([_ACID] if acid else ()),
                     *([_KNOWN] if known else ()), *(_WORKED_OUT if rows else ()), *american))  # fmt: skip
    writer.writerows(zip(*columns, strict=True))
    return text.getvalue()


# Column by column: of a hundred thousand readings each look at a field of one would be felt.

Cells = list[Any]


def _filled(values: Iterable[Any]) -> Cells:
    return ["" if value is None else value for value in values]


def _as_read(entries: Entries[Entry]) -> tuple[Cells, ...]:
    moments, days, kelvins = (entries.values(name) for name in ("at", "day", "temperature"))
    sugars = [""] * len(entries)
    for place, test in entries.of_kind(SugarReading):
        sugars[place] = _sugar(test)
    celsius = {kelvin: _celsius(kelvin) for kelvin in set(kelvins) if kelvin is not None}
    return (
        [UNDATED if at is None and day is None else at or "" for at, day in zip(moments, days, strict=True)],
        _filled(days),
        _filled(entries.values("gravity")),
        sugars,
        [celsius.get(kelvin, "") for kelvin in kelvins],
        [guarded(note) for note in entries.values("note")],
        ["yes" if out else "" for out in entries.flags("excluded").tolist()],
    )


def _sugar(reading: SugarReading) -> Any:
    return f"<{reading.sugar!r}" if reading.below else reading.sugar


def _needs_more(entries: Entries[Entry]) -> bool:
    """Whether the plain columns do not hold all of some entry."""
    is_plain = all(kind in (HydrometerReading, SugarReading) for kind in entries.places())
    return not is_plain or entries.tells("instrument") or not np.isnan(entries.floats("doubt")).all()


def _with_more(entries: Entries[Entry]) -> tuple[Cells, ...]:
    brix, lost, ph, doubt, mass, key = (
        _filled(entries.values(name)) for name in ("brix", "lost", "ph", "doubt", "mass", "key")
    )
    words = np.empty(len(entries), object)
    for kind, places in entries.places().items():
        words[places] = WORDS.get(kind)
    for place, event in entries.of_kind(Event):
        words[place] = WORDS[event.what]
    names = [guarded(name) for name in entries.values("instrument")]
    return brix, lost, ph, words.tolist(), names, doubt, mass, [guarded(one) for one in key]


def _in_volumes(entries: Entries[Entry]) -> tuple[Cells, ...]:
    sizes, left = (["" if one is None else _litres(one) for one in entries.values(name)] for name in ("size", "volume"))
    return _filled(entries.values("bottles")), sizes, left


def _in_american(entries: Entries[Entry]) -> dict[str, Cells]:
    """Columns in American measures, by their headings, of what some entry tells."""
    return {
        heading: ["" if value is None else round(convert(value), 2) for value in entries.values(name)]
        for heading, (name, convert) in _AMERICAN.items()
        if entries.tells(name)
    }


def _litres(size: float) -> float:
    """The shortest number of litres that is the same volume when read back, or the nearest one."""
    litres = size * 1e3
    shorter = (*(round(litres, decimals) for decimals in range(12)), litres)
    return next((short for short in shorter if short / 1e3 == size), litres)


def _celsius(kelvin: float) -> float:
    """The shortest number of °C that is the same temperature when read back."""
    celsius = kelvin - ZERO_CELSIUS
    shorter = (round(celsius, decimals) for decimals in range(12))
    return next((short for short in shorter if short + ZERO_CELSIUS == kelvin), celsius)


def _as_worked_out(outcome: Outcome) -> Iterator[Cells]:
    states = outcome.on(*outcome.log)
    sugars = [(None, None, None) if state is None else state.sugar for state in states]
    columns: tuple[Iterable[float | None], ...] = (
        [row.day for row in outcome.log], [row.gravity for row in outcome.log], [typical for _, typical, _ in sugars],
        [low for low, _, _ in sugars], [high for _, _, high in sugars],
        [None if state is None else 100.0 * state.alcohol.typical for state in states],
    )  # fmt: skip
    for values, digits in zip(columns, _DIGITS, strict=True):
        yield ["" if value is None or math.isnan(value) else round(value, digits) for value in values]
