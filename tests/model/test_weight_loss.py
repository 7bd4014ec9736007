"""Weight lost is gas, and gas is sugar: the balance, its bounds, and what it refuses to believe."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model.fermentation import TYPICAL_YIELDS, fully_fermented
from planner.model.liquid import Liquid, alcohol, fermentable, gravity
from planner.model.weight_loss import by_weight, gas_yield

MUST = Liquid.of(water=16.0, glucose=2.0, fructose=2.0, malic=0.1, other=0.05)


def test_that_no_more_leaves_than_carbon_dioxide_and_what_it_carries():
    # Theory of carbon dioxide 0.4886 (molar masses); saturated with water at 20 °C it carries 1 % of its mass (vapour
    # pressure 2.34 kPa), and at most as much of ethanol.
    assert gas_yield().typical < 0.4886 < gas_yield().high < 0.4886 * 1.02


def test_that_a_batch_that_went_dry_is_known_by_its_weight():
    dry = fully_fermented(MUST)
    gas_made = TYPICAL_YIELDS.gas * float(fermentable(MUST))
    found = by_weight(gas_made - 0.03, MUST)  # 18 litres still hold about 1.5 g/L
    assert found.alcohol[1, 0] == pytest.approx(float(alcohol(dry)), abs=0.0005)
    assert found.gravity[1, 0] == pytest.approx(float(gravity(dry)), abs=0.0005)
    assert found.fits.all()


def test_that_mass_is_conserved_between_vessel_and_air():
    found = by_weight(1.2, MUST, temperature=298.15)
    used = found.sugar_used[1, 0]
    assert 1.2 < TYPICAL_YIELDS.gas * used < 1.2 + 0.04  # the rest is dissolved: below 2 g/L in 18 litres


def test_that_nothing_lost_is_nothing_gained():
    found = by_weight(0.0, MUST)
    assert found.alcohol[0, 0] == pytest.approx(0.0, abs=1e-9)
    assert found.alcohol[1, 0] < 0.003  # a little may be dissolved before any leaves
    assert found.gravity[1, 0] > 1.080


def test_that_the_more_is_lost_the_lighter_and_stronger():
    found = by_weight(np.array([0.2, 0.6, 1.0, 1.4]), MUST)
    assert np.all(np.diff(found.alcohol[1]) > 0.0)
    assert np.all(np.diff(found.gravity[1]) < 0.0)
    assert np.all(np.diff(found.sugar[1]) < 0.0)
    assert np.all(found.alcohol[0] <= found.alcohol[1])
    assert np.all(found.alcohol[1] <= found.alcohol[2])
    assert np.all(found.gravity[0] <= found.gravity[2])


def test_that_a_coarse_scale_widens_the_interval():
    fine, coarse = by_weight(1.0, MUST, doubt=0.005), by_weight(1.0, MUST, doubt=0.1)
    assert np.ptp(coarse.alcohol[:, 0]) > np.ptp(fine.alcohol[:, 0])


def test_that_more_than_the_sugar_could_give_is_not_believed():
    found = by_weight(3.0, MUST)
    assert not found.fits.any()
    assert found.sugar_used[1, 0] == pytest.approx(float(fermentable(MUST)))


def test_that_a_must_without_sugar_gives_nothing():
    found = by_weight(0.0, Liquid.of(water=1.0, malic=0.01))
    assert found.sugar_used[1, 0] == 0.0
    assert found.fits.all()
