"""The rates against the published constants and what the papers say of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model import kinetics
from planner.model.kinetics import (
    Culture,
    awake,
    decline_constant,
    growth_constant,
    lag_time,
    pace,
)
from tests.rates import rates

AVERAGE = Culture(tolerance=1e9, vigour=1.0, growth=1.0, decline=1.0, lag=1.0, pitch=0.25, ethanol_yield=0.465)

# °C, decline constant [1e-5 L/(g h)] by Coleman, Fish & Block 2007 (ln k'd by powers of °C), and greatest growth
# rate [1/h] by Zenteno et al. 2010.
PUBLISHED = [
    (11, 2.98, 0.0476), (15, 3.19, 0.0675), (18, 3.70, 0.0872), (20, 4.28, 0.103), (22, 5.16, 0.122), (25, 7.32, 0.155),
    (28, 11.3, 0.197), (30, 15.9, 0.231), (35, 43.7, 0.338),
]  # fmt: skip


@pytest.mark.parametrize(("celsius", "decline", "_growth"), PUBLISHED)
def test_that_yeast_declines_as_coleman_and_others_found(celsius, decline, _growth):
    half_digit = 0.051 if decline > 10 else 0.0051
    assert float(decline_constant(celsius + 273.15)) / 24.0 * 1e5 == pytest.approx(decline, abs=half_digit)


@pytest.mark.parametrize(("celsius", "_decline", "growth"), PUBLISHED)
def test_that_yeast_grows_as_zenteno_and_others_found(celsius, _decline, growth):
    half_digit = 0.00051 if growth > 0.1 else 0.000051
    assert float(growth_constant(celsius + 273.15)) / 24.0 == pytest.approx(growth, abs=half_digit)


@pytest.mark.parametrize(
    ("celsius", "coleman"), [(11, 0.0469), (15, 0.0641), (20, 0.0948), (25, 0.140), (30, 0.207), (35, 0.306)]
)  # mu_max = exp(-3.92 + 0.0782 T), the other paper's
def test_that_the_two_papers_agree_on_growth_within_eleven_percent(celsius, coleman):
    assert float(growth_constant(celsius + 273.15)) / 24.0 == pytest.approx(coleman, rel=0.115)


def test_that_growth_doubles_in_about_nine_degrees():
    ratio = float(growth_constant(293.15 + 8.9) / growth_constant(293.15))
    assert ratio == pytest.approx(2.0, rel=0.05)  # Coleman: ln 2/0.0782 = 8.9 °C; Boulton's 59.5 kJ/mol is near it


def test_that_decline_below_the_measured_range_is_that_of_its_minimum():
    cold = decline_constant(np.array([265.0, 275.0, 284.45]))
    assert cold == pytest.approx([cold[2]] * 3, rel=1e-6)
    assert np.all(np.diff(decline_constant(np.linspace(284.5, 318.0, 100))) > 0.0)


# The rates themselves at one state, worked by hand from the equations of Zenteno et al. at 20 °C with the project's
# 3 g/L of fructose that halve its uptake: glucose = fructose = 120 g/L, no alcohol, nitrogen 0.2 g/L, yeast 1 g/L.
def test_that_the_first_hours_are_those_of_the_published_equations():
    state = np.array([[120.0], [120.0], [0.2], [1.0]])
    now = pace(293.15, AVERAGE)
    change = rates(state, 240.0, 1.0, now, AVERAGE)[:, 0] / 24.0
    uptake = 0.225 / 0.49 * np.exp(11.0 * (293.15 - 296.15) / (296.15 * 8.314e-3 * 293.15))
    upkeep = 0.01 * np.exp(37.681 * (293.15 - 293.30) / (293.30 * 8.314e-3 * 293.15)) * 120 / (240 + 3)
    glucose = uptake * 120 / (120 + 7.5) + upkeep
    fructose = uptake * 120 / (120 + 3) * 55 / (120 + 55) + upkeep
    calm = (600 - 240) / (600 - 220)
    growth = 0.18 * np.exp(59.453 * (293.15 - 300) / (300 * 8.314e-3 * 293.15)) * 0.2 / 0.21 * calm
    assert change == pytest.approx([-glucose, -fructose, -growth / 19.69, growth], rel=1e-9)


def test_that_glucose_and_fructose_go_as_the_competition_says():
    state = np.array([[100.0], [100.0], [0.0], [1.0]])
    change = rates(state, 200.0, 1.0, pace(293.15, AVERAGE)._replace(maintenance=0.0), AVERAGE)
    # Zenteno's form at 100 g/L of each: (55 + G)/55 = 2.8, with 3 g/L in place of 7.5 for fructose 2.7.
    assert float(change[0, 0] / change[1, 0]) == pytest.approx(2.82 * 103.0 / 107.5, abs=0.02)


def test_that_dead_still_must_does_not_change():
    state = np.array([[100.0], [100.0], [0.2], [0.0]])
    assert np.all(rates(state, 200.0, 1.0, pace(293.15, AVERAGE), AVERAGE) == 0.0)
    asleep = rates(np.array([[100.0], [100.0], [0.2], [1.0]]), 200.0, 0.0, pace(293.15, AVERAGE), AVERAGE)
    assert np.all(asleep == 0.0)


@given(
    st.lists(st.floats(-1e-3, 300.0), min_size=2, max_size=2),
    st.floats(-1e-3, 1.0),
    st.floats(0.0, 10.0),
    st.floats(275.0, 312.0),
)
def test_that_sugar_and_nitrogen_never_come_back_and_stop_at_nothing(sugars, nitrogen, yeast, temperature):
    state = np.array([[sugars[0]], [sugars[1]], [nitrogen], [yeast]])
    change = rates(state, 600.0, 1.0, pace(temperature, AVERAGE), AVERAGE)[:, 0]
    assert np.all(np.isfinite(change))
    assert np.all(change[:3] <= 0.0)
    for value, rate in zip(state[:3, 0], change[:3], strict=True):
        if value <= 0.0:
            assert rate == 0.0


def test_that_uptake_and_growth_end_at_the_strains_tolerance():
    strain = AVERAGE._replace(tolerance=60.0)
    state = np.array([[50.0], [50.0], [0.2], [1.0]])
    started = 100.0 + 60.0 / 0.465
    change = rates(state, started, 1.0, pace(293.15, strain)._replace(maintenance=0.0), strain)[:, 0]
    assert change[0] == pytest.approx(0.0, abs=1e-9)
    assert change[2] == pytest.approx(0.0, abs=1e-12)
    assert change[3] < 0.0  # it only declines


@pytest.mark.parametrize(
    ("celsius", "low", "high"), [(20.0, 6.0, 12.0), (22.5, 6.0, 12.0), (15.0, 12.0, 24.0), (12.0, 24.0, 72.0)]
)  # hours: times from memory, common practice, no source
def test_that_the_lag_is_that_of_common_practice_no_source(celsius, low, high):
    hours = 24.0 * float(lag_time(celsius + 273.15, 0.25))
    assert low * 0.95 <= hours <= high * 1.05


def test_that_half_the_yeast_is_awake_at_the_lag_and_nearly_all_at_twice_it():
    assert awake(0.5, 0.5) == 0.5
    assert awake(1.0, 0.5) > 0.99
    assert awake(0.0, 0.5) < 0.01
    assert np.all(np.diff([awake(t, 0.5) for t in np.linspace(0.0, 3.0, 50)]) > 0.0)


@given(st.floats(265.0, 310.0), st.floats(1e-3, 5.0), st.floats(1.05, 4.0))
def test_that_cold_and_little_yeast_lengthen_the_lag(temperature, pitch, factor):
    assert lag_time(temperature - 1.0, pitch) > lag_time(temperature, pitch)
    assert lag_time(temperature, pitch) > lag_time(temperature, pitch * factor)


def test_that_constants_of_members_are_worked_out_together():
    members = AVERAGE._replace(vigour=np.array([1.0, 1.5]), decline=np.array([1.0, 0.5]))
    both = pace(np.array([290.15, 298.15]), members)
    for i, temperature in enumerate((290.15, 298.15)):
        one = pace(temperature, AVERAGE._replace(vigour=members.vigour[i], decline=members.decline[i]))
        for name in kinetics.Pace._fields:
            assert np.broadcast_to(getattr(both, name), (2,))[i] == pytest.approx(float(getattr(one, name)), rel=1e-12)
