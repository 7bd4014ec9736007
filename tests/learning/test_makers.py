"""Simulated makers: their earlier batches narrow what is thought of the next one (see tests/benchmarks/makers for figures)."""

from __future__ import annotations

import math

import pytest

from planner.document.shelf import USUAL
from tests.benchmarks.makers import BATCHES, asked, makers, taught_by
from tests.benchmarks.verdict_population import SETTINGS


@pytest.fixture(scope="module")
def found():
    return makers(2, 20, SETTINGS["carriers"])


def test_that_every_maker_has_batches_that_get_dry(found):
    assert all(len(ferments) == BATCHES + 1 for ferments in found)
    assert all(ferment["truth"]["finish_day"] is not None for ferments in found for ferment in ferments)


def test_that_four_batches_make_the_end_better_known_but_never_certain(found):
    for ferments in found:
        habits = taught_by(ferments[:-1])
        assert 0.1 < habits.trend_sd / math.hypot(*USUAL["trend"]) < 1.0


def test_that_the_day_is_told_after_it_is_asked(found):
    told = asked(found[0][-1], taught_by(found[0][:-1]))
    assert told.on < told.low <= told.middle <= told.high
