"""Fitting a ferment to its readings: what was known before, what readings add, and files of measured ferments."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.model.kinetics import Culture
from planner.model.span import Z_90
from planner.timeline.calibrate import ON_SOLIDS, PRESSED, SUGAR_DOUBT, Factors, Ferment, calibrated, factors_at
from tests.benchmarks import calibration, ferments, other_model

YEAST = Culture(tolerance=125.0, vigour=1.0, growth=1.0, decline=1.0, lag=1.0, pitch=0.25, ethanol_yield=0.465)
MUST = Ferment(105.0, 125.0, 0.2, YEAST, [(0.0, 293.15)], shrunk=0.96)
DAYS = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0])
EXPECTED = Factors(1.0, 1.0, 1.0, 1.0, 1.0, 1.0)


def test_that_without_readings_nothing_is_learned():
    none = calibrated(MUST, np.array([]), np.array([]), ON_SOLIDS)
    assert none.factors == pytest.approx([span.typical for span in ON_SOLIDS])
    for found, prior in zip(none.spans, ON_SOLIDS, strict=True):
        # log-normal: as wide as the prior, about its typical value
        assert found.high / found.low == pytest.approx(prior.high / prior.low)


def test_that_readings_of_the_expected_ferment_leave_it_as_expected():
    fit = calibrated(MUST, DAYS, MUST.sugar(EXPECTED, DAYS)[:, 0])
    assert fit.factors == pytest.approx(EXPECTED, abs=0.01)


@settings(max_examples=8)
@given(st.floats(-1.3, 1.3), st.floats(-1.3, 1.3), st.floats(-1.3, 1.3))
def test_that_a_ferment_that_went_its_own_way_is_followed(lag, vigour, nitrogen):
    truth = factors_at(PRESSED, np.array([lag, vigour, nitrogen, 0.0, 0.0, 0.0]))
    read = MUST.sugar(truth, DAYS)[:, 0]
    fit = calibrated(MUST, DAYS, read, PRESSED, 1.0)
    assert MUST.sugar(fit.factors, DAYS)[:, 0] == pytest.approx(read, abs=3.0)
    assert float(np.sqrt(np.mean((MUST.sugar(fit.factors, DAYS)[:, 0] - read) ** 2))) < 1.2


def test_that_readings_narrow_what_they_tell_of_and_no_more():
    read = MUST.sugar(EXPECTED, DAYS)[:, 0]
    few, all_ = (calibrated(MUST, DAYS[:n], read[:n]).spans for n in (2, len(DAYS)))
    for name in ("lag", "vigour", "nitrogen"):
        before, after_few, after_all = (getattr(spans, name) for spans in (PRESSED, few, all_))
        assert after_all.high / after_all.low < after_few.high / after_few.low <= 1.0001 * before.high / before.low


def test_that_members_spread_as_the_spans_say_and_the_first_is_the_most_probable():
    fit = calibrated(MUST, DAYS[:3], 0.95 * MUST.sugar(EXPECTED, DAYS)[:3, 0])
    members = fit.members(400)
    assert [float(value[0]) for value in members] == pytest.approx(list(fit.factors))
    for values, span in zip(members, fit.spans, strict=True):
        inside = np.mean((values[1:] >= span.low) & (values[1:] <= span.high))
        assert inside == pytest.approx(0.9, abs=0.05)  # 400 draws: three standard errors are 0.045


def test_that_the_same_readings_give_the_same_fit():
    read = 0.9 * MUST.sugar(EXPECTED, DAYS)[:, 0]
    once, again = (calibrated(MUST, DAYS, read) for _ in range(2))
    assert list(once.scores) == list(again.scores)
    assert np.array_equal(once.members(50).vigour, again.members(50).vigour)


def test_that_a_doubtful_reading_moves_it_less():
    read = MUST.sugar(factors_at(PRESSED, np.array([0, 1.5, 0, 0, 0, 0])), DAYS)[:, 0]
    sure, unsure = (calibrated(MUST, DAYS, read, PRESSED, doubt).factors.vigour for doubt in (SUGAR_DOUBT, 60.0))
    assert sure > unsure > 1.0


def test_that_a_range_is_the_central_nine_tenths_of_its_factor():
    low, high = (factors_at(PRESSED, np.full(6, z)) for z in (-Z_90, Z_90))
    for span, at_low, at_high in zip(PRESSED, low, high, strict=True):
        assert at_high / at_low == pytest.approx(span.high / span.low)


def test_that_sugar_is_told_per_present_volume():
    dry = MUST.sugar(EXPECTED, np.array([0.0, 60.0]))
    half_way = MUST.course(EXPECTED, np.array([0.0, 4.0])).sugar[1, 0]
    used = 1.0 - half_way / 230.0
    assert dry[0, 0] == pytest.approx(230.0)
    assert MUST.sugar(EXPECTED, np.array([4.0]))[0, 0] == pytest.approx(half_way / (1.0 - 0.04 * used), rel=1e-3)


TABLE = """Descr,Day,Must Temp,Fructose(g/L),Glucose(g/L),Total Sugar(g/L),Else
X_1,2,24,60,40,100,
X_1,0,20,110,120,230,x
X_1,5,22,-0.4,-1.4,-1.8,
X_1,7,,,,0,
X_1,9,22,,,,
"""  # invented


def test_that_a_table_of_ferments_is_read_with_its_gaps(tmp_path):
    path = tmp_path / "ferments.csv"
    path.write_text(TABLE, encoding="utf-8")
    (found,) = ferments.read(path)
    assert list(found.days) == [0.0, 2.0, 5.0, 7.0]
    assert list(found.sugar) == [230.0, 100.0, 0.0, 0.0]  # small negative sugars of infrared spectra mean none
    assert found.glucose == 120.0
    assert found.schedule == ((0.0, 293.15), (2.0, 297.15), (5.0, 295.15))


def test_that_a_table_of_something_else_is_refused(tmp_path):
    path = tmp_path / "other.csv"
    path.write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(SystemExit, match=r"other\.csv: no column Day, Descr"):
        ferments.read(path)


def test_that_the_last_line_is_for_machines(tmp_path, capsys):
    path = tmp_path / "ferments.csv"
    path.write_text(TABLE, encoding="utf-8")
    ferments.main([str(path)])
    words = capsys.readouterr().out.splitlines()[-1].split()
    assert words[::2] == ["unseen", "after_day_3", "fitted"]
    assert all(float(number) >= 0.0 for number in words[1::2])


def test_that_measured_ferments_are_foreseen_as_well_as_we_say():
    folder = os.environ.get("MEASURED_FERMENTS")
    if not folder:
        pytest.skip("MEASURED_FERMENTS does not name a folder with measured ferments, which are not shipped")
    measured = ferments.read(Path(folder) / "cabernet_red_must_2022.csv")
    found = np.array([ferments.errors(one)[:3] for one in measured])
    assert len(measured) == 9
    assert np.all(found.mean(axis=0) <= (10.0, 6.0, 2.0))


def test_that_the_honesty_of_the_band_is_told_for_machines(capsys):
    calibration.main(["--ferments", "4"])
    words = capsys.readouterr().out.splitlines()[-1].split()
    assert words[0] == "coverage_90"
    assert 0.0 <= float(words[1]) <= 1.0


def test_that_the_other_model_dries_a_fed_must_in_weeks_and_leaves_a_strong_one_sweet():
    # Common practice, no source: one to three weeks at 20 °C; a must far above the strain's limit stays sweet.
    dice = np.random.default_rng(1)
    one = np.ones(30)
    for sugar, limit, dry in ((200.0, 130.0, True), (330.0, 100.0, False)):
        nature = other_model.drawn(dice, one, limit * one, 0.2 * one, 293.15 * one, 0.25 * one)
        glucose, fructose = other_model.sugar_left(
            nature, 0.45 * sugar * one, 0.55 * sugar * one, 0.2 * one, 0.25 * one, [(0.0, 293.15)], 0.0 * one, [],
            np.array([0.0, 5.0, 40.0]),
        )  # fmt: skip
        left = glucose + fructose
        assert left[0] == pytest.approx(sugar * one)
        assert np.all(np.diff(left, axis=0) <= 1e-9)
        assert np.all(glucose[1] / fructose[1] < 0.45 / 0.55)
        assert (np.median(left[2]) < 4.0) == dry
