"""The schedule's window: where today is, what is past, and ticks that log what was done."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from adjust_bench import SHELF, planned
from PySide6.QtCore import QPoint, Qt

from planner.document import edits
from planner.document.batch import Event, Feed, HydrometerReading, What
from planner.evaluation.outcome import evaluate
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.log.when import now
from planner.ui.recipe.schedule import ScheduleDialog
from planner.ui.store import BatchStore

PITCHED = now() - timedelta(days=10)
FED = edits.change_recipe(
    planned(), feeds=(Feed(key="blend", mass=0.006, day=1.0), Feed(key="blend", mass=0.005, day=3.0))
)
LOG = (HydrometerReading(day=0.0, gravity=1.098), HydrometerReading(day=7.0, gravity=1.050))
BATCH = edits.change_log(FED, pitched_at=PITCHED.isoformat(timespec="minutes"), readings=LOG)


class Desk:
    """A dialog on a store, worked out anew with each change."""

    def __init__(self, qtbot, batch=BATCH):
        self.store = BatchStore(batch)
        self.dialog = ScheduleDialog(self.store, SHELF, Display())
        qtbot.addWidget(self.dialog)
        self.store.changed.connect(self.work_out)
        self.work_out(batch)
        with qtbot.waitExposed(self.dialog):
            self.dialog.show()

    def work_out(self, batch):
        self.dialog.show_batch(batch)
        self.dialog.show_outcome(evaluate(batch, SHELF, 0))

    def row(self, key):
        return next(n for n, task in enumerate(self.dialog.rows) if task is not None and task.key == key)

    def box(self, key):
        return self.dialog.table.item(self.row(key), 0)

    def text(self, key):
        return [self.dialog.table.item(self.row(key), n).text() for n in range(self.dialog.table.columnCount())]


@pytest.fixture
def desk(qtbot):
    made = Desk(qtbot)
    yield made
    made.store.undo_stack.clear()


def test_that_today_stands_between_what_was_and_what_comes(desk):
    rows = desk.dialog.rows
    today = rows.index(None)
    assert desk.dialog.table.item(today, 0).text().startswith("Today, ")
    assert "day 10" in desk.dialog.table.item(today, 0).text()
    assert all(task.day <= 10.01 for task in rows[:today])
    assert all(task.day > 10.0 for task in rows[today + 1 :])


def test_that_what_is_past_and_not_recorded_says_so_and_what_comes_does_not(desk):
    assert "past, not recorded" in desk.text("feed-0")
    assert "past, not recorded" not in desk.text("third")
    assert "past, not recorded" not in desk.text("bottle")
    between = desk.dialog.table.item(desk.row("feed-0"), 3)
    assert between.foreground().color().name() == theme.colours_on(desk.dialog.palette()).warning.lower()


def test_that_a_click_on_a_box_logs_it_and_undo_takes_it_back(qtbot, desk):
    table = desk.dialog.table
    place = table.visualItemRect(desk.box("feed-0"))
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=place.topLeft() + QPoint(9, 9))
    entry = desk.store.batch.log.readings[-1]
    assert isinstance(entry, Event)
    assert (entry.what, entry.key, entry.mass) == (What.FEED, "blend", 0.006)
    assert abs(datetime.fromisoformat(entry.at) - now()) < timedelta(minutes=2)
    assert desk.box("feed-0").checkState() == Qt.CheckState.Checked
    assert desk.dialog.logged.text().startswith("Logged: Feed")
    desk.store.undo_stack.undo()
    assert desk.store.batch == BATCH
    assert desk.box("feed-0").checkState() == Qt.CheckState.Unchecked


def test_that_the_space_bar_ticks_the_row(qtbot, desk):
    table = desk.dialog.table
    table.setCurrentCell(desk.row("stir"), 0)
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_Space)
    assert desk.store.batch.log.readings[-1].what is What.STIRRING


def test_that_a_tick_is_dated_as_the_field_says(desk):
    desk.dialog.done_at.setText((PITCHED + timedelta(days=2)).strftime("%Y-%m-%d %H:%M"))
    desk.box("feed-0").setCheckState(Qt.CheckState.Checked)
    at = datetime.fromisoformat(desk.store.batch.log.readings[-1].at)
    assert at == PITCHED.replace(second=0) + timedelta(days=2)


def test_that_a_date_that_is_none_logs_nothing_and_takes_the_tick_back(desk):
    desk.dialog.done_at.setText("some time")
    desk.box("feed-0").setCheckState(Qt.CheckState.Checked)
    assert desk.store.batch == BATCH
    assert desk.dialog.done_at.problem_text
    assert desk.box("feed-0").checkState() == Qt.CheckState.Unchecked


def test_that_rows_that_cannot_be_ticked_say_why(desk):
    second = desk.box("feed-1")
    assert not second.flags() & Qt.ItemFlag.ItemIsUserCheckable
    assert "Tick the task before it first" in second.toolTip()
    assert "The log says that this is done" in desk.box("third").toolTip()
    assert desk.box("bottle").data(Qt.ItemDataRole.CheckStateRole) is None


def test_that_without_a_day_of_pitching_there_is_nothing_to_tick(qtbot):
    made = Desk(qtbot, FED)
    assert None not in made.dialog.rows
    assert made.dialog.logging.isHidden()
    assert not made.box("feed-0").flags() & Qt.ItemFlag.ItemIsUserCheckable


def test_that_another_palette_redraws_what_is_past(desk):
    desk.dialog.setPalette(theme.palette(dark=True))
    between = desk.dialog.table.item(desk.row("feed-0"), 3)
    assert between.foreground().color().name() == theme.colours(dark=True).warning.lower()
