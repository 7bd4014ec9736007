"""Dry extract and alcohol, by the analysts' way and by the batch's own balance."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model.extract import (
    alcohol_by_balance,
    extract_from_gravity,
    gravity_of_spirit,
    shortcuts,
    total_dry_extract,
)
from planner.model.inference import way_of
from planner.model.liquid import Liquid, alcohol, concentration, gravity

MUST = Liquid.of(water=0.8, glucose=0.09, fructose=0.10, maltose=0.01, malic=0.005, other=0.003)


def test_that_spirit_alone_has_no_extract_and_sugar_alone_is_all_extract():
    assert total_dry_extract(gravity_of_spirit(0.12), 0.12) == pytest.approx(0.0, abs=1e-6)
    w = np.array([0.02, 0.1])
    syrup = Liquid.of(water=1.0 - w, sucrose=w)
    assert total_dry_extract(gravity(syrup), 0.0) == pytest.approx(
        syrup["sucrose"] * gravity(syrup) * 998.203, rel=1e-5
    )


# Alcohol [% vol], sucrose [g/L] and by how much addition overstates it [g/L]: bookkeeping of volumes on SPS-4 and OIML
# R 22 is 0.02, 0.11 and 0.14 kg/m3 heavier than the sum (own comparison), at 0.386 kg/m3 per g/L. Addition is held good
# for less than 5 % of sucrose (Hackbarth 2009); the second and third are beyond.
@pytest.mark.parametrize(("percent", "grams", "more"), [(12, 20, 0.06), (12, 100, 0.3), (14, 100, 0.4)])
def test_that_addition_of_gravities_overstates_as_little_as_is_stated(percent, grams, more):
    spirit = np.linspace(0.05, 0.25, 401)[:, None]
    sugar = np.linspace(0.01, 0.20, 401)[None, :]
    grid = Liquid.of(water=1.0, ethanol=spirit, sucrose=sugar)
    off = (1e3 * (alcohol(grid) - percent / 100.0)) ** 2 + (concentration(grid, "sucrose") - grams) ** 2
    e, s = np.unravel_index(np.argmin(off), off.shape)  # some mead of about that strength and sweetness
    mead = Liquid.of(water=1.0, ethanol=spirit[e, 0], sucrose=sugar[0, s])
    found = float(total_dry_extract(gravity(mead), alcohol(mead)) - concentration(mead, "sucrose"))
    assert found == pytest.approx(more, abs=0.15)  # the model's crowding of sugar adds to it


def test_that_sulphur_dioxide_is_taken_off():
    # OIV density note: 0.0006 of density per g/L; at 0.386 kg/m3 per g/L, 0.2 g/L count as 0.31 g/L of extract.
    with_it, without = total_dry_extract(1.0, 0.1, 0.0), total_dry_extract(1.0, 0.1, 0.2)
    assert float(with_it - without) == pytest.approx(0.12 / 0.386, abs=0.01)


def test_that_the_balance_knows_what_the_must_is_made_of():
    half = way_of(MUST)(np.array([0.9]), np.array([0.5]))
    start = way_of(MUST)(np.array([0.9]), np.array([0.0]))
    known = alcohol_by_balance(float(gravity(start)[0]), gravity(half), MUST)
    assert known.alcohol[1] == pytest.approx(alcohol(half), abs=1e-9)


@pytest.mark.parametrize("start", [1.050, 1.065, 1.080, 1.100, 1.120])
def test_that_the_rules_of_thumb_stay_as_near_as_is_stated(start):
    """The docstring states within 0.1 % vol to 1.080 and 0.5 below at 1.120, for a must that ends dry."""
    balance = alcohol_by_balance(start, 0.998, MUST).span("alcohol").typical
    drop = float(shortcuts(start, 0.998).drop)
    allowed = 0.0015 if start <= 1.080 else 0.0055
    assert abs(balance - drop) <= allowed
    assert balance >= drop - 0.0015


def test_that_all_rules_agree_that_nothing_has_fermented():
    for rule in shortcuts(1.08, 1.08):
        assert float(rule) == pytest.approx(0.0, abs=1e-6)


def test_that_extract_of_water_is_nothing():
    assert extract_from_gravity(1.0) == pytest.approx(0.0, abs=1e-9)
