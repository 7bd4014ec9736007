"""How a batch of the cellar stands, and the calendar of all of them."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
import vobject
from hypothesis import given, settings

from planner.cellar.arranging import due_at
from planner.cellar.due_calendar import due_calendar
from planner.cellar.row import Row
from planner.cellar.status import POINTS, batch_status
from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.planning.calendar_file import Dated, NoDate, calendar, calendar_of
from planner.planning.schedule import schedule
from planner.reference.shipped import samples
from tests.example_batches import PITCHED, SHELF, plain, read, with_log
from tests.random_batches import batches

NOW = datetime.fromisoformat("2026-12-01T12:00+01:00")
SAMPLES = sorted(samples().glob("*.meadbatch"))


def row(name, batch, members=0, identity=""):
    return Row(
        Path(name),
        (0, 0, 0),
        batch.name,
        identity or name,
        stage="plan",
        status=batch_status(batch, SHELF, members, NOW),
    )


def events(data: bytes):
    """By identifier, as read by a library that did not write them."""
    return {str(event.uid.value): event for event in vobject.readOne(data.decode()).vevent_list}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_that_the_list_says_of_a_sample_what_the_window_says(path):
    batch = decode(path.read_bytes())
    found, outcome = batch_status(batch, SHELF, 40, NOW), evaluate(batch, SHELF, 40, NOW)
    assert (found.stage, found.sentence, found.next) == (
        outcome.headline.stage,
        outcome.headline.sentence,
        outcome.headline.next,
    )
    assert found.strength == outcome.mead.after.alcohol
    assert found.sweetness == outcome.mead.after.sweetness
    assert set(found.doubts) <= set(outcome.findings)
    assert found.due in schedule(outcome, SHELF, NOW).tasks


def test_that_a_small_curve_keeps_its_ends_and_not_more_points_than_can_be_told_apart():
    log = [read(day / 10.0, 1.098 - day * 1e-4) for day in range(300)]
    batch = with_log(plain(), *log, pitched_at=PITCHED)
    sketch, curve = batch_status(batch, SHELF, 0, NOW).sketch, evaluate(batch, SHELF, 0, NOW).curve
    assert len(sketch.expected[0]) <= POINTS
    assert len(sketch.read[0]) <= POINTS
    single = np.float32  # as they are kept
    assert [sketch.expected[0][0], sketch.expected[0][-1]] == [single(curve.days[0]), single(curve.days[-1])]
    assert [sketch.expected[1][0], sketch.expected[1][-1]] == [single(curve.gravity[0]), single(curve.gravity[-1])]
    assert [sketch.read[0][0], sketch.read[0][-1]] == [0.0, single(29.9)]


def test_that_a_reading_left_out_is_not_drawn():
    batch = with_log(plain(), read(0.0, 1.098), read(3.0, 1.2, excluded=True), pitched_at=PITCHED)
    assert list(batch_status(batch, SHELF, 0, NOW).sketch.read[0]) == [0.0]


def test_that_what_cannot_ferment_stands_as_a_plan_without_figures():
    found = batch_status(plain(fruits=(), honeys=(), water=1.0), SHELF, 0, NOW)
    assert found.stage == "plan"
    assert found.due is None
    assert found.sketch is None


@settings(deadline=None, max_examples=40)
@given(batches(unknown=True))
def test_that_nothing_that_a_file_can_hold_stops_the_list(batch):
    due_at(row("a", batch))


def test_that_one_calendar_holds_all_that_is_due_and_the_same_entries_each_time():
    planned = plain(pitch_planned="2027-09-05T18:00+02:00")
    working = with_log(plain(), read(0.0, 1.098), pitched_at="2026-11-20T12:00+01:00")
    some = (row("a", planned), row("b", working), row("c", plain()))
    found = events(due_calendar(some, NOW))
    parts = [events(calendar_of([Dated(one.identity, one.name, one.status.plan)], "x", NOW)) for one in some[:2]]
    assert set(found) == set(parts[0]) | set(parts[1])
    assert len(found) == len(parts[0]) + len(parts[1])
    assert set(events(due_calendar(some, datetime.fromisoformat("2026-12-03T12:00+01:00")))) == set(found)


def test_that_what_a_later_step_has_overtaken_is_in_no_calendar_of_the_cellar():
    log = (read(0.0, 1.098), read(8.0, 1.030), read(20.0, 0.998), read(30.0, 0.998))
    batch = with_log(plain(), *log, pitched_at="2026-10-20T12:00+02:00")
    alone = events(calendar(batch, schedule(evaluate(batch, SHELF, 0, NOW), SHELF, NOW), NOW))
    titles = [event.summary.value for event in events(due_calendar([row("a", batch)], NOW)).values()]
    assert any("Feed" in event.summary.value for event in alone.values())
    assert not any("Feed" in title for title in titles)
    assert any("residual sugar" in title for title in titles)


def test_that_where_nothing_has_a_date_there_is_no_calendar():
    with pytest.raises(NoDate):
        due_calendar([row("a", plain()), row("b", plain(fruits=(), honeys=(), water=1.0))], NOW)
