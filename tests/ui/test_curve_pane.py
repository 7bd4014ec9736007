"""The middle pane: sentence, curve, log and line work as one."""

from __future__ import annotations

import fermenting
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QImage

from planner.document import edits
from planner.document.batch import Event, HydrometerReading, TasteReading, What, new_batch
from planner.evaluation.headline import Headline
from planner.reference.catalogue import catalogue
from planner.ui import theme
from planner.ui.curve.headline_label import HeadlineLabel
from planner.ui.curve.pane import CurvePane
from planner.ui.display import Display
from planner.ui.log.cells import Column
from planner.ui.store import BatchStore
from planner.ui.widgets.remarks import in_words
from planner.units import GravityScale
from planner.wording.phrases import say

ENGLISH = Display(locale=QLocale("en_GB"))
BRIX = replace(ENGLISH, gravity_scale=GravityScale.BRIX)


@pytest.fixture
def pane(qtbot):
    """A pane on a store, with outcomes worked out at once, shown with its canvas built and drawn."""

    def make(batch=None, width=560, height=700):
        store = BatchStore(fermenting.stopped() if batch is None else batch)
        made = CurvePane(store, catalogue(), ENGLISH, theme.LIGHT)
        made.store = store
        qtbot.addWidget(made)
        made.resize(width, height)

        def show(batch):
            made.show_batch(batch)
            made.show_outcome(fermenting.outcome(batch))

        store.changed.connect(show)
        show(store.batch)
        with qtbot.waitActive(made):
            made.show()
        qtbot.waitUntil(lambda: made.canvas is not None and made.canvas.draws > 0)
        settle(qtbot, made)
        return made

    return make


def settle(qtbot, pane):
    qtbot.waitUntil(lambda: not pane.canvas._draw_pending)


def test_that_the_canvas_is_built_after_the_pane_was_first_painted(qtbot):
    made = CurvePane(BatchStore(fermenting.stopped()), catalogue(), ENGLISH, theme.LIGHT)
    qtbot.addWidget(made)
    made.show_outcome(fermenting.outcome(fermenting.stopped()))
    assert made.canvas is None
    with qtbot.waitExposed(made):
        made.show()
    qtbot.waitUntil(lambda: made.canvas is not None)
    assert len(made.canvas.scene.rows) == 6
    assert made.build_canvas() is made.canvas


def test_that_the_sentence_and_the_next_step_are_told_in_the_readers_units(pane):
    made = pane()
    outcome = fermenting.outcome(fermenting.stopped())
    assert made.headline.sentence.text().replace("\u00a0", " ").startswith("Day 20: 1.040")
    assert made.headline.next.text() == in_words(outcome.headline.next, ENGLISH)
    made.set_display(BRIX)
    assert "°Bx" in made.headline.sentence.text()


def test_that_an_edit_draws_the_curve_once(pane, qtbot):
    made = pane()
    before = made.canvas.draws
    made.store.edit(edits.change_reading(made.store.batch, 1, gravity=1.072), "change")
    settle(qtbot, made)
    assert made.canvas.draws == before + 1


def test_that_a_reading_typed_in_the_line_is_in_table_and_curve_and_selected(pane, qtbot):
    made = pane()
    made.enter_reading()
    qtbot.keyClicks(made.form.when, "day 24")
    made.form.value.setFocus()
    qtbot.keyClicks(made.form.value, "1.039")
    qtbot.keyClick(made.form.value, Qt.Key.Key_Return)
    assert made.table.log_model.rowCount() == 7
    assert made.table.chosen_rows() == [6]
    assert made.canvas.scene.points.day.tolist()[-1] == 24.0
    assert made.canvas._plot.artists.halo.get_xdata().tolist() == [24.0]


def test_that_picking_on_the_curve_selects_in_the_table_and_the_other_way_round(pane):
    made = pane()
    made.canvas.picked.emit(3)
    assert made.table.chosen_rows() == [3]
    assert made.canvas._plot.artists.halo.get_xdata().tolist() == [12.0]
    made.table.select(1)
    assert made.canvas._plot.artists.halo.get_xdata().tolist() == [4.0]
    made.table.select(None)
    assert not made.canvas._plot.artists.halo.get_visible()


def test_that_the_gravest_findings_of_the_log_are_told_under_the_table(pane):
    batch = edits.change_reading(fermenting.stopped(), 2, gravity=1.150)
    for day in (30.0, 34.0):
        batch = edits.add_readings(batch, HydrometerReading(gravity=0.9, day=day))
    made = pane(batch)
    assert len(made.remarks.texts()) == 2
    levels = [finding.level for finding in made.remarks.findings]
    assert levels == sorted(levels, reverse=True)
    assert all(finding.place.startswith("log") for finding in made.remarks.findings)


def test_that_a_refused_cell_is_told_under_the_table_until_the_next_outcome(pane):
    made = pane()
    made.table.log_model.setData(made.table.log_model.index(1, Column.READING), "1.9 {}")
    assert "1.9" in made.remarks.texts()[0]
    made.show_outcome(fermenting.outcome(made.store.batch))
    assert made.remarks.texts() == []


def test_that_the_number_of_readings_is_told(pane):
    made = pane(edits.change_reading(fermenting.stopped(), 2, excluded=True))
    assert made.log.count.text_shown() == "6 readings, 1 left out"


def test_that_doses_rackings_and_tastings_are_not_counted_as_readings(pane):
    batch = fermenting.stopped()
    for entry in (Event(what=What.RACKING, day=3.0), TasteReading(day=3.0, note="sour")):
        batch = edits.add_readings(batch, entry)
    assert pane(batch).log.count.text_shown() == "6 readings, 2 other"


def test_that_import_is_asked_for(pane, qtbot):
    made = pane(fermenting.planned())
    with qtbot.waitSignal(made.import_requested):
        qtbot.mouseClick(made.import_button, Qt.MouseButton.LeftButton)


def test_that_an_empty_batch_says_what_would_fill_it(pane):
    made = pane(new_batch())
    assert made.canvas._plot.artists.empty_label.get_visible()
    assert "recipe" in made.headline.next.text()


def test_that_stale_dims_and_a_new_outcome_clears_it(pane):
    made = pane()
    clear = made.grab().toImage()
    made.set_stale(True)
    assert made.grab().toImage() != clear
    made.show_outcome(fermenting.outcome(made.store.batch))
    assert made.headline.sentence.property("tone") == ""


def test_that_a_dark_theme_reaches_the_curve(pane, qtbot):
    made = pane()
    made.set_colours(theme.DARK)
    settle(qtbot, made)
    at = made.canvas.mapTo(made, made.canvas.rect().topLeft())
    assert made.grab().toImage().pixelColor(at.x() + 1, at.y() + 1).name() == theme.DARK.window


def test_that_the_curve_is_never_lower_than_it_can_be_read(pane):
    made = pane(height=640)
    assert made.canvas.height() >= 320
    made._splitter.setSizes([10, 2000])
    assert made.canvas.height() >= 320


def test_that_the_split_is_remembered(pane):
    first = pane(height=900)
    first._splitter.setSizes([420, 380])
    second = pane(height=900)
    second.split = first.split
    assert second._splitter.sizes() == first._splitter.sizes()


def test_that_the_picture_is_saved_even_before_the_curve_was_shown(qtbot, tmp_path):
    made = CurvePane(BatchStore(fermenting.stopped()), catalogue(), ENGLISH, theme.DARK)
    qtbot.addWidget(made)
    made.show_outcome(fermenting.outcome(fermenting.stopped()))
    made.save_picture(tmp_path / "curve.png")
    assert not QImage(str(tmp_path / "curve.png")).isNull()


def test_that_the_curve_comes_after_the_sentence_in_the_order_of_tabs(pane):
    made = pane()
    order, widget = [], made.nextInFocusChain()
    wanted = {made.canvas: "curve", made.table: "table", made.form.value: "value"}
    while widget is not made:
        if widget in wanted:
            order.append(wanted[widget])
        widget = widget.nextInFocusChain()
    assert order == ["curve", "table", "value"]


def test_that_nothing_below_moves_when_the_sentence_grows(pane, qtbot):
    made = pane()
    before = made.canvas.mapTo(made, made.canvas.rect().topLeft())
    made.headline.show_headline(Headline("plan", say("Short."), say("Do it.")))
    assert made.canvas.mapTo(made, made.canvas.rect().topLeft()) == before
    made.headline.show_headline(Headline("plan", say("Long sentence. " * 12), say("Do it. " * 40)))
    assert made.canvas.mapTo(made, made.canvas.rect().topLeft()) == before


def test_that_a_sentence_too_long_for_its_room_can_be_read_whole(qtbot):
    label = HeadlineLabel(ENGLISH)
    qtbot.addWidget(label)
    label.resize(520, label.sizeHint().height())
    label.show()
    label.show_headline(Headline("plan", say("All of it. " * 40), say("Short.")))
    assert label.sentence.toolTip().count("All of it.") == 40
    assert label.next.toolTip() == ""


def test_that_a_pane_thrown_away_before_its_first_paint_builds_nothing(qtbot):
    made = CurvePane(BatchStore(fermenting.stopped()), catalogue(), ENGLISH, theme.LIGHT)
    made.grab()
    made.deleteLater()
    with qtbot.waitSignal(made.destroyed):
        pass


def test_that_the_band_stays_while_only_the_typical_course_is_known(pane, qtbot):
    made = pane()
    view = made.canvas.view
    made.show_outcome(fermenting.outcome(fermenting.stopped(), 0))
    assert made.canvas._plot.artists.band.get_visible()
    assert made.canvas.view == pytest.approx(view, abs=1e-6)


def test_that_a_finding_leads_to_what_it_speaks_of(pane, qtbot):
    made = pane()
    made.go_to("log.readings.4")
    assert made.table.chosen_rows() == [4]
    made.go_to("log.pitched_at")
    qtbot.waitUntil(made.form.pitched.hasFocus)
