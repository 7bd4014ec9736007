"""The windows of tasting: sheets over time with a photograph, and blind tests."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest
from example_batches import plain, with_sheets
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication

from planner.adjusting.trial import new_trial
from planner.document import edits
from planner.document.batch import Addition, Event, What
from planner.document.codec import encode
from planner.document.tasting import Mark, Tasting
from planner.ui.display import Display
from planner.ui.files import FileError
from planner.ui.store import BatchStore
from planner.ui.tasting.ageing import ageing
from planner.ui.tasting.blind import BlindDialog
from planner.ui.tasting.line import UnbrokenLine
from planner.ui.tasting.photograph import beside, keep
from planner.ui.tasting.sheets import SheetsDialog
from tests.helpers import ScriptedAsk

NOON = datetime.fromisoformat("2027-03-01T12:00+01:00")


class Table:
    """A store with the window of sheets on it, or that of tests."""

    def __init__(self, qtbot, batch, file=None, *answers):
        self.qtbot, self.store, self.ask = qtbot, BatchStore(batch), ScriptedAsk(*answers)
        self.sheets = SheetsDialog(self.store, Display(), self.ask, lambda: file, lambda: NOON)
        self.tests = BlindDialog(self.store, Display(), lambda: NOON, np.random.default_rng(4))
        for dialog in (self.sheets, self.tests):
            qtbot.addWidget(dialog)
            with qtbot.waitExposed(dialog):
                dialog.show()

    @property
    def batch(self):
        return self.store.batch


@pytest.fixture
def laid(qtbot):
    made = []

    def lay(batch=None, file=None, *answers):
        made.append(Table(qtbot, batch or plain(), file, *answers))
        return made[-1]

    yield lay
    for table in made:
        table.sheets.shut_down()


def photograph(path, colour="red"):
    image = QImage(40, 30, QImage.Format.Format_RGB32)
    image.fill(QColor(colour))
    assert image.save(str(path))
    return path


# --- the unbroken line


def test_that_a_click_on_the_line_sets_a_mark_where_it_belongs(qtbot):
    line = UnbrokenLine()
    qtbot.addWidget(line)
    line.resize(214, 20)
    with qtbot.waitSignal(line.marked):
        qtbot.mouseClick(line, Qt.MouseButton.LeftButton, pos=QPoint(107, 10))
    assert line.value == pytest.approx(5.0, abs=0.1)
    qtbot.mouseClick(line, Qt.MouseButton.LeftButton, pos=QPoint(213, 10))
    assert line.value == 10.0


def test_that_keys_set_move_and_take_off_the_mark(qtbot):
    line = UnbrokenLine()
    qtbot.addWidget(line)
    for key, value in ((Qt.Key.Key_7, 7.0), (Qt.Key.Key_Right, 7.1), (Qt.Key.Key_Delete, None), (Qt.Key.Key_Left, 5.0)):
        qtbot.keyClick(line, key)
        assert line.value == value
    qtbot.keyClick(line, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert line.value == 6.0
    assert line.accessibleDescription() == "6.0 of 10"


# --- sheets


def test_that_a_new_sheet_takes_marks_words_and_taster_and_each_can_be_undone(qtbot, laid):
    table = laid()
    table.sheets.new.click()
    qtbot.keyClick(table.sheets.lines["sweet"], Qt.Key.Key_4)
    table.sheets.fits["sweet"].choose(-1)
    table.sheets.faults["vinegar"].choose(5.0)
    qtbot.keyClicks(table.sheets.note, "Thin")
    table.sheets.taster.setText("Ines")
    table.sheets.taster.accept()
    (tasting,) = table.batch.tastings
    assert tasting.mark("sweet") == Mark(line="sweet", value=4.0, fit=-1)
    assert tasting.mark("vinegar") == Mark(line="vinegar", value=5.0)
    assert (tasting.note, tasting.taster, tasting.at) == ("Thin", "Ines", "2027-03-01T12:00+01:00")
    assert table.sheets.list.item(0).text() == "1 Mar 2027, Ines"
    while table.store.undo_stack.canUndo():
        table.store.undo_stack.undo()
    assert table.batch.tastings == ()
    assert not table.sheets.sheet.isEnabled()


def test_that_a_line_without_mark_and_answer_leaves_nothing_in_the_file(qtbot, laid):
    table = laid()
    table.sheets.new.click()
    line = table.sheets.lines["sour"]
    qtbot.keyClick(line, Qt.Key.Key_4)
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    assert table.batch.tastings[0].marks == ()


def test_that_each_sheet_shows_its_own_marks(laid):
    table = laid(with_sheets())
    table.sheets.list.setCurrentRow(2)
    assert table.sheets.lines["sweet"].value == 3.5
    assert table.sheets.fits["sweet"].key == -1
    assert table.sheets.faults["vinegar"].key == 5.0
    table.sheets.list.setCurrentRow(0)
    assert table.sheets.lines["sweet"].value is None
    table.sheets.remove.click()
    assert len(table.batch.tastings) == 2


def test_that_marks_are_drawn_over_the_days_in_the_bottle():
    batch = plain()
    for day, value in (("2027-01-11", 3.0), ("2027-03-01", 5.0)):
        marks = (Mark(line="sweet", value=value), Mark(line="honey", value=9.0))
        batch = edits.add_tasting(batch, Tasting(note="", at=f"{day}T12:00+01:00", marks=marks))
    assert ageing(batch).since == "Days since the first tasting"
    bottled = edits.add_readings(batch, Event(what=What.BOTTLED, at="2027-01-01T12:00+01:00", bottles=20, size=0.75e-3))
    assert ageing(bottled).since == "Days in the bottle"
    assert ageing(bottled).lines == {"sweet": [(10.0, 3.0), (59.0, 5.0)]}  # honey is not one that is drawn


# --- photographs


def test_that_a_photograph_is_copied_beside_the_batch_and_shown(qtbot, laid, tmp_path):
    home, elsewhere = tmp_path / "home", tmp_path / "elsewhere"
    home.mkdir()
    elsewhere.mkdir()
    file, source = home / "plum.meadbatch", photograph(elsewhere / "IMG.png")
    table = laid(None, file, source, source)
    file.write_bytes(encode(table.batch))
    table.sheets.new.click()
    table.sheets.add_picture.click()
    name = table.batch.tastings[0].photograph
    assert name == "plum 2027-03-01.png"
    assert (home / name).read_bytes() == source.read_bytes()
    qtbot.waitUntil(lambda: not table.sheets.picture.pixmap().isNull(), timeout=20_000)
    table.sheets.add_picture.click()
    assert table.batch.tastings[0].photograph == "plum 2027-03-01 (2).png"  # nothing is written over
    table.sheets.drop_picture.click()
    assert table.batch.tastings[0].photograph is None
    assert (home / name).exists()


def test_that_a_batch_without_a_file_asks_to_be_saved_first(laid):
    table = laid()
    table.sheets.new.click()
    table.sheets.add_picture.click()
    assert "Save the batch first" in table.ask.told[0]


def test_that_what_is_no_photograph_is_refused(tmp_path):
    file = tmp_path / "plum.meadbatch"
    for name, data in (("a.png", b"no picture"), ("b.svg", b"<svg/>")):
        (tmp_path / name).write_bytes(data)
        with pytest.raises(FileError, match="is not a photograph"):
            keep(tmp_path / name, file, "glass")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.png", "b.svg"]


def test_that_a_photograph_is_looked_for_beside_the_batch_and_nowhere_else(laid, tmp_path):
    home = tmp_path / "home"
    home.mkdir()
    outside = photograph(tmp_path / "outside.png")
    (home / "link.png").symlink_to(outside)
    inside = photograph(home / "inside.png")
    file = home / "plum.meadbatch"
    assert beside(file, "inside.png") == inside
    assert beside(file, "link.png") is None
    assert beside(file, "../outside.png") is None
    assert beside(None, "inside.png") is None
    table = laid(with_sheets(), file)
    table.sheets.list.setCurrentRow(2)
    assert table.sheets.picture.text() == "glass.jpg does not lie beside the file of this batch."


# --- blind tests


def plan(table, kind, samples, rounds=6):
    table.tests.kind.choose(kind)
    table.tests.samples.setText(samples)
    table.tests.samples.accept()
    table.tests.rounds.choose(rounds)
    table.tests.plan.click()


def test_that_a_planned_test_takes_answers_and_says_what_they_bear_out(laid):
    table = laid()
    plan(table, "paired", "plain, with 20 g/L", rounds=8)
    (test,) = table.batch.tests
    assert (test.kind, test.samples, len(test.servings)) == ("paired", ("plain", "with 20 g/L"), 8)
    for serving, (field,) in zip(test.servings, table.tests.answers, strict=True):
        field.choose(serving.samples.index(1))
    assert "8 of 8 answers are right" in table.tests.told.text()
    assert "A difference is shown" in table.tests.told.text()
    table.store.undo_stack.undo()
    assert "7 of 7 answers are right" in table.tests.told.text()
    assert table.tests.answers[-1][0].key is None


def test_that_a_ranking_counts_once_each_glass_has_its_rank(laid):
    table = laid()
    plan(table, "ranking", "none, half, full", rounds=3)
    first, second, third = table.tests.answers[0]
    first.choose(0)
    second.choose(1)
    assert table.batch.tests[0].servings[0].answer == ()
    third.choose(1)  # a glass has one rank
    assert table.batch.tests[0].servings[0].answer == ()
    third.choose(2)
    assert table.batch.tests[0].servings[0].answer == (0, 1, 2)


@pytest.mark.parametrize(
    ("kind", "samples"), [("paired", "one"), ("triangle", "a, b, c"), ("ranking", "a,b,c,d,e,f,g")]
)
def test_that_too_few_or_too_many_samples_are_told(laid, kind, samples):
    table = laid()
    plan(table, kind, samples)
    assert table.batch.tests == ()
    assert "samples, apart by commas" in table.tests.told.text()


def test_that_the_key_is_hidden_until_it_is_asked_for_and_goes_with_the_copy(laid):
    table = laid()
    plan(table, "triangle", "plain, dosed", rounds=2)

    def shown():
        grid = table.tests._grid
        return " ".join(w.text() for n in range(grid.count()) if hasattr(w := grid.itemAt(n).widget(), "text"))

    assert "dosed" not in shown()
    table.tests.key.setChecked(True)
    assert "dosed" in shown()
    table.tests.copy.click()
    assert "dosed" in QApplication.clipboard().text()
    assert str(table.batch.tests[0].servings[0].codes[0]) in QApplication.clipboard().text()
    table.tests.remove.click()
    assert table.batch.tests == ()


def test_that_the_glasses_of_a_trial_are_ranked_blind_and_take_over_their_ranks(laid):
    batch = edits.add_trial(plain(), new_trial([Addition(key="erythritol", mass=0.6)], 0.02, 4))
    table = laid(batch)
    assert table.tests.from_trial.isVisible()
    table.tests.from_trial.click()
    table.tests.rounds.choose(3)
    table.tests.plan.click()
    assert len(table.batch.tests[0].samples) == 4
    assert not table.tests.take.isVisible()
    wanted = (2, 1, 3, 0)  # the full dose is liked best
    for serving, fields in zip(table.batch.tests[0].servings, table.tests.answers, strict=True):
        for field, sample in zip(fields, wanted, strict=True):
            field.choose(serving.samples.index(sample))
    table.tests.take.click()
    assert [glass.rank for glass in table.batch.adjustment.trials[0].glasses] == [4, 2, 1, 3]


def test_that_another_ranking_is_none_of_the_trial_glasses(laid):
    table = laid()
    assert not table.tests.from_trial.isVisible()
    plan(table, "ranking", "none, half, full", rounds=1)
    assert not table.tests.take.isVisible()
