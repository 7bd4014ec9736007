"""What is worth measuring is what explains most of what comes, with the doubt of its instrument."""

from __future__ import annotations

import math

import numpy as np
import pytest
from example_batches import plain
from fermenting import logged
from hypothesis import given
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import HydrometerReading
from planner.evaluation.outcome import evaluate
from planner.evaluation.worth_measuring import LEAST, NOTHING, left_of_range
from planner.model.random_scores import scores
from planner.reference.catalogue import catalogue
from planner.wording.figures import Plain

SHELF = catalogue()


@given(st.floats(0.1, 5.0), st.floats(0.0, 5.0))
def test_that_what_is_left_is_what_a_normal_pair_leaves(signal, error):
    """Of target and measurement that share a part, the range left is known: the root of 1 - r^2."""
    shared, own = scores("worth/shared", 4000)[1:], scores("worth/own", 4000)[1:]
    target = signal * shared + own
    explained = signal**2 / (signal**2 + 1.0) / (1.0 + error**2)
    # The standard error of a correlation of 4,000 pairs is 0.016 at most.
    assert left_of_range(target, shared, error) ** 2 == pytest.approx(1.0 - explained, abs=0.05)


def test_that_an_exact_measurement_leaves_nothing_and_a_blind_one_everything():
    target = np.linspace(0.0, 1.0, 50)
    assert left_of_range(target, 3.0 * target, 0.0) == 0.0
    assert left_of_range(target, np.zeros(50), 1.0) == 1.0
    assert left_of_range(target, target, 1e9) == pytest.approx(1.0, abs=1e-6)


def test_that_before_pitching_one_measurement_is_named_with_its_gain_and_effort():
    worth = evaluate(plain(), SHELF).worth
    assert worth.target == "strength"
    assert worth.left < 1.0 - LEAST
    told = worth.words.shown(Plain())
    assert told.startswith("Measuring the gravity of the must would")
    assert "It takes a minute with a hydrometer." in told


def test_that_it_speaks_of_what_the_maker_set_a_target_for():
    asked = edits.change_wish(plain(), finish=1.005)
    assert evaluate(asked, SHELF).worth.target in ("", "finishing gravity")


def test_that_what_was_measured_is_not_asked_for_again():
    read = edits.add_readings(plain(), HydrometerReading(day=0.0, gravity=1.083, temperature=293.15))
    worth = evaluate(read, SHELF).worth
    assert "gravity of the" not in worth.what


def test_that_the_gain_named_is_the_gain_had():
    """Whose must is measured, its ensemble is narrower by about what was promised."""
    before = evaluate(plain(), SHELF)
    reading = HydrometerReading(day=0.0, gravity=round(before.must.gravity.typical, 4), temperature=293.15)
    after = evaluate(edits.add_readings(plain(), reading), SHELF)
    ratio = (after.finish.alcohol.high - after.finish.alcohol.low) / (
        before.finish.alcohol.high - before.finish.alcohol.low
    )
    # Ends of a range of 200 members are known to about a tenth of it.
    assert ratio == pytest.approx(before.worth.left, abs=0.15)


def test_that_while_it_ferments_a_further_reading_or_a_test_is_thought_of():
    worth = evaluate(logged(1.100, 1.085, 1.068, 1.055), SHELF).worth
    assert worth is not None
    assert worth.what in ("gravity once more", "the sugar left", "")
    assert worth.words == NOTHING or math.isfinite(worth.left)


def test_that_of_what_stands_still_the_verdict_speaks_alone():
    assert evaluate(logged(1.100, 1.070, 1.050, 1.041, 1.040, 1.040, every=4.0), SHELF).worth is None


def test_that_without_an_ensemble_nothing_is_told():
    assert evaluate(plain(), SHELF, 0).worth is None
