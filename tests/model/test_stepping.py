"""The integrator against closed solutions and a general-purpose one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import RK45, solve_ivp

from planner.model import stepping
from planner.model.stepping import follow


def tight(state):
    return 1e-9 + 1e-9 * np.abs(state)


def test_that_its_coefficients_are_those_of_a_general_purpose_library():
    for i, row in enumerate(stepping._STAGES, start=1):
        assert row == pytest.approx(RK45.A[i][:i], rel=1e-15)
        assert stepping._NODES[i] == pytest.approx(RK45.C[i] if i < len(RK45.C) else 1.0)
    assert pytest.approx(RK45.B, rel=1e-15) == stepping._END
    assert pytest.approx(RK45.E, rel=1e-15) == stepping._ERROR
    assert pytest.approx(RK45.P, rel=1e-15) == stepping._BETWEEN


@settings(max_examples=30)
@given(st.lists(st.floats(-3.0, 1.0), min_size=1, max_size=5), st.floats(0.5, 8.0))
def test_that_exponentials_come_out_as_exponentials(rates, stop):
    pace = np.array(rates)[None, :]
    moments = np.linspace(0.0, stop, 17)
    found, end, _ = follow(lambda _, y: pace * y, tight, 0.0, stop, np.ones(pace.shape), moments, 0.1)
    assert found[:, 0, :] == pytest.approx(np.exp(moments[:, None] * pace), rel=1e-6, abs=1e-7)
    assert end[0] == pytest.approx(np.exp(stop * pace[0]), rel=1e-6, abs=1e-7)


def test_that_a_coupled_system_agrees_with_a_general_purpose_solver():
    def slope(t, y):
        prey, hunter = y
        return np.stack((prey * (1.1 - 0.4 * hunter), hunter * (0.1 * prey - 0.4) + 0.05 * np.sin(t)))

    moments = np.linspace(0.0, 30.0, 61)
    found, _, _ = follow(slope, tight, 0.0, 30.0, np.array([[10.0], [5.0]]), moments, 0.5)
    other = solve_ivp(
        lambda t, y: slope(t, y[:, None])[:, 0], (0, 30), [10, 5], "DOP853", moments, rtol=1e-11, atol=1e-11
    )
    assert pytest.approx(other.y, abs=1e-5) == found[:, :, 0].T


def test_that_a_tighter_tolerance_is_nearer():
    def off(size):
        moments = np.array([5.0])
        found, _, _ = follow(lambda t, _: np.array([[np.cos(3.0 * t)]]), lambda y: np.full(y.shape, size), 0.0, 5.0,
                             np.zeros((1, 1)), moments, 1.0)  # fmt: skip
        return abs(found[0, 0, 0] - np.sin(15.0) / 3.0)

    assert off(1e-3) < 1e-2
    assert off(1e-9) < 1e-7


def test_that_moments_between_steps_and_at_the_ends_are_told():
    moments = np.array([0.0, 1e-9, 0.7, 1.0])
    found, _, _ = follow(lambda t, _: np.array([[2.0 * t]]), tight, 0.0, 1.0, np.zeros((1, 1)), moments, 1.0)
    assert found[:, 0, 0] == pytest.approx(moments**2, abs=1e-8)


def test_that_no_moments_are_no_matter():
    found, end, _ = follow(lambda _, y: -y, tight, 0.0, 1.0, np.ones((2, 3)), np.array([]), 0.1)
    assert found.shape == (0, 2, 3)
    assert end == pytest.approx(np.full((2, 3), np.exp(-1.0)), abs=1e-7)


def test_that_it_gives_up_in_words_where_there_is_no_number():
    with pytest.raises(ArithmeticError, match=r"could not be followed beyond day 1\.0"):
        follow(lambda t, y: y * (np.nan if t > 1.0 else 0.0), tight, 0.0, 2.0, np.ones((1, 1)), np.array([2.0]), 0.25)
