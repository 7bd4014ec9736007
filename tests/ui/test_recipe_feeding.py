"""Feeds are proposed in the recipe pane, and taken only on request; temperatures are of the must or of its room."""

from __future__ import annotations

import msgspec
import pytest
from PySide6.QtCore import Qt

from planner.document import edits
from planner.document.batch import (
    Batch,
    Event,
    Feed,
    HoneyLine,
    Log,
    Recipe,
    TemperatureStep,
    What,
    Yeast,
    new_batch,
)
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.ui.display import Display
from planner.ui.recipe.pane import RecipePane
from planner.ui.store import BatchStore
from planner.ui.theme import LIGHT
from planner.units import System

SHELF = catalogue()
HONEY = Batch(
    name="Honey",
    recipe=Recipe(
        yeast=Yeast(key="all-rounder", pitch=0.005),
        honeys=(HoneyLine(key="blossom", mass=5.4),),
        water=16.4,
        temperatures=(TemperatureStep(day=0.0, temperature=293.15),),
        feeds=(Feed(key="diammonium-phosphate", mass=0.004, day=1.0),),
    ),
)


class Desk:
    """A pane on a store, and the science behind it without the wait."""

    def __init__(self, qtbot, batch=HONEY, members=20):
        self.qtbot, self.members = qtbot, members
        self.store = BatchStore(batch)
        self.pane = RecipePane(self.store, SHELF, Display(), LIGHT)
        self.store.changed.connect(self._work_out)
        qtbot.addWidget(self.pane)
        self.pane.resize(330, 900)
        with qtbot.waitActive(self.pane):
            self.pane.show()
        self._work_out(batch)

    def _work_out(self, batch):
        self.pane.show_batch(batch)
        self.pane.show_outcome(evaluate(batch, SHELF, self.members))

    @property
    def feeds(self):
        return self.store.batch.recipe.feeds

    @property
    def proposal(self):
        return self.pane.feeding.proposal

    def click(self, button):
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def tick(self, *keys):
        for key, box in self.proposal.foods.items():
            if box.isChecked() != (key in keys):
                box.click()


@pytest.fixture
def desk(qtbot):
    made = []

    def make(batch=HONEY, **more):
        made.append(Desk(qtbot, batch, **more))
        return made[-1]

    yield make
    for each in made:
        each.store.undo_stack.clear()  # PySide 6.11.3 frees commands twice when a stack is part of a cycle of garbage


def test_that_nothing_is_proposed_before_it_is_asked_for(desk):
    made = desk()
    assert made.proposal.isHidden()
    made.click(made.pane.feeding.ask)
    assert made.proposal.isVisible()
    assert made.feeds == HONEY.recipe.feeds
    made.click(made.proposal.close_it)
    assert made.proposal.isHidden()
    assert made.pane.feeding.ask.isVisible()
    assert made.feeds == HONEY.recipe.feeds
    assert made.store.undo_stack.count() == 0


def test_that_a_proposal_is_taken_and_undone_in_one_step(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    wanted = made.proposal.plan.feeds
    made.click(made.proposal.take)
    assert [(f.key, f.mass) for f in made.feeds] == [(f.key, f.mass) for f in wanted]
    # Whole percents, as the plan says them: a third is 33 %.
    assert [f.sugar_used for f in made.feeds] == [None, 0.17, 0.33]
    assert made.feeds != HONEY.recipe.feeds
    assert made.store.undo_stack.text(0) == "feed as proposed"
    assert made.proposal.isHidden()
    assert not made.pane.feeding.remarks.findings
    made.store.undo_stack.undo()
    assert made.feeds == HONEY.recipe.feeds


def test_that_the_act_stands_before_the_small_print(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    proposal = made.proposal
    assert proposal.table.y() < proposal.take.y() < proposal.bounds.y()


def test_that_a_plan_that_was_taken_is_not_offered_again(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    made.click(made.proposal.take)
    made.click(made.pane.feeding.ask)
    assert not made.proposal.take.isEnabled()


def test_that_the_plan_tells_what_when_how_much_and_why(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    lines, plan = made.proposal.lines(), made.proposal.plan
    assert len(lines) == len(plan.steps) == 3
    assert lines[0][0].replace("\u202f", " ").replace("\xa0", " ").endswith("g Diammonium phosphate")
    assert lines[0][1].startswith("to ")
    assert "the yeast is awake" in lines[0][2]
    assert lines[-1][2].startswith("At 33")
    assert "This yeast needs about" in made.proposal.reasons.text()
    bounds = made.proposal.bounds.text()
    assert "allowed. 27 CFR 24.246" in bounds
    assert "Feed nothing after about day" in bounds


def test_that_the_plan_follows_what_is_ticked(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    assert [key for key, box in made.proposal.foods.items() if box.isChecked()] == ["diammonium-phosphate"]
    made.tick("yeast-autolysate")
    assert {step.feed.key for step in made.proposal.plan.steps} == {"yeast-autolysate"}
    assert "allowed" not in made.proposal.bounds.text()
    assert "of the 2.00\u00a0g/L that are usual. The plan gives no more." in made.proposal.bounds.text()
    made.tick()
    assert not made.proposal.take.isEnabled()
    assert "Choose a nutrient." in made.proposal.reasons.text()


def test_that_the_plan_follows_the_batch_while_it_is_open(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    before = made.proposal.plan
    made.store.edit(edits.change_line(made.store.batch, "honeys", 0, mass=6.5), "more honey")
    assert made.proposal.plan.lack.typical > before.lack.typical
    assert made.proposal.take.isEnabled()


def test_that_house_rules_are_obeyed_and_named(desk):
    made = desk(edits.change_rules(HONEY, natural_only=True))
    made.click(made.pane.feeding.ask)
    assert {step.feed.key for step in made.proposal.plan.steps} == {"yeast-autolysate"}
    made.tick("yeast-autolysate", "diammonium-phosphate")
    assert {step.feed.key for step in made.proposal.plan.steps} == {"yeast-autolysate"}
    assert "Diammonium phosphate is left out. House rule" in made.proposal.bounds.text()


def test_that_what_was_given_stays_when_a_plan_is_taken(desk):
    log = Log(readings=(Event(what=What.FEED, key="diammonium-phosphate", mass=0.003, day=1.0),))
    made = desk(msgspec.structs.replace(HONEY, log=log))
    made.click(made.pane.feeding.ask)
    made.click(made.proposal.take)
    assert made.feeds[0] == Feed(key="diammonium-phosphate", mass=0.003, day=1.0)
    assert len(made.feeds) > 1


def test_that_without_anything_to_ferment_nothing_can_be_proposed(desk):
    assert not desk(new_batch()).pane.feeding.ask.isEnabled()


def test_that_the_proposal_follows_the_units(desk):
    made = desk()
    made.click(made.pane.feeding.ask)
    metric = made.proposal.lines()
    made.pane.set_display(Display(system=System.US))
    assert made.proposal.lines()[0][0] == metric[0][0]  # nutrients are weighed in grams everywhere


def test_that_temperatures_become_those_of_the_room(desk):
    made = desk()
    section = made.pane.temperature
    assert "Uncooled, in a room of 20" in section.text.text()
    made.click(section.in_room)
    assert made.store.batch.recipe.in_room
    assert made.store.undo_stack.text(0) == "temperatures of the room"
    assert section.text.text().startswith("It is warmest on day")
    assert "works from" in section.text.text()
    made.store.undo_stack.undo()
    assert not section.in_room.isChecked()


def test_that_a_must_too_warm_by_itself_is_told_beside_the_temperature(desk):
    hot = edits.scaled(  # a cubic metre and more
        edits.change_recipe(HONEY, in_room=True, temperatures=(TemperatureStep(day=0.0, temperature=299.15),)), 60.0
    )
    made = desk(hot)
    told = " ".join(made.pane.temperature.remarks.texts())
    assert "It should warm itself to about" in told
    assert "water bath" in told


@pytest.mark.parametrize(
    ("typed", "said"), [("honey", "under Honey above"), ("sugar", "nitrogen"), ("zzz", "not on the shelf")]
)
def test_that_what_is_no_food_for_the_yeast_is_told_where_it_belongs(desk, typed, said):
    field = desk().pane.feeding.editor.empty
    field.setEditText(typed)
    assert not field.accept()
    assert said in field.problem_text


def test_that_the_estimated_ph_stands_with_the_must(desk):
    made = desk()
    assert made.pane.results.must["ph"].value.text() == "3.9"  # honey alone: White 1962, mean of 490 honeys 3.91
    made.store.edit(edits.change_line(made.store.batch, "honeys", 0, mass=0.0), "no honey")
    assert made.pane.results.must["ph"].value.text() == "–"
