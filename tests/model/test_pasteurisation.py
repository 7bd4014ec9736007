"""Units of heat: their definition, whole courses, and how long to hold."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model.pasteurisation import minutes_for, units_per_minute

SIXTY = 333.15


def test_that_a_minute_at_sixty_degrees_is_one_unit():
    assert units_per_minute(SIXTY) == 1.0  # definition


# Units per minute and minutes for 50 units by °C: 1.393^(T - 60), printed to two or three figures.
@pytest.mark.parametrize(
    ("celsius", "rate", "minutes"),
    [
        (55, 0.19, 262),
        (62, 1.94, 25.8),
        (63, 2.70, 18.5),
        (65, 5.25, 9.5),
        (67, 10.2, 4.9),
        (68, 14.2, 3.5),
        (70, 27.5, 1.8),
    ],
)
def test_that_rates_and_times_are_those_of_the_formula(celsius, rate, minutes):
    assert units_per_minute(celsius + 273.15) == pytest.approx(rate, rel=0.01)
    assert minutes_for(50.0, celsius + 273.15) == pytest.approx(minutes, rel=0.015)


@given(st.floats(293.15, 353.15), st.floats(0.1, 60.0))
def test_that_holding_for_the_minutes_asked_gives_the_units_wanted(kelvin, target):
    assert minutes_for(target, kelvin) * units_per_minute(kelvin) == pytest.approx(target, rel=1e-9)
