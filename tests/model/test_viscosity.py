"""Body: viscosities of solutions and wines against the handbook and published measurements."""

from __future__ import annotations

import numpy as np
import pytest
from chemicals.viscosity import mu_IAPWS
from hypothesis import given
from hypothesis import strategies as st
from random_liquids import SOLUTES, liquids

from planner.model import ethanol
from planner.model.liquid import Liquid, concentration
from planner.model.numerics import solve_increasing
from planner.model.viscosity import STEP, WINE_CALIBRATION, viscosity, viscosity_span

MILLI = 1e3  # mPa s per Pa s


def by_rule(liquid, temperature=293.15):
    """Viscosity before the calibration to wine. [mPa s]"""
    return MILLI * viscosity(liquid, temperature) / WINE_CALIBRATION.typical


def drink(percent, **grams):
    """A drink of so much alcohol by volume and so much of each substance per litre."""
    p = float(solve_increasing(ethanol.volume_fraction, percent / 100.0, 0.0, 1.0))
    made = Liquid.of(water=1.0 - p, ethanol=p)
    for _ in range(20):
        off = {key: wanted / float(concentration(made, key) or wanted) for key, wanted in grams.items()}
        if all(made[key] > 0.0 for key in grams):
            made = made.plus(**{key: float(made[key]) * (factor - 1.0) for key, factor in off.items()})
        else:
            made = made.plus(**{key: 1e-3 * wanted for key, wanted in grams.items()})
    return made


# ln(viscosity over water's)/concentration [1e-3 L/g] at 20, 50, 100 g/L: CRC Handbook, 102nd ed., 20 °C, with the
# spread of its own scatter: three printed digits of viscosity are 0.05 at 20 g/L, 0.02 at 50, 0.01 at 100.
SLOPES = {
    "sucrose": (2.56, 2.64, 2.77), "glucose": (2.42, 2.62, 2.73), "fructose": (2.51, 2.43, 2.57),
    "maltose": (2.80, 2.91, 3.03), "glycerol": (2.81, 2.64, 2.62), "citric": (2.23, 2.27, 2.38),
    "lactic": (2.62, 2.52, 2.52),
}  # fmt: skip


@pytest.mark.parametrize("key", SLOPES)
def test_that_solutions_are_as_thick_as_the_handbook_says(key):
    for grams, slope in zip((20, 50, 100), SLOPES[key], strict=True):
        ratio = float(by_rule(drink(0.0, **{key: grams})) / by_rule(Liquid.of(water=1.0)))
        # 2 % is the precision the handbook's table is known to have among its own editions.
        assert ratio == pytest.approx(np.exp(slope * 1e-3 * grams), rel=0.02)


# Sucrose, viscosity [mPa s] by % mass: CRC Handbook, 102nd ed.; an older series of the same family in the second.
@pytest.mark.parametrize(("percent", "printed"), [(10, 1.336), (15, 1.592), (20, 1.945), (20, 1.960)])
def test_that_syrups_up_to_a_strong_must_are_as_thick_as_the_handbook_says(percent, printed):
    made = Liquid.of(water=1.0 - percent / 100.0, sucrose=percent / 100.0)
    assert float(by_rule(made)) == pytest.approx(printed, rel=0.02)


# % vol and viscosity [mPa s], interpolated in the CRC Handbook, 102nd ed., at 20 °C.
ETHANOL = [(8, 1.300), (10, 1.386), (12, 1.480), (13, 1.529), (14, 1.581), (15, 1.633), (16, 1.688), (18, 1.797)]


@pytest.mark.parametrize(("percent", "printed"), ETHANOL)
def test_that_spirit_and_water_is_as_thick_as_the_handbook_says(percent, printed):
    assert float(by_rule(drink(percent))) == pytest.approx(printed, abs=0.0011)


@pytest.mark.parametrize(("percent_mass", "bingham"), [(0, 1.005), (10, 1.538), (20, 2.183), (30, 2.71)])
def test_that_an_older_series_differs_by_no_more_than_is_known(percent_mass, bingham):
    made = Liquid.of(water=1.0 - percent_mass / 100.0, ethanol=percent_mass / 100.0)
    assert float(by_rule(made)) == pytest.approx(bingham, rel=0.05)  # Bingham & Jackson: 2 to 5 % from CRC


def test_that_water_at_twenty_degrees_is_the_water_of_iapws():
    assert float(by_rule(Liquid.of(water=1.0))) == pytest.approx(MILLI * mu_IAPWS(T=293.15, rho=998.207), abs=1e-3)


# Measured wines at 20 °C [mPa s]: Danner et al. 2019 (34 and 29 wines); Greek wines at 16 °C by Yanniotis et al. 2007;
# champagne at 10 °C by Liger-Belair. Compositions are assumed where the papers do not state them.
WINES = [
    ("white", drink(13.0, glycerol=7, malic=6, other=6, fructose=3), 293.15, 1.448, 1.529),
    ("red", drink(14.0, glycerol=9, malic=6, other=15, fructose=2), 293.15, 1.488, 1.695),
    ("dry at 16 °C", drink(12.5, glycerol=8, malic=6, other=9, fructose=1), 289.15, 1.71, 1.92),
    ("champagne at 10 °C", drink(12.5, glycerol=6, malic=6, other=6, sucrose=8), 283.15, 2.1, 2.3),
]  # fmt: skip


@pytest.mark.parametrize(("_name", "wine", "temperature", "low", "high"), WINES, ids=[row[0] for row in WINES])
def test_that_measured_wines_lie_within_the_span(_name, wine, temperature, low, high):
    span = viscosity_span(wine, temperature)
    assert span.low * MILLI <= high
    assert span.high * MILLI >= low
    # The typical value is calibrated to them: within 5 % of the measured band.
    assert 0.95 * low <= MILLI * span.typical <= 1.05 * high


@pytest.mark.parametrize("measured", [3.16, 3.04])  # two sweet Greek wines at 16 °C, Yanniotis et al. 2007
def test_that_sweet_fortified_wines_lie_within_the_span(measured):
    wine = drink(15.0, glucose=95, fructose=105, malic=5)
    span = viscosity_span(wine, 289.15)
    assert span.low * MILLI <= 1.05 * measured  # about 200 g/L of sugar was assumed; it is good to 5 % of viscosity
    assert span.high * MILLI >= 0.95 * measured


# Relative viscosity 1 + y + 0.4 y² with y = intrinsic viscosity times dry solids, worked by hand: 5, 8 and 14 mL/g.
POLYMERS = [
    ("maltodextrin_high", {5: 1.025, 10: 1.051, 20: 1.104, 50: 1.275}),
    ("maltodextrin_medium", {5: 1.041, 10: 1.083, 20: 1.170, 50: 1.464}),
    ("maltodextrin_low", {5: 1.072, 10: 1.148, 20: 1.311, 50: 1.896}),
]


@pytest.mark.parametrize(("key", "ratios"), POLYMERS)
def test_that_maltodextrin_thickens_by_its_intrinsic_viscosity(key, ratios):
    for grams, ratio in ratios.items():
        found = float(by_rule(drink(0.0, **{key: grams})) / by_rule(Liquid.of(water=1.0)))
        assert found == pytest.approx(ratio, abs=0.00051)


def test_that_ten_grams_of_medium_maltodextrin_are_about_one_step_of_body():
    base = drink(12.0, glycerol=8, malic=6, other=8)
    thicker = drink(12.0, glycerol=8, malic=6, other=8, maltodextrin_medium=11)
    # Danner 2019: a step is 0.138 mPa s; 11 g/L of 8 mL/g make one on 1.55 mPa s (arithmetic).
    assert float(viscosity(thicker) - viscosity(base)) / STEP == pytest.approx(1.0, abs=0.1)


@given(liquids(), st.sampled_from(SOLUTES), st.floats(1e-3, 0.05))
def test_that_whatever_is_dissolved_makes_a_drink_thicker(liquid, key, share):
    more = liquid.plus(**{key: share * float(liquid.mass)})
    assert viscosity(more) > viscosity(liquid)


@given(liquids())
def test_that_a_cold_drink_is_thicker_and_the_span_holds_the_typical(liquid):
    assert viscosity(liquid, 281.15) > viscosity(liquid, 293.15)
    span = viscosity_span(liquid)
    assert span.low <= span.typical <= span.high
    assert span.typical == pytest.approx(float(viscosity(liquid)), rel=1e-12)


# Sheet of Bingham and Jackson 1917, mPa s at 10 % mass of ethanol; each over its own 2.183, 1.538 or 1.005 at 20 °C.
@pytest.mark.parametrize(("percent", "celsius", "ratio"), [
    (0, 0, 1.792 / 1.005), (0, 30, 0.801 / 1.005), (10, 10, 2.179 / 1.538), (10, 40, 0.907 / 1.538), (20, 0, 5.319 / 2.183),
])  # fmt: skip
def test_that_spirit_and_water_thin_with_warmth_as_measured(percent, celsius, ratio):
    made = Liquid.of(water=1.0 - percent / 100.0, ethanol=percent / 100.0)
    assert float(viscosity(made, 273.15 + celsius) / viscosity(made)) == pytest.approx(ratio, rel=1e-9)  # its own rows


def test_that_sugar_adds_its_part_by_the_activation_energy():
    syrup, water = Liquid.of(water=0.8, sucrose=0.2), Liquid.of(water=1.0)
    added = [float(viscosity(syrup, t) - viscosity(water, t)) for t in (283.15, 293.15)]
    # exp(22000 / 8.31446 * (1 / 283.15 - 1 / 293.15)), worked by hand: Yanniotis 2007.
    assert added[0] / added[1] == pytest.approx(1.3755, abs=1e-4)


def test_that_a_row_of_temperatures_gives_the_same_as_one_by_one():
    wine = drink(12.5, glycerol=8, malic=6, other=9)
    at = np.array([275.15, 283.15, 291.15, 303.15])
    assert viscosity(wine, at) == pytest.approx([float(viscosity(wine, t)) for t in at], rel=1e-12)


def test_that_beyond_the_table_a_drink_does_not_thicken_with_warmth():
    wine = drink(12.5, glycerol=8, malic=6, other=9)
    at = np.linspace(263.15, 333.15, 71)  # what a batch may hold
    assert np.all(np.diff(viscosity(wine, at)) < 0.0)


def test_that_cold_thickens_wine_as_its_activation_energy_says():
    # Yanniotis 2007: 1.51 to 1.69 at 20 °C are 1.71 to 1.92 at 16 °C, by 22 kJ/mol.
    wine = drink(12.5, glycerol=8, malic=6, other=9)
    assert float(viscosity(wine, 289.15) / viscosity(wine)) == pytest.approx(1.71 / 1.51, abs=0.011)
