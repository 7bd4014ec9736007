"""Sulphite: what protects, what to weigh, what is allowed."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model import sorbate, sulphite
from planner.model.span import Span


def test_that_sour_mead_needs_less():
    doses = sulphite.free_for(0.8e-3, np.linspace(2.8, 4.0, 20))
    assert np.all(np.diff(doses) > 0.0)


def test_that_alcohol_and_warmth_make_more_of_it_molecular():
    base = sulphite.molecular_share(3.4, sulphite.OIV, 0.10, 293.15)
    assert sulphite.molecular_share(3.4, sulphite.OIV, 0.14, 293.15) > base
    assert sulphite.molecular_share(3.4, sulphite.OIV, 0.10, 303.15) > base


def test_that_at_12_percent_a_third_more_is_molecular_than_the_textbook_counts():
    ratio = sulphite.molecular_share(3.4, sulphite.OIV, 0.12) / sulphite.molecular_share(3.4)
    assert float(ratio) == pytest.approx(1.35, abs=0.06)  # pK 1.96 less 0.02 against 1.81: OIV table, interpolated


def test_that_strengths_above_the_table_go_on_in_a_line():
    ten, fifteen, twenty = (float(sulphite.pk(sulphite.OIV, a)) for a in (0.10, 0.15, 0.20))
    assert twenty - fifteen == pytest.approx(fifteen - ten, abs=1e-12)


def test_that_alcohols_and_temperatures_broadcast():
    assert sulphite.pk(sulphite.OIV, np.array([0.1, 0.12])[:, None], np.array([293.15, 300.0])).shape == (2, 2)


# 10 L raised by 30 mg/L: 0.3 g of sulphur dioxide, which is 0.52 g of a powder of 57.63 % (molar masses).
def test_that_the_least_dose_is_what_the_formula_says():
    dose = sulphite.metabisulphite(0.030, 0.010)
    assert 1e3 * dose.low == pytest.approx(0.5206, abs=0.0005)
    assert dose.low < dose.typical < dose.high
    exact = sulphite.metabisulphite(0.030, 0.010, Span.exactly(1.0), Span.exactly(0.0))
    assert exact.low == exact.high == dose.low


def test_that_nothing_is_added_where_there_is_enough():
    assert sulphite.metabisulphite(-0.010, 0.020) == Span.exactly(0.0)


def test_that_limits_state_their_source_and_which_are_from_memory():
    from planner.reference.shipped import resources
    from planner.reference.sources import read_sources

    known = read_sources(resources() / "sources.csv")
    for limit in sulphite.LIMITS:
        assert limit.source in known
        assert (limit.status == "memory") == (limit.source == "memory")
        assert 0.1 <= limit.value <= 0.5
    assert sulphite.LABEL_FROM == 0.010  # Regulation (EU) No 1169/2011


def test_that_mead_has_its_own_limits_first_each_with_who_made_it_and_when():
    for limits in (sulphite.LIMITS, sorbate.LIMITS):
        assert all("mead" in limit.text for limit in limits[:2])
        assert [limit.value for limit in limits[:2]] == [
            0.200,
            0.200,
        ]  # Codex 14.2.5 from memory; EU by an Austrian code
        for limit in limits:
            assert any(maker in limit.text for maker in ("Codex", "EU", "USA"))
