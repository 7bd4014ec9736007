"""The schedule beside the log: what is past and not recorded, what the log shows as done, and whose forecast counts."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import msgspec
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out

from planner.document.batch import Event, Feed, TasteReading, Tasting, What
from planner.document.codec import decode
from planner.document.edits import add_readings
from planner.planning.log_step import entry_of, hindrance
from planner.planning.schedule import schedule

PITCHED = "2026-03-01T12:00+01:00"
TODAY = datetime.fromisoformat("2026-03-11T12:00+01:00")
FOOD = (Feed(key="blend", mass=0.006, day=1.0), Feed(key="blend", mass=0.005, day=3.0), Feed(key="yeast-autolysate", mass=0.004, day=2.0))  # fmt: skip
MOVING = (read(0.0, 1.098), read(4.0, 1.075), read(7.0, 1.048), read(9.0, 1.035))


def of(batch, members=20, today=TODAY):
    plan = schedule(worked_out(batch, members, today=today), SHELF, today)
    return plan, {task.key: task for task in plan.tasks}


def pitched(*log, **recipe):
    return with_log(plain(**({"feeds": FOOD} | recipe)), *log, pitched_at=PITCHED)


def ticked(batch, key, at="2026-03-02T18:00+01:00", today=TODAY):
    plan, tasks = of(batch, today=today)
    assert hindrance(plan, tasks[key], batch) is None
    return add_readings(batch, entry_of(tasks[key], batch, at))


def test_that_what_is_past_and_not_recorded_is_known_as_such():
    plan, tasks = of(pitched(*MOVING))
    past = {task.key for task in plan.tasks if plan.is_past(task)}
    assert past == {"stir", "feed-0", "feed-1", "feed-2"}
    assert tasks["third"].done  # the gravity was read
    assert tasks["pitch"].done


def test_that_nothing_is_past_of_which_no_day_is_known():
    plan = schedule(worked_out(plain()), SHELF, TODAY)
    assert not any(plan.is_past(task) for task in plan.tasks)
    no_day = schedule(worked_out(pitched(*MOVING)), SHELF)
    assert not any(no_day.is_past(task) for task in no_day.tasks)


def test_that_a_task_is_not_past_on_its_own_day_nor_while_it_may_still_fall_due():
    plan, _ = of(pitched(*MOVING), today=datetime.fromisoformat("2026-03-02T23:00+01:00"))
    assert "feed-0" not in {task.key for task in plan.tasks if plan.is_past(task)}
    plan, tasks = of(pitched(*MOVING), members=60, today=datetime.fromisoformat("2026-03-20T12:00+01:00"))
    assert tasks["rest"].late > 19.0
    assert not plan.is_past(tasks["rest"])


@pytest.mark.parametrize("key", ["feed-0", "feed-2", "stir", "racking-0"])
def test_that_a_tick_is_an_entry_of_the_log_that_makes_the_task_done(key):
    batch = pitched(*MOVING)
    after = ticked(batch, key)
    assert len(after.log.readings) == len(batch.log.readings) + 1
    _, tasks = of(after)
    assert tasks[key].done
    if key != "stir":  # which goes on for days
        assert tasks[key].day == pytest.approx(1.25)


def test_that_a_ticked_feed_says_how_much_of_what():
    entry = ticked(pitched(*MOVING), "feed-0").log.readings[-1]
    assert (entry.what, entry.key, entry.mass) == (What.FEED, "blend", 0.006)


def test_that_of_like_tasks_the_first_comes_first():
    batch = pitched(*MOVING)
    plan, tasks = of(batch)
    assert "before it" in str(hindrance(plan, tasks["feed-1"], batch))
    assert "before it" in str(hindrance(plan, tasks["racking-1"], batch))
    after = ticked(batch, "feed-0")
    plan, tasks = of(after)
    assert hindrance(plan, tasks["feed-1"], after) is None
    assert not tasks["feed-1"].done


def test_that_a_tick_needs_a_day_of_pitching_and_something_to_log():
    bare = plain(feeds=FOOD)
    plan, tasks = of(bare)
    assert "pitched" in str(hindrance(plan, tasks["feed-0"], bare))
    batch = pitched(*MOVING)
    plan, tasks = of(batch)
    for key in ("bottle", "sugar-test", "dose", "rest"):
        assert "nothing to tick here" in str(hindrance(plan, tasks[key], batch))
        assert entry_of(tasks[key], batch, PITCHED) is None
    assert "The log says that this is done" in str(hindrance(plan, tasks["third"], batch))


def test_that_feeds_count_by_what_was_fed_and_those_without_a_name_by_their_order():
    named = pitched(*MOVING, Event(day=2.2, what=What.FEED, key="yeast-autolysate", mass=0.004))
    assert [key for key, task in of(named)[1].items() if key.startswith("feed") and task.done] == ["feed-2"]
    bare = pitched(*MOVING, Event(day=1.1, what=What.FEED))
    assert [key for key, task in of(bare)[1].items() if key.startswith("feed") and task.done] == ["feed-0"]


def test_that_stirring_is_counted_and_done_once_a_third_is_used():
    early = pitched(read(0.0, 1.098), Event(day=1.0, what=What.STIRRING))
    assert not of(early)[1]["stir"].done
    twice = pitched(*MOVING, Event(day=1.0, what=What.STIRRING), Event(day=2.0, what=What.STIRRING))
    stir = of(twice)[1]["stir"]
    assert stir.done
    assert "The log says that it was stirred 2 times." in str(stir.text)


def test_that_a_tasting_is_done_by_the_log_or_a_note_of_it():
    log = (*MOVING[:1], read(20.0, 1.002), read(26.0, 1.002), Event(day=30.0, what=What.RACKING), Event(day=72.0, what=What.RACKING))  # fmt: skip
    batch = pitched(*log)
    assert not of(batch)[1]["tasting-0"].done
    by_log = of(pitched(*log, TasteReading(day=80.0, note="sharp")))[1]["tasting-0"]
    assert by_log.done
    assert by_log.day == 80.0
    by_note = msgspec.structs.replace(batch, tastings=(Tasting(note="sharp", at="2026-05-20T12:00+01:00"),))
    assert of(by_note)[1]["tasting-0"].day == pytest.approx(80.0)


def test_that_the_rest_is_where_the_log_forecasts_it():
    outcome = worked_out(pitched(*MOVING), 60)
    rest = next(task for task in schedule(outcome, SHELF).tasks if task.key == "rest")
    forecast = outcome.posterior.finish_day
    assert (rest.early, rest.day, rest.late) == tuple(forecast)
    assert f"{outcome.posterior.finish_gravity.typical:.3f}" in str(rest.text)


def test_that_a_stall_takes_the_place_of_the_rest_and_says_what_to_do_today():
    damson = decode((Path(__file__).parents[2] / "samples" / "damson-stopped.meadbatch").read_bytes())
    today = datetime.fromisoformat("2026-11-25T12:00+01:00")
    outcome = worked_out(damson, 200, today=today)
    plan = schedule(outcome, SHELF, today)
    tasks = {task.key: task for task in plan.tasks}
    assert tasks["restart"].text == outcome.verdict.steps[0]
    assert plan.moment(tasks["restart"].day) == today
    assert not plan.is_past(tasks["restart"])
    assert "if it gets going again" in str(tasks["rest"].title)
    assert tasks["rest"].early >= tasks["restart"].day
    assert "Check that it has stopped" not in [str(task.title) for task in plan.tasks]
    gravity = outcome.posterior.finish_gravity.typical
    if outcome.posterior.finish_day.typical > tasks["restart"].day + 4.0:
        assert f"{gravity:.3f} is expected" in str(tasks["rest"].text)


def test_that_a_rest_that_was_read_is_told_as_one():
    done = of(pitched(read(0.0, 1.098), read(20.0, 1.002), read(27.0, 1.002), sugar_test(27.0, 1.0)), 60)[1]["rest"]
    assert done.done
    assert str(done.title) == "It has stopped"
