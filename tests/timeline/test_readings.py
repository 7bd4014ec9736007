"""Readings as understood: corrected, dated, with alcohol and sugar by the batch's own mass balance."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import PITCHED, SHELF, plain, read, sugar_test, with_log, worked_out
from hypothesis import given
from hypothesis import strategies as st
from random_entries import logs

from planner.document.batch import Hydrometer, HydrometerReading, Log
from planner.model.fermentation import partly_fermented
from planner.model.hydrometer import corrected
from planner.model.liquid import Liquid, alcohol, density, fermentable, fermentable_concentration, gravity
from planner.recipe.must import must
from planner.timeline.readings import columns_of, logged, path
from planner.timeline.start_reading import starting_gravity

START = must(plain(), SHELF, 0).liquid.member(0)
WAY = path(START)


def rows_of(*readings, pitched_at=None, **log):
    return logged(Log(pitched_at=pitched_at, readings=readings, **log), WAY)


def test_that_the_way_leads_from_dry_to_the_must():
    assert WAY.gravity[-1] == pytest.approx(float(gravity(START)), abs=1e-12)
    assert WAY.alcohol[-1] == 0.0
    assert WAY.sugar[0] == 0.0
    assert np.all(np.diff(WAY.gravity) > 0.0)
    assert np.all(np.diff(WAY.alcohol) < 0.0)


@given(st.floats(0.0, 1.0))
def test_that_between_its_points_the_way_is_right_to_a_hundredth_of_a_point(share):
    true = partly_fermented(START, share * fermentable(START))
    heavy = float(gravity(true))
    assert float(WAY.alcohol_at(heavy)) == pytest.approx(float(alcohol(true)), abs=3e-5)
    assert float(WAY.sugar_at(heavy)) == pytest.approx(float(fermentable_concentration(true)), abs=0.1)
    assert float(WAY.gravity_at_sugar(fermentable_concentration(true))) == pytest.approx(heavy, abs=5e-5)
    assert float(gravity(WAY.like(np.array([heavy])))[0]) == pytest.approx(heavy, abs=5e-5)


def test_that_a_reading_at_twenty_degrees_or_without_temperature_stands_as_it_is():
    for temperature in (293.15, None):
        (row,) = rows_of(read(3.0, 1.060, temperature))
        assert row.gravity == pytest.approx(1.060, abs=1e-6)
        assert row.indicated == 1.060


@given(st.floats(1.000, 1.095), st.floats(276.15, 310.15))
def test_that_a_reading_is_corrected_with_the_expansion_of_the_batch_itself(true, temperature):
    liquid = WAY.like(np.array([true]))
    sample = float(density(liquid, temperature)[0])
    glass = 1.0 - 25e-6 * (temperature - 293.15)  # ISO 1768
    shown = sample / (998.203 * glass)
    (row,) = rows_of(read(3.0, shown, temperature))
    assert row.gravity == pytest.approx(float(gravity(liquid)[0]), abs=2e-5)


def test_that_a_finished_mead_is_corrected_more_than_its_must():
    must_row, mead_row = rows_of(read(0.0, 1.098, 303.15), read(40.0, 1.003, 303.15))
    # ISO 1768, SPS-4 and OIML R 22 at 30 °C: +3.3 points for a must of 1.100; +2.9 for dry mead of 13 %, which is
    # lighter by 20 points than this one, whose extract adds another 0.2.
    assert 1e3 * (must_row.gravity - 1.098) == pytest.approx(3.3, abs=0.1)
    assert 1e3 * (mead_row.gravity - 1.003) == pytest.approx(3.1, abs=0.1)
    water_only = float(corrected(np.array([1.003]), np.array([303.15]), lambda g: Liquid.of(water=np.ones_like(g)))[0])
    assert mead_row.gravity > water_only


def test_that_the_instruments_own_temperature_counts():
    (old,) = rows_of(read(3.0, 1.060, 293.15), hydrometer=Hydrometer(calibration=288.15))
    # At 20 °C: water of 15 °C weighs 999.10, of 20 °C 998.20 kg/m3 (IAPWS); the glass has grown by 5 times 25e-6.
    assert old.gravity == pytest.approx(1.060 * 999.10 / 998.20 * (1.0 - 5 * 25e-6), abs=1e-5)


def test_that_beyond_the_formulas_range_the_nearest_temperature_is_used():
    cold, coldest = rows_of(read(3.0, 1.060, 263.15), read(3.0, 1.060, 273.15))
    assert cold.gravity == coldest.gravity
    assert cold.temperature == 263.15


def test_that_alcohol_and_sugar_come_from_the_mass_balance():
    at_start, at_end = rows_of(read(0.0, float(WAY.gravity[-1])), read(40.0, float(WAY.gravity[0])))
    assert at_start.alcohol == pytest.approx(0.0, abs=1e-6)
    assert at_start.sugar == pytest.approx(float(WAY.sugar[-1]), abs=0.05)
    assert at_end.sugar == pytest.approx(0.0, abs=0.05)
    assert at_end.alcohol == pytest.approx(float(WAY.alcohol[0]), abs=1e-5)


def test_that_beyond_the_way_its_ends_are_told():
    high, low = rows_of(read(0.0, 1.3), read(40.0, 0.95))
    assert (high.alcohol, low.sugar) == (0.0, 0.0)


def test_that_a_sugar_test_tells_the_gravity_that_goes_with_it():
    (row,) = rows_of(sugar_test(30.0, 50.0))
    assert row.kind == "sugar"
    assert row.sugar == 50.0
    assert row.indicated is None
    assert row.gravity == pytest.approx(float(WAY.gravity_at_sugar(50.0)))


def test_that_readings_keep_their_order_notes_and_places():
    rows = rows_of(read(9.0, 1.02, note="late"), sugar_test(2.0, 100.0), read(1.0, 1.09, note="early"))
    assert [row.index for row in rows] == [0, 1, 2]
    assert [row.kind for row in rows] == ["hydrometer", "sugar", "hydrometer"]
    assert [row.note for row in rows] == ["late", "", "early"]


@given(logs)
def test_that_rows_are_the_same_however_the_log_is_kept_and_the_same_as_columns(entries):
    rows, one_by_one = (rows_of(*kept, pitched_at=PITCHED) for kept in (entries, tuple(entries)))
    kept = logged(Log(pitched_at=PITCHED, readings=entries), WAY)
    assert kept == rows == one_by_one
    for columns in (kept.columns, columns_of(tuple(rows))):
        for name, column in columns._asdict().items():
            values = [None if value != value else value for value in column.tolist()]
            expected = [getattr(row, "index" if name == "place" else name) for row in rows]
            assert values == [None if value != value else value for value in expected], name


def test_that_days_are_counted_from_pitching_across_the_end_of_summer_time():
    rows = rows_of(
        HydrometerReading(at="2026-10-30T18:30+01:00", gravity=1.01),  # 19:30 in summer's time
        HydrometerReading(day=5.5, gravity=1.06), HydrometerReading(gravity=1.06),
        pitched_at=PITCHED,
    )  # fmt: skip
    assert rows[0].day == pytest.approx(77.0)
    assert rows[1].day == 5.5
    assert rows[1].moment.isoformat() == "2026-08-20T07:30:00+02:00"
    assert (rows[2].day, rows[2].moment) == (None, None)


def test_that_excluded_and_undated_readings_do_not_count():
    rows = rows_of(read(0.0, 1.09, excluded=True), HydrometerReading(gravity=1.1), read(1.0, 1.08))
    assert [row.counts for row in rows] == [False, False, True]


@pytest.mark.parametrize(
    ("days", "chosen"),
    [
        ([0.0], 0), ([-0.9, 0.4], 1), ([0.4, -0.1], 1), ([-1.0], 0), ([0.5], 0), ([-1.1], None), ([0.6], None), ([], None),
    ],
)  # fmt: skip
def test_that_the_starting_gravity_is_the_reading_nearest_to_pitching(days, chosen):
    rows = rows_of(*(read(day, 1.08 + 0.001 * i) for i, day in enumerate(days)))
    found = starting_gravity(rows)
    assert found == (None if chosen is None else rows[chosen].gravity)


def test_that_excluded_readings_and_sugar_tests_tell_no_starting_gravity():
    assert starting_gravity(rows_of(read(0.0, 1.09, excluded=True), sugar_test(0.0, 200.0))) is None


def test_that_a_batch_with_a_measured_start_is_understood_from_there():
    batch = with_log(plain(), read(0.0, 1.110), read(5.0, 1.060))
    outcome = worked_out(batch)
    assert outcome.starting_gravity == pytest.approx(1.110, abs=1e-6)
    assert outcome.curve.gravity[0] == pytest.approx(1.110, abs=1e-5)
    assert outcome.log[0].alcohol == pytest.approx(0.0, abs=1e-5)
    plain_log = worked_out(msgspec.structs.replace(batch, log=Log(readings=(read(5.0, 1.060),))))
    assert outcome.log[1].alcohol > plain_log.log[0].alcohol  # it has fallen further


def hot(day, gravity, celsius=60.0, **fields):
    return HydrometerReading(day=day, gravity=gravity, temperature=celsius + 273.15, **fields)


def test_that_a_hot_must_is_corrected_and_known_less_well():
    (row,) = rows_of(hot(0.0, 1.085))
    assert row.gravity == pytest.approx(1.085 + 0.0168, abs=2e-4)  # 16.7 points at 1.080, 16.9 at 1.085: SPS-4
    assert row.high - row.low == pytest.approx(2 * 0.0015)
    (hotter,) = rows_of(hot(0.0, 1.085, 70.0))
    assert hotter.high - hotter.low == pytest.approx(2 * 0.003)


def test_that_beyond_eighty_degrees_the_correction_stays():
    at_end, beyond = rows_of(hot(0.0, 1.085, 80.0), hot(0.0, 1.085, 95.0))
    assert beyond.gravity == at_end.gravity


def test_that_a_hot_reading_starts_nothing_until_a_second_one_agrees():
    assert starting_gravity(rows_of(hot(0.0, 1.085))) is None
    cool = rows_of(hot(0.0, 1.085), read(0.1, 1.100))
    assert starting_gravity(cool) == cool[1].gravity
    both = rows_of(hot(0.0, 1.085), hot(0.1, 1.0855))
    assert starting_gravity(both) == both[0].gravity
    assert starting_gravity(rows_of(hot(0.0, 1.085), hot(0.1, 1.070))) is None


def test_that_forty_degrees_are_warm_and_no_more():
    rows = rows_of(hot(0.0, 1.090, 40.0))
    assert starting_gravity(rows) == rows[0].gravity
