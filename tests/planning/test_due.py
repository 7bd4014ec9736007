"""What of a schedule is still to be done."""

from __future__ import annotations

from datetime import datetime

import pytest

from planner.document.batch import Event, FruitLine, TasteReading, What
from planner.planning.due import ORDER, still_due
from planner.planning.schedule import schedule
from tests.example_batches import PITCHED, SHELF, plain, read, sugar_test, with_log, worked_out

STEPS = (
    "thaw", "enzyme", "soak", "press", "pitch", "stir", "third", "off-fruit", "restart", "rest", "sugar-test", "racking",
    "tasting", "dose", "bottle", "open", "honey", "temperature", "stabilise", "pasteurise",
)  # fmt: skip
"""Kinds of tasks, beside "feed" and "step-feed"; part of the identity that a calendar keeps, so that none is ever renamed."""

NOW = datetime.fromisoformat("2026-12-01T12:00+01:00")
FERMENTED = (read(0.0, 1.098), read(8.0, 1.030), read(20.0, 0.998), read(30.0, 0.998))


def due(*log, today=NOW, **recipe):
    batch = with_log(plain(**recipe), *log, pitched_at=PITCHED)
    return [task.key for task in still_due(schedule(worked_out(batch), SHELF, today))]


def test_that_of_a_batch_that_is_only_planned_the_first_step_comes_next():
    plan = schedule(worked_out(plain()), SHELF)
    assert still_due(plan)[0] == plan.tasks[0]
    assert set(still_due(plan)) == set(plan.tasks)


def test_that_every_step_of_the_schedule_has_its_place():
    placed = {key for keys in ORDER for key in keys} | {"sugar-test"}
    assert {key for key in STEPS if key != "tasting"} <= placed


def test_that_once_pitched_nothing_that_comes_before_is_due():
    assert not {"thaw", "enzyme", "soak", "press", "honey", "pitch"} & set(due(read(0.0, 1.098)))


def test_that_a_feed_that_was_not_logged_is_due_until_the_ferment_has_come_past_it():
    assert due(read(0.0, 1.098))[0] == "feed-0"
    assert "feed-0" not in due(*FERMENTED)


def test_that_a_sugar_test_is_due_until_it_was_made_whatever_was_done_since():
    racked = Event(day=40.0, what=What.RACKING)
    assert due(*FERMENTED, racked)[0] == "sugar-test"
    assert due(*FERMENTED, racked, sugar_test(41.0, 1.0))[0] == "racking-1"


def test_that_a_tasting_out_of_turn_overtakes_no_step_of_the_cellar():
    log = (*FERMENTED, sugar_test(31.0, 1.0), *(Event(day=day, what=What.RACKING) for day in (40.0, 80.0)))
    tasted = TasteReading(day=200.0, note="thin")
    assert due(*log, tasted)[:2] == ["dose", "bottle"]


def test_that_a_stall_found_after_a_racking_comes_first_and_a_check_after_it():
    log = (read(0.0, 1.098), read(8.0, 1.050), read(16.0, 1.030), read(30.0, 1.030), Event(day=31.0, what=What.RACKING))
    batch = with_log(plain(), *log, read(45.0, 1.030), sugar_test(45.0, 60.0), pitched_at=PITCHED)
    plan = schedule(worked_out(batch, 50), SHELF, NOW)
    assert still_due(plan)[0].key == "restart"
    days = {task.key: task.day for task in plan.tasks}
    assert days["rest"] >= days["restart"] + 7.0


def test_that_of_what_is_bottled_only_opening_is_due():
    assert due(*FERMENTED, Event(day=100.0, what=What.BOTTLED, bottles=20, size=0.75e-3)) == ["tasting-1", "open"]


@pytest.mark.parametrize(("today", "is_due"), [("2026-08-20T12:00+02:00", True), ("2026-12-01T12:00+01:00", False)])
def test_that_a_temperature_which_no_log_tells_of_is_over_with_its_day(today, is_due):
    from planner.document.batch import TemperatureStep

    steps = (TemperatureStep(day=0.0, temperature=291.15), TemperatureStep(day=14.0, temperature=292.15))
    found = due(read(0.0, 1.098), temperatures=steps, today=datetime.fromisoformat(today))
    assert ("temperature-1" in found) is is_due


def test_that_nothing_is_due_where_nothing_can_ferment():
    assert due(fruits=(FruitLine(key="blackcurrant", mass=0.0),), honeys=()) == []
