"""Whole fruit: what it holds back at pitching, how that comes out, and what the pomace keeps."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain, read, with_log, worked_out
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import FruitLine, HoneyLine, Preparation
from planner.model.liquid import Liquid, alcohol, gravity, volume
from planner.recipe.must import anchored, must, starts_at
from planner.recipe.pulp import HALF_TIME, RUN_OUT
from planner.timeline.course import expected


def whole(**preparation):
    how = {"frozen": True, "enzyme": True, "soak": 0.0, "whole": True, "on_fruit": 7.0} | preparation
    return plain(preparation=Preparation(**how))


def test_that_the_must_holds_all_that_the_fruit_holds():
    batch = whole()
    start, pressed = must(batch, SHELF, 0), must(plain(), SHELF, 0)
    line, row = batch.recipe.fruits[0], SHELF.fruit("sour-cherry")
    flesh = line.mass * (1.0 - row.stone)
    held = float(start.juices[0].mass[0])
    assert float(pressed.juices[0].mass[0]) < held < flesh
    # 93 to 97 % of flesh is water and what is dissolved in it (property data, whole fruit).
    assert 0.93 <= held / flesh <= 0.99
    other = batch.recipe.water + sum(pot.mass for pot in batch.recipe.honeys)
    assert float(start.liquid.mass[0]) == pytest.approx(held + other, abs=1e-9)


def test_that_the_fruit_of_the_published_example_ends_at_the_gravity_of_both_together():
    """12 L of honey must at 1.115 with 4 kg of pitted sour cherries, which hold 3.8 L at 1.055: 1.1005 in the end. The
    mixture of two volumes; our own row of the fruit may hold a little more or less."""
    honey_must = plain(fruits=(), honeys=(HoneyLine(key="blossom", mass=4.4),), water=8.95)
    alone = must(honey_must, SHELF, 0)
    assert float(volume(alone.liquid)[0]) == pytest.approx(0.012, abs=2e-4)
    fruit = FruitLine(key="sour-cherry", mass=4.0, stoned=True)
    batch = plain(fruits=(fruit,), honeys=honey_must.recipe.honeys, water=8.95,
                  preparation=Preparation(frozen=False, enzyme=False, soak=0.0, whole=True))  # fmt: skip
    start = must(batch, SHELF, 0)
    parts = [alone.liquid, start.juices[0]]
    rooms = [float(volume(part)[0]) for part in parts]
    heavy = [float(gravity(part)[0]) for part in parts]
    assert rooms[1] == pytest.approx(0.0038, abs=2e-4)
    assert heavy == pytest.approx([1.115, 1.055], abs=0.005)
    together = float(np.average(heavy, weights=rooms))
    assert float(gravity(start.liquid)[0]) == pytest.approx(together, abs=0.0005)
    assert float(gravity(start.liquid)[0]) == pytest.approx(1.1005, abs=0.004)
    # At first the hydrometer stands between the honey must and that.
    first = float(gravity(start.free())[0])
    assert float(gravity(start.liquid)[0]) + 0.005 < first < float(gravity(alone.liquid)[0])


@given(st.floats(0.0, 30.0), st.floats(0.0, 30.0), st.booleans())
def test_that_fruit_only_gives_and_has_given_all_when_it_is_pressed(one, other, opened):
    start = must(whole(frozen=opened, enzyme=opened), SHELF, 5)
    early, late = sorted((one, other))
    assert np.all(start.pulp.held(late).mass <= start.pulp.held(early).mass)
    assert np.all(start.pulp.held(7.0).mass == 0.0)
    assert start.free(early).mass + start.pulp.held(early).mass == pytest.approx(start.liquid.mass)


@pytest.mark.parametrize("days", [0.05, 0.2, 1.0, 2.5, 7.0, 60.0])
def test_that_the_series_of_releases_is_all_that_it_holds(days):
    pulp = must(whole(on_fruit=days), SHELF, 30).pulp
    shares = [share for _, share in pulp.releases()]
    moments = [day for day, _ in pulp.releases()]
    assert sum(shares) == pytest.approx(np.ones(31), abs=1e-12)
    assert all(np.all(share >= 0.0) for share in shares)
    assert moments == sorted(set(moments))
    assert moments[0] > 0.0
    assert moments[-1] < days


def test_that_opened_fruit_gives_sooner_and_more():
    assert RUN_OUT[True].typical > RUN_OUT[False].typical
    assert HALF_TIME[True].typical < HALF_TIME[False].typical
    opened, fresh = (must(whole(frozen=how, enzyme=how), SHELF, 0) for how in (True, False))
    for day in (0.0, 0.5, 2.0):
        assert opened.pulp.held(day).mass < fresh.pulp.held(day).mass


def test_that_fruit_which_is_pressed_at_once_holds_nothing_back():
    assert must(whole(on_fruit=0.0), SHELF, 3).pulp is None
    assert must(plain(), SHELF, 3).pulp is None


def test_that_the_pomace_costs_volume_and_not_strength():
    batch = whole()
    course = expected(batch.recipe, must(batch, SHELF, 10), SHELF)
    lost = course.start.pulp.pomace
    assert np.all(lost > 0.0)
    # 0.15 to 0.5 L per kg of fruit stay in what was drained; a press gets some of that (estimates of practice).
    assert 0.0 < float(lost[0]) / 12.0 * 1e3 < 0.5
    entire = Liquid(course.finished.masses / course.comes_off)
    assert volume(entire) - volume(course.finished) == pytest.approx(lost, rel=1e-9)
    assert alcohol(entire) == pytest.approx(alcohol(course.finished), rel=1e-9)


def test_that_the_course_begins_with_what_is_free_and_comes_to_the_whole():
    batch = whole(frozen=False, enzyme=False)
    start = must(batch, SHELF, 0)
    course = expected(batch.recipe, start, SHELF)
    assert course.gravity[0, 0] == pytest.approx(float(gravity(start.free())[0]), abs=1e-9)
    pressed = plain(preparation=Preparation(frozen=True, enzyme=True, soak=0.0))
    strong = float(alcohol(expected(pressed.recipe, must(pressed, SHELF, 0), SHELF).finished)[0])
    assert float(alcohol(course.finished)[0]) < strong  # what the fruit holds shares the honey


def test_that_a_first_gravity_tells_of_what_is_free_alone():
    """A must of honey, water and whole fruit, whose hydrometer meets little of the fruit at first, is as strong as it is."""
    batch = whole()
    start = must(batch, SHELF, 40)
    first = float(gravity(start.free())[0])
    real = anchored(start, first)
    assert real.liquid.member(0).masses == pytest.approx(start.liquid.member(0).masses, rel=1e-5, abs=1e-6)
    assert starts_at(real, first)
    assert gravity(real.free()) == pytest.approx(np.full(41, first), abs=0.003)
    read_late = float(gravity(start.free(0.4))[0])
    late = anchored(start, read_late, 0.4)
    assert late.liquid.member(0).masses == pytest.approx(start.liquid.member(0).masses, rel=1e-5, abs=1e-6)


def test_that_measured_start_and_alcohol_know_what_the_fruit_holds():
    batch = whole()
    course = expected(batch.recipe, must(batch, SHELF, 0), SHELF)
    last, real = float(gravity(course.finished)[0]), float(alcohol(course.finished)[0])
    told = worked_out(with_log(batch, read(0.0, round(float(course.gravity[0, 0]), 4)), read(30.0, last)), 60)
    assert told.log[1].alcohol == pytest.approx(real, abs=0.002)
    assert told.so_far.alcohol.typical == pytest.approx(real, abs=0.004)
    assert told.finish.alcohol.typical == pytest.approx(real, abs=0.002)
    assert not [f for f in told.findings if "pitching" in str(f.text)]


def test_that_fruit_of_which_nothing_comes_off_is_told():
    # A press yield of nought of nearly all that goes in: the pomace would hold more than there is (definition).
    how = {"frozen": False, "enzyme": False, "soak": 0.0, "whole": True, "on_fruit": 1.0}
    fruits = (FruitLine(key="apple", mass=0.5), FruitLine(key="apple", mass=293.0, press_yield=0.0))
    batch = plain(fruits=fruits, honeys=(), water=1.0, feeds=(), preparation=Preparation(**how))
    outcome = worked_out(batch, 20)  # some of the possible musts give nothing, though the typical one gives a little
    assert outcome.mead is None
    assert any("no mead comes off it" in str(found.text) for found in outcome.findings)
