"""Wish, house rules, bottles and cost in the recipe pane; routes, schedule and scaling in windows of their own."""

from __future__ import annotations

import re
from datetime import datetime

import msgspec
import pytest
import vobject
from example_batches import routes
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QLabel, QScrollArea

from planner.document.batch import Batch, Feed, FruitLine, HoneyLine, HouseRules, Recipe, Wish, Yeast, new_batch
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.ui.display import Display
from planner.ui.recipe.pane import RecipePane
from planner.ui.recipe.routes import RoutesDialog
from planner.ui.recipe.scale import ScaleDialog
from planner.ui.recipe.schedule import ScheduleDialog
from planner.ui.recipe.windows import RecipeWindows
from planner.ui.settings import Settings
from planner.ui.store import BatchStore
from planner.ui.theme import LIGHT
from planner.units import System
from tests.helpers import ScriptedAsk

SHELF = catalogue()
CURRANTS = Batch(
    name="Currants",
    recipe=Recipe(
        yeast=Yeast(key="all-rounder", pitch=0.005),
        fruits=(FruitLine(key="blackcurrant", mass=16.0),),
        honeys=(HoneyLine(key="blossom", mass=1.0),),
        feeds=(Feed(key="yeast-autolysate", mass=0.008, day=1.0),),
    ),
)


class Desk:
    """A pane on a store."""

    def __init__(self, qtbot, batch=CURRANTS):
        self.qtbot = qtbot
        self.store = BatchStore(batch)
        self.pane = RecipePane(self.store, SHELF, Display(), LIGHT)
        self.store.changed.connect(self.pane.show_batch)
        qtbot.addWidget(self.pane)
        self.pane.resize(330, 900)
        with qtbot.waitActive(self.pane):
            self.pane.show()

    @property
    def recipe(self):
        return self.store.batch.recipe

    def type(self, field, text):
        field.setFocus(Qt.FocusReason.TabFocusReason)
        field.setText(text)
        self.qtbot.keyClick(field, Qt.Key.Key_Return)

    def work_out(self):
        self.pane.show_outcome(evaluate(self.store.batch, SHELF, 0))


@pytest.fixture
def desk(qtbot):
    made = Desk(qtbot)
    yield made
    made.store.undo_stack.clear()  # PySide 6.11.3 frees commands twice when a stack is part of a cycle of garbage


def open_folds(pane):
    for section in (pane.wish, pane.rules, pane.bottling, pane.prices):
        section.disclosure.setChecked(True)


def test_that_what_is_new_begins_folded_with_a_line_that_tells_its_content(desk):
    pane = desk.pane
    for section in (pane.wish, pane.rules, pane.bottling, pane.prices):
        assert not section.is_open
        assert not section.content.isVisible()
    assert pane.wish.summary.text_shown() == "none set"
    assert pane.rules.summary.text_shown() == "no restrictions"


def test_that_a_rule_is_one_click_and_one_step_to_undo(desk):
    open_folds(desk.pane)
    desk.pane.rules.checks["no_sorbate"].click()
    assert desk.recipe.rules == HouseRules(no_sorbate=True)
    assert desk.store.undo_stack.undoText() == "house rule: no sorbate"
    assert desk.pane.rules.summary.text_shown() == "no sorbate"
    desk.store.undo_stack.undo()
    assert not desk.pane.rules.checks["no_sorbate"].isChecked()


def test_that_a_ceiling_is_typed_and_taken_away(desk):
    open_folds(desk.pane)
    desk.type(desk.pane.rules.ceiling, "12")
    assert desk.recipe.rules.alcohol_ceiling == pytest.approx(0.12)
    desk.type(desk.pane.rules.ceiling, "")
    assert desk.recipe.rules.alcohol_ceiling is None


def test_that_a_broken_rule_is_told_beneath_the_rules(desk):
    open_folds(desk.pane)
    desk.pane.rules.checks["natural_only"].click()
    desk.type(desk.pane.rules.ceiling, "5")
    desk.work_out()
    assert any("not above" in text for text in desk.pane.rules.remarks.texts())


def test_that_a_wish_is_worked_out_in_one_step(desk):
    open_folds(desk.pane)
    wish = desk.pane.wish
    desk.type(wish.targets["alcohol"], "12")
    wish.open["honey"].click()
    before = desk.store.undo_stack.count()
    wish.work.click()
    assert desk.store.undo_stack.count() == before + 1
    assert evaluate(desk.store.batch, SHELF, 0).finish.alcohol.typical == pytest.approx(0.12, abs=5e-4)
    assert "of honey" in wish.answer_remarks.texts()[0]
    assert wish.nearest.isHidden()


def test_that_a_conflict_is_told_and_the_nearest_can_be_taken(desk):
    open_folds(desk.pane)
    wish = desk.pane.wish
    desk.type(wish.targets["gravity"], "1.020")
    wish.open["honey"].click()
    recipe = desk.recipe
    wish.work.click()
    assert desk.recipe is recipe
    assert "would mean removing" in wish.answer_remarks.texts()[0]
    wish.nearest.click()
    assert desk.recipe.honeys[0].mass == 0.0
    assert wish.answer_remarks.texts() == []


def test_that_an_answer_goes_when_the_recipe_changes(desk):
    open_folds(desk.pane)
    desk.pane.wish.work.click()
    assert desk.pane.wish.answer_remarks.texts()
    desk.store.edit(
        msgspec.structs.replace(desk.store.batch, recipe=msgspec.structs.replace(desk.recipe, water=1.0)), "water"
    )
    assert desk.pane.wish.answer_remarks.texts() == []


def test_that_sweetness_in_the_glass_is_chosen_by_name(desk):
    open_folds(desk.pane)
    field = desk.pane.wish.sweetness
    field.setCurrentIndex(field.findText("half sweet"))
    field.activated.emit(field.currentIndex())
    assert desk.recipe.wish.sweetness == 30.0
    assert "half sweet" in desk.pane.wish.summary.text_shown()


def test_that_any_other_sweetness_of_a_file_is_shown_too(qtbot):
    batch = msgspec.structs.replace(
        CURRANTS, recipe=msgspec.structs.replace(CURRANTS.recipe, wish=Wish(sweetness=41.5))
    )
    desk = Desk(qtbot, batch)
    assert "41.5" in desk.pane.wish.sweetness.currentText()


def test_that_whole_fruit_swaps_the_soak_for_days_on_the_fruit(desk):
    section = desk.pane.preparation
    assert section.soak.isVisible()
    section.whole.click()
    assert desk.recipe.preparation.whole
    assert not section.soak.isVisible()
    desk.type(section.on_fruit, "5")
    assert desk.recipe.preparation.on_fruit == pytest.approx(5.0)


def test_that_bottles_press_and_losses_are_told_and_changed(desk):
    open_folds(desk.pane)
    bottling = desk.pane.bottling
    desk.work_out()
    assert "× 750" in bottling.summary.text_shown()
    desk.type(bottling.press, "5 L")
    desk.type(bottling.lees, "10")
    field = bottling.bottles
    field.setCurrentIndex(2)
    field.activated.emit(2)
    desk.work_out()
    assert desk.recipe.preparation.press == pytest.approx(0.005)
    assert desk.recipe.losses.lees == pytest.approx(0.10)
    assert "loads" in bottling.text.text()
    told = bottling.text.text().replace("\xa0", " ").replace("\u202f", " ")
    volumes = re.findall(r"([\d.]+) (?:L|mL)\b", told.split("Fermenter of ")[1])
    # Losses are shares of an estimate: two figures, and none for the zeros.
    assert volumes
    assert all(len(volume.replace(".", "").lstrip("0").rstrip("0")) <= 2 for volume in volumes if volume != "375"), told
    assert "× 375" in bottling.summary.text_shown()


def test_that_a_price_is_asked_for_each_thing_that_is_used_and_nothing_else(desk):
    open_folds(desk.pane)
    prices = desk.pane.prices
    assert set(prices.lines) == {"blackcurrant", "blossom", "all-rounder", "yeast-autolysate"}
    desk.type(prices.lines["blackcurrant"], "3.5")
    desk.type(prices.currency, "€")
    desk.work_out()
    assert desk.recipe.prices.lines[0].per_kg == 3.5
    assert "€" in prices.summary.text_shown()
    assert "Without a price" in prices.text.text()
    desk.type(prices.lines["blackcurrant"], "")
    desk.work_out()
    assert prices.summary.text_shown() == "no prices"


def test_that_tab_goes_through_all_prices_in_order(desk, qtbot):
    open_folds(desk.pane)
    prices = desk.pane.prices
    prices.bottle.setFocus(Qt.FocusReason.TabFocusReason)
    for field in prices.lines.values():
        qtbot.keyClick(desk.pane.focusWidget(), Qt.Key.Key_Tab)
        assert field.hasFocus(), field.accessibleName()
    qtbot.keyClick(desk.pane.focusWidget(), Qt.Key.Key_Tab)
    assert desk.pane.notes.notes.hasFocus()  # the schedule has a key of its own


def test_that_yeast_and_nutrients_are_priced_as_they_are_sold(desk):
    open_folds(desk.pane)
    prices = desk.pane.prices
    assert "per ten grams" in prices.lines["yeast-autolysate"].accessibleName()
    desk.type(prices.lines["yeast-autolysate"], "2.5")
    assert desk.recipe.prices.lines[0].per_kg == pytest.approx(250.0)  # 2.5 for 10 g
    assert prices.lines["yeast-autolysate"].text() == "2.5"


def test_that_prices_go_by_the_pound_where_fruit_does(desk):
    open_folds(desk.pane)
    prices = desk.pane.prices
    desk.type(prices.lines["blackcurrant"], "3.5")
    desk.pane.set_display(Display(System.US))
    assert prices.lines["blackcurrant"].accessibleName().endswith("per lb")
    # A pound is 0.453 592 37 kg exactly (NIST SP 811, appendix B).
    assert float(prices.lines["blackcurrant"].text()) == pytest.approx(3.5 * 0.45359237, rel=1e-3)


def test_that_the_heading_says_how_many_prices_are_missing(desk):
    open_folds(desk.pane)
    desk.type(desk.pane.prices.bottle, "0.9")
    desk.work_out()
    assert "4 not priced" in desk.pane.prices.summary.text_shown()


def test_that_another_batch_is_shown_from_its_beginning(desk, qtbot):
    open_folds(desk.pane)
    bar = next(
        area for area in desk.pane.findChildren(QScrollArea) if area.isAncestorOf(desk.pane.notes)
    ).verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    bar.setValue(bar.maximum())
    desk.store.load(new_batch())
    assert bar.value() == 0


def test_that_other_units_reach_the_folded_parts(desk):
    open_folds(desk.pane)
    desk.type(desk.pane.wish.targets["volume"], "20 L")
    desk.work_out()
    desk.pane.set_display(Display(system=System.US))
    assert "gal" in desk.pane.wish.targets["volume"].text()
    assert "gal" in desk.pane.bottling.text.text()


# Windows of their own


@pytest.fixture
def windows(qtbot, tmp_path):
    desk = Desk(qtbot)
    asks = ScriptedAsk(tmp_path / "plan.ics")
    settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
    made = RecipeWindows(desk.store, SHELF, settings, asks, desk.pane)
    desk.store.changed.connect(made.show_batch)
    desk.windows, desk.asks, desk.path = made, asks, tmp_path / "plan.ics"
    yield desk
    made.shut_down()
    desk.store.undo_stack.clear()  # as above


def test_that_routes_are_worked_out_beside_each_other_and_one_is_taken(windows):
    windows.store.edit(
        msgspec.structs.replace(CURRANTS, recipe=msgspec.structs.replace(
            CURRANTS.recipe, rules=HouseRules(no_sulphite=True, alcohol_ceiling=0.12),
            wish=Wish(left_open=("honey",), sweetness=30.0))), "wish",
    )  # fmt: skip
    windows.windows.show_routes()
    dialog = windows.windows.routes
    windows.qtbot.waitUntil(lambda: len(dialog.buttons) >= 5 and dialog.columns.isEnabled(), timeout=30_000)
    assert "12" in dialog.intro.text()
    dialog.buttons["dry-heat"].click()
    assert windows.store.batch.adjustment.stabilising == "heat"  # planned, and so no tick that it is done
    assert not windows.store.batch.adjustment.stabilised
    assert windows.store.batch.recipe.rules.no_sulphite
    assert windows.store.undo_stack.undoText().startswith("take the way")


def test_that_taking_a_route_marks_it_and_leaves_the_others_as_they_were_compared(windows):
    windows.windows.show_routes()
    dialog = windows.windows.routes
    windows.qtbot.waitUntil(lambda: len(dialog.buttons) >= 5 and dialog.columns.isEnabled(), timeout=30_000)
    found = dialog._found
    first = windows.store.batch
    dialog.buttons["limit"].click()  # has another yeast, which other routes would take from the recipe
    assert dialog.buttons["limit"].text() == "✓ Taken"
    assert not dialog.buttons["limit"].isEnabled()
    assert not dialog.recalculator.is_busy
    dialog.buttons["dry-heat"].click()
    assert [key for key, button in dialog.buttons.items() if "Taken" in button.text()] == ["dry-heat"]
    windows.store.undo_stack.undo()
    windows.store.undo_stack.undo()
    assert windows.store.batch == first
    assert not any("Taken" in button.text() for button in dialog.buttons.values())
    assert dialog._found is found
    windows.windows.show_routes()
    assert dialog._found is found


def test_that_another_recipe_is_compared_anew(windows):
    windows.windows.show_routes()
    dialog = windows.windows.routes
    windows.qtbot.waitUntil(lambda: len(dialog.buttons) >= 5 and dialog.columns.isEnabled(), timeout=30_000)
    found = dialog._found
    recipe = msgspec.structs.replace(windows.store.batch.recipe, wish=Wish(alcohol=0.11, sweetness=12.0))
    windows.store.edit(msgspec.structs.replace(windows.store.batch, recipe=recipe), "wish")
    windows.qtbot.waitUntil(lambda: dialog._found is not found, timeout=30_000)
    assert dialog.intro.text().startswith("The ways are compared for about 11")


def test_that_routes_say_what_they_assume_and_how_full_the_mead_is(windows):
    windows.windows.show_routes()
    dialog = windows.windows.routes
    windows.qtbot.waitUntil(lambda: len(dialog.buttons) >= 5 and dialog.columns.isEnabled(), timeout=30_000)
    assert dialog.intro.text().startswith("You set no strength and no sweetness. The ways are compared for about 12")
    texts = [label.text() for label in dialog.columns.findChildren(QLabel)]
    assert "Body" in texts
    assert any(text.endswith("mPa·s") for text in texts)


def test_that_working_out_says_what_comes_after_the_ferment(desk):
    open_folds(desk.pane)
    wish = desk.pane.wish
    desk.type(wish.targets["alcohol"], "12")
    wish.open["honey"].click()
    for field, name in ((wish.sweetness, "half sweet"), (wish.thickness, "thick")):
        field.setCurrentIndex(field.findText(name))
        field.activated.emit(field.currentIndex())
    assert desk.recipe.wish.body == 2.4e-3
    assert wish.summary.text_shown().endswith("half sweet, thick")
    wish.work.click()
    told = wish.answer_remarks.texts()
    assert "of honey" in told[0]
    assert "after the ferment" in told[1]
    assert "body" in told[2]


def test_that_any_other_body_of_a_file_is_shown_too(qtbot):
    batch = msgspec.structs.replace(CURRANTS, recipe=msgspec.structs.replace(CURRANTS.recipe, wish=Wish(body=1.95e-3)))
    assert "1.95" in Desk(qtbot, batch).pane.wish.thickness.currentText()


def test_that_a_route_leaves_what_was_measured_meanwhile(windows):
    windows.windows.show_routes()
    dialog = windows.windows.routes
    windows.qtbot.waitUntil(lambda: len(dialog.buttons) >= 5 and dialog.columns.isEnabled(), timeout=30_000)
    measured = msgspec.structs.replace(windows.store.batch.adjustment, volume=0.011)
    windows.store.edit(msgspec.structs.replace(windows.store.batch, adjustment=measured, notes="kept"), "measured")
    dialog.buttons["dry-sweetener"].click()
    assert windows.store.batch.adjustment.volume == 0.011
    assert windows.store.batch.notes == "kept"


def test_that_a_route_that_cannot_be_gone_says_why_and_cannot_be_taken(qtbot):
    dialog = RoutesDialog(SHELF, Display())
    qtbot.addWidget(dialog)
    strong = msgspec.structs.replace(CURRANTS, recipe=msgspec.structs.replace(CURRANTS.recipe, wish=Wish(alcohol=0.22)))
    dialog._show_routes(routes(strong, SHELF, 0))
    assert not dialog.buttons["dry-heat"].isEnabled()
    dialog.shut_down()


def test_that_the_schedule_is_dated_exported_and_read_by_another_reader(windows):
    windows.windows.show_outcome(evaluate(windows.store.batch, SHELF, 0))
    windows.windows.show_schedule()
    dialog = windows.windows.schedule
    assert not dialog.export.isEnabled()
    windows.type(dialog.planned, "2026-09-05 18:00")
    windows.windows.show_outcome(evaluate(windows.store.batch, SHELF, 0))
    assert dialog.export.isEnabled()
    dialog.export.click()
    events = vobject.readOne(windows.path.read_text(encoding="utf-8")).vevent_list
    assert len(events) == dialog.table.rowCount() - 1 == len(dialog.plan.tasks)  # one row is today
    assert windows.store.batch.recipe.calendar
    pitched = next(e for e in events if "Pitch" in e.summary.value)
    assert pitched.dtstart.value == datetime.fromisoformat(windows.store.batch.recipe.pitch_planned)


def test_that_a_date_that_is_none_is_refused_with_what_would_do(qtbot):
    store = BatchStore(CURRANTS)
    dialog = ScheduleDialog(store, SHELF, Display())
    qtbot.addWidget(dialog)
    dialog.planned.setText("day 3")
    assert not dialog.planned.accept()
    assert "Enter a date" in dialog.planned.problem_text


def test_that_an_empty_batch_says_what_would_fill_the_schedule(qtbot):
    dialog = ScheduleDialog(BatchStore(new_batch()), SHELF, Display())
    qtbot.addWidget(dialog)
    dialog.show_outcome(evaluate(new_batch(), SHELF, 0))
    assert "Enter fruit and honey" in dialog.text.text()
    assert not dialog.export.isEnabled()


def test_that_a_batch_is_scaled_to_a_harvest_a_vessel_or_a_factor(qtbot):
    outcome = evaluate(CURRANTS, SHELF, 0)
    dialog = ScaleDialog(CURRANTS, outcome, SHELF, Display())
    qtbot.addWidget(dialog)
    dialog.show()
    chosen = []
    dialog.chosen.connect(chosen.append)
    dialog.fruit.setText("24 kg")
    dialog.fruit.accept()
    assert dialog.new_over_old() == pytest.approx(1.5)
    assert "Yeast comes in packets" in dialog.text.text()
    dialog.way.show_key("vessel")
    dialog._tell()
    dialog.vessel.setText("30 L")
    dialog.vessel.accept()
    assert dialog.new_over_old() == pytest.approx(0.85 * 0.030 / outcome.must.volume.typical)
    dialog.way.show_key("factor")
    dialog._tell()
    dialog.factor.setText("2")
    dialog.factor.accept()
    dialog.agree.click()
    assert chosen == [2.0]


def test_that_scaling_is_one_step(windows):
    windows.windows.scale()
    windows.windows.scaling.chosen.emit(2.0)
    windows.windows.scaling.reject()
    assert windows.recipe.fruits[0].mass == 32.0
    assert windows.store.undo_stack.undoText() == "scale the batch by 2"
