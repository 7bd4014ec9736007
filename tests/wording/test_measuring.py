"""A dose that scale or syringe cannot show is told as a solution that brings the same."""

from __future__ import annotations

import pytest
from example_batches import plain, with_adjustment, worked_out

from planner.wording.measuring import measured_as


@pytest.mark.parametrize(("mass", "given"), [(0.0004, "20 mL"), (0.00005, "2.5 mL"), (0.0009, "45 mL")])
def test_that_less_than_a_gram_is_told_as_a_share_of_ten_in_half_a_litre(mass, given):
    told = measured_as(mass)
    assert str(told).startswith("This is too little for a kitchen scale. Stir 10 g into water, make it up to 500 mL")
    assert given in str(told)
    dissolved, whole, part = (figure.value for figure in told.figures)
    assert dissolved / whole * part == pytest.approx(mass)


def test_that_less_than_half_a_millilitre_is_told_as_a_thinned_one():
    told = measured_as(0.0003, density=950.0)
    pure, whole, part = (figure.value for figure in told.figures)
    assert pure / whole * part * 950.0 == pytest.approx(0.0003)
    assert "syringe" in str(told)


@pytest.mark.parametrize(("mass", "density"), [(0.001, None), (0.0, None), (0.000951 / 2.0 + 1e-6, 950.0)])
def test_that_what_can_be_measured_or_is_none_is_left_alone(mass, density):
    assert measured_as(mass, density) is None


def test_that_a_small_addition_is_told_so_beside_it_and_a_larger_one_not():
    for grams, said in ((0.4, True), (4.0, False)):
        found = worked_out(with_adjustment(plain(), ("tannin", grams * 1e-3), gravity=0.999)).findings
        about = [
            str(one.text) for one in found if one.place == "adjustment.additions.0" and "kitchen scale" in str(one.text)
        ]
        assert bool(about) == said
        assert all(text.startswith("0.4 g: this is too little") for text in about)
