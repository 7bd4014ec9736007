"""Kinds of readings beside the hydrometer: each told as gravity, sugar and alcohol of the batch's own must."""

from __future__ import annotations

import math

import numpy as np
import pytest
from example_batches import PITCHED, SHELF, plain, read, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Event,
    Log,
    Refractometer,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.document.codec import decode, encode
from planner.document.reading_kinds import KINDS
from planner.model.fermentation import partly_fermented
from planner.model.liquid import Liquid, alcohol, fermentable, gravity
from planner.model.refraction import apparent_brix
from planner.recipe.must import must
from planner.timeline.readings import logged, path
from planner.timeline.start_reading import starting_gravity

START = must(plain(), SHELF, 0).liquid.member(0)
WAY = path(START)


def row_of(reading, **log):
    return logged(Log(readings=(reading,), **log), WAY)[0]


def on_the_way(share: float) -> Liquid:
    """The must with a share of its sugar left."""
    return partly_fermented(START, share * fermentable(START))


ONE_OF_EACH = (
    read(1.0, 1.09), SensorReading(gravity=1.08, day=2.0), RefractometerReading(brix=15.0, day=4.0),
    WeightReading(lost=0.5, day=4.0), SugarReading(sugar=60.0, day=6.0), AcidityReading(ph=3.4, day=6.0),
    TitrationReading(acid=7.0, day=6.0), WarmthReading(temperature=290.0, day=7.0), VolumeReading(volume=0.0108, day=7.5), TasteReading(note="young", day=8.0), Event(what=What.RACKING, day=9.0),
)  # fmt: skip


def test_that_one_of_each_kind_goes_through_a_file_and_everything_is_worked_out():
    batch = with_log(plain(), *ONE_OF_EACH, pitched_at=PITCHED)
    assert decode(encode(batch)) == batch
    rows = worked_out(batch).log
    assert {row.kind for row in rows} == set(KINDS.values())
    assert [row.tells for row in rows] == ["gravity"] * 4 + ["sugar"] + [""] * 6
    for row in rows:
        assert row.counts == bool(row.tells)
        assert math.isnan(row.gravity) == (not row.tells)


@given(st.floats(0.02, 0.98))
@settings(max_examples=25)
def test_that_a_refractometer_is_read_on_the_way_of_the_must(share):
    # What the instrument shows of a fermenting must is tested against handbook tables in tests/published.
    true = on_the_way(share)
    row = row_of(RefractometerReading(brix=float(apparent_brix(true)), day=5.0))
    assert row.gravity == pytest.approx(float(gravity(true)), abs=1e-4)
    assert row.alcohol == pytest.approx(float(alcohol(true)), abs=5e-4)
    assert row.low < float(gravity(true)) < row.high
    assert row.fits


def test_that_a_refractometer_that_does_not_compensate_is_corrected_for_the_drop():
    drop = RefractometerReading(brix=15.0, day=5.0, temperature=288.15)
    as_read = row_of(drop, refractometer=Refractometer(compensated=True))
    warmed = row_of(drop, refractometer=Refractometer(compensated=False))
    # OIV-MA-AS2-02: at 15 °C and 15 %, 0.33 is to be taken off for sugar; alcohol adds to it.
    brix_per_gravity = np.interp(as_read.gravity, WAY.gravity, np.gradient(apparent_brix(WAY.liquids), WAY.gravity))
    assert 0.25 < float((as_read.gravity - warmed.gravity) * brix_per_gravity) < 0.75


def test_that_brix_beyond_the_must_are_said_not_to_fit():
    row = row_of(RefractometerReading(brix=2.0, day=20.0))
    assert not row.fits
    batch = with_log(plain(), RefractometerReading(brix=2.0, day=20.0), pitched_at=PITCHED)
    assert any("shows no such" in str(finding.text) for finding in worked_out(batch).findings)


def test_that_a_refractometer_tells_the_starting_gravity_unless_a_hydrometer_does():
    shown = float(apparent_brix(START))
    alone = logged(Log(readings=(RefractometerReading(brix=shown, day=0.0),)), WAY)
    assert starting_gravity(alone) == pytest.approx(float(gravity(START)), abs=1e-4)
    stronger = logged(Log(readings=(RefractometerReading(brix=shown + 2.0, day=0.0),)), WAY)
    # A sucrose solution gains 0.0041 per °Brix near 1.09 (OIV-MA-AS2-02, density table).
    assert starting_gravity(stronger) == pytest.approx(float(gravity(START)) + 2 * 0.0041, abs=0.0015)
    both = logged(Log(readings=(RefractometerReading(brix=shown, day=0.0), read(0.3, 1.101))), WAY)
    assert starting_gravity(both) == pytest.approx(1.101, abs=1e-6)


def test_that_a_loss_of_weight_tells_the_sugar_that_became_gas():
    lost = 0.8
    row = row_of(WeightReading(lost=lost, day=6.0))
    room = row.sugar / float(fermentable(START))
    assert row.gravity < WAY.gravity[-1]
    assert row.low < row.gravity < row.high
    # Gay-Lussac: a hexose gives at most 0.4886 of its mass as gas, so at least so much sugar is gone.
    gone = float(fermentable(START)) - row.sugar * float(fermentable(START)) / float(WAY.sugar[-1])
    assert gone > lost / 0.4886 * 0.95
    assert room > 0.0


def test_that_equal_losses_tell_the_same_and_larger_ones_less_gravity():
    rows = logged(Log(readings=tuple(WeightReading(lost=x, day=5.0) for x in (0.2, 0.5, 0.5, 0.9))), WAY)
    values = [row.gravity for row in rows]
    assert values[1] == values[2]
    assert values == sorted(values, reverse=True)


def test_that_more_weight_than_the_sugar_can_give_is_said():
    batch = with_log(plain(), WeightReading(lost=50.0, day=9.0), pitched_at=PITCHED)
    assert any("More weight is gone" in str(finding.text) for finding in worked_out(batch).findings)


def test_that_weighing_after_a_racking_is_warned_of():
    batch = with_log(plain(), Event(what=What.RACKING, day=5.0), WeightReading(lost=0.5, day=9.0), pitched_at=PITCHED)
    assert any("after a racking" in str(finding.text) for finding in worked_out(batch).findings)


def test_that_below_a_mark_is_between_nothing_and_the_mark():
    row = row_of(SugarReading(sugar=2.0, below=True, day=30.0))
    assert row.below
    assert row.sugar == 1.0
    assert row.low == pytest.approx(float(WAY.gravity_at_sugar(0.0)))
    assert row.high == pytest.approx(float(WAY.gravity_at_sugar(2.0)))


def test_that_a_doubt_that_is_entered_is_the_bar():
    row = row_of(read(3.0, 1.05, doubt=0.004))
    assert (row.low, row.high) == pytest.approx((row.gravity - 0.004, row.gravity + 0.004))


def test_that_a_future_reading_is_warned_of():
    from datetime import datetime

    from planner.evaluation.outcome import evaluate

    batch = with_log(plain(), read(3.0, 1.05), pitched_at=PITCHED)
    now = datetime.fromisoformat(PITCHED)
    told = [str(finding.text) for finding in evaluate(batch, SHELF, 0, today=now).findings]
    assert any("lies in the future" in text for text in told)


def test_that_readings_can_be_left_out_and_counted_again_at_once():
    batch = with_log(plain(), *ONE_OF_EACH, pitched_at=PITCHED)
    out = edits.leave_out(batch, [0, 2])
    assert [reading.excluded for reading in out.log.readings][:3] == [True, False, True]
    assert edits.leave_out(out, [0, 2], excluded=False) == batch
