"""The glucose-fructose model against vectors integrated independently from its published constants."""

from __future__ import annotations

import numpy as np
import pytest

from tests.published_models import glucose_fructose, nitrogen_limited
from tests.published_models.glucose_fructose import deadly_temperature, death_rate, ferment, growth_rate, must_density

# Hours; yeast, nitrogen, glucose, fructose, ethanol [g/L]: 100 g/L of glucose, 120 of fructose, 200 mg N/L, 0.20 g/L of
# yeast at 20 °C, by a separate integration of the equations and constants of Zenteno et al. 2010.
VECTOR = [
    (12, 0.648, 0.177, 97.86, 119.03, 1.23), (24, 2.063, 0.105, 91.36, 116.00, 4.96),
    (48, 4.138, 0.000, 63.14, 102.73, 23.58), (72, 4.138, 0.000, 41.54, 90.46, 39.69),
    (96, 4.138, 0.000, 24.90, 78.17, 53.39), (144, 4.12, 0.0, 4.28, 52.35, 75.18), (192, 3.83, 0.0, 0.18, 28.03, 88.17),
    (240, 3.43, 0.0, 0.008, 10.10, 96.19), (288, 2.97, 0.0, 0.0, 1.30, 99.76), (336, 2.56, 0.0, 0.0, 0.0, 100.05),
]  # fmt: skip

# °C; growth [1/h] and death at 100 g/L of ethanol [1/h], worked out from the constants.
CONSTANTS = [
    (11, 0.0476, 0.0006), (15, 0.0675, 0.0012), (18, 0.0872, 0.0022), (20, 0.103, 0.0031), (22, 0.122, 0.0045),
    (25, 0.155, 0.0077), (28, 0.197, 0.0130), (30, 0.231, 0.0183), (35, 0.338, 0.0423),
]  # fmt: skip

# Days to 4 g/L of sugar at 15, 18, 20, 25 °C, by sugar [g/L] and nitrogen [mg/L]: nitrogen-limited, then glucose-fructose
# with 44 % glucose; 0.2 g/L of yeast. None: it stuck. Both integrated separately from the papers' constants.
TIMES = {
    (200, 100): [(19.1, 22.5), (14.7, 19.5), (12.6, 17.9), (9.1, 16.1)],
    (200, 150): [(14.8, 15.8), (11.5, 13.5), (9.8, 12.3), (6.9, 10.5)],
    (200, 250): [(12.6, 10.2), (9.8, 8.7), (8.4, 7.8), (5.9, 6.4)],
    (230, 100): [(25.3, 29.7), (18.8, 26.6), (16.0, 25.9), (12.5, None)],
    (230, 150): [(18.2, 20.2), (13.9, 17.6), (11.9, 16.4), (8.7, 17.3)],
    (230, 250): [(15.1, 12.7), (11.7, 10.8), (10.0, 9.9), (7.2, 8.5)],
    (260, 100): [(48.8, 42.8), (27.4, None), (23.1, None), (None, None)],
    (260, 150): [(23.6, 26.7), (17.4, 25.1), (14.9, 28.1), (11.7, None)],
    (260, 250): [(18.6, 15.9), (14.1, 13.9), (12.0, 13.0), (8.9, None)],
}
FINE = np.linspace(0.0, 60.0, 6001)


def test_that_it_ferments_as_in_the_vector():
    days = np.array([0.0, *(row[0] / 24.0 for row in VECTOR)])
    trace = ferment(100.0, 120.0, 0.2, 0.2, 293.15, days)
    assert trace.glucose[1:] == pytest.approx([row[3] for row in VECTOR], abs=0.3)
    assert trace.fructose[1:] == pytest.approx([row[4] for row in VECTOR], abs=0.3)
    assert trace.ethanol[1:] == pytest.approx([row[5] for row in VECTOR], abs=0.15)
    assert trace.yeast[1:] == pytest.approx([row[1] for row in VECTOR], abs=0.02)
    assert trace.nitrogen[1:] == pytest.approx([row[2] for row in VECTOR], abs=0.001)


@pytest.mark.parametrize("must", TIMES)
@pytest.mark.parametrize("at", range(4))
def test_that_both_models_take_the_days_that_were_worked_out(must, at):
    sugar, nitrogen, celsius = must[0], must[1] * 1e-3, (15, 18, 20, 25)[at]
    traces = (
        nitrogen_limited.ferment(sugar, nitrogen, 0.2, celsius + 273.15, FINE),
        ferment(0.44 * sugar, 0.56 * sugar, nitrogen, 0.2, celsius + 273.15, FINE),
    )
    for trace, days in zip(traces, TIMES[must][at], strict=True):
        if days is None:
            assert trace.sugar[-1] > 4.0
        else:
            # one in a hundred, and half of the last digit printed
            assert FINE[np.argmax(trace.sugar <= 4.0)] == pytest.approx(days, abs=0.01 * days + 0.05)


@pytest.mark.parametrize(("celsius", "growth", "death"), CONSTANTS)
def test_that_its_constants_are_those_of_the_table(celsius, growth, death):
    assert float(growth_rate(celsius + 273.15)) / 24.0 == pytest.approx(growth, rel=0.006)
    assert float(death_rate(100.0, celsius + 273.15)) / 24.0 == pytest.approx(death, abs=6e-5, rel=0.006)


@pytest.mark.parametrize(
    ("ethanol", "celsius"), [(0, 42.7), (20, 41.3), (40, 39.1), (60, 31.1), (70, 23.5), (75, 18.5), (80, 12.7)]
)  # worked out from the printed cubic
def test_that_ethanol_lowers_the_deadly_temperature(ethanol, celsius):
    assert float(deadly_temperature(ethanol)) - 273.15 == pytest.approx(celsius, abs=0.051)


def test_that_the_cubic_is_not_followed_out_of_what_is_physical():
    assert list(deadly_temperature(np.array([90.0, 120.0, 200.0]))) == [273.15] * 3


def test_that_yeast_does_not_die_below_the_deadly_temperature():
    assert death_rate(40.0, 311.0) == 0.0
    assert death_rate(40.0, 313.0) > 0.0


def test_that_glucose_goes_first():
    # Zenteno's form at 100 g/L of each at 20 °C: uptake in the ratio (55 + 100)/55 = 2.8.
    trace = ferment(100.0, 100.0, 1e-9, 1.0, 293.15, np.array([0.0, 0.02]))
    upkeep = 0.01 * 0.5 * 0.48  # half of the maintenance of 1 g/L of yeast in 0.48 h
    assert (100.0 - trace.glucose[1] - upkeep) / (100.0 - trace.fructose[1] - upkeep) == pytest.approx(2.8, abs=0.03)


def test_that_a_must_that_loses_no_heat_rises_by_what_its_sugar_gives():
    # 651.28 kJ/kg over 4.15 kJ/(kg K) and the density of the balance, near 1.05 kg/L.
    trace = ferment(50.0, 50.0, 0.2, 0.2, 291.15, np.linspace(0.0, 12.0, 25), cooling=0.0)
    used = 100.0 - trace.sugar[-1]
    assert trace.temperature[-1] - 291.15 == pytest.approx(651.28 * used / (4.15 * 1010.0), rel=0.03)
    assert ferment(50.0, 50.0, 0.2, 0.2, 291.15, np.array([0.0, 5.0])).temperature[-1] == 291.15


def test_that_the_density_of_the_balance_is_near_that_of_handbooks():
    # Sucrose 20 % by mass at 20 °C: 1080.9 kg/m3 (ICUMSA SPS-4); ethanol 10 % by mass: 981.9 (OIML R 22).
    assert float(must_density(0.2, 0.0, 293.15)) == pytest.approx(1080.9, rel=0.01)
    assert float(must_density(0.0, 0.1, 293.15)) == pytest.approx(981.9, rel=0.01)


def test_that_extrapolation_is_told():
    days = np.array([0.0, 1.0])
    assert ferment(100.0, 120.0, 0.2, 0.2, 293.15, days).outside == ()
    told = ferment(150.0, 170.0, 0.2, 0.2, 310.15, days).outside
    assert [o.quantity for o in told] == ["temperature", "starting sugar"]
    assert glucose_fructose.ZENTENO_2010.ranges["temperature"][1] == told[0].high
