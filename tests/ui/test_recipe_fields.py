"""Days, moments of a feed, water, names and notes are typed in a person's own words, and what is refused says why."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QKeyEvent

from planner.document.batch import Feed, FruitLine, Recipe, TemperatureStep
from planner.document.values import limits
from planner.ui.display import Display
from planner.ui.recipe.fields import WATER_VOLUME, DayField, Due, DueField, NameField, NotesEdit, WaterField
from planner.units import System

METRIC = Display(locale=QLocale("en_US"))
GERMAN = Display(locale=QLocale("de_DE"))
US = replace(METRIC, system=System.US)


@pytest.fixture
def field(qtbot):
    def make(kind, display=METRIC, value=None):
        made = kind(display)
        qtbot.addWidget(made)
        made.show_value(value)
        made.said = []
        made.committed.connect(made.said.append)
        return made

    return make


def typed(made, text):
    made.setText(text)
    made.accept()
    return made.said


@pytest.mark.parametrize(
    ("text", "day"),
    [("day 3", 3.0), ("3", 3.0), ("3 d", 3.0), ("d 3", 3.0), ("36 h", 1.5), ("2 weeks", 14.0), ("1/2", 0.5)],
)
def test_that_a_day_is_typed_with_or_without_its_word(field, text, day):
    made = field(DayField, value=0.0)
    assert typed(made, text) == [pytest.approx(day, rel=1e-12)]


@pytest.mark.parametrize("text", ["", "soon", "3 kg", "-2", "day", "2,500"])
def test_that_what_is_no_day_is_refused_with_what_would_be_accepted(field, text):
    made = field(DayField, value=1.0)
    assert typed(made, text) == []
    assert "such as day 3" in made.problem_text


def test_that_a_day_later_than_a_batch_can_hold_is_refused_with_the_range(field):
    made = field(DayField, value=1.0)
    assert typed(made, "4000") == []
    assert "Days from 0 to 3660" in made.problem_text


def test_that_a_day_is_written_with_the_readers_decimal_sign(field):
    assert field(DayField, GERMAN, 2.5).text() == "day\u00a02,5"


@pytest.mark.parametrize(
    ("text", "due"),
    [
        ("day 2", Due(day=2.0)),
        ("2", Due(day=2.0)),
        ("30 %", Due(sugar_used=0.30)),
        ("at 30 % of the sugar", Due(sugar_used=0.30)),
        ("when 30 % is used", Due(sugar_used=0.30)),
    ],
)
def test_that_a_feed_is_due_on_a_day_or_at_a_share_of_the_sugar(field, text, due):
    made = field(DueField, value=Due(day=9.0))
    assert typed(made, text) == [due]


@pytest.mark.parametrize(
    ("text", "why"), [("later", "a share of the sugar used such as 30 %"), ("130 %", "more than the whole")]
)
def test_that_no_moment_is_refused_with_both_ways_to_say_when(field, text, why):
    made = field(DueField, value=Due(day=9.0))
    assert typed(made, text) == []
    assert why in made.problem_text


@pytest.mark.parametrize("due", [Due(day=0.0), Due(day=2.5), Due(sugar_used=1.0 / 3.0), Due(sugar_used=0.99)])
@pytest.mark.parametrize("display", [METRIC, GERMAN])
def test_that_what_the_field_shows_can_be_read_back(field, due, display):
    made = field(DueField, display, due)
    again = field(DueField, display)
    [read] = typed(again, made.text())
    # a field shows hundredths of a day and of a percent
    assert read.day == (None if due.day is None else pytest.approx(due.day, abs=0.005))
    assert read.sugar_used == (None if due.sugar_used is None else pytest.approx(due.sugar_used, abs=5e-5))


def test_that_arrows_move_a_day_by_one_and_by_ten_with_shift(field, qtbot):
    made = field(DayField, value=2.5)
    qtbot.keyClick(made, Qt.Key.Key_Up)
    qtbot.keyClick(made, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(made, Qt.Key.Key_Down)
    assert made.said == [3.0, 13.0, 12.0]
    for _ in range(2):
        qtbot.keyClick(made, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert made.said[-1] == 0.0


def test_that_arrows_move_a_share_within_the_whole(field, qtbot):
    made = field(DueField, value=Due(sugar_used=0.9))
    for _ in range(4):
        qtbot.keyClick(made, Qt.Key.Key_Up)
    assert made.said == [Due(sugar_used=0.95), Due(sugar_used=1.0)]


def test_that_water_is_shown_the_way_it_was_entered(field):
    made = field(WaterField, value=0.0)
    assert typed(made, "4 L") == [pytest.approx(0.004, rel=1e-12)]
    assert made.text() == "4\u00a0L"
    assert typed(made, "4 kg")[-1] == pytest.approx(4.0 * WATER_VOLUME, rel=1e-12)
    assert made.text() == "4\u00a0kg"


def test_that_a_bare_number_is_in_the_unit_that_the_field_shows(field):
    by_weight = field(WaterField, value=4.0 * WATER_VOLUME)
    assert typed(by_weight, "5") == [pytest.approx(5.0 * WATER_VOLUME, rel=1e-12)]
    by_volume = field(WaterField, value=0.004)
    assert typed(by_volume, "5") == [pytest.approx(0.005, rel=1e-12)]


def test_that_water_has_the_density_of_water():
    # CRC Handbook, 95th ed., density of water at 20 °C: 998.2 kg/m3
    assert pytest.approx(1.0 / 998.2, rel=1e-4) == WATER_VOLUME


def test_that_water_in_gallons_is_read_in_gallons(field):
    made = field(WaterField, US, 0.0)
    # NIST Handbook 44, appendix C: a US gallon is 3.785 411 784 L
    assert typed(made, "2 gal") == [pytest.approx(2 * 3.785411784e-3, rel=1e-12)]
    assert made.text() == "2\u00a0US gal"


@pytest.mark.parametrize("text", ["-1 L", "much", "5 °C", "9999999 kg"])
def test_that_what_is_no_water_is_refused(field, text):
    made = field(WaterField, value=0.001)
    assert typed(made, text) == []
    assert made.problem_text


def test_that_a_batch_keeps_a_name(qtbot):
    made = NameField()
    qtbot.addWidget(made)
    made.show_text("Hedge")
    made.setText("   ")
    assert not made.accept()
    assert made.problem_text == "A batch needs a name."


def test_that_notes_are_told_when_typed_and_not_when_shown(qtbot):
    notes = NotesEdit()
    qtbot.addWidget(notes)
    said = []
    notes.edited.connect(said.append)
    notes.show_text("From the hedge.")
    assert said == []
    notes.insertPlainText("Ripe. ")
    assert said == ["Ripe. From the hedge."]


def test_that_notes_keep_the_cursor_when_an_undo_shows_another_text(qtbot):
    notes = NotesEdit()
    qtbot.addWidget(notes)
    notes.show_text("From the hedge.")
    cursor = notes.textCursor()
    cursor.setPosition(4)
    notes.setTextCursor(cursor)
    notes.show_text("From the old hedge.")
    assert notes.textCursor().position() == 4


def test_that_notes_leave_undo_to_the_batch(qtbot):
    notes = NotesEdit()
    qtbot.addWidget(notes)
    control = Qt.KeyboardModifier.ControlModifier
    event = QKeyEvent(QKeyEvent.Type.ShortcutOverride, Qt.Key.Key_Z, control)
    notes.event(event)
    assert not event.isAccepted()


def test_that_notes_grow_with_their_text_up_to_a_bound(qtbot):
    notes = NotesEdit()
    qtbot.addWidget(notes)
    heights = []
    for lines in (1, 6, 14, 60):
        notes.show_text("\n".join(["x"] * lines))
        heights.append(notes.height())
    assert heights == sorted(heights)
    assert heights[1] > heights[0]
    assert heights[2] == heights[3]


@pytest.mark.parametrize(
    ("part", "name", "bounds"),
    [
        (FruitLine, "press_yield", (0.0, 1.0)),
        (FruitLine, "mass", (0.0, 1e5)),
        (Recipe, "vessel", (None, 1e3)),
        (TemperatureStep, "temperature", (263.15, 333.15)),
        (Feed, "day", (-365.0, 3660.0)),
    ],
)
def test_that_limits_are_those_of_the_type(part, name, bounds):
    # as declared in planner/document/batch.py
    assert limits(part, name) == bounds
