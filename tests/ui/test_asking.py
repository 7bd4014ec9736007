"""The dialogs ask what they should; nothing is executed here that would wait for a person."""

from __future__ import annotations

from pathlib import Path

import pytest
from helpers import ScriptedAsk
from PySide6.QtCore import Qt
from PySide6.QtGui import QPageSize
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QFileDialog, QMessageBox, QWidget

from planner.ui.asking import Answer, Ask, AskWithDialogs, Clash, with_suffix


@pytest.fixture
def window(qtbot):
    window = QWidget()
    window.setWindowTitle("Bramble[*]")
    qtbot.addWidget(window)
    return window


@pytest.fixture
def ask(window):
    return AskWithDialogs(window)


def press(monkeypatch, standard=None, role=None):
    """Let the next dialog be answered by the button of a kind."""

    def answer(box):
        for button in box.buttons():
            if box.standardButton(button) == standard or (role is not None and box.buttonRole(button) == role):
                button.click()
                return 0
        raise AssertionError("no such button")

    monkeypatch.setattr(QDialog, "exec", answer)
    monkeypatch.setattr(QMessageBox, "exec", answer)


@pytest.mark.parametrize(
    ("button", "answer"),
    [
        (QMessageBox.StandardButton.Save, Answer.SAVE),
        (QMessageBox.StandardButton.Discard, Answer.DISCARD),
        (QMessageBox.StandardButton.Cancel, Answer.CANCEL),
    ],
)
def test_that_each_button_of_the_save_question_is_its_answer(ask, monkeypatch, button, answer):
    press(monkeypatch, button)
    assert ask.save_changes("Bramble") == answer


def test_that_the_question_about_a_typed_reading_adds_by_default(ask, monkeypatch):
    box = ask.add_box("1.021")
    assert "“1.021”" in box.informativeText()
    assert box.defaultButton().text() == "Add"
    press(monkeypatch, QMessageBox.StandardButton.Discard)
    assert ask.add_typed("1.021") == Answer.DISCARD


def test_that_the_save_question_names_the_batch_and_saves_by_default(ask):
    box = ask.save_box("Bramble")
    assert "“Bramble”" in box.text()
    assert box.windowTitle() == "Bramble"
    assert box.standardButton(box.defaultButton()) == QMessageBox.StandardButton.Save
    assert box.standardButton(box.escapeButton()) == QMessageBox.StandardButton.Cancel


@pytest.mark.parametrize(
    ("role", "answer"),
    [
        (QMessageBox.ButtonRole.AcceptRole, Clash.KEEP_BOTH),
        (QMessageBox.ButtonRole.DestructiveRole, Clash.REPLACE),
        (QMessageBox.ButtonRole.RejectRole, Clash.CANCEL),
    ],
)
def test_that_each_button_about_a_changed_file_is_its_answer(ask, monkeypatch, role, answer):
    press(monkeypatch, role=role)
    assert ask.file_changed("plum.batch") == answer


def test_that_enter_keeps_both_and_escape_neither(ask):
    box, answers = ask.clash_box("plum.batch")
    assert "“plum.batch”" in box.text()
    assert answers[box.defaultButton()] is Clash.KEEP_BOTH
    assert box.standardButton(box.escapeButton()) == QMessageBox.StandardButton.Cancel


def test_that_names_are_shown_as_plain_text(ask):
    name = "<img src='file:///etc/hostname'>"
    for box in (
        ask.save_box(name),
        ask.clash_box(name)[0],
        ask.add_box(name),
        ask.confirm_box(name, name, "Go"),
        ask.tell_box(name, ""),
    ):
        assert box.textFormat() == Qt.TextFormat.PlainText


def test_that_only_the_verb_confirms(ask, monkeypatch):
    press(monkeypatch, role=QMessageBox.ButtonRole.AcceptRole)
    assert ask.confirm("Delete the log?", "It has 12 readings.", "Delete")
    press(monkeypatch, QMessageBox.StandardButton.Cancel)
    assert not ask.confirm("Delete the log?", "It has 12 readings.", "Delete")


def test_that_enter_does_not_confirm_a_loss(ask):
    box = ask.confirm_box("Delete the log?", "It has 12 readings.", "Delete")
    assert [button.text().replace("&", "") for button in box.buttons()] == ["Delete", "Cancel"]
    assert box.standardButton(box.defaultButton()) == QMessageBox.StandardButton.Cancel


def test_that_questions_go_over_the_window_they_are_given(window):
    ask = AskWithDialogs()
    assert ask.tell_box("It went wrong.", "").parent() is None
    ask.speak_over(window)
    assert ask.tell_box("It went wrong.", "").parent() is window


def test_that_long_details_fold_away(ask):
    assert ask.tell_box("It went wrong.", "one\ntwo").detailedText() == "one\ntwo"
    assert ask.tell_box("It went wrong.", "one").informativeText() == "one"


def test_that_files_are_asked_for_where_the_program_says(ask, monkeypatch, tmp_path):
    asked = []

    def choose(_window, _title, folder, kinds):
        asked.append((folder, kinds))
        return str(tmp_path / "a.batch"), kinds

    monkeypatch.setattr(QFileDialog, "getOpenFileName", choose)
    assert ask.open_path("Open", tmp_path, "Batches (*.batch)") == tmp_path / "a.batch"
    assert asked == [(str(tmp_path), "Batches (*.batch);;All files (*)")]
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_asked: ("", ""))
    assert ask.open_path("Open", tmp_path, "Batches (*.batch)") is None


@pytest.mark.parametrize(("typed", "saved"), [("plum", "plum.batch"), ("plum.BATCH", "plum.BATCH"), ("", None)])
def test_that_a_name_to_save_under_gets_its_suffix(ask, monkeypatch, tmp_path, typed, saved):
    chosen = str(tmp_path / typed) if typed else ""
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked: (chosen, ""))
    expected = tmp_path / saved if saved else None
    assert ask.save_path("Save", tmp_path / "new.batch", "Batches (*.batch)") == expected


@pytest.mark.parametrize("agreed", [True, False])
def test_that_a_file_met_only_with_its_suffix_is_not_replaced_unasked(ask, monkeypatch, tmp_path, agreed):
    (tmp_path / "plum.batch").touch()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked: (str(tmp_path / "plum"), ""))
    cancel = QMessageBox.StandardButton.Cancel
    press(monkeypatch, None if agreed else cancel, QMessageBox.ButtonRole.AcceptRole if agreed else None)
    saved = ask.save_path("Save", tmp_path / "new.batch", "Batches (*.batch)")
    assert saved == (tmp_path / "plum.batch" if agreed else None)


def test_that_a_dot_in_a_name_is_no_suffix():
    assert with_suffix(Path("plum No. 2"), ".batch") == Path("plum No. 2.batch")


def test_that_the_scripted_answers_fit_the_questions():
    ask: Ask = ScriptedAsk(Answer.SAVE, Path("a"), None, True)
    assert ask.save_changes("Bramble") == Answer.SAVE
    assert ask.open_path("Open", Path(), "*") == Path("a")
    assert ask.save_path("Save", Path(), "*") is None
    assert ask.confirm("?", "", "Do")
    with pytest.raises(AssertionError, match="unexpected question"):
        ask.confirm("?", "", "Do")


REPORTS = "Text (*.txt);;JSON (*.json)"


@pytest.mark.parametrize(
    ("typed", "kind", "saved"),
    [
        ("report", "Text (*.txt)", "report.txt"),
        ("report", "JSON (*.json)", "report.json"),
        ("report.txt", "JSON (*.json)", "report.json"),  # the suggestion was left as it was
        ("report.json", "Text (*.txt)", "report.json"),  # the name was typed
        ("report no. 2", "JSON (*.json)", "report no. 2.json"),
        ("report", "", "report.txt"),
        ("report.JSON", "", "report.JSON"),
    ],
)
def test_that_of_several_kinds_the_typed_suffix_wins_and_then_the_chosen_one(
    ask, monkeypatch, tmp_path, typed, kind, saved
):
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked: (str(tmp_path / typed), kind))
    assert ask.save_path("Save", tmp_path / "new.txt", REPORTS) == tmp_path / saved


def test_that_a_picture_may_be_saved_as_either_kind(ask, monkeypatch, tmp_path):
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked: (str(tmp_path / "curve.svg"), ""))
    assert ask.save_path("Save", tmp_path / "curve.png", "Pictures (*.png *.svg)") == tmp_path / "curve.svg"


def test_that_the_paper_is_what_the_dialog_was_agreed_on_and_none_where_it_was_not(ask, monkeypatch):
    letter = QPageSize(QPageSize.PageSizeId.Letter)
    monkeypatch.setattr(QPrintDialog, "exec", lambda _box: QDialog.DialogCode.Rejected)
    assert ask.paper("Print", "Plum report", letter, 9) is None
    monkeypatch.setattr(QPrintDialog, "exec", lambda _box: QDialog.DialogCode.Accepted)
    device = ask.paper("Print", "Plum report", letter, 9)
    assert isinstance(device, QPrinter)
    assert device.docName() == "Plum report"
    assert device.pageLayout().pageSize() == letter
