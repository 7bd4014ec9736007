"""A batch as the user decided and measured it: frozen values, nothing that can be worked out.

Numbers are SI, with the unit in the file's key; days since pitching are in days, a unit accepted for use with the SI.
Limits in the types exclude only the impossible; what is merely unwise is a finding.
"""

from __future__ import annotations

from typing import Annotated, Any

import msgspec


def quantity(
    unit: str, label: str, *, ge: float | None = None, le: float | None = None, gt: float | None = None
) -> msgspec.Meta:
    """A number's unit, what it is called, and what is impossible for it. [limits in that unit]"""
    meta: msgspec.Meta
    if gt is not None:
        meta = msgspec.Meta(title=label, extra={"unit": unit}, gt=gt, le=le)
    else:
        meta = msgspec.Meta(title=label, extra={"unit": unit}, ge=ge, le=le)
    return meta


Mass = Annotated[float, quantity("kg", "Mass", ge=0.0, le=1e5)]
Volume = Annotated[float, quantity("m3", "Volume", gt=0.0, le=1e3)]
Fraction = Annotated[float, quantity("1", "Fraction", ge=0.0, le=1.0)]
Temperature = Annotated[float, quantity("K", "Temperature", ge=263.15, le=333.15)]
Gravity = Annotated[float, quantity("1", "Specific gravity 20/20 °C", ge=0.7, le=1.6)]
Concentration = Annotated[float, quantity("kg/m3", "Concentration", ge=0.0, le=1000.0)]
Day = Annotated[float, quantity("d", "Days since pitching", ge=-365.0, le=3660.0)]
Key = Annotated[str, msgspec.Meta(min_length=1, max_length=80)]
Text = Annotated[str, msgspec.Meta(max_length=20_000)]


def _as(name: str, default: Any = msgspec.NODEFAULT) -> Any:
    """A field whose name in the file carries its unit."""
    return msgspec.field(name=name, default=default)


class Value(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Base of every part of a batch: immutable, compared by value, strict when read."""


class FruitLine(Value, frozen=True, kw_only=True):
    """One fruit of the recipe."""

    key: Key
    mass: Mass = _as("mass_kg")
    stoned: bool = False
    """Weighed without stones, stems and cores."""
    as_juice: bool = False
    """The mass is of juice, not of fruit."""
    press_yield: Fraction | None = _as("press_yield_fraction", None)
    """Measured mass of juice per mass of fruit without stones; None for the table's."""
    juice_gravity: Gravity | None = _as("juice_gravity_sg20", None)
    """Measured gravity of the juice; None for the table's composition."""


class HoneyLine(Value, frozen=True, kw_only=True):
    """One honey of the recipe, by weight."""

    key: Key
    mass: Mass = _as("mass_kg")
    moisture: Fraction | None = _as("moisture_fraction", None)
    """Measured water content; None for the table's."""


class Preparation(Value, frozen=True, kw_only=True):
    """What is done to the fruit before pressing."""

    frozen: bool = True
    enzyme: bool = True
    soak: Annotated[float, quantity("d", "Cold soak", ge=0.0, le=60.0)] = _as("cold_soak_d", 7.0)


class TemperatureStep(Value, frozen=True, kw_only=True):
    """From a day on, the must is kept at a temperature."""

    day: Annotated[float, quantity("d", "From day", ge=0.0, le=3660.0)] = _as("from_day_d")
    temperature: Temperature = _as("temperature_k")


class Feed(Value, frozen=True, kw_only=True):
    """A dose of nutrient, given on a day or when a share of the sugar is used."""

    key: Key
    mass: Mass = _as("mass_kg")
    day: Day | None = _as("day_d", None)
    sugar_used: Fraction | None = _as("sugar_used_fraction", None)


class Yeast(Value, frozen=True, kw_only=True):
    """The yeast and how much of it is pitched, dry."""

    key: Key
    pitch: Mass = _as("mass_kg")


class Recipe(Value, frozen=True, kw_only=True):
    """What goes into the fermenter and what is done to it."""

    yeast: Yeast
    fruits: tuple[FruitLine, ...] = ()
    honeys: tuple[HoneyLine, ...] = ()
    water: Mass = _as("water_kg", 0.0)
    preparation: Preparation = Preparation()
    temperatures: tuple[TemperatureStep, ...] = (TemperatureStep(day=0.0, temperature=291.15),)
    feeds: tuple[Feed, ...] = ()
    vessel: Volume | None = _as("vessel_m3", None)


class Reading(Value, tag_field="kind", frozen=True, kw_only=True):
    """Something measured on the batch: at a moment with its offset from UTC, or so many days after pitching."""

    at: Annotated[str, msgspec.Meta(max_length=40)] | None = _as("at", None)
    day: Day | None = _as("days_since_pitch_d", None)
    temperature: Temperature | None = _as("temperature_k", None)
    note: Text = ""
    excluded: bool = False


class HydrometerReading(Reading, tag="hydrometer", frozen=True, kw_only=True):
    """A gravity as read off the stem, not yet corrected."""

    gravity: Gravity = _as("indicated_gravity")


class SugarReading(Reading, tag="sugar", frozen=True, kw_only=True):
    """Fermentable sugar left, by strip or assay."""

    sugar: Concentration = _as("sugar_kg_per_m3")


class Hydrometer(Value, frozen=True, kw_only=True):
    """The instrument: the temperature it is made for."""

    calibration: Temperature = _as("calibration_k", 293.15)


class Log(Value, frozen=True, kw_only=True):
    """What was measured, in the order it was entered."""

    pitched_at: Annotated[str, msgspec.Meta(max_length=40)] | None = None
    hydrometer: Hydrometer = Hydrometer()
    readings: tuple[HydrometerReading | SugarReading, ...] = ()


class Addition(Value, frozen=True, kw_only=True):
    """So much of an ingredient added to the finished mead."""

    key: Key
    mass: Mass = _as("mass_kg")


class Adjustment(Value, frozen=True, kw_only=True):
    """The finished mead as measured, where it was, and what is added to it."""

    volume: Volume | None = _as("volume_m3", None)
    gravity: Gravity | None = _as("gravity_sg20", None)
    additions: tuple[Addition, ...] = ()
    stabilised: bool = False
    """Yeast and bacteria are kept from working: by sulphite with sorbate, or by heat."""
    serving_temperature: Temperature = _as("serving_temperature_k", 285.15)


class Tasting(Value, frozen=True, kw_only=True):
    """What it tasted like on a day."""

    note: Text
    at: Annotated[str, msgspec.Meta(max_length=40)] | None = None


class Batch(Value, frozen=True, kw_only=True):
    """One batch from the fruit to the bottle."""

    name: Annotated[str, msgspec.Meta(min_length=1, max_length=200)]
    recipe: Recipe
    log: Log = Log()
    adjustment: Adjustment = Adjustment()
    tastings: tuple[Tasting, ...] = ()
    notes: Text = ""


def new_batch() -> Batch:
    """An empty batch, ready to be filled: a name, a yeast and its usual pitch, and nothing else."""
    return Batch(name="New batch", recipe=Recipe(yeast=Yeast(key="all-rounder", pitch=0.005)))
