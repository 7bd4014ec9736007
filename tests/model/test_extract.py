"""Dry extract and alcohol, by the analysts' way and by the batch's own balance."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model.extract import (
    extract_from_gravity,
    shortcuts,
)
from planner.model.inference import Reading, infer, way_of
from planner.model.liquid import Liquid, alcohol, gravity

MUST = Liquid.of(water=0.8, glucose=0.09, fructose=0.10, maltose=0.01, malic=0.005, other=0.003)


# Alcohol [% vol], sucrose [g/L] and by how much addition overstates it [g/L]: bookkeeping of volumes on SPS-4 and OIML
# R 22 is 0.02, 0.11 and 0.14 kg/m3 heavier than the sum (own comparison), at 0.386 kg/m3 per g/L. Addition is held good
# for less than 5 % of sucrose (Hackbarth 2009); the second and third are beyond.
def test_that_the_balance_knows_what_the_must_is_made_of():
    half = way_of(MUST)(np.array([0.9]), np.array([0.5]))
    start = way_of(MUST)(np.array([0.9]), np.array([0.0]))
    known = infer(MUST, Reading("gravity", float(gravity(start)[0]), True), Reading("gravity", gravity(half)))
    assert known.alcohol[1] == pytest.approx(alcohol(half), abs=1e-9)


@pytest.mark.parametrize("start", [1.050, 1.065, 1.080, 1.100, 1.120])
def test_that_the_rules_of_thumb_stay_as_near_as_is_stated(start):
    """The docstring states within 0.1 % vol to 1.080 and 0.5 below at 1.120, for a must that ends dry."""
    balance = infer(MUST, Reading("gravity", start, True), Reading("gravity", 0.998)).span("alcohol").typical
    drop = float(shortcuts(start, 0.998).drop)
    allowed = 0.0015 if start <= 1.080 else 0.0055
    assert abs(balance - drop) <= allowed
    assert balance >= drop - 0.0015


def test_that_all_rules_agree_that_nothing_has_fermented():
    for rule in shortcuts(1.08, 1.08):
        assert float(rule) == pytest.approx(0.0, abs=1e-6)


def test_that_extract_of_water_is_nothing():
    assert extract_from_gravity(1.0) == pytest.approx(0.0, abs=1e-9)
