"""How warm a must gets in its room."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain

from planner.document.batch import Feed, HoneyLine, TemperatureStep
from planner.recipe.must import must
from planner.timeline.self_warming import warmest


def peak_of(batch):
    return warmest(batch.recipe, must(batch, SHELF, 0), SHELF)


def fold(batch, factor):
    """The same must, so many times as much."""
    recipe = batch.recipe
    more = {
        "fruits": tuple(msgspec.structs.replace(line, mass=line.mass * factor) for line in recipe.fruits),
        "honeys": tuple(msgspec.structs.replace(line, mass=line.mass * factor) for line in recipe.honeys),
        "feeds": tuple(msgspec.structs.replace(feed, mass=feed.mass * factor) for feed in recipe.feeds),
        "water": recipe.water * factor,
        "yeast": msgspec.structs.replace(recipe.yeast, pitch=recipe.yeast.pitch * factor),
    }
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(recipe, **more))


def test_that_twenty_litres_get_a_few_degrees_warmer_than_their_room():
    # 17 L of red must were 3 to 4 °C above their room at twice the pace (open data, Stellenbosch 2022).
    peak = peak_of(plain())
    assert 0.3 <= peak.temperature - 292.15 <= 3.5
    assert 0.5 < peak.day < 10.0


def test_that_a_cubic_metre_gets_much_warmer():
    # 1.3 °C per °Brix is the most it can: some 28 °C for 22 °Brix.
    small, large = peak_of(plain()), peak_of(fold(plain(), 50.0))
    assert small.temperature + 3.0 < large.temperature < 292.15 + 28.0


def test_that_what_hardly_ferments_does_not_warm():
    idle = plain(temperatures=(TemperatureStep(day=0.0, temperature=273.65),))
    assert peak_of(idle).temperature == pytest.approx(273.65, abs=0.2)


def test_that_food_makes_it_hotter():
    poor = plain(fruits=(), honeys=(HoneyLine(key="light-blossom", mass=5.5),), water=16.0, feeds=())
    fed = plain(fruits=(), honeys=(HoneyLine(key="light-blossom", mass=5.5),), water=16.0,
                feeds=(Feed(key="diammonium-phosphate", mass=0.018, day=0.0),))  # fmt: skip
    assert peak_of(fed).temperature > peak_of(poor).temperature + 0.3
