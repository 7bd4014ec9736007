"""Will it stay still: pressures of the property data, risks in words, and each way with its doses and limits."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain, with_adjustment, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st
from random_batches import adjustments

from planner.adjusting.base_mead import Basis, KnownMead
from planner.adjusting.mead import mead
from planner.adjusting.refermentation_risk import Risk, stillness
from planner.adjusting.stabilisation_methods import ways
from planner.document import edits
from planner.document.batch import Addition, Adjustment, HouseRules, SugarReading
from planner.model.components import COMPONENTS
from planner.model.liquid import Liquid, volume
from planner.model.span import Span
from planner.reporting.batch_file import load

TOLERANCE = Span(0.13, 0.14, 0.16)


def made(*additions, sugar=0.0, ethanol=1.97, **fields):
    base = Liquid.of(water=18.0, ethanol=ethanol, glycerol=0.14, malic=0.10, citric=0.05, other=0.20, fructose=sugar)
    lines = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    return mead(Adjustment(additions=lines, volume=0.020, **fields), Liquid(base.masses[:, None]), True, SHELF)


def fructose_for(grams_per_litre):
    """Mass in the recipe of `made` that gives so much per litre of it."""
    whole = float(volume(Liquid.of(water=18.0, ethanol=1.97, glycerol=0.14, malic=0.10, citric=0.05, other=0.20)))
    return grams_per_litre * whole / (1.0 - grams_per_litre * 0.00061)


# Absolute pressure of carbon dioxide for fructose left, in bar at 10, 20 and 30 °C: property data 10.2, which stands on
# the EU formula and Weiss at 12.5 % vol; tolerance 5 % is the aim stated for this program. Its last row, 40 g/L, keeps to
# 12.5 % vol although so much sugar makes 2.4 % vol more, which hold 3 % less gas: it is no measure for this.
@pytest.mark.parametrize(
    ("sugar", "bars"),
    [
        (2, (1.1, 1.5, 1.9)),
        (4, (1.6, 2.1, 2.7)),
        (6, (2.0, 2.8, 3.6)),
        (8, (2.5, 3.4, 4.4)),
        (10, (3.0, 4.0, 5.3)),
        (15, (4.2, 5.7, 7.3)),
        (20, (5.3, 7.3, 9.4)),
        (24, (6.3, 8.6, 11.1)),
    ],
)
def test_that_pressures_are_those_of_the_property_data(sugar, bars):
    still = stillness(made(sugar=fructose_for(sugar)), Span.exactly(0.20), False)
    for pressure, bar in zip(still.pressures, bars, strict=True):
        # The table is rounded to 0.1 bar, and extract and the gas of the alcohol made are counted here besides.
        assert pressure.gauge.typical / 1e5 == pytest.approx(bar, rel=0.05, abs=0.05)
        assert pressure.gauge.low <= pressure.gauge.typical <= pressure.gauge.high
    assert [p.temperature - 273.15 for p in still.pressures] == pytest.approx([10.0, 20.0, 30.0])


def test_that_the_closure_is_that_of_the_high_end():
    # 20 to 24 g/L are the tirage of sparkling wine, 5 to 6 bar in a cellar: three sources in the property data.
    assert stillness(made(sugar=fructose_for(20)), Span.exactly(0.20), False).vessel.name in (
        "sparkling",
        "at the limit",
    )
    assert stillness(made(sugar=fructose_for(40)), Span.exactly(0.20), False).vessel.name == "beyond any bottle"
    assert stillness(made(), TOLERANCE, False).vessel.name in ("still", "prickling")


@pytest.mark.parametrize(
    ("addition", "ethanol", "stabilised", "risk"),
    [
        (("erythritol", 0.8), 1.97, False, Risk.NONE),
        (("honey", 0.8), 1.97, False, Risk.GRAVE),
        (("sugar", 0.070), 1.97, False, Risk.REAL),
        (("honey", 0.8), 1.97, True, Risk.HELD),
        (("honey", 0.8), 3.3, False, Risk.NONE),
    ],
    ids=["no sugar", "all three", "little sugar", "stabilised", "no margin"],
)
def test_that_risk_is_sugar_times_living_yeast_times_margin(addition, ethanol, stabilised, risk):
    found = stillness(made(addition, ethanol=ethanol), TOLERANCE, stabilised)
    assert found.risk == risk, str(found.words)


def test_that_yeast_takes_no_more_than_its_alcohol_lets_it():
    found = stillness(made(("honey", 2.0), ethanol=2.05), TOLERANCE, False)
    assert found.eaten.typical < found.sugar.typical
    # 1 % vol more takes 16.8 g/L of sugar: 16.83 is the convention of the European Union.
    room = found.margin.typical
    assert found.eaten.typical == pytest.approx(room * 100 * 16.83, rel=0.02)


def test_that_the_sugar_of_maltodextrin_is_among_the_small_print():
    found = stillness(made(("maltodextrin-18", 0.8)), TOLERANCE, False)
    names = {food.name: food.sugar for food in found.food}
    # Table of compositions: 11.8 g of hexose in 100 g of DE 18 (patent figures for DP1 to DP3).
    assert names[SHELF.additive("maltodextrin-18").name] == pytest.approx(40.0 * 0.118, rel=0.05)
    assert found.risk >= Risk.UNSURE


def test_that_sugar_of_an_extract_counts():
    base = made().base
    line = Addition(key="vanilla-extract", mass=0.5, alcohol=0.35, sugar=200.0)
    found = stillness(mead(Adjustment(additions=(line,)), base, True, SHELF), TOLERANCE, False)
    assert [food.name for food in found.food] == [SHELF.additive("vanilla-extract").name]


def test_that_bacteria_are_spoken_of_where_they_find_something():
    assert any("Lactose" in text for text in stillness(made(("lactose", 0.4)), TOLERANCE, False).bacteria)
    assert not any("Lactose" in text for text in stillness(made(), TOLERANCE, False).bacteria)
    assert any("malic acid" in text for text in stillness(made(), TOLERANCE, False).bacteria)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 2.0), st.floats(0.0, 2.0), st.floats(1.2, 3.6))
def test_that_more_sugar_never_lessens_risk_or_pressure(less, more, ethanol):
    less, more = sorted((less, more))
    one, other = (stillness(made(sugar=s, ethanol=ethanol), TOLERANCE, False) for s in (less, more))
    assert other.sugar.typical >= one.sugar.typical - 1e-9
    if one.eaten.high < other.eaten.high:
        # Dilution by the sugar's own volume makes a little room for alcohol, so compare what is eaten.
        assert all(b.gauge.high >= a.gauge.high - 1.0 for a, b in zip(one.pressures, other.pressures, strict=True))


# --- ways


def by_key(*additions, rules=None, ph=None, sugar=0.0, **more):
    found = ways(made(*additions, sugar=sugar, **more), TOLERANCE, rules, ph)
    return {way.key: way for way in found}


def test_that_all_ways_stand_side_by_side_with_what_they_cannot_do():
    found = by_key(("honey", 0.5))
    assert list(found) == ["limit", "dry", "stabilised", "heated", "cold"]
    for way in found.values():
        assert way.doses
        assert way.cannot.endswith(".")
        assert str(way.state).endswith(".")


def test_that_doses_of_stabilisers_are_those_of_the_tables():
    found = by_key(ph=Span.exactly(3.5))["stabilised"]
    texts = [str(dose) for dose in found.doses]
    # pH 3.5: 40 mg/L free for 0.8 mg/L molecular; in 20 L that is 1.39 g of metabisulphite, 1.4 g as scales show it, if nothing binds (11.1).
    assert "40 mg/L" in texts[0]
    assert "with 1.4 g," in texts[0]
    # 200 mg/L of sorbic acid are 268 mg/L of sorbate: 5.36 g in 20 L at most, as scales show it (11.2).
    assert "to 5.4 g," in texts[1]
    assert found.works


def test_that_a_high_ph_asks_for_more_than_the_law_allows():
    found = by_key(ph=Span.exactly(4.4))["stabilised"]
    assert not found.works
    assert "The limits are" in str(found.state)


def test_that_an_unknown_ph_is_told():
    assert "not measured" in str(by_key()["stabilised"].state)


def test_that_heat_holds_as_long_as_fifty_units_ask_for():
    # 65 °C: 9.5 minutes for 50 units (Del Vecchio 1951, table 11.3).
    assert "for 10 minutes (6 to 19)" in " ".join(map(str, by_key()["heated"].doses))


def test_that_house_rules_are_heeded():
    strict = by_key(rules=HouseRules(no_sulphite=True, no_heat=True))
    assert not strict["stabilised"].is_allowed
    assert not strict["heated"].is_allowed
    assert strict["dry"].is_allowed
    assert all(way.is_allowed for way in by_key().values())


def test_that_the_limit_of_the_yeast_is_a_way_once_it_is_passed():
    assert by_key(ethanol=3.4)["limit"].works
    weak = by_key(ethanol=1.5)["limit"]
    assert not weak.works
    assert "spirit" in str(weak.doses[-1])


def test_that_dry_names_what_brings_sugar():
    found = by_key(("honey", 0.4), ("erythritol", 0.4))["dry"]
    assert not found.works
    assert "honey brings" in str(found.doses[-1])
    assert by_key(("erythritol", 0.4))["dry"].works


def test_that_it_works_on_a_whole_batch():
    outcome = worked_out(with_adjustment(plain(), ("honey", 0.6), gravity=1.004), 20)
    found = stillness(outcome.mead, SHELF.yeast("all-rounder").tolerance, False)
    assert found.risk >= Risk.REAL
    assert len(COMPONENTS) == outcome.mead.mixed.masses.shape[0]
    assert np.isfinite([p.gauge.high for p in found.pressures]).all()


@settings(max_examples=40, deadline=None)
@given(adjustments())
def test_that_any_adjustment_a_file_can_hold_is_told(adjustment):
    base = Liquid.of(water=18.0, ethanol=1.9, malic=0.10, other=0.20, fructose=0.02)
    adjusted = mead(adjustment, Liquid(base.masses[:, None]), True, SHELF)
    found = stillness(adjusted, TOLERANCE, adjustment.stabilised)
    assert all(np.isfinite(pressure.gauge).all() for pressure in found.pressures)
    assert all(str(way.state) for way in ways(adjusted, TOLERANCE))


def test_that_what_still_ferments_is_not_stabilised_or_heated_by_any_way():
    known = KnownMead(liquid=made().base, basis=Basis.FORECAST)
    moving = mead(Adjustment(), made().base, False, SHELF, known=known)
    found = {way.key: way for way in ways(moving, TOLERANCE)}
    assert not found["stabilised"].works
    assert not found["heated"].works
    assert "Not while it ferments" in str(found["heated"].state)
    assert all(way.works for way in ways(made(), TOLERANCE) if way.key in ("stabilised", "heated"))


@pytest.mark.parametrize(
    ("additions", "risk", "said", "unsaid"),
    [
        ((), Risk.UNSURE, "your sugar test allows up to", "Test for residual sugar"),
        ((("maltodextrin-10", 0.5),), Risk.REAL, "push out corks", "burst"),
        ((("honey", 0.6),), Risk.GRAVE, "enough to burst", "push out corks"),
    ],
)
def test_that_the_finding_is_no_graver_than_the_risk(additions, risk, said, unsaid):
    sample = load("raspberry-finished")
    (place,) = [n for n, entry in enumerate(sample.log.readings) if isinstance(entry, SugarReading)]
    batch = edits.change_reading(sample, place, sugar=2.0)  # which leaves open up to 3.5 g/L
    listed = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    outcome = worked_out(edits.change_adjustment(batch, additions=listed), 60)
    tolerance = SHELF.yeast(batch.recipe.yeast.key).tolerance
    assert stillness(outcome.mead, tolerance, False).risk is risk
    told = " ".join(str(f.text) for f in outcome.findings if f.place in ("adjustment", "adjustment.additions"))
    assert said in told
    assert unsaid not in told
