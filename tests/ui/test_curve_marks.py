"""The marks of readings: each kind can be seen, also where two lie over one another."""

from __future__ import annotations

import fermenting
from matplotlib.figure import Figure

from planner.batch.batch import RefractometerReading
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
