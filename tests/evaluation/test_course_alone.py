"""The course alone, which moves with the hand, is that of the whole answer, whatever the length of the log."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF

from planner.document import edits
from planner.document.batch import Event, HydrometerReading
from planner.document.codec import decode
from planner.evaluation.carried_out import LONG_LOG, shortened
from planner.evaluation.outcome import evaluate
from planner.reference.shipped import samples

BATCHES = [decode(path.read_bytes()) for path in sorted(samples().glob("*.meadbatch"))]


def with_sensor(batch, count):
    """The batch with so many more readings, every half hour from the pitching on."""
    days = np.arange(count) / 48.0
    readings = [
        HydrometerReading(day=day, gravity=round(1.09 - 0.08 * day / float(days[-1]), 4), temperature=293.15)
        for day in days.tolist()
    ]
    return edits.add_readings(batch, *readings)


@pytest.mark.parametrize("batch", BATCHES, ids=lambda batch: batch.name)
@pytest.mark.parametrize("more", [0, LONG_LOG], ids=["as it is", "with a sensor"])
def test_that_the_course_alone_is_that_of_the_whole_answer(batch, more):
    batch = with_sensor(batch, more) if more else batch
    whole, alone = evaluate(batch, SHELF, 0), evaluate(batch, SHELF, 0, to_tell=False)
    # The sums of a long log round otherwise in the last digit, as the processor groups them.
    np.testing.assert_allclose(alone.curve.gravity, whole.curve.gravity, rtol=1e-12)
    np.testing.assert_allclose(alone.curve.days, whole.curve.days, rtol=1e-12)
    for part in ("gravity", "alcohol", "volume", "day"):
        assert getattr(alone.finish, part) == pytest.approx(getattr(whole.finish, part), rel=1e-9)
    assert alone.must.gravity == pytest.approx(whole.must.gravity, rel=1e-9)
    assert alone.starting_gravity == (whole.starting_gravity and pytest.approx(whole.starting_gravity, rel=1e-9))
    assert alone.headline.stage == whole.headline.stage
    assert tuple(alone.log) == (() if more else tuple(whole.log))
    assert not alone.findings


def test_that_a_short_log_is_read_whole_and_of_a_long_one_what_the_course_depends_on():
    assert all(shortened(batch.log) is batch.log for batch in BATCHES)
    fermenting = next(batch for batch in BATCHES if any(isinstance(one, Event) for one in batch.log.readings))
    long = with_sensor(fermenting, 3 * LONG_LOG)
    few = shortened(long.log)
    assert len(few.readings) < LONG_LOG
    of_events, kept = ([one for one in log.readings if isinstance(one, Event)] for log in (long.log, few))
    assert of_events == kept
    assert of_events
    assert few.readings[-1].day == long.log.readings[-1].day
