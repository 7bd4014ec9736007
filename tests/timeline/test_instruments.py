"""Several instruments on one must: what they say of the alcohol together, and whether they agree."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain

from planner.document import edits
from planner.document.batch import HydrometerReading, RefractometerReading, SensorReading, TasteReading
from planner.evaluation.outcome import evaluate
from planner.model import liquid
from planner.model.extract import shortcuts
from planner.model.fermentation import partly_fermented, yields_at
from planner.model.inference import Reading, infer
from planner.model.refraction import apparent_brix
from planner.model.span import Span
from planner.recipe.must import anchored, must
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.timeline import alcohol_text, readings
from planner.timeline.instruments import SAME_DAY, alcohol_so_far, start_of


def worked_out(batch):
    """With a few members: the quick answer to an edit does not tell it."""
    return evaluate(batch, SHELF, 6)


START = must(plain(), SHELF, 0).liquid.member(0)
OG = float(liquid.gravity(START))


def stage(share_left):
    """Gravity and °Brix of the must with so much of its sugar left, and its alcohol: the model's own balance."""
    now = partly_fermented(START, share_left * liquid.fermentable(START))
    return float(liquid.gravity(now)), float(apparent_brix(now)), float(liquid.alcohol(now))


def logged(*entries, start=OG):
    return edits.add_readings(plain(), HydrometerReading(day=0.0, gravity=start), *entries)


def so_far(*entries, start=OG):
    return worked_out(logged(*entries, start=start)).so_far


def test_that_hydrometer_and_refractometer_of_a_day_give_the_alcohol_with_an_interval():
    gravity, brix, truth = stage(0.4)
    (pair,) = so_far(HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.1, brix=brix)).pairs
    assert pair.alcohol.low < truth < pair.alcohol.high
    assert pair.alcohol.typical == pytest.approx(truth, abs=0.002)  # the expected fall of two hours is taken off
    # Half width 0.4 % vol by the published budget for 0.1 °Brix and 0.001, and what is not known of yeast on top.
    assert 0.003 < (pair.alcohol.high - pair.alcohol.low) / 2.0 < 0.007
    assert pair.agrees
    assert pair.fits


@pytest.mark.parametrize("brix_off", [-1.5, 1.5])
def test_that_a_refractometer_that_is_far_off_does_not_agree(brix_off):
    gravity, brix, _ = stage(0.4)
    batch = logged(HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.0, brix=brix + brix_off))
    outcome = worked_out(batch)
    assert not outcome.so_far.pairs[0].agrees
    (said,) = [f for f in outcome.findings if f.place == "log.readings.2"]
    assert "Check both readings and the starting gravity" in str(said.text)


def test_that_a_wrong_starting_gravity_is_noticed_by_the_pair_which_needs_none():
    gravity, brix, truth = stage(0.4)
    told = so_far(
        HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.0, brix=brix), start=OG + 0.015
    )
    (pair,) = told.pairs
    assert not pair.agrees
    assert pair.start.low < OG < pair.start.high
    assert pair.balance > truth + 0.01  # 15 points are about 2 % vol: the balance is off, not the pair


def test_that_readings_of_different_days_are_no_pair():
    gravity, brix, _ = stage(0.4)
    told = so_far(
        HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.0 + SAME_DAY + 0.1, brix=brix)
    )
    assert told.pairs == ()


def test_that_the_nearest_of_several_is_taken_and_what_is_left_out_is_not():
    gravity, brix, _ = stage(0.4)
    told = so_far(
        HydrometerReading(day=8.6, gravity=gravity + 0.004),
        HydrometerReading(day=9.0, gravity=gravity),
        HydrometerReading(day=9.1, gravity=1.2, excluded=True),
        RefractometerReading(day=9.1, brix=brix),
    )
    assert [pair.hydrometer for pair in told.pairs] == [2]


def test_that_a_sensor_stands_in_where_nothing_was_floated():
    gravity, brix, _ = stage(0.4)
    told = so_far(SensorReading(day=9.0, gravity=gravity), RefractometerReading(day=9.0, brix=brix))
    (pair,) = told.pairs
    assert pair.alcohol.high - pair.alcohol.low > 0.01  # a sensor is doubted three times as much


def test_that_an_uncompensated_refractometer_is_corrected_first():
    gravity, brix, _ = stage(0.4)
    batch = logged(
        HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.0, brix=brix, temperature=288.15)
    )
    batch = edits.change_log(batch, refractometer=type(batch.log.refractometer)(compensated=False))
    (pair,) = worked_out(batch).so_far.pairs
    # OIV-MA-AS2-02, table I: 0.32 to 0.36 are taken off at 15 °C; alcohol changes more.
    assert 0.3 < brix - pair.brix < 0.6


def test_that_alcohol_by_balance_lies_within_its_interval_and_the_rules_stand_beside_it():
    gravity, _, truth = stage(0.1)
    told = so_far(HydrometerReading(day=15.0, gravity=gravity))
    assert told.start.measured
    assert told.alcohol.low < truth < told.alcohol.high
    # All that was read tells it: two lines of the hydrometer are a quarter of a per cent (131.25 times the drop).
    assert told.alcohol.typical == pytest.approx(truth, abs=0.0026)
    quick = shortcuts(OG, gravity)
    assert [rule.alcohol for rule in told.shortcuts] == pytest.approx([float(value) for value in quick], abs=1e-9)
    for rule in told.shortcuts:
        assert rule.off == pytest.approx(rule.alcohol - told.alcohol.typical)


def test_that_a_start_that_was_not_measured_makes_the_alcohol_less_sure():
    gravity, _, _ = stage(0.1)
    unknown = worked_out(edits.add_readings(plain(), HydrometerReading(day=15.0, gravity=gravity))).so_far
    known = so_far(HydrometerReading(day=15.0, gravity=gravity))
    assert not unknown.start.measured
    assert np.ptp(unknown.alcohol) > np.ptp(known.alcohol)
    assert "recipe" in str(alcohol_text.balance(unknown))


def test_that_what_was_floated_comes_before_what_was_told_through_the_balance():
    gravity, brix, _ = stage(0.4)
    told = so_far(HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.2, brix=brix))
    assert told.reading == 1
    later = so_far(HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=12.0, brix=brix))
    assert later.reading == 2


def test_that_nothing_is_told_before_a_gravity_since_pitching():
    assert so_far() is None
    assert so_far(TasteReading(day=5.0, note="yeasty")) is None
    gravity, _, _ = stage(0.1)
    assert evaluate(logged(HydrometerReading(day=15.0, gravity=gravity)), SHELF, 0).so_far is None  # the quick answer


@pytest.mark.parametrize("brix", [0.0, 60.0])
def test_that_an_impossible_pair_says_so_and_breaks_nothing(brix):
    told = so_far(HydrometerReading(day=9.0, gravity=1.05), RefractometerReading(day=9.0, brix=brix))
    (pair,) = told.pairs
    assert not pair.agrees
    assert np.all(np.isfinite(pair.alcohol))


@pytest.mark.parametrize("left", [0.6, 0.3, 0.02])
def test_that_the_interval_also_holds_what_is_not_known_of_fruit_honey_and_yeast(left):
    """Ninety members of a hundred, each with its own composition and yields and perfect readings, lie within."""
    whole = must(plain(), SHELF, 120)
    real = anchored(whole, OG).liquid
    dice = np.random.default_rng(7).normal(size=(3, 121))
    now = partly_fermented(real, left * liquid.fermentable(real), yields_at(*dice))
    truth, typical = liquid.alcohol(now), real.member(0)
    pair = infer(
        typical, Reading("gravity", liquid.gravity(now), False, 0.001), Reading("brix", apparent_brix(now), False, 0.1)
    )
    lost = infer(typical, Reading("gravity", OG, True, 0.001), Reading("gravity", liquid.gravity(now), False, 0.001))
    for known in (pair, lost):
        assert np.mean((known.alcohol[0] <= truth) & (truth <= known.alcohol[2])) >= 0.9


def test_that_the_start_carries_the_doubt_of_its_own_reading():
    batch = edits.add_readings(plain(), HydrometerReading(day=0.0, gravity=OG, doubt=0.004))
    rows = readings.logged(batch.log, readings.path(START))
    assert start_of(rows, rows[0].gravity, Span(1.0, 1.1, 1.2)).doubt == pytest.approx(0.004)
    assert start_of(rows, None, Span(1.09, 1.1, 1.12)).doubt == pytest.approx(0.015)


def test_that_a_must_that_cannot_ferment_tells_nothing():
    water = liquid.Liquid.of(water=1.0)
    batch = edits.add_readings(plain(), HydrometerReading(day=9.0, gravity=1.0))
    way = readings.path(water)
    rows = readings.logged(batch.log, way)
    assert alcohol_so_far(batch.log, rows, way, None, Span.exactly(1.0), None) is None


def test_that_the_report_holds_it_as_data_and_in_words():
    gravity, brix, truth = stage(0.4)
    outcome = worked_out(logged(HydrometerReading(day=9.0, gravity=gravity), RefractometerReading(day=9.0, brix=brix)))
    data = as_data(outcome, SHELF)
    told = data["alcohol_so_far"]
    (pair,) = told["hydrometer_with_refractometer"]
    assert pair["alcohol_pct_vol"]["low"] < 100.0 * truth < pair["alcohol_pct_vol"]["high"]
    assert pair["agrees_with_the_balance"]
    assert [rule["rule"] for rule in told["rules_of_thumb"]] == list(alcohol_text.RULES.values())
    text = as_text(data)
    assert "Alcohol so far" in text
    assert "It agrees with the balance" in text
    assert as_data(worked_out(plain()), SHELF)["alcohol_so_far"] is None


def test_that_the_difference_told_is_that_of_the_figures_told():
    gravity, _, _ = stage(0.1)
    told = so_far(HydrometerReading(day=15.0, gravity=gravity))
    balance = round(told.alcohol.typical, 3)
    for rule in told.shortcuts:
        words = alcohol_text.shortcut(rule)
        shown = [figure.value for figure in words.figures]
        if len(shown) == 2:
            assert round(shown[1], 3) == pytest.approx(abs(round(shown[0], 3) - balance), abs=1e-9)
        else:
            assert "the same" in str(words)
