"""The marks of readings: each kind can be seen, also where two lie over one another."""

from __future__ import annotations

import fermenting
import msgspec
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from planner.batch.batch import Event, RefractometerReading, What
from planner.batch.edits import change_log
from planner.ui import theme
from planner.ui.curve.artists import PlotFont
from planner.ui.curve.plot import CurvePlot
from planner.ui.display import Display


def test_that_a_drop_read_beside_a_hydrometer_is_seen_behind_its_mark():
    batch = fermenting.stopped()
    both = change_log(batch, readings=(*batch.log.readings, RefractometerReading(brix=12.0, day=20.0)))
    plot = CurvePlot(Figure((6.0, 4.0)), Display(), theme.LIGHT, PlotFont())
    plot.show(fermenting.scene(both), whole=True)
    drop, stem = (plot.artists.marks[kind] for kind in ("refractometer", "hydrometer"))
    assert len(drop.get_xdata()) == 1
    assert drop.get_zorder() < stem.get_zorder()
    assert drop.get_markersize() > stem.get_markersize()


@pytest.mark.parametrize(("first", "last"), [(18.0, 22.0), (20.0, 22.0), (0.0, 2.0), (2.0, 21.0)])
def test_that_the_word_for_a_rest_is_whole_however_short_the_rest(first, last):
    scene = msgspec.structs.replace(
        fermenting.scene(fermenting.stopped()), stopped=(first, last), stopped_word="stalled or done?"
    )
    figure = Figure((6.0, 4.0))
    canvas = FigureCanvasAgg(figure)
    plot = CurvePlot(figure, Display(), theme.LIGHT, PlotFont())
    plot.show(scene, whole=True)
    canvas.draw()
    word, picture = plot.artists.rest_label.get_window_extent(), plot.artists.gravity.get_window_extent()
    assert word.width > word.height
    assert picture.x0 <= word.x0
    assert word.x1 <= picture.x1
    assert plot.pixel_of(first) <= word.x1
    assert word.x0 <= plot.pixel_of(last)


def test_that_what_was_done_beyond_the_days_in_sight_leaves_no_mark_outside_of_the_axes():
    batch = fermenting.stopped()
    done = (Event(what=What.RACKING, day=19.0), Event(what=What.BOTTLED, day=400.0, bottles=24))
    plot = CurvePlot(Figure((6.0, 4.0)), Display(), theme.LIGHT, PlotFont())
    plot.show(fermenting.scene(change_log(batch, readings=(*batch.log.readings, *done))), whole=True)
    assert list(plot.artists.done.get_xdata()) == [19.0]
