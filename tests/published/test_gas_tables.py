"""Carbon dioxide: dissolved, counted in volumes, and under pressure."""

from __future__ import annotations

import math

import pytest
from chemicals.elements import molecular_weight, simple_formula_parser
from CoolProp.CoolProp import PropsSI

from planner.model import gas
from planner.model.constants import ETHANOL_PER_HEXOSE, MOLAR_MASS
from planner.model.fermentation import TYPICAL_YIELDS
from published.rows import LIBRARY, READ, RECALLED, apart, table

CO2_PER_ETHANOL = MOLAR_MASS["carbon dioxide"] / MOLAR_MASS["ethanol"]
"""Gas that is set free with ethanol, one molecule each. [kg/kg]"""

TOPIC = "Carbon dioxide dissolved"


def mass(formula):
    return molecular_weight(simple_formula_parser(formula))


def carroll(celsius):
    """Carbon dioxide in water after Carroll et al. [g/L and bar]: ln(H/MPa) of the mole fraction."""
    kelvin = celsius + 273.15
    henry = math.exp(-6.8346 + 1.2817e4 / kelvin - 3.7668e6 / kelvin**2 + 2.997e8 / kelvin**3)
    share = 0.1 / henry
    return share / (1.0 - share) * 1000.0 / 18.0153 * 44.0095 * PropsSI("D", "T", kelvin, "P", 2e5, "Water") / 1e3


@pytest.mark.parametrize(
    "row",
    table(
        TOPIC,
        "carroll-1991",
        READ,
        0.023,
        [(c, 0.0) for c in (4, 5, 8, 10, 12, 15, 18, 20, 25, 30)],
        "relative",
        "Weiss 1974: the two correlations are stated to lie 0 to 2.3 % apart",
    ),
)
def test_that_water_holds_as_much_as_by_another_correlation(row, agrees):
    celsius = row.given[0]
    agrees(row, float(gas.water_solubility(celsius + 273.15)) * 1e5 / carroll(celsius) - 1.0)


@pytest.mark.parametrize(
    "row",
    # Grams in 100 g of water under one atmosphere of gas and vapour together; relative, within 3 %.
    table(
        TOPIC, "solubility-handbook", RECALLED, 0.03, unit="relative",
        rows=[(0, 0.3346, 1.0), (10, 0.2318, 1.0), (20, 0.1688, 1.0), (25, 0.1449, 1.0), (30, 0.1257, 1.0)],
    ),
)  # fmt: skip
def test_that_water_holds_as_much_as_in_the_handbooks(row, agrees):
    celsius, grams = row.given
    kelvin = celsius + 273.15
    vapour = PropsSI("P", "T", max(kelvin, 273.16), "Q", 0, "Water")
    held = float(gas.water_solubility(kelvin)) * (gas.ATMOSPHERE - vapour)
    agrees(row, held / (grams * 10.0 * PropsSI("D", "T", kelvin, "P", 2e5, "Water") / 1e3))


@pytest.mark.parametrize(
    "row",
    # Worked from the printed formula by hand, to its last digit.
    table(TOPIC, "eu-2676-90", READ, 0.0006, [(12, 0, 1.444), (12, 100, 1.236), (14, 0, 1.405)], unit="g/L bar"),
)
def test_that_wine_holds_what_the_regulation_says(row, agrees):
    percent, sugar = row.given
    agrees(row, float(gas.wine_solubility(293.15, percent / 100.0, sugar)) * 1e5)


@pytest.mark.parametrize(
    "row",
    # Partial pressures 4.7, 5.8 and 7.5 bar in one wine; as shares of that at 20 °C, relative, within 3 %.
    table(TOPIC, "liger-belair-2017", READ, 0.03, [(6, 4.7 / 7.5, 1.0), (12, 5.8 / 7.5, 1.0)], unit="relative"),
)
def test_that_pressure_rises_with_warmth_as_measured_in_sparkling_wine(row, agrees):
    celsius, measured = row.given
    cold, warm = (float(gas.wine_solubility(t + 273.15, 0.125, 10.0)) for t in (celsius, 20))
    agrees(row, warm / cold / measured)


@pytest.mark.parametrize(
    "row",
    table(
        TOPIC,
        "liger-belair-2021",
        READ,
        apart(2.1, 1.9),
        [(10, 2.1)],
        unit="g/L bar",
        differ="the regulation of 1990, carried to 10 °C by the solubility in water, gives 1.9 g/L bar",
    ),
)
def test_that_measured_solubility_in_sparkling_wine_stands_beside_the_regulation(row, agrees):
    agrees(row, float(gas.wine_solubility(283.15, 0.125, 10.0)) * 1e5)


PRESSURE = "Pressure in a closed bottle"


@pytest.mark.parametrize(
    "row",
    # Sugar as sucrose; the gas that a base wine holds at bottling is not stated, 0.6 g/L is taken.
    table(PRESSURE, "tirage", READ, 0.3, [(20.0, 10.0, (5.0, 6.0)), (24.0, 10.0, (5.0, 6.0)), (20.0, 12.0, (5.0, 6.0))],
          unit="bar", differ="each other: whole bars for 20 to 24 g/L and 10 to 12 °C; half a bar is their rounding, 0.3 is held"),
)  # fmt: skip
def test_that_the_sugar_of_sparkling_wine_makes_its_pressure(row, agrees):
    sucrose, celsius = row.given
    bottle = gas.refermentation(sucrose * 1.0526, celsius + 273.15, 0.105, present=0.6, purged=False)
    agrees(row, float(bottle.gauge) / 1e5)


@pytest.mark.parametrize("row", table(PRESSURE, "cetie", READ, 0.0, [("1.2 g/L", 20, (0.0, 1.0))], unit="bar"))
def test_that_still_wine_stays_below_its_bound(row, agrees):
    bottle = gas.refermentation(0.0, 293.15, 0.12)
    agrees(row, float(bottle.gauge) / 1e5)
    assert gas.vessel_words(float(bottle.gauge)).name in ("still", "prickling")


SHARES = "Ethanol and gas from sugar"
SUCROSE_BY_FRENCH = tuple(grams / 7.8924 / 1.0526 for grams in (16.83, 17.5))
"""Sucrose per ethanol by the two French figures for 1 % vol. [kg/kg]"""


@pytest.mark.parametrize(
    "row",
    table(
        SHARES,
        "molar-masses",
        LIBRARY,
        1e-5,
        [
            ("ethanol of hexose", 2 * mass("C2H6O") / mass("C6H12O6")),
            ("gas of ethanol", mass("CO2") / mass("C2H6O")),
        ],
        unit="kg/kg",
    ),
)
def test_that_the_chemistry_adds_up(row, agrees):
    agrees(row, ETHANOL_PER_HEXOSE if row.given[0] == "ethanol of hexose" else CO2_PER_ETHANOL)


@pytest.mark.parametrize(
    "row",
    table(
        SHARES,
        "balling",
        READ,
        apart(0.9565, mass("CO2") / mass("C2H6O"), 1e-4),
        [("gas of ethanol", 0.9565)],
        "kg/kg",
        "the molar masses of today, 0.9553",
    )
    + table(
        SHARES,
        "balling",
        READ,
        apart(2.0665, SUCROSE_BY_FRENCH[0], 1e-4),
        [("extract per ethanol", 2.0665)],
        "kg/kg",
        f"the French order's 16.83 g/L per % vol, as sucrose {SUCROSE_BY_FRENCH[0]:.3f} per ethanol; its 17.5 are "
        f"{SUCROSE_BY_FRENCH[1]:.3f}",
    )
    + table(SHARES, "french-order-2011", READ, 0.0, [("sugar per % vol", (16.83, 17.5))], "g/L"),
)
def test_that_the_trades_figures_for_sugar_and_alcohol_stand_beside_the_balance(row, agrees):
    """Balling's brewers counted 0.11 of yeast per ethanol and sugar as sucrose; the two French figures are a range."""
    hexose_per_ethanol = 1.0 / TYPICAL_YIELDS.ethanol
    found = {
        "gas of ethanol": CO2_PER_ETHANOL,
        "extract per ethanol": hexose_per_ethanol / 1.0526,
        "sugar per % vol": 7.8924 * hexose_per_ethanol,
    }
    agrees(row, found[row.given[0]])
