"""What was done stands in for what was planned."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import PITCHED, SHELF, plain, with_log, worked_out

from planner.batch import edits
from planner.batch.batch import Event, Feed, TemperatureStep, What
from planner.batch.ferment.given import as_given, as_warmed, feeds_given, replaced_feeds
from planner.batch.outcome import evaluate

PLAN = (
    Feed(key="yeast-autolysate", mass=0.004, day=2.0),
    Feed(key="yeast-autolysate", mass=0.004, sugar_used=1 / 3),
)


def batch_with(*events: Event):
    batch = with_log(plain(), *events, pitched_at=PITCHED)
    return edits.change_recipe(batch, feeds=PLAN)


def fed(day: float | None, key: str | None = "yeast-autolysate", mass: float | None = 0.003, **fields) -> Event:
    return Event(what=What.FEED, day=day, key=key, mass=mass, **fields)


def test_that_without_a_log_the_plan_is_what_counts():
    batch = batch_with()
    assert as_given(batch) is batch.recipe


def test_that_feeds_given_take_the_places_of_planned_ones_in_order():
    batch = batch_with(fed(7.0), fed(3.0))
    assert replaced_feeds(batch) == {1: 0, 0: 1}
    first, second = as_given(batch).feeds
    assert (first.day, first.mass) == (3.0, 0.003)
    assert (second.day, second.sugar_used) == (7.0, None)


def test_that_a_feed_beyond_the_plan_is_added():
    batch = batch_with(fed(1.0), fed(2.0), fed(3.0), fed(4.0, key="diammonium-phosphate"))
    assert [feed.day for feed in as_given(batch).feeds] == [1.0, 2.0, 3.0, 4.0]
    outcome = evaluate(batch, SHELF, 0)
    assert len(outcome.curve.feeds) == 2  # those of the recipe, so that their places can be looked up there


@pytest.mark.parametrize(
    "event", [fed(2.0, excluded=True), fed(None), fed(2.0, key=None), fed(2.0, mass=None)],
    ids=["left out", "undated", "of what", "how much"],
)  # fmt: skip
def test_that_what_cannot_be_reckoned_with_replaces_nothing(event):
    batch = batch_with(event)
    assert feeds_given(batch) == ()
    assert as_given(batch) is batch.recipe


def test_that_the_curve_follows_the_feeds_that_were_given():
    early = evaluate(batch_with(fed(1.0), fed(2.0)), SHELF, 0)
    late = evaluate(batch_with(fed(9.0), fed(14.0)), SHELF, 0)
    assert [moment.day for moment in early.curve.feeds] == [1.0, 2.0]
    assert [moment.day for moment in late.curve.feeds] == [9.0, 14.0]
    # Nitrogen given early is used to grow, given late hardly (common practice; kinetics).
    assert float(np.interp(14.0, early.curve.days, early.curve.gravity)) < float(
        np.interp(14.0, late.curve.days, late.curve.gravity)
    )


def test_that_a_temperature_that_was_set_holds_from_its_day():
    batch = batch_with(Event(what=What.TEMPERATURE, day=5.0, temperature=284.15))
    curve = worked_out(batch).curve
    assert curve.temperature[curve.days < 4.9].min() > 284.2
    assert curve.temperature[(curve.days > 5.1) & (curve.days < 6.0)] == pytest.approx(284.15)


def test_that_a_must_that_warms_itself_is_followed_in_steps():
    days = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    warmth = 291.15 + np.array([0.0, 0.1, 1.0, 2.0, 1.9])
    room = plain(temperatures=(TemperatureStep(day=0.0, temperature=291.15),), in_room=True).recipe
    held = as_warmed(room, days, warmth)
    assert not held.in_room
    assert [(step.day, round(step.temperature - 291.15, 6)) for step in held.temperatures] == [
        (0.0, 0.0),
        (2.0, 1.0),
        (3.0, 2.0),
    ]
    kept = plain().recipe
    assert as_warmed(kept, days, warmth) is kept
