"""The fruit: parts that fit together, and figures that agree with what others printed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import Batch, FruitLine, Preparation, Recipe, Yeast
from planner.model.components import COMPONENTS
from planner.model.liquid import titratable_acid
from planner.model.refraction import apparent_brix
from planner.model.span import Span
from planner.recipe.acidity import sour_parts
from planner.recipe.must import juice, must
from planner.reference.catalogue import catalogue
from planner.reference.rows import MINERALS
from planner.reference.shipped import resources
from planner.reference.status import Status
from planner.reference.tables import by_key, read

FRUITS = list(catalogue().fruits.values())
fruits = pytest.mark.parametrize("fruit", FRUITS, ids=lambda fruit: fruit.key)

# Juices that differ from what the flesh says by more than 2.5 Brix, and why.
ASTRAY = {
    "fig": "the food tables hold watery fresh figs, the law a processing fig",
    "kiwi": "the law's 15.4 is that of ripe, stored fruit; the food table's lot was less sweet",
    "mirabelle": "no law names it; the reference is that of plums in general, which are less sweet",
}


def brix_of_flesh(fruit):
    """Brix that the juice should show: dissolved matter in it and water. [kg/kg]"""
    return fruit.soluble / (fruit.soluble + fruit.water)


def test_that_the_fruit_of_hedge_orchard_and_market_are_there():
    assert len(FRUITS) == 40
    assert {"blackcurrant", "damson", "elderberry", "rowan", "sloe", "sea-buckthorn"} <= catalogue().fruits.keys()


@fruits
def test_that_the_parts_of_the_flesh_do_not_exceed_it(fruit):
    known = (
        fruit.sugar.typical
        + fruit.sorbitol.typical
        + fruit.acid.typical
        + fruit.bound_acid
        + fruit.protein
        + fruit.fibre
        + MINERALS
    )
    assert 0.9 < fruit.water + known <= 1.0 + 1e-12
    assert fruit.pectin <= fruit.fibre


@fruits
def test_that_closing_the_sum_moved_the_printed_water_by_little(fruit):
    printed = by_key(read(resources() / "tables" / "fruits.csv"))[fruit.key].number("water")
    # 2.5 points: the spread of water among the national tables for one fruit (e.g. apricot 85.4 to 89.8).
    assert 0.0 <= printed - fruit.water < 0.025


@fruits
def test_that_shares_of_sugars_and_acids_add_up_to_one(fruit):
    shares = (fruit.glucose_share, fruit.fructose_share, fruit.sucrose_share, fruit.maltose_share)
    assert sum(shares) == pytest.approx(1.0, abs=1e-12)
    assert min(shares) >= 0.0
    assert sum(share for _, share in fruit.acids) == pytest.approx(1.0, abs=1e-12)
    assert [share for _, share in fruit.acids] == sorted((share for _, share in fruit.acids), reverse=True)
    assert all(COMPONENTS[key].acid_equivalents > 0.0 for key, _ in fruit.acids)


@fruits
def test_that_every_span_rises_within_what_is_possible(fruit):
    bounds = {
        "sugar": (0.0, 0.3),
        "sorbitol": (0.0, 0.15),
        "acid": (0.0, 0.08),
        "ph": (1.8, 6.5),
        "yield_fresh": (0.1, 0.95),
        "yield_enzyme": (0.1, 0.95),
        "nitrogen": (0.0, 0.8),
    }
    for name, (floor, ceiling) in bounds.items():
        span = getattr(fruit, name)
        assert floor <= span.low <= span.typical <= span.high <= ceiling, name
    assert fruit.sugar.low > 0.0
    assert fruit.acid.low > 0.0


@fruits
def test_that_no_fruit_gives_more_juice_than_water_and_what_is_dissolved_in_it(fruit):
    assert fruit.yield_enzyme.high <= fruit.water + fruit.soluble + 1e-12
    assert fruit.yield_fresh.typical <= fruit.yield_enzyme.typical


@fruits
def test_that_the_flesh_gives_the_brix_that_others_measured_in_the_juice(fruit):
    if fruit.brix_typical is None:
        # Neither law nor standard names their juice, or a standard does from memory, with a floor for any juice.
        assert fruit.key in ("mulberry", "mulberry-black", "mulberry-white", "sloe")
        return
    assert fruit.brix_low <= fruit.brix_typical
    astray = abs(brix_of_flesh(fruit) - fruit.brix_typical) > 0.025
    assert astray == (fruit.key in ASTRAY)


def test_that_over_all_fruit_the_flesh_neither_flatters_nor_belittles_the_juice():
    # Individual rows scatter with variety; a bias beyond 1 Brix would be an error of method.
    gaps = [brix_of_flesh(fruit) - fruit.brix_typical for fruit in FRUITS if fruit.brix_typical]
    assert abs(sum(gaps) / len(gaps)) < 0.01


@fruits
def test_that_the_brix_that_others_measured_lies_in_the_band_of_the_juice(fruit):
    line = FruitLine(key=fruit.key, mass=10.0, as_juice=True)
    shown = Span.of(apparent_brix(juice(line, fruit, Preparation(), 400)[0])).scaled(0.01)
    assert fruit.brix_typical is None or shown.low <= fruit.brix_typical <= shown.high


@fruits
def test_that_the_juice_titrates_as_the_table_says_of_it(fruit):
    line = FruitLine(key=fruit.key, mass=10.0, as_juice=True)
    acid = float(titratable_acid(juice(line, fruit, Preparation(), 0)[0])[0])
    stated = by_key(read(resources() / "tables" / "fruit_acids.csv"))[fruit.key].span("acid")
    # The room of the juice comes from one apparent volume for all that is dissolved: a percent or two.
    assert acid == pytest.approx(stated.typical, rel=0.025)
    assert fruit.acid.high / fruit.acid.low == pytest.approx(stated.high / stated.low)


def plain_fruit(key):
    """A must of nothing but one juice."""
    return Batch(
        name=key,
        recipe=Recipe(
            fruits=(FruitLine(key=key, mass=10.0, as_juice=True),), yeast=Yeast(key="all-rounder", pitch=0.005)
        ),
    )


@fruits
def test_that_more_acid_goes_with_a_lower_ph(fruit):
    batch = plain_fruit(fruit.key)
    part = sour_parts(batch.recipe, must(batch, catalogue(), 0), catalogue())[0]
    assert part.acid.low > 1.0 > part.acid.high
    assert part.ph.low < part.ph.typical < part.ph.high


@fruits
def test_that_stones_call_for_their_caution_and_nothing_else_does(fruit):
    assert ("stone-kernels" in fruit.cautions) == fruit.has_stone
    assert bool(fruit.stone_what) == (fruit.stone > 0.0)
    assert not fruit.has_stone or "stones" in fruit.stone_what


def test_that_elderberries_and_rhubarb_carry_their_cautions():
    assert "elderberry-raw" in catalogue().fruit("elderberry").cautions
    assert "rhubarb-leaves" in catalogue().fruit("rhubarb").cautions


@fruits
def test_that_an_estimated_fruit_has_a_wide_range(fruit):
    if fruit.status is Status.ESTIMATE:
        assert (fruit.sugar.high - fruit.sugar.low) / fruit.sugar.typical > 0.4


@given(st.sampled_from(FRUITS), st.floats(0.001, 0.08))
def test_that_the_acids_titrate_like_the_main_acid_that_stands_for_them(fruit, acid):
    masses = fruit.acid_masses(acid)
    equivalents = sum(mass * COMPONENTS[key].acid_equivalents for key, mass in masses.items())
    assert equivalents == pytest.approx(acid * COMPONENTS[fruit.acids[0][0]].acid_equivalents, rel=1e-12)


def test_that_blackcurrant_agrees_with_the_french_table():
    fruit = catalogue().fruit("blackcurrant")  # Ciqual 2020, 13007: G 4.24, F 4.95, S 0.49 g/100 g
    assert fruit.sugar.typical * fruit.glucose_share == pytest.approx(0.0424)
    assert fruit.sugar.typical * fruit.fructose_share == pytest.approx(0.0495)
    assert fruit.sugar.typical * fruit.sucrose_share == pytest.approx(0.0049)
    assert fruit.acids[0][0] == "citric"
    assert fruit.sugar.low <= 0.063 <= 0.087 <= fruit.sugar.high  # Belitz 6.3, German table 8.7


def test_that_damson_is_an_estimate_that_says_so():
    fruit = catalogue().fruit("damson")
    assert fruit.status is Status.ESTIMATE
    assert "measure" in fruit.note
    assert fruit.ph.low <= 2.90 <= 3.10 <= fruit.ph.high  # FDA list of 2003, from memory
    assert fruit.sugar.low == pytest.approx(0.6 * fruit.sugar.typical)  # confidence D: +-40 %


def test_that_mirabelle_agrees_with_two_national_tables():
    fruit = catalogue().fruit("mirabelle")  # Ciqual 2020, 13027: sugars 13.3, sucrose 7.3, polyols 2.7
    assert fruit.sugar.typical == pytest.approx(0.133)
    assert fruit.sucrose_share == pytest.approx(7.3 / 13.3)
    assert fruit.sorbitol.typical == 0.027
    # Bundeslebensmittelschlüssel 4.0: 16.8 g of carbohydrate with polyols, within the confidence of one table.
    assert fruit.sugar.typical + fruit.sorbitol.typical == pytest.approx(0.168, rel=0.10)


def test_that_quince_lies_between_the_four_tables_that_disagree():
    fruit = catalogue().fruit("quince")
    tables = (0.110, 0.063, 0.094, 0.082)  # AFCD 2 F007591, Ciqual 13010, MEXT 07131, German table 4.0
    assert fruit.sugar.low <= min(tables) <= max(tables) <= fruit.sugar.high
    assert fruit.sugar.typical == pytest.approx(sum(tables) / 4, abs=0.002)
    assert fruit.stone == 0.39  # USDA SR28 09296: core, seeds and parings


def test_that_raspberry_lies_between_the_tables_that_disagree():
    fruit = catalogue().fruit("raspberry")
    # USDA SR28 09302 4.42, FDC Foundation 2.68, AFCD 2 F007619 6.5, Finnish 5.3, German 5.2 g/100 g
    assert fruit.sugar.low == 0.027
    assert fruit.sugar.typical == 0.050
    assert fruit.sugar.high >= 0.065
    # Durst 1995, 46 juices: citric and isocitric 1.717, malic 0.066 g/100 mL; shares printed to a hundredth
    assert dict(fruit.acids)["citric"] == pytest.approx(1.717 / 1.783, abs=0.005)


def test_that_a_cherry_yields_per_fruit_without_its_stones():
    fruit = catalogue().fruit("sour-cherry")
    # 61 to 68 % of the whole fruit, cold pressed (common practice), 10 % of which is refuse (USDA SR28 09063).
    assert fruit.yield_fresh.low == pytest.approx(0.61 / 0.90)
    assert fruit.yield_fresh.high == pytest.approx(0.68 / 0.90)


def test_that_fruit_rich_in_sorbitol_is_known():
    # Snebergrova 2014: 66.1 g/kg in aronia; pear juices 15 to 43 % of the sugars (Li 2020); none in berries.
    rich = sorted(FRUITS, key=lambda fruit: -fruit.sorbitol.typical)[:5]
    assert {fruit.key for fruit in rich} == {"aronia", "rowan", "mirabelle", "sour-cherry", "pear"}
    assert catalogue().fruit("strawberry").sorbitol == Span(0.0, 0.0, 0.0)
