"""What is kept of earlier answers makes the next one sooner and no other."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import SHELF
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import HydrometerReading, SugarReading
from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.model.liquid import Liquid
from planner.model.numerics import alike
from planner.reference.shipped import samples
from planner.timeline import course, posterior

MEMBERS = 20
SAMPLE = decode((samples() / "blackcurrant-half-way.meadbatch").read_bytes())
PLAN = edits.change_log(SAMPLE, readings=())


def begin_anew() -> None:
    """Nothing is known of any answer before."""
    posterior._last_weighed = None
    course._last_asked.clear()


def with_readings(falls, tests=()):
    """The batch read every day, each time fallen by so much."""
    level, readings = 1.095, []
    for day, fall in enumerate(falls):
        level -= fall
        readings.append(HydrometerReading(day=float(day), gravity=round(level, 4), temperature=293.15))
        if day in tests:
            readings.append(SugarReading(day=float(day), sugar=40.0))
    return edits.change_log(PLAN, readings=tuple(readings))


def figures(outcome):
    """All numbers of what the log makes of it, and of the course."""
    return outcome.posterior, outcome.curve, outcome.verdict, outcome.headline


def near(one, other) -> bool:
    """Whether two values are the same but for the last digit, which depends on how the processor groups sums."""
    if isinstance(one, np.ndarray | float):
        return np.allclose(one, other, rtol=1e-9, atol=1e-12, equal_nan=True)
    if isinstance(one, msgspec.Struct):
        return all(near(getattr(one, name), getattr(other, name)) for name in one.__struct_fields__ if name[0] != "_")
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(map(near, one, other))
    return one == other


def same(batch):
    """The answer after others, which is compared with that from the beginning."""
    after = evaluate(batch, SHELF, MEMBERS)
    kept = posterior._last_weighed, list(course._last_asked)
    begin_anew()
    assert near(figures(after), figures(evaluate(batch, SHELF, MEMBERS)))
    posterior._last_weighed = kept[0]
    course._last_asked.extend(kept[1])
    return after


FALLS = st.lists(st.floats(0.0, 0.012), min_size=18, max_size=22)


@given(FALLS, st.integers(0, 21), st.floats(-0.02, 0.02), st.booleans())
@settings(max_examples=8, deadline=None)
def test_that_an_answer_that_goes_on_is_the_answer_from_the_beginning(falls, place, change, tested):
    begin_anew()
    tests = (len(falls) // 2,) if tested else ()
    for length in (len(falls) - 2, len(falls) - 1, len(falls)):
        same(with_readings(falls[:length], tests))
    changed = with_readings(falls, tests)
    place = min(place, len(changed.log.readings) - 1)
    reading = changed.log.readings[place]
    if isinstance(reading, HydrometerReading):
        changed = edits.change_reading(changed, place, gravity=reading.gravity + change)
    same(changed)
    same(edits.remove_readings(changed, {place}))
    same(edits.change_line(changed, "honeys", 0, mass=changed.recipe.honeys[0].mass + 0.3))


def test_that_another_reading_goes_on_from_the_last_one(monkeypatch):
    begin_anew()
    led = []
    update = posterior.ParticleFilter.update
    monkeypatch.setattr(
        posterior.ParticleFilter, "update", lambda self, *given: led.append(given[0].day) or update(self, *given)
    )
    evaluate(with_readings([0.004] * 20), SHELF, MEMBERS)
    assert len(led) > 15
    led.clear()
    evaluate(with_readings([0.004] * 21), SHELF, MEMBERS)
    assert led == [20.0]


def test_that_a_course_is_worked_out_once_for_readings_within_it(monkeypatch):
    begin_anew()
    asked = []
    work = course._expected
    monkeypatch.setattr(course, "_expected", lambda *given: asked.append(given) or work(*given))
    evaluate(with_readings([0.004] * 3), SHELF, MEMBERS)
    begun = len(asked)
    ahead = evaluate(with_readings([0.004] * 4), SHELF, MEMBERS)
    assert len(asked) == begun
    late = edits.add_readings(with_readings([0.004] * 4), HydrometerReading(day=90.0, gravity=1.0, temperature=293.15))
    assert evaluate(late, SHELF, MEMBERS).curve.days[-1] > ahead.curve.days[-1]


@pytest.mark.parametrize(
    ("one", "other", "told"),
    [
        (np.array([1.0, 2.0]), np.array([1.0, 2.0]), True),
        (np.array([1.0, 2.0]), np.array([1.0, 2.5]), False),
        (np.array([1.0]), 1.0, False),
        ((np.zeros(2), [1, "a"]), (np.zeros(2), [1, "a"]), True),
        ((1, 2), (1, 2, 3), False),
        (Liquid.of(water=1.0), Liquid.of(water=1.0), True),
        (Liquid.of(water=1.0), Liquid.of(water=1.1), False),
        (SAMPLE, SAMPLE, True),
        (SAMPLE, msgspec.structs.replace(SAMPLE, name="another"), False),
    ],
)
def test_that_values_are_alike_to_the_last_digit(one, other, told):
    assert alike(one, other) is told
