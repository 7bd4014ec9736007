"""An instrument checked in water, or in a liquid of known gravity: what is known of its error then, and what follows."""

from __future__ import annotations

import math

import msgspec
import pytest
from example_batches import SHELF, plain, read, with_checks, with_log, worked_out

from planner.document.batch import HydrometerReading, Log
from planner.importing.export import export_csv
from planner.timeline.instrument_checks import OFFSETS, Error, checked, told_by

MEMBERS = 60
STEADY = [read(day, gravity) for day, gravity in ((0.0, 1.098), (2.0, 1.082), (4.0, 1.057), (6.0, 1.035))]


def check(shown, known=1.0, **fields):
    return HydrometerReading(day=0.0, gravity=shown, known=known, **fields)


def test_that_checks_narrow_an_error_by_kalmans_formulas():
    # A standard normal error, checks of 1.5 and then 0.8, each to 0.5: 1.2 (0.4472), then 1.0222 (0.3333); conjugate normal
    # arithmetic.
    once = told_by(Error(0.0, 1.0), 1.5, 0.5)
    assert once == pytest.approx((1.2, 0.4472), abs=5e-5)
    assert told_by(once, 0.8, 0.5) == pytest.approx((1.0222, 0.3333), abs=5e-5)


def test_that_each_instrument_has_an_error_of_its_own_and_a_check_left_out_tells_none():
    log = Log(
        readings=(check(1.002), check(1.052, 1.05, instrument="new"), check(1.01, instrument="old", excluded=True))
    )
    found = checked(log)
    assert set(found) == {"hydrometer", "hydrometer new"}
    assert 0.0 < found["hydrometer"].mean < 0.002
    assert found["hydrometer"].sd < OFFSETS["hydrometer"]
    assert checked(Log(readings=tuple(STEADY))) == {}


def test_that_a_check_in_warm_water_is_corrected_like_any_reading():
    # Water at 30 °C is 0.9974 of its density at 20 °C (IAPWS: 995.65 and 998.21 kg/m^3), the glass hardly moves.
    (error,) = checked(Log(readings=(check(0.9974, temperature=303.15),))).values()
    assert error.mean == pytest.approx(0.0, abs=2e-4)


def test_that_readings_of_a_checked_instrument_are_corrected_and_the_check_is_no_reading_of_the_batch():
    plainly, after = (
        worked_out(with_log(plain(), *STEADY, *more), MEMBERS) for more in ((), (check(1.003, doubt=0.0002),))
    )
    shifts = [one.gravity - two.gravity for one, two in zip(plainly.log, after.log, strict=False)]
    assert shifts == pytest.approx([shifts[0]] * len(STEADY), abs=1e-6)
    assert 0.002 < shifts[0] < 0.003
    assert math.isnan(after.log[-1].gravity)
    assert not after.log[-1].tells
    assert after.starting_gravity == pytest.approx(plainly.starting_gravity - shifts[0])
    (said,) = [f for f in after.findings if f.place == f"log.readings.{len(STEADY)}"]
    assert "too high" in str(said.text)


def test_that_a_checked_instrument_leaves_less_doubt_of_the_dry_gravity():
    spans = []
    for more in ((), tuple(check(1.0, doubt=0.0003) for _ in range(4))):
        spans.append(worked_out(with_log(plain(), *STEADY, *more), MEMBERS).posterior.now.indicated)
    assert spans[1].high - spans[1].low <= spans[0].high - spans[0].low + 1e-4


def test_that_an_exported_check_is_told_with_what_it_was_made_in():
    heading, *rows = export_csv(with_checks()).splitlines()
    assert heading.endswith('"Checked in a gravity of"')
    assert [row.rsplit(",", 1)[1] for row in rows] == ["1.0", "1.05"]
    assert "Checked in" not in export_csv(with_log(plain(), *STEADY))
    assert msgspec.structs.replace(with_checks().log, readings=()).entries is not None
    assert SHELF
