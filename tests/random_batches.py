"""Random batches for property tests: everything that the edits allow, sensible or absurd."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any, get_args

import msgspec
import numpy as np
from hypothesis import strategies as st

from planner.document.batch import (
    AcidityReading,
    Addition,
    Adjustment,
    Batch,
    Entry,
    Event,
    Feed,
    FruitLine,
    Glass,
    HoneyLine,
    HouseRules,
    Hydrometer,
    HydrometerReading,
    Log,
    Losses,
    OtherMead,
    Preparation,
    Price,
    Prices,
    Recipe,
    Refractometer,
    RefractometerReading,
    SensorReading,
    Share,
    StepFeed,
    SugarReading,
    TasteReading,
    TemperatureStep,
    TitrationReading,
    Trial,
    TrialPart,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
    Wish,
    Yeast,
)
from planner.document.learnt import Learning, Learnt, Source, Told, Trait
from planner.document.tasting import BlindTest, Mark, Tasting
from planner.reference.catalogue import catalogue
from planner.tasting.blind import planned
from planner.tasting.sheet import LINES

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
    st.datetimes(datetime(1976, 1, 1), datetime(2076, 12, 31), timezones=offsets).map(
        lambda moment: moment.isoformat()[:40]
    ),
    st.sampled_from(["2026-08-14", "2026-08-14T19:30", "2026-08-14T19:30+02:00", "2026-08-20T07:00Z", "yesterday", ""]),
    st.text(max_size=40).filter(lambda text: not text[:4].isdecimal()),
)
days = numbers(-365.0, 3660.0) | numbers(-2.0, 60.0)
fractions = numbers(0.0, 1.0)
gravities = numbers(0.7, 1.6) | numbers(0.98, 1.13)
temperatures = numbers(263.15, 333.15) | numbers(283.15, 300.15)


flags = ("no_sulphite", "no_sorbate", "natural_only", "no_added_acid", "no_allergens", "no_heat")
house_rules = st.builds(
    HouseRules, alcohol_ceiling=st.none() | fractions, **{name: st.booleans() for name in flags}
)  # fmt: skip
wishes = st.builds(
    Wish, left_open=st.lists(st.sampled_from(["fruit", "juice", "honey", "water"]), unique=True).map(tuple),
    volume=st.none() | numbers(1e-4, 1.0), gravity=st.none() | gravities, alcohol=st.none() | fractions,
    finish=st.none() | gravities, acid=st.none() | numbers(0.0, 30.0), sweetness=st.none() | numbers(0.0, 200.0),
    body=st.none() | numbers(0.0, 0.01),
)  # fmt: skip
losses = st.builds(
    Losses, lees=fractions, racking=fractions, rackings=st.integers(1, 10), bottling=fractions,
)  # fmt: skip
prices = st.builds(Price, key=st.sampled_from(["apple", "blossom"]), per_kg=numbers(0.0, 100.0))


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
    step_feeds = st.builds(
        StepFeed, key=keys({**SHELF.honeys, **SHELF.fruits, "sugar": 0}, unknown), mass=masses(1.0), day=st.none() | days,
        gravity=st.none() | gravities, sugar_used=st.none() | fractions,
    )  # fmt: skip
    steps = st.builds(TemperatureStep, day=numbers(0.0, 3660.0) | numbers(0.0, 30.0), temperature=temperatures)
    return Recipe(
        yeast=draw(st.builds(Yeast, key=keys(SHELF.yeasts, unknown), pitch=masses(0.005))),
        fruits=tuple(draw(st.lists(fruits, max_size=3))),
        honeys=tuple(draw(st.lists(honeys, max_size=2))),
        water=draw(masses(8.0)),
        preparation=draw(
            st.builds(Preparation, frozen=st.booleans(), enzyme=st.booleans(), soak=numbers(0.0, 60.0),
                      whole=st.booleans(), on_fruit=numbers(0.0, 60.0), press=st.none() | numbers(1e-3, 1.0))
        ),
        temperatures=tuple(draw(st.lists(steps, max_size=3))),
        in_room=draw(st.booleans()),
        feeds=tuple(draw(st.lists(feeds, max_size=3))),
        step_feeds=tuple(draw(st.lists(step_feeds, max_size=3))),
        vessel=draw(st.none() | numbers(1e-6, 1e3)),
        rules=draw(house_rules),
        wish=draw(wishes),
        losses=draw(losses),
        prices=Prices(lines=tuple(draw(st.lists(prices, max_size=2))), bottle=draw(numbers(0.0, 5.0))),
        bottles=tuple(draw(st.lists(numbers(1e-4, 5e-3), max_size=2))),
        pitch_planned=draw(st.none() | moments),
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
        st.builds(HydrometerReading, gravity=gravities, doubt=doubts, known=st.none() | gravities, **shared),
        st.builds(SensorReading, gravity=gravities, doubt=doubts, known=st.none() | gravities, **shared),
        st.builds(RefractometerReading, brix=numbers(-2.0, 80.0) | numbers(4.0, 28.0), doubt=doubts, **shared),
        st.builds(WeightReading, lost=masses(1.0), doubt=doubts, **shared),
        st.builds(SugarReading, sugar=numbers(0.0, 1000.0), below=st.booleans(), doubt=doubts, **shared),
        st.builds(AcidityReading, ph=numbers(0.0, 14.0), doubt=doubts, **shared),
        st.builds(VolumeReading, volume=numbers(1e-6, 1e3), **shared),
        st.builds(TitrationReading, acid=numbers(0.0, 50.0), doubt=doubts, **shared),
        st.builds(WarmthReading, **warm),
        st.builds(TasteReading, **shared),
        st.builds(Event, what=st.sampled_from(What), key=st.none() | keys({**SHELF.nutrients, "blossom": 0, "apple": 0}, False),
                  mass=st.none() | masses(0.01), volume=st.none() | numbers(1e-6, 1e3), **shared),
    )  # fmt: skip


@st.composite
def adjustments(draw: st.DrawFn, unknown: bool = False) -> Adjustment:
    """Any adjustment."""
    shares = st.lists(st.builds(Share, component=st.sampled_from(["water", "ethanol", "fructose", "malic", "strange"]),
                                share=fractions), max_size=3).map(tuple)  # fmt: skip
    additions = st.builds(
        Addition, key=keys(SHELF.additives, unknown), mass=masses(0.5), alcohol=st.none() | fractions,
        sugar=st.none() | numbers(0.0, 1000.0),
        blend=st.none() | st.builds(OtherMead, name=st.just("Other"), composition=shares),
    )  # fmt: skip
    parts = st.lists(st.builds(TrialPart, key=keys(SHELF.additives, unknown), dose=numbers(0.0, 1000.0)), max_size=2)
    glasses = st.lists(
        st.builds(Glass, strength=numbers(0.0, 10.0), score=st.none() | numbers(0.0, 10.0),
                  rank=st.none() | st.integers(1, 20)), max_size=6,
    )  # fmt: skip
    trials = st.builds(Trial, parts=parts.map(tuple), glasses=glasses.map(tuple), glass=numbers(1e-6, 1e-3))
    return Adjustment(
        volume=draw(st.none() | numbers(1e-6, 1e3)),
        gravity=draw(st.none() | gravities),
        alcohol=draw(st.none() | numbers(0.0, 0.25)),
        acid=draw(st.none() | numbers(0.0, 50.0)),
        ph=draw(st.none() | numbers(2.0, 7.0)),
        drunk=draw(st.just(0.0) | numbers(0.0, 1e3)),
        vessel=draw(st.none() | numbers(1e-6, 1e3)),
        additions=tuple(draw(st.lists(additions, max_size=3))),
        trials=tuple(draw(st.lists(trials, max_size=1))),
        stabilised=draw(st.booleans()),
        stabilising=draw(st.sampled_from(("", "salts", "heat"))),
        serving_temperature=draw(temperatures),
    )


@st.composite
def blind_tests(draw: st.DrawFn) -> BlindTest:
    """A blind test with some answers."""
    kind = draw(st.sampled_from(["triangle", "paired", "preference", "ranking"]))
    names = tuple("abcdef"[: draw(st.integers(2, 6)) if kind == "ranking" else 2])
    dice = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    test = planned(BlindTest(kind=kind, samples=names), (), draw(st.integers(1, 4)), dice)
    places = [range(len(one.codes)) if kind == "ranking" else (0,) for one in test.servings]
    servings = tuple(
        msgspec.structs.replace(one, answer=tuple(where) if draw(st.booleans()) else ())
        for one, where in zip(test.servings, places, strict=True)
    )
    return msgspec.structs.replace(test, servings=servings)


def learnings() -> st.SearchStrategy[Learning]:
    """What earlier batches taught: moderate, as pooling gives it."""
    traits, of = st.sampled_from(get_args(Trait)), st.sampled_from(["", "all-rounder", "damson"])
    mean, sd = numbers(-0.9, 0.9), numbers(0.01, 0.9)
    told = st.builds(Told, trait=traits, of=of, value=mean, sd=sd)
    values = st.builds(
        Learnt, trait=traits, of=of, mean=mean, sd=sd, batches=st.integers(1, 9), shelf=numbers(0.0, 1.0)
    )
    sources = st.builds(Source, name=st.text(min_size=1, max_size=20), file=st.text(max_size=20), left_out=st.booleans(),
                        told=st.lists(told, max_size=2).map(tuple))  # fmt: skip
    return st.builds(Learning, used=st.booleans(), values=st.lists(values, max_size=3).map(tuple),
                     sources=st.lists(sources, max_size=2).map(tuple))  # fmt: skip


@st.composite
def batches(draw: st.DrawFn, unknown: bool = False) -> Batch:
    """Any batch that a file can hold."""
    marks = st.builds(
        Mark, line=keys(LINES, unknown), value=st.none() | numbers(0.0, 10.0), fit=st.none() | st.integers(-2, 2)
    )
    tastings = st.builds(Tasting, note=st.text(max_size=40), at=st.none() | moments, taster=st.text(max_size=20),
                         marks=st.lists(marks, max_size=3).map(tuple))  # fmt: skip
    return Batch(
        name=draw(st.text(min_size=1, max_size=200)),
        recipe=draw(recipes(unknown)),
        log=draw(logs()),
        adjustment=draw(adjustments(unknown)),
        tastings=tuple(draw(st.lists(tastings, max_size=2))),
        tests=tuple(draw(st.lists(blind_tests(), max_size=1))),
        notes=draw(st.text(max_size=60)),
        learning=draw(st.just(Learning()) | learnings()),
    )
