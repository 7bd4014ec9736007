"""Invented batches that tests share: a plain one to vary, and a full one that uses every field of the file."""

from __future__ import annotations

from typing import Any

import msgspec

from planner.document import edits
from planner.document.batch import (
    Addition,
    Adjustment,
    Batch,
    Event,
    Feed,
    FruitLine,
    HoneyLine,
    Hydrometer,
    HydrometerReading,
    Log,
    Preparation,
    Recipe,
    SensorReading,
    SugarReading,
    TemperatureStep,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    What,
    Yeast,
)
from planner.document.learnt import Learning, Learnt, Source, Told
from planner.document.tasting import BlindTest, Mark, Serving, Tasting
from planner.evaluation.outcome import Outcome, evaluate
from planner.planning.route import Route
from planner.planning.routes import each_route, ordered
from planner.reference.catalogue import Catalogue, catalogue

SHELF = catalogue()
PITCHED = "2026-08-14T19:30+02:00"


def plain(**recipe: Any) -> Batch:
    """Twenty litres of sour-cherry mead, planned well: nothing in it is doubtful but the stones."""
    usual: dict[str, Any] = {
        "fruits": (FruitLine(key="sour-cherry", mass=12.0),),
        "honeys": (HoneyLine(key="blossom", mass=4.6),),
        "water": 8.0,
        "yeast": Yeast(key="all-rounder", pitch=0.005),
        "temperatures": (TemperatureStep(day=0.0, temperature=292.15),),
        "feeds": (Feed(key="diammonium-phosphate", mass=0.008, day=1.0),),
        "vessel": 0.030,
    }
    return Batch(name="Hedge cherry", recipe=Recipe(**(usual | recipe)))


def with_log(batch: Batch, *readings: HydrometerReading | SugarReading, pitched_at: str | None = None) -> Batch:
    """The batch with these readings."""
    return msgspec.structs.replace(batch, log=Log(pitched_at=pitched_at, readings=readings))


def with_adjustment(batch: Batch, *additions: tuple[str, float], **fields: Any) -> Batch:
    """The batch with these additions, by key and mass, and other fields of the adjustment."""
    lines = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    return msgspec.structs.replace(batch, adjustment=Adjustment(additions=lines, **fields))


def read(day: float, gravity: float, temperature: float | None = 293.15, **fields: Any) -> HydrometerReading:
    """A hydrometer reading on a day."""
    return HydrometerReading(day=day, gravity=gravity, temperature=temperature, **fields)


def sugar_test(day: float, sugar: float) -> SugarReading:
    """A sugar test on a day."""
    return SugarReading(day=day, sugar=sugar)


def worked_out(batch: Batch, members: int = 0, **more: Any) -> Outcome:
    """What follows from a batch, without spans unless members are asked for."""
    return evaluate(batch, SHELF, members, **more)


def full() -> Batch:
    """A batch in which every field of the file is used; words from several scripts."""
    return Batch(
        name="Hedge blackcurrant & damson “späte Lese” 梅",
        recipe=Recipe(
            yeast=Yeast(key="dry-finisher", pitch=0.0065),
            fruits=(
                FruitLine(key="blackcurrant", mass=6.25, stoned=False),
                FruitLine(key="damson", mass=3.4, stoned=True, press_yield=0.66),
                FruitLine(key="apple", mass=4.0, as_juice=True, juice_gravity=1.0515),
            ),
            honeys=(HoneyLine(key="dark", mass=2.35), HoneyLine(key="light-blossom", mass=3.1, moisture=0.176)),
            water=6.5,
            preparation=Preparation(frozen=True, enzyme=False, soak=4.5),
            temperatures=(
                TemperatureStep(day=0.0, temperature=290.15), TemperatureStep(day=9.5, temperature=293.65),
            ),
            feeds=(
                Feed(key="diammonium-phosphate", mass=0.0045, day=1.0), Feed(key="yeast-autolysate", mass=0.012, day=2.5),
                Feed(key="blend", mass=0.006, sugar_used=0.3333),
            ),
            vessel=0.0275,
        ),
        log=Log(
            pitched_at=PITCHED,
            hydrometer=Hydrometer(calibration=288.15),
            readings=(
                HydrometerReading(at="2026-08-14T19:10+02:00", gravity=1.0985, temperature=294.65, note="before pitching"),
                HydrometerReading(day=6.25, gravity=1.041, temperature=293.15),
                HydrometerReading(at="2026-09-02T08:00+02:00", gravity=1.062, note="misread?", excluded=True),
                SugarReading(at="2026-10-30T18:00+01:00", sugar=3.5, note="strip"),
                HydrometerReading(at="2026-10-30T18:05+01:00", day=76.9, gravity=1.0025, temperature=288.15),
            ),
        ),
        adjustment=Adjustment(
            volume=0.0205, gravity=1.0022,
            additions=(
                Addition(key="erythritol", mass=0.6), Addition(key="maltodextrin-10", mass=0.15),
                Addition(key="malic-acid", mass=0.02),
            ),
            stabilised=True, serving_temperature=284.15,
        ),
        tastings=(
            Tasting(note="Sharp, dark fruit.", at="2026-11-05T20:00+01:00"), Tasting(note="Rounder after a week."),
        ),
        notes="Currants from the north hedge.\nPressed after seven days.",
    )  # fmt: skip


def with_titration() -> Batch:
    """The full batch, with a titration of its must besides."""
    batch = full()
    titrated = TitrationReading(at="2026-08-14T19:12+02:00", acid=8.25, doubt=0.15, note="0.1 N lye")
    return msgspec.structs.replace(
        batch, log=msgspec.structs.replace(batch.log, readings=(*batch.log.readings, titrated))
    )


def with_season() -> Batch:
    """The full batch, with long runs of a sensor and of a thermometer besides."""
    sensor = tuple(
        SensorReading(
            at=f"2026-08-{15 + n // 24:02}T{n % 24:02}:05:00+02:00", gravity=1.098 - n / 2000.0, temperature=291.0 + n % 3,
            instrument="grey", excluded=n == 7,
        ) for n in range(120)
    )  # fmt: skip
    warmth = tuple(WarmthReading(day=n / 4.0, temperature=290.15 + n % 5) for n in range(100))
    batch = full()
    log = msgspec.structs.replace(batch.log, readings=(*batch.log.readings, *warmth, *sensor))
    return msgspec.structs.replace(batch, log=log)


def with_sheets() -> Batch:
    """The batch with a season, marks on tasting sheets, a photograph and blind tests of every kind besides."""
    batch = with_season()
    sheet = Tasting(
        note="Long, a little thin.", at="2027-02-01T20:00+01:00", taster="Ines", photograph="glass.jpg",
        marks=(Mark(line="sweet", value=3.5, fit=-1), Mark(line="body", value=2.0), Mark(line="vinegar", value=5.0)),
    )  # fmt: skip
    triangle = BlindTest(
        kind="triangle", question="Which is the odd one?", samples=("plain", "with 20 g/L"), at="2027-02-02T20:00+01:00",
        servings=(Serving(taster="Ines", samples=(0, 1, 0), codes=(417, 902, 233), answer=(1,)),),
    )  # fmt: skip
    ranking = BlindTest(
        kind="ranking", samples=("a", "b", "c"), servings=(Serving(samples=(2, 0, 1), codes=(100, 999, 555)),)
    )
    return msgspec.structs.replace(batch, tastings=(*batch.tastings, sheet), tests=(triangle, ranking))


def with_learning() -> Batch:
    """The batch with sheets, and with what two earlier batches taught, one of them left out."""
    told = (
        Told(trait="pace", of="all-rounder", value=0.21, sd=0.09),
        Told(trait="dry_gravity", value=-0.0008, sd=0.0007),
    )
    learning = Learning(
        values=(Learnt(trait="pace", of="all-rounder", mean=0.13, sd=0.3, batches=1, shelf=0.4),),
        sources=(
            Source(name="Hedge cherry '25", file="cherry.meadbatch", told=told),
            Source(name="A stall", left_out=True),
        ),
    )
    return msgspec.structs.replace(with_sheets(), learning=learning)


def routes(batch: Batch, shelf: Catalogue, members: int | None = None) -> tuple[Route, ...]:
    """All ways to finish a batch, in the order in which they are shown."""
    return ordered(each_route(batch, shelf, members))


def with_checks() -> Batch:
    """The batch with what earlier ones taught, its hydrometer checked in water and its sensor in a known solution."""
    checks = (
        HydrometerReading(day=-1.0, gravity=1.0015, known=1.0, temperature=293.15),
        SensorReading(day=-1.0, gravity=1.049, known=1.05, instrument="red"),
    )
    return with_log(with_learning(), *checks)


def with_volumes() -> Batch:
    """The same with its volume measured as it stood, and what came off the lees later."""
    volumes = (
        VolumeReading(day=20.0, volume=0.0185, temperature=291.15, note="to the shoulder"),
        Event(day=40.0, what=What.RACKING, volume=0.017),
        VolumeReading(day=90.0, volume=0.0166, excluded=True),
    )
    return edits.add_readings(with_checks(), *volumes)
