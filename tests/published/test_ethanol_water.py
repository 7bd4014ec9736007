"""Density of ethanol and water, and of either alone."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from planner.model import ethanol, sucrose
from planner.model.extract import gravity_of_spirit
from planner.model.numerics import solve_increasing
from published.rows import LIBRARY, READ, RECALLED, apart, table

TOPIC = "Density of ethanol and water"
TWENTY = 293.15
SIXTY_FAHRENHEIT = (60.0 + 459.67) / 1.8
ATMOSPHERE = 101325.0


def mass_share(by_volume):
    return float(solve_increasing(ethanol.volume_fraction, by_volume, 0.0, 1.0))


PHARMACOPOEIA = table(
    TOPIC, "ph-eur", READ, 0.01, unit="kg/m3",
    rows=[(10, 984.71), (20, 973.56), (30, 962.21), (40, 948.05), (50, 930.14), (60, 909.11), (70, 885.56), (80, 859.27),
          (90, 829.18), (95, 811.38), (99, 794.25), (100, 789.24)],
)  # fmt: skip

# Its last digit is 0.01, of which half comes on top.
OLDER = "OIML R 22: the handbook rests on older measurements, up to 0.05 kg/m3 from the international table"
PERRY = table(
    TOPIC, "perry", READ, 0.055, unit="kg/m3", differ=OLDER, rows=[(0, 998.23), (12, 979.10)]
) + table(
    TOPIC, "perry", RECALLED, 0.055, unit="kg/m3", differ=OLDER,
    rows=[(1, 996.36), (2, 994.53), (3, 992.75), (4, 991.03), (5, 989.38), (6, 987.80), (7, 986.27), (8, 984.78),
          (9, 983.31), (10, 981.87), (11, 980.47)],
)  # fmt: skip


@pytest.mark.parametrize("row", PHARMACOPOEIA)
def test_that_density_by_volume_is_the_pharmacopoeias(row, agrees):
    agrees(row, ethanol.density(mass_share(row.given[0] / 100.0), TWENTY))


@pytest.mark.parametrize("row", PERRY)
def test_that_density_by_mass_is_the_handbooks(row, agrees):
    agrees(row, ethanol.density(row.given[0] / 100.0, TWENTY))


@pytest.mark.parametrize(
    "row",
    # Half of its last digit, and the 0.0001 by which the bureau of that time found pure ethanol heavier (0.78934 at
    # 20 °C, against 0.78924).
    table(
        TOPIC,
        "cfr-proof",
        RECALLED,
        apart(0.78934, 0.78924, 0.0001),
        [("60 °F", 0.7939)],
        unit="60/60 °F",
        differ="OIML R 22: the bureau of that time found pure ethanol 0.0001 heavier, 0.78934 against 0.78924 at 20 °C",
    ),
)
def test_that_pure_ethanol_has_the_gravity_that_strength_is_defined_by(row, agrees):
    true = float(ethanol.density(1.0, SIXTY_FAHRENHEIT) / ethanol.density(0.0, SIXTY_FAHRENHEIT))
    agrees(row, true)


@pytest.mark.parametrize(
    "row",
    # Stated for its correlation: within 0.3 kg/m3 of measured densities from 5 to 40 % by mass.
    table(TOPIC, "melinder", LIBRARY, 0.3 + 0.05, [(percent, 0.0) for percent in range(5, 41, 5)], unit="kg/m3"),
)
def test_that_density_is_that_of_another_correlation(row, agrees):
    share = row.given[0] / 100.0
    other = PropsSI("D", "T", TWENTY, "P", ATMOSPHERE, f"INCOMP::MEA[{share}]")
    agrees(row, float(ethanol.density(share, TWENTY)) - other)


@pytest.mark.parametrize(
    "row",
    # The equation of state is stated to 0.2 % in density of the liquid.
    table(TOPIC, "schroeder-2014", LIBRARY, 0.002, [(t, 0.0) for t in (0, 10, 20, 30, 40)], unit="relative"),
)
def test_that_pure_ethanol_is_that_of_its_equation_of_state(row, agrees):
    kelvin = row.given[0] + 273.15
    agrees(row, float(ethanol.density(1.0, kelvin)) / PropsSI("D", "T", kelvin, "P", ATMOSPHERE, "Ethanol") - 1.0)


WARMTHS = (5, 10, 15, 20, 25, 30, 35, 40)


@pytest.mark.parametrize(
    "row",
    table("Density of water", "iapws-95", LIBRARY, 0.0075, [("alcohol formula", t, 0.0) for t in WARMTHS], unit="kg/m3")
    + table(
        "Density of water", "iapws-95", LIBRARY, 0.0075, [("sugar formula", t, 0.0) for t in WARMTHS], unit="kg/m3"
    ),
)  # both standards rest on the temperature scale of 1968, which moves water by up to 0.007 kg/m3
def test_that_the_water_of_both_formulas_is_that_of_the_steam_association(row, agrees):
    kelvin = row.given[1] + 273.15
    own = ethanol.density(0.0, kelvin) if row.given[0] == "alcohol formula" else sucrose.water_density(kelvin)
    agrees(row, float(own) - PropsSI("D", "T", kelvin, "P", ATMOSPHERE, "Water"))


def test_that_the_strength_of_a_gravity_goes_back_and_forth():
    strengths = np.linspace(0.0, 0.25, 26)
    assert np.all(np.diff(gravity_of_spirit(strengths)) < 0.0)
    assert float(gravity_of_spirit(0.0)) == pytest.approx(1.0, abs=1e-12)
