"""A reading as it is typed, and as it goes into the log: a gravity off the stem, or a test of the sugar left."""

from __future__ import annotations

import re
from typing import NamedTuple

import msgspec

from planner.batch import edits
from planner.batch.batch import Batch, HydrometerReading, SugarReading
from planner.ui.display import Display
from planner.ui.entry import EntryError, read_gravity, read_quantity
from planner.ui.when import When
from planner.units import Kind, System

MOST_SUGAR = 1000.0
"""More sugar than fits into a litre. [kg/m^3]"""

SAMPLE = (263.15, 333.15)
"""Temperatures of a sample that a batch can hold. [K]"""

LONGEST_NOTE = 20_000
"""Letters of a note that a batch can hold."""

_CONCENTRATION = re.compile(r"\d\s*[^\W\d_]+\.?\s*(?:/|per\b|p)\s*[^\W\d_]", re.IGNORECASE)


class Value(NamedTuple):
    """What was read: a gravity as seen, or sugar left. [-], [kg/m^3]"""

    gravity: float | None = None
    sugar: float | None = None


Reading = HydrometerReading | SugarReading


def read_value(text: str, display: Display) -> Value:
    """Read "1.050", "1050", "12.5 °Bx", or a sugar test such as "12 g/L".

    Raises
    ------
    EntryError
        If the text is neither a gravity nor a concentration with its unit.
    """
    if not text.strip():
        raise EntryError("A gravity such as 1.050 is wanted, or a sugar test such as 12 g/L.")
    if not _CONCENTRATION.search(text):
        return Value(gravity=read_gravity(text, display.locale, display.gravity_scale))
    sugar = read_quantity(text, Kind.CONCENTRATION, "g/L", display.locale)
    if sugar > MOST_SUGAR:
        raise EntryError(f"“{text.strip()}” is more sugar than a litre can hold; up to 1000 g/L is accepted.")
    return Value(sugar=sugar)


def read_temperature(text: str, display: Display) -> float | None:
    """Read the temperature of a sample; None for an empty text. [K]

    Raises
    ------
    EntryError
        If the text is no temperature, or one that no sample has.
    """
    if not text.strip():
        return None
    unit = "degF" if display.system == System.US else "degC"
    kelvin = read_quantity(text, Kind.TEMPERATURE, unit, display.locale)
    low, high = SAMPLE
    if not low <= kelvin <= high:
        between = f"{display.temperature(low)} to {display.temperature(high)}"
        raise EntryError(f"“{text.strip()}” is out of range: samples are taken from {between}.")
    return kelvin


def value_text(reading: Reading, display: Display) -> str:
    """A reading as it was entered, on the reader's scale; `read_value` reads it back."""
    if isinstance(reading, SugarReading):
        return display.text_for_editing(reading.sugar, Kind.CONCENTRATION, "g/L")
    return display.text_for_editing(reading.gravity, Kind.GRAVITY)


def reading_of(value: Value, when: When, temperature: float | None, note: str) -> Reading:
    """A reading for the log; `temperature` of the sample. [K]"""
    if value.sugar is not None:
        return SugarReading(sugar=value.sugar, at=when.at, day=when.day, temperature=temperature, note=note)
    assert value.gravity is not None
    return HydrometerReading(gravity=value.gravity, at=when.at, day=when.day, temperature=temperature, note=note)


def with_value(batch: Batch, index: int, value: Value) -> Batch:
    """The batch with one reading of the log read anew, be it as a gravity or as a sugar test.

    Raises
    ------
    planner.batch.edits.EditRefused
        The value is beyond what a file can hold.
    """
    before = batch.log.readings[index]
    if value.gravity is not None and isinstance(before, HydrometerReading):
        return edits.change_reading(batch, index, gravity=value.gravity)
    if value.sugar is not None and isinstance(before, SugarReading):
        return edits.change_reading(batch, index, sugar=value.sugar)
    other = reading_of(value, When(before.at, before.day), before.temperature, before.note)
    other = msgspec.structs.replace(other, excluded=before.excluded)
    readings = batch.log.readings
    return edits.change_log(batch, readings=(*readings[:index], other, *readings[index + 1 :]))


def without(batch: Batch, indices: list[int]) -> Batch:
    """The batch without some readings of its log."""
    gone = set(indices)
    kept = tuple(reading for index, reading in enumerate(batch.log.readings) if index not in gone)
    return edits.change_log(batch, readings=kept)
