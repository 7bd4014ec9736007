"""What stirring in does to masses: exact sums, labels, blends, and carbonates that take acid away as gas."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain, with_adjustment, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adjusting.additions import (
    GAS_PER_EQUIVALENT,
    by_label,
    density_of,
    given_doses,
    liquid_of,
    other_mead,
    stirred,
)
from planner.adjusting.mead import mead
from planner.document import edits
from planner.document.batch import Addition, Adjustment, Event, What
from planner.model.liquid import Liquid, alcohol, concentration, titratable_acid, volume
from planner.model.span import Span

DRY = Liquid.of(water=18.0, ethanol=1.9, glycerol=0.14, malic=0.10, citric=0.05, other=0.20, fructose=0.02)
POTASSIUM_HYDROGEN_CARBONATE, POTASSIUM_CARBONATE, CALCIUM_CARBONATE = 100.115, 138.205, 100.087
"""Molar masses. [g/mol]"""


def one(liquid, **fields):
    additions = fields.pop("additions", ())
    return mead(Adjustment(additions=additions, **fields), Liquid(liquid.masses[:, None]), True, SHELF)


@pytest.mark.parametrize("key", sorted(SHELF.additives))
def test_that_every_additive_keeps_its_mass(key):
    assert float(liquid_of(SHELF.additive(key), 0.37).mass) == pytest.approx(0.37, rel=1e-4)


# Masses of carbon dioxide: 44.010 g for 100.115 g of KHCO3, 138.205 g of K2CO3, 100.087 g of CaCO3 (molar masses). Of
# calcium carbonate 85 % react in practice (Usseglio-Tomasset, quoted in the Handbook of Enology, vol. 2).
@pytest.mark.parametrize(
    ("key", "share"),
    [
        ("potassium-bicarbonate", 44.010 / POTASSIUM_HYDROGEN_CARBONATE),
        ("potassium-carbonate", 44.010 / POTASSIUM_CARBONATE),
        ("calcium-carbonate", 0.85 * 44.010 / CALCIUM_CARBONATE),
    ],
)
def test_that_the_gas_of_a_carbonate_is_what_leaves(key, share):
    row = SHELF.additive(key)
    after = stirred(DRY, row, 0.020, liquid_of(row, 0.020))
    assert float(DRY.mass) + 0.020 - float(after.mass) == pytest.approx(0.020 * share, rel=2e-4)
    assert np.all(after.masses >= 0.0)


# 1 g/L of KHCO3 lowers titratable acid by 0.75 g/L as tartaric, of K2CO3 by 1.086, of CaCO3 by 1.50 x 0.85 (12.2).
@pytest.mark.parametrize(
    ("key", "fall"), [("potassium-bicarbonate", 0.750), ("potassium-carbonate", 1.086), ("calcium-carbonate", 1.275)]
)
def test_that_a_carbonate_takes_acid_as_the_tables_say(key, fall):
    row, room = SHELF.additive(key), float(volume(DRY))
    after = stirred(DRY, row, room * 1.0, liquid_of(row, room * 1.0))
    assert float(titratable_acid(DRY) - titratable_acid(after)) == pytest.approx(fall, rel=0.005)


@settings(max_examples=30)
@given(st.sampled_from(sorted(GAS_PER_EQUIVALENT)), st.floats(0.0, 1.0))
def test_that_acid_is_never_less_than_none(key, mass):
    row = SHELF.additive(key)
    after = stirred(DRY, row, mass, liquid_of(row, mass))
    assert float(titratable_acid(after)) >= -1e-9
    assert float(titratable_acid(after)) <= float(titratable_acid(DRY)) + 1e-9


@settings(max_examples=30)
@given(st.floats(0.0, 0.96), st.floats(0.0, 300.0), st.floats(0.01, 2.0))
def test_that_a_liquid_is_what_its_label_says(strength, sugar, mass):
    whole = by_label(strength, sugar, mass)
    assert float(whole.mass) == pytest.approx(mass, rel=1e-9)
    if float(whole["water"]) > 0.0:
        assert float(alcohol(whole)) == pytest.approx(strength, abs=1e-6)
        assert float(concentration(whole, "sucrose")) == pytest.approx(sugar, abs=1e-3)


# OIML R 22: 40 % vol weighs 948.05 kg/m3, 96 % vol 807.42; the ethanol in a litre is 0.4 and 0.96 L of it.
@pytest.mark.parametrize(("key", "density", "strength"), [("spirit-40", 948.05, 0.40), ("spirit-96", 807.42, 0.96)])
def test_that_spirits_are_as_strong_as_they_are_called(key, density, strength):
    litre = liquid_of(SHELF.additive(key), density * 1e-3)
    assert float(litre["ethanol"]) / 789.24 * 1e3 == pytest.approx(strength, abs=2e-4)


def test_that_a_label_gives_the_density():
    row = SHELF.additive("flavour-extract")
    assert density_of(row) == row.density
    # OIML R 22: spirit of 60 % vol weighs 909.1 kg/m3 (from memory of its table II).
    assert density_of(row, Addition(key=row.key, mass=1.0, alcohol=0.60)) == pytest.approx(909.1, abs=0.5)
    # ICUMSA SPS-4: a syrup of 300 g/L weighs 1113.4 kg/m3 or so: 300 g take 0.1862 L, water the rest.
    assert density_of(row, Addition(key=row.key, mass=1.0, alcohol=0.0, sugar=300.0)) == pytest.approx(1112.0, abs=3.0)


def test_that_an_extract_brings_its_alcohol():
    # 100 mL of extract of 35 % vol in 20 L bring 35 mL of ethanol: 0.175 % vol.
    row = SHELF.additive("vanilla-extract")
    after = one(DRY, additions=(Addition(key=row.key, mass=0.1e-3 * row.density),), volume=0.020)
    gained = after.after.alcohol.typical * after.after.volume.typical - after.before.alcohol.typical * 0.020
    assert gained * 1e6 == pytest.approx(35.0, rel=0.01)


@settings(max_examples=20)
@given(st.floats(0.01, 30.0), st.floats(0.0, 0.4), st.floats(0.8, 2.6))
def test_that_a_blend_is_exact_in_mass(mass, sugar, ethanol):
    second = Liquid.of(water=17.0, ethanol=ethanol, fructose=sugar, citric=0.11, other=0.2)
    line = Addition(key="another-mead", mass=mass, blend=other_mead("Second", second))
    after = one(DRY, additions=(line,))
    expected = DRY.masses + second.masses * (mass / float(second.mass))
    assert after.mixed.masses[:, 0] == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_that_a_blend_survives_the_file():
    line = Addition(key="another-mead", mass=1.0, blend=other_mead("Second", DRY))
    assert edits.add_addition(plain(), line).adjustment.additions[0].blend == line.blend


# --- what was measured


def test_that_measured_alcohol_and_acid_are_what_it_has():
    after = one(DRY, acid=7.5, alcohol=0.118, volume=0.018)
    assert after.before.acid.typical == pytest.approx(7.5, rel=1e-3)
    assert after.before.alcohol.typical == pytest.approx(0.118, abs=1e-4)
    assert after.before.volume.typical == pytest.approx(0.018, rel=1e-9)
    measured = worked_out(with_adjustment(plain(), gravity=1.004, alcohol=0.118, acid=7.5), 20).mead.before
    assert measured.gravity.typical == pytest.approx(1.004, abs=2e-5)
    assert measured.alcohol.typical == pytest.approx(0.118, abs=3e-4)
    assert measured.alcohol.low < 0.118 < measured.alcohol.high
    assert measured.acid.typical == pytest.approx(7.5, rel=0.01)


def test_that_acid_can_be_measured_where_none_was_expected():
    plain_ = Liquid.of(water=18.0, ethanol=1.9, other=0.2)
    assert one(plain_, acid=4.0).before.acid.typical == pytest.approx(4.0, rel=1e-3)


def test_that_ph_falls_with_acid_and_rises_with_carbonate_and_is_unknown_without_a_measurement():
    acid = one(DRY, ph=3.4, additions=(Addition(key="malic-acid", mass=0.04),)).ph
    soft = one(DRY, ph=3.4, additions=(Addition(key="potassium-bicarbonate", mass=0.04),)).ph
    sweet = one(DRY, ph=3.4, additions=(Addition(key="erythritol", mass=0.6),)).ph
    assert acid.typical < 3.38
    assert soft.typical > 3.45
    assert sweet.typical == pytest.approx(3.4, abs=0.03)
    assert one(DRY).ph is None


def test_that_what_was_drunk_is_gone():
    after = one(DRY, volume=0.020, drunk=0.0005)
    assert after.before.volume.typical == pytest.approx(0.0195, rel=1e-9)
    assert one(DRY, volume=0.020, drunk=0.5).before.volume.typical > 0.0


# --- what was given


def test_that_the_log_tells_what_was_given():
    batch = edits.log_doses(plain(), Addition(key="erythritol", mass=0.3), at="2026-11-20T18:00+01:00")
    batch = edits.log_doses(batch, Addition(key="erythritol", mass=0.1), Addition(key="malic-acid", mass=0.01))
    excluded = Event(what=What.DOSE, key="sugar", mass=1.0, excluded=True)
    batch = edits.add_readings(batch, excluded, Event(what=What.FEED, key="blend", mass=0.01))
    assert given_doses(batch.log.readings) == pytest.approx({"erythritol": 0.4, "malic-acid": 0.01})


def test_that_now_lies_between_before_and_after():
    batch = with_adjustment(plain(), ("erythritol", 0.6), gravity=1.004, volume=0.020)
    before = worked_out(batch).mead
    assert before.now is None
    halfway = worked_out(edits.log_doses(batch, Addition(key="erythritol", mass=0.36))).mead
    assert halfway.after.sweetness.typical == pytest.approx(before.after.sweetness.typical)
    assert halfway.before.sweetness.typical < halfway.now.sweetness.typical < halfway.after.sweetness.typical
    (step,) = halfway.given
    assert (step.key, step.mass, step.planned) == ("erythritol", 0.36, 0.6)


def test_that_what_was_given_beyond_the_plan_counts():
    batch = with_adjustment(plain(), ("erythritol", 0.3), gravity=1.004, volume=0.020)
    over = worked_out(edits.log_doses(batch, Addition(key="erythritol", mass=0.5))).mead
    asked = worked_out(with_adjustment(plain(), ("erythritol", 0.5), gravity=1.004, volume=0.020)).mead
    assert over.after.sweetness.typical == pytest.approx(asked.after.sweetness.typical, rel=1e-9)
    assert over.now == over.after
    assert isinstance(over.ph, Span | None)
