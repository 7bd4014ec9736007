"""Refractive index: exact limits, and what alcohol, warmth and mixing do to it."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model.components import COMPONENTS
from planner.model.liquid import Liquid
from planner.model.refraction import WATER_INDEX, apparent_brix, refractive_index


def test_that_water_has_its_index():
    # The alcohol formula's water is 0.002 kg/m3 lighter than the sugar formula's, to which the index belongs.
    assert refractive_index(Liquid.of(water=3.0)) == pytest.approx(WATER_INDEX, abs=1e-6)


def test_that_a_refractometer_shows_sugar_as_brix():
    w = np.linspace(0.03, 0.85, 200)
    shown = apparent_brix(Liquid.of(water=1.0 - w, sucrose=w))
    assert shown == pytest.approx(100.0 * w, abs=0.003)  # what is stated beside the crowding term, rounded up


# Share of ethanol by mass for so much by volume: OIML R 22. °Brix that alcohol alone shows: the handbook's indices (CRC,
# 102nd ed., four decimals, hence 0.07 °Brix) on the sugar scale.
@pytest.mark.parametrize(
    ("by_mass", "brix"), [(0.03982, 1.67), (0.08015, 3.53), (0.09641, 4.31), (0.11274, 5.15), (0.16214, 7.59)]
)
def test_that_alcohol_shows_as_sugar_that_is_not_there(by_mass, brix):
    spirit = Liquid.of(water=1.0 - by_mass, ethanol=by_mass)
    assert apparent_brix(spirit) == pytest.approx(brix, abs=0.07)


def test_that_every_substance_has_a_specific_refraction_of_the_right_size():
    for row in COMPONENTS.values():  # organic matter and water: 0.18 to 0.28 cm3/g
        assert 0.18e-3 <= row.specific_refraction <= 0.28e-3, row.key


def test_that_ensembles_and_temperatures_go_together():
    members = Liquid.of(water=np.full(3, 0.8), glucose=np.array([0.1, 0.15, 0.2]))
    grid = refractive_index(Liquid(members.masses[:, :, None]), np.array([283.15, 293.15]))
    assert grid.shape == (3, 2)
    assert grid[1, 1] == pytest.approx(float(refractive_index(members.member(1))), abs=1e-15)
    assert np.all(grid[:, 0] > grid[:, 1])
