"""The integrator against closed solutions and a general-purpose one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import RK45, solve_ivp

from planner.model import stepping
from planner.model.stepping import Alone, PathError, Together


def follow(slope, tolerance, start, stop, state, moments, step):
    """The states at some moments, and at the end."""
    path = Together(start, state, step)
    path.walk(slope, tolerance, stop)
    return path.at(moments), path.state, path.step


def tight(state):
    return 1e-9 + 1e-9 * np.abs(state)


def test_that_its_coefficients_are_those_of_a_general_purpose_library():
    for i, row in enumerate(stepping._STAGES, start=1):
        assert row == pytest.approx(RK45.A[i][:i], rel=1e-15)
        assert stepping._NODES[i] == pytest.approx(RK45.C[i] if i < len(RK45.C) else 1.0)
    assert pytest.approx(RK45.B, rel=1e-15) == stepping._END
    assert pytest.approx(RK45.E, rel=1e-15) == stepping._ERROR
    assert pytest.approx(RK45.P, rel=1e-15) == stepping._BETWEEN
    assert stepping._weights_at(0.3) == pytest.approx(stepping._weights(np.array([0.3]))[0], rel=1e-14)


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
    with pytest.raises(PathError, match=r"could not be followed beyond day 1\.0"):
        follow(lambda t, y: y * (np.nan if t > 1.0 else 0.0), tight, 0.0, 2.0, np.ones((1, 1)), np.array([2.0]), 0.25)


def spiral(t, y):
    """Turns and shrinks; the first part is exp(-t/5) cos t."""
    return (-0.2 * y[0] - y[1], y[0] - 0.2 * y[1] + 0.0 * t)


def test_that_one_in_floats_walks_as_one_in_an_array():
    alone, together = Alone(0.0, [1.0, 0.0], 0.1), Together(0.0, np.array([[1.0], [0.0]]), 0.1)
    for path in (alone, together):
        path.walk(spiral, lambda _: [1e-8, 1e-8], 9.0)
    moments = np.linspace(0.0, 9.0, 31)
    assert alone.at(moments) == pytest.approx(together.at(moments)[:, :, 0], abs=1e-13)
    # The error of a step, near the 1e-8 allowed, is a difference of slopes near 1, each rounded to some 1e-16; the step
    # goes with its fifth root. How sums round is a matter of the Python and of the processor.
    assert alone.step == pytest.approx(together.step, rel=1e-8)
    assert alone.at(moments)[:, 0] == pytest.approx(np.exp(-moments / 5.0) * np.cos(moments), abs=1e-6)


@pytest.mark.parametrize("kind", [Alone, Together])
def test_that_a_walk_ends_where_something_passes_nought(kind):
    start = [1.0, 0.0] if kind is Alone else np.array([[1.0], [0.0]])
    path = kind(0.0, start, 0.1)
    assert path.walk(spiral, lambda _: [1e-10, 1e-10], 9.0, lambda y: -float(np.ravel(y[0])[0]))
    assert path.day == pytest.approx(np.pi / 2.0, abs=1e-6)  # where the cosine is nought
    assert float(np.ravel(path.state[0])[0]) == pytest.approx(0.0, abs=1e-8)
    assert not path.walk(spiral, lambda _: [1e-10, 1e-10], 4.0, lambda y: float(np.ravel(y[0])[0]) - 9.0)
    assert path.day == 4.0
    days = np.linspace(0.0, 4.0, 23)  # the stretch that was cut short is read up to where the next begins
    assert np.ravel(path.at(days)[:, 0]) == pytest.approx(np.exp(-days / 5.0) * np.cos(days), abs=1e-7)


@given(st.floats(1e-14, 0.999), st.floats(1e-9, 5.0), st.sampled_from([Alone, Together]))
def test_that_what_was_waited_for_has_come_where_a_walk_ends(share, pace, kind):
    """Logarithms of an amount that decays, waiting until a share of it is gone: the ferment's way to a feed by its sugar."""
    start = [0.0] if kind is Alone else np.array([[0.0]])
    path = kind(0.0, start, 0.05)

    def gone(state):
        return 1.0 - float(np.exp(np.ravel(state[0])[0])) - share

    due = -np.log1p(-share) / pace
    assert path.walk(lambda *_: (-pace,), lambda _: [1e-6], 2.0 * due + 1.0, gone)
    assert gone(path.state) >= 0.0  # as it was told, to the last digit
    grain = 2.3e-16 / pace  # one minus a float has no finer steps than 2.2e-16 (IEEE 754)
    assert path.day == pytest.approx(due, rel=1e-6, abs=1e-6 + grain)


def test_that_it_gives_up_in_words_where_steps_have_no_end(monkeypatch):
    monkeypatch.setattr(stepping, "MOST_STEPS", 50)
    with pytest.raises(PathError, match=r"could not be followed beyond day 0\.[0-9]"):
        follow(lambda t, _: np.array([[np.cos(1e4 * t)]]), lambda y: np.full(y.shape, 1e-9), 0.0, 5.0, np.zeros((1, 1)),
               np.array([5.0]), 1e-5)  # fmt: skip


def test_that_a_path_not_yet_walked_is_where_it_starts():
    assert Alone(0.0, [1.0, 2.0], 0.1).at([0.0]).tolist() == [[1.0, 2.0]]


def test_that_a_state_changed_by_hand_is_told_from_its_moment_on():
    path = Alone(0.0, [1.0], 0.1)
    path.walk(lambda *_: [0.0], lambda _: [1e-8], 1.0)
    path.state = [3.0]
    path.walk(lambda *_: [0.0], lambda _: [1e-8], 2.0)
    assert path.at([0.0, 0.999, 1.0, 2.0]).ravel().tolist() == [1.0, 1.0, 3.0, 3.0]
