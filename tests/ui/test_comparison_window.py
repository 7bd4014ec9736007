"""The window of batches side by side."""

from __future__ import annotations

import csv

import pytest
from made_batches import SHELF, batch, having, logged, outcome
from msgspec.structs import replace
from PySide6.QtCore import QLocale, QSettings
from PySide6.QtGui import QImage

from planner.document import edits
from planner.document.batch import Addition, HoneyLine, HydrometerReading
from planner.document.codec import encode
from planner.ui.comparing.comparison import ComparisonDialog
from planner.ui.comparing.curves import VIEWS, course_of, used
from planner.ui.settings import Settings
from planner.units import GravityScale
from tests.helpers import ScriptedAsk


def dosed():
    """A mead that was dosed and read again."""
    told = logged(batch("Dosed"))
    told = edits.log_doses(told, Addition(key="honey", mass=1.0))
    last = told.log.entries[-1]
    told = edits.replace_reading(told, len(told.log.readings) - 1, edits.changed(last, day=80.0))
    return edits.add_readings(told, HydrometerReading(day=81.0, gravity=1.016, temperature=293.15))


@pytest.fixture
def opened(qtbot, tmp_path):
    made = []

    def open_dialog(*answers):
        settings = Settings(QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat), QLocale("en_GB"))
        dialog = ComparisonDialog(SHELF, settings, ScriptedAsk(*answers))
        qtbot.addWidget(dialog)
        made.append(dialog)
        with qtbot.waitExposed(dialog):
            dialog.show()
        return dialog

    yield open_dialog
    for dialog in made:
        dialog.shut_down()


def show(qtbot, dialog, *batches):
    dialog.show_batches(batches)
    wait(qtbot, dialog)


def wait(qtbot, dialog):
    qtbot.waitUntil(lambda: not dialog.recalculator.is_busy, timeout=60_000)


def stronger():
    return logged(having(batch("Second"), honeys=(HoneyLine(key="blossom", mass=5.0),)))


def cells(table, column):
    return [table.item(row, column).text() for row in range(table.rowCount()) if table.item(row, column) is not None]


def test_that_differences_stand_with_their_causes_and_facts_side_by_side(qtbot, opened):
    dialog = opened()
    show(qtbot, dialog, logged(batch("First")), stronger())
    assert "Second" in cells(dialog.differences, 0)
    assert any("more honey in a batch of the same size" in text for text in cells(dialog.differences, 2))
    assert dialog.facts.columnCount() == 3
    assert "Strength" in cells(dialog.facts, 0)
    assert "would be noticed" in dialog.status.text()
    days = cells(dialog.facts, 1)[cells(dialog.facts, 0).index("Stopped") - 2]  # two headings have no cell there
    assert days.endswith(")")
    assert days.startswith("day ")
    assert 5 < int(days.split()[1]) < 60


def test_that_one_batch_alone_asks_for_another_and_takes_it_from_a_file(qtbot, opened, tmp_path):
    file = tmp_path / "second.meadbatch"
    file.write_bytes(encode(stronger()))
    dialog = opened(file)
    show(qtbot, dialog, logged(batch("First")))
    assert "Add another batch" in dialog.status.text()
    assert not dialog.table.isEnabled()
    dialog.add.click()
    wait(qtbot, dialog)
    assert [one.name for one in dialog.batches] == ["First", "Second"]
    assert dialog.table.isEnabled()


def test_that_a_batch_is_taken_out_again_and_six_are_the_most(qtbot, opened):
    dialog = opened()
    show(qtbot, dialog, *(logged(batch(f"No. {n}")) for n in range(7)))
    assert len(dialog.batches) == 6
    assert not dialog.add.isEnabled()
    dialog.names[1][1].click()
    wait(qtbot, dialog)
    assert [one.name for one in dialog.batches] == ["No. 0", "No. 2", "No. 3", "No. 4", "No. 5"]
    assert dialog.add.isEnabled()


def test_that_a_damaged_file_is_told_and_the_others_are_compared(qtbot, opened, tmp_path):
    good, bad = tmp_path / "good.meadbatch", tmp_path / "bad.meadbatch"
    good.write_bytes(encode(stronger()))
    bad.write_text("{", encoding="utf-8")
    dialog = opened()
    dialog.show_files([bad, good])
    wait(qtbot, dialog)
    assert [one.name for one in dialog.batches] == ["Second"]
    assert "bad.meadbatch" in dialog._ask.told[0]


def test_that_picture_table_and_paper_go_out(qtbot, opened, tmp_path):
    picture, table = tmp_path / "curves.png", tmp_path / "table.csv"
    dialog = opened(picture, table)
    show(qtbot, dialog, logged(batch("First")), stronger())
    dialog.picture.click()
    dialog.table.click()
    assert QImage(str(picture)).width() == 2000
    rows = list(csv.reader(table.read_text(encoding="utf-8-sig").splitlines()))
    assert rows[0][2:] == ["First", "Second"]
    dialog.paper.click()
    papers = dialog.papers
    qtbot.waitUntil(lambda: bool(papers.pages) and not papers.drawing.is_busy, timeout=60_000)
    papers.done(0)


@pytest.mark.parametrize("view", [key for key, _ in VIEWS])
def test_that_every_view_draws_each_batch_and_names_it(qtbot, opened, view):
    dialog = opened()
    show(qtbot, dialog, logged(batch("First")), batch("Only planned"))
    dialog.curves.set_view(view)
    (axes,) = dialog.curves.figure.axes
    names = [text.get_text() for text in axes.get_legend().get_texts()]
    assert names == ["First", "Only planned (expected)"]


def test_that_the_scale_of_gravity_is_the_readers(qtbot, opened):
    dialog = opened()
    show(qtbot, dialog, logged(batch("First")), stronger())
    assert dialog.curves.figure.axes[0].get_ylim()[1] < 1.2
    dialog.set_display(replace(dialog._display, gravity_scale=GravityScale.BRIX))
    assert dialog.curves.figure.axes[0].get_ylim()[1] > 15.0


def test_that_what_was_read_after_a_dose_is_drawn_apart_from_the_ferment(qtbot, opened):
    dialog = opened()
    show(qtbot, dialog, dosed(), stronger())
    course = dialog.curves.courses[0]
    assert course.dosed[0].tolist() == [81.0]
    assert 81.0 not in course.read[0].tolist()
    names = [text.get_text() for text in dialog.curves.figure.axes[0].get_legend().get_texts()]
    assert "Dosed, dosed" in names


def test_that_sugar_is_used_from_none_at_the_start_to_all_of_it_when_dry(qtbot, opened):
    course = course_of(outcome(logged(batch())))
    share = used(course, course.gravity)
    assert share[0] == pytest.approx(0.0, abs=0.02)
    assert share[-1] == pytest.approx(1.0, abs=0.05)
