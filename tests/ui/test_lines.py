"""An editor of lines tells what was entered and shows what it is given; rows of untouched lines stay as they are."""

from __future__ import annotations

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QCheckBox, QLineEdit, QVBoxLayout, QWidget

from planner.document.batch import FruitLine
from planner.ui.display import Display
from planner.ui.widgets.lines import ChoiceColumn, LineDetails, LineEditor, QuantityColumn
from planner.units import Kind, System
from planner.wording.finding import note, warning

NAMES = {"plum": "Plum", "sloe": "Sloe", "quince": "Quince", "pear": "Pear"}
CHOICE = ChoiceColumn(field="key", label="Fruit", choices=tuple(NAMES.items()))
MASS = QuantityColumn(field="mass", label="Weight", kind=Kind.MASS)


class Details(LineDetails):
    """A check box."""

    def __init__(self):
        super().__init__()
        self.stoned = QCheckBox("stoned")
        self.seen = []
        QVBoxLayout(self).addWidget(self.stoned)
        self.stoned.clicked.connect(self._tell)

    def show_line(self, line, context):
        self.seen.append((line, context))

    def _tell(self, checked):
        self.changed.emit({"stoned": checked})


class Form(QWidget):
    """An editor between two fields, whose lines are kept as a pane keeps them."""

    def __init__(self, *keys):
        super().__init__()
        self.before, self.after, self.told = QLineEdit(), QLineEdit(), []
        self.editor = LineEditor(
            (CHOICE, MASS), prompt="Add fruit", display=Display(), name=lambda line: NAMES[line.key], details=Details
        )
        layout = QVBoxLayout(self)
        for widget in (self.before, self.editor, self.after):
            layout.addWidget(widget)
        self.editor.added.connect(self.add)
        self.editor.changed.connect(self.change)
        self.editor.removed.connect(self.remove)
        self.lines = tuple(FruitLine(key=key, mass=1.0) for key in keys)
        self.editor.show_lines(self.lines)

    def show_lines(self, lines):
        self.lines = tuple(lines)
        self.editor.show_lines(self.lines)

    def add(self, key):
        self.told.append(("added", key))
        self.show_lines((*self.lines, FruitLine(key=key, mass=5.0)))

    def change(self, index, changes):
        self.told.append(("changed", index, changes))
        lines = list(self.lines)
        lines[index] = msgspec.structs.replace(lines[index], **changes)
        self.show_lines(lines)

    def remove(self, index):
        self.told.append(("removed", index))
        self.show_lines((*self.lines[:index], *self.lines[index + 1 :]))


@pytest.fixture
def form(qtbot):
    def make(*keys):
        made = Form(*keys)
        qtbot.addWidget(made)
        made.resize(300, 400)
        with qtbot.waitActive(made):
            made.show()
        return made

    return make


def shown(form):
    return [(row.cells[0].key, row.cells[1].si) for row in form.editor.rows]


def enter(widget, text, qtbot):
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(widget.hasFocus)
    edit = widget.lineEdit() if hasattr(widget, "lineEdit") else widget
    edit.setText(text)
    qtbot.keyClick(widget, Qt.Key.Key_Return)


def test_that_a_name_in_the_empty_last_row_adds_a_line_and_goes_to_its_amount(form, qtbot):
    made = form()
    enter(made.editor.empty, "quince", qtbot)
    assert shown(made) == [("quince", 5.0)]
    assert made.editor.empty.currentText() == ""
    assert QApplication.focusWidget() is made.editor.rows[0].cells[1]


def test_that_enter_goes_from_the_amount_to_the_next_line_and_at_last_to_the_empty_row(form, qtbot):
    made = form("plum", "sloe")
    first, second = made.editor.rows
    enter(first.cells[1], "7 kg", qtbot)
    assert QApplication.focusWidget() is second.cells[0]
    qtbot.keyClick(second.cells[0], Qt.Key.Key_Return)
    assert QApplication.focusWidget() is second.cells[1]
    qtbot.keyClick(second.cells[1], Qt.Key.Key_Return)
    assert QApplication.focusWidget() is made.editor.empty
    assert made.told == [("changed", 0, {"mass": 7.0})]


def test_that_a_refused_amount_keeps_the_focus(form, qtbot):
    made = form("plum", "sloe")
    cell = made.editor.rows[0].cells[1]
    enter(cell, "7 litres", qtbot)
    assert QApplication.focusWidget() is cell
    assert "Enter a mass" in cell.problem_text
    cell.restore()


def test_that_another_choice_in_a_line_changes_that_line(form):
    made = form("plum", "sloe", "pear")
    cell = made.editor.rows[1].cells[0]
    cell.setEditText("quince")
    assert cell.accept()
    assert made.told == [("changed", 1, {"key": "quince"})]
    assert made.editor.rows[1].cells[1].accessibleName() == "Weight of Quince"


def test_that_removing_a_line_keeps_the_rows_of_the_others(form):
    made = form("plum", "sloe", "pear")
    first, middle, last = made.editor.rows
    last.disclosure.toggle()
    middle.remove.click()
    assert made.told == [("removed", 1)]
    assert made.editor.rows == [first, last]
    assert last.disclosure.isChecked()
    assert not middle.isVisible()


def test_that_the_focus_of_a_removed_line_goes_to_the_next_one(form, qtbot):
    made = form("plum", "sloe")
    made.editor.rows[0].remove.setFocus()
    qtbot.keyClick(made.editor.rows[0].remove, Qt.Key.Key_Space)
    assert QApplication.focusWidget() is made.editor.rows[0].cells[0]
    assert shown(made) == [("sloe", 1.0)]


def test_that_a_line_given_back_in_the_middle_stands_there(form):
    made = form("plum", "sloe", "pear")
    before, rows = made.lines, list(made.editor.rows)
    made.remove(1)
    made.show_lines(before)
    assert shown(made) == [("plum", 1.0), ("sloe", 1.0), ("pear", 1.0)]
    assert [made.editor.rows[0], made.editor.rows[2]] == [rows[0], rows[2]]


def test_that_a_change_touches_no_row_but_its_own(form):
    made = form("plum", "sloe", "pear")
    made.editor.rows[0].disclosure.toggle()
    made.editor.rows[2].cells[1].setText("12")
    made.change(1, {"mass": 3.0})
    assert shown(made)[1] == ("sloe", 3.0)
    assert made.editor.rows[2].cells[1].text() == "12"
    assert made.editor.rows[0].details.seen == [(made.lines[0], None)]


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Space])
def test_that_a_line_opens_and_closes_by_key(form, qtbot, key):
    made = form("plum")
    row = made.editor.rows[0]
    row.disclosure.setFocus()
    qtbot.keyClick(row.disclosure, key)
    assert row.details.isVisible()
    qtbot.keyClick(row.disclosure, key)
    assert not row.details.isVisible()


def test_that_a_line_opens_by_one_click_and_its_details_change_it(form, qtbot):
    made = form("plum")
    row = made.editor.rows[0]
    qtbot.mouseClick(row.disclosure, Qt.MouseButton.LeftButton)
    row.details.stoned.click()
    assert made.told == [("changed", 0, {"stoned": True})]
    assert row.details.seen[-1][0].stoned


def test_that_open_details_follow_what_else_they_depend_on(form):
    made = form("plum")
    row = made.editor.rows[0]
    row.disclosure.toggle()
    made.editor.show_lines(made.lines, "frozen")
    assert row.details.seen[-1] == (made.lines[0], "frozen")


def test_that_the_tab_key_goes_through_the_lines_in_their_order(form, qtbot):
    made = form()
    for key in ("plum", "sloe"):
        made.add(key)
    made.show_lines((made.lines[0], FruitLine(key="pear", mass=2.0), made.lines[1]))
    made.editor.rows[1].disclosure.toggle()
    made.before.setFocus()
    expected = []
    for row in made.editor.rows:
        expected.append(row.cells[1])  # F2 goes to its other parts
        expected += [row.details.stoned] if row.details else []
    expected += [made.editor.empty, made.after]
    visited = []
    for _ in expected:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        visited.append(QApplication.focusWidget())
    assert visited == expected
    for back in [*expected[-2::-1], made.before]:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Backtab)
        assert QApplication.focusWidget() is back


def test_that_findings_stand_at_their_line_and_texts_beneath_it(form):
    made = form("plum", "sloe")
    made.editor.show_findings(
        (warning("recipe.fruits.1", "Doubtful."), note("recipe.honeys.1", "Other.")), "recipe.fruits"
    )
    made.editor.show_beneath(["gives 2 L", ""])
    first, second = made.editor.rows
    assert first.remarks.texts() == []
    assert second.remarks.texts() == ["Doubtful."]
    assert first.beneath.isVisible()
    assert not second.beneath.isVisible()


def test_that_other_units_are_shown_in_every_row_and_announced_by_none(form):
    made = form("plum")
    made.show_lines([FruitLine(key="plum", mass=0.45359237)])  # NIST Handbook 44, appendix C: one pound
    made.editor.set_display(Display(system=System.US))
    assert made.editor.rows[0].cells[1].text() == "1\u00a0lb"
    assert not made.told


def test_that_a_refused_line_is_shown_as_it_was(form):
    made = form("plum")
    cell = made.editor.rows[0].cells[1]
    made.editor.changed.disconnect(made.change)
    cell.setText("8")
    assert cell.accept()
    made.editor.restore()
    assert cell.si == 1.0


def test_that_every_control_has_a_name_for_those_who_do_not_see_it(form):
    made = form("plum")
    row = made.editor.rows[0]
    row.disclosure.toggle()
    assert [w.accessibleName() for w in (*row.cells, row.remove, row.disclosure, made.editor.empty)] == [
        "Fruit: Plum",
        "Weight of Plum",
        "Remove Plum",
        "Details of Plum",
        "Add fruit",
    ]


def test_that_the_new_line_is_selected_also_while_the_window_is_not_yet_active_again(form):
    made = form()
    made.hide()  # a list that closes gives the window back later: the focus then comes without Tab's reason
    made.editor.empty.chosen.emit("plum")
    (row,) = made.editor.rows
    assert row.cells[1].selectedText() == row.cells[1].text() != ""
