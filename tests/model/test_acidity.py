"""Acid by titration: there and back, and carbonates without the grape growers' tartar."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model.acidity import CARBONATES, acid_to_add, carbonate_to_add, fall_of_acid, in_terms_of
from planner.model.components import ACIDS
from planner.model.liquid import Liquid, titratable_acid, volume

NAMES = st.sampled_from([*ACIDS, "sulphuric"])


@given(st.floats(0.0, 20.0), NAMES, NAMES)
def test_that_terms_go_back_and_forth(amount, one, other):
    assert in_terms_of(in_terms_of(amount, one, other), other, one) == pytest.approx(amount, rel=1e-12)


@pytest.mark.parametrize("acid", ACIDS)
def test_that_the_acid_weighed_in_is_the_acid_titrated(acid):
    mead = Liquid.of(water=9.0, ethanol=0.9, malic=0.02)
    before = float(titratable_acid(mead))
    room = float(volume(mead))
    sharper = mead.plus(**{acid: float(acid_to_add(1.0, room, acid))})
    rise = float(titratable_acid(sharper) * volume(sharper) / room) - before
    assert rise == pytest.approx(1.0, rel=1e-9)


@given(st.floats(0.1, 3.0), st.floats(1.0, 100.0), st.sampled_from(list(CARBONATES)))
def test_that_the_carbonate_weighed_in_takes_what_was_asked(fall, litres, key):
    dose = carbonate_to_add(fall, litres * 1e-3, key)
    assert fall_of_acid(dose.typical, litres * 1e-3, key).typical == pytest.approx(fall, rel=1e-12)
    assert dose.low <= dose.typical <= dose.high


def test_that_tartar_takes_no_more_than_there_is():
    plenty = fall_of_acid(1e-3, 1e-3, tartaric=10.0)
    little = fall_of_acid(1e-3, 1e-3, tartaric=0.4)
    none = fall_of_acid(1e-3, 1e-3)
    assert plenty.high == pytest.approx(1.50, abs=0.005)  # full precipitation: stoichiometry, Handbook of Enology
    assert little.high == pytest.approx(none.high + 0.2, abs=1e-9)  # half a molecule's acid falls with its other half
    assert plenty.typical == none.typical


def test_that_calcium_carbonate_does_less_than_its_formula_says():
    fall = fall_of_acid(1e-3, 1e-3, "calcium-carbonate")
    assert fall.typical == pytest.approx(0.85 * fall.high, rel=1e-12)  # Usseglio-Tomasset, in the Handbook of Enology


def test_that_every_carbonate_says_what_it_does_to_the_ph():
    assert all("Raises the pH" in row.words for row in CARBONATES.values())
