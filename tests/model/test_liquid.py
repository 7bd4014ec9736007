"""Liquids: mixing conserves masses, limits are exact, and volumes are those of the tables."""

from __future__ import annotations

import random
from functools import reduce

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_liquids import SOLUTES, liquids, total

from planner.model import ethanol, sucrose
from planner.model.components import INDEX
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.liquid import (
    WATER_DENSITY,
    Liquid,
    alcohol,
    concentration,
    density,
    fermentable,
    fermentable_concentration,
    gravity,
    titratable_acid,
    volume,
)

TEMPERATURES = st.floats(273.15, 313.15)


@given(st.lists(liquids(), min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_that_mixing_conserves_the_mass_of_each_component_in_any_order(parts, dice):
    mixed = reduce(Liquid.__add__, parts)
    shuffled = list(parts)
    dice.shuffle(shuffled)
    assert mixed.masses == pytest.approx(total(parts), rel=1e-9)
    assert reduce(Liquid.__add__, shuffled).masses == pytest.approx(mixed.masses, rel=1e-9)


@given(st.lists(liquids(), min_size=2, max_size=5))
def test_that_volume_and_strength_do_not_depend_on_the_order_of_mixing(parts):
    one, other = reduce(Liquid.__add__, parts), reduce(Liquid.__add__, parts[::-1])
    assert volume(one) == pytest.approx(volume(other), rel=1e-12)
    assert alcohol(one) == pytest.approx(alcohol(other), rel=1e-12, abs=1e-15)


@given(st.floats(0.0, 1.0), TEMPERATURES)
def test_that_without_extract_the_density_is_the_alcoholometric_formula(p, temperature):
    liquid = Liquid.of(water=1.0 - p, ethanol=p)
    assert density(liquid, temperature) == pytest.approx(ethanol.density(p, temperature), rel=1e-12)


@given(st.floats(1e-9, 0.85), TEMPERATURES)
def test_that_with_sucrose_alone_the_density_is_the_sugar_formula(w, temperature):
    liquid = Liquid.of(water=1.0 - w, sucrose=w)
    assert density(liquid, temperature) == pytest.approx(sucrose.density(w, temperature), rel=1e-12)


@given(liquids(), st.floats(1e-3, 1e3))
def test_that_more_of_the_same_liquid_only_takes_more_room(liquid, factor):
    assert volume(liquid * factor) == pytest.approx(factor * volume(liquid), rel=1e-12)
    assert gravity(factor * liquid) == pytest.approx(gravity(liquid), rel=1e-12)


@given(liquids(), st.sampled_from(SOLUTES), st.floats(1e-3, 0.02))
def test_that_whatever_is_dissolved_makes_a_liquid_heavier_and_larger(liquid, key, share):
    more = liquid.plus(**{key: share * float(liquid.mass)})
    assert volume(more) > volume(liquid)
    assert density(more) > density(liquid)


@pytest.mark.parametrize("percent", [5, 10, 12, 14, 18])
def test_that_a_mead_weighs_what_additivity_of_extract_and_alcohol_gives_it(percent):
    """OIV-MA-AS2-03B adds extract and alcohol; volume bookkeeping is 0.02 to 0.3 kg/m3 higher (own comparison)."""
    grams = 100.0
    p = np.interp(percent, [0, 5, 10, 12, 14, 18], [0.0, 0.03982, 0.08015, 0.09641, 0.11274, 0.14560])  # OIML R 22
    base = Liquid.of(water=1.0 - p, ethanol=p)
    sweet = base.plus(sucrose=0.1)
    sweet = base.plus(sucrose=0.1 * grams / float(concentration(sweet, "sucrose")))
    strength, sugar = float(alcohol(sweet)), float(concentration(sweet, "sucrose"))
    dry = float(ethanol.density(_mass_fraction(strength), REFERENCE_TEMPERATURE))
    alone = float(density(Liquid.of(water=1.0, sucrose=0.0)))
    added = float(gravity(_solution(sugar)) * WATER_DENSITY) - alone
    assert float(density(sweet)) == pytest.approx(dry + added, abs=0.35)


def _mass_fraction(by_volume):
    p = np.linspace(0.0, 0.3, 30001)
    return np.interp(by_volume, ethanol.volume_fraction(p), p)


def _solution(sugar):
    w = np.linspace(0.0, 0.5, 50001)
    share = np.interp(sugar, w * sucrose.density(w, REFERENCE_TEMPERATURE), w)
    return Liquid.of(water=1.0 - share, sucrose=share)


# Extract [g/L] of a gravity 20/20, from the sugar formula of SPS-4 and, last, the official German table XIX.
EXTRACT = [
    (1.001, 2.59, 2.6), (1.005, 12.94, 12.9), (1.010, 25.89, 25.8), (1.015, 38.86, 38.7), (1.017, 44.04, 43.9),
    (1.019, 49.24, 49.1), (1.020, 51.8, None), (1.030, 77.8, None), (1.040, 103.9, None), (1.050, 129.9, None),
    (1.060, 156.1, None), (1.080, 208.5, None), (1.100, 261.2, None), (1.120, 314.1, None),
]  # fmt: skip


@pytest.mark.parametrize(("heavy", "grams", "official"), EXTRACT)
def test_that_so_much_extract_gives_the_gravity_of_the_extract_tables(heavy, grams, official):
    assert gravity(_solution(grams)) == pytest.approx(heavy, abs=0.05 / 2580)  # the table's last digit is 0.1 g/L
    if official is not None:
        assert gravity(_solution(official)) == pytest.approx(heavy, abs=0.2 / 2580)  # which differs by up to 0.16 g/L


# Increment of density per concentration [kg/m3 per g/L], its spread, and the concentration [g/L] it is stated for:
# CRC Handbook, 102nd ed., concentrative properties; polyols from molar volumes at high dilution (Hindawi IJD 2010);
# malic acid from Lange & Sinks 1930. The spread is that of the source, or half of its last digit.
INCREMENTS = {
    "sucrose": (0.3845, 0.0006, 100), "glucose": (0.379, 0.0011, 100), "fructose": (0.389, 0.0015, 100),
    "maltose": (0.384, 0.0041, 100), "lactose": (0.394, 0.0021, 100), "glycerol": (0.229, 0.0041, 100),
    "erythritol": (0.292, 0.003, 1), "xylitol": (0.332, 0.003, 1), "sorbitol": (0.347, 0.0035, 1),
    "citric": (0.405, 0.0011, 50), "malic": (0.395, 0.006, 50), "lactic": (0.209, 0.0045, 50),
    "acetic": (0.139, 0.0012, 50),
}  # fmt: skip


@pytest.mark.parametrize("key", INCREMENTS)
def test_that_dissolved_substances_weigh_what_the_handbook_says(key):
    increment, spread, concentrated = INCREMENTS[key]
    w = np.linspace(0.0, 0.2, 20001)
    made = Liquid.of(water=1.0 - w, **{key: w})
    heavier = np.interp(concentrated, concentration(made, key), density(made)) - WATER_DENSITY
    assert heavier / concentrated == pytest.approx(increment, abs=spread)


@pytest.mark.parametrize(("percent", "gravity_to_4"), [(5, 1.019), (10, 1.039)])
def test_that_malic_acid_weighs_what_was_measured_in_1930(percent, gravity_to_4):
    made = Liquid.of(water=1.0 - percent / 100.0, malic=percent / 100.0)
    # Lange & Sinks 1930, gravity 20/4, printed to 0.001; the source's own scatter is one digit more.
    assert density(made) / 999.972 == pytest.approx(gravity_to_4, abs=0.0016)


def test_that_a_sum_of_parts_is_wider_than_the_whole_when_alcohol_meets_water():
    apart = volume(Liquid.of(water=0.91985)) + volume(Liquid.of(ethanol=0.08015))
    together = volume(Liquid.of(water=0.91985, ethanol=0.08015))
    # OIML R 22 for 10 % vol: 984.710 kg/m3 at 8.015 % by mass; water 998.201, pure ethanol 789.239.
    printed = 0.91985 / 998.201 + 0.08015 / 789.239 - 1.0 / 984.710
    assert float(apart - together) == pytest.approx(printed, abs=3e-9)  # half of the last digit of each
    assert printed > 0.0


@given(liquids(ethanol=0.0), st.floats(0.02, 0.25))
def test_that_stirring_in_spirit_always_shrinks_the_whole(liquid, share):
    spirit = Liquid.of(ethanol=share * float(liquid["water"]))
    assert volume(liquid + spirit) < volume(liquid) + volume(spirit)


# x to tartaric, from molar masses (section on acids of any handbook of enology; arithmetic).
TO_TARTARIC = {
    "tartaric": 1.0, "malic": 1.119, "citric": 1.172, "lactic": 0.833, "acetic": 1.250, "succinic": 1.271,
    "gluconic": 0.383,
}  # fmt: skip


@pytest.mark.parametrize("key", TO_TARTARIC)
def test_that_a_gram_of_acid_titrates_like_so_much_tartaric(key):
    liquid = Liquid.of(water=1.0, **{key: 0.006})
    factor = titratable_acid(liquid) / concentration(liquid, key)
    assert factor == pytest.approx(TO_TARTARIC[key], abs=0.00051)  # half of the printed last digit


def test_that_only_acids_are_titrated():
    neutral = {key: 0.01 for key in SOLUTES if key not in TO_TARTARIC and key != "quinic"}
    assert titratable_acid(Liquid.of(water=1.0, ethanol=0.1, **neutral)) == 0.0


@given(liquids())
def test_that_sugar_for_yeast_is_what_the_sugars_give_by_their_molar_masses(liquid):
    hexose = liquid["glucose"] + liquid["fructose"] + (liquid["sucrose"] + liquid["maltose"]) * 2 * 180.156 / 342.297
    assert fermentable(liquid) == pytest.approx(hexose, rel=1e-5)  # molar masses are rounded to 1 mg
    assert fermentable_concentration(liquid) == pytest.approx(fermentable(liquid) / volume(liquid), rel=1e-12)


def test_that_sugars_yeast_leaves_are_not_counted_as_food():
    stays = ("higher_sugars", "lactose", "sorbitol", "erythritol", "xylitol", "allulose", "maltodextrin_low")
    assert fermentable(Liquid.of(water=1.0, **dict.fromkeys(stays, 0.05))) == 0.0


@pytest.mark.parametrize(("percent", "grams"), [(5, 39.46), (12, 94.71), (18, 142.06)])  # OIML R 22
def test_that_alcohol_is_the_volume_of_pure_ethanol_at_twenty_degrees(percent, grams):
    p = float(_mass_fraction(percent / 100.0))
    liquid = Liquid.of(water=1.0 - p, ethanol=p)
    assert alcohol(liquid) == pytest.approx(percent / 100.0, abs=2e-6)
    assert concentration(liquid, "ethanol") == pytest.approx(grams, abs=0.0051)


def test_that_a_plain_liquid_is_added_to_each_member_of_an_ensemble():
    members = Liquid.of(water=np.array([1.0, 2.0, 3.0]), glucose=0.1)
    mixed = members + Liquid.of(water=1.0, malic=0.01)
    assert mixed["water"] == pytest.approx([2.0, 3.0, 4.0])
    assert mixed["malic"] == pytest.approx([0.01] * 3)
    assert (Liquid.of(water=1.0) + members).masses.shape == members.masses.shape


def test_that_adding_and_taking_away_change_only_what_is_named():
    liquid = Liquid.of(water=1.0, glucose=0.2, malic=0.01)
    changed = liquid.plus(glucose=-0.05, sorbitol=0.02).without("malic")
    expected = {"water": 1.0, "glucose": 0.15, "sorbitol": 0.02}
    for key in INDEX:
        assert changed[key] == pytest.approx(expected.get(key, 0.0))
    assert liquid["glucose"] == 0.2  # the old one is untouched


def test_that_a_member_of_an_ensemble_has_the_volume_it_had_in_it():
    dice = random.Random(1)
    ensemble = Liquid.of(water=np.array([dice.uniform(1, 2) for _ in range(7)]), sucrose=0.2, ethanol=0.1)
    assert [float(volume(ensemble.member(i))) for i in range(7)] == pytest.approx(volume(ensemble), rel=1e-15)
    assert volume(ensemble.member(slice(2, 5))) == pytest.approx(volume(ensemble)[2:5], rel=1e-15)


def test_that_a_component_nobody_knows_is_refused():
    with pytest.raises(KeyError):
        Liquid.of(water=1.0, phlogiston=0.1)


def test_that_mass_and_extract_are_sums_of_the_parts():
    liquid = Liquid.of(water=1.0, ethanol=0.1, glucose=0.2, malic=0.01)
    assert float(liquid.mass) == pytest.approx(1.31)
    assert float(liquid.extract) == pytest.approx(0.21)
