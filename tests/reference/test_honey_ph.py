"""The pH of honeys goes with their minerals: light ones are sourer than dark ones."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, worked_out

from planner.document.batch import HoneyLine


def test_that_light_honey_is_sourer_than_the_mean_and_dark_honey_less_sour():
    light, usual, dark = (SHELF.honey(key).ph for key in ("light-blossom", "blossom", "dark"))
    for end in ("low", "typical", "high"):
        assert getattr(light, end) < getattr(usual, end) < getattr(dark, end)
    assert usual.typical == pytest.approx(3.91, abs=0.05)  # White 1962: the mean of 490 honeys


@pytest.mark.parametrize(("key", "balance"), [("light-blossom", 3.27), ("dark", 4.03)])
def test_that_a_must_of_three_hundred_grams_in_a_litre_is_as_sour_as_its_charges_say(key, balance):
    # Worked by another program: gluconic acid of 8.7 meq/L with potassium of 205 and 1676 mg/kg (Schuette & Remy 1932, from memory).
    batch = plain(fruits=(), honeys=(HoneyLine(key=key, mass=6.0),), feeds=(), water=15.8)
    ph = worked_out(batch, 60).must.ph
    assert ph.low <= balance <= ph.high


def test_that_two_honeys_lie_between():
    def ph(*honeys):
        lines = tuple(HoneyLine(key=key, mass=3.0) for key in honeys)
        return worked_out(plain(fruits=(), honeys=lines, feeds=(), water=15.8)).must.ph.typical

    assert ph("light-blossom") < ph("light-blossom", "dark") < ph("dark")
