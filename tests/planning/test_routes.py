"""Ways to finish: each worked out by the whole program, each reaching what was wished, each under the house rules."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, routes

from planner.adjusting.refermentation_risk import Risk
from planner.document.batch import (
    Feed,
    FruitLine,
    HoneyLine,
    HouseRules,
    Price,
    Prices,
    TemperatureStep,
    Wish,
    Yeast,
)
from planner.document.codec import decode, encode
from planner.evaluation.outcome import evaluate

FRUIT = (FruitLine(key="blackcurrant", mass=16.0),)
HONEY = (HoneyLine(key="blossom", mass=2.0),)
FOOD = (Feed(key="yeast-autolysate", mass=0.008, day=1.0),)
WISH = Wish(left_open=("honey",), alcohol=0.12, sweetness=30.0)


def currants(**recipe):
    """Sixteen kilograms of blackcurrants without water."""
    return plain(**({"fruits": FRUIT, "honeys": HONEY, "water": 0.0, "feeds": FOOD, "wish": WISH} | recipe))


def by_key(batch, members=0):
    return {route.key: route for route in routes(batch, SHELF, members)}


EVERY = by_key(currants())


def test_that_there_are_at_least_five_ways():
    assert len(EVERY) >= 5
    assert {"limit", "dry-sweetener", "dry-stabilised", "cold", "dry-heat"} <= set(EVERY)


@pytest.mark.parametrize("key", EVERY)
def test_that_each_route_reaches_the_wished_sweetness(key):
    # half of the smallest difference that tasters notice (Pickering & Kvas 2016: 4.5 g/L)
    assert EVERY[key].sweetness.typical == pytest.approx(30.0, abs=2.25)


@pytest.mark.parametrize("key", sorted(set(EVERY) - {"limit"}))
def test_that_each_route_reaches_the_wished_strength_but_the_one_that_the_yeast_decides(key):
    assert EVERY[key].alcohol.typical == pytest.approx(0.12, abs=0.004)


@pytest.mark.parametrize("key", EVERY)
def test_that_each_route_is_a_batch_that_comes_to_what_it_says(key):
    route = EVERY[key]
    again = evaluate(decode(encode(route.batch)), SHELF, 0)
    assert again.must.gravity.typical == pytest.approx(route.starting_gravity.typical, abs=1e-9)
    if key not in ("cold", "dry-glass"):  # stopped by hand, and sweetened in the glass
        assert again.mead.after.sweetness.typical == pytest.approx(route.sweetness.typical, abs=1e-6)
        assert again.mead.after.gravity.typical == pytest.approx(route.finish.typical, abs=1e-9)


@pytest.mark.parametrize("key", EVERY)
def test_that_no_route_changes_what_was_given(key):
    recipe = EVERY[key].batch.recipe
    assert recipe.fruits == FRUIT
    assert recipe.water == 0.0
    assert recipe.honeys[0].mass > 0.0


def test_that_what_living_yeast_could_take_is_told():
    assert EVERY["dry-glass"].still.risk <= Risk.UNSURE
    assert EVERY["cold"].still.risk >= Risk.REAL
    assert EVERY["dry-heat"].still.risk == Risk.HELD


def test_that_a_stopped_ferment_starts_higher_and_is_ready_sooner():
    assert EVERY["cold"].starting_gravity.typical > EVERY["dry-heat"].starting_gravity.typical
    assert EVERY["cold"].days.typical < EVERY["dry-heat"].days.typical


def test_that_the_rules_refuse_what_breaks_them_and_say_which():
    strict = HouseRules(no_sulphite=True, no_sorbate=True, no_heat=True)
    found = by_key(currants(rules=strict))
    assert {key for key, route in found.items() if route.against} == {"dry-stabilised", "dry-heat"}
    assert "no sulphite" in str(found["dry-stabilised"].against[0])
    assert "no heat" in str(found["dry-heat"].against[0])


def test_that_the_route_to_the_limit_says_what_the_recipe_plans():
    route = EVERY["limit"]
    honey = sum(line.mass for line in route.batch.recipe.honeys)
    assert route.steps[0].figures[0].value == pytest.approx(honey)
    assert route.steps[0].figures[1].value == pytest.approx(route.starting_gravity.typical)
    assert "all of the honey before the yeast" in str(route.steps[0])


def test_that_a_must_that_stops_short_is_not_blamed_on_the_shelf():
    # Honey and water without food for the yeast, in the cold: it ends with sugar left, whatever the yeast would bear.
    poor = plain(
        fruits=(), water=15.0, feeds=(), yeast=Yeast(key="all-rounder", pitch=0.002),
        temperatures=(TemperatureStep(day=0.0, temperature=283.15),),
        wish=Wish(left_open=("honey", "water"), volume=0.02, alcohol=0.12, sweetness=30.0),
    )  # fmt: skip
    found = by_key(poor)
    for key in ("dry-sweetener", "dry-heat", "dry-stabilised"):
        assert "ends below 12 % vol" in str(found[key].cannot)
        assert "its feeds" in str(found[key].cannot)


def test_that_open_routes_come_first():
    found = routes(currants(rules=HouseRules(no_sulphite=True, no_heat=True)), SHELF, 0)
    open_ones = [route.is_open for route in found]
    assert open_ones == sorted(open_ones, reverse=True)


def test_that_nothing_synthetic_or_allergenic_sweetens_where_that_is_a_rule():
    route = by_key(currants(rules=HouseRules(natural_only=True, no_allergens=True)))["dry-sweetener"]
    used = {a.key for a in route.batch.adjustment.additions}
    assert used
    assert all(SHELF.additive(key).natural and not SHELF.additive(key).allergen for key in used)
    assert {"Xylitol", "Lactose (monohydrate)"} <= {out.name for out in route.left_out}


def test_that_a_ceiling_binds_every_route():
    found = by_key(currants(rules=HouseRules(alcohol_ceiling=0.105), wish=msgspec.structs.replace(WISH, alcohol=0.12)))
    assert all(route.alcohol.typical <= 0.1055 for route in found.values() if route.batch is not None)


def test_that_a_must_too_strong_without_honey_is_no_route_and_says_why():
    sweet = currants(fruits=(FruitLine(key="wine-grape", mass=16.0),), wish=Wish(left_open=("honey",), alcohol=0.06))
    found = by_key(sweet)
    assert found["dry-heat"].batch is None
    assert "without honey" in str(found["dry-heat"].cannot)


def test_that_no_yeast_is_asked_for_more_than_any_bears():
    found = by_key(currants(wish=Wish(left_open=("honey",), alcohol=0.22, sweetness=30.0)))
    assert "No yeast of the shelf" in str(found["dry-heat"].cannot)


def test_that_a_yeast_that_bears_too_little_is_replaced():
    from planner.document.batch import Yeast

    found = by_key(currants(yeast=Yeast(key="sweet-leaver", pitch=0.005)))
    assert SHELF.yeast(found["dry-heat"].batch.recipe.yeast.key).tolerance.typical >= 0.12


def test_that_a_wished_volume_is_filled_with_water():
    wish = Wish(left_open=("honey", "water"), volume=0.025, alcohol=0.11, sweetness=25.0)
    for key, route in by_key(currants(wish=wish, water=5.0)).items():
        assert route.outcome.must.volume.typical == pytest.approx(0.025, abs=10e-6), key


def test_that_a_wished_body_is_reached_where_additions_are_allowed():
    wish = msgspec.structs.replace(WISH, body=2.2e-3)
    for key in ("dry-heat", "dry-sweetener", "limit"):
        route = by_key(currants(wish=wish))[key]
        assert route.viscosity.typical >= 2.2e-3 - 2e-6, key


def test_that_prices_are_added_up_and_what_has_none_is_named():
    prices = Prices(
        currency="€", lines=(Price(key="blossom", per_kg=9.0), Price(key="blackcurrant", per_kg=3.0)), bottle=0.8
    )
    route = by_key(currants(prices=prices))["dry-heat"]
    honey = route.batch.recipe.honeys[0].mass
    bottles = round(route.cost.bottles / 0.8)
    assert route.cost.total == pytest.approx(9.0 * honey + 3.0 * 16.0 + 0.8 * bottles)
    assert "honey" in route.cost.unpriced  # stirred in at the end, under a key of its own
    assert EVERY["dry-heat"].cost is None


def test_that_spans_come_with_members():
    route = by_key(currants(), members=40)["limit"]
    assert route.alcohol.low < route.alcohol.typical < route.alcohol.high


def test_that_a_fruit_that_the_shelf_does_not_hold_is_named_in_every_route():
    found = routes(currants(fruits=(FruitLine(key="snozzberry", mass=1.0),)), SHELF, 0)
    assert len(found) >= 5
    assert all("snozzberry" in str(route.cannot) for route in found)


@pytest.mark.parametrize("more", [{}, {"alcohol": 0.12}, {"left_open": ("honey", "water"), "volume": 0.024}])
def test_that_every_route_keeps_the_wished_starting_gravity(more):
    wish = Wish(**({"left_open": ("honey",), "gravity": 1.095, "sweetness": 30.0} | more))
    found = by_key(currants(wish=wish, water=4.0))
    ways = [route for route in found.values() if route.batch is not None]
    assert {route.key for route in ways} >= {"dry-sweetener", "dry-glass", "dry-heat", "dry-stabilised"}
    for route in ways:
        # as exactly as the solver keeps a gravity: to a tenth of a point
        assert route.starting_gravity.typical == pytest.approx(1.095, abs=1e-4)
    for key in ("limit", "cold"):
        assert "you set" in str(found[key].cannot)


def test_that_a_starting_gravity_out_of_reach_is_named():
    found = by_key(currants(wish=Wish(left_open=("honey",), gravity=1.005)))
    assert all(route.cannot is not None for route in found.values())
    assert "1.005" in str(found["dry-sweetener"].cannot)
