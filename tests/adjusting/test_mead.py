"""The finished mead: measured values rule, additions conserve mass, and each effect is its own."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_adjustment, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st
from random_batches import adjustments

from planner.adjusting.additions import GAS_PER_EQUIVALENT
from planner.adjusting.base_mead import at_gravity
from planner.adjusting.mead import liquid_of, mead, noticed, properties
from planner.document.batch import Addition, Adjustment
from planner.model.fermentation import TYPICAL_YIELDS, malic_used
from planner.model.liquid import (
    Liquid,
    alcohol,
    fermentable,
    fermentable_concentration,
    gravity,
    volume,
)
from planner.recipe.must import must
from planner.timeline.course import expected
from planner.timeline.ferment_ph import acidity_of

MEMBERS = 30
START = must(plain(), SHELF, MEMBERS)
AHEAD = expected(plain().recipe, START, SHELF)
SPANS = ("volume", "gravity", "alcohol", "sweetness", "viscosity", "acid", "fermentable", "extract")


def mixed(*additions, base=AHEAD.finished, measured=False, **fields):
    lines = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    return mead(Adjustment(additions=lines, **fields), base, measured, SHELF)


@settings(max_examples=40)
@given(adjustments())
def test_that_every_mass_of_the_whole_is_the_sum_of_base_and_additions(adjustment):
    after = mead(adjustment, AHEAD.finished, False, SHELF)
    parts = [liquid_of(SHELF.additives[line.key], line.mass, line) for line in adjustment.additions]
    total = after.base.masses[:, 0] + sum((part.masses for part in parts), np.zeros(len(after.base.masses)))
    if not any(line.key in GAS_PER_EQUIVALENT for line in adjustment.additions):
        assert after.mixed.masses[:, 0] == pytest.approx(total, rel=1e-9, abs=1e-15)
    gas = total.sum() - float(after.mixed.mass[0])
    # Sodium-free carbonates hold at most 44 % (chalk, bicarbonate) of their mass as carbon dioxide: molar masses.
    carbonates = sum(line.mass for line in adjustment.additions if line.key in GAS_PER_EQUIVALENT)
    assert -1e-9 * total.sum() <= gas <= 0.4398 * carbonates + 1e-9 * total.sum()


@settings(max_examples=40)
@given(adjustments())
def test_that_the_effects_add_up_to_what_changed(adjustment):
    after = mead(adjustment, AHEAD.finished, False, SHELF)
    for name in ("volume", "gravity", "alcohol", "sweetness", "viscosity", "acid"):
        change = getattr(after.after, name).typical - getattr(after.before, name).typical
        summed = sum(getattr(effect, name) for effect in after.effects)
        scale = abs(getattr(after.before, name).typical) + abs(getattr(after.after, name).typical)
        assert summed == pytest.approx(change, abs=1e-9 * scale + 1e-15)
    grown = fermentable(after.mixed)[0] - fermentable(after.base)[0]
    assert sum(effect.fermentable for effect in after.effects) == pytest.approx(float(grown), rel=1e-9, abs=1e-12)


@settings(max_examples=40)
@given(adjustments())
def test_that_each_effect_lies_within_its_range(adjustment):
    after = mead(adjustment, AHEAD.finished, False, SHELF)
    for effect in after.effects:
        assert effect.sweetness_range.low <= effect.sweetness <= effect.sweetness_range.high
        assert effect.viscosity_range.low <= effect.viscosity <= effect.viscosity_range.high
        assert effect.sweetness_range.typical == effect.sweetness


def test_that_how_sweet_a_sweetener_is_is_told_as_a_range():
    (effect,) = mixed(("xylitol", 0.4)).effects
    assert not effect.sweetness_range.is_exact  # estimates and panels differ
    (effect,) = mixed(("sugar", 0.4)).effects
    # Sucrose is the measure itself: what is left of a range is what it dilutes.
    assert effect.sweetness_range.high - effect.sweetness_range.low < 0.05 * effect.sweetness


@settings(max_examples=30)
@given(adjustments())
def test_that_spans_are_ordered_and_never_below_nothing(adjustment):
    after = mead(adjustment, AHEAD.finished, False, SHELF)
    for side in (after.before, after.after):
        for name in SPANS:
            span = getattr(side, name)
            assert 0.0 <= span.low <= span.typical <= span.high, name


@given(st.floats(1.003, 1.090))
@settings(max_examples=25)
def test_that_a_measured_gravity_within_reach_is_what_every_member_has(measured):
    liquid = at_gravity(START.liquid, AHEAD.yields, measured)
    # Members share the doubt of one line of the hydrometer; the typical one has the reading itself.
    assert float(gravity(liquid)[0]) == pytest.approx(measured, abs=1e-5)
    assert np.max(np.abs(gravity(liquid) - measured)) < 0.004


@pytest.mark.parametrize("measured", [0.990, 0.997, 1.20])
def test_that_a_measured_gravity_beyond_the_way_is_met_by_what_else_is_dissolved(measured):
    liquid = at_gravity(START.liquid, AHEAD.yields, measured)
    assert float(gravity(liquid)[0]) == pytest.approx(measured, abs=1e-5)
    assert np.all(liquid.masses >= -1e-12)


def test_that_a_sweeter_reading_means_more_sugar_and_less_alcohol():
    dry, sweet = (at_gravity(START.liquid, AHEAD.yields, measured) for measured in (1.004, 1.020))
    assert alcohol(sweet)[0] < alcohol(dry)[0]
    assert fermentable_concentration(sweet)[0] > fermentable_concentration(dry)[0] + 20.0


def test_that_the_volume_is_as_measured_for_every_member():
    after = mixed(volume=0.0185)
    assert volume(after.base) == pytest.approx(np.full(MEMBERS + 1, 0.0185), rel=1e-12)
    assert after.before.volume.is_exact or after.before.volume.high - after.before.volume.low < 1e-12
    assert gravity(after.base) == pytest.approx(gravity(AHEAD.finished), rel=1e-12)


def test_that_without_a_measured_volume_it_is_that_of_the_finished_must():
    assert volume(mixed().base) == pytest.approx(volume(AHEAD.finished))


# Volume a hundred grams add [mL]: apparent volumes of sucrose 0.616 cm3/g, honey with 17 % water 0.68, erythritol 0.711.
@pytest.mark.parametrize(("key", "millilitres"), [("sugar", 61.6), ("honey", 68.0), ("erythritol", 71.1)])
def test_that_a_hundred_grams_make_the_batch_grow_by_their_apparent_volume(key, millilitres):
    (effect,) = mixed((key, 0.1)).effects
    assert effect.volume * 1e6 == pytest.approx(millilitres, abs=0.7)  # one to two units of the last digit


# 10 g/L lift gravity by 0.00386 (sucrose), 0.0029 (erythritol), 0.0023 (glycerol): increments of the handbook.
@pytest.mark.parametrize(("key", "lift"), [("sugar", 0.00386), ("erythritol", 0.0029), ("glycerol", 0.0023)])
def test_that_ten_grams_a_litre_lift_the_gravity_as_the_handbook_says(key, lift):
    base = Liquid.of(water=np.array([20.0]))
    grams = 10e-3 * float(volume(base)[0]) * 1e3
    (effect,) = mixed((key, grams), base=base).effects
    # The same mass in the slightly larger volume is 9.93 to 9.94 g/L.
    assert effect.gravity == pytest.approx(lift, rel=0.025)


def test_that_an_effect_tells_name_mass_teaspoons_and_what_yeast_can_take():
    sugar, oil = mixed(("sugar", 0.42), ("glycerol", 0.062)).effects
    assert (sugar.index, sugar.name, sugar.mass) == (0, SHELF.additives["sugar"].name, 0.42)
    assert sugar.teaspoons == pytest.approx(100.0)  # a level US teaspoon of sugar weighs 4.2 g (USDA)
    assert sugar.fermentable == pytest.approx(0.42 * 360.312 / 342.297, rel=1e-9)
    assert sugar.alcohol < 0.0 < sugar.sweetness
    assert oil.index == 1
    assert oil.fermentable == 0.0


def test_that_what_cannot_be_spooned_tells_no_teaspoons():
    without = [key for key, row in SHELF.additives.items() if row.teaspoon is None]
    for key in without:
        assert mixed((key, 0.1)).effects[0].teaspoons is None


def test_that_acid_sharpens_and_maltodextrin_thickens():
    acid, thick = mixed(("tartaric-acid", 0.0198), ("maltodextrin-10", 0.3)).effects
    # 19.8 g of tartaric acid in 19.8 L are 1 g/L of it.
    assert acid.acid == pytest.approx(0.0198 / float(volume(AHEAD.finished)[0]), rel=0.01)
    assert thick.viscosity > 0.1e-3
    assert abs(thick.sweetness) < 1.0
    assert noticed("viscosity", 1.5e-3, 1.776e-3) == pytest.approx(2.0)  # 0.138 mPa s is a step (Danner et al. 2019)


def test_that_whether_it_was_measured_is_told():
    assert worked_out(with_adjustment(plain(), gravity=1.004)).mead.measured
    assert not worked_out(plain()).mead.measured


def test_that_a_measured_mead_is_less_doubtful_than_an_expected_one():
    expected_only = worked_out(plain(), 100).mead.before.gravity
    measured = worked_out(with_adjustment(plain(), gravity=1.0016), 100).mead.before.gravity
    assert measured.high - measured.low < 0.5 * (expected_only.high - expected_only.low)


def test_that_a_sugar_test_reaches_the_mead():
    open_ = with_log(with_adjustment(plain(), gravity=1.008), read(60.0, 1.008))
    dry = with_log(with_adjustment(plain(), gravity=1.008), read(60.0, 1.008), sugar_test(60.0, 1.0))
    assert worked_out(open_).mead.before.fermentable.typical > 10.0
    # A strip is good to 1.5 g/L.
    assert worked_out(dry, MEMBERS).mead.before.fermentable.typical == pytest.approx(1.0, abs=1.5)
    assert worked_out(dry).mead.before.gravity.typical == pytest.approx(1.008, abs=1e-5)


def test_that_doubts_of_ensemble_and_literature_are_joined():
    liquid = AHEAD.finished.plus(fructose=0.5)
    joined, ensemble = (
        properties(liquid).sweetness,
        properties(Liquid(np.repeat(liquid.masses[:, :1], 5, axis=1))).sweetness,
    )
    assert joined.high - joined.low >= ensemble.high - ensemble.low
    assert ensemble.low < ensemble.typical < ensemble.high  # fructose is 1.1 to 1.5 times as sweet as sucrose


def test_that_typical_yields_and_no_members_give_the_typical_mead():
    ph = acidity_of(plain().recipe, START, SHELF).typical
    made = TYPICAL_YIELDS._replace(freed=AHEAD.yields.freed, malic=malic_used(ph))
    alone = at_gravity(Liquid(START.liquid.masses[:, :1]), made, 1.010)
    assert alone.masses[:, 0] == pytest.approx(
        at_gravity(START.liquid, AHEAD.yields, 1.010).masses[:, 0], rel=1e-5, abs=1e-9
    )
