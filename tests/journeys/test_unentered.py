"""What is typed and not entered is never lost without a question: on close, by a crash, or into another batch."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit

from planner.reference.shipped import samples
from planner.ui.asking import Answer
from planner.ui.log.cells import Column
from tests.journeys.test_saving import crash, water

OTHER = samples() / "raspberry-finished.meadbatch"


@pytest.fixture
def made(visit):
    def make(*answers):
        return visit(*answers, sample="blackcurrant-half-way")

    return make


def write(made, **texts):
    """Type into the line of a reading, without entering it."""
    for name, text in texts.items():
        field = getattr(made.window.curve.form, name)
        field.setFocus()
        made.qtbot.keyClicks(field, text)


def texts(made):
    form = made.window.curve.form
    return [field.text() for field in (form.when, form.value, form.temperature, form.note)]


def test_that_a_reading_that_was_typed_is_asked_about_on_close(made):
    visit = made(Answer.CANCEL)
    write(visit, value="1.021", note="foamy")
    visit.window.close()
    assert visit.ask.asked == [("add_typed", "1.021 · foamy")]
    assert visit.window.isVisible()
    assert texts(visit) == ["", "1.021", "", "foamy"]


def test_that_it_is_added_where_that_is_chosen(made, tmp_path):
    file = tmp_path / "kept.meadbatch"
    visit = made(Answer.SAVE, Answer.SAVE, file)
    count = len(visit.batch.log.readings)
    write(visit, value="1.021")
    visit.window.close()
    assert not visit.window.isVisible()
    assert len(visit.batch.log.readings) == count + 1
    assert visit.batch.log.readings[-1].gravity == 1.021


def test_that_what_cannot_be_added_keeps_the_window_open(made):
    visit = made(Answer.SAVE)
    write(visit, value="gravity?")
    visit.window.close()
    assert visit.window.isVisible()
    assert visit.window.curve.form.value.problem_text


def test_that_it_is_given_up_only_where_that_is_chosen(made):
    visit = made(Answer.DISCARD)
    write(visit, temperature="19", note="foamy")
    visit.window.close()
    assert not visit.window.isVisible()
    assert visit.ask.is_done


@pytest.mark.parametrize("go", ["new", "follow", "open", "open_sample"])
def test_that_it_is_asked_about_before_another_batch_and_does_not_wander_into_it(made, go):
    visit = made(Answer.CANCEL, Answer.DISCARD)
    before = visit.batch
    documents = visit.window.documents
    leave = {"open": lambda: documents.open(OTHER), "open_sample": lambda: documents.open_sample(OTHER)}.get(
        go, getattr(documents, go)
    )
    write(visit, value="1.021", note="foamy")
    leave()
    assert visit.batch is before
    leave()
    assert visit.batch != before
    assert texts(visit) == ["", "", "", ""]
    assert visit.ask.is_done


def test_that_a_reading_that_was_typed_survives_a_crash_and_a_second_one(made, visit):
    first = made()
    first.window.curve.form._set_kind("sugar")
    write(first, when="day 12", value="2.5", note="foamy")
    before, typed = first.batch, texts(first)
    assert "2.5" in typed[1]
    crash(first)
    for _ in range(2):
        again = visit(True)
        again.window.documents.offer_unsaved()
        assert again.batch == before
        assert texts(again) == typed
        assert again.window.curve.form.kind.key == "sugar"
        crash(again)


def test_that_a_line_that_was_emptied_again_leaves_no_copy(made, visit):
    first = made()
    write(first, value="1.021")
    first.window._recovery.write_now()
    first.window._recovery.finish()
    first.window.curve.form.clear()
    crash(first)
    again = visit()
    again.window.documents.offer_unsaved()
    assert again.ask.asked == []


def test_that_a_save_keeps_the_copy_of_what_is_typed(made, visit, tmp_path):
    file = tmp_path / "mine.meadbatch"
    first = made(file)
    write(first, value="1.021")
    first.window.documents.save()
    crash(first)
    again = visit(True)
    again.window.documents.offer_unsaved()
    assert texts(again)[1] == "1.021"


def test_that_a_text_that_was_refused_is_asked_about(made):
    visit = made(False, True)
    water(visit, "a lot")
    visit.window.store.mark_saved()
    visit.window.curve.form.note.setFocus()
    visit.window.close()
    assert visit.window.isVisible()
    assert "“a lot”" in visit.ask.asked[0][2]
    visit.window.close()
    assert not visit.window.isVisible()


def test_that_a_text_that_was_refused_does_not_wander_into_another_batch(made):
    visit = made(True)
    water(visit, "a lot")
    visit.window.documents.open_sample(OTHER)
    assert "a lot" not in visit.window.recipe.water.water.text()


def edit_cell(visit, text):
    table = visit.window.curve.table
    table.setCurrentIndex(table.model().index(0, Column.READING))
    table.edit_current()
    editor = table.findChild(QLineEdit)
    editor.selectAll()
    visit.qtbot.keyClicks(editor, text)
    return editor


def test_that_a_cell_that_is_being_edited_is_taken_on_close(made, tmp_path):
    file = tmp_path / "kept.meadbatch"
    visit = made(Answer.SAVE, file)
    before = visit.batch
    edit_cell(visit, "1.0995")
    visit.window.close()
    assert visit.ask.is_done
    assert visit.batch != before
    assert any(getattr(entry, "gravity", None) == 1.0995 for entry in visit.batch.log.readings)


def test_that_a_cell_with_a_text_that_is_refused_is_asked_about(made):
    visit = made(False, True)
    before = visit.batch
    edit_cell(visit, "nothing")
    visit.window.close()
    assert visit.window.isVisible()
    assert "“nothing”" in visit.ask.asked[0][2]
    visit.window.close()
    assert not visit.window.isVisible()
    assert visit.batch == before


def test_that_own_ingredients_that_are_typed_are_asked_about_when_the_window_closes(made):
    visit = made(Answer.CANCEL, Answer.SAVE)
    visit.window.edit_ingredients()
    editor = visit.window._editor
    editor.copy.chosen.emit("fruits/damson")
    editor.form.fields["sugar"][0].setFocus()
    visit.qtbot.keyClicks(editor.form.fields["sugar"][0], "9.5 %")
    visit.window.close()
    assert visit.window.isVisible()
    assert editor.isVisible()
    visit.window.close()
    assert not visit.window.isVisible()
    (row,) = visit.window.own.mine.fruits
    assert row.sugar[1] == pytest.approx(0.095)


def test_that_closing_without_anything_typed_asks_nothing(made):
    visit = made()
    visit.window.edit_ingredients()
    visit.window._editor.copy.chosen.emit("fruits/damson")
    visit.window.close()
    assert not visit.window.isVisible()
    assert visit.ask.asked == []


def test_that_escape_in_own_ingredients_asks_too(made):
    visit = made(Answer.DISCARD)
    visit.window.edit_ingredients()
    editor = visit.window._editor
    editor.copy.chosen.emit("fruits/damson")
    editor.form.note.setFocus()
    visit.qtbot.keyClicks(editor.form.note, "label")
    visit.qtbot.keyClick(editor.list, Qt.Key.Key_Escape)
    assert visit.ask.is_done
    assert visit.window._editor is None


def opened_again(visit, *answers):
    """The next start of the program, as far as the offer of the copy."""
    again = visit(*answers)
    again.qtbot.waitUntil(lambda: again.window.opening.is_finished, timeout=20_000)
    again.window.documents.offer_unsaved()
    return again


def test_that_a_text_that_was_refused_survives_a_crash_and_a_second_one(made, visit):
    first = made()
    first.window.store.mark_saved()
    water(first, "a lot")
    first.window.curve.form.note.setFocus()  # what was refused stays in its field
    crash(first)
    for _ in range(2):
        again = opened_again(visit, True)
        assert again.window.recipe.water.water.text() == "a lot"
        assert again.window.recipe.water.water.is_pending
        assert again.batch == first.batch
        crash(again)


def test_that_a_cell_that_was_being_edited_survives_a_crash(made, visit):
    first = made()
    before = first.batch
    edit_cell(first, "1.0995")
    crash(first)
    again = opened_again(visit, True)
    assert again.batch == before
    assert again.window.curve.table.typed == (0, Column.READING, "1.0995")
    again.window.curve.table.finish_editing()
    assert any(getattr(entry, "gravity", None) == 1.0995 for entry in again.batch.log.readings)


def test_that_a_name_half_typed_survives_a_crash_and_wanders_into_no_other_batch(made, visit):
    first = made()
    empty = first.window.recipe.fruit.editor.empty
    empty.setFocus()
    empty.lineEdit().setText("b")
    assert empty.is_pending
    crash(first)
    again = opened_again(visit, True, True)
    assert again.window.recipe.fruit.editor.empty.currentText() == "b"
    again.window.store.mark_saved()
    again.window.documents.open_sample(OTHER)
    assert "“b”" in again.ask.asked[-1][2]
    assert again.window.recipe.fruit.editor.empty.currentText() == ""


def test_that_a_text_whose_field_is_gone_is_told(made):
    at = made()
    at.window.unentered.bring_back({"field Score of glass 9, of ten 1": "7", "cell 900 2": "1.0", "value": "1.02"})
    assert "“7”, “1.0”" in at.ask.told[0]
    assert texts(at)[1] == "1.02"


def test_that_a_text_that_was_entered_or_given_up_leaves_no_copy(made, visit):
    first = made()
    first.window.store.mark_saved()
    water(first, "a lot")
    first.window._recovery.write_now()
    first.window._recovery.finish()
    first.qtbot.keyClick(first.window.recipe.water.water, Qt.Key.Key_Escape)
    crash(first)
    again = visit()
    again.window.documents.offer_unsaved()
    assert again.ask.asked == []
