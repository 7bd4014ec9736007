"""What no published table is needed for: laws that any right model keeps, tried on random liquids."""

from __future__ import annotations

from functools import reduce

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.model import gas, pasteurisation, ph, sorbate, sulphite, weight_loss
from planner.model.components import COMPONENTS
from planner.model.inference import Reading, infer, way_of
from planner.model.liquid import Liquid, alcohol, density, fermentable, gravity, titratable_acid, volume
from planner.model.refraction import apparent_brix, refractive_index
from planner.model.refractometer import brix_at_twenty, must_gravity
from planner.model.scales import brix_from_gravity, gravity_from_brix
from planner.model.sweetness import sucrose_equivalent
from planner.model.viscosity import viscosity

SOLUTES = [key for key in COMPONENTS if key not in ("water", "ethanol")]
HEAVY = [key for key in SOLUTES if key not in ("glycerol", "lactic", "acetic")]
"""Solutes that weigh clearly more than the water they push away, however much alcohol is in it."""

KELVIN = st.floats(273.15, 313.15)


def some(high):
    return st.just(0.0) | st.floats(1e-6, high)


@st.composite
def drinks(draw, strongest=0.25, solutes=tuple(SOLUTES), most=0.2):
    """A kilogram or so of water with some alcohol and up to five solutes."""
    keys = draw(st.lists(st.sampled_from(solutes), max_size=5, unique=True))
    return Liquid.of(water=1.0, ethanol=draw(some(strongest)), **{key: draw(some(most)) for key in keys})


@st.composite
def musts(draw):
    """Musts that can ferment, with acid and other extract."""
    return Liquid.of(
        water=1.0,
        glucose=draw(st.floats(0.03, 0.2)),
        fructose=draw(st.floats(0.03, 0.2)),
        sucrose=draw(some(0.05)),
        maltose=draw(some(0.03)),
        sorbitol=draw(some(0.02)),
        malic=draw(some(0.02)),
        citric=draw(some(0.02)),
        other=draw(some(0.01)),
    )


@given(st.lists(drinks(), min_size=3, max_size=6), st.randoms(use_true_random=False))
def test_that_mixing_does_not_know_order_or_grouping(parts, dice):
    shuffled = list(parts)
    dice.shuffle(shuffled)
    forward = reduce(Liquid.__add__, parts)
    backward = reduce(lambda done, part: part + done, reversed(shuffled))
    grouped = reduce(Liquid.__add__, parts[:2]) + reduce(Liquid.__add__, parts[2:])
    for other in (backward, grouped):
        assert other.masses == pytest.approx(forward.masses, rel=1e-12, abs=1e-15)
        for measure in (volume, density, alcohol, titratable_acid, refractive_index, sucrose_equivalent):
            assert measure(other) == pytest.approx(measure(forward), rel=1e-12, abs=1e-14)


@given(drinks(), st.sampled_from(HEAVY), st.floats(1e-3, 0.1))
def test_that_more_extract_is_heavier_and_bends_light_more(drink, key, share):
    more = drink.plus(**{key: share})
    assert density(more) > density(drink)
    assert refractive_index(more) > refractive_index(drink)


@given(drinks(strongest=0.15), st.floats(1e-3, 0.05))
def test_that_more_alcohol_is_lighter_and_bends_light_more(drink, share):
    assume(float(drink.extract) < 0.35)  # in a syrup, spirit thins the syrup more than it adds light-bending of its own
    more = drink.plus(ethanol=share)
    assert density(more) < density(drink)
    assert alcohol(more) > alcohol(drink)


@given(st.floats(1e-3, 0.25), st.floats(0.01, 0.05))
def test_that_spirit_in_water_bends_light_more(strength, more):
    weak, strong = (Liquid.of(water=1.0, ethanol=e) for e in (strength, strength + more))
    assert refractive_index(strong) > refractive_index(weak)


@given(drinks(), KELVIN, st.floats(0.5, 10.0))
def test_that_warmth_makes_a_drink_lighter_and_thinner(drink, kelvin, more):
    assume(kelvin > 278.15)  # water is heaviest at 4 °C
    assume(kelvin + more < 313.15)
    assert density(drink, kelvin + more) < density(drink, kelvin)
    assert viscosity(drink, kelvin + more) < viscosity(drink, kelvin)
    assert refractive_index(drink, kelvin + more) < refractive_index(drink, kelvin)


@given(drinks(most=0.3), KELVIN)
def test_that_nothing_in_range_is_without_an_answer(drink, kelvin):
    for value in (
        volume(drink, kelvin),
        density(drink, kelvin),
        gravity(drink),
        alcohol(drink),
        refractive_index(drink, kelvin),
        apparent_brix(drink),
        viscosity(drink, kelvin),
        sucrose_equivalent(drink),
        titratable_acid(drink),
        gas.wine_solubility(kelvin, min(float(alcohol(drink)), 0.25), 50.0),
        pasteurisation.units_per_minute(kelvin + 30.0),
    ):
        assert np.all(np.isfinite(value))


@given(st.floats(0.0, 85.0))
def test_that_the_scales_of_sugar_go_back_and_forth(brix):
    assert brix_from_gravity(gravity_from_brix(brix)) == pytest.approx(brix, abs=1e-9)


@given(st.floats(0.0, 60.0), KELVIN)
def test_that_a_drop_at_any_temperature_gives_its_brix(brix, kelvin):
    w = brix / 100.0
    drop = Liquid.of(water=1.0 - w, sucrose=w)
    shown = np.array([float(apparent_brix(drop, kelvin))])
    # The scale and the masses part by up to 0.005 °Brix near water, of which the correction carries a tenth.
    assert brix_at_twenty(shown, np.array([kelvin]))[0] == pytest.approx(float(apparent_brix(drop)), abs=1e-3)


@given(musts(), st.floats(0.5, 1.5))
def test_that_a_must_by_refractometer_has_its_gravity(must, strength):
    stronger = way_of(must)(np.array([strength]), np.array([0.0]))
    low, typical, high = must_gravity(apparent_brix(stronger), must, doubt=0.1)[:, 0]
    assert typical == pytest.approx(float(gravity(stronger)[0]), abs=1e-9)
    assert low < typical < high


KINDS = [
    (("gravity", True), ("gravity", False)),
    (("gravity", True), ("brix", False)),
    (("brix", True), ("brix", False)),
    (("brix", True), ("gravity", False)),
    (("gravity", False), ("brix", False)),
]
MEASURES = {"gravity": gravity, "brix": apparent_brix}


@given(musts(), st.sampled_from(KINDS), st.floats(0.7, 1.4), st.floats(0.02, 0.98))
def test_that_two_readings_tell_the_must_and_the_stage_they_were_taken_of(must, kinds, strength, share):
    way = way_of(must)
    at = {True: way(np.array([strength]), np.array([0.0])), False: way(np.array([strength]), np.array([share]))}
    readings = [
        Reading(kind, MEASURES[kind](at[start]), start, 0.001 if kind == "gravity" else 0.1) for kind, start in kinds
    ]
    known = infer(must, *readings)
    assert known.fits.all()
    assert known.share[1, 0] == pytest.approx(share, abs=1e-7)
    assert known.starting_gravity[1, 0] == pytest.approx(float(gravity(at[True])[0]), abs=1e-8)
    assert known.alcohol[1, 0] == pytest.approx(float(alcohol(at[False])[0]), abs=1e-8)
    for low, typical, high in (known.alcohol[:, 0], known.sugar[:, 0], known.extract[:, 0], known.gravity[:, 0]):
        assert low <= typical <= high


@given(musts(), st.floats(0.1, 0.9))
def test_that_a_batch_on_the_scale_tells_its_sugar(must, share):
    whole = float(fermentable(must))
    used = share * whole
    now = way_of(must)(np.array([1.0]), np.array([share]))
    held = gas.wine_solubility(293.15, np.minimum(alcohol(now), 0.25), (whole - used) / volume(now)) * gas.ATMOSPHERE
    lost = weight_loss.gas_yield().typical * used - float((held * volume(now))[0])
    assume(lost > 1e-4)
    found = weight_loss.by_weight(lost, must)
    assert found.sugar_used[1, 0] == pytest.approx(used, rel=1e-6)
    assert found.alcohol[1, 0] == pytest.approx(float(alcohol(now)[0]), rel=1e-6)


@given(st.floats(0.0, 60.0), st.floats(273.15, 308.15), st.floats(0.05, 0.18))
def test_that_pressure_of_a_bottle_rises_with_sugar_and_warmth(sugar, kelvin, strength):
    pressure = gas.refermentation(sugar, kelvin, strength).gauge
    assert gas.refermentation(sugar + 1.0, kelvin, strength).gauge > pressure
    assert gas.refermentation(sugar, kelvin + 1.0, strength).gauge > pressure


@given(st.floats(0.0, 2e-3), st.floats(2.5, 4.5), st.floats(0.0, 0.15), st.floats(293.15, 313.15))
def test_that_free_and_molecular_sulphur_dioxide_go_back_and_forth(molecular, acidity, strength, kelvin):
    for convention in (sulphite.TEXTBOOK, sulphite.OIV):
        free = sulphite.free_for(molecular, acidity, convention, strength, kelvin)
        share = sulphite.molecular_share(acidity, convention, strength, kelvin)
        assert free * share == pytest.approx(molecular, rel=1e-12, abs=1e-18)


@given(st.floats(1e-4, 0.1), st.floats(1e-3, 1.0))
def test_that_powders_weighed_in_are_found_again(mass, room):
    assert sorbate.sorbate_for(sorbate.sorbic_acid(mass, room), room) == pytest.approx(mass, rel=1e-12)


@given(st.floats(2.7, 4.2), st.dictionaries(st.sampled_from(["malic", "citric", "tartaric", "lactic"]), st.floats(2e-3, 0.02),
                                            min_size=1), st.floats(0.0, 0.15))  # fmt: skip
def test_that_a_mead_has_the_ph_it_was_measured_at(acidity, acids, spirit):
    mead = Liquid.of(water=1.0, ethanol=spirit, **acids)
    strength = float(alcohol(mead))
    assume(float(titratable_acid(mead)) > 2.0)
    assert float(ph.ph_by_salts(ph.buffer(mead, acidity), [0.0], float(volume(mead)), strength)[0]) == pytest.approx(
        acidity, abs=1e-6
    )
    more_acid = ph.ph_after(mead, acidity, Liquid.of(malic=2e-3))
    less_acid = ph.ph_after(mead, acidity, Liquid.of(), salts=0.01)
    assert more_acid.typical < acidity < less_acid.typical
    assert less_acid.low <= less_acid.typical <= less_acid.high
