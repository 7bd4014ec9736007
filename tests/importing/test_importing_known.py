"""What is in the log already: gravities looked up all at once are the same ones as when each is compared with each."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import HydrometerReading, Log, SensorReading, SugarReading, new_batch
from planner.document.columnar_log import Entries, Run
from planner.document.timestamps import SECONDS_PER_DAY, parsed
from planner.importing import duplicates
from planner.importing.duplicates import SAME_GRAVITY, SAME_TIME, known_places

START = datetime(2026, 3, 28, 22, 50, tzinfo=UTC)
SECONDS = [0, 20, 40, 59, 60, 61, 119, 120, 121, 300, 3000]


def at(seconds: float, hours: int = 0) -> str:
    return (START + timedelta(seconds=seconds)).astimezone(timezone(timedelta(hours=hours))).isoformat()


moments = st.builds(lambda s, hours: {"at": at(s, hours)}, st.sampled_from(SECONDS), st.sampled_from([0, 2]))
days = st.sampled_from(SECONDS).map(lambda s: {"day": s / SECONDS_PER_DAY})
both = st.sampled_from(SECONDS).map(lambda s: {"at": at(s), "day": s / SECONDS_PER_DAY})
whens = st.one_of(moments, moments, days, days, st.just({}))
gravities = st.sampled_from([1.05, 1.05 + 0.9 * SAME_GRAVITY, 1.05 + 1.1 * SAME_GRAVITY, 1.06])


def entries(when):
    return st.one_of(
        st.builds(lambda w, g: HydrometerReading(gravity=g, **w), when, gravities),
        st.builds(lambda w, g: SensorReading(gravity=g, **w), when, gravities),
        st.builds(lambda w, s: SugarReading(sugar=s, **w), when, st.sampled_from([5.0, 5.01, 6.0])),
    )


def with_log(readings, pitched_at):
    return msgspec.structs.replace(new_batch(), log=Log(readings=readings, pitched_at=pitched_at))


@pytest.mark.parametrize("pitched_at", [None, START.isoformat()])
@pytest.mark.parametrize("when", [whens, st.one_of(whens, both)], ids=["one clock", "some on both"])
@given(data=st.data())
def test_that_all_at_once_finds_what_one_by_one_finds(data, when, pitched_at):
    log, found = (data.draw(st.lists(entries(when), max_size=8)) for _ in range(2))
    found += log[: data.draw(st.integers(0, len(log)))]
    pitched = parsed(pitched_at) if pitched_at else None
    expected = duplicates._one_by_one(enumerate(found), enumerate(log), pitched)
    assert known_places(Entries(tuple(found)), with_log(log, pitched_at)) == sorted(expected)


def season(step: float, count: int = 400) -> Run:
    return Run(
        SensorReading(gravity=1.0),
        {"gravity": np.linspace(1.09, 1.0, count), "day": np.arange(count) * step / SECONDS_PER_DAY},
    )


@pytest.mark.parametrize("step", [SAME_TIME / 2.0, SAME_TIME, 600.0])
def test_that_a_file_that_grew_brings_only_what_is_new(step):
    whole = Entries(season(step))
    assert known_places(whole, with_log(whole[:300], None)) == list(range(300))


def test_that_readings_far_from_each_other_are_not_compared_one_by_one(monkeypatch):
    monkeypatch.setattr(duplicates, "_one_by_one", None)  # to call it would fail
    whole = Entries(season(600.0))
    assert known_places(whole, with_log(whole[100:], None)) == list(range(100, 400))
