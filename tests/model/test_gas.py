"""Gas in mead and in bottles: sound directions, balances, and words that err on the side of caution."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model import gas
from planner.model.gas import BAR


def test_that_cold_weak_and_dry_mead_holds_more():
    base = float(gas.wine_solubility(293.15, 0.12, 20.0))
    assert gas.wine_solubility(283.15, 0.12, 20.0) > base
    assert gas.wine_solubility(293.15, 0.08, 20.0) > base
    assert gas.wine_solubility(293.15, 0.12, 0.0) > base


def test_that_nothing_is_lost_between_liquid_and_headspace():
    bottle = gas.refermentation(10.0, 293.15, 0.12, fill=0.75e-3, headspace=0.05e-3, present=1.0, gas_per_hexose=0.47)
    above = bottle.pressure * 0.05e-3 * 0.04401 / (8.314462618 * 293.15)  # ideal gas
    assert bottle.dissolved * 0.75e-3 + above == pytest.approx((1.0 + 4.7) * 0.75e-3, rel=1e-9)


# Four figures of a common rule: 4 g/L of sugar make about one bar (common practice, no source), within a tenth.
def test_that_four_grams_of_sugar_are_about_a_bar_in_the_cellar():
    one, none = (float(gas.refermentation(s, 283.15, 0.12).gauge) / BAR for s in (4.0, 0.0))
    assert one - none == pytest.approx(1.0, abs=0.1)


def test_that_a_larger_headspace_eases_the_pressure():
    tight, roomy = (gas.refermentation(10.0, 293.15, 0.12, headspace=h).pressure for h in (0.0, 0.1e-3))
    assert roomy < tight


def test_that_air_under_the_closure_counts_and_purged_air_does_not():
    kept, purged = (gas.refermentation(10.0, 293.15, 0.12, purged=p) for p in (False, True))
    assert kept.pressure == purged.pressure
    assert float(kept.gauge - purged.gauge) == pytest.approx(gas.ATMOSPHERE)


def test_that_sugars_of_several_meads_are_worked_out_at_once():
    bottles = gas.refermentation(np.array([0.0, 5.0, 10.0]), 293.15, np.array([0.10, 0.12, 0.14]))
    assert bottles.gauge.shape == (3,)
    assert np.all(np.diff(bottles.gauge) > 0.0)


ORDINARY_GLASS = ("still", "prickling")


# Excess pressure at 20 °C: still wine below 1 bar (CETIE), sparkling from 3 (Regulation (EU) No 1308/2013).
@pytest.mark.parametrize(
    ("bar", "name", "safe"),
    [(-0.5, "still", True), (0.2, "still", True), (0.8, "prickling", True), (1.0, "semi-sparkling", False),
     (2.4, "semi-sparkling", False), (3.0, "sparkling", False), (5.9, "sparkling", False), (7.5, "at the limit", False),
     (9.0, "beyond any bottle", False)],
)  # fmt: skip
def test_that_a_pressure_is_put_in_words(bar, name, safe):
    vessel = gas.vessel_words(bar * BAR)
    assert (vessel.name, vessel.name in ORDINARY_GLASS) == (name, safe)
    assert vessel.words.endswith(".")


def test_that_a_mead_that_was_not_degassed_has_no_room_for_two_grams_of_sugar():
    # 1.49 bar at 20 °C: the bound of still wine (CETIE, 1 bar) is kept only by a mead that was degassed.
    standing = float(gas.refermentation(2.0, 293.15, 0.125, 10.0).gauge)  # the conditions of that table
    assert standing / BAR == pytest.approx(1.5, abs=0.05)  # table of refermentation, rounded to 0.1
    assert gas.vessel_words(standing).name not in ORDINARY_GLASS
    assert gas.vessel_words(float(gas.refermentation(0.0, 293.15, 0.12).gauge)).name in ORDINARY_GLASS


def test_that_theory_bounds_the_gas_of_sugar():
    assert gas.GAS_PER_HEXOSE.high == pytest.approx(2 * 44.0095 / 180.156, abs=1e-4)  # molar masses
