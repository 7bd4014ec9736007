"""Journeys with the finished mead, through the real window: to the glass that was wished for, and a bottle that stays still."""

from __future__ import annotations

import re

import pytest
from PySide6.QtCore import QPoint, Qt

from planner.adjusting.additions import given_doses
from planner.adjusting.base_mead import Basis
from planner.adjusting.refermentation_risk import Risk, stillness
from planner.document import edits
from planner.document.batch import Addition, Event, HouseRules, What
from planner.document.codec import decode, encode
from planner.reference.shipped import samples
from planner.ui.adjust.sweet_sharp_map import Role
from planner.wording.finding import Level


def plain(text: str) -> str:
    return re.sub("[\u00a0]", " ", text).replace("\u2060", "").replace("\u2212", "-")


@pytest.fixture
def finished(visit):
    return visit(sample="raspberry-finished")


def unfold(made, fold):
    made.outcome  # noqa: B018  folds show what is worked out
    if not fold.is_open:
        made.qtbot.mouseClick(fold.heading, Qt.MouseButton.LeftButton)
    return fold.tool


def press(made, button):
    assert button.isEnabled()
    made.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def may_use(tool, *keys):
    """Tick what may be used and nothing else."""
    for action in tool.menu.actions():
        if action.isCheckable() and action.isChecked() != (action.data() in keys):
            action.trigger()


def risk(made):
    outcome = made.outcome
    tolerance = made.window.catalogue.yeast(made.batch.recipe.yeast.key).tolerance
    return stillness(outcome.mead, tolerance, made.batch.adjustment.stabilised).risk


def masses(made):
    return {line.key: line.mass for line in made.batch.adjustment.additions}


def test_that_a_target_is_reached_without_sugar(finished):
    pane = finished.window.adjustment
    tool = unfold(finished, pane.tools.finding)
    may_use(tool, "erythritol", "maltodextrin-5")
    finished.type(tool.fields["sweetness"], "28")
    finished.type(tool.fields["viscosity"], "1.90")
    finished.type(tool.fields["fermentable"], "1.9")
    assert "Not reached" not in plain(tool.answer.text())
    press(finished, tool.take)
    after = finished.outcome.mead.after
    assert set(masses(finished)) == {"erythritol", "maltodextrin-5"}
    # A wish is met within a hundredth of a step that a taster notices.
    assert after.sweetness.typical == pytest.approx(28.0, abs=0.045)
    assert after.viscosity.typical == pytest.approx(1.90e-3, abs=1.4e-6)
    assert after.fermentable.typical <= 1.92
    assert risk(finished) < Risk.REAL
    rows = {row.caption: row for row in pane.table.shown}
    assert float(plain(rows["Sweetness"].after)) == 28.0
    assert "erythritol" in plain(pane.weighed.text())
    finished.window.store.undo_stack.undo()
    assert masses(finished) == {}


def test_that_a_target_with_honey_is_held_by_sulphite_and_sorbate(finished):
    pane = finished.window.adjustment
    tool = unfold(finished, pane.tools.finding)
    may_use(tool, "honey")
    finished.type(tool.fields["sweetness"], "30")
    press(finished, tool.take)
    assert set(masses(finished)) == {"honey"}
    assert risk(finished) == Risk.GRAVE
    assert any(f.level is Level.ERROR and "Stabilise first" in str(f.text) for f in finished.outcome.findings)
    finished.type(unfold(finished, pane.measured).fields["ph"], "3.3")
    still = unfold(finished, pane.still)
    still.ways.linkActivated.emit("stabilised")
    told = plain(still.ways.text())
    assert "pH 3.3" in told
    assert "not measured" not in told
    powder = re.search(r"need ([\d.]+) g in all", told)
    salt = re.search(r"Potassium sorbate: ([\d.]+) to", told)
    for key, found in (("potassium-metabisulphite", powder), ("potassium-sorbate", salt)):
        finished.choose(pane.additions.editor.empty, key)
        finished.type(pane.additions.editor.rows[-1].cells[1], f"{found.group(1)} g")
    assert not [f for f in finished.outcome.findings if "exceeds the limit" in str(f.text)]
    finished.qtbot.mouseClick(pane.mead_now.stabilised, Qt.MouseButton.LeftButton, pos=QPoint(8, 8))
    assert finished.batch.adjustment.stabilised
    assert risk(finished) == Risk.HELD
    assert "as long as" in plain(still.risk.text())


def test_that_a_target_with_honey_is_held_by_the_limit_of_the_yeast(finished):
    pane = finished.window.adjustment
    tolerance = finished.window.catalogue.yeast(finished.batch.recipe.yeast.key).tolerance
    tool = unfold(finished, pane.tools.finding)
    may_use(tool, "honey", "spirit-96")
    finished.type(tool.fields["sweetness"], "30")
    finished.type(tool.fields["alcohol"], f"{100.0 * tolerance.high + 1.5}")
    press(finished, tool.take)
    assert set(masses(finished)) == {"honey", "spirit-96"}
    assert risk(finished) == Risk.NONE
    assert "past its limit" in plain(unfold(finished, pane.still).risk.text())
    assert any("flames" in str(f.text) for f in finished.outcome.findings)  # spirit burns


def test_that_glasses_are_tried_and_the_dose_that_was_liked_is_given_in_three_steps(finished):
    pane = finished.window.adjustment
    finished.choose(pane.additions.editor.empty, "erythritol")
    finished.type(pane.additions.editor.rows[0].cells[1], "600 g")
    trial = unfold(finished, pane.tools.trial)
    press(finished, trial.make)
    assert "Stock" in plain(trial.stocks.text())
    for row, score in zip(trial.rows, "35886", strict=True):
        finished.type(row[-1], score)
    finished.outcome  # noqa: B018
    assert "Liked best" in plain(trial.verdict.text())
    press(finished, trial.carry)
    wanted = masses(finished)["erythritol"]
    assert 0.3 < wanted < 0.84  # between half of the dose and the strongest glass
    # Five glasses of 100 mL, less the volume that erythritol takes in them.
    assert 0.45e-3 < finished.batch.adjustment.drunk < 0.5e-3
    steps = unfold(finished, pane.tools.steps)
    given = 0.0
    for share, weighed in ((0.6, None), (0.5, "0.1 kg"), (1.0, None)):
        finished.choose(steps.share, share)
        finished.outcome  # noqa: B018
        (field,) = steps.fields
        # The next step is computed from what was really stirred in, also where another amount was weighed.
        assert field.si == pytest.approx(share * (wanted - given), rel=1e-6)
        if weighed is not None:
            field.setText(weighed)
        given += 0.1 if weighed is not None else field.si
        press(finished, steps.log)
        finished.outcome  # noqa: B018
    doses = [entry for entry in finished.batch.log.readings if isinstance(entry, Event) and entry.what == What.DOSE]
    assert len(doses) == 3
    assert all(dose.at for dose in doses)
    assert given_doses(finished.batch.log.readings)["erythritol"] == pytest.approx(wanted, rel=1e-6)
    assert "done" in plain(steps.state.text())
    mead = finished.outcome.mead
    assert mead.now.sweetness.typical == pytest.approx(mead.after.sweetness.typical, rel=1e-6)


def test_that_it_is_made_as_last_time(visit, tmp_path):
    then = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
    then = edits.change_adjustment(then, acid=12.0, volume=0.010)
    then = edits.add_addition(then, Addition(key="erythritol", mass=0.4))
    file = tmp_path / "last year.meadbatch"
    file.write_bytes(encode(then))
    made = visit(file, sample="raspberry-finished")
    pane = made.window.adjustment
    tool = unfold(made, pane.tools.earlier)
    press(made, tool.choose)
    told = plain(tool.answer.text())
    assert told.index("Acid") < told.index("erythritol")  # what differs stands first
    assert "40 g/L as planned then" in told
    press(made, tool.take)
    assert masses(made)["erythritol"] == pytest.approx(0.040 * 19.5, rel=1e-6)
    made.outcome  # noqa: B018
    press(made, tool.blend)
    blend = made.batch.adjustment.additions[-1]
    assert (blend.key, bool(blend.blend.composition)) == ("another-mead", True)
    places = unfold(made, pane.tools.picture).map.places
    assert {Role.BEFORE, Role.AFTER, Role.EARLIER} <= {place.role for place in places}


def test_that_house_rules_close_a_way_and_say_why(finished):
    rules = HouseRules(no_sulphite=True, no_sorbate=True, no_heat=True)
    finished.window.store.edit(edits.change_recipe(finished.batch, rules=rules), "rules")
    text = plain(unfold(finished, finished.window.adjustment.still).ways.text())
    assert text.count("against the house rules") == 2


# --- where it stands


def test_that_a_stalled_batch_stands_where_its_log_rests_and_is_not_to_be_bottled(visit):
    made = visit(sample="damson-stopped")
    pane, mead = made.window.adjustment, made.outcome.mead
    assert mead.basis is Basis.AT_REST
    assert plain(pane.mead_now.gravity.placeholderText()) == "by the log 1.030"
    assert "stalled" in plain(pane.mead_now.basis.text())
    assert re.search(r"\d+ to \d+ g/L", plain(pane.mead_now.rows["fermentable"].value.text()))
    assert any("Do not bottle this yet" in text for text in pane.doubts.texts())
    assert risk(made) == Risk.GRAVE
    made.type(pane.mead_now.gravity, "1.012")
    assert made.outcome.mead.before.gravity.typical == pytest.approx(1.012, abs=1e-5)


def test_that_a_batch_half_way_is_forecast_and_nothing_closes_its_bottle(visit):
    made = visit(sample="blackcurrant-half-way")
    pane = made.window.adjustment
    assert made.outcome.mead.basis is Basis.FORECAST
    assert plain(pane.mead_now.gravity.placeholderText()).startswith("forecast ")
    assert "Still fermenting" in plain(pane.mead_now.basis.text())
    assert "do not bottle" in plain(pane.verdict.text)
    ways = plain(unfold(made, pane.still).ways.text())
    assert "would work" not in ways.split("Sulphite with sorbate")[1]
    assert ways.count("Not while it ferments") == 2
