"""Tasting notes: typing adds, changes and removes them, one visit being one step to undo."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from adjust_bench import turn_wheel
from PySide6.QtCore import QCoreApplication, QLocale, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from planner.document import edits
from planner.document.batch import Tasting, new_batch
from planner.ui.adjust.tastings import LONGEST_NOTE, TastingList
from planner.ui.display import Display
from planner.ui.store import BatchStore

ENGLISH = Display(locale=QLocale("en_GB"))
AMERICAN = Display(locale=QLocale("en_US"))
NOON = datetime(2026, 12, 3, 12, 5, tzinfo=timezone(timedelta(hours=1)))
OLD = Tasting(note="Sharp and thin.", at="2026-07-12T18:00+02:00")


def at_noon():
    return NOON


class Page(QWidget):
    """The list in a window, with another field to go to."""

    def __init__(self, qtbot, *tastings, display=ENGLISH):
        super().__init__()
        self.qtbot = qtbot
        batch = new_batch()
        for tasting in tastings:
            batch = edits.add_tasting(batch, tasting)
        self.store = BatchStore(batch)
        self.list = TastingList(self.store, display, at_noon)
        self.elsewhere = QLineEdit()
        layout = QVBoxLayout(self)
        layout.addWidget(self.elsewhere)
        layout.addWidget(self.list)
        layout.addStretch(1)
        qtbot.addWidget(self)
        self.store.changed.connect(self.show_batch)
        self.show_batch(batch)
        self.resize(300, 400)
        with qtbot.waitActive(self):
            self.show()

    def show_batch(self, batch):
        self.list.show_tastings(batch.tastings)

    @property
    def tastings(self):
        return self.store.batch.tastings

    @property
    def lines(self):
        return self.list.lines

    def write(self, index, text):
        self.lines[index].note.setFocus()
        self.qtbot.keyClicks(self.lines[index].note, text)

    def leave(self):
        self.elsewhere.setFocus()
        self.store.end_merging()


@pytest.fixture
def page(qtbot):
    def make(*tastings, **options):
        return Page(qtbot, *tastings, **options)

    return make


def test_that_typing_into_the_empty_line_adds_a_note_with_the_present_moment(page):
    made = page(OLD)
    made.write(1, "Rounder now.")
    assert made.tastings == (OLD, Tasting(note="Rounder now.", at="2026-12-03T12:05+01:00"))
    assert made.lines[1].note.hasFocus()
    assert made.lines[1].day.text() == "3 Dec 2026"
    assert len(made.lines) == 3
    assert made.lines[2].note.placeholderText()
    assert made.store.undo_stack.count() == 1
    made.store.undo_stack.undo()
    assert made.tastings == (OLD,)
    assert made.lines[1].note.toPlainText() == ""


def test_that_one_visit_is_one_step_and_the_next_visit_another(page):
    made = page(OLD)
    made.lines[0].note.moveCursor(made.lines[0].note.textCursor().MoveOperation.End)
    made.write(0, " Fruity.")
    made.leave()
    made.write(0, " Long.")
    assert made.tastings[0].note == "Sharp and thin. Fruity. Long."
    assert made.store.undo_stack.count() == 2
    made.store.undo_stack.undo()
    assert made.lines[0].note.toPlainText() == "Sharp and thin. Fruity."


def test_that_a_note_that_was_emptied_again_leaves_nothing_behind(page):
    made = page(OLD)
    made.write(1, "x")
    made.qtbot.keyClick(made.lines[1].note, Qt.Key.Key_Backspace)
    made.elsewhere.setFocus()
    assert made.tastings == (OLD,)
    assert made.store.undo_stack.count() == 0
    assert len(made.lines) == 2


def test_that_the_focus_is_not_lost_when_an_emptied_note_is_left_for_the_next_line(page):
    made = page(OLD)
    made.write(1, "x")
    made.qtbot.keyClick(made.lines[1].note, Qt.Key.Key_Backspace)
    made.qtbot.keyClick(made.lines[1].note, Qt.Key.Key_Return)
    QCoreApplication.processEvents()
    assert made.tastings == (OLD,)
    assert made.focusWidget() is not None
    assert made.focusWidget().isVisible()


def test_that_a_blank_in_the_empty_line_is_no_note(page):
    made = page()
    made.write(0, "  ")
    assert not made.tastings
    made.write(0, "a")
    assert made.tastings[0].note == "  a"


def test_that_enter_goes_on_and_shift_enter_begins_a_line(page):
    made = page()
    made.write(0, "Nose: berries")
    low = made.lines[0].note.height()
    made.qtbot.keyClick(made.lines[0].note, Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    made.write(0, "Body: thin")
    assert made.tastings[0].note == "Nose: berries\nBody: thin"
    assert made.lines[0].note.height() > low
    made.qtbot.keyClick(made.lines[0].note, Qt.Key.Key_Return)
    assert not made.lines[0].note.hasFocus()
    assert made.tastings[0].note == "Nose: berries\nBody: thin"


def test_that_enter_leads_from_note_to_note_and_the_space_bar_removes_none(page):
    made = page(OLD, Tasting(note="Rounder."))
    made.lines[0].note.setFocus()
    made.qtbot.keyClick(made.lines[0].note, Qt.Key.Key_Return)
    assert made.focusWidget() is made.lines[1].note
    made.qtbot.keyClick(made.lines[1].note, Qt.Key.Key_F2)
    assert made.focusWidget() is made.lines[1].day
    made.qtbot.keyClick(made.lines[1].day, Qt.Key.Key_Return)
    assert made.focusWidget() is made.lines[1].note
    made.qtbot.keyClick(made.lines[1].note, Qt.Key.Key_Return)
    assert made.focusWidget() is made.lines[2].note
    made.qtbot.keyClick(made.focusWidget(), Qt.Key.Key_Space)
    assert [tasting.note for tasting in made.tastings] == [OLD.note, "Rounder."]


def test_that_all_notes_are_one_stop_and_arrows_go_from_one_to_the_next(page):
    made = page(Tasting(note="First line.\nSecond line."), OLD)
    first, second, empty = (line.note for line in made.lines)
    first.setFocus()
    made.qtbot.keyClick(first, Qt.Key.Key_Down)
    assert made.focusWidget() is first
    made.qtbot.keyClick(first, Qt.Key.Key_Down)
    assert made.focusWidget() is second
    made.qtbot.keyClick(second, Qt.Key.Key_Left)
    assert made.focusWidget() is second
    made.qtbot.keyClick(second, Qt.Key.Key_Down)
    assert made.focusWidget() is empty
    made.qtbot.keyClick(empty, Qt.Key.Key_Tab)
    assert made.focusWidget() is made.elsewhere


def test_that_enter_in_a_new_note_leads_to_the_next_new_one(page):
    made = page()
    made.write(0, "Sharp.")
    made.qtbot.keyClick(made.focusWidget(), Qt.Key.Key_Return)
    assert made.focusWidget() is made.lines[1].note
    made.qtbot.keyClick(made.focusWidget(), Qt.Key.Key_Space)
    assert [tasting.note for tasting in made.tastings] == ["Sharp."]


def test_that_the_day_is_read_as_people_write_it(page):
    made = page(OLD)
    day = made.lines[0].day
    assert day.text() == "12 Jul 2026"
    day.setFocus()
    day.selectAll()
    made.qtbot.keyClicks(day, "24 Nov")
    made.qtbot.keyClick(day, Qt.Key.Key_Return)
    assert made.tastings[0].at.startswith("2026-11-24T12:00")
    assert made.tastings[0].note == OLD.note
    made.list.set_display(AMERICAN)
    assert day.text() == "Nov 24, 2026"


def test_that_the_shown_day_can_be_read_back(page):
    made = page(OLD, display=AMERICAN)
    day = made.lines[0].day
    written = day.text()
    day.setFocus()
    day.selectAll()
    made.qtbot.keyClicks(day, written.lower())
    made.qtbot.keyClick(day, Qt.Key.Key_Return)
    assert made.tastings[0].at.startswith("2026-07-12")


@pytest.mark.parametrize("text", ["12", "soon"])
def test_that_what_is_no_date_is_refused_with_one_that_is(page, text):
    made = page(OLD)
    day = made.lines[0].day
    day.setFocus()
    day.selectAll()
    made.qtbot.keyClicks(day, text)
    made.qtbot.keyClick(day, Qt.Key.Key_Return)
    assert "3 Dec" in day.problem_text
    assert made.tastings == (OLD,)


def test_that_a_note_without_a_day_says_so(page):
    made = page(Tasting(note="Some time ago."))
    assert made.lines[0].day.text() == ""
    assert made.lines[0].day.placeholderText() == "undated"


def test_that_a_note_is_removed_and_comes_back(page):
    made = page(OLD, Tasting(note="Rounder."))
    made.lines[0].remove.click()
    assert [tasting.note for tasting in made.tastings] == ["Rounder."]
    assert made.lines[0].note.toPlainText() == "Rounder."
    made.store.undo_stack.undo()
    assert made.tastings[0] == OLD


def test_that_undo_reaches_the_batch_once_the_note_has_nothing_of_its_own_to_undo(page):
    made = page(OLD)
    undo = made.store.undo_stack.createUndoAction(made)
    undo.setShortcut("Ctrl+Z")
    assert isinstance(undo, QAction)
    made.addAction(undo)
    made.lines[0].remove.click()
    made.lines[0].note.setFocus()
    made.qtbot.keyClick(made.lines[0].note, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    made.qtbot.keyRelease(made.lines[0].note, Qt.Key.Key_Control)  # else the next test finds it held down
    assert made.tastings == (OLD,)


def test_that_a_note_longer_than_a_file_holds_is_not_taken(page):
    made = page(OLD)
    note = made.lines[0].note
    note.insertPlainText("y" * (LONGEST_NOTE - len(OLD.note)))
    assert len(made.tastings[0].note) == LONGEST_NOTE
    note.insertPlainText("z")
    assert len(made.tastings[0].note) == LONGEST_NOTE
    assert len(note.toPlainText()) == LONGEST_NOTE
    assert "z" not in note.toPlainText()


@pytest.mark.parametrize("width", range(180, 420, 20))
@pytest.mark.parametrize(
    "note", ["Sharp.", "Bright, dry, very sharp. Raspberry clear on the nose, thin in the middle.", "a\nb"]
)
def test_that_a_note_is_as_high_as_its_text_and_leaves_the_wheel_to_the_pane(page, note, width):
    made = page(Tasting(note=note))
    made.resize(width, 400)
    QApplication.processEvents()
    line = made.lines[0].note
    assert line.verticalScrollBar().maximum() == 0
    line.setFocus()
    assert not turn_wheel(line)


def test_that_the_wheel_scrolls_a_long_note_only_while_it_is_written(page):
    made = page(Tasting(note="\n".join(str(line) for line in range(100))))
    made.elsewhere.setFocus()
    assert not turn_wheel(made.lines[0].note)
    made.lines[0].note.setFocus()
    assert turn_wheel(made.lines[0].note)


def test_that_a_long_note_scrolls_inside_itself(page):
    made = page(Tasting(note="\n".join(str(line) for line in range(100))))
    assert made.lines[0].note.height() < 20 * made.lines[0].note.fontMetrics().lineSpacing()
    assert made.lines[0].note.verticalScrollBarPolicy() == Qt.ScrollBarPolicy.ScrollBarAsNeeded
