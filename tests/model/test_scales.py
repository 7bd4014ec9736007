"""Degrees Brix and gravity: a round trip, and the rows of the sugar analysts' table."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model.scales import brix_from_gravity, gravity_from_brix

# °Brix and gravity 20/20, true: ICUMSA SPS-4 (1998).
SPS_4 = [
    (0, 1.00000), (5, 1.01964), (10, 1.03998), (15, 1.06107), (20, 1.08292), (25, 1.10558), (30, 1.12906), (35, 1.15340),
    (40, 1.17864), (45, 1.20478), (50, 1.23187), (55, 1.25991), (60, 1.28893), (65, 1.31893), (70, 1.34990), (75, 1.38185),
    (80, 1.41474), (85, 1.44854),
]  # fmt: skip


@pytest.mark.parametrize(("brix", "gravity"), SPS_4)
def test_that_brix_and_gravity_are_those_of_the_table(brix, gravity):
    assert float(gravity_from_brix(brix)) == pytest.approx(gravity, abs=0.0000051)
    assert float(brix_from_gravity(gravity)) == pytest.approx(brix, abs=0.0013)  # 5e-6 of gravity is 0.0013 °Brix


@given(st.floats(-10.0, 85.0))
def test_that_brix_survives_the_way_to_gravity_and_back(brix):
    assert float(brix_from_gravity(gravity_from_brix(brix))) == pytest.approx(brix, abs=1e-9)


@given(st.floats(0.97, 1.44))
def test_that_gravity_survives_the_way_to_brix_and_back(gravity):
    assert float(gravity_from_brix(brix_from_gravity(gravity))) == pytest.approx(gravity, abs=1e-12)


# 12 °P and the like in apparent gravity 20/20, from memory, consistent with the brewers' cubic to 1e-4.
@pytest.mark.parametrize(("degrees", "apparent"), [(5, 1.0197), (12, 1.0484), (15, 1.0611), (20, 1.0830)])
def test_that_the_brewers_remembered_points_are_met(degrees, apparent):
    true = 1.0 + (apparent - 1.0) * (998.203 - 1.2) / 998.203  # weighed in air of 1.2 kg/m3
    assert float(gravity_from_brix(degrees)) == pytest.approx(true, abs=1e-4)


def test_that_a_dry_mead_reads_below_zero():
    assert brix_from_gravity(0.995) < 0.0


def test_that_heavier_is_always_more_brix_also_in_arrays():
    gravities = np.linspace(0.98, 1.44, 500).reshape(5, 100)
    brix = brix_from_gravity(gravities)
    assert brix.shape == (5, 100)
    assert np.all(np.diff(brix.ravel()) > 0.0)


def test_that_gravities_beyond_the_scale_give_its_ends():
    assert brix_from_gravity([0.5, 2.0]) == pytest.approx([-10.0, 85.0])
