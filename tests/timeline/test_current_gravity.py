"""The gravity at the last reading is one number: in the headline, in the pane, for the alcohol, and in the report."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import plain, read, sugar_test, with_log, worked_out

from planner.document.batch import HydrometerReading, SensorReading
from planner.document.codec import decode
from planner.evaluation.log_findings import APART
from planner.reference.shipped import samples
from planner.timeline.current_gravity import present_gravity
from planner.timeline.fit_log import MOST_READINGS, observations_of

AT_REST = 1.004
"""Where the invented ferments below stand still. [-]"""


def fallen(day: float) -> float:
    """A gravity that falls evenly from 1.090 and stands still from day ten."""
    return max(1.090 - 0.0086 * day, AT_REST)


def sensor(hours: float, days: float, scatter: float = 0.0015, off: float = 0.0) -> list[SensorReading]:
    """A sensor's readings, day and night; the scatter is as wide as a float with bubbles on it is seen to have, estimate."""
    dice = np.random.default_rng(5)
    times = np.arange(hours / 24.0, days, hours / 24.0).tolist()
    wobble = (scatter * dice.standard_normal(len(times))).tolist()
    return [
        SensorReading(day=t, gravity=round(fallen(t) + off + w, 4), temperature=293.15)
        for t, w in zip(times, wobble, strict=True)
    ]


def sparse(*last: HydrometerReading) -> list[HydrometerReading]:
    return [read(day, round(fallen(day), 3)) for day in (0.0, 2.0, 4.0, 6.0, 8.0, 11.0, 13.0)] + list(last)


def headline_gravity(outcome) -> float:
    """The figure after the day in the headline."""
    return outcome.headline.sentence.figures[1].value


def of_sample(name: str):
    batch = decode((samples() / f"{name}.meadbatch").read_bytes())
    plain_adjustment = msgspec.structs.replace(batch.adjustment, gravity=None, additions=())
    return worked_out(msgspec.structs.replace(batch, adjustment=plain_adjustment), 60)


@pytest.mark.parametrize("outcome", [
    pytest.param(lambda: of_sample("damson-stopped"), id="sample at rest"),
    pytest.param(lambda: worked_out(with_log(plain(), *sparse()), 60), id="by hand"),
    pytest.param(lambda: worked_out(with_log(plain(), read(0.0, 1.090), *sensor(2.0, 14.0)), 60), id="many of a sensor"),
])  # fmt: skip
def test_that_headline_pane_and_alcohol_speak_of_one_gravity(outcome):
    found = outcome()
    assert found.mead.basis.value == "at rest"
    shown = f"{headline_gravity(found):.3f}"
    assert shown == f"{found.mead.before.gravity.typical:.3f}"
    assert shown == f"{found.so_far.gravity:.3f}"


def test_that_a_single_reading_is_told_as_it_was_read():
    found = worked_out(with_log(plain(), *sparse()), 60)
    here = present_gravity(found.posterior)
    assert here.is_read
    assert here.gravity.typical == found.log[-1].gravity
    assert here.gravity.low <= here.gravity.typical <= here.gravity.high


def test_that_of_a_sensor_that_scatters_the_headline_tells_what_its_readings_say_together():
    found = worked_out(with_log(plain(), read(0.0, 1.090), *sensor(2.0, 14.0)), 60)
    assert not present_gravity(found.posterior).is_read
    assert ": about 1.0" in str(found.headline.sentence)
    assert any("scatter" in str(words) for words in found.verdict.evidence)
    # Of so many readings the middle is nearer than one of them is sure: the invented ferment stands at AT_REST.
    assert headline_gravity(found) == pytest.approx(AT_REST, abs=0.0015)


def test_that_a_last_reading_that_cannot_be_is_told_with_what_is_likely():
    found = worked_out(with_log(plain(), *sparse(read(14.0, 1.040))), 60)
    said = str(found.headline.sentence)
    assert said.startswith("Day 14: read 1.040, but likely 1.00")
    likely = found.headline.sentence.figures[2].value
    assert found.mead.before.gravity.typical == pytest.approx(likely, abs=1e-9)
    assert found.so_far.gravity == pytest.approx(likely, abs=1e-9)


def test_that_long_after_the_last_gravity_a_sugar_test_does_not_keep_it():
    moving = [read(0.0, 1.090), read(3.0, 1.064), read(6.0, 1.038)]
    found = worked_out(with_log(plain(), *moving, sugar_test(16.0, 2.0)), 60)
    here = present_gravity(found.posterior)
    assert not here.is_fresh
    assert here.gravity.typical < 1.030
    assert found.so_far.gravity == found.log[2].gravity


def test_that_a_reading_by_hand_among_many_of_a_sensor_counts_for_itself():
    batch = with_log(plain(), *sensor(1.0, 14.0), read(13.5, 1.006))
    told = observations_of(batch, worked_out(batch).log, True)
    assert len(told) <= MOST_READINGS
    by_hand = [found for found in told if found.readings == 1]
    assert [found.place for found in by_hand] == [len(batch.log.readings) - 1]
    assert [found.day for found in told] == sorted(found.day for found in told)


def test_that_of_too_many_readings_by_hand_stretches_are_gathered_all_the_same():
    batch = with_log(plain(), *(read(n / 12.0, round(fallen(n / 12.0), 3)) for n in range(1, 160)))
    told = observations_of(batch, worked_out(batch).log, True)
    assert len(told) <= MOST_READINGS
    assert sum(found.readings for found in told) >= 150


@pytest.mark.parametrize(("off", "side"), [(-0.012, "below"), (0.012, "above")])
def test_that_a_sensor_far_from_the_hydrometer_is_told_with_how_far(off, side):
    batch = with_log(plain(), *sparse(), *sensor(2.0, 12.9, off=off))
    found = [str(f.text) for f in worked_out(batch).findings if "floating sensor lies" in str(f.text)]
    assert len(found) == 1
    assert f"12 points {side} your hydrometer" in found[0]
    assert "middle of 5 comparisons" in found[0]


@pytest.mark.parametrize(
    "readings",
    [
        pytest.param([*sparse(), *sensor(2.0, 12.9, off=0.5 * APART)], id="near"),
        pytest.param([*sparse()[:2], *sensor(2.0, 12.9, off=0.012)[40:]], id="not at one time"),
        pytest.param([read(6.0, 1.038, excluded=True), *sensor(2.0, 12.9, off=0.012)], id="left out"),
        pytest.param([*sparse(), SensorReading(day=6.0, gravity=1.010)], id="a single one"),
    ],
)
def test_that_nothing_is_said_of_a_sensor_that_agrees_or_cannot_be_compared(readings):
    findings = worked_out(with_log(plain(), *readings)).findings
    assert not any("floating sensor lies" in str(finding.text) for finding in findings)
