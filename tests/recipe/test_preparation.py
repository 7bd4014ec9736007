"""From the fruit to the bottle: preparation, press loads, losses, bottles and cost add up and say what to mind."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, worked_out
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import Feed, FruitLine, HoneyLine, Losses, Preparation, Price, Prices
from planner.planning.cost import cost
from planner.recipe.must import must
from planner.recipe.preparation import enzyme_hours, flesh, prepared, solids
from planner.recipe.vessels import filled, way

masses = st.floats(0.1, 500.0)
fruits = st.builds(FruitLine, key=st.sampled_from(sorted(SHELF.fruits)), mass=masses, stoned=st.booleans())
preparations = st.builds(
    Preparation, frozen=st.booleans(), enzyme=st.booleans(), whole=st.booleans(), soak=st.floats(0.0, 20.0),
    press=st.none() | st.floats(1e-3, 0.2),
)  # fmt: skip


@given(st.lists(fruits, min_size=1, max_size=3), preparations)
def test_that_waste_juice_and_pomace_are_the_fruit(lines, how):
    made = prepared(plain(fruits=tuple(lines), preparation=how), SHELF)
    assert made.waste + made.juice + made.pomace == pytest.approx(made.fruit)
    assert made.free_run + made.pressings == pytest.approx(made.juice)
    assert min(made.waste, made.free_run, made.pressings, made.pomace) >= -1e-9


def test_that_the_juice_is_the_one_that_the_must_holds():
    batch = plain(honeys=(), water=0.0)
    assert prepared(batch, SHELF).juice == pytest.approx(float(must(batch, SHELF, 0).liquid.mass[0]))


@given(st.floats(0.5, 300.0), st.floats(2e-3, 0.1))
def test_that_the_press_is_filled_no_oftener_than_needed(mass, basket):
    batch = plain(fruits=(FruitLine(key="blackcurrant", mass=mass),), preparation=Preparation(press=basket))
    loads = prepared(batch, SHELF).loads
    assert (loads.number - 1) * basket < loads.volume <= loads.number * basket * (1.0 + 1e-8)


def test_that_rich_pectin_asks_for_the_double_dose_and_none_is_given_where_none_is_wanted():
    batch = plain(fruits=(FruitLine(key="quince", mass=10.0), FruitLine(key="sweet-cherry", mass=10.0)))
    quince, cherry = prepared(batch, SHELF).enzyme
    assert SHELF.fruit("quince").pectin > SHELF.fruit("sweet-cherry").pectin
    assert quince.rich
    assert quince.mass / flesh(batch.recipe.fruits[0], SHELF) == pytest.approx(
        2.0 * cherry.mass / flesh(batch.recipe.fruits[1], SHELF)
    )
    assert prepared(plain(preparation=Preparation(enzyme=False)), SHELF).enzyme == ()


def test_that_enzyme_works_slower_in_the_cold():
    # from memory: twice as long for ten kelvin less, as most enzymes between 10 and 40 °C
    assert enzyme_hours(293.15) == 12.0
    assert enzyme_hours(283.15) == 24.0
    assert enzyme_hours(303.15) == 6.0


def test_that_stones_are_not_to_be_crushed_and_leave_before_fruit_ferments_whole():
    told = " ".join(map(str, prepared(plain(preparation=Preparation(whole=True)), SHELF).cautions))
    assert "do not crush the stones" in told
    assert "take the stones out before" in told
    assert "cap" in told
    stoneless = plain(fruits=(FruitLine(key="raspberry", mass=5.0),))
    assert not [text for text in prepared(stoneless, SHELF).cautions if "stone" in str(text)]


def test_that_whole_fruit_gives_as_much_as_enzyme_and_soak_and_takes_room():
    whole = plain(preparation=Preparation(frozen=False, enzyme=False, soak=0.0, whole=True))
    best = plain(preparation=Preparation(frozen=True, enzyme=True, soak=7.0))
    plainest = plain(preparation=Preparation(frozen=False, enzyme=False, soak=0.0))
    assert prepared(whole, SHELF).juice == pytest.approx(prepared(best, SHELF).juice)
    assert prepared(plainest, SHELF).juice < prepared(whole, SHELF).juice
    assert solids(whole, SHELF) > 0.0
    assert way(whole, SHELF, 0.020).fermenter > way(best, SHELF, 0.020).fermenter


@given(
    st.floats(1e-3, 1.0), st.builds(Losses, lees=st.floats(0.0, 0.5), racking=st.floats(0.0, 0.2),
                                    rackings=st.integers(1, 6), bottling=st.floats(0.0, 0.2)),
)  # fmt: skip
def test_that_nothing_is_lost_but_what_is_told(volume, losses):
    made = way(plain(losses=losses), SHELF, volume)
    assert made.bottled + sum(step.lost for step in made.steps) == pytest.approx(volume)
    assert sum(b.size * b.number for b in made.bottles) + made.rest == pytest.approx(made.bottled)
    assert len(made.steps) == losses.rackings + 2


@given(st.floats(0.0, 1.0), st.lists(st.sampled_from([0.25e-3, 0.375e-3, 0.5e-3, 0.75e-3, 1.5e-3]), min_size=1))
def test_that_the_rest_fills_no_other_bottle(volume, sizes):
    bottles, rest = filled(volume, tuple(sizes))
    assert 0.0 <= rest < min(sizes) + 1e-9
    assert [b.size for b in bottles] == sorted({b.size for b in bottles}, reverse=True)


def test_that_the_vessel_leaves_room_for_foam():
    # common practice: 10 to 25 % free
    assert way(plain(), SHELF, 0.017).fermenter == pytest.approx(0.020)


def test_that_without_prices_there_is_no_cost():
    assert cost(plain(), 20) is None


def test_that_a_cost_is_masses_times_prices_and_bottles():
    prices = Prices(
        currency="kr", lines=(Price(key="sour-cherry", per_kg=4.0), Price(key="blossom", per_kg=10.0)), bottle=1.5
    )
    batch = plain(prices=prices, honeys=(HoneyLine(key="blossom", mass=2.0), HoneyLine(key="blossom", mass=1.0)),
                  feeds=(Feed(key="blend", mass=0.01, day=1.0),))  # fmt: skip
    found = cost(batch, 24)
    assert found.total == pytest.approx(12.0 * 4.0 + 3.0 * 10.0 + 24 * 1.5)
    assert found.per_bottle == pytest.approx(found.total / 24)
    assert set(found.unpriced) == {"blend", "all-rounder"}
    assert cost(batch, 0).per_bottle is None


def test_that_whole_fruit_changes_the_must_of_the_whole_program():
    pressed = plain(preparation=Preparation(frozen=False, enzyme=False, soak=0.0))
    whole = plain(preparation=Preparation(frozen=False, enzyme=False, soak=0.0, whole=True))
    assert worked_out(whole).must.volume.typical > worked_out(pressed).must.volume.typical


def test_that_a_vessel_that_holds_the_must_may_be_too_small_for_the_fruit_in_it():
    def told(whole):
        how = Preparation(frozen=True, enzyme=True, soak=7.0, whole=whole)
        found = worked_out(plain(preparation=how, vessel=0.0245)).findings
        return " ".join(str(f.text) for f in found if f.place == "recipe.vessel")

    assert told(False) == ""
    assert "must with its fruit" in told(True)
