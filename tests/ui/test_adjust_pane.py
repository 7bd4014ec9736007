"""The adjustment pane: set a batch and look; type and look at the store."""

from __future__ import annotations

import gc
import weakref

import msgspec
import pytest
from adjust_bench import METRIC, SHELF, US, Bench, adjusted, choose, plain, planned
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPoint, Qt
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from planner.document import edits
from planner.document.batch import Addition, Event, HouseRules, HydrometerReading, What, new_batch
from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.adjust.pane import AdjustPane
from planner.ui.store import BatchStore


@pytest.fixture
def bench(qtbot):
    def make(batch=None, **options):
        return Bench(qtbot, planned() if batch is None else batch, **options)

    return make


# --- where it stands


def test_that_the_prediction_stands_in_for_what_was_not_measured(bench):
    made = bench()
    standing = made.pane.mead_now
    assert standing.volume.text() == standing.gravity.text() == ""
    finish = made.outcome.finish
    assert plain(standing.volume.placeholderText()) == f"predicted {plain(METRIC.volume(finish.volume))}"
    assert plain(standing.gravity.placeholderText()) == f"predicted {finish.gravity.typical:.3f}"


def test_that_measured_volume_and_gravity_are_stored_in_si(bench):
    made = bench().open()
    made.type(made.pane.mead_now.volume, "18.5 L")
    made.type(made.pane.mead_now.gravity, "1.004")
    assert made.adjustment.volume == pytest.approx(0.0185)
    assert made.adjustment.gravity == pytest.approx(1.004)
    assert made.outcome.mead.measured


def test_that_an_emptied_field_goes_back_to_the_prediction(bench):
    made = bench(adjusted()).open()
    field = made.pane.mead_now.gravity
    field.setFocus()
    field.selectAll()
    made.qtbot.keyClick(field, Qt.Key.Key_Delete)
    made.qtbot.keyClick(field, Qt.Key.Key_Return)
    assert made.adjustment.gravity is None
    assert field.placeholderText().startswith("predicted")


def test_that_arrows_begin_at_the_prediction(bench):
    made = bench().open()
    expected = made.outcome.finish.gravity.typical
    made.qtbot.keyClick(made.pane.mead_now.gravity, Qt.Key.Key_Up)
    assert 0.0 < made.adjustment.gravity - expected <= 0.001
    volume = made.outcome.finish.volume.typical
    made.qtbot.keyClick(made.pane.mead_now.volume, Qt.Key.Key_Down)
    assert 0.0 < volume - made.adjustment.volume < 0.1 * volume


def test_that_no_volume_at_all_is_refused_with_the_least_that_is_taken(bench):
    made = bench(adjusted()).open()
    made.type(made.pane.mead_now.volume, "0")
    assert "From 100 mL" in plain(made.pane.mead_now.volume.problem_text)
    assert made.adjustment.volume == 0.020


def test_that_gravity_is_read_on_the_readers_scale(bench):
    made = bench(display=US).open()
    made.type(made.pane.mead_now.gravity, "5.0")
    # ICUMSA SPS-4 (1998) gives 1017.81 kg/m3 for 5 %, over 998.203 for water, both at 20 °C
    assert made.adjustment.gravity == pytest.approx(1.01964, abs=5e-6)
    assert plain(made.pane.mead_now.gravity.text()) == "5.0 °Bx"


def test_that_a_gravity_that_the_log_has_instead_is_offered_and_taken(bench):
    sample = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
    made = bench(edits.add_readings(sample, HydrometerReading(day=60.0, gravity=1.003))).open()
    standing = made.pane.mead_now
    assert standing.logged.isVisible()
    assert "Take 1.003 from the log" in plain(standing.logged.text())
    assert "differs: 1.003 on day 60" in plain(" ".join(standing.remarks["gravity"].texts()))
    standing.logged.linkActivated.emit("#")
    assert made.adjustment.gravity == pytest.approx(1.003, abs=1e-9)
    assert not standing.logged.isVisible()
    made.undo.undo()
    assert made.adjustment.gravity == pytest.approx(0.998)
    assert standing.logged.isVisible()


def test_that_what_the_log_calls_stabilised_is_ticked_and_cannot_be_unticked(bench):
    made = bench(adjusted())
    box, how = made.pane.mead_now.stabilised, made.pane.mead_now.how
    made.store.edit(edits.add_readings(made.store.batch, Event(what=What.STABILISED, day=40.0)), "log what was done")
    assert box.isChecked()
    assert not box.isEnabled()
    assert "by the log" in how.text()
    made.undo.undo()
    assert not box.isChecked()
    assert box.isEnabled()


def test_that_stabilising_and_serving_are_stored(bench):
    made = bench().open()
    made.qtbot.mouseClick(made.pane.mead_now.stabilised, Qt.MouseButton.LeftButton, pos=QPoint(8, 8))
    assert made.adjustment.stabilised
    made.type(made.pane.mead_now.serving, "8 °C")
    assert made.adjustment.serving_temperature == pytest.approx(281.15)
    made.undo.undo()
    made.undo.undo()
    assert not made.pane.mead_now.stabilised.isChecked()
    assert plain(made.pane.mead_now.serving.text()) == "12 °C"


def test_that_every_property_stands_in_its_row(bench):
    made = bench(adjusted())
    before = made.outcome.mead.before
    rows = made.pane.mead_now.rows
    assert plain(rows["alcohol"].value.text()) == plain(METRIC.percent_vol(before.alcohol))
    for name in ("fermentable", "acid", "sweetness"):
        assert plain(rows[name].value.text()) == plain(METRIC.grams_per_litre(getattr(before, name)))
    assert plain(rows["viscosity"].value.text()).endswith("mPa·s")
    assert all(row.accessibleName() and not row.isHidden() for row in rows.values())


def test_that_a_doubt_about_the_gravity_stands_below_it(bench):
    made = bench(adjusted(gravity=0.975))
    remarks = made.pane.mead_now.remarks["gravity"]
    assert any("lower than this must" in text for text in remarks.texts())
    made.store.edit(edits.change_adjustment(made.store.batch, gravity=1.004), "")
    assert not remarks.texts()


def test_that_an_empty_batch_shows_the_way_to_the_recipe(bench, qtbot):
    made = bench(new_batch())
    assert not made.pane.mead_now.empty.isHidden()
    assert all(row.isHidden() for row in made.pane.mead_now.rows.values())
    with qtbot.waitSignal(made.pane.recipe_wanted):
        made.pane.mead_now.empty.linkActivated.emit("#")
    made.store.load(planned())
    assert made.pane.mead_now.empty.isHidden()


# --- before and after, what to weigh, will it stay still


def cells_of(table):
    return {plain(row[0].text()): [plain(label.text()) for label in row] for row in table._rows}


def test_that_before_and_after_appear_with_the_first_addition(bench):
    made = bench(adjusted())
    assert made.pane.foot.isHidden()
    made.store.edit(edits.add_addition(made.store.batch, Addition(key="sugar", mass=0.5)), "")
    assert not made.pane.foot.isHidden()
    shown = cells_of(made.pane.table)
    after = made.outcome.mead.after
    assert shown["Gravity"][2:4] == ["1.004", f"{after.gravity.typical:.3f}"]
    assert shown["Sweetness"][3] == plain(METRIC.grams_per_litre(after.sweetness)).split(" ")[0]
    made.undo.undo()
    assert made.pane.foot.isHidden()


def test_that_before_and_after_can_be_folded_away_for_room(bench):
    made = bench(adjusted(("erythritol", 0.4))).open()
    room = made.pane.area.height()
    made.pane.foot_heading.click()
    made.qtbot.waitUntil(lambda: made.pane.area.height() > room + 100)
    assert not made.pane.table.isVisible()
    made.pane.foot_heading.click()
    made.qtbot.waitUntil(lambda: made.pane.table.isVisible())


def test_that_the_mead_left_after_a_trial_is_told_where_its_volume_stands(bench):
    made = bench(adjusted(("erythritol", 0.4), volume=0.0195, drunk=0.5e-3))
    assert plain(made.pane.mead_now.basis.text()).startswith("19 L are left, after 500 mL were taken out.")


def test_that_the_serving_temperature_changes_the_body_as_served(bench):
    made = bench(adjusted(("sugar", 0.5)))
    assert "… at 12 °C" in cells_of(made.pane.table)
    warm = float(cells_of(made.pane.table)["… at 12 °C"][3])
    made.store.edit(edits.change_adjustment(made.store.batch, serving_temperature=277.15), "")
    assert float(cells_of(made.pane.table)["… at 4 °C"][3]) > warm


class PaintCount(QObject):
    """Counts how often something is painted."""

    def __init__(self, widgets):
        super().__init__()
        self.painted = 0
        for widget in widgets:
            widget.installEventFilter(self)

    def eventFilter(self, _watched, event):
        self.painted += event.type() == QEvent.Type.Paint
        return False


def test_that_numbers_are_painted_once_when_they_change_and_not_when_they_stay(bench, qtbot):
    made = bench(adjusted(("sugar", 0.5))).open()
    labels = [label for row in made.pane.table._rows for label in row]
    QCoreApplication.processEvents()
    count = PaintCount(labels)
    made.pane.show_outcome(made.outcome)
    QCoreApplication.processEvents()
    assert count.painted == 0
    heavier = edits.change_adjustment(made.store.batch, gravity=1.020)
    made.pane.show_outcome(evaluate(heavier, SHELF, 4))
    qtbot.waitUntil(lambda: count.painted > 0)
    QCoreApplication.processEvents()
    assert count.painted <= len(labels)


def test_that_stale_numbers_are_dimmed_and_stay(bench):
    made = bench(adjusted(("sugar", 0.5)))
    shown = cells_of(made.pane.table)
    made.pane.set_stale(True)
    assert cells_of(made.pane.table) == shown
    assert all(label.property("tone") == "dim" for row in made.pane.table._rows for label in row[2:])
    made.pane.set_stale(False)
    assert not any(label.property("tone") for row in made.pane.table._rows for label in row[2:])


def test_that_what_to_weigh_is_listed_once_for_each_ingredient(bench):
    made = bench(adjusted(("erythritol", 0.3), ("erythritol", 0.1), ("malic-acid", 0.02)))
    shown = plain(made.pane.weighed.text())
    assert shown.count("erythritol") == 1
    assert "400 g erythritol (≈ 490 mL)" in shown
    assert "20 g malic acid" in shown
    made.open()
    assert made.pane.rough.isVisible()
    made.store.load(adjusted())
    assert not made.pane.weighed.isVisible()  # nothing to weigh takes no room


def test_that_what_to_weigh_is_copied_for_the_bench(bench):
    made = bench(adjusted(("honey", 0.5), ("malic-acid", 0.02))).open()
    made.qtbot.mouseClick(made.pane.copy, Qt.MouseButton.LeftButton)
    lines = QApplication.clipboard().text().splitlines()
    assert lines[0].endswith(": 20 L of mead")
    assert lines[1].startswith("500 g honey (≈ 352 mL)")  # 1420 kg/m3 on the shelf
    assert any("burst" in line for line in lines)  # the doubt goes along
    assert "\u2060" not in "".join(lines)


def test_that_doses_are_told_for_what_is_left_after_a_trial(bench):
    made = bench(adjusted(("erythritol", 0.19), volume=0.020, drunk=0.001))
    assert made.rows[0].cells[-1].si == pytest.approx(0.19 / 0.019)


def test_that_danger_in_the_bottle_is_told_in_words(bench):
    made = bench(adjusted(("honey", 0.5)))
    (text,) = made.pane.doubts.texts()
    assert "burst" in text
    assert made.pane.verdict.isHidden()
    made.store.edit(edits.change_adjustment(made.store.batch, stabilised=True), "")
    assert not made.pane.doubts.texts()
    assert not made.pane.verdict.isHidden()
    assert "Stabilised" in made.pane.verdict.text


def test_that_a_planned_stabilising_is_told_as_a_plan_and_can_be_dropped(bench):
    made = bench(adjusted(("honey", 0.5), stabilising="heat"))
    assert not made.pane.mead_now.stabilised.isChecked()
    assert "planned by heat, not done yet" in made.pane.mead_now.how.text()
    (text,) = made.pane.doubts.texts()
    assert "burst" in text
    assert "planned and not done" in text
    made.pane.mead_now.how.linkActivated.emit("plan")
    assert made.adjustment.stabilising == ""
    assert "planned" not in made.pane.mead_now.how.text()
    assert "planned" not in made.pane.doubts.texts()[0]


@pytest.mark.parametrize(
    ("rules", "text"),
    [
        (HouseRules(), "by sulphite with sorbate, or by heat"),
        (HouseRules(no_sulphite=True, no_sorbate=True), "by heat"),
        (HouseRules(no_heat=True), "by sulphite with sorbate"),
        (HouseRules(no_allergens=True, no_heat=True), "the house rules leave neither sulphite with sorbate nor heat"),
    ],
)
def test_that_the_house_rules_decide_by_what_yeast_may_be_kept(bench, rules, text):
    made = bench(adjusted())
    batch = made.store.batch
    made.store.edit(msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, rules=rules)), "rules")
    assert made.pane.mead_now.how.text() == text


# --- habits, focus, life


def test_that_other_units_are_shown_everywhere_and_change_nothing(bench):
    made = bench(adjusted(("erythritol", 0.4)))
    before = made.store.batch
    made.pane.set_display(US)
    texts = [plain(label.text()) for label in made.pane.findChildren(QLabel)]
    assert plain(made.pane.mead_now.volume.text()) == "5.283 US gal"  # 20 / 3.785412: NIST Handbook 44, appendix C
    assert plain(made.pane.mead_now.serving.text()) == "53.6 °F"
    assert plain(made.rows[0].cells[1].text()) == "14.11 oz"
    assert any("°Bx" in text for text in texts)
    assert any("14.1 oz erythritol (≈ 2 level US cups)" in text for text in texts)
    assert made.store.batch is before
    made.pane.set_display(METRIC)
    assert plain(made.rows[0].cells[1].text()) == "400 g"


def test_that_tab_goes_from_top_to_bottom_also_through_lines_that_came_later(bench):
    made = bench(adjusted(("sugar", 0.4))).open()
    choose(made, "malic-acid")
    pane = made.pane
    above, below = (pane.mead_now, pane.measured, pane.additions), (pane.tools, pane.still, pane.tastings)
    wanted = [widget for section in above for widget in section.focus_chain()] + [pane.copy]
    wanted += [widget for section in below for widget in section.focus_chain()]
    wanted = [widget for widget in wanted if widget.isVisible() and widget.focusPolicy() & Qt.FocusPolicy.TabFocus]
    wanted[0].setFocus()
    seen = [made.pane.focusWidget()]
    while len(seen) < len(wanted):
        made.qtbot.keyClick(seen[-1], Qt.Key.Key_Tab)
        seen.append(made.pane.focusWidget())
    assert seen == wanted


def test_that_everything_that_takes_the_focus_has_a_name(bench):
    made = bench(adjusted(("sugar", 0.4))).open()
    nameless = [
        child
        for child in made.pane.findChildren(QWidget)
        if child.focusPolicy() & Qt.FocusPolicy.TabFocus
        and child.isVisible()
        and not (child.accessibleName() or getattr(child, "text", str)())
    ]
    assert not nameless


def test_that_a_narrow_pane_needs_no_scrolling_sideways(bench):
    made = bench(adjusted(*((key, 0.1234) for key in SHELF.additives))).open()
    for fold in (made.pane.measured, made.pane.still, *made.pane.tools.folds):
        fold.heading.setChecked(True)
    for display in (METRIC, US):
        made.pane.set_display(display)
        made.pane.resize(300, 700)
        QCoreApplication.processEvents()
        assert made.pane.area.widget().width() <= made.pane.area.viewport().width()


def test_that_the_amount_being_edited_stays_in_sight_when_the_foot_appears(bench):
    made = bench(adjusted())
    made.pane.resize(330, 420)
    with made.qtbot.waitActive(made.pane):
        made.pane.show()
    choose(made, "erythritol")
    mass = made.rows[0].cells[1]
    made.qtbot.waitUntil(mass.hasFocus)
    made.qtbot.waitUntil(made.pane.foot.isVisible)
    viewport = made.pane.area.viewport()
    made.qtbot.waitUntil(lambda: viewport.rect().contains(mass.mapTo(viewport, mass.rect().center())))


def test_that_a_closed_pane_is_let_go(qapp):
    store = BatchStore(adjusted(("sugar", 0.4)))
    pane = AdjustPane(store, SHELF, METRIC, theme.LIGHT)
    pane.show_batch(store.batch)
    pane.show_outcome(evaluate(store.batch, SHELF, 0))
    gone = weakref.ref(pane)
    pane.deleteLater()
    del pane
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    assert gone() is None


# --- by what it is known


def logged(name):
    return decode((samples() / f"{name}.meadbatch").read_bytes())


def test_that_the_log_stands_in_for_what_was_not_measured(bench):
    made = bench(logged("damson-stopped"), members=40)
    standing = made.pane.mead_now
    assert plain(standing.gravity.placeholderText()) == "by the log 1.030"
    assert "stalled" in plain(standing.basis.text())
    assert "to" in standing.rows["fermentable"].value.text()
    assert any("Do not bottle this yet" in text for text in made.pane.doubts.texts())


def test_that_a_gravity_of_the_persons_own_replaces_that_of_the_log(bench):
    made = bench(logged("damson-stopped"), members=40).open()
    made.type(made.pane.mead_now.gravity, "1.012")
    assert made.outcome.mead.before.gravity.typical == pytest.approx(1.012, abs=1e-5)
    made.undo.undo()
    assert plain(made.pane.mead_now.gravity.placeholderText()) == "by the log 1.030"


def test_that_an_unknown_ph_is_shown_as_its_range_and_a_measured_one_as_itself(bench):
    made = bench(adjusted())
    row, field = made.pane.mead_now.rows["ph"], made.pane.measured.tool.fields["ph"]
    assert " to " in plain(row.value.text())
    made.pane.measured.heading.setChecked(True)
    assert field.placeholderText() == f"predicted {row.value.text()}"
    made.store.edit(edits.change_adjustment(made.store.batch, ph=3.3), "")
    assert row.value.text() == "3.30"


def test_that_the_headspace_stands_in_the_table_while_the_vessel_is_known(bench):
    made = bench(adjusted(("sugar", 0.4), vessel=0.021))
    assert "Headspace" in [row.caption for row in made.pane.table.shown]
    made.store.edit(edits.change_adjustment(made.store.batch, vessel=None), "")
    assert "Headspace" not in [row.caption for row in made.pane.table.shown]
    assert made.pane.table.rows[len(made.pane.table.shown)][0].isHidden()


def test_that_what_comes_near_to_crystallising_says_what_stays_dissolved(bench):
    made = bench(adjusted(("erythritol", 1.0)))
    assert "110 g/L stay dissolved at 4 °C" in plain(made.rows[0].beneath.text())  # 12 % vol: estimate of the shelf
    assert "150 g/L at 15 °C" in plain(made.rows[0].cells[0].toolTip())
    few = bench(adjusted(("erythritol", 0.2)))
    assert "dissolved" not in few.rows[0].beneath.text()


def test_that_the_hover_of_an_ingredient_cites_what_its_cautions_rest_on(bench):
    made = bench(adjusted(("xylitol", 0.2)))
    assert "Its cautions rest on" in made.rows[0].cells[0].toolTip()


def test_that_an_edit_leaves_open_folds_alone_until_it_is_worked_out(bench):
    made = bench(adjusted(("erythritol", 0.4)))
    tool = made.pane.still.tool
    made.pane.still.heading.setChecked(True)
    refreshed = []
    tool.refresh = lambda: refreshed.append(True)
    after = edits.change_addition(made.store.batch, 0, mass=0.5)
    made.pane.show_batch(after)
    assert not refreshed
    made.pane.show_outcome(evaluate(after, SHELF, 4))
    assert len(refreshed) == 1


def test_that_nothing_is_searched_anew_where_the_mead_before_is_the_same(bench, monkeypatch):
    made = bench(adjusted(("erythritol", 0.4))).open()
    made.pane.tools.finding.heading.setChecked(True)
    tool = made.pane.tools.finding.tool
    made.type(tool.fields["sweetness"], "30")
    searched = []
    monkeypatch.setattr("planner.ui.adjust.find.find", lambda *asked, **_: searched.append(asked))
    made.store.edit(edits.change_addition(made.store.batch, 0, mass=0.5), "")
    assert not searched
    monkeypatch.undo()
    before = tool.answer.text()
    made.store.edit(edits.change_adjustment(made.store.batch, gravity=1.003), "")
    assert tool.answer.text() != before
