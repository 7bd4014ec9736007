"""The kinds of entries a log may hold, one row each: whoever reads, writes, shows or weighs them asks this table."""

from __future__ import annotations

from typing import Any, NamedTuple

from planner.document.batch import (
    AcidityReading,
    Entry,
    Event,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.model.inference import HYDROMETER_DOUBT


class ReadingKind(NamedTuple):
    """One kind of reading.

    Attributes
    ----------
    made : type of Entry
        What holds it.
    key : str
        What the rooms and the report call it.
    word : str
        What the choice in the log and the column "Kind" of a table call it.
    field : str
        Which field of `made` holds its figure; empty where it is told in words.
    measure : str
        What that is a figure of, as `wording.figures` has it.
    said : str
        How it is told in a sentence.
    typed : str
        How it stands in its cell, and is read back.
    told, per : str, float
        Its key in the report's data, and how many of that unit are in one of the field's; empty where the report's columns have it.
    same : float
        Two figures closer than this are one reading: half of what anyone writes down. [as the field]
    mark : str
        Its shape on the curve and in the table, as the drawing library names it.
    first : tuple of str
        Words with which a line may begin, so that what follows is one of these.
    doubt : float
        Half width of the 90 % interval of a gravity that is read off it, where none is entered. [-]
    offset : float
        Standard deviation of the constant error of one such instrument, as a gravity. [-] A stem's scale or paper slip, a sensor's
        calibration, a refractometer's way from index to gravity, a scale's. Estimates.
    """

    made: type[Any]
    key: str
    word: str
    field: str = ""
    measure: str = ""
    said: str = "{}"
    typed: str = "{}"
    told: str = ""
    per: float = 1.0
    same: float = 0.0
    mark: str = "|"
    first: tuple[str, ...] = ()
    doubt: float = 0.0
    offset: float = 0.0


READINGS = (
    ReadingKind(HydrometerReading, "hydrometer", "hydrometer", "gravity", "gravity", same=5e-5, mark="o", first=("hydrometer",),
                doubt=HYDROMETER_DOUBT, offset=0.0007),
    ReadingKind(RefractometerReading, "refractometer", "refractometer", "brix", "brix", "refractometer {}", "{}\u00a0°Bx", "indicated_brix", same=0.005,
                mark="s", first=("refractometer", "refr"), offset=0.0010),
    ReadingKind(SensorReading, "sensor", "floating sensor", "gravity", "gravity", same=5e-5, mark="H", first=("sensor",),
                doubt=0.003, offset=0.0010),  # estimate: yeast and bubbles cling to it
    ReadingKind(SugarReading, "sugar", "sugar test", "sugar", "concentration", "sugar test {}", told="tested_sugar_g_per_l", same=0.05, mark="D", first=("sugar",)),
    ReadingKind(WeightReading, "weight", "weight lost", "lost", "mass", "{} lighter", "−{}", "lost_g", 1e3, same=5e-5, mark="v", offset=0.0010),
    ReadingKind(AcidityReading, "ph", "pH", "ph", "ph", "pH {}", "pH\u00a0{}", "ph", same=0.005, mark="P"),
    ReadingKind(TitrationReading, "acid", "titratable acid", "acid", "concentration", "titratable acid {}", "TA\u00a0{}", "titratable_acid_g_per_l", same=0.05,
                first=("acid", "acidity", "ta", "titratable", "titration", "titrated")),
    ReadingKind(WarmthReading, "temperature", "temperature", "temperature", "temperature", "temperature", same=0.05, mark="x"),
    ReadingKind(VolumeReading, "volume", "volume", "volume", "volume", "volume {}", "volume {}", "volume_l", 1e3, same=5e-6, mark=">", first=("volume",)),
    ReadingKind(TasteReading, "taste", "taste", said="tasted", typed="taste", mark="*", first=("taste", "tasted", "tasting")),
)  # fmt: skip

OF_CLASS = {kind.made: kind for kind in READINGS}

KINDS: dict[type[Entry], str] = {**{kind.made: kind.key for kind in READINGS}, Event: "event"}
"""What each kind of entry is called in the rooms."""

TELLING = (*(kind.key for kind in sorted(READINGS, key=lambda kind: -kind.offset) if kind.offset), "sugar")
"""Kinds that tell of the ferment, the least sure first."""

GRAVITIES = tuple(kind.key for kind in READINGS if kind.field == "gravity")
"""Kinds that are read as a gravity and need nothing worked out."""


class EventKind(NamedTuple):
    """One kind of what is done to a batch: what the choice calls it, in a word that tables have, and first words of a line."""

    key: str
    word: str
    first: tuple[str, ...]


EVENTS = {
    What.FEED: EventKind("feed", "fed", ("fed", "feed")),
    What.ADDED: EventKind("added", "added", ("added", "add")),
    What.RACKING: EventKind("racking", "racked", ("racked", "racking", "rack")),
    What.STIRRING: EventKind("stirring", "stirred", ("stirred", "stirring", "stir", "roused", "rouse")),
    What.TEMPERATURE: EventKind("set", "temperature set", ("set", "moved")),
    What.STABILISED: EventKind("stabilised", "stabilised", ("stabilised", "stabilized")),
    What.PITCH: EventKind("pitch", "pitched", ("pitched", "pitch")),
    What.DOSE: EventKind("dose", "dosed", ("dosed", "dose")),
    What.BOTTLED: EventKind("bottled", "bottled", ("bottled", "bottle", "bottling")),
    What.NOTE: EventKind("note", "note", ("note",)),
}
