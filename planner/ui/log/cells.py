"""What stands in the cells of the log: texts for each column, in the reader's own habits."""

from __future__ import annotations

from datetime import datetime
from enum import IntEnum

import numpy as np
from PySide6.QtCore import Qt

from planner.document.batch import Event, Log, WarmthReading
from planner.document.timestamps import day_of, moment_of, parsed
from planner.evaluation.outcome import Outcome
from planner.timeline.readings import DOSED, Logged
from planner.ui.display import MINUS, Display
from planner.ui.log.entry import Reading
from planner.ui.log.round_trip import exact_number, exact_text
from planner.ui.log.text import short_text, value_text
from planner.ui.log.typed_addition import NO_NAMES, Names
from planner.ui.log.when import moment_for_editing, moment_text, now
from planner.units import GravityScale, Kind, System


class Column(IntEnum):
    """The columns, from left to right."""

    DAY = 0
    WHEN = 1
    READING = 2
    TEMPERATURE = 3
    CORRECTED = 4
    DIFFERENCE = 5
    ALCOHOL = 6
    INSTRUMENT = 7
    NOTE = 8
    COUNTS = 9


WORKED_OUT = (Column.CORRECTED, Column.DIFFERENCE, Column.ALCOHOL)
"""What is known only once the batch is worked out."""

EDITABLE = (Column.DAY, Column.WHEN, Column.READING, Column.TEMPERATURE, Column.INSTRUMENT, Column.NOTE)

EXPLAINED = {
    Column.DAY: "Days since pitching. Type a day or a date and time.",
    Column.WHEN: "When the reading was taken. Type a date and time, or a day since pitching.",
    Column.READING: "What was read or done. Type 1.050, 20.5 °Bx, 12 g/L, pH 3.4, TA 6 g/L, −{1.2 kg} or {18 °C}. Or type volume {10.8 L}, racked, fed 5 g …",
    Column.TEMPERATURE: "Temperature of the sample; without one it counts as taken at {20 °C}.",
    Column.CORRECTED: "Gravity corrected for the sample's temperature; of other readings, the gravity that goes with them (≈).",
    Column.DIFFERENCE: "How far above (+) or below (−) the expected curve, in points or °Brix.",
    Column.ALCOHOL: "Alcohol on that day, by all that was read, and by mass balance with what this must is made of.",
    Column.INSTRUMENT: "Which instrument it was read with.",
    Column.NOTE: "Anything worth keeping.",
    Column.COUNTS: "Whether the reading counts. A reading that is left out stays in the log, and hollow on the curve.",
}

NAMES = {
    Column.DAY: "day",
    Column.WHEN: "moment",
    Column.READING: "value",
    Column.TEMPERATURE: "temperature",
    Column.INSTRUMENT: "instrument",
    Column.NOTE: "note",
}
"""What an edit of each column is called in the menu."""

_HEADINGS = {
    Column.DAY: "Day",
    Column.WHEN: "When",
    Column.READING: "Reading",
    Column.DIFFERENCE: "vs exp.",
    Column.ALCOHOL: "% vol",
    Column.INSTRUMENT: "Instrument",
    Column.NOTE: "Note",
    Column.COUNTS: "Counts",
}
_NOTHING = "–"


def heading(column: Column, display: Display) -> str:
    """What stands over a column."""
    if column is Column.TEMPERATURE:
        return "°F" if display.system == System.US else "°C"
    if column is Column.CORRECTED:
        return f"at {display.temperature(293.15)}"
    return _HEADINGS[column]


def alignment(column: Column) -> Qt.AlignmentFlag:
    """Numbers to the right, words to the left."""
    left = column in (Column.WHEN, Column.READING, Column.INSTRUMENT, Column.NOTE, Column.COUNTS)
    return (Qt.AlignmentFlag.AlignLeft if left else Qt.AlignmentFlag.AlignRight) | Qt.AlignmentFlag.AlignVCenter


def shown(reading: Reading, column: Column, log: Log, display: Display, names: Names = NO_NAMES) -> str:
    """The text of a column that is known without working anything out."""
    if column is Column.DAY:
        day = day_of(reading.at, reading.day, log.pitched_at)
        return _NOTHING if day is None else display.number(day, 1)
    if column is Column.WHEN:
        moment = _moment(reading, log)
        return _NOTHING if moment is None else moment_text(moment, display.locale, now().year)
    if column is Column.READING:
        return short_text(reading, display, names)
    if column is Column.INSTRUMENT:
        return " ".join(reading.instrument.split())
    # The entry itself says its temperature where it is nothing but one.
    if (
        column is Column.TEMPERATURE
        and reading.temperature is not None
        and not isinstance(reading, WarmthReading | Event)
    ):
        return display.number(display.to_scale(reading.temperature, Kind.TEMPERATURE), 1)
    return " ".join(reading.note.split()) if column is Column.NOTE else ""


def worked_out(known: Logged, column: Column, outcome: Outcome, display: Display) -> str:
    """The text of a column that follows from the batch."""
    curve = outcome.curve
    if not known.tells:
        return ""
    if column is Column.CORRECTED:
        return ("≈\u00a0" if known.kind != "hydrometer" else "") + display.gravity(known.gravity)
    if column is Column.ALCOHOL:
        (state,) = outcome.on(known)
        return "" if state is None else display.number(100.0 * state.alcohol.typical, 1)
    if known.tells == DOSED:
        return "" if known.expected is None else _off(known.gravity, known.expected, display)
    if curve is None or known.day is None or not curve.days[0] <= known.day <= curve.days[-1]:
        return ""
    return _off(known.gravity, float(np.interp(known.day, curve.days, curve.gravity)), display)


def for_editing(reading: Reading, column: Column, log: Log, display: Display, names: Names = NO_NAMES) -> str:
    """The text with which an edit of a cell begins."""
    if column is Column.WHEN:
        moment = _moment(reading, log)
        return "" if moment is None else moment_for_editing(moment)
    if column is Column.NOTE:
        return reading.note
    if column is Column.TEMPERATURE and reading.temperature is not None:
        return exact_text(reading.temperature, display, Kind.TEMPERATURE)
    if column is Column.DAY:
        day = day_of(reading.at, reading.day, log.pitched_at)
        return "" if day is None else exact_number(day, display, 1, 4)
    if column is Column.READING:
        return value_text(reading, display, names)
    return reading.instrument if column is Column.INSTRUMENT else ""


def _off(gravity: float, expected: float, display: Display) -> str:
    """How far above or below expected, with its sign."""
    brix = display.gravity_scale == GravityScale.BRIX
    here, there = (display.to_scale(value, Kind.GRAVITY) for value in (gravity, expected))
    text = display.number(here - there if brix else 1000.0 * (here - there), 1 if brix else 0)
    return text if text.startswith(MINUS) or not any(figure in text for figure in "123456789") else f"+{text}"


def _moment(reading: Reading, log: Log) -> datetime | None:
    moment = parsed(reading.at) if reading.at else None
    if moment is None and reading.day is not None:
        moment = moment_of(reading.day, log.pitched_at)
    return moment
