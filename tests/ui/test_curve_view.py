"""What is in sight of the curve, and where its ticks stand."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import fermenting
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import HydrometerReading
from planner.document.edits import add_readings, change_reading
from planner.ui.curve.annotations import outside_text
from planner.ui.curve.plot_data import Scene
from planner.ui.curve.view import View, date_ticks, day_ticks, home, ticks
from planner.ui.display import Display

PITCHED = datetime(2026, 10, 17, 11, 0, tzinfo=timezone(timedelta(hours=2)))


def test_that_the_whole_view_holds_curve_finish_and_readings():
    scene = fermenting.scene(fermenting.stopped())
    view = home(scene)
    assert scene.curve is not None
    assert scene.finish is not None
    assert view.left < 0.0
    assert view.right > scene.curve.days[-1]
    assert view.low < min(scene.finish.gravity.low, scene.curve.band.min())
    assert view.high > max(scene.points.gravity.max(), scene.curve.band.max())


def test_that_an_empty_scene_has_a_view():
    view = home(Scene())
    assert view.days > 0.0
    assert view.gravities > 0.0


def test_that_a_slip_left_out_or_ages_away_does_not_stretch_the_view():
    batch = fermenting.logged(1.100, 1.080, 1.060)
    slip = add_readings(
        batch, HydrometerReading(gravity=1.3, day=4.0, excluded=True), HydrometerReading(gravity=1.05, day=-300.0)
    )
    view = home(fermenting.scene(slip))
    assert view.high < 1.2
    assert view.left > -14.0
    counted = change_reading(slip, 3, excluded=False)
    assert home(fermenting.scene(counted)).high < 1.2  # it would press the course into a corner; the picture names it
    assert home(fermenting.scene(counted), everything=True).high > 1.3


@pytest.mark.parametrize("late", [220.0, 263.0, 390.0])
def test_that_a_reading_long_after_the_course_does_not_press_it_into_a_corner(late):
    batch = fermenting.logged(1.100, 1.060, 1.020, 1.005, 1.000, 0.999, 0.999, every=4.0)
    before = home(fermenting.scene(batch))
    scene = fermenting.scene(add_readings(batch, HydrometerReading(gravity=1.001, day=late)))
    assert home(scene).right < 2.0 * before.right
    assert home(scene, everything=True).right > late
    assert outside_text(scene, home(scene), Display()) == f"day {late:.0f} ▸"


def test_that_readings_that_go_on_are_all_in_the_view():
    batch = fermenting.logged(*(1.100 - 0.02 * n for n in range(5)), *(1.0,) * 8, every=8.0)
    scene = fermenting.scene(batch)
    assert home(scene).right > 96.0
    assert outside_text(scene, home(scene), Display()) == ""


def test_that_a_gravity_far_off_is_named_where_the_view_leaves_it_out():
    batch = add_readings(fermenting.logged(1.100, 1.080, 1.060), HydrometerReading(gravity=1.3, day=4.0))
    scene = fermenting.scene(batch)
    assert outside_text(scene, home(scene), Display()) == "1.300 ▴"


_EDGES = st.floats(-50.0, 300.0)


@given(_EDGES, st.floats(0.1, 300.0), st.floats(0.9, 1.2), st.floats(0.002, 0.3), st.floats(0.2, 5.0))
def test_that_zooming_keeps_the_point_under_the_pointer_where_it_is(left, days, low, gravities, times):
    view = View(left, left + days, low, low + gravities)
    day, gravity = left + 0.3 * days, low + 0.6 * gravities
    closer = view.zoomed(times, day, gravity)
    assert (day - closer.left) / closer.days == pytest.approx(0.3, abs=1e-6)
    assert (gravity - closer.low) / closer.gravities == pytest.approx(0.6, abs=1e-6)
    assert closer.days == pytest.approx(view.days / times)


@given(st.floats(-1e3, 1e3), st.floats(1e-6, 1e4), st.floats(-3.0, 3.0), st.floats(1e-6, 10.0))
def test_that_no_view_is_too_narrow_or_too_far_from_what_there_is(left, days, low, gravities):
    whole = View(0.0, 40.0, 0.99, 1.11)
    view = View(left, left + days, low, low + gravities).within(whole)
    assert view.days >= 0.25 - 1e-9
    assert view.gravities >= 0.004 - 1e-9
    assert view.days <= 1.5 * whole.days + 1e-9
    assert view.left <= 40.0
    assert view.right >= 0.0
    assert view.low <= 1.11
    assert view.high >= 0.99


def test_that_a_view_within_reach_stays_as_it_is():
    view = View(3.0, 8.0, 1.0, 1.05)
    assert np.allclose(view.within(View(0.0, 40.0, 0.99, 1.11)), view)


@given(st.floats(0.7, 1.5), st.floats(0.004, 0.6))
def test_that_there_are_at_most_five_lines_and_all_in_sight(low, height):
    found = ticks(low, low + height, 5, 0.001)
    assert 1 <= found.size <= 5
    assert found[0] >= low - 1e-9
    assert found[-1] <= low + height + 1e-9
    assert np.allclose(np.round(found, 3), found)  # three decimals tell them apart


@given(st.floats(-365.0, 3000.0), st.floats(0.25, 600.0), st.integers(2, 20))
def test_that_days_are_labelled_at_round_numbers(left, width, most):
    found, decimals = day_ticks(left, left + width, most)
    assert found.size <= most
    labels = [f"{day:.{decimals}f}" for day in found]
    assert len(set(labels)) == len(labels)


@given(st.floats(-30.0, 400.0), st.floats(0.25, 400.0), st.integers(2, 15))
def test_that_dates_stand_at_midnights_or_hours(left, width, most):
    found = date_ticks(left, left + width, PITCHED, most)
    assert len(found) <= most + 1
    for day, moment in found:
        assert left - 1e-9 <= day <= left + width + 1e-9
        assert PITCHED + timedelta(days=day) == pytest.approx(moment, abs=timedelta(seconds=1))
        assert moment.minute == 0
    if width > most:
        assert all(moment.hour == 0 for _, moment in found)


def test_that_weeks_begin_on_mondays():
    found = date_ticks(0.0, 50.0, PITCHED, 8)
    assert {moment.isoweekday() for _, moment in found} == {1}
    assert found[0][1].date().isoformat() == "2026-10-19"  # the Monday after that Saturday, by the calendar


def test_that_a_calendar_has_an_end():
    assert date_ticks(0.0, 1e7, PITCHED, 8) == []
