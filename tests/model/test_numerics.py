"""Root finding and polynomials against general-purpose libraries, on random problems."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from planner.model.numerics import percentiles, polynomial, solve_increasing


def increasing(slopes):
    """A smooth function through zero on (0, 1), with slopes between 0.2 and about 20."""
    return lambda x: 0.2 * x + sum(slope * x**power for power, slope in enumerate(slopes, start=1))


slopes = st.lists(st.floats(0.0, 5.0), min_size=1, max_size=4)


@given(slopes, st.lists(st.floats(0.0, 1.0), min_size=1, max_size=30))
def test_that_each_of_many_targets_is_reached(slopes, places):
    f = increasing(slopes)
    wanted = f(np.array(places))
    found = solve_increasing(f, wanted, 0.0, 1.0)
    assert found == pytest.approx(places, abs=1e-10)


@given(slopes, st.floats(0.05, 0.95))
def test_that_the_root_is_that_of_a_general_purpose_solver(slopes, share):
    f = increasing(slopes)
    target = share * f(1.0)
    other = brentq(lambda x: f(x) - target, 0.0, 1.0, xtol=1e-13)
    assert float(solve_increasing(f, target, 0.0, 1.0)) == pytest.approx(other, abs=1e-10)


@given(st.floats(-5.0, 5.0), st.floats(0.1, 10.0), st.floats(0.0, 1.0))
def test_that_the_bracket_may_lie_anywhere(low, width, share):
    f = np.exp
    target = f(low + share * width)
    found = float(solve_increasing(f, target, low, low + width))
    assert found == pytest.approx(low + share * width, abs=1e-9 * width)


@given(slopes, st.floats(-50.0, 0.0), st.floats(0.0, 50.0))
def test_that_beyond_the_ends_the_ends_are_given(slopes, below, beyond):
    f = increasing(slopes)
    ends = f(np.array([0.0, 1.0]))  # as the solver asks: Python's own sum of plain floats rounds otherwise from 3.12 on
    found = solve_increasing(f, ends + np.array([below, beyond]), 0.0, 1.0)
    assert list(found) == [0.0, 1.0]


def test_that_one_target_out_of_reach_does_not_spoil_the_others():
    found = solve_increasing(lambda x: x**2, [-1.0, 0.25, 9.0], 0.0, 1.0)
    assert found == pytest.approx([0.0, 0.5, 1.0], abs=1e-12)


def test_that_a_function_that_is_flat_for_a_while_is_solved_where_it_rises():
    found = solve_increasing(lambda x: np.maximum(x - 0.5, 0.0), [0.1, 0.4], 0.0, 1.0)
    assert found == pytest.approx([0.6, 0.9], abs=1e-10)


def test_that_a_coarse_tolerance_is_kept_too():
    found = solve_increasing(lambda x: x + x**3, np.linspace(0.1, 1.9, 40), 0.0, 1.0, 1e-7)
    assert found + found**3 == pytest.approx(np.linspace(0.1, 1.9, 40), abs=1e-6)


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=8), st.lists(st.floats(-2, 2), min_size=1, max_size=10))
def test_that_a_polynomial_is_that_of_numpy(coefficients, x):
    expected = np.polynomial.polynomial.polyval(np.array(x), coefficients)
    assert polynomial(coefficients, x) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(
    st.lists(st.lists(st.floats(-1e6, 1e6), min_size=7, max_size=7), min_size=1, max_size=4),
    st.lists(st.floats(0.0, 100.0), min_size=1, max_size=5),
)
def test_that_percentiles_are_those_of_numpy(rows, levels):
    # Both go straight between two members; they round the way there differently.
    values = np.array(rows)
    wanted = np.percentile(values, levels, axis=1)
    assert percentiles(values, levels) == pytest.approx(wanted, rel=1e-12, abs=1e-9)


def test_that_what_lacks_a_member_has_no_percentiles():
    found = percentiles(np.array([[1.0, np.nan, 2.0], [1.0, 3.0, 2.0]]), (5.0, 50.0))
    assert np.isnan(found[:, 0]).all()
    assert found[1, 1] == 2.0
    assert percentiles([4.0], (5.0, 95.0)).tolist() == [4.0, 4.0]
