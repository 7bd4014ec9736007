"""The recipe pane: type, look at the store; set a batch, look at the pane."""

from __future__ import annotations

import gc
import weakref

import msgspec
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QCheckBox, QLabel, QLineEdit, QScrollArea, QWidget

from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Batch,
    Feed,
    FruitLine,
    HoneyLine,
    HydrometerReading,
    Recipe,
    TemperatureStep,
    TitrationReading,
    Yeast,
    new_batch,
)
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.ui.display import Display, between
from planner.ui.recipe.pane import RecipePane
from planner.ui.store import BatchStore
from planner.ui.theme import DARK, LIGHT
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.remarks import Remarks, in_words
from planner.units import GravityScale, System

FULL = Batch(
    name="Hedge",
    notes="From the hedge.",
    recipe=Recipe(
        yeast=Yeast(key="all-rounder", pitch=0.006),
        fruits=(FruitLine(key="plum", mass=9.0), FruitLine(key="apple", mass=4.0)),
        honeys=(HoneyLine(key="blossom", mass=3.0),),
        temperatures=(TemperatureStep(day=0.0, temperature=291.15), TemperatureStep(day=10.0, temperature=295.15)),
        feeds=(Feed(key="blend", mass=0.008, day=2.0),),
        water=2.0,
        vessel=0.02,
    ),
)


class Desk:
    """A pane on a store, and the science behind it without the wait."""

    def __init__(self, batch, display):
        self.store = BatchStore(batch)
        self.pane = RecipePane(self.store, catalogue(), display, LIGHT)
        self.store.changed.connect(self.pane.show_batch)

    @property
    def recipe(self):
        return self.store.batch.recipe

    def work_out(self, members=0, batch=None):
        outcome = evaluate(self.store.batch if batch is None else batch, catalogue(), members)
        self.pane.show_outcome(outcome)
        return outcome

    def undo_texts(self):
        return [self.store.undo_stack.text(index) for index in range(self.store.undo_stack.count())]


@pytest.fixture
def desk(qtbot):
    stores = []

    def make(batch=FULL, display=None, width=330, height=900):
        made = Desk(batch, display or Display())
        stores.append(made.store)
        qtbot.addWidget(made.pane)
        made.pane.resize(width, height)
        with qtbot.waitActive(made.pane):
            made.pane.show()
        return made

    yield make
    for store in stores:
        store.undo_stack.clear()  # PySide 6.11.3 frees commands twice when a stack is part of a cycle of garbage


def enter(widget, text, qtbot):
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(widget.hasFocus)
    edit = widget.lineEdit() if hasattr(widget, "lineEdit") else widget
    edit.setText(text)
    qtbot.keyClick(widget, Qt.Key.Key_Return)


def shown(row):
    return row.value.text()


# --- typing a recipe


def test_that_a_recipe_is_typed_from_nothing(desk, qtbot):
    made = desk(new_batch())
    pane = made.pane
    enter(pane.name, "Lane Plum", qtbot)
    enter(pane.fruit.editor.empty, "plum", qtbot)
    assert made.recipe.fruits == (FruitLine(key="plum", mass=5.0),)
    enter(QApplication.focusWidget(), "9", qtbot)
    enter(pane.honey.editor.empty, "blossom honey", qtbot)
    enter(QApplication.focusWidget(), "3 kg", qtbot)
    enter(pane.water.water, "2 L", qtbot)
    enter(pane.feeding.editor.empty, "diammonium", qtbot)
    enter(QApplication.focusWidget(), "3 g", qtbot)
    enter(QApplication.focusWidget(), "30 %", qtbot)
    enter(pane.temperature.editor.empty, "day 10", qtbot)
    enter(QApplication.focusWidget(), "22 °C", qtbot)
    enter(pane.vessel.vessel, "20 L", qtbot)
    assert made.store.batch.name == "Lane Plum"
    assert made.recipe.fruits == (FruitLine(key="plum", mass=9.0),)
    assert made.recipe.honeys == (HoneyLine(key="blossom", mass=3.0),)
    assert made.recipe.water == pytest.approx(2.0 * 0.9982, rel=1e-4)  # CRC Handbook, 95th ed.: water at 20 °C
    assert made.recipe.feeds == (Feed(key="diammonium-phosphate", mass=0.003, sugar_used=0.30),)
    assert [(step.day, round(step.temperature, 6)) for step in made.recipe.temperatures] == [
        (0.0, 291.15),
        (10.0, 295.15),
    ]
    assert made.recipe.vessel == pytest.approx(0.02, rel=1e-12)


def test_that_a_us_reader_begins_with_round_pounds(desk, qtbot):
    made = desk(new_batch(), Display(system=System.US))
    enter(made.pane.fruit.editor.empty, "plum", qtbot)
    enter(made.pane.honey.editor.empty, "blossom honey", qtbot)
    assert made.pane.fruit.editor.rows[0].cells[1].text() == "10\u00a0lb"
    assert made.pane.honey.editor.rows[0].cells[1].text() == "5\u00a0lb"


def test_that_a_yeast_and_its_pitch_are_chosen(desk, qtbot):
    made = desk()
    choice = made.pane.yeast.choice
    choice.setCurrentIndex(next(i for i in range(choice.count()) if choice.itemData(i) == "cool-clean"))
    choice.activated.emit(choice.currentIndex())
    enter(made.pane.yeast.pitch, "8 g", qtbot)
    assert made.recipe.yeast == Yeast(key="cool-clean", pitch=0.008)
    row = catalogue().yeasts["cool-clean"]
    low, high = (Display().temperature(warmth) for warmth in (row.t_low, row.t_high))
    assert between(low, high) in made.pane.yeast.text.text()


def test_that_the_preparation_is_ticked_and_typed(desk, qtbot):
    made = desk()
    made.pane.preparation.frozen.click()
    made.pane.preparation.enzyme.click()
    enter(made.pane.preparation.soak, "5", qtbot)
    preparation = made.recipe.preparation
    assert (preparation.frozen, preparation.enzyme, preparation.soak) == (False, False, 5.0)


def test_that_a_vessel_may_be_left_empty(desk, qtbot):
    made = desk()
    enter(made.pane.vessel.vessel, "", qtbot)
    assert made.recipe.vessel is None


def test_that_notes_are_in_the_batch_as_soon_as_they_are_typed_and_are_one_step(desk, qtbot):
    made = desk()
    made.pane.notes.notes.setFocus()
    qtbot.keyClicks(made.pane.notes.notes, "Ripe. ")
    assert made.store.batch.notes == "Ripe. From the hedge."
    assert made.undo_texts() == ["notes"]


def test_that_details_of_a_fruit_are_measured_instead_of_expected(desk, qtbot):
    made = desk()
    row = made.pane.fruit.editor.rows[0]
    row.disclosure.toggle()
    assert row.details.press_yield.placeholderText().endswith("expected")
    row.details.stoned.click()
    enter(row.details.press_yield, "65 %", qtbot)
    enter(row.details.juice_gravity, "1.052", qtbot)
    assert made.recipe.fruits[0] == FruitLine(
        key="plum", mass=9.0, stoned=True, press_yield=pytest.approx(0.65), juice_gravity=pytest.approx(1.052)
    )
    enter(row.details.press_yield, "", qtbot)
    assert made.recipe.fruits[0].press_yield is None


def test_that_juice_is_not_pressed_again(desk):
    made = desk()
    row = made.pane.fruit.editor.rows[0]
    row.disclosure.toggle()
    row.details.as_juice.click()
    assert made.recipe.fruits[0].as_juice
    assert not row.details.press_yield.isEnabled()
    assert not row.details.stoned.isEnabled()
    made.work_out()
    assert row.beneath.text().startswith("is ")


def test_that_a_fruit_without_stones_is_not_asked_about_them(desk):
    aronia = FruitLine(key="aronia", mass=1.0)
    made = desk(edits.add_line(FULL, "fruits", aronia))
    row = made.pane.fruit.editor.rows[2]
    row.disclosure.toggle()
    assert catalogue().fruits["aronia"].stone == 0.0
    assert not row.details.stoned.isVisible()


def test_that_an_expected_yield_follows_the_preparation(desk):
    made = desk()
    row = made.pane.fruit.editor.rows[0]
    row.disclosure.toggle()
    before = row.details.press_yield.placeholderText()
    made.pane.preparation.enzyme.click()
    assert row.details.press_yield.placeholderText() != before


def test_that_the_water_in_a_honey_is_measured(desk, qtbot):
    made = desk()
    row = made.pane.honey.editor.rows[0]
    row.disclosure.toggle()
    assert "by weight" in row.details.text.text()
    enter(row.details.moisture, "18.5", qtbot)
    assert made.recipe.honeys[0].moisture == pytest.approx(0.185)


# --- undo


def test_that_arrow_presses_in_a_row_are_one_step_and_leaving_ends_it(desk, qtbot):
    made = desk()
    cell = made.pane.fruit.editor.rows[0].cells[1]
    cell.setFocus()
    for _ in range(5):
        qtbot.keyClick(cell, Qt.Key.Key_Up)
    reached = made.recipe.fruits[0].mass
    assert reached > 9.0
    assert len(made.undo_texts()) == 1
    made.pane.name.setFocus()
    cell.setFocus()
    qtbot.keyClick(cell, Qt.Key.Key_Up)
    assert len(made.undo_texts()) == 2
    made.store.undo_stack.undo()
    assert made.recipe.fruits[0].mass == reached
    made.store.undo_stack.undo()
    assert made.recipe == FULL.recipe
    assert cell.si == 9.0


def test_that_each_step_is_told_in_words(desk, qtbot):
    made = desk()
    pane = made.pane
    enter(pane.fruit.editor.rows[0].cells[1], "10 kg", qtbot)
    pane.fruit.editor.rows[1].remove.click()
    enter(pane.feeding.editor.rows[0].cells[2], "33 %", qtbot)
    enter(pane.temperature.editor.rows[1].cells[1], "23", qtbot)
    pane.preparation.enzyme.click()
    assert [text.replace("\u00a0", " ") for text in made.undo_texts()] == [
        "Plum: 10 kg",
        "remove Apple",
        "Blend of organic and ammonium: at 33 % of the sugar",
        "step from day 10: 23 °C",
        "no pectic enzyme",
    ]


def test_that_undo_and_redo_show_every_part_again(desk, qtbot):
    made = desk()
    made.pane.fruit.editor.rows[0].remove.click()
    enter(made.pane.water.water, "0", qtbot)
    while made.store.undo_stack.canUndo():
        made.store.undo_stack.undo()
    assert [row.cells[0].key for row in made.pane.fruit.editor.rows] == ["plum", "apple"]
    assert made.pane.water.water.text() == "2\u00a0kg"
    while made.store.undo_stack.canRedo():
        made.store.undo_stack.redo()
    assert [row.cells[0].key for row in made.pane.fruit.editor.rows] == ["apple"]
    assert made.pane.water.water.text() == "0\u00a0L"


def test_that_a_refused_edit_changes_nothing_and_says_so(desk, monkeypatch):
    made = desk()

    def refuse(*_args, **_changes):
        raise edits.EditRefused("mass: expected a {number}.")

    monkeypatch.setattr(edits, "change_line", refuse)
    cell = made.pane.fruit.editor.rows[0].cells[1]
    cell.setText("12 kg")
    assert cell.accept()
    assert made.store.batch is FULL
    assert cell.si == 9.0
    assert made.pane.refusal.texts() == ["Not changed. mass: expected a {number}."]
    made.pane.preparation.enzyme.click()
    assert made.pane.refusal.texts() == []


# --- temperatures


def test_that_the_first_temperature_holds_from_pitching(desk):
    made = desk()
    first, second = made.pane.temperature.editor.rows
    assert not first.cells[0].isEnabled()
    assert second.cells[0].isEnabled()
    second.remove.click()
    assert not first.remove.isVisible()


def test_that_a_new_step_stands_in_its_place_with_the_temperature_before_it(desk, qtbot):
    made = desk()
    enter(made.pane.temperature.editor.empty, "4", qtbot)
    assert [(step.day, step.temperature) for step in made.recipe.temperatures] == [
        (0.0, 291.15),
        (4.0, 291.15),
        (10.0, 295.15),
    ]
    assert QApplication.focusWidget() is made.pane.temperature.editor.rows[1].cells[1]


# --- results


def test_that_an_empty_batch_says_what_would_fill_it(desk):
    made = desk(new_batch())
    made.work_out()
    results = made.pane.results
    assert {shown(row) for row in (*results.must.values(), *results.finish.values())} == {"–"}
    assert results.remarks.texts() == ["Enter fruit, honey or water to see the must."]
    assert not results.budget.isVisible()
    assert made.pane.fruit.editor.empty.lineEdit().placeholderText() == "Add fruit: type its name"


def test_that_results_are_those_of_the_science_in_the_readers_units(desk):
    made = desk()
    outcome = made.work_out(members=20)
    results = made.pane.results
    metric = Display()
    assert shown(results.must["volume"]) == metric.volume(outcome.must.volume)
    assert shown(results.must["gravity"]) == metric.gravity(outcome.must.gravity)
    assert shown(results.finish["alcohol"]) == metric.percent_vol(outcome.finish.alcohol)
    us = Display(system=System.US, gravity_scale=GravityScale.BRIX)
    made.pane.set_display(us)
    assert shown(results.must["volume"]) == us.volume(outcome.must.volume)
    assert shown(results.must["gravity"]) == us.gravity(outcome.must.gravity)
    assert made.pane.fruit.editor.rows[0].beneath.text().startswith(f"gives {us.volume(outcome.must.juices[0])}")


def test_that_each_fruit_says_what_it_gives(desk):
    made = desk()
    outcome = made.work_out(members=20)
    for row, juice in zip(made.pane.fruit.editor.rows, outcome.must.juices, strict=True):
        assert row.beneath.text().startswith(f"gives {Display().volume(juice)}")


def test_that_a_late_outcome_tells_nothing_of_a_fruit_that_was_changed_since(desk):
    made = desk()
    before = made.store.batch
    made.store.edit(edits.change_line(before, "fruits", 0, key="pear"), "x")
    made.work_out(batch=before)
    assert made.pane.fruit.editor.rows[0].beneath.text() == ""
    assert made.pane.fruit.editor.rows[1].beneath.text().startswith("gives")
    made.store.edit(edits.remove_line(made.store.batch, "fruits", 0), "x")
    made.work_out(batch=before)
    assert made.pane.fruit.editor.rows[0].beneath.text().startswith("gives")


def test_that_an_acid_of_the_must_in_the_log_is_shown_as_measured(desk):
    plain = desk()
    plain.work_out()
    captions = [plain.pane.results.must[name].caption.text() for name in ("ph", "acid")]
    assert captions == ["pH, estimated", "Acid, as tartaric"]
    made = desk(edits.add_readings(FULL, AcidityReading(day=0.0, ph=3.0), TitrationReading(day=0.0, acid=9.1)))
    made.work_out(members=20)
    rows = made.pane.results.must
    assert [rows[name].caption.text() for name in ("ph", "acid")] == ["pH, measured", "Acid, measured"]
    assert rows["ph"].value.text().startswith("3.0")
    assert rows["acid"].value.text().startswith("9.1")


def test_that_a_measured_starting_gravity_is_told_beside_the_expected_one(desk, qtbot):
    made = desk(edits.add_readings(FULL, HydrometerReading(day=0.0, gravity=1.085, temperature=293.15)))
    made.work_out(members=20)
    row = made.pane.results.must["gravity"]
    assert row.caption.text() == "Gravity, read 1.085"
    made.pane.show_outcome(evaluate(FULL, catalogue(), 0))
    assert row.caption.text() == "Gravity"


def test_that_nitrogen_is_told_with_what_the_yeast_wants(desk):
    made = desk()
    outcome = made.work_out(members=20)
    wanted = catalogue().yeasts["all-rounder"].nitrogen_for(outcome.must.sugar.typical)
    assert shown(made.pane.results.must["nitrogen"]).endswith(f" of {1e3 * wanted:.0f}\xa0mg/L")


def test_that_nitrogen_of_the_planned_feeds_stands_beside_that_of_the_must(desk):
    made = desk(edits.change_recipe(FULL, feeds=(Feed(key="diammonium-phosphate", mass=0.004, day=1.0),)))
    outcome = made.work_out(members=20)
    brought = 0.004 * 28.014 / 132.06 / outcome.must.volume.typical  # of (NH4)2HPO4, by its formula
    told = shown(made.pane.results.must["nitrogen"])
    assert told.startswith(f"{1e3 * (brought + outcome.must.nitrogen.typical):.0f}")
    hover = made.pane.results.must["nitrogen"].toolTip().replace("\u202f", " ").replace("\xa0", " ")
    assert f"from the must, {1e3 * brought:.0f} mg/L from planned feeds" in hover
    made.store.edit(edits.change_recipe(made.store.batch, feeds=()), "no feeds")
    made.work_out(members=20)
    assert shown(made.pane.results.must["nitrogen"]) != told


def test_that_the_hover_tells_the_range_of_a_bar_in_figures(desk):
    made = desk()
    gravity = made.work_out(members=20).must.gravity
    row = made.pane.results.must["gravity"]
    assert f"Nine in ten: {gravity.low:.3f} to {gravity.high:.3f}." in row.toolTip()


def test_that_enough_nitrogen_is_called_enough(desk):
    made = desk(edits.change_recipe(FULL, feeds=(Feed(key="diammonium-phosphate", mass=0.040, day=1.0),)))
    made.work_out(members=20)
    assert shown(made.pane.results.must["nitrogen"]).endswith("mg/L, enough")


def test_that_the_budget_of_the_finish_adds_up(desk):
    made = desk()
    outcome = made.work_out(members=20)
    budget = made.pane.results.budget
    assert not budget.table.isVisible()
    budget.disclosure.toggle()
    assert budget.table.isVisible()
    assert budget.disclosure.text() == f"Why {Display().gravity(outcome.finish.gravity.typical)} and not 1.000"
    numbers = {what: float(text.replace("\u2212", "-")) for what, text, _ in budget.lines()}
    together = numbers.pop("Together")
    assert numbers["Alcohol"] < 0.0
    # each line is rounded to a tenth of a point, and so is their sum
    assert sum(numbers.values()) == pytest.approx(together, abs=0.05 * (len(numbers) + 1))
    assert together == pytest.approx(1000.0 * (outcome.finish.gravity.typical - 1.0), abs=0.05)
    assert all(bounds for _, _, bounds in budget.lines())


def test_that_stale_results_are_dimmed_and_never_blanked(desk):
    made = desk()
    made.work_out(members=20)
    row = made.pane.results.finish["gravity"]
    text = shown(row)
    made.pane.set_stale(True)
    assert shown(row) == text
    assert row.value.is_stale
    made.work_out(members=20)
    assert not row.value.is_stale


# --- findings


def test_that_findings_stand_beside_what_causes_them(desk):
    hot = edits.change_line(FULL, "temperatures", 1, temperature=308.15)
    small = edits.change_recipe(hot, vessel=0.005)
    small = edits.change_yeast(small, pitch=0.0)
    made = desk(edits.change_line(small, "honeys", 0, moisture=0.30))
    outcome = made.work_out()
    pane = made.pane
    assert any("above this yeast's range" in text for text in pane.temperature.editor.rows[1].remarks.texts())
    assert pane.temperature.editor.rows[0].remarks.texts() == []
    assert any("does not fit" in text for text in pane.vessel.remarks.texts())
    assert any("No yeast is pitched" in text for text in pane.yeast.remarks.texts())
    assert any("unlikely water content" in text for text in pane.honey.editor.rows[0].remarks.texts())
    recipe = [finding for finding in outcome.findings if finding.place.startswith("recipe")]
    told = {text for remarks in pane.findChildren(Remarks) for text in remarks.texts()}
    assert len(recipe) > 3
    assert {in_words(finding.text, Display()) for finding in recipe} <= told


def test_that_cautions_of_honey_and_yeast_are_told_once(desk):
    made = desk(edits.add_line(FULL, "honeys", HoneyLine(key="dark", mass=1.0)))
    made.work_out()
    first, second = made.pane.honey.editor.rows
    assert any("infant" in text for text in first.remarks.texts())
    assert not any("infant" in text for text in second.remarks.texts())
    assert sum("carbon dioxide" in text for text in made.pane.yeast.remarks.texts()) == 1


def test_that_an_ingredient_that_the_shelf_does_not_hold_is_shown_and_doubted(desk):
    made = desk(edits.add_line(FULL, "fruits", FruitLine(key="moon-fruit", mass=1.0)))
    made.work_out()
    row = made.pane.fruit.editor.rows[2]
    assert row.cells[0].currentText() == "moon-fruit"
    assert any("moon-fruit" in text for text in row.remarks.texts())
    row.disclosure.toggle()
    assert row.details.isVisible()


# --- the pane as a widget


@pytest.mark.parametrize("width", [300, 380, 480])
@pytest.mark.parametrize("display", [Display(), Display(system=System.US, gravity_scale=GravityScale.BRIX)])
def test_that_nothing_is_cut_off_sideways(desk, qtbot, width, display):
    made = desk(width=width, display=display)
    made.work_out(members=20)
    made.pane.results.budget.disclosure.toggle()
    areas = (made.pane._lines, made.pane._foot)
    qtbot.waitUntil(lambda: all(area.widget().width() == area.viewport().width() for area in areas))


def test_that_the_results_leave_room_for_the_lines(desk, qtbot):
    made = desk(height=420)
    made.work_out(members=20)
    made.pane.results.budget.disclosure.toggle()
    qtbot.waitUntil(lambda: made.pane._foot.height() == int(0.6 * made.pane.height()))
    assert made.pane._lines.height() > 0.35 * made.pane.height()


def test_that_every_control_has_a_name_and_can_be_reached_by_the_tab_key(desk, qtbot):
    made = desk()
    made.work_out()
    made.pane.fruit.editor.rows[0].disclosure.toggle()
    made.pane.name.setFocus()
    visited = [made.pane.name]
    while True:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        focused = QApplication.focusWidget()
        if focused is visited[0]:
            break
        visited.append(focused)
    unnamed = [w for w in visited if not (w.accessibleName() or getattr(w, "text", str)())]
    assert not unnamed
    pane = made.pane
    wanted = [pane.fruit.editor.empty, pane.preparation.soak, pane.honey.editor.empty, pane.water.water,
              pane.yeast.pitch, pane.temperature.editor.empty, pane.feeding.editor.empty,
              pane.vessel.vessel, pane.notes.notes, pane.results.finish["alcohol"]]  # fmt: skip
    assert [w for w in visited if w in wanted] == wanted
    assert isinstance(visited[0], QLineEdit)


def test_that_an_outcome_shown_twice_changes_no_text(desk):
    made = desk()
    outcome = made.work_out(members=20)
    texts = [label.text() for label in made.pane.findChildren(QLabel)]
    made.pane.show_outcome(outcome)
    assert [label.text() for label in made.pane.findChildren(QLabel)] == texts


def test_that_an_unchanged_recipe_is_left_alone(desk):
    made = desk()
    cell = made.pane.fruit.editor.rows[0].cells[1]
    cell.setText("12")
    made.store.edit(msgspec.structs.replace(FULL, tastings=()), "x")
    made.pane.show_batch(edits.describe(FULL, name="Other"))
    assert cell.text() == "12"
    assert made.pane.name.text() == "Other"
    cell.restore()


def test_that_another_theme_keeps_everything(desk):
    made = desk()
    made.work_out(members=20)
    text = shown(made.pane.results.must["gravity"])
    made.pane.set_colours(DARK)
    assert shown(made.pane.results.must["gravity"]) == text


def test_that_a_closed_pane_is_let_go(qapp):
    made = Desk(FULL, Display())
    made.work_out()
    made.pane.fruit.editor.rows[0].disclosure.toggle()
    gone = weakref.ref(made.pane)
    made.pane.close()
    del made
    gc.collect()
    assert gone() is None


@pytest.mark.parametrize("width", [310, 350])  # the pane is at least 305 wide in these letters
def test_that_nothing_in_the_pane_is_wider_than_the_pane_whatever_is_open(desk, qtbot, width):
    longest = (FruitLine(key="raspberry", mass=6.0), FruitLine(key="blackcurrant", mass=2.0))
    batch = msgspec.structs.replace(FULL, recipe=msgspec.structs.replace(FULL.recipe, fruits=longest))
    made = desk(batch, width=width, height=500)
    made.work_out(members=20)
    for _ in range(2):  # some folds stand inside others
        for fold in made.pane.findChildren(Disclosure):
            fold.setChecked(True)
    boxes = [box for box in made.pane.findChildren(QCheckBox) if box.text().startswith("Weighed without")]
    qtbot.waitUntil(lambda: bool(boxes) and boxes[0].height() > 14)  # its words take two lines
    for area in made.pane.findChildren(QScrollArea):
        room, content = area.viewport(), area.widget()
        assert content.width() == room.width()
        for part in content.findChildren(QWidget):
            if part.isVisible():
                assert part.mapTo(room, QPoint(part.width(), 0)).x() <= room.width(), part
