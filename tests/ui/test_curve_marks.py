"""The marks of readings: each kind can be seen, also where two lie over one another."""

from __future__ import annotations

import fermenting
import msgspec
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from planner.document.batch import AcidityReading, Event, RefractometerReading, What
from planner.document.edits import change_log
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
        fermenting.scene(fermenting.stopped()), stopped=(first, last), stopped_word="stalled or finished?"
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


def test_that_the_word_for_a_rest_hides_as_few_readings_as_can_be():
    batch = fermenting.logged(*(1.100 - 0.0085 * n for n in range(12)), *(1.006,) * 4)
    scene = msgspec.structs.replace(fermenting.scene(batch), stopped=(11.0, 15.0), stopped_word="stalled or finished?")
    figure = Figure((6.0, 4.0))
    canvas = FigureCanvasAgg(figure)
    plot = CurvePlot(figure, Display(), theme.LIGHT, PlotFont())
    plot.show(scene, whole=True)
    canvas.draw()
    word = plot.artists.rest_label.get_window_extent()
    spots = plot.artists.gravity.transData.transform([*zip(scene.points.day, scene.points.gravity, strict=True)])
    assert not [spot for spot in spots.tolist() if word.contains(*spot)]


def test_that_a_ph_at_either_end_is_written_whole():
    batch = fermenting.logged(1.100, 1.080, 1.060)
    readings = (AcidityReading(ph=3.6, day=0.0), AcidityReading(ph=3.4, day=20.0), AcidityReading(ph=3.4, day=50.0))
    figure = Figure((6.0, 4.0))
    canvas = FigureCanvasAgg(figure)
    plot = CurvePlot(figure, Display(), theme.LIGHT, PlotFont())
    for last in (21.0, 30.0, 50.0):
        plot.show(fermenting.scene(change_log(batch, readings=(*batch.log.readings, *readings))), whole=True)
        plot.look(plot.home._replace(right=last + 0.2))
        canvas.draw()
        picture = plot.artists.rate.get_window_extent()
        for label, reading in zip(plot.artists.acidity_labels, readings, strict=False):
            if reading.day <= last:
                word = label.get_window_extent()
                assert picture.x0 <= word.x0
                assert word.x1 <= picture.x1
