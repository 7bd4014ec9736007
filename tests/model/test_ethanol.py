"""Ethanol and water against the international tables, the pharmacopoeia, handbooks and general libraries."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from planner.model import ethanol
from planner.model.constants import ETHANOL_DENSITY, REFERENCE_TEMPERATURE
from planner.model.numerics import solve_increasing

TWENTY = REFERENCE_TEMPERATURE


def mass_fraction(by_volume):
    """Mass fraction of ethanol from its share by volume, by inverting the formula."""
    return solve_increasing(ethanol.volume_fraction, by_volume, 0.0, 1.0)


# Density at 20 °C by % vol, as printed to 0.01 kg/m3 (table of the European Pharmacopoeia's kind).
PHARMACOPOEIA = [
    (10, 984.71), (20, 973.56), (30, 962.21), (40, 948.05), (50, 930.14), (60, 909.11), (70, 885.56), (80, 859.27),
    (90, 829.18), (95, 811.38), (99, 794.25), (100, 789.24),
]  # fmt: skip

# % vol, % mass, density [kg/m3], specific gravity 20/20, ethanol [g/L] at 20 °C: OIML R 22 (1975), general formula.
OIML = [
    (0, 0.0, 998.201, 1.00000, 0.0), (1, 0.792, 996.697, 0.99849, 7.89), (5, 3.982, 991.055, 0.99284, 39.46),
    (8, 6.396, 987.164, 0.98894, 63.14), (10, 8.015, 984.710, 0.98648, 78.92), (11, 8.827, 983.521, 0.98529, 86.82),
    (12, 9.641, 982.355, 0.98413, 94.71), (13, 10.457, 981.209, 0.98298, 102.60), (14, 11.274, 980.082, 0.98185, 110.49),
    (15, 12.093, 978.971, 0.98073, 118.39), (16, 12.914, 977.873, 0.97964, 126.28), (18, 14.560, 975.706, 0.97746, 142.06),
    (20, 16.214, 973.557, 0.97531, 157.85), (40, 33.300, 948.045, 0.94975, 315.70),
]  # fmt: skip

# Density [kg/m3] at 0, 10, 15, 15.56, 20, 25, 30, 40 °C: OIML R 22, rows by % vol.
AT_TEMPERATURES = {
    8: (989.26, 988.87, 988.16, 988.07, 987.16, 985.89, 984.38, 980.69),
    12: (985.16, 984.39, 983.52, 983.40, 982.35, 980.93, 979.28, 975.36),
    14: (983.37, 982.34, 981.35, 981.22, 980.08, 978.56, 976.81, 972.73),
    18: (980.20, 978.51, 977.24, 977.08, 975.71, 973.94, 971.96, 967.44),
}
CELSIUS = (0.0, 10.0, 15.0, 15.56, 20.0, 25.0, 30.0, 40.0)


@pytest.mark.parametrize(("percent", "density"), PHARMACOPOEIA)
def test_that_density_at_twenty_degrees_is_that_of_the_published_table(percent, density):
    found = ethanol.density(mass_fraction(percent / 100.0), TWENTY)
    assert found == pytest.approx(density, abs=0.0055)  # rounding of the table, and its difference of 0.005


@pytest.mark.parametrize(("percent", "by_mass", "density", "gravity", "grams"), OIML)
def test_that_strengths_and_densities_are_those_of_oiml_r22(percent, by_mass, density, gravity, grams):
    p = mass_fraction(percent / 100.0)
    assert 100.0 * p == pytest.approx(by_mass, abs=0.00051)  # each tolerance is half of the last printed digit
    assert ethanol.density(p, TWENTY) == pytest.approx(density, abs=0.00051)
    assert ethanol.density(p, TWENTY) / ethanol.density(0.0, TWENTY) == pytest.approx(gravity, abs=0.0000051)
    assert p * ethanol.density(p, TWENTY) == pytest.approx(grams, abs=0.0051)


@pytest.mark.parametrize("percent", AT_TEMPERATURES)
def test_that_density_changes_with_temperature_as_in_oiml_r22(percent):
    p = mass_fraction(percent / 100.0)
    found = ethanol.density(p, np.array(CELSIUS) + 273.15)
    assert found == pytest.approx(np.array(AT_TEMPERATURES[percent]), abs=0.0051)


@pytest.mark.parametrize(
    ("percent_mass", "grams_per_ml"),
    # The ends of the 20 °C column of Perry's Handbook, 7th ed., table 2-110; NBS data older than the formula, whence
    # the tolerance of 0.05 kg/m3 by which the whole column is known to differ.
    [(0.0, 0.99823), (12.0, 0.97910)],
)
def test_that_density_is_that_of_the_engineers_handbook(percent_mass, grams_per_ml):
    assert ethanol.density(percent_mass / 100.0, TWENTY) == pytest.approx(1e3 * grams_per_ml, abs=0.055)


@pytest.mark.parametrize("percent_mass", range(5, 41, 5))
def test_that_density_agrees_with_another_correlation_of_the_mixture(percent_mass):
    # Melinder's correlation in CoolProp; the two are known to agree within 0.3 kg/m3, so rounded,
    # from 5 to 40 % by mass.
    other = PropsSI("D", "T", TWENTY, "P", 101325, f"INCOMP::MEA[{percent_mass / 100.0}]")
    assert ethanol.density(percent_mass / 100.0, TWENTY) == pytest.approx(other, abs=0.35)


@pytest.mark.parametrize("celsius", [5, 10, 15, 20, 25, 30, 35, 40])
def test_that_its_water_lies_within_the_known_difference_below_that_of_iapws_95(celsius):
    iapws = PropsSI("D", "T", celsius + 273.15, "P", 101325, "Water")
    # OIML rests on an older temperature scale: 0.003 to 0.007 kg/m3 lower, to one more digit than that is stated.
    assert 0.0025 < iapws - float(ethanol.density(0.0, celsius + 273.15)) < 0.0075


def test_that_pure_ethanol_has_the_density_the_strengths_rest_on():
    assert float(ethanol.density(1.0, TWENTY)) == pytest.approx(ETHANOL_DENSITY, abs=0.005)  # 789.24 of OIML R 22
    assert float(ethanol.volume_fraction(1.0)) == pytest.approx(1.0, abs=5e-6)


@pytest.mark.parametrize(
    ("percent_vol", "percent_mass"), [(10, 8.015), (20, 16.214), (40, 33.300)]  # OIML R 22, table of strengths
)  # fmt: skip
def test_that_ethanol_and_water_shrink_when_mixed(percent_vol, percent_mass):
    p = percent_mass / 100.0
    apart = p / ethanol.density(1.0, TWENTY) + (1.0 - p) / ethanol.density(0.0, TWENTY)
    together = 1.0 / ethanol.density(p, TWENTY)
    assert together < apart
    # What the table says of it: volume of ethanol plus volume of water less the whole, per whole.
    density = dict(PHARMACOPOEIA)[percent_vol]
    printed = percent_vol / 100.0 + (1.0 - p) * density / 998.20 - 1.0
    assert float(apart / together - 1.0) == pytest.approx(printed, abs=2e-5)  # five printed digits of each


def test_that_strength_rises_with_mass_everywhere():
    p = np.linspace(0.0, 1.0, 2001)
    assert np.all(np.diff(ethanol.volume_fraction(p)) > 0.0)


def test_that_floats_arrays_and_grids_give_the_same():
    p, t = np.array([0.0, 0.1, 0.3]), np.array([280.0, 293.15])
    grid = ethanol.density(p[:, None], t[None, :])
    assert grid.shape == (3, 2)
    assert grid[1, 1] == float(ethanol.density(0.1, 293.15))
    assert grid[2, 0] == float(ethanol.density(0.3, 280.0))
