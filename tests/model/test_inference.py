"""Two readings tell what a must was and how far it has come, with an interval that is honest."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model import guards
from planner.model.fermentation import ETHANOL_YIELD, TYPICAL_YIELDS
from planner.model.inference import (
    HYDROMETER_DOUBT,
    REFRACTOMETER_DOUBT,
    Reading,
    infer,
    way_of,
)
from planner.model.liquid import Liquid, alcohol, concentration, fermentable, gravity
from planner.model.refraction import apparent_brix

MUST = Liquid.of(
    water=0.8, glucose=0.085, fructose=0.095, maltose=0.015, higher_sugars=0.003, malic=0.006, sorbitol=0.003, other=0.003
)  # fmt: skip


def at(share, strength=1.0):
    return way_of(MUST)(np.array([strength]), np.array([share]))


def both(share, brix_doubt=REFRACTOMETER_DOUBT, gravity_doubt=HYDROMETER_DOUBT):
    liquid = at(share)
    return infer(
        MUST,
        Reading("gravity", gravity(liquid), doubt=gravity_doubt),
        Reading("brix", apparent_brix(liquid), doubt=brix_doubt),
    )


def test_that_the_way_of_a_must_keeps_its_water_and_multiplies_the_rest():
    stronger = at(0.0, 1.2)
    assert stronger["water"][0] == pytest.approx(0.8, abs=1e-12)
    assert fermentable(stronger)[0] == pytest.approx(1.2 * float(fermentable(MUST)), rel=1e-12)
    assert float(fermentable(at(1.0))[0]) == pytest.approx(0.0, abs=1e-12)


def test_that_the_interval_is_the_published_budget_of_errors():
    """0.1 °Brix and 0.001 of gravity leave 0.4 % vol and 1.6 g/L: from the slopes at 13 % vol and 60 g/L.

    The slopes are those of the density and index tables (OIML R 22, SPS-4, CRC); joined as independent, 0.365 times 1.0
    kg/m3 and 1.52 times 0.1 °Brix are 0.40 % vol; what is not known of yeast and refraction comes on top.
    """
    known = both(0.75)
    low, typical, high = known.span("alcohol")
    assert 0.0040 < (high - low) / 2.0 < 0.0055
    less, _, more = known.span("extract")
    assert 1.5 < (more - less) / 2.0 < 2.2
    assert low < typical < high


def test_that_a_finer_instrument_leaves_a_narrower_interval():
    coarse, fine = both(0.6), both(0.6, 0.02, 0.0002)
    assert np.ptp(fine.alcohol[:, 0]) < 0.5 * np.ptp(coarse.alcohol[:, 0])


def test_that_doubt_does_not_vanish_with_perfect_instruments():
    perfect = both(0.6, 0.0, 0.0)
    assert np.ptp(perfect.alcohol[:, 0]) > 0.0005  # yields and refraction remain


def test_that_the_truth_lies_within_when_readings_are_off_by_their_doubt():
    truth = float(alcohol(at(0.7))[0])
    liquid = at(0.7)
    for more_gravity, more_brix in ((0.001, 0.0), (-0.001, 0.0), (0.0, 0.1), (0.0, -0.1)):
        known = infer(
            MUST,
            Reading("gravity", gravity(liquid) + more_gravity, doubt=HYDROMETER_DOUBT),
            Reading("brix", apparent_brix(liquid) + more_brix, doubt=REFRACTOMETER_DOUBT),
        )
        low, _, high = known.span("alcohol")
        assert low <= truth <= high


def test_that_another_yeast_than_the_typical_lies_within():
    frugal = way_of(
        MUST, TYPICAL_YIELDS._replace(ethanol=ETHANOL_YIELD.low + 0.25 * (ETHANOL_YIELD.typical - ETHANOL_YIELD.low))
    )
    must, mead = frugal(np.ones(1), np.zeros(1)), frugal(np.ones(1), np.full(1, 0.9))
    known = infer(
        MUST,
        Reading("gravity", gravity(must), True, HYDROMETER_DOUBT),
        Reading("gravity", gravity(mead), False, HYDROMETER_DOUBT),
    )
    low, _, high = known.span("alcohol")
    assert low <= float(alcohol(mead)[0]) <= high


def test_that_a_log_of_readings_is_understood_at_once():
    shares = np.linspace(0.05, 0.95, 12)
    liquids = way_of(MUST)(np.full(12, 1.05), shares)
    start = float(gravity(way_of(MUST)(np.array([1.05]), np.array([0.0])))[0])
    known = infer(MUST, Reading("gravity", start, True, 0.001), Reading("brix", apparent_brix(liquids), False, 0.1))
    assert known.share.shape == (3, 12)
    assert known.share[1] == pytest.approx(shares, abs=1e-8)
    assert known.span("sugar", 3).typical == pytest.approx(
        float((fermentable(liquids) / (liquids.mass / (gravity(liquids) * 998.203)))[3]), rel=1e-5
    )


def test_that_readings_no_stage_can_give_are_told_and_the_nearest_stated():
    known = infer(MUST, Reading("gravity", 1.080, True, 0.001), Reading("gravity", np.array([1.090, 1.040, 0.970])))
    assert known.fits.tolist() == [False, True, False]
    assert known.share[1, 0] == 0.0
    assert known.share[1, 2] == 1.0
    assert known.sugar[1, 2] == pytest.approx(0.0, abs=1e-9)


def test_that_a_must_which_is_all_sugar_and_one_that_has_little_are_both_found():
    for must in (Liquid.of(water=1.0, sucrose=0.3), Liquid.of(water=1.0, glucose=0.02, citric=0.02, other=0.01)):
        way = way_of(must)
        seen = way(np.ones(1), np.full(1, 0.5))
        start = float(gravity(way(np.ones(1), np.zeros(1)))[0])
        known = infer(must, Reading("gravity", start, True), Reading("gravity", gravity(seen)))
        assert known.share[1, 0] == pytest.approx(0.5, abs=1e-7)


def test_that_alcohol_already_in_a_must_is_kept():
    fortified = MUST + Liquid.of(ethanol=0.02)
    way = way_of(fortified)
    seen, start = way(np.ones(1), np.full(1, 0.4)), way(np.ones(1), np.zeros(1))
    known = infer(fortified, Reading("gravity", gravity(start), True), Reading("brix", apparent_brix(seen)))
    assert known.alcohol[1, 0] == pytest.approx(float(alcohol(seen)[0]), abs=1e-9)
    assert concentration(start, "ethanol")[0] > 0.0


def test_that_one_reading_twice_is_no_second_reading():
    with pytest.raises(guards.BadInput, match="second reading was the first again"):
        infer(MUST, Reading("brix", 8.0), Reading("brix", 8.0))
    with pytest.raises(guards.BadInput, match="also of the start; accepted is one taken since"):
        infer(MUST, Reading("brix", 8.0, True), Reading("gravity", 1.09, True))
