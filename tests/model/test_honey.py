"""Neat honey: its published gravities, by the formula and by the model of its components."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model import honey
from planner.model.liquid import WATER_DENSITY, Liquid, density

# Water [%] and gravity 20/20: J. W. White's table (FAO Agricultural Services Bulletin 124). The whole percents are
# the table's; the halves are interpolated. The rows were typed from memory; 15 and 17 % were seen elsewhere.
GRAVITIES = [
    (13.0, 1.4457), (13.5, 1.4430), (14.0, 1.4404), (14.5, 1.4377), (15.0, 1.4350), (15.5, 1.4323), (16.0, 1.4295),
    (16.5, 1.4266), (17.0, 1.4237), (17.5, 1.4204), (18.0, 1.4171), (18.5, 1.4136), (19.0, 1.4101), (19.5, 1.4064),
    (20.0, 1.4027), (20.5, 1.3988), (21.0, 1.3950),
]  # fmt: skip

# Parts of 490 honeys at 17.2 % of water [g/100 g]: White et al. 1962.
WHITE_1962 = {
    "fructose": 38.19, "glucose": 31.28, "sucrose": 1.31, "maltose": 7.31, "higher_sugars": 1.50, "gluconic": 0.57,
    "other": 0.34 + 2.30,
}  # fmt: skip


@pytest.mark.parametrize(("percent", "gravity"), GRAVITIES)
def test_that_honey_of_so_much_water_has_the_published_gravity(percent, gravity):
    assert float(honey.density(percent / 100.0)) / WATER_DENSITY == pytest.approx(gravity, abs=3e-4)  # error of the fit


@pytest.mark.parametrize(("percent", "gravity"), GRAVITIES)
def test_that_its_components_together_weigh_the_same_within_three_thousandths(percent, gravity):
    solids = {key: share / 82.8 * (1.0 - percent / 100.0) for key, share in WHITE_1962.items()}
    neat = Liquid.of(water=percent / 100.0, **solids)
    assert float(density(neat)) / WATER_DENSITY == pytest.approx(gravity, abs=0.003)  # stated with the model


def test_that_the_excess_of_neat_honey_is_gone_where_musts_are():
    solids = {key: share / 100.0 for key, share in WHITE_1962.items()}
    must = Liquid.of(water=0.172 + 1.76, **solids)  # 30 % of solids: stronger than any must that ferments well
    without = must.plus(allulose=float(must["fructose"]), fructose=-float(must["fructose"]))
    # Allulose is modelled as fructose without the excess that honey's reducing sugars have.
    assert float(density(must) - density(without)) / WATER_DENSITY == pytest.approx(0.0, abs=1e-4)


def test_that_warm_honey_is_lighter_by_four_parts_in_ten_thousand_per_kelvin():
    # Derived from the honey refractometer's correction of 0.00023 per kelvin (Chataway, Bogdanov).
    assert float(honey.density(0.17, 303.15) / honey.density(0.17)) == pytest.approx(1.0 - 0.0040, abs=1e-9)


def test_that_wetter_honey_is_lighter():
    assert np.all(np.diff(honey.density(np.linspace(0.13, 0.25, 100))) < 0.0)
