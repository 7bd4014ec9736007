"""An earlier batch beside this one on the curve, each counted from its own pitching, and the mark of the present day."""

from __future__ import annotations

import fermenting
import msgspec
import numpy as np
import pytest
from matplotlib.figure import Figure

from planner.document.batch import new_batch
from planner.ui import theme
from planner.ui.curve.artists import PlotFont
from planner.ui.curve.plot import CurvePlot
from planner.ui.curve.reference_batch import LONGEST_NAME, Earlier, earlier_of
from planner.ui.display import Display

READ = fermenting.logged(1.092, 1.050, 1.020, 1.002, every=12.0)


@pytest.fixture
def plot():
    return CurvePlot(Figure(figsize=(7.0, 4.0)), Display(), theme.LIGHT, PlotFont())


def scene(earlier=None, today=None):
    return msgspec.structs.replace(fermenting.scene(fermenting.stopped()), earlier=earlier, today=today)


def test_that_the_readings_of_an_earlier_batch_are_its_line():
    earlier = earlier_of(fermenting.outcome(READ, 0))
    assert earlier.read_day.tolist() == [0.0, 12.0, 24.0, 36.0]
    assert earlier.read == pytest.approx([1.092, 1.050, 1.020, 1.002], abs=5e-4)  # read at 20 °C: no correction
    assert earlier.gravity is earlier.read


def test_that_a_batch_without_readings_is_drawn_by_its_recipe_and_an_empty_one_not_at_all():
    planned = fermenting.outcome(fermenting.planned(), 0)
    earlier = earlier_of(planned)
    assert earlier.read.size == 0
    assert np.array_equal(earlier.gravity, planned.curve.gravity)
    assert earlier_of(fermenting.outcome(new_batch(), 0)) is None


def test_that_readings_left_out_and_tests_for_sugar_are_no_part_of_it():
    batch = fermenting.with_sugar_test(READ, 40.0, 2.0)
    assert earlier_of(fermenting.outcome(batch, 0)).read_day.max() == 36.0


def test_that_the_earlier_batch_is_drawn_named_and_in_sight(plot):
    earlier = earlier_of(fermenting.outcome(READ, 0))
    plot.show(scene(earlier), whole=True)
    line = plot.artists.earlier
    assert line.get_visible()
    assert line.get_ydata().tolist() == earlier.gravity.tolist()
    assert plot.view.right >= 36.0
    legend = plot.artists.gravity.get_legend()
    named = dict(zip([text.get_text() for text in legend.get_texts()], legend.legend_handles, strict=True))
    assert named["Test damson"].get_visible()
    plot.show(scene(), whole=True)
    assert not line.get_visible()
    legend = plot.artists.gravity.get_legend()
    assert "Test damson" not in [text.get_text() for text in legend.get_texts()]


def test_that_differences_are_shown_of_the_earlier_batch_too(plot):
    earlier = earlier_of(fermenting.outcome(READ, 0))
    plot.show(scene(earlier), whole=True)
    plot.show_difference(True)
    curve = plot.scene.curve
    off = 1000.0 * (earlier.gravity - np.interp(earlier.days, curve.days, curve.gravity))
    assert plot.artists.earlier.get_ydata() == pytest.approx(off)


def test_that_a_long_name_is_cut_for_the_key():
    none = np.empty(0)
    assert Earlier("Hedge", none, none, none, none).short_name == "Hedge"
    short = Earlier("Hedge blackcurrant of the long wet summer", none, none, none, none).short_name
    assert len(short) <= LONGEST_NAME
    assert short.endswith("…")


@pytest.mark.parametrize(("share", "side"), [(0.3, "left"), (0.95, "right")])
def test_that_today_is_marked_with_its_word_inside_the_picture(plot, share, side):
    plot.show(scene(), whole=True)
    today = plot.view.left + share * plot.view.days
    plot.show(scene(today=today), whole=True)
    for line in (plot.artists.today, plot.artists.today_below):
        assert line.get_visible()
        assert list(line.get_xdata()) == [today, today]
    assert plot.artists.today_label.get_horizontalalignment() == side


@pytest.mark.parametrize("today", [None, -5.0, 900.0])
def test_that_a_day_out_of_sight_or_unknown_is_not_marked(plot, today):
    plot.show(scene(today=today), whole=True)
    assert not any(a.get_visible() for a in (plot.artists.today, plot.artists.today_below, plot.artists.today_label))
