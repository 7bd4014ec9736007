"""What a script may put into a batch, but no file can hold, is refused where the batch is worked out, with its place."""

from __future__ import annotations

from math import inf, nan
from pathlib import Path

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, full, plain, read, with_adjustment, with_log, with_season
from hypothesis import given, settings
from random_batches import batches

import planner
from planner.document.batch import Feed, FruitLine, HoneyLine, SensorReading, Yeast
from planner.document.codec import BatchFileError, ImpossibleBatch, encode, encode_quickly, refuse_impossible
from planner.evaluation.outcome import evaluate

REPLACE = msgspec.structs.replace


def season(row: int, **fields):
    """A log long enough to stand in columns, with one reading that is otherwise."""
    usual = [SensorReading(day=n / 24.0, gravity=1.09 - n / 1e4, temperature=291.0) for n in range(300)]
    usual[row] = REPLACE(usual[row], **fields)
    return with_log(plain(), *usual)


IMPOSSIBLE = {
    "a negative mass": (plain(honeys=(HoneyLine(key="blossom", mass=-1.0),)), r"batch\.recipe\.honeys\[0\]\.mass_kg"),
    "not a number": (plain(water=nan), r"batch\.recipe\.water_kg"),
    "not a number where none may stand": (
        plain(fruits=(FruitLine(key="apple", mass=1.0, press_yield=nan),)),
        r"batch\.recipe\.fruits\[0\]\.press_yield_fraction: a number must be finite",
    ),
    "no end": (with_adjustment(plain(), volume=inf), r"batch\.adjustment\.volume_m3"),
    "a text for a number": (plain(water="8"), r"batch\.recipe\.water_kg: expected a number, got a text"),
    "a truth for a number": (plain(water=True), r"batch\.recipe\.water_kg"),
    "nothing for a part": (plain(yeast=None), r"batch\.recipe\.yeast"),
    "a dictionary for a part": (
        plain(yeast={"key": "all-rounder", "mass_kg": 0.005}),
        r"batch\.recipe\.yeast: expected a value of the kind Yeast, got a dictionary",
    ),
    "a list for a tuple": (
        plain(feeds=[Feed(key="blend", mass=0.004, day=1.0)]),
        r"batch\.recipe\.feeds: expected a tuple, got a list",
    ),
    "a set": (plain(feeds={1, 2}), r"batch\.recipe\.feeds"),
    "a thing": (plain(yeast=Yeast(key="all-rounder", pitch=object())), r"batch\.recipe\.yeast\.mass_kg: an object cannot"),
    "half a character": (REPLACE(plain(), notes="\ud800"), r"batch\.notes: a text in it holds half of a character"),
    "an empty name": (REPLACE(plain(), name=""), r"batch\.name"),
    "a reading beyond its limits": (with_log(plain(), read(0.0, 9.0)), r"batch\.log\.readings\[0\]\.indicated_gravity"),
    "a reading that is none": (
        with_log(plain(), read(0.0, 1.08), read(1.0, nan)), r"batch\.log\.readings\[1\]\.indicated_gravity"
    ),
    "texts for numbers in a long log": (
        with_log(plain(), *(SensorReading(day=n / 24.0, gravity="1.05", temperature=291.0) for n in range(200))),
        r"batch\.log\.readings\[0\]\.indicated_gravity: expected a number, got a text",
    ),
    "one of a long run that is too high": (season(57, gravity=1.7), r"readings\[0\]\.then\.indicated_gravity\[56\]"),
    "one of a long run that is none": (season(57, gravity=nan), r"readings\[0\]\.then\.indicated_gravity\[56\]"),
    "one of a long run that is too cold": (season(299, temperature=3.0), r"readings\[0\]\.then\.temperature_k\[298\]"),
    "the first of a long run": (season(0, gravity=-inf), r"readings\[0\]\.first\.indicated_gravity"),
}  # fmt: skip


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_that_what_no_file_can_hold_is_not_worked_out_and_its_place_is_told(case):
    batch, place = IMPOSSIBLE[case]
    with pytest.raises(ImpossibleBatch, match=place):
        evaluate(batch, SHELF, 0)
    with pytest.raises(BatchFileError):
        encode(batch)


@pytest.mark.parametrize("thing", [None, "raspberry-finished", {}, plain().recipe])
def test_that_what_is_no_batch_is_refused(thing):
    with pytest.raises(ImpossibleBatch, match="This is not a batch"):
        evaluate(thing, SHELF, 0)


def test_that_numbers_of_a_library_are_numbers():
    batch = plain(water=np.float64(8.0))
    assert evaluate(batch, SHELF, 0).must.volume == evaluate(plain(water=8.0), SHELF, 0).must.volume
    assert encode(batch) == encode(plain(water=8.0))
    with pytest.raises(ImpossibleBatch, match=r"batch\.recipe\.water_kg: a value of the kind int64"):
        evaluate(plain(water=np.int64(8)), SHELF, 0)


def test_that_the_quick_copy_tells_the_place_too():
    with pytest.raises(BatchFileError, match=r"batch\.notes"):
        encode_quickly(REPLACE(plain(), notes="\ud800"))


@given(batches(unknown=True))
@settings(max_examples=30)
def test_that_whatever_a_file_can_hold_is_accepted(batch):
    refuse_impossible(batch)


def test_that_a_full_batch_and_a_season_of_a_sensor_are_accepted():
    for batch in (full(), with_season(), season(57)):
        refuse_impossible(batch)


def test_that_whoever_imports_the_package_is_told_its_types():
    """The marker of PEP 561."""
    assert (Path(planner.__file__).parent / "py.typed").exists()
