"""A closed bottle in the heat, worked out again with the densities and the vapour of another library."""

from __future__ import annotations

from functools import cache
from itertools import product

import numpy as np
import pytest
from CoolProp.CoolProp import QT_INPUTS, AbstractState, PropsSI

from planner.model import ethanol
from planner.model.bottle_pressure import heated, vapour_pressure
from planner.model.liquid import Liquid
from planner.model.numerics import solve_increasing
from published.rows import LIBRARY, table

TOPIC = "Closed bottle in the heat"
TWENTY, FORTY, ATMOSPHERE, GAS = 293.15, 313.15, 101325.0, 8.314462618
STRENGTHS, ROOMS, CELSIUS = (0.05, 0.08, 0.11, 0.14), (0.02, 0.03, 0.04, 0.05, 0.06), (55.0, 60.0, 65.0, 70.0)
LEAST = 0.005  # of the bottle: the doubt about growth, 0.0005, is a tenth of it


def mass_share(strength):
    return float(solve_increasing(ethanol.volume_fraction, strength, 0.0, 1.0))


def mead(strength):
    """A kilogram of water and ethanol."""
    share = mass_share(strength)
    return Liquid.of(water=1.0 - share, ethanol=share)


def lost_in_mixing(share, kelvin):
    """What mixing adds to the volume: OIML R 22 at 20 and 40 °C, and the straight line through both. [m3/kg]"""

    def measured(at):
        apart = share / ethanol.density(1.0, at) + (1.0 - share) / ethanol.density(0.0, at)
        return float(1.0 / ethanol.density(share, at) - apart)

    cool, warm = measured(TWENTY), measured(FORTY)
    return cool + (kelvin - TWENTY) / (FORTY - TWENTY) * (warm - cool)


@cache
def grown(strength, kelvin):
    """How much a mead grows from 20 °C, by the densities of pure water and pure ethanol under 2 atmospheres."""
    share = mass_share(strength)

    def room(at):
        water, spirit = (1.0 / PropsSI("D", "T", at, "P", 2.0 * ATMOSPHERE, name) for name in ("Water", "Ethanol"))
        return share * spirit + (1.0 - share) * water + lost_in_mixing(share, at)

    return room(kelvin) / room(TWENTY)


@cache
def boiling(strength, kelvin):
    """Pressure at which the mixture boils. [Pa]"""
    share = mass_share(strength)
    moles = share / 46.069, (1.0 - share) / 18.015
    state = AbstractState("HEOS", "Ethanol&Water")
    state.set_mole_fractions([part / sum(moles) for part in moles])
    state.update(QT_INPUTS, 0.0, kelvin)
    return state.p()


def dissolving(strength, kelvin):
    """Gas per volume and pressure: the European rule at 20 °C, changed as Carroll's water changes. [kg/(m3 Pa)]"""

    def water(at):
        return np.exp(-6.8346 + 1.2817e4 / at - 3.7668e6 / at**2 + 2.997e8 / at**3)

    return 1.951e-5 * (0.86 - strength) * water(TWENTY) / water(kelvin)


def room_left(strength, room, kelvin):
    """What is left empty in glass that grows by 9e-6 of its length for each kelvin. [share of the bottle]"""
    return (1.0 + 9e-6 * (kelvin - TWENTY)) ** 3 - (1.0 - room) * grown(strength, kelvin)


def pressed(strength, room, kelvin, gas):
    """Pressure above the air. [bar]"""
    left, liquid = room_left(strength, room, kelvin), 1.0 - room
    air = (ATMOSPHERE - boiling(strength, TWENTY)) * room / left * kelvin / TWENTY
    partial = gas * liquid / (dissolving(strength, kelvin) * liquid + 0.044010 * left / (GAS * kelvin))
    return (air + partial + boiling(strength, kelvin) - ATMOSPHERE) / 1e5


GRID = [
    (strength, room, celsius, gas)
    for strength, room, celsius in product(STRENGTHS, ROOMS, CELSIUS)
    if room_left(strength, room, celsius + 273.15) >= LEAST
    for gas in (0.0, 0.5, 1.4)
]


def rows_within(topic, share, cases):
    """Rows of what the other library says, each with a share of it as its tolerance. [bar]"""
    return [
        row
        for *given, bar in cases
        for row in table(topic, "helmholtz-mixture", LIBRARY, share * bar, [(*given, bar)], unit="bar")
    ]


# Within a tenth: what growth beyond 40 °C (0.0005), the rule of solubility (a few percent) and an ideal gas leave open.
@pytest.mark.parametrize(
    "row", rows_within(TOPIC, 0.10, [(s, r, c, g, pressed(s, r, c + 273.15, g)) for s, r, c, g in GRID])
)
def test_that_the_pressure_is_that_of_another_library(row, agrees):
    strength, room, celsius, gas = row.given
    agrees(row, float(heated(mead(strength), celsius + 273.15, room, gas).gauge) / 1e5)


# Its mixture stands on other measurements of vapour; these scatter by 3 %.
@pytest.mark.parametrize(
    "row",
    rows_within(
        "Vapour above mead", 0.03, [(s, c, boiling(s, c + 273.15) / 1e5) for s, c in product(STRENGTHS, CELSIUS)]
    ),
)
def test_that_the_vapour_is_that_of_another_library(row, agrees):
    agrees(row, float(vapour_pressure(row.given[0], row.given[1] + 273.15)) / 1e5)


@pytest.mark.parametrize(
    ("strength", "room", "celsius"),
    [
        pytest.param(*case, id="-".join(map(str, case)))
        for case in product(STRENGTHS, ROOMS, CELSIUS)
        if room_left(case[0], case[1], case[2] + 273.15) < LEAST
    ],
)
def test_that_a_bottle_hardly_left_empty_is_beyond_any_figure_that_could_be_trusted(strength, room, celsius):
    found = heated(mead(strength), celsius + 273.15, room, 0.0)
    assert found.room < LEAST + 0.0005
    assert float(found.gauge) > 3.5e5  # ten times the doubt of growth, and still more than closures bear
