"""The tools of the adjustment pane: closed until wanted, and each on a journey from a wish to the batch."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from adjust_bench import METRIC, SHELF, US, Bench, adjusted, plain, turn_wheel
from helpers import ScriptedAsk
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from planner.adjusting.additions import given_doses
from planner.document import edits
from planner.document.batch import Addition, Event, HouseRules, What
from planner.document.codec import encode
from planner.model.sweetness import sweetness_steps
from planner.model.taste import SHARP, sourness
from planner.reference.own import OwnAdditive, OwnIngredients
from planner.reporting.batch_file import load
from planner.ui.adjust.pane import AdjustPane
from planner.ui.adjust.sweet_sharp_map import Role

MORNING = datetime(2026, 11, 20, 9, 30, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture
def bench(qtbot):
    def make(batch=None, **options):
        return Bench(qtbot, batch or adjusted(("erythritol", 0.5)), **options)

    return make


def unfold(fold):
    fold.heading.setChecked(True)
    return fold.tool


def wish(field, text, qtbot):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_that_every_tool_is_closed_at_first_and_costs_nothing(bench):
    made = bench()
    folds = (made.pane.measured, made.pane.still, *made.pane.tools.folds)
    assert not any(fold.is_open for fold in folds)
    assert not any(fold.is_made for fold in folds)
    assert all(fold.tool.isHidden() for fold in folds)  # who asks for one has it made, but not shown
    assert all(fold.tool.batch is None for fold in folds)


def test_that_a_tool_is_made_once_in_the_units_of_the_moment_it_is_first_opened(bench):
    made = bench()
    fold = made.pane.measured
    told = []
    fold.made.connect(lambda: told.append(fold.is_open))
    made.pane.set_display(US)
    tool = unfold(fold)
    assert tool.display is US
    fold.heading.setChecked(False)
    fold.heading.setChecked(True)
    assert fold.tool is tool
    assert len(told) == 1


def test_that_an_opened_tool_follows_the_batch(bench, qtbot):
    made = bench()
    tool = unfold(made.pane.still)
    before = tool.risk.text()
    made.store.edit(edits.add_addition(made.store.batch, Addition(key="honey", mass=0.6)), "more", "")
    assert tool.risk.text() != before
    assert "honey" in tool.risk.text()


# --- find the dose


def test_that_what_is_opened_comes_into_sight(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.5))).open()
    made.pane.resize(340, 500)
    area, fold = made.pane.area, made.pane.tools.finding
    area.verticalScrollBar().setValue(0)
    unfold(fold)
    room = area.viewport()

    def is_in_sight():
        top = fold.mapTo(room, fold.rect().topLeft()).y()
        # Its end too, or as much as there is room for.
        return top >= 0 and (top + fold.height() <= room.height() or top <= 12)

    qtbot.waitUntil(is_in_sight)


def test_that_the_wheel_passes_over_the_trade_and_changes_no_dose(bench, qtbot):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "30", qtbot)
    wish(tool.fields["viscosity"], "2.2", qtbot)
    before = tool.slider.value()
    assert not turn_wheel(tool.slider)
    assert tool.slider.value() == before


def with_targets(**targets):
    return edits.change_wish(adjusted(), **targets)


def test_that_the_targets_of_the_recipe_stand_there_and_are_worked_with(bench):
    made = bench(with_targets(sweetness=30.0, body=2.0e-3, acid=8.0, alcohol=0.11)).open()
    tool = unfold(made.pane.tools.finding)
    assert [plain(tool.fields[what].text()) for what in ("sweetness", "viscosity", "acid", "alcohol")] == [
        "30 g/L", "2", "8 g/L", "11 % vol",
    ]  # fmt: skip
    said = plain(tool.answer.text())
    assert "sweetness 30 g/L" in said
    assert "body 2.00 mPa·s" in said
    assert tool.fields["gravity"].si is None


def test_that_a_mead_sharper_than_the_target_is_not_thinned_by_powders(bench):
    made = bench(with_targets(sweetness=30.0, acid=3.0, alcohol=0.11)).open()
    tool = unfold(made.pane.tools.finding)
    said = plain(tool.answer.text())
    assert "maltodextrin" not in said
    assert "Not reached: acid" in said.replace("<b>", "").replace("</b>", "")
    assert "What would help?" in said


def test_that_a_target_changed_there_is_the_recipes_and_can_be_undone(bench, qtbot):
    made = bench(with_targets(sweetness=30.0)).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "45", qtbot)
    wish(tool.fields["viscosity"], "2.2", qtbot)
    assert made.store.batch.recipe.wish.sweetness == 45.0
    assert made.store.batch.recipe.wish.body == pytest.approx(2.2e-3)
    assert made.undo.undoText() == "target, body: 2.20 mPa·s".replace(" mPa", "\u00a0mPa")
    made.undo.undo()
    made.undo.undo()
    assert made.store.batch.recipe.wish.sweetness == 30.0
    assert tool.fields["sweetness"].si == 30.0
    assert tool.fields["viscosity"].si is None
    tool.fields["sweetness"].clear()
    qtbot.keyClick(tool.fields["sweetness"], Qt.Key.Key_Return)
    assert made.store.batch.recipe.wish.sweetness is None


@pytest.mark.parametrize(("what", "word", "target"), [
    ("sweetness", "half sweet", 30.0),
    ("sweetness", "Half-sweet", 30.0),
    ("sweetness", "medium", 30.0),
    ("sweetness", "dry", 0.0),
    ("sweetness", "medium dry", 12.0),
    ("sweetness", "very sweet", 115.0),  # between 80 and 150 g/L
    ("body", "full", 2.0e-3),
    ("body", "light", 1.525e-3),  # between 1.45 and 1.60 mPa s
    ("alcohol", "strong", 0.145),  # between 13.5 and 15.5 % vol
])  # fmt: skip
def test_that_words_of_tasters_are_understood(bench, qtbot, what, word, target):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields[{"body": "viscosity"}.get(what, what)], word, qtbot)
    assert getattr(made.store.batch.recipe.wish, what) == pytest.approx(target)


@pytest.mark.parametrize("word", ["soft", "fresh", "crisp", "sharp"])
def test_that_a_word_of_sharpness_is_the_acid_that_seems_so_in_this_mead(bench, qtbot, word):
    made = bench(with_targets(sweetness=30.0), members=0).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["acid"], word, qtbot)
    acid, mead = made.store.batch.recipe.wish.acid, made.outcome.mead
    assert SHARP.words[SHARP.place(sourness(acid, mead.ph_before.typical, 30.0))] == word


def test_that_a_word_that_nobody_knows_is_refused_and_nothing_changes(bench, qtbot):
    made = bench(with_targets(sweetness=30.0)).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "lovely", qtbot)
    assert tool.fields["sweetness"].problem_text
    assert made.store.batch.recipe.wish.sweetness == 30.0


def test_that_a_mead_that_ends_dry_meets_the_target_dry(bench):
    made = bench(edits.change_adjustment(with_targets(sweetness=0.0), gravity=0.992)).open()
    tool = unfold(made.pane.tools.finding)
    # Regulation (EU) 2019/33, annex III: beside enough acid a wine is dry up to 9 g/L.
    assert 0.0 < made.outcome.mead.before.sweetness.typical < 9.0
    assert "Nothing needs to be added" in tool.answer.text()


def test_that_a_wish_finds_doses_and_puts_them_among_the_additions(bench, qtbot):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "30", qtbot)
    assert "sweetness 30 g/L" in plain(tool.answer.text())
    assert tool.take.isEnabled()
    qtbot.mouseClick(tool.take, Qt.MouseButton.LeftButton)
    assert [a.key for a in made.adjustment.additions] == ["erythritol"]
    assert made.outcome.mead.after.sweetness.typical == pytest.approx(30.0, abs=0.1)
    made.undo.undo()
    assert made.adjustment.additions == ()


def test_that_doses_that_would_not_stay_still_say_so_before_they_are_used(bench, qtbot):
    made = bench(load("raspberry-finished"), members=60).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "30", qtbot)
    assert tool.doubts.texts() == []
    wish(tool.fields["viscosity"], "2", qtbot)
    foretold = [plain(text) for text in tool.doubts.texts()]
    assert "can still ferment" in foretold[0]
    assert any(text.startswith("Maltodextrin DE 10 brings 1.4 g/L") for text in foretold)
    assert tool.doubts.isVisibleTo(made.pane)
    qtbot.mouseClick(tool.take, Qt.MouseButton.LeftButton)
    assert foretold[0] in [plain(text) for text in made.pane.doubts.texts()]
    assert tool.doubts.texts() == []  # it stands in its own place now


def test_that_a_limit_that_binds_is_named(bench, qtbot):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["gravity"], "1.006", qtbot)
    wish(tool.fields["sweetness"], "60", qtbot)
    text = plain(tool.answer.text())
    assert "Not reached" in text
    assert "In the way: gravity at most 1.006" in text


def test_that_what_would_help_is_named_when_asked_and_allowed_with_a_click(bench, qtbot):
    made = bench(load("raspberry-finished")).open()
    tool = unfold(made.pane.tools.finding)
    for what, text in (("sweetness", "30"), ("viscosity", "1.95"), ("fermentable", "1.5")):
        wish(tool.fields[what], text, qtbot)
    assert "target at most" in plain(tool.answer.text())
    assert "steps short" not in plain(tool.answer.text())  # nobody tastes steps of what yeast could take
    assert "What would help?" in tool.answer.text()
    tool.answer.linkActivated.emit("?")
    assert "maltodextrin DE 5" in plain(tool.answer.text())
    tool.answer.linkActivated.emit("maltodextrin-5")
    assert "Not reached" not in tool.answer.text()
    assert "maltodextrin DE 5" in plain(tool.using.text())


def test_that_found_doses_can_be_weighed(bench, qtbot):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "60", qtbot)
    qtbot.mouseClick(tool.take, Qt.MouseButton.LeftButton)
    for addition in made.adjustment.additions:
        grams = 1e3 * addition.mass
        assert grams > 100.0
        assert grams == pytest.approx(round(grams), abs=1e-6)  # a kitchen scale shows grams


def test_that_the_slider_trades_one_for_the_other(bench, qtbot):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "30", qtbot)
    wish(tool.fields["viscosity"], "2.2", qtbot)
    assert tool.slider.isVisible()
    tool.slider.setValue(0)
    little = {a.key: a.mass for a in tool._found.additions}
    tool.slider.setValue(8)
    much = {a.key: a.mass for a in tool._found.additions}
    assert much["erythritol"] > little.get("erythritol", 0.0)
    assert much.get("maltodextrin-10", 0.0) < little["maltodextrin-10"]


def test_that_house_rules_are_kept_from_the_choice(bench):
    batch = edits.change_recipe(adjusted(), rules=HouseRules(no_added_acid=True))
    made = bench(batch)
    tool = unfold(made.pane.tools.finding)
    assert "house rules refuse Malic acid" in tool.using.text()
    refused = {action.data() for action in tool.menu.actions() if action.data() and not action.isEnabled()}
    assert "malic-acid" in refused
    assert "erythritol" not in refused


def test_that_what_may_be_used_can_be_chosen(bench, qtbot):
    made = bench(adjusted()).open()
    tool = unfold(made.pane.tools.finding)
    wish(tool.fields["sweetness"], "30", qtbot)
    for action in tool.menu.actions():
        if action.data() in ("erythritol", "xylitol"):
            action.trigger()
    assert "xylitol" in plain(tool.answer.text())
    assert "erythritol" not in plain(tool.answer.text())


# --- trial glasses


def test_that_a_trial_goes_from_glasses_to_the_batch(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.6), volume=0.020)).open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    (trial,) = made.adjustment.trials
    assert len(trial.glasses) == 5
    assert "made up to" in plain(tool.stocks.text())
    for row, score in zip(tool.rows, ("2", "5", "8", "6", "3"), strict=True):
        wish(row[-1], score, qtbot)
    assert [glass.score for glass in made.adjustment.trials[0].glasses] == [2.0, 5.0, 8.0, 6.0, 3.0]
    assert "Liked best at" in plain(tool.verdict.text())
    qtbot.mouseClick(tool.carry, Qt.MouseButton.LeftButton)
    (addition,) = made.adjustment.additions
    # 30 g/L, liked at about 75 % of it, for the 19.5 L that are left.
    assert 0.35 < addition.mass < 0.55
    assert 0.40e-3 < made.adjustment.drunk < 0.50e-3
    drunk = made.adjustment.drunk
    assert not tool.carry.isEnabled()
    assert "stand among the additions" in plain(tool.verdict.text())
    wish(tool.rows[3][-1], "9", qtbot)
    qtbot.mouseClick(tool.carry, Qt.MouseButton.LeftButton)
    assert made.adjustment.additions[0].mass > addition.mass
    assert made.adjustment.drunk == drunk  # what was drunk is counted once


def test_that_no_score_moves_the_button_under_the_pointer(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.6), volume=0.020)).open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)

    def is_laid_out():  # a text that grows makes room for itself floor by floor, one in each turn of the event loop
        whole = (tool, made.pane.tools, made.pane.area.widget())
        return all(part.height() == part.heightForWidth(part.width()) for part in whole)

    qtbot.waitUntil(is_laid_out)
    places = {tool.carry.y()}
    for row, score in zip(tool.rows, ("2", "5", "8", "6", "3"), strict=True):
        wish(row[-1], score, qtbot)
        qtbot.waitUntil(is_laid_out)
        places.add(tool.carry.y())
    assert len(places) == 1
    assert tool.verdict.y() > tool.carry.y()


def test_that_a_glass_tells_its_dose_in_grams_per_litre(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.6), ("maltodextrin-10", 0.5), volume=0.020)).open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    shown = [(plain(row[1].text()), plain(row[2].text())) for row in tool.rows]
    assert shown[0] == ("0 %", "–")
    assert ("100 %", "30.0 + 25.0") in shown  # 600 and 500 g in 20 L


def test_that_a_refused_score_says_what_still_counts(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.6), volume=0.020)).open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    wish(tool.rows[4][-1], "6", qtbot)
    assert tool.refused.isHidden()
    wish(tool.rows[4][-1], "11", qtbot)
    assert tool.refused.text() == "Glass 5: this entry does not count; 6 still counts."
    assert made.adjustment.trials[0].glasses[4].score == 6.0
    wish(tool.rows[4][-1], "7", qtbot)
    assert tool.refused.isHidden()


def test_that_a_trial_of_two_fits_into_the_narrowest_pane(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.6), ("maltodextrin-10", 0.5), volume=0.020)).open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    made.pane.resize(300, 700)
    area = made.pane.area
    qtbot.waitUntil(lambda: area.widget().width() <= area.viewport().width())


def test_that_a_trial_is_copied_for_the_bench(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.6), ("maltodextrin-10", 0.5), volume=0.020)).open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(tool.copy, Qt.MouseButton.LeftButton)
    lines = QApplication.clipboard().text().splitlines()
    assert lines[1].startswith("Stock 1: 15 g erythritol, made up to 100 mL")
    heads, *glasses = (line.split("\t") for line in lines if "\t" in line)
    assert heads == ["glass", "dose", "stock 1, mL", "stock 2, mL", "mead, mL", "score"]
    assert len(glasses) == 5
    for _, _, *poured, mead, score in glasses:
        whole = sum(float(part) for part in (*poured, mead) if part != "–")
        assert whole == pytest.approx(100.0, abs=0.75)  # three measures, each to half a millilitre
        assert score == ""


def test_that_ranks_will_do(bench, qtbot):
    made = bench().open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    tool.by.show_key("rank")
    tool.by.chosen.emit("rank")
    for row, rank in zip(tool.rows, ("5", "3", "1", "2", "4"), strict=True):
        wish(row[-1], rank, qtbot)
    assert [glass.rank for glass in made.adjustment.trials[0].glasses] == [5, 3, 1, 2, 4]
    assert tool.carry.isEnabled()


@pytest.mark.parametrize("counts", [(5, 4), (4, 6), (6, 4, 5)])
def test_that_another_trial_may_have_fewer_glasses_or_more(bench, qtbot, counts):
    made = bench().open()
    tool = unfold(made.pane.tools.trial)
    for count in counts:
        tool.count.show_key(count)
        qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
        assert len(tool.rows) == len(made.adjustment.trials[-1].glasses) == count
        assert [row[0].text() for row in tool.rows] == [str(place + 1) for place in range(count)]
        tool.rows[0][-1].setFocus()
        for *_, following in tool.rows[1:]:
            qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
            assert following.hasFocus()
    made.undo.undo()
    assert len(tool.rows) == counts[-2]
    tool.by.show_key("rank")
    tool.by.chosen.emit("rank")
    made.undo.redo()
    *_, last = tool.rows[-1]
    wish(last, str(counts[-1] + 1), qtbot)
    assert last.problem_text  # there are no more ranks than glasses
    wish(last, str(counts[-1]), qtbot)
    assert made.adjustment.trials[-1].glasses[-1].rank == counts[-1]


def test_that_what_was_refused_of_a_glass_is_not_told_once_the_glass_is_gone(bench, qtbot):
    made = bench().open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    wish(tool.rows[4][-1], "11", qtbot)
    assert tool.refused.isVisible()
    tool.count.show_key(4)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    assert tool.refused.isHidden()


def test_that_nothing_to_try_is_said_and_a_trial_can_be_removed(bench, qtbot):
    empty = bench(adjusted())
    assert not unfold(empty.pane.tools.trial).make.isEnabled()
    made = bench().open()
    tool = unfold(made.pane.tools.trial)
    qtbot.mouseClick(tool.make, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(tool.remove, Qt.MouseButton.LeftButton)
    assert made.adjustment.trials == ()
    assert not tool.stocks.isVisible()


# --- steps


def test_that_three_steps_are_logged_and_the_next_counts_what_was_given(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.5))).open()
    tool = unfold(made.pane.tools.steps)
    assert tool.fields[0].si == pytest.approx(0.300)
    wish(tool.fields[0], "310 g", qtbot)  # a little more was weighed
    qtbot.mouseClick(tool.log, Qt.MouseButton.LeftButton)
    assert given_doses(made.store.batch.log.readings) == pytest.approx({"erythritol": 0.310})
    assert "190 g to come" in plain(tool.state.text())
    assert tool.fields[0].si == pytest.approx(0.114)
    qtbot.mouseClick(tool.log, Qt.MouseButton.LeftButton)
    tool.share.show_key(1.0)
    tool.share.chosen.emit(1.0)
    qtbot.mouseClick(tool.log, Qt.MouseButton.LeftButton)
    events = [e for e in made.store.batch.log.readings if isinstance(e, Event)]
    assert [e.what for e in events] == [What.DOSE] * 3
    assert all(e.at for e in events)
    assert sum(e.mass for e in events) == pytest.approx(0.5)
    assert "done" in plain(tool.state.text())
    assert tool.log.isHidden()


def test_that_the_moment_of_a_step_is_that_of_the_clock(qtbot):
    made = Bench(qtbot, adjusted(("erythritol", 0.5)))
    pane = AdjustPane(made.store, SHELF, METRIC, made.pane._colours, clock=lambda: MORNING)
    qtbot.addWidget(pane)
    pane.show_batch(made.store.batch)
    pane.show_outcome(made.outcome)
    unfold(pane.tools.steps).log.click()
    assert made.store.batch.log.readings[-1].at == "2026-11-20T09:30+01:00"


# --- as last time


def test_that_doses_of_an_earlier_batch_are_carried_over(qtbot, tmp_path):
    then = tmp_path / "then.meadbatch"
    then.write_bytes(encode(adjusted(("erythritol", 0.4), volume=0.010)))
    ask = ScriptedAsk(then)
    made = Bench(qtbot, adjusted(volume=0.020))
    pane = AdjustPane(made.store, SHELF, METRIC, made.pane._colours, ask=ask)
    qtbot.addWidget(pane)
    pane.show_batch(made.store.batch)
    pane.show_outcome(made.outcome)
    tool = unfold(pane.tools.earlier)
    tool.choose.click()
    assert "40 g/L as planned then" in plain(tool.answer.text())
    assert "no difference" in plain(tool.answer.text())
    tool.take.click()
    assert made.adjustment.additions[0].mass == pytest.approx(0.8, rel=1e-6)
    tool.blend.click()
    assert made.adjustment.additions[1].blend.composition
    picture = unfold(pane.tools.picture)
    assert Role.EARLIER in [place.role for place in picture.map.places]


def test_that_what_differs_from_the_earlier_batch_stands_in_a_table(qtbot, tmp_path):
    other = tmp_path / "other.meadbatch"
    weaker = adjusted(("erythritol", 0.8), volume=0.020, alcohol=0.09)
    other.write_bytes(encode(edits.changed(weaker, name="Weak one")))
    made = Bench(qtbot, adjusted(volume=0.020, alcohol=0.12))
    tool = unfold(made.pane.tools.earlier)
    tool.open(other)
    told = plain(tool.answer.text())
    assert "What differs from <b>Weak one</b>" in told
    (alcohol,) = [row for row in told.split("<tr>") if "Alcohol" in row]
    assert alcohol.index("9.0 % vol") < alcohol.index("12.0 % vol")  # then, here


def test_that_a_file_that_is_no_batch_is_said(qtbot, tmp_path):
    wrong = tmp_path / "wrong.meadbatch"
    wrong.write_text("{", encoding="utf-8")
    tool = Bench(qtbot, adjusted()).pane.tools.earlier.tool
    tool.open(wrong)
    assert "wrong.meadbatch cannot be read" in plain(tool.answer.text())
    assert not tool.take.isEnabled()


# --- what else was measured, stillness, picture


def test_that_what_was_measured_is_entered_and_undone(bench, qtbot):
    made = bench().open()
    tool = unfold(made.pane.measured)
    for name, text, value in (("alcohol", "11.8", 0.118), ("acid", "7.5", 7.5), ("ph", "3.4", 3.4),
                              ("drunk", "0.5 L", 0.5e-3), ("vessel", "25 L", 0.025)):  # fmt: skip
        wish(tool.fields[name], text, qtbot)
        assert getattr(made.adjustment, name) == pytest.approx(value)
    assert "pH" in tool.ph.text()
    assert any("air" in text for text in tool.remarks["vessel"].texts())
    made.undo.undo()
    assert made.adjustment.vessel is None
    tool.fields["drunk"].setFocus()
    wish(tool.fields["drunk"], "", qtbot)
    assert made.adjustment.drunk in (0.0, pytest.approx(0.5e-3))


def test_that_pressures_and_ways_are_told_with_the_rules(bench):
    batch = edits.change_recipe(adjusted(("honey", 0.6)), rules=HouseRules(no_sulphite=True))
    made = bench(batch)
    tool = unfold(made.pane.still)
    text = plain(tool.risk.text())
    assert all(part in text for part in ("10 °C", "20 °C", "30 °C", "bar", "honey"))
    ways = plain(tool.ways.text())
    assert "against the house rules" in ways
    assert ways.count("how, and its limits") == 5
    tool.ways.linkActivated.emit("heated")
    assert "rack" in plain(tool.ways.text())
    made.pane.set_display(US)
    assert "psi" in plain(tool.risk.text())


def test_that_the_map_shows_before_after_glasses_and_what_is_in(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.5))).open()
    trial = unfold(made.pane.tools.trial)
    trial.make.click()
    unfold(made.pane.tools.steps).log.click()
    tool = unfold(made.pane.tools.picture)
    roles = [place.role for place in tool.map.places]
    assert roles.count(Role.GLASS) == 4  # the one without is the mead as it stands
    assert {Role.BEFORE, Role.NOW, Role.AFTER} <= set(roles)
    tool.map.resize(280, 220)
    by_role = {place.role: place for place in tool.map.places}
    assert tool.map.at(by_role[Role.AFTER]).y() < tool.map.at(by_role[Role.BEFORE]).y()  # sweeter is higher
    assert "vol" in tool.map.accessibleDescription()
    assert {bar.caption for bar in tool.bars.bars} == {"Sweetness", "Acid", "Body", "Alcohol"}
    assert tool.bars.bars[0].steps == pytest.approx(
        sweetness_steps(made.outcome.mead.before.sweetness.typical, made.outcome.mead.after.sweetness.typical)
    )
    assert not tool.map.grab().isNull()
    qtbot.waitUntil(lambda: tool.bars.height() > 0)
    assert not tool.bars.grab().isNull()


@pytest.mark.parametrize("display", [METRIC, US])
def test_that_all_tools_can_be_open_on_an_empty_batch(qtbot, display):
    made = Bench(qtbot, edits.change_recipe(adjusted(), fruits=(), honeys=(), water=0.0), display=display)
    for fold in (made.pane.measured, made.pane.still, *made.pane.tools.folds):
        unfold(fold)
    assert made.outcome.mead is None


# --- liquids by their label


def test_that_liquids_are_entered_by_volume_and_label(bench, qtbot):
    made = bench(adjusted(("erythritol", 0.5), ("flavour-extract", 0.02))).open()
    labels = made.pane.labels
    (row,) = labels.rows
    _, volume, alcohol, sugar = row
    assert volume.si == pytest.approx(0.02 / 948.0)  # the table's density
    wish(alcohol, "60", qtbot)
    wish(sugar, "100", qtbot)
    wish(volume, "50 mL", qtbot)
    line = made.adjustment.additions[1]
    assert (line.alcohol, line.sugar) == (0.6, 100.0)
    effect = made.outcome.mead.effects[1]
    # 50 mL hold 5 g of sugar, of which yeast makes 5.26 g of hexose (molar masses).
    assert effect.fermentable == pytest.approx(5.26e-3, rel=2e-3)
    made.undo.undo()
    assert made.adjustment.additions[1].mass != line.mass


def test_that_without_a_liquid_there_are_no_labels(bench):
    made = bench()
    assert made.pane.labels.isHidden()
    made.store.edit(edits.add_addition(made.store.batch, Addition(key="water", mass=0.5)), "water", "")
    assert not made.pane.labels.isHidden()
    assert not made.pane.labels.rows[0][2].isEnabled()


def test_that_own_ingredients_are_offered_where_the_shelf_is(bench):
    own = OwnAdditive(
        key="own-syrup",
        name="Syrup of the house",
        based_on="honey",
        composition=None,
        density=1350.0,
        teaspoon=None,
        ceiling=None,
    )
    made = bench()
    tool = unfold(made.pane.tools.finding)
    batch = edits.describe(made.store.batch, own=OwnIngredients(additives=(own,)))
    made.store.edit(batch, "own", "")
    assert made.pane.additions.editor.empty.findData("own-syrup") >= 0
    assert "own-syrup" in [action.data() for action in tool.menu.actions()]
    made.undo.undo()
    assert made.pane.additions.editor.empty.findData("own-syrup") < 0


def test_that_an_alcohol_the_log_tells_is_not_called_predicted(bench):
    made = bench(load("raspberry-finished"), members=12).open()
    tool = unfold(made.pane.measured)
    assert plain(tool.fields["alcohol"].placeholderText()).startswith("by the log ")
    assert plain(tool.fields["acid"].placeholderText()).startswith("predicted ")
