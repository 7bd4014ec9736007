"""Moments and days as people type them."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QLocale

from planner.document.timestamps import parsed
from planner.ui.entry import EntryError
from planner.ui.log.when import When, date_text, moment_for_editing, moment_text, now, read_when

ENGLISH, AMERICAN, GERMAN = QLocale("en_GB"), QLocale("en_US"), QLocale("de_DE")


@pytest.fixture(autouse=True)
def in_berlin(monkeypatch):
    """Central European time: +01:00, and +02:00 from the last Sunday of March to that of October (EU 2000/84/EC)."""
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


PRESENT = datetime(2026, 11, 25, 11, 8, tzinfo=timezone(timedelta(hours=1)))


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("now", "2026-11-25T11:08+01:00"),
        ("", "2026-11-25T11:08+01:00"),
        ("today", "2026-11-25T11:08+01:00"),
        ("14:05", "2026-11-25T14:05+01:00"),
        ("9 pm", "2026-11-25T21:00+01:00"),
        ("12:30 am", "2026-11-25T00:30+01:00"),
        ("yesterday 21:30", "2026-11-24T21:30+01:00"),
        ("yesterday", "2026-11-24T12:00+01:00"),
        ("2026-11-20", "2026-11-20T12:00+01:00"),
        ("2026-07-01 08:00", "2026-07-01T08:00+02:00"),
        ("2026-11-20T08:00-05:00", "2026-11-20T08:00-05:00"),
        ("20 Nov 14:05", "2026-11-20T14:05+01:00"),
        ("Fri 20 Nov 14:05", "2026-11-20T14:05+01:00"),
        ("Nov 20, 2:05 PM", "2026-11-20T14:05+01:00"),
        ("20 November 2025", "2025-11-20T12:00+01:00"),
        ("20/11/26 9:00", "2026-11-20T09:00+01:00"),
        ("20.11.", "2026-11-20T12:00+01:00"),
        ("Nov 20, 2025", "2025-11-20T12:00+01:00"),
        ("20 Nov at 14:05", "2026-11-20T14:05+01:00"),
        ("20-11-2026", "2026-11-20T12:00+01:00"),
        ("26-11-32", "2032-11-26T12:00+01:00"),
    ],
)
def test_that_a_moment_is_read_with_the_offset_of_its_date(text, at):
    assert read_when(text, ENGLISH, PRESENT) == When(at=at)


def test_that_a_date_without_a_year_is_the_last_one():
    assert read_when("3 Dec 14:05", ENGLISH, PRESENT).at == "2025-12-03T14:05+01:00"


AUTUMN = datetime(2026, 11, 1, 18, 0, tzinfo=timezone(timedelta(hours=1)))


@pytest.mark.parametrize(
    ("text", "pitched", "at"),
    [
        ("3 Nov 12:00", AUTUMN, "2026-11-03T12:00+01:00"),
        ("28 Oct", AUTUMN, "2026-10-28T12:00+01:00"),  # measured before pitching
        ("26 Nov 9:00", AUTUMN, "2026-11-26T09:00+01:00"),  # clocks differ by a day at most
        ("31 Dec", AUTUMN.replace(year=2025), "2025-12-31T12:00+01:00"),
        ("20 Aug", AUTUMN.replace(year=2025), "2026-08-20T12:00+02:00"),  # nearer to now, but since pitching
        ("20.11.", AUTUMN.replace(year=2024), "2026-11-20T12:00+01:00"),  # the last of several since then
        ("29 Feb", datetime(2024, 2, 20, tzinfo=UTC), "2024-02-29T12:00+01:00"),
    ],
)
def test_that_a_date_without_a_year_is_one_since_pitching_or_the_nearest_to_it(text, pitched, at):
    assert read_when(text, ENGLISH, PRESENT, pitched) == When(at=at)


@pytest.mark.parametrize("text", ["1 Dec", "1 December 9:00", "1.12.", "1/12"])
def test_that_a_date_still_to_come_is_asked_about_and_never_goes_a_year_back(text):
    with pytest.raises(EntryError, match=r"1 Dec 2026 is still to come.*with its year"):
        read_when(text, ENGLISH, PRESENT, AUTUMN)
    assert read_when("1 Dec 2026", ENGLISH, PRESENT, AUTUMN).at == "2026-12-01T12:00+01:00"
    assert read_when("1 Dec 2025", ENGLISH, PRESENT, AUTUMN).at == "2025-12-01T12:00+01:00"


def test_that_a_day_that_no_year_has_is_no_moment():
    for pitched in (None, AUTUMN):
        with pytest.raises(EntryError, match="not a moment known"):
            read_when("31 Nov", ENGLISH, PRESENT, pitched)


def found_or_asked(text, pitched):
    """The moment that is read, without its offset; None where the year is asked for."""
    try:
        return parsed(read_when(text, ENGLISH, PRESENT, pitched).at).replace(tzinfo=None)
    except EntryError:
        return None


@given(
    st.datetimes(datetime(2024, 1, 1), datetime(2026, 11, 25)),
    st.datetimes(datetime(2025, 1, 1), datetime(2026, 11, 25)),
)
def test_that_the_year_found_is_never_further_from_the_log_than_another(on, pitched):
    if (on.month, on.day) == (2, 29):
        return
    found = found_or_asked(f"{on.day} {on:%b}", pitched.replace(tzinfo=timezone(timedelta(hours=1))))
    if found is None:
        return
    assert (found.month, found.day) == (on.month, on.day)
    before = (pitched.replace(hour=0, minute=0) - found).days
    assert found <= datetime(2026, 11, 27)
    # A year later would lie ahead by more than this one lies before pitching.
    assert before <= 0 or (found.replace(year=found.year + 1) - datetime(2026, 11, 25)).days >= before - 2


def test_that_a_slash_keeps_the_order_of_the_country():
    assert read_when("3/12/26", AMERICAN, PRESENT).at == "2026-03-12T12:00+01:00"
    assert read_when("3/12/26", ENGLISH, PRESENT).at == "2026-12-03T12:00+01:00"


def test_that_a_month_is_known_by_its_name_here_and_in_english():
    assert read_when("3. Oktober 9:00", GERMAN, PRESENT) == read_when("3 Oct 9:00", GERMAN, PRESENT)


@pytest.mark.parametrize(
    ("text", "day"), [("12", 12.0), ("day 12.5", 12.5), ("12.5 d", 12.5), ("d3", 3.0), ("-1", -1.0), ("0", 0.0)]
)
def test_that_a_bare_number_is_a_day_since_pitching(text, day):
    assert read_when(text, ENGLISH, PRESENT) == When(day=day)


def test_that_a_day_is_written_with_either_decimal_sign_where_only_a_decimal_can_be_meant():
    for locale in (GERMAN, ENGLISH, AMERICAN):
        for text in ("12,5", "day 12,5", "day 12.5", "12.5 d"):
            assert read_when(text, locale, PRESENT) == When(day=12.5)


@pytest.mark.parametrize(("text", "locale", "told"), [
    ("1,500", ENGLISH, "1.500 or 1500"),
    ("day 1,500", AMERICAN, "1.500 or 1500"),
    ("1.500", GERMAN, "1,500 or 1500"),
    ("7.30", ENGLISH, "two ways. Write day 7.30 or 7:30."),
    ("28.11", ENGLISH, "two ways. Write day 28.11 or 28 Nov."),
    ("28.11", AMERICAN, "day 28.11 or Nov 28"),
    ("3.12", ENGLISH, "three ways. Write day 3.12 or 3:12 or 3 Dec."),
    ("12.5", GERMAN, "day 12,5 or 12 Mai"),
    ("26-11-28", ENGLISH, "28 Nov 2026 or 26 Nov 2028? Write the year with four figures"),
    ("28-11-26", ENGLISH, "28 Nov 2026 or 26 Nov 2028"),
])  # fmt: skip
def test_that_numbers_with_two_meanings_are_asked_about(text, locale, told):
    with pytest.raises(EntryError) as asked:
        read_when(text, locale, PRESENT)
    assert told in str(asked.value)


def test_that_under_a_day_and_with_its_word_a_number_can_be_nothing_but_a_day():
    for text in ("7.30", "28.11", "3.12"):
        assert read_when(text, ENGLISH, PRESENT, days=True) == When(day=float(text))
        assert read_when(f"day {text}", ENGLISH, PRESENT) == When(day=float(text))
    assert read_when("12.75", ENGLISH, PRESENT) == When(day=12.75)  # neither a date nor a time


@pytest.mark.parametrize("year", ["1405", "0001", "9026", "1975", "2077", "202"])
def test_that_a_year_outside_a_century_around_today_is_refused(year):
    for text in (
        f"3 Dec {year}",
        f"{int(year):04d}-12-03 14:05",
        f"{int(year):04d}-12-03T14:05+01:00",
        f"3.12.{int(year):04d}",
    ):
        with pytest.raises(EntryError, match=r"in the year \d+\. Dates are accepted from 1976 to 2076"):
            read_when(text, ENGLISH, PRESENT)


@pytest.mark.parametrize("text", ["28 Nov 7.30", "28 Nov foo"])
def test_that_nothing_in_a_date_is_passed_over(text):
    with pytest.raises(EntryError, match="is not a moment known here"):
        read_when(text, ENGLISH, PRESENT)


def test_that_a_long_paste_is_refused_at_once():
    with pytest.raises(EntryError, match="too long for a moment"):
        read_when("1 " * 50_000, ENGLISH, PRESENT)


@pytest.mark.parametrize("text", ["3 Foo", "31 Feb", "25:00", "13 pm", "2026-13-01", "soon", "99/99", "1 2 3 4 Nov"])
def test_that_a_text_that_names_no_moment_is_refused_with_examples(text):
    with pytest.raises(EntryError, match=r"3 Dec 14:05.*day since pitching"):
        read_when(text, ENGLISH, PRESENT)


def test_that_a_day_no_batch_can_hold_is_refused_with_the_range():
    with pytest.raises(EntryError, match="-365 to 3660"):
        read_when("5000", ENGLISH, PRESENT)


_MOMENTS = st.datetimes(datetime(2001, 1, 1), datetime(2060, 1, 1)).map(lambda m: m.replace(second=0, microsecond=0))


@given(_MOMENTS, st.sampled_from(["en_GB", "en_US", "de_DE", "fr_FR", "pl_PL", "sv_SE", "C"]))
def test_that_a_moment_shown_is_read_back_the_same(naive, name):
    moment = naive.astimezone()
    locale = QLocale(name)
    assert parsed(read_when(moment_text(moment, locale), locale, PRESENT).at or "") in (moment, _other_fold(moment))


@given(_MOMENTS, st.integers(-12, 14))
def test_that_a_moment_in_an_editor_is_read_back_the_same(naive, hours):
    moment = naive.replace(tzinfo=timezone(timedelta(hours=hours)))
    written = moment_for_editing(moment)
    assert parsed(read_when(written, ENGLISH, PRESENT).at or "") in (moment, _other_fold(moment))


def _other_fold(moment):
    """In the hour that comes twice when clocks go back, a text cannot tell the two."""
    return moment + timedelta(hours=1)


def test_that_now_carries_an_offset_and_no_seconds():
    assert now().utcoffset() is not None
    assert (now().second, now().microsecond) == (0, 0)


def test_that_the_year_is_told_where_it_is_another():
    assert moment_text(PRESENT, ENGLISH, 2026) == "25 Nov 11:08"
    assert moment_text(PRESENT, ENGLISH, 2027) == "25 Nov 2026 11:08"
    assert "Nov 25" in moment_text(PRESENT, AMERICAN, 2026)
    assert date_text(PRESENT.date(), ENGLISH, 2027) == "25 Nov 2026"
    assert date_text(PRESENT.date(), AMERICAN, 2027) == "Nov 25, 2026"
    assert date_text(PRESENT.date(), AMERICAN, 2026) == "Nov 25"


@pytest.mark.parametrize(
    ("typed", "on"), [("3 Feb", "2027-02-03"), ("20 Nov", "2026-11-20"), ("3 Feb 2026", "2026-02-03")]
)
def test_that_a_day_of_a_plan_without_its_year_is_the_nearest_to_the_plan(typed, on):
    planned = datetime.fromisoformat("2026-12-24T18:00+01:00")
    found = read_when(typed, QLocale("en_GB"), datetime.fromisoformat("2026-10-01T12:00+02:00"), planned=planned)
    assert found.at.startswith(on)
