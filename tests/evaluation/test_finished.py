"""“Finished” is said of what was read to rest, or tested; never while gravity may still be falling."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.planning.schedule import schedule
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.timeline.verdict_rule import FINISHED, TEST

MEMBERS = 60
FALLING = ((0.0, 1.090), (2.0, 1.075), (5.0, 1.045), (8.0, 1.022), (12.0, 1.007), (18.0, 1.000))


def told(*readings):
    log = [read(day, gravity) for day, gravity in FALLING]
    return worked_out(with_log(plain(), *log, *readings), MEMBERS)


def says_finished(outcome) -> bool:
    rest = next(task for task in schedule(outcome, SHELF).tasks if task.key == "rest")
    said = "Finished." in str(outcome.headline.sentence)
    assert said == (outcome.verdict.kind == FINISHED)
    assert said == ("\nFinished." in as_text(as_data(outcome, SHELF)) or said)
    return said or rest.done


def test_that_two_points_in_four_days_are_not_finished_and_the_cost_in_days_is_told():
    outcome = told(read(22.0, 0.998))
    assert not says_finished(outcome)
    assert outcome.verdict.kind == TEST
    texts = [str(words) for words in (*outcome.verdict.evidence, *outcome.verdict.steps)]
    # 1.000 was read on day 18: seven days later the same two points must not have become more.
    assert "Or read again on day 25. If it then shows 0.998 or more, it has most likely finished." in texts
    assert any("“Finished” needs 7 days" in text for text in texts)


@pytest.mark.parametrize(("gravity", "finished"), [(0.998, True), (0.997, False), (0.995, False), (0.993, False)])
def test_that_what_was_foretold_for_the_seventh_day_holds(gravity, finished):
    assert says_finished(told(read(22.0, 0.998), read(25.0, gravity))) == finished


def test_that_finished_is_taken_back_when_gravity_falls_again():
    assert says_finished(told(read(25.0, 0.999)))
    assert not says_finished(told(read(25.0, 0.999), read(29.0, 0.994)))
    assert not says_finished(told(read(25.0, 0.999), read(29.0, 0.994), read(30.0, 0.994)))


def test_that_what_one_reading_scatters_does_not_take_finished_back_and_a_second_one_does():
    # Two readings by eye differ by up to three points (observations.BY_EYE, with its line, three sigma) though nothing fell.
    assert says_finished(told(read(25.0, 0.999), read(32.0, 0.996)))
    assert not says_finished(told(read(25.0, 0.999), read(32.0, 0.996), read(33.0, 0.996)))


def test_that_a_sugar_test_spares_the_wait():
    assert told(read(22.0, 0.998), sugar_test(22.0, 0.5)).verdict.kind == FINISHED


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 6), st.integers(0, 3)), min_size=1, max_size=4))
def test_that_without_a_test_nothing_that_fell_by_more_than_two_points_within_seven_days_is_called_finished(steps):
    day, points, log = 18, 1000, list(FALLING)
    for days, fall in steps:
        day, points = day + days, points - fall
        log.append((float(day), points / 1000.0))
    readings = [read(*one) for one in log]
    since = next(round(1000 * gravity) for when, gravity in reversed(log) if day - when >= 7)
    if since - points > 2 and says_finished(worked_out(with_log(plain(), *readings), MEMBERS)):
        assert since - points == 3  # it was called so before, and one reading may scatter
        assert says_finished(worked_out(with_log(plain(), *readings[:-1]), MEMBERS))
