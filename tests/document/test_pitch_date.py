"""When entries were, all at once: the same as one by one."""

from __future__ import annotations

import math
from datetime import datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_entries import logs

from planner.document import pitch_date
from planner.document.batch import HydrometerReading, Log, SensorReading
from planner.document.columnar_log import Entries, Run
from planner.document.timestamps import day_of, moment_of, parsed

PITCHINGS = [None, "", "2026-01-03T10:00+01:00", "2026-01-03T10:00:00.123456-09:30", "yesterday", "2026-01-03T10:00"]


@given(logs, st.sampled_from(PITCHINGS))
def test_that_days_and_moments_are_those_of_each_entry(entries, pitched_at):
    log = Log(pitched_at=pitched_at, readings=entries)
    days = pitch_date.days(log)
    one_by_one = [day_of(entry.at, entry.day, pitched_at) for entry in entries]
    assert [None if math.isnan(day) else day for day in days.tolist()] == one_by_one
    stated = [parsed(entry.at) if entry.at else None for entry in entries]
    assert pitch_date.moments(log, days) == [
        moment_of(day, pitched_at) if moment is None and day is not None else moment
        for moment, day in zip(stated, one_by_one, strict=True)
    ]
    ticks = pitch_date.ticks(entries)
    assert [None if math.isnan(tick) else tick / 1e6 for tick in ticks.tolist()] == [
        None if moment is None else moment.timestamp() for moment in stated
    ]


@pytest.mark.parametrize("form", ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S"])
@pytest.mark.parametrize("ending", ["Z", "+00:00", "-00:30", "+13:45"])
def test_that_a_column_of_moments_is_read_in_each_form_that_an_import_takes(form, ending):
    start = datetime(2024, 2, 28, 23, 50, 0)
    texts = [f"{(start + n * timedelta(minutes=37)).strftime(form)}{ending}" for n in range(60)]
    run = Run(SensorReading(gravity=1.0), {"gravity": np.full(60, 1.05), "at": np.array(texts, dtype="S")})
    expected = [datetime.fromisoformat(text).timestamp() for text in texts]
    assert (pitch_date.ticks(Entries(run)) / 1e6).tolist() == expected


def test_that_a_day_beyond_the_calendar_has_no_moment():
    log = Log(pitched_at="9999-06-01T00:00Z", readings=(HydrometerReading(gravity=1.0, day=3000.0),))
    assert pitch_date.moments(log, pitch_date.days(log)) == [None]


def test_that_a_moment_by_its_day_is_told_in_the_offset_of_the_pitching():
    log = Log(pitched_at="2026-06-01T00:00+05:00", readings=(HydrometerReading(gravity=1.0, day=0.5),))
    (moment,) = pitch_date.moments(log, pitch_date.days(log))
    assert moment == datetime(2026, 6, 1, 12, tzinfo=timezone(timedelta(hours=5)))
    assert moment.utcoffset() == timedelta(hours=5)
