"""Gravities and differences on the vertical axis, and the marks of each kind."""

from __future__ import annotations

import fermenting
import numpy as np
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLocale

from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Event,
    RefractometerReading,
    SensorReading,
    TasteReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.model.scales import brix_from_gravity
from planner.ui import theme
from planner.ui.curve.canvas import CurveCanvas
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.display import Display
from planner.ui.log.signs import SHAPES, sign
from planner.ui.widgets.remarks import in_words
from planner.units import GravityScale

ENGLISH = Display(locale=QLocale("en_GB"))
BRIX = replace(ENGLISH, gravity_scale=GravityScale.BRIX)


def everything():
    return edits.add_readings(
        fermenting.stopped(), RefractometerReading(brix=16.0, day=6.0), SensorReading(gravity=1.06, day=5.0),
        WeightReading(lost=0.3, day=4.0), AcidityReading(ph=3.4, day=2.0), AcidityReading(ph=3.3, day=9.0),
        WarmthReading(temperature=285.15, day=9.0), TasteReading(note="sweet {still}", day=9.0),
        Event(what=What.FEED, key="yeast-autolysate", mass=0.004, day=3.0), Event(what=What.RACKING, day=18.0),
        RefractometerReading(brix=30.0, day=6.0, excluded=True),
    )  # fmt: skip


@pytest.fixture
def canvas(qtbot):
    made = CurveCanvas(ENGLISH, theme.LIGHT)
    qtbot.addWidget(made)
    made.resize(700, 420)
    made.show_scene(fermenting.scene(everything()))
    made.draw()
    return made


def test_that_a_difference_is_zero_on_the_expected_curve_and_counts_points_off_it():
    curve = fermenting.scene(fermenting.stopped()).curve
    level = Level(ENGLISH, curve, True)
    assert level.of(curve.gravity, curve.days) == pytest.approx(np.zeros(curve.days.size), abs=1e-9)
    assert float(level.of(np.interp(9.0, curve.days, curve.gravity) + 0.004, 9.0)) == pytest.approx(4.0)


def test_that_a_difference_in_brix_is_that_of_the_two_readings():
    curve = fermenting.scene(fermenting.stopped()).curve
    expected = float(np.interp(9.0, curve.days, curve.gravity))
    off = float(Level(BRIX, curve, True).of(expected + 0.01, 9.0))
    assert off == pytest.approx(float(brix_from_gravity(expected + 0.01) - brix_from_gravity(expected)))


def test_that_without_an_expected_curve_gravities_are_shown():
    level = Level(ENGLISH, None, True)
    assert not level.is_difference
    assert float(level.of(1.05, 3.0)) == 1.05


def test_that_each_kind_has_its_own_shape_and_its_word_in_the_key(canvas):
    artists = canvas._plot.artists
    for kind, count in (("hydrometer", 6), ("refractometer", 1), ("sensor", 1), ("weight", 1)):
        assert len(artists.marks[kind].get_xdata()) == count
        assert artists.marks[kind].get_marker() == SHAPES[kind]
    assert len({line.get_marker() for line in artists.marks.values()}) == len(artists.marks)
    assert artists.left_out_marks["refractometer"].get_xdata().tolist() == [6.0]
    words = [text.get_text() for text in artists.gravity.get_legend().get_texts()]
    assert words[:2] == ["hydrometer", "refractometer"]
    assert {"fed", "tasted", "pH", "refractometer left out"} <= set(words)


def test_that_what_was_done_stands_on_the_time_axis_and_is_told_at_the_cursor(canvas):
    artists = canvas._plot.artists
    assert list(artists.given.get_xdata()) == [3.0]
    assert list(artists.done.get_xdata()) == [18.0]
    assert list(artists.tastes.get_xdata()) == [9.0]
    assert list(artists.feeds.get_xdata()) == []  # the planned one was given
    canvas.show_cursor(3.0)
    assert "fed 4\u00a0g of yeast autolysate" in artists.readout.get_text().replace("\u202f", "\u00a0")
    canvas.show_cursor(9.0)
    assert "tasted: sweet {still}" in artists.readout.get_text()


def test_that_ph_and_temperature_are_in_the_lower_part(canvas):
    artists = canvas._plot.artists
    assert artists.acidity.get_xdata().tolist() == [2.0, 9.0]
    shown = [label.get_text() for label in artists.acidity_labels if label.get_visible()]
    assert shown == ["pH 3.4", "pH 3.3"]
    assert 9.0 in artists.sampled.get_xdata()


def test_that_the_forecast_begins_at_the_last_reading(canvas):
    artists, scene = canvas._plot.artists, canvas.scene
    assert artists.foreseen.get_visible()
    assert min(artists.foreseen.get_xdata()) == pytest.approx(scene.forecast.today, abs=0.5)
    assert "forecast" in artists.finish_label.get_text()


def test_that_differences_can_be_zoomed_and_left_again(canvas):
    canvas.show_difference(True)
    assert canvas._plot.artists.expected.get_ydata() == pytest.approx(np.zeros(canvas.scene.curve.days.size), abs=1e-9)
    canvas.zoom(2.0)
    assert canvas._zoomed
    canvas.show_difference(False)
    assert not canvas._zoomed
    assert canvas._plot.artists.expected.get_ydata()[0] == pytest.approx(canvas.scene.curve.gravity[0])


def test_that_every_event_has_plain_words():
    for event in fermenting.scene(everything()).events:
        assert in_words(event.text, ENGLISH)


def test_that_every_kind_has_a_sign(qapp):
    for kind in (*SHAPES, "racking"):
        for hollow in (False, True):
            assert not sign(kind, "#d55e00", hollow, 1.0).isNull()
