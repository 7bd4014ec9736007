"""Everything is found by typing, and done from the keyboard: commands, copying, pasting, and going from pane to pane."""

from __future__ import annotations

import itertools
import re
from collections import Counter

import pytest
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QMenuBar

from planner.ui.shell import help as helping
from planner.ui.shell.actions import ACTS, ELSEWHERE, Act
from planner.ui.shell.finder import Finder
from planner.ui.widgets.spanbar import SpanRow

MOST_STOPS = 40
"""Of the Tab key with all folds closed, on each sample. A line of the recipe is one, so that a longer one has more."""

# A list that pops up is a window of its own, which the offscreen platform can neither raise nor give the keyboard.
pytestmark = pytest.mark.qt_log_ignore("does not support raise", "does not support grabbing the keyboard")


@pytest.fixture
def open_sample(visit):
    """A window on a sample, whole and active."""

    def open_it(name="blackcurrant-half-way", *answers):
        made = visit(*answers, sample=name)
        assert made.outcome is not None
        made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
        made.window.activateWindow()
        QCoreApplication.processEvents()
        return made

    return open_it


def find(made, words):
    """Type into the line that finds everything; the window that asks."""
    made.act("find_anything")
    finder = made.window.findChild(Finder)
    made.qtbot.keyClicks(finder.line, words)
    return finder


def stops(window):
    """Where Tab stops, once round."""
    window.recipe.water.water.setFocus()
    seen = []
    while (widget := window.focusWidget()) not in seen:
        seen.append(widget)
        window.focusNextChild()
    return seen


# --- finding


@pytest.mark.parametrize(
    ("words", "first", "kind"),
    [
        ("schedule", "Schedule", "Batch"),
        ("us units", "US units", "Preferences"),
        ("enter reading", "Enter a reading", "Edit"),
        ("add quince", "Add Quince", "Fruit"),
        ("vessel", "Vessel", "Recipe"),
    ],
)
def test_that_commands_ingredients_and_fields_are_found_by_their_words(open_sample, words, first, kind):
    finder = find(open_sample(), words)
    assert (finder.rows[0].text, finder.rows[0].kind) == (first, kind)


def test_that_commands_show_their_keys(open_sample):
    finder = find(open_sample(), "save")
    assert ("Save", "Ctrl+S") in [(row.text, row.key) for row in finder.rows]


def test_that_enter_does_what_was_found(open_sample):
    made = open_sample()
    finder = find(made, "vessel")
    made.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert made.window.focusWidget() is made.window.recipe.vessel.vessel


def test_that_an_ingredient_that_is_found_joins_the_recipe(open_sample):
    made = open_sample()
    finder = find(made, "add quince")
    made.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert [line.key for line in made.batch.recipe.fruits] == ["blackcurrant", "quince"]


def test_that_a_doubt_that_is_found_leads_to_its_place(open_sample):
    made = open_sample("damson-stopped")
    finder = find(made, "warning")
    assert finder.rows[0].kind == "Warning"
    made.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert made.window.focusWidget() is not None


def test_that_a_note_of_the_log_is_found(open_sample):
    made = open_sample("damson-stopped")
    notes = [reading.note for reading in made.batch.log.readings if reading.note]
    finder = find(made, notes[-1])
    made.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    [row] = made.window.curve.table.chosen_rows()
    assert made.batch.log.readings[made.window.curve.table.log_model.place_of(row)].note == notes[-1]


def test_that_a_caution_is_read_whole_from_the_keyboard(open_sample):
    made = open_sample()
    finder = find(made, "caution honey child")
    made.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    labels = [label.text() for label in made.window.recipe.findChildren(QLabel) if label.isVisible()]
    assert any("never give it to a child" in text and ">less<" in text for text in labels)


def test_that_nothing_found_says_so(open_sample):
    finder = find(open_sample(), "zzzz")
    assert not finder.rows
    assert finder.none.isVisible()


# --- copying and pasting


def test_that_a_result_is_copied_in_words(open_sample):
    made = open_sample()
    row = made.window.recipe.results.must["volume"]
    row.setFocus()
    made.act("copy")
    assert QGuiApplication.clipboard().text() == "Volume: 18.7 L"


def test_that_the_curve_is_copied_as_a_picture(open_sample):
    made = open_sample()
    made.window.curve.canvas.setFocus()
    made.act("copy")
    assert QGuiApplication.clipboard().image().width() > 1000


def test_that_rows_of_the_log_are_copied_and_pasted(open_sample):
    made = open_sample()
    table = made.window.curve.table
    table.setFocus()
    made.act("select_all")
    made.act("copy")
    lines = QGuiApplication.clipboard().text().splitlines()
    assert len(lines) == 1 + len(made.batch.log.readings)
    made.act("paste")
    assert made.window.exchange.dialog is not None
    made.window.exchange.dialog.reject()


def test_that_a_table_pasted_where_a_reading_is_typed_is_imported(open_sample):
    made = open_sample()
    made.window.curve.form.value.setFocus()
    QGuiApplication.clipboard().setText("day\tgravity\n0\t1.100\n5\t1.050\n")
    made.act("paste")
    assert made.window.curve.form.value.text() == ""
    made.window.exchange.dialog.reject()


def test_that_text_is_cut_and_pasted_in_a_field(open_sample):
    made = open_sample()
    note = made.window.curve.form.note
    note.setFocus()
    made.qtbot.keyClicks(note, "leafy")
    for act in ("select_all", "cut", "paste", "paste"):
        made.act(act)
    assert note.text() == "leafyleafy"


def test_that_the_curve_has_a_menu_that_tells_its_keys(open_sample):
    canvas = open_sample().window.curve.canvas
    texts = {action.text().replace("&", ""): action.shortcut().toString() for action in canvas.actions()}
    assert texts["Show the whole curve"] == "Ctrl+0"
    assert {"Calendar", "Copy", "Save picture of the curve…"} <= texts.keys()
    assert canvas.contextMenuPolicy() == Qt.ContextMenuPolicy.ActionsContextMenu


# --- going round


def test_that_f6_goes_from_pane_to_pane_and_back_to_where_one_was(open_sample):
    made = open_sample()
    window = made.window
    window.recipe.water.water.setFocus()
    folds = (window.curve_fold, window.adjustment_fold)
    for fold in folds:
        made.act("next_pane")
        assert fold.isAncestorOf(window.focusWidget())
    made.act("next_pane")
    assert window.focusWidget() is window.head.badge
    made.act("next_pane")
    assert window.focusWidget() is window.recipe.water.water
    made.act("previous_pane")
    made.act("previous_pane")
    assert window.adjustment_fold.isAncestorOf(window.focusWidget())


@pytest.mark.parametrize("name", ["quince-planned", "blackcurrant-half-way", "damson-stopped", "raspberry-finished"])
def test_that_tab_stops_at_no_more_than_forty_places(open_sample, name):
    assert len(stops(open_sample(name).window)) <= MOST_STOPS


@pytest.mark.parametrize("name", ["quince-planned", "blackcurrant-half-way", "damson-stopped", "raspberry-finished"])
def test_that_tab_goes_from_the_recipe_to_the_curve_and_on_to_the_adjustment(open_sample, name):
    window = open_sample(name).window
    panes = [pane for pane in (window.recipe_fold, window.curve_fold, window.adjustment_fold) if not pane.is_folded]
    visited = [pane for stop in stops(window) for pane in panes if pane.isAncestorOf(stop)]
    once = [pane for pane, _ in itertools.groupby(visited)]
    assert once[: len(panes)] == panes


def test_that_each_line_of_the_recipe_is_one_stop(open_sample):
    made = open_sample("quince-planned")
    before = len(stops(made.window))
    finder = find(made, "add damson")
    made.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert len(stops(made.window)) == before + 1


def test_that_results_take_the_focus_and_arrows_go_from_one_to_the_next(open_sample):
    made = open_sample()
    rows = [*made.window.recipe.results.must.values()]
    rows[0].setFocus()
    made.qtbot.keyClick(rows[0], Qt.Key.Key_Down)
    assert made.window.focusWidget() is rows[1]
    assert [row for row in rows if row.focusPolicy() & Qt.FocusPolicy.TabFocus] == [rows[1]]
    made.window.explaining.tell()
    explained = helping.explained(made.window.focusWidget())
    assert explained is not None
    assert isinstance(explained[0], SpanRow)
    assert "Gravity" in explained[1]


def test_that_f2_goes_round_the_parts_of_a_line_and_a_key_removes_it(open_sample):
    made = open_sample()
    row = made.window.recipe.fruit.editor.rows[0]
    mass = row.cells[1]
    mass.setFocus()
    for part in (row.remove, row.disclosure, row.cells[0], mass):
        made.qtbot.keyClick(made.window.focusWidget(), Qt.Key.Key_F2)
        assert made.window.focusWidget() is part
    made.qtbot.keyClick(mass, Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    assert made.batch.recipe.fruits == ()


def test_that_f2_goes_to_what_belongs_to_a_reading(open_sample):
    made = open_sample()
    form = made.window.curve.form
    form.value.setFocus()
    for part in (form.kind, form.instrument, form.hydrometer, form.value):
        made.qtbot.keyClick(made.window.focusWidget(), Qt.Key.Key_F2)
        assert made.window.focusWidget() is part


@pytest.mark.parametrize("name", ["quince-planned", "damson-stopped", "raspberry-finished"])
def test_that_no_letter_with_alt_leads_to_two_places_of_the_window(open_sample, name):
    window = open_sample(name).window
    assert_unambiguous(window)
    window.first.show_page()
    assert_unambiguous(window)


def assert_unambiguous(window):
    bar = window.findChild(QMenuBar)
    texts = [action.text() for action in bar.actions()]
    texts += [w.text() for w in window.findChildren(QAbstractButton) if w.isVisible()]
    texts += [w.text() for w in window.findChildren(QLabel) if w.isVisible() and w.buddy() is not None]
    letters = [match[1].casefold() for text in texts if (match := re.search(r"&(\w)", text))]
    assert max(Counter(letters).values()) == 1, Counter(letters).most_common(3)


def test_that_the_page_of_keys_names_every_key(open_sample):
    made = open_sample()
    page = helping.keys_page(made.window.menus.by_menu)
    for act in ACTS:
        if isinstance(act, Act):
            for key in filter(None, act.key.split("; ")):
                assert QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText) in page
    assert all(text in page for rows in ELSEWHERE.values() for _, text in rows)


def test_that_a_combo_with_a_line_is_copied_from(open_sample):
    made = open_sample()
    name = made.window.recipe.fruit.editor.rows[0].cells[0]
    assert isinstance(name, QComboBox)
    name.setFocus()
    name.lineEdit().selectAll()
    made.act("copy")
    assert QApplication.clipboard().text() == "Blackcurrant"
