"""The state of a batch as liquids: possible ferments become liquids again, and whoever asks for a figure asks these."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain, read, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.model.liquid import alcohol, fermentable_concentration, gravity, titratable_acid, volume
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.must import must
from planner.timeline.course import expected
from planner.timeline.posterior import Ferments
from planner.timeline.state import along, brought_to, by_rival, liquids, on_days, state_of, sweeter, torn, with_alcohol

MEMBERS = 60
START = must(plain(), SHELF, MEMBERS)
AHEAD = expected(plain().recipe, START, SHELF)
FALLING = ((0.0, 1.098), (2.0, 1.075), (5.0, 1.040), (8.0, 1.018), (12.0, 1.006), (16.0, 1.002))
SIZE = 120


def spread(low, high, label):
    return Span(low, 0.5 * (low + high), high).at(scores(label, SIZE))[1:]


def ferments(sugar, strength, heavy):
    return Ferments(
        np.arange(SIZE), np.maximum(spread(sugar, sugar + 4.0, "a"), 0.0), spread(strength, strength + 0.008, "b"),
        spread(heavy, heavy + 0.002, "c"), 0,
    )  # fmt: skip


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 60.0), st.floats(0.05, 0.14), st.floats(1.000, 1.035))
def test_that_a_possible_ferment_becomes_a_liquid_of_its_sugar_alcohol_and_gravity(sugar, strength, heavy):
    some = ferments(sugar, strength, heavy)
    liquid = liquids(AHEAD, some)
    assert np.all(liquid.masses >= -1e-12)
    dry = gravity(along(AHEAD.whole, AHEAD.yields, np.zeros(MEMBERS + 1)))
    if heavy < float(dry.max()) + 4e-4 * sugar:
        return  # more sugar than such a gravity leaves room for
    assert gravity(liquid)[1:] == pytest.approx(some.gravity, abs=1e-7)
    assert alcohol(liquid)[1:] == pytest.approx(some.alcohol, rel=1e-6)
    assert fermentable_concentration(liquid)[1:] == pytest.approx(some.sugar, rel=1e-6, abs=1e-6)


def test_that_the_typical_liquid_has_the_medians():
    some = ferments(8.0, 0.11, 1.012)
    liquid = liquids(AHEAD, some)
    assert alcohol(liquid)[0] == pytest.approx(np.median(some.alcohol), rel=1e-6)
    assert gravity(liquid)[0] == pytest.approx(np.median(some.gravity), abs=1e-9)
    assert gravity(liquids(AHEAD, some, 1.0125))[0] == pytest.approx(1.0125, abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 50.0), st.floats(0.0, 30.0))
def test_that_another_sugar_keeps_mass_gravity_and_alcohol(before, after):
    liquid = liquids(AHEAD, ferments(before, 0.10, 1.012))
    found = brought_to(liquid, np.full(SIZE + 1, after), alcohol(liquid), gravity(liquid))
    assert found.mass == pytest.approx(liquid.mass, rel=1e-12)
    reached = np.abs(gravity(found) - gravity(liquid)) < 1e-9  # of what has too little else dissolved, not
    assert reached[0] or after > before + 20.0
    assert fermentable_concentration(found)[reached] == pytest.approx(after, rel=1e-6, abs=1e-6)
    assert alcohol(found)[reached] == pytest.approx(alcohol(liquid)[reached], rel=1e-6)


def test_that_the_one_of_two_that_bursts_bottles_is_the_typical_one():
    dry, sweet = (along(AHEAD.whole, AHEAD.yields, np.full(MEMBERS + 1, left)) for left in (1.0, 40.0))
    assert sweeter(dry, sweet) is sweet
    both = torn(dry, sweet)
    sugar = fermentable_concentration(both)
    assert sugar[0] == pytest.approx(40.0)
    assert 0.3 < np.mean(sugar[1:] > 20.0) < 0.7


def test_that_a_rival_is_by_mass_balance_and_not_by_acid():
    here = liquids(AHEAD, ferments(90.0, 0.06, 1.040))
    both = by_rival(AHEAD, here, Span(18.0, 20.0, 22.0))
    tested = fermentable_concentration(both) < 60.0
    assert 0.3 < tested[1:].mean() < 0.7
    assert alcohol(both)[tested].min() > alcohol(both)[~tested].max()  # half a gram for each gram of sugar
    assert titratable_acid(both)[tested].max() < 1.3 * titratable_acid(AHEAD.whole).max()


def test_that_alcohol_that_was_measured_is_had_whatever_the_gravity():
    liquid = along(AHEAD.whole, AHEAD.yields, np.zeros(MEMBERS + 1))
    found = with_alcohol(liquid, np.full(MEMBERS + 1, 0.12))
    assert alcohol(found) == pytest.approx(0.12, abs=1e-5)
    assert found.mass == pytest.approx(liquid.mass, rel=1e-12)


@pytest.fixture(scope="module")
def logged():
    return worked_out(with_log(plain(), *(read(*pair) for pair in FALLING)), 200)


def test_that_every_reading_is_told_the_range_of_its_day(logged):
    states = logged.on(*logged.log)
    sugars = [state.sugar for state in states]
    assert all(sugar.low < sugar.typical < sugar.high for sugar in sugars[:-1])
    typical = [sugar.typical for sugar in sugars]
    assert typical == sorted(typical, reverse=True)
    # 23 points less than 1.098 are 0.00386 for each 10 g/L of sucrose (ICUMSA SPS-4) and its alcohol: some 50 g/L.
    assert typical[0] - typical[1] == pytest.approx(50.0, abs=6.0)
    strong = [state.alcohol.typical for state in states]
    assert strong == sorted(strong)
    assert strong[0] == pytest.approx(0.0, abs=1e-4)


def test_that_sugar_that_nobody_tested_is_never_nothing(logged):
    (state,) = logged.on(logged.log[-1])
    assert state.sugar.high > 0.5
    assert state.sugar == logged.posterior.now.sugar == logged.mead.before.fermentable


def test_that_the_last_day_is_now_and_what_follows_it_too(logged):
    now = logged.posterior.now
    sugar, strong = on_days(logged.posterior, np.array([16.0, 99.0]))
    for place in (0, 1):
        assert tuple(sugar[:, place]) == tuple(now.sugar)
        assert tuple(strong[:, place]) == tuple(now.alcohol)


def test_that_four_points_before_the_end_differ_from_the_end_by_what_four_points_mean():
    found = worked_out(with_log(plain(), *(read(*pair) for pair in FALLING[:-1])), 200).posterior
    fall = found.now.indicated.typical - found.finish_gravity.typical
    assert 0.002 < fall < 0.009
    # 131.25 times the drop of gravity, or up to a tenth more near the end (common rules of thumb).
    gained = found.finish_alcohol.typical - found.now.alcohol.typical
    assert gained == pytest.approx(1.35 * fall, abs=0.002)


def test_that_what_a_liquid_tells_is_a_state():
    liquid = liquids(AHEAD, ferments(8.0, 0.11, 1.012))
    state = state_of(liquid)
    assert state.sugar == Span.of(fermentable_concentration(liquid))
    assert state.alcohol == Span.of(alcohol(liquid))
    assert np.all(volume(liquid) > 0.0)
