"""Random batches for property tests: everything that the edits allow, sensible or absurd."""

from __future__ import annotations

from datetime import timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from planner.batch.batch import (
    AcidityReading,
    Addition,
    Adjustment,
    Batch,
    Entry,
    Event,
    Feed,
    FruitLine,
    HoneyLine,
    Hydrometer,
    HydrometerReading,
    Log,
    Preparation,
    Recipe,
    Refractometer,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    Tasting,
    TemperatureStep,
    WarmthReading,
    WeightReading,
    What,
    Yeast,
)
from planner.reference.catalogue import catalogue

SHELF = catalogue()


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Any number between two limits."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


def keys(known: object, unknown: bool) -> st.SearchStrategy[str]:
    """Keys of the shelf, and strange ones where they are wanted."""
    on_shelf = st.sampled_from(sorted(known))
    return st.one_of(on_shelf, st.text(min_size=1, max_size=80)) if unknown else on_shelf


def masses(usual: float) -> st.SearchStrategy[float]:
    """Masses as people use them, none at all, and whatever a file can hold."""
    return st.one_of(numbers(0.1 * usual, 3.0 * usual), st.just(0.0), numbers(0.0, 1e5))


offsets = st.integers(-12 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
moments = st.one_of(
    st.datetimes(timezones=offsets).map(lambda moment: moment.isoformat()[:40]),
    st.sampled_from(["2026-08-14", "2026-08-14T19:30", "2026-08-14T19:30+02:00", "2026-08-20T07:00Z", "yesterday", ""]),
    st.text(max_size=40),
)
days = numbers(-365.0, 3660.0) | numbers(-2.0, 60.0)
fractions = numbers(0.0, 1.0)
gravities = numbers(0.7, 1.6) | numbers(0.98, 1.13)
temperatures = numbers(263.15, 333.15) | numbers(283.15, 300.15)


@st.composite
def recipes(draw: st.DrawFn, unknown: bool = False) -> Recipe:
    """Any recipe; with strange keys only where they are wanted."""
    fruits = st.builds(
        FruitLine, key=keys(SHELF.fruits, unknown), mass=masses(5.0), stoned=st.booleans(), as_juice=st.booleans(),
        press_yield=st.none() | fractions, juice_gravity=st.none() | gravities,
    )  # fmt: skip
    honeys = st.builds(
        HoneyLine, key=keys(SHELF.honeys, unknown), mass=masses(5.0), moisture=st.none() | fractions
    )  # fmt: skip
    feeds = st.builds(
        Feed, key=keys(SHELF.nutrients, unknown), mass=masses(0.01), day=st.none() | days,
        sugar_used=st.none() | fractions,
    )  # fmt: skip
    steps = st.builds(TemperatureStep, day=numbers(0.0, 3660.0) | numbers(0.0, 30.0), temperature=temperatures)
    return Recipe(
        yeast=draw(st.builds(Yeast, key=keys(SHELF.yeasts, unknown), pitch=masses(0.005))),
        fruits=tuple(draw(st.lists(fruits, max_size=3))),
        honeys=tuple(draw(st.lists(honeys, max_size=2))),
        water=draw(masses(8.0)),
        preparation=draw(
            st.builds(Preparation, frozen=st.booleans(), enzyme=st.booleans(), soak=numbers(0.0, 60.0))
        ),
        temperatures=tuple(draw(st.lists(steps, max_size=3))),
        feeds=tuple(draw(st.lists(feeds, max_size=3))),
        vessel=draw(st.none() | numbers(1e-6, 1e3)),
    )  # fmt: skip


@st.composite
def logs(draw: st.DrawFn) -> Log:
    """Any log: readings dated by moment, by day, by both or not at all."""
    shared = {
        "at": st.none() | moments, "day": st.none() | days, "temperature": st.none() | temperatures,
        "note": st.text(max_size=20), "excluded": st.booleans(), "instrument": st.text(max_size=12),
    }  # fmt: skip
    return Log(
        pitched_at=draw(st.none() | moments),
        hydrometer=Hydrometer(calibration=draw(temperatures)),
        refractometer=Refractometer(compensated=draw(st.booleans())),
        readings=tuple(draw(st.lists(entries(shared), max_size=5))),
    )


def entries(shared: dict[str, st.SearchStrategy[Any]]) -> st.SearchStrategy[Entry]:
    """Any entry of a log, with these strategies for what all have in common."""
    doubts = st.none() | numbers(0.0, 0.1)
    warm = shared | {"temperature": temperatures}
    return st.one_of(
        st.builds(HydrometerReading, gravity=gravities, doubt=doubts, **shared),
        st.builds(SensorReading, gravity=gravities, doubt=doubts, **shared),
        st.builds(RefractometerReading, brix=numbers(-2.0, 80.0) | numbers(4.0, 28.0), doubt=doubts, **shared),
        st.builds(WeightReading, lost=masses(1.0), doubt=doubts, **shared),
        st.builds(SugarReading, sugar=numbers(0.0, 1000.0), below=st.booleans(), doubt=doubts, **shared),
        st.builds(AcidityReading, ph=numbers(0.0, 14.0), doubt=doubts, **shared),
        st.builds(WarmthReading, **warm),
        st.builds(TasteReading, **shared),
        st.builds(Event, what=st.sampled_from(What), key=st.none() | keys(SHELF.nutrients, False),
                  mass=st.none() | masses(0.01), **shared),
    )  # fmt: skip


@st.composite
def adjustments(draw: st.DrawFn, unknown: bool = False) -> Adjustment:
    """Any adjustment."""
    additions = st.builds(Addition, key=keys(SHELF.additives, unknown), mass=masses(0.5))
    return Adjustment(
        volume=draw(st.none() | numbers(1e-6, 1e3)),
        gravity=draw(st.none() | gravities),
        additions=tuple(draw(st.lists(additions, max_size=3))),
        stabilised=draw(st.booleans()),
        serving_temperature=draw(temperatures),
    )


@st.composite
def batches(draw: st.DrawFn, unknown: bool = False) -> Batch:
    """Any batch that a file can hold."""
    tastings = st.builds(Tasting, note=st.text(max_size=40), at=st.none() | moments)
    return Batch(
        name=draw(st.text(min_size=1, max_size=200)),
        recipe=draw(recipes(unknown)),
        log=draw(logs()),
        adjustment=draw(adjustments(unknown)),
        tastings=tuple(draw(st.lists(tastings, max_size=2))),
        notes=draw(st.text(max_size=60)),
    )
