"""Moments and days: offsets from UTC, summer time, and what cannot be read."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document.timestamps import day_of, moment_of, parsed

offsets = st.integers(-12 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
moments = st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1), timezones=offsets)


@given(moments, moments)
def test_that_days_are_counted_in_true_time_whatever_the_offsets(pitched, read):
    days = day_of(read.isoformat(), None, pitched.isoformat())
    assert days == pytest.approx((read.astimezone(UTC) - pitched.astimezone(UTC)) / timedelta(days=1), abs=1e-9)


@given(moments, st.floats(-365.0, 3660.0))
def test_that_a_day_becomes_its_moment_and_back(pitched, day):
    moment = moment_of(day, pitched.isoformat())
    assert day_of(moment.isoformat(), None, pitched.isoformat()) == pytest.approx(day, abs=1e-9)
    assert moment.utcoffset() == pitched.utcoffset()


def test_that_the_night_on_which_clocks_go_back_has_twenty_five_hours():
    assert day_of("2026-10-25T12:00+01:00", None, "2026-10-24T12:00+02:00") == pytest.approx(25 / 24)


def test_that_the_night_on_which_clocks_go_forward_has_twenty_three_hours():
    assert day_of("2026-03-29T12:00+02:00", None, "2026-03-28T12:00+01:00") == pytest.approx(23 / 24)


def test_that_one_moment_told_in_two_places_is_one_day():
    assert day_of("2026-08-15T03:00+09:00", None, "2026-08-14T18:00Z") == 0.0


@pytest.mark.parametrize(
    "text", ["", "yesterday", "2026-08-14", "2026-08-14T19:30", "2026-13-01T00:00Z", "19:30+02:00"]
)
def test_that_a_moment_without_date_time_or_offset_is_none(text):
    assert parsed(text) is None
    assert day_of(text, None, "2026-08-14T19:30+02:00") is None
    assert day_of("2026-08-14T19:30+02:00", None, text) is None


def test_that_a_day_counts_where_the_moment_cannot():
    pitched = "2026-08-14T19:30+02:00"
    assert day_of(None, 3.5, pitched) == 3.5
    assert day_of("unreadable", 3.5, pitched) == 3.5
    assert day_of("2026-08-20T19:30+02:00", 3.5, None) == 3.5
    assert day_of(None, None, pitched) is None


def test_that_a_moment_goes_before_a_day_where_pitching_is_dated():
    assert day_of("2026-08-20T19:30+02:00", 3.5, "2026-08-14T19:30+02:00") == 6.0


@given(st.text(max_size=40))
def test_that_any_text_is_a_moment_with_offset_or_none(text):
    moment = parsed(text)
    assert moment is None or moment.tzinfo is not None


@pytest.mark.parametrize("pitched", [None, "", "soon", "9999-12-31T00:00Z"])
def test_that_no_moment_is_told_where_there_can_be_none(pitched):
    assert moment_of(3660.0, pitched) is None


def test_that_days_before_the_first_year_have_no_moment():
    assert moment_of(-3.0, "0001-01-02T00:00Z") is None


def test_that_the_end_of_a_day_as_24_00_is_no_moment_on_any_python():
    assert parsed("2026-01-01T24:00+00:00") is None
    assert parsed("2026-01-01 24:00:00+00:00") is None
    assert parsed("2026-01-02T00:00+00:00") is not None
