"""The hydrometer's correction for temperature against tables worked out from the standards, and printed leaflets."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model import ethanol, sucrose
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.hydrometer import GLASS_EXPANSION, corrected, sample_density
from planner.model.liquid import WATER_DENSITY, Liquid, density
from planner.model.numerics import solve_increasing
from planner.model.scales import brix_from_gravity, gravity_from_brix

SIXTY_FAHRENHEIT = (60.0 + 459.67) / 1.8

# Points of gravity (0.001) to add: ISO 1768 glass, SPS-4 for sugar, OIML R 22 for dry mead. Calibrated at 20 °C.
SUGAR_AT_TWENTY = {
    5: (-1.36, -1.88, -2.39, -3.37, -4.28), 10: (-1.23, -1.56, -1.88, -2.49, -3.06), 15: (-0.77, -0.92, -1.07, -1.36, -1.63),
    18: (-0.34, -0.40, -0.46, -0.57, -0.67), 22: (0.39, 0.44, 0.50, 0.60, 0.70), 25: (1.04, 1.18, 1.31, 1.57, 1.80),
    30: (2.34, 2.59, 2.84, 3.32, 3.77), 35: (3.86, 4.23, 4.58, 5.25, 5.88), 40: (5.61, 6.06, 6.51, 7.35, 8.13),
}  # fmt: skip
INDICATED = (1.000, 1.025, 1.050, 1.100, 1.150)
DRY_MEAD = {5: (-2.23, -2.58), 10: (-1.79, -2.02), 15: (-1.04, -1.15), 25: (1.30, 1.40), 30: (2.84, 3.03)}
STRENGTHS = (0.12, 0.14)
# Calibrated at 60 °F, result in 60/60 °F; the row at 140 °F is beyond the formulas' 40 °C and left out.
SUGAR_AT_SIXTY = {
    32: (-0.43, -1.62, -2.76), 50: (-0.54, -0.92, -1.28), 68: (0.70, 0.97, 1.23), 70: (0.91, 1.25, 1.56),
    77: (1.76, 2.30, 2.81), 84: (2.75, 3.48, 4.16), 95: (4.60, 5.59, 6.52),
}  # fmt: skip
ROUNDING = 0.0055  # points; the tables print hundredths


def sugar_like(gravities):
    """Sugar solutions of these gravities, also lighter than water by the formula's own continuation."""
    w = solve_increasing(lambda x: sucrose.density(x, REFERENCE_TEMPERATURE) / WATER_DENSITY, gravities, -0.1, 0.8)
    return Liquid.of(water=1.0 - w, sucrose=w)


def dry_mead(strength):
    p = solve_increasing(ethanol.volume_fraction, strength, 0.0, 1.0)
    return lambda gravities: Liquid.of(water=np.full_like(gravities, 1.0 - p), ethanol=p)


@pytest.mark.parametrize("celsius", SUGAR_AT_TWENTY)
def test_that_a_must_is_corrected_as_the_table_for_twenty_degrees_says(celsius):
    read = np.array(INDICATED)
    found = corrected(read, np.full(5, celsius + 273.15), sugar_like)
    assert 1e3 * (found - read) == pytest.approx(np.array(SUGAR_AT_TWENTY[celsius]), abs=ROUNDING)


@pytest.mark.parametrize("celsius", DRY_MEAD)
def test_that_a_dry_mead_is_corrected_more_than_a_must_as_the_table_says(celsius):
    for strength, points in zip(STRENGTHS, DRY_MEAD[celsius], strict=True):
        like = dry_mead(strength)
        true = float(density(like(np.array([1.0])))[0] / WATER_DENSITY)
        seen = true - 1e-3 * points
        found = corrected(np.array([seen]), np.array([celsius + 273.15]), like)
        assert 1e3 * float(found[0] - seen) == pytest.approx(points, abs=ROUNDING)


@pytest.mark.parametrize("fahrenheit", SUGAR_AT_SIXTY)
def test_that_an_instrument_for_sixty_fahrenheit_is_corrected_as_its_table_says(fahrenheit):
    read = np.array([1.000, 1.050, 1.100])
    kelvin = np.full(3, (fahrenheit + 459.67) / 1.8)
    at_twenty = corrected(read, kelvin, sugar_like, SIXTY_FAHRENHEIT)
    at_sixty = density(sugar_like(at_twenty), SIXTY_FAHRENHEIT) / sucrose.water_density(SIXTY_FAHRENHEIT)
    assert 1e3 * (at_sixty - read) == pytest.approx(np.array(SUGAR_AT_SIXTY[fahrenheit]), abs=ROUNDING)


@pytest.mark.parametrize(
    ("fahrenheit", "printed"), [(50, -0.5), (70, 1.0), (77, 2.0), (84, 3.0), (95, 5.0)]
)  # an instruction leaflet for 60 °F, whole or half points
def test_that_a_printed_leaflet_lies_between_water_and_a_weak_must(fahrenheit, printed):
    read = np.array([1.000, 1.050])
    kelvin = np.full(2, (fahrenheit + 459.67) / 1.8)
    at_twenty = corrected(read, kelvin, sugar_like, SIXTY_FAHRENHEIT)
    at_sixty = density(sugar_like(at_twenty), SIXTY_FAHRENHEIT) / sucrose.water_density(SIXTY_FAHRENHEIT)
    low, high = np.sort(1e3 * (at_sixty - read))
    assert low - 0.05 <= printed <= high + 0.05


@pytest.mark.parametrize(
    ("fahrenheit", "printed"), [(32, -1.6), (41, -1.3), (50, -0.8), (68, 1.0), (77, 2.2), (86, 3.5)]
)  # another printed table for 60 °F, tenths of a point; it stands for a must between 1.03 and 1.05
def test_that_another_printed_table_is_that_of_a_middling_must(fahrenheit, printed):
    read = np.array([1.030, 1.050])
    at_twenty = corrected(read, np.full(2, (fahrenheit + 459.67) / 1.8), sugar_like, SIXTY_FAHRENHEIT)
    at_sixty = density(sugar_like(at_twenty), SIXTY_FAHRENHEIT) / sucrose.water_density(SIXTY_FAHRENHEIT)
    low, high = np.sort(1e3 * (at_sixty - read))
    assert low - 0.1 <= printed <= high + 0.1


# °Brix to add at 0, 10, 20, 30 °Bx on a hydrometer for 20 °C: ISO 1768 and SPS-4; the row of 15 °C is that of NBS C440.
BRIX = {
    10: (-0.32, -0.42, -0.51, -0.59),
    15: (-0.20, -0.24, -0.28, -0.32),
    25: (0.27, 0.30, 0.33, 0.36),
    30: (0.60, 0.66, 0.71, 0.75),
}


@pytest.mark.parametrize("celsius", BRIX)
def test_that_a_stem_marked_in_brix_is_corrected_as_the_sugar_analysts_do(celsius):
    marks = np.array([0.0, 10.0, 20.0, 30.0])
    found = brix_from_gravity(corrected(gravity_from_brix(marks), np.full(4, celsius + 273.15), sugar_like))
    assert found - marks == pytest.approx(np.array(BRIX[celsius]), abs=0.0055)


@pytest.mark.parametrize(
    ("celsius", "printed"), [(20, 0.9), (25, 2.1), (30, 3.5), (35, 5.1), (40, 6.9)]
)  # a printed table for 15 °C, which is that of a must of 1.020 within 0.1
def test_that_a_printed_table_for_fifteen_degrees_is_met(celsius, printed):
    read, calibration = np.array([1.020]), 288.15
    at_twenty = corrected(read, np.array([celsius + 273.15]), sugar_like, calibration)
    at_fifteen = density(sugar_like(at_twenty), calibration) / sucrose.water_density(calibration)
    assert 1e3 * float((at_fifteen - read)[0]) == pytest.approx(printed, abs=0.105)


@given(st.floats(1.001, 1.16), st.floats(273.15, 313.15), st.sampled_from([288.15, SIXTY_FAHRENHEIT, 293.15]))
def test_that_the_correction_undoes_what_temperature_does_to_a_reading(true, temperature, calibration):
    sample = sugar_like(np.array([true]))
    glass = 1.0 + GLASS_EXPANSION * (temperature - calibration)  # the stem sinks to where it displaces its own mass
    read = density(sample, temperature) * glass / sucrose.water_density(calibration)
    # 1/(1 + x) is not quite 1 - x: a difference of x squared, below 1e-6.
    assert corrected(read, np.array([temperature]), sugar_like, calibration) == pytest.approx([true], abs=1e-6)


def test_that_at_its_own_temperature_an_instrument_says_the_truth():
    assert corrected(np.array([1.085]), np.array([293.15]), sugar_like) == pytest.approx([1.085], abs=1e-12)
    assert sample_density(1.085, 293.15) == pytest.approx(1.085 * WATER_DENSITY, rel=1e-15)


def test_that_warm_samples_read_low_and_are_corrected_up():
    warm = np.linspace(293.15, 313.15, 50)
    rise = corrected(np.full(50, 1.05), warm, sugar_like)
    assert np.all(np.diff(rise) > 0.0)
