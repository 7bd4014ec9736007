"""Sweetness: sums of relative sweetness, what raises them, and their balance with acid."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_liquids import liquids

from planner.model.components import COMPONENTS
from planner.model.liquid import Liquid, concentration
from planner.model.sweetness import (
    ACID_STEP,
    STEP,
    acid_steps,
    sucrose_equivalent,
    sweetness_span,
    sweetness_steps,
)

SWEET = [key for key, row in COMPONENTS.items() if row.sweetness.typical > 0.0]

# Sweetness by mass, sucrose = 1: lowest and highest of the reviews in which it was seen.
REVIEWS = {
    "fructose": (1.03, 1.73), "glucose": (0.50, 0.80), "maltose": (0.325, 0.50), "lactose": (0.16, 0.28),
    "erythritol": (0.60, 0.80), "xylitol": (1.0, 1.0), "sorbitol": (0.5, 0.7), "allulose": (0.70, 0.70),
    "glycerol": (0.55, 0.75),
}  # fmt: skip


def solution(key, share=0.05):
    return Liquid.of(water=1.0 - share, **{key: share})


@pytest.mark.parametrize("key", REVIEWS)
def test_that_relative_sweetness_lies_within_the_reviews(key):
    low, high = REVIEWS[key]
    liquid = solution(key, 0.055)  # between the doses at which erythritol's sweetness shifts
    relative = float(sucrose_equivalent(liquid) / concentration(liquid, key))
    assert low - 1e-9 <= relative <= high + 1e-9


def test_that_sucrose_is_its_own_measure():
    liquid = solution("sucrose")
    assert sucrose_equivalent(liquid) == pytest.approx(concentration(liquid, "sucrose"), rel=1e-12)
    assert sweetness_span(liquid).is_exact


@pytest.mark.parametrize(("grams", "relative"), [(20.0, 0.60), (100.0, 0.70)])
def test_that_erythritol_grows_sweeter_with_dose(grams, relative):
    # Choi & Chung 2015 report the rise; 0.60 up to 30 g/L and 0.70 from 80 g/L are the estimate built on it.
    liquid = Liquid.of(water=1.0, erythritol=grams * 1e-3)
    assert sucrose_equivalent(liquid) / concentration(liquid, "erythritol") == pytest.approx(relative, abs=0.006)


def test_that_thirty_grams_of_maltodextrin_are_less_than_half_a_step():
    # 0.7 of its glucose, 0.4 of its maltose, 0.3 of its maltotriose: 1.2 g/L of sucrose at DE 10 (arithmetic).
    liquid = Liquid.of(water=1.0, maltodextrin_medium=0.029, maltose=0.001)
    assert float(sucrose_equivalent(liquid)) < 0.5 * STEP


@given(liquids(), st.sampled_from(SWEET), st.floats(1e-4, 0.05))
def test_that_adding_something_sweet_never_makes_a_drink_less_sweet_than_diluting_it_would(liquid, key, share):
    amount = share * float(liquid.mass)
    with_it, with_water = liquid.plus(**{key: amount}), liquid.plus(water=amount)
    assert sucrose_equivalent(with_it) > sucrose_equivalent(with_water)


@pytest.mark.parametrize("key", SWEET)
def test_that_more_of_a_sweetener_in_water_is_sweeter(key):
    masses = np.linspace(1e-4, 0.25, 400)
    liquid = Liquid.of(water=1.0, **{key: masses})
    assert np.all(np.diff(sucrose_equivalent(liquid)) > 0.0)


@given(liquids())
def test_that_the_span_is_ordered_and_holds_the_typical(liquid):
    span = sweetness_span(liquid)
    assert span.low <= span.typical <= span.high
    assert span.typical == pytest.approx(float(sucrose_equivalent(liquid)), abs=1e-12)


CASES = [
    (sweetness_steps, STEP, (20.0, 60.0, 120.0), (0.205, 0.33)),
    (acid_steps, ACID_STEP, (5.0, 8.0, 15.0), (0.095, 0.18)),
]
"""Shares of what is there by which a mixture of sucrose and citric acid must change: npj Science of Food 6, 33, 2022."""


@pytest.mark.parametrize(("steps", "least", "levels", "published"), CASES)
def test_that_steps_are_constant_in_what_is_hardly_sweet_or_sharp_and_grow_with_it(steps, least, levels, published):
    assert steps(0.0, least) == pytest.approx(1.0)
    assert steps(least, 2.0 * least) == pytest.approx(1.0)
    for level in levels[1:]:
        low, high = published
        # one step up lies between the shares that tasters needed
        assert steps(level, level * (1.0 + low)) <= 1.0 + 1e-9 or steps(level, level * (1.0 + high)) >= 1.0
        assert steps(level, level * (1.0 + 0.9 * low)) < 1.0 < steps(level, level * (1.0 + 1.1 * high))
    assert steps(levels[0], levels[0] + least) > steps(levels[2], levels[2] + least)


@pytest.mark.parametrize(("steps", "least"), [(sweetness_steps, STEP), (acid_steps, ACID_STEP)])
@given(values=st.tuples(*[st.floats(0.0, 300.0)] * 3))
def test_that_steps_add_up_and_change_their_sign_on_the_way_back(steps, least, values):
    one, two, three = values
    assert steps(one, two) + steps(two, three) == pytest.approx(steps(one, three), abs=1e-9)
    assert steps(one, two) == pytest.approx(-steps(two, one), abs=1e-9)
    assert abs(steps(one, two)) <= abs(two - one) / least + 1e-9
