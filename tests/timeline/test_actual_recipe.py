"""What was done stands in for what was planned."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import PITCHED, SHELF, plain, read, with_log, worked_out

from planner.document import edits
from planner.document.batch import (
    Event,
    Feed,
    RefractometerReading,
    SensorReading,
    TemperatureStep,
    WarmthReading,
    What,
)
from planner.evaluation.outcome import evaluate
from planner.model.simulate import temperature_at
from planner.timeline.actual_recipe import (
    MEASURED_HOLDS,
    SAME_WARMTH,
    as_given,
    as_measured,
    as_warmed,
    feeds_given,
    measured_warmth,
    rackings,
    replaced_feeds,
)

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


def cool(day: float, celsius: float, **fields) -> WarmthReading:
    return WarmthReading(day=day, temperature=273.15 + celsius, **fields)


def held(batch, *days: float):
    """Temperatures of the must on these days, as they count for the log's course. [°C]"""
    recipe = as_measured(batch, as_given(batch), worked_out(batch).log)
    steps = [(step.day, step.temperature - 273.15) for step in recipe.temperatures]
    return [float(temperature_at(steps, day)) for day in days]


def test_that_a_measured_temperature_counts_about_its_day_and_until_the_plan_has_another():
    steps = (TemperatureStep(day=0.0, temperature=293.15), TemperatureStep(day=20.0, temperature=291.15))
    batch = with_log(plain(temperatures=steps), cool(9.0, 14.0), cool(10.0, 14.0))
    before, on, after, later = held(batch, 2.0, 9.5, 15.0, 21.0)
    assert (before, later) == pytest.approx((20.0, 18.0))
    assert (on, after) == pytest.approx((14.0, 14.0), abs=SAME_WARMTH)


def test_that_between_two_measurements_the_way_is_straight():
    batch = with_log(
        plain(temperatures=(TemperatureStep(day=0.0, temperature=293.15),)), cool(2.0, 20.0), cool(8.0, 14.0)
    )
    # A day's piece is held at its middle: half a day of the slope of 1 °C a day, and what makes no step of its own.
    assert held(batch, 5.0) == pytest.approx([17.0], abs=0.5 + SAME_WARMTH)


def test_that_in_a_room_a_measured_warmth_passes():
    room = plain(temperatures=(TemperatureStep(day=0.0, temperature=291.15),), in_room=True)
    batch = with_log(room, cool(3.0, 23.0))
    soon, late = held(batch, 4.0, 3.0 + MEASURED_HOLDS + 1.0)
    assert (soon, late) == pytest.approx((23.0, 18.0), abs=SAME_WARMTH)


@pytest.mark.parametrize(
    ("entry", "counts"),
    [
        (cool(3.0, 14.0), True),
        (cool(3.0, 14.0, excluded=True), False),
        (WarmthReading(temperature=287.15), False),
        (cool(-2.0, 14.0), False),
        (SensorReading(day=3.0, gravity=1.080, temperature=287.15), True),
        (read(3.0, 1.080, 287.15), True),
        (read(3.0, 1.080, 293.15), False),
        (RefractometerReading(day=3.0, brix=18.0, temperature=287.15), False),
    ],
    ids=["must", "left out", "undated", "before pitching", "sensor", "sample", "sample at the stem's", "drop"],
)  # fmt: skip
def test_that_only_temperatures_of_the_must_count(entry, counts):
    batch = with_log(plain(), entry)
    assert bool(measured_warmth(worked_out(batch).log, batch.log.hydrometer.calibration)) == counts
    if not counts:
        recipe = batch.recipe
        assert as_measured(batch, recipe, worked_out(batch).log) is recipe


def test_that_the_posterior_goes_by_the_temperature_that_was_measured():
    # Yeast takes up less in the cold: in both published models uptake rises with temperature. It turns cold after the last
    # gravity: before, one that falls as fast in the cold would be the quicker yeast.
    log = [read(0.0, 1.098), read(3.0, 1.080)]
    planned = worked_out(with_log(plain(), *log), 60).posterior
    colder = worked_out(with_log(plain(), *log, cool(1.0, 19.0), cool(2.9, 19.0), cool(3.2, 13.0)), 60).posterior
    assert colder.finish_day.typical > planned.finish_day.typical
    assert (colder.met.measured, colder.met.planned) == pytest.approx((286.15, 292.15))
    assert planned.met.measured is None


def test_that_a_racking_is_told_with_what_is_not_reckoned_with():
    log = [read(0.0, 1.098), read(2.0, 1.080), read(4.0, 1.060), Event(what=What.RACKING, day=4.5), read(6.0, 1.045)]
    told = worked_out(with_log(plain(), *log), 60)
    assert rackings(told.batch) == (4.5,)
    assert any(
        "racked on day 4" in str(words) and "leaves out how much" in str(words) for words in told.verdict.evidence
    )
    before = worked_out(with_log(plain(), *log[:3]), 60)
    assert not any("racked" in str(words) for words in before.verdict.evidence)


def test_that_it_is_told_when_one_indirect_instrument_alone_speaks():
    drops = [RefractometerReading(day=float(d), brix=b) for d, b in ((0, 23.4), (3, 19.0), (5, 16.0))]
    told = worked_out(with_log(plain(), *drops), 60)
    assert told.posterior.met.by == "refractometer"
    assert any("refractometer" in str(words) for words in told.verdict.evidence)
    both = worked_out(with_log(plain(), *drops, read(5.0, 1.050)), 60)
    assert both.posterior.met.by == ""


def test_that_the_next_step_goes_by_the_temperature_that_counts():
    # The must is measured at 13 °C; the sample that was floated had been brought to 20 °C, what its stem is made for.
    log = [read(float(d), g) for d, g in ((0, 1.098), (2, 1.084), (4, 1.062), (6, 1.048), (9, 1.047), (12, 1.047))]
    told = worked_out(with_log(plain(), *log, cool(8.0, 13.0), cool(11.5, 13.0)), 60)
    assert told.posterior.met.present == pytest.approx(286.15, abs=SAME_WARMTH)
    assert str(told.verdict.steps[0]).startswith("Warm it slowly from 13 to 20 °C")
    assert any("colder than the 19 °C planned" in str(words) for words in told.verdict.evidence)


STALL = tuple((float(d), g) for d, g in ((0, 1.098), (2, 1.084), (4, 1.062), (6, 1.048), (9, 1.047), (12, 1.047)))


def stalled_at(celsius, planned=18.0):
    """A stall of which every sample was read at a temperature, planned at another."""
    recipe = plain(temperatures=(TemperatureStep(day=0.0, temperature=planned + 273.15),))
    kelvin = None if celsius is None else celsius + 273.15
    return worked_out(with_log(recipe, *(read(day, gravity, kelvin) for day, gravity in STALL)), 60)


@pytest.mark.parametrize("celsius", [19.0, 20.0, 20.5, 21.0, 22.0])
def test_that_samples_that_were_warm_enough_ask_for_no_warming(celsius):
    told = stalled_at(celsius)
    assert told.posterior.met.present == pytest.approx(celsius + 273.15, abs=SAME_WARMTH)
    assert not any("arm it slowly" in str(step) for step in told.verdict.steps)


def test_that_cold_samples_ask_for_warming_from_where_they_were():
    assert str(stalled_at(14.0).verdict.steps[0]).startswith("Warm it slowly from 14 to ")


def test_that_samples_brought_to_the_stem_do_not_hide_a_cold_plan():
    told = stalled_at(20.0, planned=12.0)
    assert told.posterior.met.told == "hidden"
    assert "Measure the must itself" in str(told.verdict.steps[0])
    assert "12 °C" not in str(told.verdict.steps[0])


def test_that_a_plan_is_not_told_as_the_temperature_of_the_must():
    told = stalled_at(None, planned=15.0)
    assert told.posterior.met.told == "planned"
    assert "if it is at the 15 °C planned. Measure the must itself" in str(told.verdict.steps[0])


def asked_about_feeds(batch):
    return [str(f.text) for f in worked_out(batch).findings if "not in the log" in str(f.text)]


def test_that_planned_feeds_that_were_never_logged_are_asked_about():
    later = (read(0.0, 1.0985), read(20.0, 1.010))
    both = edits.change_recipe(with_log(plain(), *later), feeds=PLAN)
    (asked,) = asked_about_feeds(both)
    assert asked.startswith(
        "Did you feed it? 2 planned feeds are not in the log: the first is 4 g of yeast autolysate on day 2."
    )
    one = edits.change_recipe(with_log(plain(), *later, fed(2.5)), feeds=PLAN)
    (asked,) = asked_about_feeds(one)
    assert asked.startswith("Did you feed it? 4 g of yeast autolysate, planned for day")
    all_given = edits.change_recipe(with_log(plain(), *later, fed(2.5), fed(5.0)), feeds=PLAN)
    assert asked_about_feeds(all_given) == []


def test_that_feeds_to_come_are_not_asked_about():
    batch = edits.change_recipe(with_log(plain(), read(0.0, 1.0985), read(1.0, 1.095)), feeds=PLAN)
    assert asked_about_feeds(batch) == []


def test_that_a_feed_logged_without_its_amount_is_an_answer():
    log = (read(0.0, 1.0985), fed(2.0, key=None, mass=None), fed(5.0, key=None, mass=None), read(20.0, 1.010))
    assert asked_about_feeds(edits.change_recipe(with_log(plain(), *log), feeds=PLAN)) == []


def test_that_a_stall_asks_for_feeds_that_were_never_logged():
    stuck = (read(0.0, 1.0985), read(6.0, 1.060), read(12.0, 1.060), read(18.0, 1.060))
    batch = edits.change_recipe(with_log(plain(), *stuck), feeds=PLAN)
    verdict = worked_out(batch, 60).verdict
    assert verdict.kind == "stalled"
    assert str(verdict.steps[1]).startswith("Did you feed it? 2 planned feeds are not in the log")
    given = edits.change_recipe(with_log(plain(), *stuck, fed(2.0), fed(5.0)), feeds=PLAN)
    assert not any("Did you feed it" in str(step) for step in worked_out(given, 60).verdict.steps)
