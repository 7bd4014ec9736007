"""The whole domain that is promised: 0 to 40 °C, to 85 °Brix and to 25 % vol, in any division of what is dissolved."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from random_liquids import SOLUTES

from planner.model import ethanol
from planner.model.components import COMPONENTS
from planner.model.guards import OutOfRange
from planner.model.hydrometer import corrected, sample_density
from planner.model.liquid import WATER_DENSITY, Liquid, alcohol, density, fermentable, gravity, titratable_acid, volume
from planner.model.refraction import apparent_brix, brix_from_index, refractive_index
from planner.model.refractometer import brix_at_twenty
from planner.model.scales import brix_from_gravity, gravity_from_brix
from planner.model.sweetness import sucrose_equivalent
from planner.model.viscosity import viscosity

KELVIN = st.floats(273.15, 313.15)
STRONGEST = 0.25
"""Alcohol by volume to which the model is promised. [m^3/m^3]"""

SUGARS = ("sucrose", "glucose", "fructose", "maltose")


@st.composite
def wholes(draw, most=0.85, solutes=tuple(SOLUTES), strongest=STRONGEST):
    """A kilogram with up to `most` of its mass dissolved, divided at random, its solvent up to `strongest` in strength."""
    keys = draw(st.lists(st.sampled_from(solutes), min_size=1, max_size=6, unique=True))
    parts = np.array([draw(st.floats(0.05, 1.0)) for _ in keys])
    dissolved = draw(st.floats(0.0, most))
    p = draw(st.floats(0.0, float(np.interp(strongest, ethanol.volume_fraction(_P), _P))))
    masses = dict(zip(keys, dissolved * parts / parts.sum(), strict=True))
    solvent = 1.0 - dissolved
    return Liquid.of(water=solvent * (1.0 - p), ethanol=solvent * p, **masses)


_P = np.linspace(0.0, 0.35, 701)


def like_sugar(gravities):
    w = np.clip(brix_from_gravity(gravities) / 100.0, 0.0, None)
    return Liquid.of(water=1.0 - w, sucrose=w)


@given(wholes(), KELVIN)
def test_that_no_liquid_of_the_domain_is_without_an_answer(liquid, kelvin):
    told = {
        "volume": volume(liquid, kelvin), "density": density(liquid, kelvin), "gravity": gravity(liquid),
        "alcohol": alcohol(liquid), "index": refractive_index(liquid, kelvin),
        "viscosity": viscosity(liquid, kelvin), "sweetness": sucrose_equivalent(liquid), "sugar": fermentable(liquid),
        "acid": titratable_acid(liquid),
    }  # fmt: skip
    for name, value in told.items():
        assert np.all(np.isfinite(value)), name
    assert 500.0 < float(told["density"]) < 2600.0
    assert float(told["viscosity"]) > 0.0
    assert -1e-12 <= float(told["alcohol"]) <= STRONGEST + 1e-6  # `wholes` finds that edge between points of a grid


@given(wholes(), KELVIN)
def test_that_a_refractometer_shows_any_liquid_or_says_that_it_is_off_its_scale(liquid, kelvin):
    # The scale ends at the index of 89 °Brix; four fifths of some acids or of ash lie beyond it.
    if float(refractive_index(liquid, kelvin)) <= 1.515:
        assert np.isfinite(apparent_brix(liquid, kelvin))
    else:
        with pytest.raises(OutOfRange, match=r"refractive index was 1\.[56]\d*; accepted is 1\.325 to 1\.515"):
            apparent_brix(liquid, kelvin)


def test_that_what_is_off_the_scale_of_a_refractometer_is_told_so():
    syrup = Liquid.of(water=0.19, other=0.81)
    with pytest.raises(OutOfRange, match=r"refractive index was 1\.5"):
        apparent_brix(syrup)


@given(wholes(solutes=SUGARS), KELVIN)
def test_that_sugars_and_spirit_stay_between_spirit_and_dry_sugar(liquid, kelvin):
    lightest = float(ethanol.density(np.interp(STRONGEST, ethanol.volume_fraction(_P), _P), 313.15))
    assert lightest - 0.01 < float(density(liquid, kelvin)) < 1460.0  # SPS-4: 85 % at 0 °C
    assert 1.32 < float(refractive_index(liquid, kelvin)) < 1.52


@given(wholes(most=0.80), st.sampled_from(SOLUTES), st.floats(1e-4, 0.05))
def test_that_density_rises_with_each_gram_of_what_is_denser_in_the_whole_domain(liquid, key, share):
    # A gram takes its specific volume and, in syrups, up to a twentieth more: what is lighter than that may lighten them.
    assume(1.0 / COMPONENTS[key].specific_volume > 1.06 * float(density(liquid)))
    assert density(liquid.plus(**{key: share})) > density(liquid)


@given(wholes(most=0.80, strongest=0.20), st.floats(1e-4, 0.02))
def test_that_density_falls_with_each_gram_of_spirit_in_the_whole_domain(liquid, share):
    assert density(liquid.plus(ethanol=share)) < density(liquid)


@given(wholes(), wholes(), wholes())
def test_that_mixing_is_associative_and_commutative_to_the_last_digit(one, two, three):
    left, right, other = (one + two) + three, one + (two + three), three + one + two
    for same in (right, other):
        assert same.masses == pytest.approx(left.masses, rel=1e-12, abs=1e-16)
        for measure in (volume, density, gravity, alcohol, refractive_index, fermentable, titratable_acid):
            assert measure(same) == pytest.approx(measure(left), rel=1e-12, abs=1e-15)


@given(st.floats(0.0, 70.0), KELVIN, st.sampled_from([293.15, 288.15, 288.70555555555556]))
def test_that_a_hydrometer_read_anywhere_gives_the_gravity_it_floats_in(brix, kelvin, calibration):
    w = brix / 100.0
    true = Liquid.of(water=1.0 - w, sucrose=w)
    per_mark = float(sample_density(1.0, kelvin, calibration))  # density of what floats it at 1.000
    shown = float(density(true, kelvin)) / per_mark
    found = corrected(np.array([shown]), np.array([kelvin]), like_sugar, calibration)
    assert found[0] == pytest.approx(float(gravity(true)), abs=8e-6)
    # The waters of the two standards differ by up to 0.007 kg/m3 (IAPWS beside OIML R 22); a stem's line is 1e-3.


@given(st.floats(0.0, 60.0), KELVIN)
def test_that_a_refractometer_read_anywhere_gives_the_brix_it_was_dipped_in(brix, kelvin):
    w = brix / 100.0
    drop = Liquid.of(water=1.0 - w, sucrose=w)
    shown = np.array([float(apparent_brix(drop, kelvin))])
    assert brix_at_twenty(shown, np.array([kelvin]))[0] == pytest.approx(float(apparent_brix(drop)), abs=1e-3)


@given(st.floats(0.0, 85.0))
def test_that_scale_and_index_of_pure_sugar_name_the_same_strength(brix):
    assert float(brix_from_gravity(gravity_from_brix(brix))) == pytest.approx(brix, abs=1e-9)
    w = brix / 100.0
    # Two published fits to two tables: SPS-4 by density, SPS-3 by index, joined by specific refraction.
    assert float(brix_from_index(refractive_index(Liquid.of(water=1.0 - w, sucrose=w)))) == pytest.approx(
        brix, abs=0.01
    )


def test_that_the_corners_of_the_domain_have_answers():
    for key in COMPONENTS:
        if key in ("water", "ethanol"):
            continue
        for dissolved in (0.0, 1e-9, 0.85):
            for p in (0.0, 0.2):
                solvent = 1.0 - dissolved
                corner = Liquid.of(water=solvent * (1 - p), ethanol=solvent * p, **{key: dissolved})
                for kelvin in (273.15, 313.15):
                    for value in (density(corner, kelvin), refractive_index(corner, kelvin), viscosity(corner, kelvin)):
                        assert np.isfinite(float(value)), (key, dissolved, p, kelvin)
    assert float(density(Liquid.of(water=1.0))) == pytest.approx(WATER_DENSITY, abs=0.003)
