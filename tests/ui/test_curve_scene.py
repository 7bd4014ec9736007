"""What of an outcome is drawn."""

from __future__ import annotations

import fermenting
import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from planner.document.codec import decode
from planner.document.edits import change_reading
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.timeline.current_gravity import present_gravity
from planner.ui.curve.plot_data import (
    Points,
    Scene,
    falls,
    scene_of,
    stopped_days,
    summary,
    thinned,
    until_whole,
)
from planner.ui.display import Display
from planner.ui.widgets.remarks import in_words


def test_that_a_stall_is_marked_from_when_the_yeast_probably_ceased_to_the_last_reading():
    first, last = stopped_days(fermenting.outcome(fermenting.stopped()))
    # The readings of days 12, 16 and 20 agree within a line; on day 8 it still fell (fermenting.stopped).
    assert 8.0 < first <= 12.0
    assert last == 20.0


def test_that_a_moving_ferment_is_not_marked():
    assert stopped_days(fermenting.outcome(fermenting.logged(1.100, 1.080, 1.060))) is None


def test_that_a_rest_is_marked_as_the_verdict_calls_it():
    outcome = fermenting.outcome(fermenting.logged(1.100, 1.020, every=20.0))
    low = round(outcome.finish.dry_gravity.typical, 3)
    rested = fermenting.logged(1.100, 1.020, low, low, low, every=20.0)
    for batch in (rested, fermenting.with_sugar_test(rested, 80.0, 1.0), fermenting.stopped()):
        known = fermenting.outcome(batch)
        word = {"stalled": "stalled", "finished or stalled: test": "stalled or finished?"}.get(known.verdict.kind)
        assert (stopped_days(known) is not None) == (word is not None)
        if word is not None:
            assert scene_of(known, str).stopped_word == word


def test_that_a_fresh_sugar_test_decides_whether_it_has_stopped():
    low = round(fermenting.outcome(fermenting.logged(1.100, 1.020, every=20.0)).finish.dry_gravity.typical, 3)
    rested = fermenting.logged(1.100, 1.020, low, low, low, every=20.0)
    finished = fermenting.with_sugar_test(rested, 80.0, 1.0)
    assert stopped_days(fermenting.outcome(finished)) is None
    contradicted = fermenting.with_sugar_test(fermenting.stopped(), 20.0, 1.0)
    assert scene_of(fermenting.outcome(contradicted), str).stopped_word == "stalled or finished?"
    stuck = fermenting.with_sugar_test(fermenting.stopped(), 20.0, 40.0)
    assert stopped_days(fermenting.outcome(stuck))[1] == 20.0
    assert scene_of(fermenting.outcome(stuck), str).stopped_word == "stalled"


def test_that_feeds_and_the_third_of_the_sugar_are_events_with_words():
    events = fermenting.scene(fermenting.planned()).events
    assert [event.kind for event in events] in (["feed", "third"], ["third", "feed"])
    words = {event.kind: in_words(event.text, Display()) for event in events}
    assert words["feed"].startswith("feed 5\u00a0g ")
    assert words["third"] == "a third of the sugar used"


def test_that_falls_are_per_day_and_skip_what_is_left_out_or_too_close():
    batch = change_reading(fermenting.logged(1.100, 1.090, 1.300, 1.070), 2, excluded=True)
    days, gravities = falls(fermenting.scene(batch).points)
    assert days.tolist() == [[0.0, 2.0], [2.0, 6.0]]
    assert (gravities[:, 0] - gravities[:, 1]) / (days[:, 1] - days[:, 0]) == pytest.approx([0.005, 0.005], abs=1e-4)
    close = fermenting.logged(1.100, 1.099, 1.098, every=0.2)
    assert falls(fermenting.scene(close).points)[0].size == 0


def test_that_a_doubted_reading_tells_no_fall():
    # One of 1.006 after 1.060 would draw forty points a day and flatten all others.
    falling = fermenting.logged(1.100, 1.086, 1.073, 1.060, 1.006, every=2.0)
    outcome = fermenting.outcome(falling)
    scene = scene_of(outcome, str)
    assert scene.doubted == frozenset({4})
    days, gravities = falls(scene.points, scene.doubted)
    assert days[-1].tolist() == [4.0, 6.0]
    assert np.all(gravities > 1.05)
    assert falls(scene.points)[0].shape[0] == days.shape[0] + 1


def test_that_what_stands_still_is_forecast_where_it_stands():
    outcome = fermenting.outcome(fermenting.stopped())
    forecast = scene_of(outcome, str).forecast
    assert forecast.stands
    assert forecast.finish_gravity == present_gravity(outcome.posterior).gravity
    moving = scene_of(fermenting.outcome(fermenting.logged(1.100, 1.080, 1.060)), str).forecast
    assert not moving.stands


def test_that_a_reading_without_a_day_is_no_point():
    batch = fermenting.logged(1.100, 1.090, pitched_at=None)
    undated = change_reading(batch, 1, day=None, at="2026-10-19T11:00+02:00")
    assert fermenting.scene(undated).points.index.tolist() == [0]


@given(arrays(float, st.integers(1, 400), elements=st.floats(0.99, 1.11)), st.integers(8, 60))
def test_that_thinning_keeps_the_ends_the_extremes_and_the_count(gravity, most):
    day = np.linspace(0.0, 40.0, gravity.size)
    kept = thinned(day, gravity, most)
    assert kept.size <= most
    assert {0, gravity.size - 1} <= set(kept.tolist())
    assert gravity[kept].min() == gravity.min()
    assert gravity[kept].max() == gravity.max()
    assert np.all(np.diff(kept) > 0) or kept.size == 1


def test_that_the_summary_tells_what_is_seen():
    told = in_words(summary(fermenting.scene(fermenting.stopped())), Display())
    assert "6 readings" in told
    assert "stopped" in told
    assert in_words(summary(Scene()), Display()) == "No expected curve yet."
    assert "No readings yet" in in_words(summary(fermenting.scene(fermenting.planned())), Display())


def test_that_an_empty_scene_says_so():
    assert Scene().is_empty
    assert not fermenting.scene(fermenting.planned()).is_empty
    assert Points.of(()).day.size == 0


def test_that_a_first_answer_keeps_the_spread_of_the_one_before():
    before = fermenting.scene(fermenting.stopped())
    quick = scene_of(fermenting.outcome(fermenting.logged(1.090, 1.060), 0), str)
    shown = until_whole(quick, before)
    assert shown.with_band
    assert shown.curve.gravity is quick.curve.gravity
    assert np.all(np.diff(shown.curve.band, axis=0) >= 0.0)
    assert shown.curve.band[3] - shown.curve.band[0] == pytest.approx(
        np.interp(shown.curve.days, before.curve.days, before.curve.band[3] - before.curve.band[0])
    )
    assert shown.finish.gravity.typical == quick.finish.gravity.typical
    assert shown.finish.gravity.high - shown.finish.gravity.low == pytest.approx(
        before.finish.gravity.high - before.finish.gravity.low
    )


def test_that_until_the_whole_answer_is_there_what_was_made_of_the_log_stays():
    before = fermenting.scene(fermenting.stopped())
    quick = scene_of(
        fermenting.outcome(fermenting.logged(1.100, 1.070, 1.050, 1.041, 1.040, 1.040, 1.040, every=4.0), 0), str
    )
    shown = until_whole(quick, before)
    assert shown.points.day.size == 7  # a new reading is on the curve at once
    assert shown.forecast is before.forecast
    assert (shown.stopped, shown.stopped_word) == (before.stopped, before.stopped_word)
    assert shown.stopped is not None


def test_that_a_log_too_long_to_be_read_at_once_stays_where_it_was():
    before = fermenting.scene(fermenting.stopped())
    quick = msgspec.structs.replace(fermenting.outcome(fermenting.logged(1.100, 1.070, 1.050), 0), log=())
    shown = until_whole(scene_of(quick, str), before)
    assert shown.points is before.points
    assert shown.rows is before.rows
    assert shown.forecast is before.forecast
    none = msgspec.structs.replace(fermenting.outcome(fermenting.planned(), 0), log=())
    assert until_whole(scene_of(none, str), before).points.day.size == 0


def test_that_a_band_of_its_own_is_never_replaced_and_none_is_made_up():
    before = fermenting.scene(fermenting.stopped())
    full = fermenting.scene(fermenting.planned())
    assert until_whole(full, before) is full
    quick = scene_of(fermenting.outcome(fermenting.planned(), 0), str)
    assert until_whole(quick, Scene()) is quick
    assert until_whole(Scene(), before).curve is None


def test_that_what_has_finished_stands_where_it_was_read():
    done = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
    outcome = evaluate(done, catalogue(), 20)
    assert outcome.verdict.kind == "finished"
    assert scene_of(outcome, str).forecast.stands
