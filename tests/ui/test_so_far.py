"""The alcohol so far in the window: beside the log, at its rows, in the read-out and among the reasons."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale, Qt

from planner.document import edits
from planner.document.batch import HydrometerReading, RefractometerReading
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reporting.batch_file import load
from planner.ui import theme
from planner.ui.curve.pane import CurvePane
from planner.ui.curve.plot_data import scene_of
from planner.ui.curve.readout import readout
from planner.ui.display import Display
from planner.ui.log.cells import Column
from planner.ui.store import BatchStore

ENGLISH = Display(locale=QLocale("en_GB"))
GERMAN = Display(locale=QLocale("de_DE"))
SHELF = catalogue()


def batch(*more):
    """A must of 1.089 at pitching, and what was read later."""
    planned = load("quince-planned")
    start = float(evaluate(planned, SHELF, 0).must.gravity.typical)
    return edits.add_readings(planned, HydrometerReading(day=0.0, gravity=round(start, 3)), *more)


def paired(brix=12.0):
    return batch(HydrometerReading(day=12.0, gravity=1.030), RefractometerReading(day=12.0, brix=brix))


class Shown:
    def __init__(self, qtbot, shown, display=ENGLISH):
        self.pane = CurvePane(BatchStore(shown), SHELF, display, theme.LIGHT)
        qtbot.addWidget(self.pane)
        self.pane.show_batch(shown)
        self.outcome = evaluate(shown, SHELF, 6)
        self.pane.show_outcome(self.outcome)

    def hover(self, row, column=Column.ALCOHOL):
        model = self.pane.table.log_model
        return model.index(row, column).data(Qt.ItemDataRole.ToolTipRole) or ""


def test_that_the_alcohol_so_far_stands_beside_the_log_with_its_interval(qtbot):
    shown = Shown(qtbot, paired())
    text = shown.pane.so_far.text().replace("\u00a0", " ")
    low, typical, high = (f"{100.0 * bound:.1f}" for bound in shown.outcome.so_far.alcohol)
    assert text == f"{typical} % vol ({low} to {high}) so far"
    for told in ("By mass balance", "together", "131.25 ×", "16.83", "attenuation"):
        assert told in shown.pane.so_far.toolTip()
    assert "By mass balance" in shown.pane.so_far.accessibleDescription()


def test_that_without_a_reading_since_pitching_nothing_stands_there(qtbot):
    assert Shown(qtbot, batch()).pane.so_far.isHidden()


def test_that_pressing_it_opens_the_reasons_which_tell_every_way(qtbot):
    shown = Shown(qtbot, paired())
    with qtbot.waitExposed(shown.pane):
        shown.pane.show()
    qtbot.mouseClick(shown.pane.so_far, Qt.MouseButton.LeftButton)
    assert shown.pane.reasons.isVisible()
    told = "\n".join(shown.pane.reasons.texts())
    assert "Alcohol so far, by several ways" in told
    assert "Hydrometer 1.030 and refractometer 12.0\u00a0°Bx together" in told
    assert "stand here to show how far they are off" in told
    shown.pane.reasons.close()


def test_that_both_rows_of_a_pair_say_what_they_say_together(qtbot):
    shown = Shown(qtbot, paired())
    for row in (1, 2):
        assert "together" in shown.hover(row)
    assert "By mass balance" in shown.hover(1)
    assert "together" not in shown.hover(0)


def test_that_a_pair_that_does_not_agree_is_warned_of_at_its_reading(qtbot):
    shown = Shown(qtbot, paired(brix=17.0))
    assert "The balance from the start" in shown.hover(2, Column.DAY)
    assert any(finding.place == "log.readings.2" for finding in shown.pane.remarks.findings)


@pytest.mark.parametrize(("brix", "said"), [(22.0, "unlike the balance"), (60.0, "do not fit")])
def test_that_the_read_out_tells_of_a_pair(qtbot, brix, said):
    outcome = evaluate(paired(brix), SHELF, 6)
    scene = scene_of(outcome, str)
    place = scene.points.index.tolist().index(2)
    assert said in readout(scene, 12.0, ENGLISH, place, ())
    assert "both instruments" not in readout(scene, 0.0, ENGLISH, scene.points.index.tolist().index(0), ())


def test_that_numbers_follow_the_readers_habits(qtbot):
    shown = Shown(qtbot, paired())
    shown.pane.set_display(GERMAN)
    assert "," in shown.pane.so_far.text()
    assert "12,0\u00a0°Bx" in shown.pane.so_far.toolTip()
