"""Everything that follows from a batch, for batches sensible and absurd."""

from __future__ import annotations

from collections import deque
from datetime import UTC, datetime

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, full, plain, read, with_adjustment, with_log, worked_out
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_batches import batches

from planner.document.batch import Batch, Feed, FruitLine, HoneyLine, Log, new_batch
from planner.document.edits import scaled
from planner.evaluation.headline import STAGES
from planner.evaluation.outcome import LEAST_MUST, Outcome
from planner.model import stepping
from planner.model.span import Span
from planner.timeline import course
from planner.timeline.course import LONGEST
from planner.wording.finding import Level

NOW = datetime(2026, 9, 1, 12, tzinfo=UTC)
absurd = settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def spans(value, path=""):
    """Every span in a result, with where it stands."""
    if isinstance(value, Span):
        yield path, value
    elif isinstance(value, msgspec.Struct):
        for field in msgspec.structs.fields(value):
            yield from spans(getattr(value, field.name), f"{path}.{field.name}")
    elif isinstance(value, tuple):
        for i, inner in enumerate(value):
            yield from spans(inner, f"{path}.{i}")


def parts_of(outcome: Outcome):
    """The outcome without the batch it belongs to."""
    return [getattr(outcome, name) for name in ("must", "finish", "mead")]


@absurd
@given(batches(), st.sampled_from([0, 4]))
def test_that_any_batch_a_file_can_hold_is_worked_out(batch, members):
    outcome = worked_out(batch, members, today=NOW)
    assert outcome.batch is batch
    assert outcome.headline.stage in STAGES
    assert str(outcome.headline.sentence)
    assert str(outcome.headline.next)
    for finding in outcome.findings:
        assert str(finding.text)
    if outcome.must is None or outcome.curve is None:
        assert outcome.findings  # what cannot be worked out has its reason
    for part in parts_of(outcome):
        for path, span in spans(part):
            assert np.all(np.isfinite(span)), path
            assert span.low <= span.typical <= span.high, path


@absurd
@given(batches(unknown=True))
def test_that_strange_ingredients_are_found_and_nothing_breaks(batch):
    outcome = worked_out(batch, 0)
    known = {
        "fruits": SHELF.fruits, "honeys": SHELF.honeys, "feeds": SHELF.nutrients,
    }  # fmt: skip
    strange = [
        f"recipe.{lines}.{i}"
        for lines, shelf in known.items()
        for i, line in enumerate(getattr(batch.recipe, lines))
        if line.key not in shelf
    ]
    places = {finding.place for finding in outcome.findings if finding.level is Level.ERROR}
    assert set(strange) <= places
    if strange:
        assert outcome.must is None
        assert outcome.curve is None


@settings(max_examples=15)
@given(batches())
def test_that_the_same_batch_gives_the_same_outcome(batch):
    one, two = (worked_out(batch, 4, today=NOW) for _ in range(2))
    assert one.findings == two.findings
    assert one.headline == two.headline
    assert one.must == two.must
    assert one.finish == two.finish
    assert one.log == two.log
    assert (one.curve is None) == (two.curve is None)
    if one.curve is not None:
        assert np.array_equal(one.curve.band, two.curve.band)
        assert np.array_equal(one.curve.gravity, two.curve.gravity)
        assert one.mead.before == two.mead.before


def test_that_the_order_of_calls_does_not_matter():
    first = worked_out(plain(), 50)
    worked_out(full(), 30)
    again = worked_out(plain(), 50)
    assert again.must == first.must
    assert np.array_equal(again.curve.band, first.curve.band)


def test_that_a_band_lies_in_order_around_the_typical_course():
    curve = worked_out(plain(), 200).curve
    assert np.all(np.diff(curve.band, axis=0) >= 0.0)
    assert np.all(curve.gravity >= curve.band[0] - 1e-9)
    assert np.all(curve.gravity <= curve.band[3] + 1e-9)
    assert curve.days[0] == 0.0
    assert np.all(np.diff(curve.days) > 0.0)
    assert curve.days[-1] <= LONGEST


def test_that_without_an_ensemble_nothing_has_a_spread():
    outcome = worked_out(with_adjustment(plain(), ("sugar", 0.2)), 0)
    assert not outcome.with_band
    for part in (outcome.must, outcome.finish):
        for path, span in spans(part):
            assert span.is_exact, path
    assert np.array_equal(outcome.curve.band[0], outcome.curve.gravity)


def test_that_with_an_ensemble_the_doubtful_has_a_spread():
    outcome = worked_out(plain(), 100)
    assert outcome.with_band
    for part in (outcome.must, outcome.finish):
        exact = [path for path, span in spans(part) if span.is_exact]
        assert exact == []


def test_that_the_typical_case_does_not_depend_on_the_ensemble():
    alone, among = worked_out(plain(), 0), worked_out(plain(), 200)
    for (path, one), (_, other) in zip(spans(alone.must), spans(among.must), strict=True):
        assert one.typical == pytest.approx(other.typical, rel=1e-9), path
    assert alone.finish.gravity.typical == pytest.approx(among.finish.gravity.typical, abs=1e-4)
    assert alone.finish.alcohol.typical == pytest.approx(among.finish.alcohol.typical, abs=1e-4)


def test_that_the_fall_per_day_is_the_slope_of_the_curve():
    curve = worked_out(plain()).curve
    fallen = np.trapezoid(curve.fall(curve.gravity), curve.days)
    assert fallen == pytest.approx(curve.gravity[0] - curve.gravity[-1], abs=1e-3)
    assert np.all(curve.fall(curve.gravity) >= -1e-5)


def test_that_must_and_finish_agree_with_each_other():
    outcome = worked_out(plain())
    must, finish = outcome.must, outcome.finish
    assert must.mass.typical == pytest.approx(must.volume.typical * must.gravity.typical * 998.203, rel=1e-6)
    assert sum(part.lifts.typical for part in finish.parts) == pytest.approx(finish.gravity.typical - 1.0, abs=1e-12)
    assert finish.dry_gravity.typical <= finish.gravity.typical + 1e-9
    # 16.5 to 18 g/L of sugar per % vol (Australian Wine Research Institute), in a volume that shrank by 1 to 2 %.
    used = must.sugar.typical - finish.sugar.typical
    assert 16.5 / 1.02 <= used / (100 * finish.alcohol.typical) <= 18.0
    assert finish.volume.typical < must.volume.typical
    assert len(must.juices) == len(plain().recipe.fruits)


def test_that_twice_the_batch_is_twice_the_volume_and_the_same_mead():
    one, two = worked_out(plain()), worked_out(scaled(plain(), 2.0))
    assert two.must.volume.typical == pytest.approx(2.0 * one.must.volume.typical, rel=1e-9)
    assert two.must.gravity.typical == pytest.approx(one.must.gravity.typical, rel=1e-12)
    assert two.finish.gravity.typical == pytest.approx(one.finish.gravity.typical, abs=1e-6)


def test_that_an_empty_batch_teaches():
    outcome = worked_out(new_batch())
    assert (outcome.must, outcome.finish, outcome.curve, outcome.mead) == (None, None, None, None)
    assert "Enter fruit" in str(outcome.findings[0].text)


@pytest.mark.parametrize("mass", [0.0, 1e-300, 0.9 * LEAST_MUST])
def test_that_less_than_a_gram_is_no_must(mass):
    outcome = worked_out(plain(fruits=(), honeys=(HoneyLine(key="blossom", mass=mass),), water=0.0))
    assert outcome.must is None


def test_that_water_alone_has_a_volume_but_no_course():
    outcome = worked_out(plain(fruits=(), honeys=(), water=9.982))
    assert outcome.must.volume.typical == pytest.approx(0.010, abs=1e-6)  # 998.2 kg/m3
    assert outcome.must.gravity.typical == pytest.approx(1.0, abs=1e-5)
    assert outcome.curve is None


def test_that_a_reading_at_pitching_anchors_the_course_but_not_the_plan():
    planned, real = worked_out(plain()), worked_out(with_log(plain(), read(0.0, 1.110)))
    assert real.starting_gravity == pytest.approx(1.110, abs=1e-6)
    assert real.must == planned.must
    assert real.curve.gravity[0] == pytest.approx(1.110, abs=1e-5)
    assert real.finish.alcohol.typical > planned.finish.alcohol.typical


def test_that_the_recipes_own_curve_stays_beside_a_measured_one():
    planned, real = worked_out(plain()).curve, worked_out(with_log(plain(), read(0.0, 1.110))).curve
    assert planned.planned is None
    assert real.planned[0] == pytest.approx(planned.gravity[0], abs=1e-9)
    # Read between days some hours apart, where the curve bends by less than half a point of gravity.
    assert real.planned == pytest.approx(np.interp(real.days, planned.days, planned.gravity), abs=5e-4)


def test_that_readings_that_do_not_count_anchor_nothing():
    for log in (Log(readings=(read(0.0, 1.11, excluded=True),)), Log(readings=(read(3.0, 1.11),))):
        outcome = worked_out(msgspec.structs.replace(plain(), log=log))
        assert outcome.starting_gravity is None
        assert len(outcome.log) == 1


def test_that_a_juice_in_the_recipe_is_told_line_by_line():
    batch = plain(fruits=(FruitLine(key="plum", mass=4.0), FruitLine(key="apple", mass=5.0, as_juice=True)))
    outcome = worked_out(batch, 50)
    assert len(outcome.must.juices) == 2
    assert outcome.must.juices[1].typical == pytest.approx(5.0 / 1051, rel=0.01)  # apple juice of 12 to 13 °Bx


@pytest.mark.parametrize("members", [0, 6])
def test_that_a_ferment_that_cannot_be_followed_is_a_finding(monkeypatch, members):
    monkeypatch.setattr(
        course, "_last_asked", deque(maxlen=1)
    )  # a course that was followed before is not followed again
    monkeypatch.setattr(stepping, "MOST_STEPS", 12)
    outcome = worked_out(plain(), members)
    assert outcome.curve is None
    assert outcome.findings[0].level is Level.ERROR
    assert str(outcome.findings[0].text).startswith("The ferment could not be followed beyond day ")


@pytest.mark.parametrize("share", [0.0, 5e-324, 1e-17])
@pytest.mark.parametrize("members", [0, 6])
def test_that_a_feed_due_before_any_sugar_is_used_is_given_at_once(share, members):
    batch = plain(feeds=(Feed(key="diammonium-phosphate", mass=0.004, sugar_used=share),))
    assert worked_out(batch, members).curve.feeds[0].day == pytest.approx(0.0, abs=0.5)


def test_that_the_outcome_belongs_to_its_batch():
    batch = full()
    outcome = worked_out(batch)
    assert outcome.batch is batch
    assert isinstance(outcome.batch, Batch)
    assert [row.index for row in outcome.log] == list(range(len(batch.log.readings)))
