"""What is added while it works, in the recipe pane: chosen, weighed, timed by day, gravity or share, and told of."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtGui import Qt
from test_recipe_feeding import HONEY, Desk

from planner.document.batch import StepFeed
from planner.document.edits import change_recipe
from planner.ui.display import Display
from planner.ui.recipe.fields import Due, DueField


@pytest.fixture
def desk(qtbot):
    made = []

    def make(*lines):
        made.append(Desk(qtbot, change_recipe(HONEY, step_feeds=lines), members=0))
        return made[-1]

    yield make
    for each in made:
        each.store.undo_stack.clear()  # PySide 6.11.3 frees commands twice when a stack is part of a cycle of garbage


def typed(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def lines_of(made):
    return made.store.batch.recipe.step_feeds


def test_that_a_new_line_waits_for_a_gravity(desk):
    made = desk()
    section = made.pane.step_feeding
    section.editor.added.emit("apple")
    assert lines_of(made) == (StepFeed(key="apple", mass=0.5, gravity=1.02),)
    assert made.store.undo_stack.text(0) == "add Apple juice"
    assert section.text.isVisible()
    assert "of fermentable sugar" in section.text.text()


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("day 4", StepFeed(key="dark", mass=0.5, day=4.0)),
        ("1.015", StepFeed(key="dark", mass=0.5, gravity=1.015)),
        ("at 1015", StepFeed(key="dark", mass=0.5, gravity=1.015)),
        ("50 %", StepFeed(key="dark", mass=0.5, sugar_used=0.5)),
    ],
)
def test_that_it_is_timed_by_day_gravity_or_share(qtbot, desk, text, line):
    made = desk(StepFeed(key="dark", mass=0.5, day=9.0))
    typed(qtbot, made.pane.step_feeding.editor.rows[0].cells[2], text)
    assert lines_of(made) == (line,)


def test_that_the_expected_day_and_the_room_stand_beneath(desk):
    made = desk(StepFeed(key="apple", mass=1.05, gravity=1.02))
    beneath = made.pane.step_feeding._each(made.pane._outcome)
    assert beneath[0].replace("\xa0", " ").startswith("is 1 L, about day ")


def test_that_the_whole_row_can_be_taken_away_and_brought_back(desk):
    made = desk(StepFeed(key="dark", mass=0.5, gravity=1.02))
    made.pane.step_feeding.editor.removed.emit(0)
    assert lines_of(made) == ()
    assert made.pane.step_feeding.text.isHidden()
    made.store.undo_stack.undo()
    assert len(lines_of(made)) == 1


@pytest.mark.parametrize(("key", "gravity"), [(Qt.Key.Key_Up, 1.021), (Qt.Key.Key_Down, 1.019)])
def test_that_the_arrow_keys_move_a_gravity_by_a_point(qtbot, key, gravity):
    field = DueField(Display(), by_gravity=True)
    qtbot.addWidget(field)
    field.show_value(Due(gravity=1.02))
    got = []
    field.committed.connect(got.append)
    qtbot.keyClick(field, key)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert got[-1].gravity == pytest.approx(gravity)


def test_that_the_field_of_a_feed_takes_no_gravity(qtbot):
    field = DueField(Display(locale=QLocale("en_GB")))
    qtbot.addWidget(field)
    field.setText("1.020")
    assert field._read("1.020") == Due(day=1.02)
