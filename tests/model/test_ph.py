"""pH by the balance of charges: an estimate, and one that moves as chemistry does."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model.acidity import CARBONATES
from planner.model.components import ACIDS
from planner.model.liquid import Liquid, alcohol, volume
from planner.model.ph import DISSOCIATION, Buffer, buffer, charge, ph_after, ph_by_salts, ph_of_blend, ph_words
from planner.model.span import Span

JUICE = Liquid.of(water=0.88, fructose=0.05, glucose=0.05, citric=0.021)
HONEY = Liquid.of(water=0.172, fructose=0.41, glucose=0.40, gluconic=0.0057)
WATER = (Liquid.of(water=1.5), Span(7.0, 7.0, 7.0))


def ph_of(mixture, room, strength=0.0):
    """pH at which the charges of a mixture balance. [-]"""
    return float(ph_by_salts(mixture, [0.0], room, strength)[0])


def alone(acid, moles, salt=0.0):
    return Buffer(np.array([moles if key == acid else 0.0 for key in ACIDS]), salt)


def test_that_every_acid_of_the_model_has_its_constants():
    assert set(DISSOCIATION) == set(ACIDS)
    assert all(list(steps) == sorted(steps) for steps in DISSOCIATION.values())


def test_that_acids_let_go_of_their_protons_one_after_the_other():
    charges = charge(np.linspace(1.5, 9.0, 300))
    assert np.all(np.diff(charges, axis=1) > 0.0)
    for row, key in zip(charges, ACIDS, strict=True):
        assert 0.0 <= row[0] < 0.05
        assert row[-1] == pytest.approx(len(DISSOCIATION[key]), abs=0.02)


def test_that_titration_to_pH_8_finds_almost_every_group():
    at_end = charge(np.array([8.2]))[:, 0]
    for found, key in zip(at_end, ACIDS, strict=True):
        assert (
            found / len(DISSOCIATION[key]) > 0.99
        )  # more than 99 % of the equivalents: own reckoning on the constants


def test_that_dilution_raises_and_acid_lowers_the_ph():
    strong = ph_of(alone("citric", 100.0, 30.0), 1.0)
    weak = ph_of(alone("citric", 100.0, 30.0), 3.0)
    sharper = ph_of(alone("citric", 150.0, 30.0), 1.0)
    assert sharper < strong < weak


def test_that_pure_water_is_neutral():
    assert ph_of(alone("citric", 0.0), 1.0) == pytest.approx(7.0, abs=0.01)  # definition of pH and the ion product


def test_that_alcohol_raises_the_ph():
    assert ph_of(alone("malic", 50.0, 20.0), 1.0, 0.12) > ph_of(alone("malic", 50.0, 20.0), 1.0, 0.0)


def test_that_a_blend_lies_between_its_parts_and_nearer_the_stronger_acid():
    found = ph_of_blend([(HONEY, Span(3.4, 3.9, 4.5)), (JUICE, Span(3.2, 3.3, 3.4)), WATER])
    assert 3.3 < found.typical < 3.9
    assert found.typical - 3.3 < 3.9 - found.typical
    assert found.low < found.typical < found.high


def test_that_a_part_alone_keeps_its_own_ph():
    found = ph_of_blend([(JUICE, Span(3.2, 3.3, 3.4))])
    assert found.typical == pytest.approx(3.3, abs=1e-6)
    assert found.low <= 3.2
    assert found.high >= 3.4


def test_that_doubt_about_a_part_is_carried_into_the_blend():
    sure = ph_of_blend([(JUICE, Span.exactly(3.3)), WATER])
    unsure = ph_of_blend([(JUICE, Span(3.0, 3.3, 3.6)), WATER])
    assert unsure.high - unsure.low > sure.high - sure.low


def test_that_fermentation_lowers_the_ph_by_what_it_makes_and_takes():
    parts = [(HONEY, Span.exactly(3.9)), (JUICE, Span.exactly(3.3)), WATER]
    before = ph_of_blend(parts)
    made = Liquid.of(succinic=0.003, acetic=0.001)
    after = ph_of_blend(parts, made)
    fed = ph_of_blend(parts, made, salts=-0.01)  # yeast took ten millimoles of ammonium and gave protons for them
    assert fed.typical < after.typical < before.typical


def test_that_a_carbonate_raises_the_ph_of_a_citric_mead_more_than_the_acid_lowered_it():
    mead = Liquid.of(water=0.88, ethanol=0.09, citric=0.007)
    mass = 1.33e-3 * float(volume(mead)) * 1e3  # 1.33 g/L of potassium bicarbonate
    salts = mass * CARBONATES["potassium-bicarbonate"].equivalents
    raised = ph_after(mead, 3.2, Liquid.of(), salts)
    assert 3.3 < raised.typical < 3.7  # common practice, no source: 0.1 to 0.4 for a gram of acid per litre
    back = ph_after(mead, 3.2, Liquid.of(citric=0.0001), salts)
    assert 3.2 < back.typical < raised.typical


def test_that_a_mead_without_acid_is_still_a_buffer_of_its_own_ph():
    plain = Liquid.of(water=0.9, ethanol=0.08)
    own = buffer(plain, 4.0)
    assert ph_of(own, float(volume(plain)), float(alcohol(plain))) == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (Span(3.0, 3.1, 3.2), "falls to about 3.1"),
        (Span(3.4, 3.5, 3.6), "rises to about 3.5"),
        (Span(3.2, 3.32, 3.4), "hardly"),
    ],
)
def test_that_the_words_say_which_way_and_that_it_is_an_estimate(after, words):
    said = ph_words(3.3, after)
    assert words in said
    assert "estimate" in said
