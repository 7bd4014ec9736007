"""What is given to a must while it works: diluted, conserved, and falling due by day, by share and by gravity."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.model.added_substances import Dose, first_of
from planner.model.fermentation import hexoses
from planner.model.kinetics import Culture
from planner.model.liquid import Liquid, volume
from planner.model.simulate import ferment

TWENTY = [(0.0, 293.15)]
AVERAGE = Culture(tolerance=115.0, vigour=1.0, growth=1.0, decline=1.0, lag=1.0, pitch=0.25, ethanol_yield=0.465)
ASLEEP = AVERAGE._replace(pitch=0.0)
DAYS = np.linspace(0.0, 40.0, 81)

honeys = st.builds(
    lambda water, glucose, fructose, sucrose: Liquid.of(
        water=water, glucose=glucose, fructose=fructose, sucrose=sucrose
    ),
    *(st.floats(0.0, 100.0) for _ in range(4)),
)


def brewed(*doses: Dose, culture=AVERAGE, sugar=200.0, way=None, members=1):
    glucose = np.full(members, 0.44 * sugar)
    fructose = np.full(members, 0.56 * sugar)
    return ferment(glucose, fructose, np.full(members, 0.2), culture, TWENTY, doses, 40.0, way=way)


def honey(sugar: float) -> Liquid:
    """Honey with so much sugar, per volume of must."""
    return Liquid.of(water=0.2 * sugar, glucose=0.44 * sugar, fructose=0.56 * sugar)


def test_that_nothing_changes_with_an_addition_of_nothing():
    plain, with_nothing = brewed(), brewed(Dose(5.0, 0.0, liquid=honey(0.0)))
    for one, other in zip(plain.course(DAYS), with_nothing.course(DAYS), strict=True):
        assert np.array_equal(one, other)


@given(st.floats(0.0, 30.0), honeys, st.floats(0.0, 0.3))
@settings(max_examples=20, deadline=None)
def test_that_two_halves_are_one_addition(day, liquid, nitrogen):
    half = Dose(day, nitrogen / 2.0, liquid=liquid * 0.5)
    once, twice = brewed(Dose(day, nitrogen, liquid=liquid)).course(DAYS), brewed(half, half).course(DAYS)
    for one, other in zip(once, twice, strict=True):
        assert other == pytest.approx(one, rel=1e-8, abs=1e-9)


@given(st.lists(st.tuples(st.floats(0.0, 39.0), honeys, st.floats(0.0, 0.3)), max_size=4), st.sampled_from([1, 3]))
@settings(max_examples=30, deadline=None)
def test_that_without_yeast_all_that_was_given_is_there(doses, members):
    course = brewed(
        *(Dose(day, food, liquid=liquid) for day, liquid, food in doses), culture=ASLEEP, members=members
    ).course(DAYS)
    for n, day in enumerate(DAYS):
        there = [(liquid, food) for when, liquid, food in doses if when <= day]
        glucose = 88.0 + sum(float(hexoses(liquid).glucose) for liquid, _ in there)
        fructose = 112.0 + sum(float(hexoses(liquid).fructose) for liquid, _ in there)
        assert course.glucose[n] == pytest.approx(np.full(members, glucose), rel=1e-9)
        assert course.fructose[n] == pytest.approx(np.full(members, fructose), rel=1e-9)
        assert course.nitrogen[n] == pytest.approx(np.full(members, 0.2 + sum(food for _, food in there)), rel=1e-9)
        assert course.given[n] == pytest.approx(np.full(members, glucose + fructose), rel=1e-9)


def test_that_sugar_given_to_a_yeast_that_can_take_it_is_taken():
    untiring = AVERAGE._replace(tolerance=1e9)
    course = brewed(Dose(6.0, 0.05, liquid=honey(60.0)), culture=untiring, sugar=150.0).course(DAYS)
    assert course.given[-1, 0] == pytest.approx(210.0)
    assert course.sugar[-1, 0] < 1.0
    assert np.all(np.diff(course.sugar[DAYS >= 6.5, 0]) < 0.0)


def test_that_water_dilutes_the_alcohol_and_lets_a_yeast_at_its_limit_go_on():
    weak = AVERAGE._replace(tolerance=70.0)
    stuck = brewed(culture=weak).course(DAYS).sugar[-1, 0]
    water = Liquid.of(water=500.0)  # half as much again
    course = brewed(Dose(20.0, 0.0, liquid=water), culture=weak).course(DAYS)
    # Limit times room is alcohol that can be made: half as much again, until there is no sugar.
    assert course.sugar[DAYS == 19.5, 0][0] - course.sugar[-1, 0] > 0.5 * stuck


def test_that_room_grows_by_the_volume_of_what_is_added():
    """The concentrations that the rates see are per volume then; a dose tells per volume at pitching."""
    liquid = honey(100.0)
    both = brewed(Dose(0.0, 0.0, liquid=liquid)).course(DAYS)
    room = 1.0 + float(volume(liquid))
    whole = ferment(
        (88.0 + 44.0) / room, (112.0 + 56.0) / room, 0.2 / room, AVERAGE._replace(pitch=0.25 / room), TWENTY, [], 40.0
    ).course(DAYS)
    # The lag goes by how much was pitched per volume before the honey: its power is 0.35.
    assert both.sugar[-1, 0] == pytest.approx(whole.sugar[-1, 0] * room, abs=1.0)


@pytest.mark.parametrize("members", [1, 5])
def test_that_an_addition_waits_for_its_share_of_the_sugar_it_had_by_then(members):
    first, second = Dose(None, 0.0, 0.5, liquid=honey(40.0)), Dose(None, 0.0, 0.5, liquid=honey(40.0))
    made = brewed(first, second, members=members)
    one, other = made.given
    assert one is not None
    assert other is not None
    assert other > one + 0.5  # sugar was added: less than half of all is used, until it is again
    sugar = made.course(np.array([other - 1e-6])).sugar[0, 0]
    assert sugar == pytest.approx(0.5 * (200.0 + 40.0), rel=1e-3)


def test_that_food_and_honey_due_at_one_share_are_given_together():
    food, sweet = Dose(None, 0.05, 0.3), Dose(None, 0.0, 0.3, liquid=honey(40.0))
    made = brewed(food, sweet)
    assert made.given[0] == made.given[1]


def test_that_an_addition_waits_for_its_gravity_each_time_anew():
    grown = []

    def way(added):
        grown.append(None if added is None else float(added["glucose"]))
        return lambda share: 1.0 + 0.08 * share

    doses = [Dose(None, 0.0, gravity=1.02, liquid=honey(40.0)) for _ in range(2)]
    made = brewed(*doses, way=way)
    assert grown == [None, pytest.approx(17.6), pytest.approx(35.2)]
    for day, before in zip(made.given, (200.0, 240.0), strict=True):
        assert made.course(np.array([day - 1e-7])).sugar[0, 0] == pytest.approx(0.25 * before, rel=1e-3)


def test_that_what_never_falls_due_is_not_given():
    made = brewed(Dose(None, 0.1, 2.0, liquid=honey(10.0)), Dose(99.0, 0.1, liquid=honey(10.0)))
    assert made.given == (None, 99.0)
    assert made.course(DAYS).given[-1, 0] == pytest.approx(200.0)


def test_that_the_first_member_of_a_liquid_is_one_liquid():
    both = Liquid.of(water=np.array([1.0, 2.0]))
    assert float(first_of(both)["water"]) == float(first_of(Liquid.of(water=1.0))["water"]) == 1.0
