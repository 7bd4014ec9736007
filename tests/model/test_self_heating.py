"""The warmth of a fermenting must against published heats, the trade's rule of thumb and a measured ferment."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from running import run

from planner.model.kinetics import Culture
from planner.model.self_heating import (
    CARRIED_OFF,
    HEAT,
    HEAT_CAPACITY,
    MUST_DENSITY,
    rise,
    steady_rise,
    surface,
    vessel,
)

AVERAGE = Culture(tolerance=125.0, vigour=1.0, growth=1.0, decline=1.0, lag=1.0, pitch=0.25, ethanol_yield=0.465)
DAYS = np.linspace(0.0, 20.0, 81)


def in_room(litres, sugar=230.0, room=293.15, culture=AVERAGE, transmittance=8.0):
    around = None if litres is None else vessel(litres * 1e-3, transmittance)
    return run(0.44 * sugar, 0.56 * sugar, 0.25, culture, [(0.0, room)], [], DAYS, vessel=around)


def adiabatic_rise(sugar):
    """By how much sugar would warm a must that loses nothing. [K]"""
    return HEAT.typical * sugar / (MUST_DENSITY * HEAT_CAPACITY)


def test_that_the_heat_is_that_of_the_enthalpies_of_formation():
    # C6H12O6 (aq) -> 2 C2H5OH (aq) + 2 CO2 (gas): -1263 -> 2(-288) + 2(-394) kJ/mol (handbook values, from memory),
    # 100 to 101 kJ/mol; 180.156 g/mol.
    assert HEAT.typical * 0.180156 == pytest.approx(100.5e3, abs=0.6e3)
    # Boulton 1979: 28 kcal/mol.
    assert HEAT.high * 0.180156 == pytest.approx(28.0 * 4184.0, rel=0.002)


def test_that_a_degree_brix_warms_by_one_and_three_tenths():
    # Course note: 1.3 °C per °Brix. Supplier's page: 28.2 °C from 21.8 °Brix. A °Brix is about 10.4 g/L of sugar.
    assert float(adiabatic_rise(10.4)) == pytest.approx(1.3, abs=0.05)
    assert float(adiabatic_rise(10.4 * 21.8)) == pytest.approx(28.2, abs=1.0)


def test_that_twenty_litres_at_two_grams_an_hour_stay_two_degrees_warmer():
    # Source 6.2 W, 0.4 m2 at 8 W/(m2 K): 1.9 °C; less what leaves with the gas.
    assert float(steady_rise(48.0, vessel(0.020, 8.0, 557e3, 0.0))) == pytest.approx(1.9, abs=0.05)
    assert float(steady_rise(48.0, vessel(0.020))) == pytest.approx(1.9 * (1.0 - CARRIED_OFF.typical), abs=0.05)


def test_that_seventeen_litres_of_red_must_warm_as_measured():
    # Open data (Stellenbosch 2022): 17 L at 3.6 g/L/h were 25 to 26 °C while their room was 21 to 22 °C.
    excess = [float(steady_rise(3.6 * 24.0, vessel(0.017, u))) for u in (10.0, 5.0)]
    assert excess[0] <= 3.0
    assert excess[1] >= 4.0


def test_that_a_vessel_as_wide_as_high_has_the_surface_of_its_cylinder():
    wide = 0.3
    assert float(surface(np.pi * wide**3 / 4.0)) == pytest.approx(np.pi * wide * wide + 2 * np.pi * wide**2 / 4.0)


@given(st.floats(1e-3, 10.0), st.floats(1.0, 150.0))
def test_that_the_steady_rise_is_where_warming_ends(volume, uptake):
    around = vessel(volume)
    steady = float(steady_rise(uptake, around))
    assert float(rise(steady, uptake, around)) == pytest.approx(0.0, abs=1e-9)
    assert rise(0.5 * steady, uptake, around) > 0.0
    assert steady_rise(uptake, vessel(2.0 * volume)) > steady  # a large vessel has less surface for its heat


@pytest.mark.parametrize("volume", [0.0, -1.0, float("nan")])
def test_that_a_vessel_without_room_is_refused(volume):
    with pytest.raises(ValueError, match=r"volume was .*accepted is more than 0"):
        vessel(volume)


def test_that_a_must_in_a_vessel_is_warmer_than_its_room_and_returns_to_it():
    course = in_room(20.0)
    assert course.temperature[0] == pytest.approx(293.15)
    peak = course.temperature.max()
    uptake = -np.gradient(course.sugar[:, 0], DAYS)
    assert 293.15 + 0.8 < peak <= 293.15 + float(steady_rise(uptake.max(), vessel(0.020))) + 0.1
    assert course.temperature[-1] == pytest.approx(293.15, abs=0.2)


def test_that_a_must_that_warms_is_sooner_done_than_one_held():
    held, warmed, insulated = (in_room(v, transmittance=u) for v, u in ((None, 8.0), (20.0, 8.0), (20.0, 2.0)))
    at = np.searchsorted(DAYS, 6.0)
    assert insulated.sugar[at, 0] < warmed.sugar[at, 0] < held.sugar[at, 0]


def test_that_a_must_that_loses_nothing_rises_by_what_its_sugar_gives():
    course = in_room(20.0, sugar=100.0, room=288.15, transmittance=1e-9)
    used = 100.0 - course.sugar[-1, 0]
    expected = float(adiabatic_rise(used)) * (1.0 - CARRIED_OFF.typical)
    assert course.temperature[-1] - 288.15 == pytest.approx(expected, abs=0.02)


def test_that_a_cube_of_strong_must_in_a_warm_room_overheats_and_sticks():
    # UC Bulletin 827 (Ough & Amerine 1966): sluggish above about 30 °C, stops near 38 °C.
    culture = AVERAGE._replace(vigour=1.5)
    large, small = in_room(1000.0, 250.0, 303.15, culture), in_room(5.0, 250.0, 295.15, culture)
    assert large.temperature.max() > 308.15  # beyond the range in which decline was measured
    assert large.sugar[-1, 0] > 10.0
    assert small.temperature.max() < 303.15
    assert small.sugar[-1, 0] < 10.0


@settings(max_examples=12)
@given(st.floats(0.002, 2.0), st.floats(150.0, 280.0), st.floats(285.0, 300.0))
def test_that_heat_is_conserved(volume, sugar, room):
    # What was set free is in the must or has left through its walls.
    around = vessel(volume)
    days = np.linspace(0.0, 30.0, 3001)
    course = run(0.5 * sugar, 0.5 * sugar, 0.2, AVERAGE, [(0.0, room)], [], days, vessel=around)
    excess = course.temperature - room
    lost = np.sum(0.5 * (excess[1:] + excess[:-1]) * np.diff(days)) * float(around.cooling)
    freed = float(around.heating) * (sugar - course.sugar[-1, 0])
    assert excess[-1] + lost == pytest.approx(freed, rel=0.01, abs=0.02)
