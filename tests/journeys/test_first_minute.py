"""The first minute: from an empty window to a recipe, a sample or a file, with no manual."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QImage
from PySide6.QtWidgets import QApplication

from planner.reference.shipped import samples
from planner.ui.shell.first_minute import HINTS
from planner.ui.widgets.disclosure import Disclosure


@pytest.fixture
def started(visit):
    """A window as at a first start."""

    def open_window(*answers):
        made = visit(*answers)
        made.window.first.show_page()
        made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
        return made

    return open_window


def drop(window, data):
    """Drop what a person drags onto the window."""
    middle = QPoint(window.width() // 2, window.height() // 2)
    acts, button, keys = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    entering = QDragEnterEvent(middle, acts, data, button, keys)
    QApplication.sendEvent(window, entering)
    assert entering.isAccepted()
    QApplication.sendEvent(window, QDropEvent(middle, acts, data, button, keys))


def test_that_the_first_field_asks_what_the_tree_gave_and_makes_a_recipe(started):
    made = started()
    field = made.window.first.page.harvest
    assert made.window.focusWidget() is field
    made.type(field, "9.5 kg blackcurrants")
    assert made.window.first.page is None
    assert made.outcome.mead.after.alcohol.typical == pytest.approx(0.12, abs=0.005)
    assert made.window.store.undo_stack.undoText() == "recipe from 9.5 kg blackcurrants"
    made.qtbot.waitUntil(lambda: made.window.focusWidget() is made.window.recipe.fruit.editor.rows[0].cells[1])


def test_that_what_cannot_be_read_stays_in_the_field_with_the_reason(started):
    made = started()
    field = made.window.first.page.harvest
    made.type(field, "9.5 blackcurrants")
    assert made.window.first.page.harvest is field
    assert field.text() == "9.5 blackcurrants"
    assert "unit" in field.problem_text


def test_that_escape_leads_to_the_empty_recipe_and_the_menu_back(started):
    made = started()
    made.qtbot.keyClick(made.window.first.page.harvest, Qt.Key.Key_Escape)
    assert made.window.first.page is None
    assert made.window.room.isVisible()
    made.act("show_first_steps")
    assert made.window.first.page.isVisible()


def test_that_a_sample_is_one_press_away_and_shows_its_curve(started):
    made = started()
    page = made.window.first.page
    made.qtbot.waitUntil(lambda: all(card._sketch is not None for card in page.cards))
    assert [card.text() for card in page.cards] == ["Quince", "Blackcurrant", "Damson", "Raspberry"]
    made.qtbot.mouseClick(page.cards[1], Qt.MouseButton.LeftButton)
    assert made.batch.name.startswith("Hedge Blackcurrant")
    assert made.outcome.curve is not None
    made.qtbot.waitUntil(lambda: made.window.focusWidget() is made.window.curve.form.value)


def test_that_there_are_three_hints_at_most_and_each_goes_when_it_is_known(started):
    made = started()
    assert len(HINTS) <= 3
    made.window.first.leave_page()
    bar, seen = made.window.first.bar, []
    while bar.isVisible():
        seen.append(bar.text.text())
        made.qtbot.mouseClick(bar.known, Qt.MouseButton.LeftButton)
    assert seen == list(HINTS.values())
    made.window.first.show_hints_again(True)
    assert bar.isVisible()
    made.qtbot.mouseClick(bar.none, Qt.MouseButton.LeftButton)
    assert not bar.isVisible()
    assert made.window.settings.hints == ()


@pytest.mark.parametrize("name", ["quince-planned", "blackcurrant-half-way", "damson-stopped", "raspberry-finished"])
def test_that_the_focus_never_begins_on_a_fold(visit, name):
    made = visit(sample=name)
    assert made.outcome is not None
    made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
    focused = made.window.focusWidget()
    assert focused is not None
    assert not isinstance(focused, Disclosure)
    assert "Fold" not in focused.accessibleName()


def test_that_the_window_takes_a_dropped_batch(visit):
    made = visit()
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(samples() / "damson-stopped.meadbatch"))])
    drop(made.window, data)
    assert made.batch.name.startswith("Lane Damson")


def test_that_the_window_takes_a_dropped_table_and_its_text(visit, tmp_path):
    made = visit()
    table = "day,gravity\n0,1.090\n3,1.060\n"
    (tmp_path / "log.csv").write_text(table)
    data, text = QMimeData(), QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(tmp_path / "log.csv"))])
    text.setText(table)
    for dropped in (data, text):
        drop(made.window, dropped)
        dialog = made.window.exchange.dialog
        made.qtbot.waitUntil(lambda dialog=dialog: len(dialog.result_readings()) == 2)
        dialog.reject()


def test_that_a_picture_is_refused_with_what_to_do_instead(visit):
    made = visit()
    data = QMimeData()
    data.setImageData(QImage(4, 4, QImage.Format.Format_RGB32))
    drop(made.window, data)
    assert "text of the table" in made.ask.told[0]
