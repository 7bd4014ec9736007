"""Journeys with the finished sample: from a dry, sharp mead to what was wished for, without a second fermentation."""

from __future__ import annotations

import pytest
from adjust_bench import SHELF, Bench, plain
from PySide6.QtCore import Qt

from planner.adjusting.additions import given_doses
from planner.adjusting.refermentation_risk import Risk, stillness
from planner.document import edits
from planner.document.batch import Addition, HouseRules
from planner.document.codec import decode
from planner.reference.shipped import samples


@pytest.fixture
def sample(qtbot):
    batch = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
    return Bench(qtbot, batch, members=20).open()


def unfold(fold):
    fold.heading.setChecked(True)
    return fold.tool


def press(made, button):
    made.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def risk(made):
    batch = made.store.batch
    tolerance = SHELF.yeast(batch.recipe.yeast.key).tolerance
    return stillness(made.outcome.mead, tolerance, batch.adjustment.stabilised).risk


def test_that_a_target_is_reached_without_sugar(sample):
    tool = unfold(sample.pane.tools.finding)
    sample.type(tool.fields["sweetness"], "30")
    sample.type(tool.fields["viscosity"], "1.95")
    sample.type(tool.fields["fermentable"], "1.5")
    assert "Not reached" in plain(tool.answer.text())  # this maltodextrin brings too much sugar with it
    next(action for action in tool.menu.actions() if action.data() == "maltodextrin-5").trigger()
    press(sample, tool.take)
    after = sample.outcome.mead.after
    assert after.sweetness.typical == pytest.approx(30.0, abs=0.1)
    assert after.viscosity.typical == pytest.approx(1.95e-3, abs=2e-6)
    assert {a.key for a in sample.adjustment.additions} <= {"erythritol", "maltodextrin-5", "maltodextrin-10"}
    assert after.fermentable.typical <= 1.52
    assert risk(sample) < Risk.REAL


def test_that_honey_is_held_by_sulphite_and_sorbate(sample):
    sample.store.edit(edits.add_addition(sample.store.batch, Addition(key="honey", mass=0.6)), "honey", "")
    assert risk(sample) == Risk.GRAVE
    tool = unfold(sample.pane.still)
    assert any("enough to burst" in plain(text) for text in sample.pane.doubts.texts())
    assert "more alcohol than there is" in plain(tool.risk.text())  # and is not told twice that bottles burst
    tool.ways.linkActivated.emit("stabilised")
    assert "Potassium metabisulphite" in plain(tool.ways.text())
    tool.ways.linkActivated.emit("take:stabilised")
    listed = {a.key: a.mass for a in sample.adjustment.additions}
    # Sulphite by pH and sorbate by law: 0.05 to 0.2 g/L of the one, at most 0.27 g/L of the other (200 mg/L of the acid).
    assert 0.05 <= 1e3 * listed["potassium-metabisulphite"] / 20.0 <= 0.2
    assert 0.1 <= 1e3 * listed["potassium-sorbate"] / 20.0 <= 0.27
    assert "stand among the additions" in plain(tool.ways.text())
    sample.store.edit(edits.change_adjustment(sample.store.batch, stabilised=True), "stabilised", "")
    assert risk(sample) == Risk.HELD
    assert "as long as" in plain(tool.risk.text())


def test_that_honey_stays_past_the_limit_of_the_yeast(sample):
    tolerance = SHELF.yeast(sample.store.batch.recipe.yeast.key).tolerance
    tool = unfold(sample.pane.tools.finding)
    for action in tool.menu.actions():
        if action.data() in ("erythritol", "maltodextrin-10", "malic-acid", "honey", "spirit-96"):
            action.trigger()  # the first three are chosen already, and so are left out
    sample.type(tool.fields["sweetness"], "30")
    sample.type(tool.fields["alcohol"], f"{100 * tolerance.high + 1.5}")
    press(sample, tool.take)
    assert {a.key for a in sample.adjustment.additions} == {"honey", "spirit-96"}
    assert risk(sample) == Risk.NONE
    assert "past its limit" in plain(unfold(sample.pane.still).risk.text())


def test_that_house_rules_close_a_way_and_say_why(sample):
    batch = edits.change_recipe(sample.store.batch, rules=HouseRules(no_sulphite=True, no_sorbate=True, no_heat=True))
    sample.store.edit(batch, "rules", "")
    text = plain(unfold(sample.pane.still).ways.text())
    assert text.count("against the house rules") == 2
    assert "no heat" in text


def test_that_a_trial_is_carried_and_dosed_in_three_steps(sample):
    sample.store.edit(edits.add_addition(sample.store.batch, Addition(key="erythritol", mass=0.6)), "erythritol", "")
    trial = unfold(sample.pane.tools.trial)
    press(sample, trial.make)
    for row, score in zip(trial.rows, "35886", strict=True):
        sample.type(row[-1], score)
    press(sample, trial.carry)
    wanted = sample.adjustment.additions[0].mass
    assert sample.adjustment.drunk > 0.0
    steps = unfold(sample.pane.tools.steps)
    for share in (0.6, 0.5, 1.0):
        steps.share.show_key(share)
        steps.share.chosen.emit(share)
        press(sample, steps.log)
    assert given_doses(sample.store.batch.log.readings)["erythritol"] == pytest.approx(wanted, rel=1e-6)
    now, after = sample.outcome.mead.now, sample.outcome.mead.after
    assert now.sweetness.typical == pytest.approx(after.sweetness.typical, rel=1e-6)
    assert "done" in plain(steps.state.text())
    assert "before you bottle" in plain(steps.rest.text())  # the next step
    assert "Nothing more" in plain(sample.pane.weighed.text())
