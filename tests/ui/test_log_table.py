"""The log as a table: edited in place, through the store, without losing what is selected."""

from __future__ import annotations

import fermenting
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QLineEdit

from planner.document import edits
from planner.document.batch import Event, HydrometerReading, SensorReading, SugarReading, What
from planner.document.columnar_log import Entries, Run
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log import entry as log_entry
from planner.ui.log import text as log_words
from planner.ui.log.cells import Column
from planner.ui.log.model import LogModel
from planner.ui.log.table import LogTable
from planner.ui.store import BatchStore
from planner.ui.widgets.note import Note
from planner.units import GravityScale, System

ENGLISH = Display(locale=QLocale("en_GB"))
US = replace(ENGLISH, system=System.US)
BRIX = replace(ENGLISH, gravity_scale=GravityScale.BRIX)
_Role = Qt.ItemDataRole


class Watched:
    """A store with a table on it, and the signals that would disturb a selection or an open editor."""

    def __init__(self, batch, display=ENGLISH):
        self.store = BatchStore(batch)
        self.table = LogTable(self.store, display)
        self.model = self.table.log_model
        self.tester = QAbstractItemModelTester(self.model, QAbstractItemModelTester.FailureReportingMode.Warning)
        self.resets, self.inserted, self.removed, self.moved, self.refused = [], [], [], [], []
        self.show(batch)
        self.model.modelReset.connect(self._count_reset)
        self.model.rowsInserted.connect(self._count_inserted)
        self.model.rowsRemoved.connect(self._count_removed)
        self.model.layoutChanged.connect(self._count_moved)
        self.table.refused.connect(self.refused.append)
        self.store.changed.connect(self.show)

    def show(self, batch):
        self.model.show_log(batch.log)
        self.model.show_outcome(fermenting.outcome(batch, 0))

    def _count_reset(self):
        self.resets.append(None)

    def _count_inserted(self, _parent, first, last):
        self.inserted.append((first, last))

    def _count_removed(self, _parent, first, last):
        self.removed.append((first, last))

    def _count_moved(self, *_):
        self.moved.append(None)

    def text(self, row, column):
        return self.model.index(row, column).data()

    def type(self, row, column, text):
        return self.model.setData(self.model.index(row, column), text)

    @property
    def readings(self):
        return self.store.batch.log.readings


@pytest.fixture
def watched(qtbot):
    def make(batch=None, display=ENGLISH):
        made = Watched(fermenting.stopped() if batch is None else batch, display)
        qtbot.addWidget(made.table)
        return made

    return make


def test_that_a_row_tells_what_was_read_and_what_it_means(watched):
    seen = watched()
    outcome = fermenting.outcome(fermenting.stopped())
    known = outcome.log[1]
    seen.model.show_outcome(outcome)
    assert seen.text(1, Column.DAY) == "4.0"
    assert seen.text(1, Column.WHEN).startswith("21 Oct")  # four days after 17 October
    assert seen.text(1, Column.WHEN).endswith("11:00")
    assert seen.text(1, Column.READING) == "1.070"
    assert seen.text(1, Column.TEMPERATURE) == "20.0"
    assert seen.text(1, Column.CORRECTED) == f"{known.gravity:.3f}"
    (state,) = outcome.on(known)
    assert seen.text(1, Column.ALCOHOL) == f"{100 * state.alcohol.typical:.1f}"
    assert seen.text(1, Column.DIFFERENCE)[0] in "+−0"
    assert seen.model.index(1, Column.COUNTS).data(_Role.CheckStateRole) == Qt.CheckState.Checked


def test_that_a_stopped_ferment_lies_above_the_plan_by_so_many_points(watched):
    seen = watched()
    outcome = fermenting.outcome(fermenting.stopped(), 0)
    expected = np.interp(20.0, outcome.curve.days, outcome.curve.gravity)
    assert seen.text(5, Column.DIFFERENCE) == f"+{1000 * (outcome.log[5].gravity - expected):.0f}"


def test_that_columns_follow_the_readers_habits(watched):
    seen = watched(display=US)
    header = seen.model.headerData
    assert header(Column.TEMPERATURE, Qt.Orientation.Horizontal) == "°F"
    assert header(Column.CORRECTED, Qt.Orientation.Horizontal) == "at 68\u00a0°F"
    assert seen.text(0, Column.TEMPERATURE) == "68.0"
    seen.table.set_display(BRIX)
    assert seen.text(0, Column.READING).endswith("°Bx")
    assert seen.text(0, Column.CORRECTED) == replace(ENGLISH, gravity_scale=GravityScale.BRIX).gravity(
        fermenting.outcome(fermenting.stopped(), 0).log[0].gravity
    )


def test_that_rows_stand_in_the_order_of_time(watched):
    late_entry = edits.add_readings(fermenting.stopped(), HydrometerReading(gravity=1.06, day=6.0))
    seen = watched(late_entry)
    assert [seen.model.place_of(row) for row in range(7)] == [0, 1, 6, 2, 3, 4, 5]
    assert seen.model.row_of(6) == 2
    assert seen.model.row_of(99) is None


def test_that_readings_without_a_day_come_last_by_their_moment(watched):
    readings = (
        HydrometerReading(gravity=1.05, at="2026-10-20T10:00+02:00"),
        HydrometerReading(gravity=1.06, at="2026-10-19T10:00+02:00"),
        HydrometerReading(gravity=1.09, day=1.0),
    )
    seen = watched(edits.change_log(fermenting.planned(), readings=readings))
    assert [seen.text(row, Column.READING) for row in range(3)] == ["1.090", "1.060", "1.050"]
    assert seen.text(1, Column.DAY) == "–"
    assert seen.text(0, Column.WHEN) == "–"


@pytest.mark.parametrize(
    ("column", "text", "field", "value"),
    [
        (Column.READING, "1065", "gravity", 1.065),
        (Column.DAY, "4.5", "day", 4.5),
        (Column.WHEN, "2026-10-22 09:30+02:00", "at", "2026-10-22T09:30+02:00"),
        (Column.WHEN, "day 6", "day", 6.0),
        (Column.TEMPERATURE, "68 °F", "temperature", 293.15),
        (Column.TEMPERATURE, "", "temperature", None),
        (Column.NOTE, "  foaming  ", "note", "foaming"),
    ],
)
def test_that_a_text_typed_into_a_cell_reaches_the_store(watched, column, text, field, value):
    seen = watched()
    assert seen.type(1, column, text)
    reading = seen.readings[1]
    assert getattr(reading, field) == (pytest.approx(value) if isinstance(value, float) else value)
    if field == "day":
        assert reading.at is None
    if field == "at":
        assert reading.day is None
    seen.store.undo_stack.undo()
    assert seen.store.batch == fermenting.stopped()


def test_that_a_bare_temperature_is_in_the_readers_degrees(watched):
    seen = watched(display=US)
    seen.type(1, Column.TEMPERATURE, "68")
    assert seen.readings[1].temperature == pytest.approx(293.15)  # 68 °F is 20 °C exactly


def test_that_a_gravity_can_become_a_sugar_test_and_keeps_the_rest(watched):
    seen = watched()
    seen.type(1, Column.NOTE, "strip")
    seen.type(1, Column.READING, "12 g/L")
    assert seen.readings[1] == SugarReading(sugar=12.0, day=4.0, temperature=293.15, note="strip")
    assert seen.text(1, Column.READING) == "12\u00a0g/L"
    assert seen.text(1, Column.CORRECTED).startswith("≈")
    seen.type(1, Column.READING, "1.070")
    assert seen.readings[1] == HydrometerReading(gravity=1.07, day=4.0, temperature=293.15, note="strip")


@pytest.mark.parametrize(
    ("column", "text", "told"),
    [
        (Column.READING, "abc", "Enter a gravity"),
        (Column.READING, "", "gravity such as 1.050"),
        (Column.READING, "2000 g/L", "up to 1000 g/L"),
        (Column.READING, "1.7", "lies between"),
        (Column.DAY, "soon", "not a moment known"),
        (Column.WHEN, "", "needs its day"),
        (Column.TEMPERATURE, "12 kg", "Enter a temperature"),
        (Column.TEMPERATURE, "900", "−10\u00a0°C to 60\u00a0°C"),
    ],
)
def test_that_what_cannot_be_is_refused_with_a_reason(watched, column, text, told):
    seen = watched()
    assert told in seen.model.why_not(seen.model.index(1, column), text)
    assert not seen.type(1, column, text)
    assert len(seen.refused) == 1
    assert told in seen.refused[0]
    assert seen.store.batch == fermenting.stopped()


def test_that_a_text_left_as_it_was_is_no_edit(watched):
    seen = watched()
    for column in (Column.DAY, Column.WHEN, Column.READING, Column.TEMPERATURE, Column.NOTE):
        assert seen.type(1, column, seen.model.index(1, column).data(_Role.EditRole))
    assert seen.store.undo_stack.count() == 0


def test_that_an_edit_resets_nothing_and_keeps_the_selection(watched):
    seen = watched()
    seen.table.select(2)
    seen.type(1, Column.READING, "1.071")
    assert seen.resets == []
    assert seen.table.chosen_rows() == [2]


def test_that_a_selected_reading_stays_selected_when_its_day_moves_it(watched):
    seen = watched()
    seen.table.select(1)
    seen.type(1, Column.DAY, "14")
    assert seen.resets == []
    assert [seen.model.place_of(row) for row in range(6)] == [0, 2, 3, 1, 4, 5]
    assert seen.table.chosen_rows() == [3]


def test_that_new_readings_come_in_without_disturbing_the_others(watched):
    seen = watched()
    seen.table.select(4)
    seen.store.edit(edits.add_readings(seen.store.batch, HydrometerReading(gravity=1.06, day=6.0)), "add")
    assert seen.resets == []
    assert len(seen.inserted) == 1
    assert [seen.model.place_of(row) for row in seen.table.chosen_rows()] == [4]


def test_that_removed_rows_come_back_with_one_undo(watched):
    seen = watched()
    seen.table.select(1)
    seen.table.selectionModel().select(
        seen.model.index(3, 0),
        seen.table.selectionModel().SelectionFlag.Select | seen.table.selectionModel().SelectionFlag.Rows,
    )
    seen.table.remove_chosen()
    assert [r.gravity for r in seen.readings] == [1.100, 1.050, 1.040, 1.040]
    assert seen.store.undo_stack.undoText() == "remove 2 readings"
    seen.store.undo_stack.undo()
    assert seen.store.batch == fermenting.stopped()
    assert seen.resets == []


def test_that_of_scattered_rows_that_go_only_these_go(watched):
    seen = watched(season(40))
    seen.model.remove([3, 4, 20])
    assert (seen.removed, seen.inserted, seen.resets) == ([(20, 20), (3, 4)], [], [])
    assert [seen.model.place_of(row) for row in range(37)] == list(range(37))
    assert seen.text(3, Column.DAY) == "5.0"


def test_that_very_many_scattered_rows_are_shown_anew_at_once(watched):
    seen = watched(season(1000))
    seen.model.remove(range(0, 1000, 2))
    assert (len(seen.resets), seen.model.rowCount()) == (1, 500)
    assert seen.text(1, Column.DAY) == "3.0"


def test_that_readings_in_columns_are_shown_edited_left_out_and_removed_as_any_others(watched):
    seen, plain = watched(season(30)), watched(season(30, typed=True))
    for each in (seen, plain):
        each.type(7, Column.NOTE, "stirred")
        each.model.set_counts([3, 9], False)
        each.type(20, Column.DAY, "2.5")
        each.model.remove([12])
    assert seen.readings == plain.readings
    assert [seen.model.place_of(row) for row in range(29)] == [plain.model.place_of(row) for row in range(29)]
    texts = [[[each.text(row, column) for column in Column] for row in range(29)] for each in (seen, plain)]
    assert texts[0] == texts[1]
    assert seen.text(3, Column.DAY) == "2.5"


def season(count, typed=False):
    """A planned batch with so many gravities of a sensor, one a day, in columns or as if each had been typed."""
    columns = {"gravity": np.linspace(1.09, 1.0, count), "day": np.arange(float(count))}
    log = Entries(Run(SensorReading(gravity=1.0), columns))
    return edits.change_log(fermenting.planned(), readings=log.every()) if typed else edits.add_entries(
        edits.change_log(fermenting.planned(), readings=()), log
    )  # fmt: skip


def test_that_the_delete_key_removes_and_does_nothing_without_a_row(watched, qtbot):
    seen = watched()
    with qtbot.waitActive(seen.table):
        seen.table.show()
    seen.table.setFocus()
    seen.table.clearSelection()
    qtbot.keyClick(seen.table, Qt.Key.Key_Delete)
    assert len(seen.readings) == 6
    seen.table.select(0)
    qtbot.keyClick(seen.table, Qt.Key.Key_Delete)
    assert len(seen.readings) == 5


def test_that_the_check_mark_leaves_a_reading_out_and_counts_it_again(watched):
    seen = watched()
    index = seen.model.index(1, Column.COUNTS)
    seen.model.setData(index, Qt.CheckState.Unchecked.value, _Role.CheckStateRole)
    assert seen.readings[1].excluded
    assert index.data(_Role.ForegroundRole) is not None
    seen.table.select(1)
    seen.table.toggle_chosen()
    assert not seen.readings[1].excluded
    assert seen.store.undo_stack.undoText() == "count a reading"


def test_that_findings_stand_at_their_rows(watched, qtbot):
    batch = edits.change_reading(fermenting.stopped(), 2, gravity=1.150)
    seen = watched(batch)
    seen.table.show_looks()
    index = seen.model.index(2, Column.DAY)
    assert "far from the readings" in index.data(_Role.ToolTipRole)
    assert not index.data(_Role.DecorationRole).isNull()
    assert seen.model.index(1, Column.DAY).data(_Role.DecorationRole) is None


def test_that_a_long_note_can_be_read_whole(watched):
    note = "smells of almond " * 20
    seen = watched(edits.change_reading(fermenting.stopped(), 2, note=note))
    assert note in seen.model.index(2, Column.NOTE).data(_Role.ToolTipRole)


def test_that_what_is_worked_out_waits_for_the_outcome_and_dims_when_stale(watched):
    seen = watched()
    other = edits.change_reading(fermenting.stopped(), 1, gravity=1.06)
    seen.model.show_log(other.log)
    assert seen.text(1, Column.READING) == "1.060"
    assert seen.text(1, Column.CORRECTED) == ""
    assert seen.text(2, Column.CORRECTED) != ""
    seen.model.set_stale(True)
    assert seen.model.index(2, Column.CORRECTED).data(_Role.ForegroundRole) is not None
    assert seen.model.index(2, Column.READING).data(_Role.ForegroundRole) is None


def test_that_selecting_tells_the_place_in_the_log(watched):
    late_entry = edits.add_readings(fermenting.stopped(), HydrometerReading(gravity=1.06, day=6.0))
    seen = watched(late_entry)
    told = []
    seen.table.selected.connect(told.append)
    seen.table.selectRow(2)
    assert told[-1] == 6
    seen.table.select(None)
    assert told[-1] is None


def test_that_rows_are_copied_as_a_spreadsheet_takes_them(watched):
    seen = watched()
    seen.table.select(1)
    seen.table.copy()
    head, row = QGuiApplication.clipboard().text().splitlines()
    assert head.split("\t")[2] == "Reading"
    assert row.split("\t")[2] == "1.070"


def test_that_another_batch_is_shown_from_its_beginning(watched):
    seen = watched()
    other = fermenting.logged(1.090, 1.080)
    seen.store.load(other)
    assert seen.model.rowCount() == 2
    assert seen.text(0, Column.READING) == "1.090"
    seen.store.load(fermenting.planned())
    assert seen.model.rowCount() == 0


def test_that_dating_the_pitching_moves_and_dates_the_rows(watched):
    readings = (HydrometerReading(gravity=1.05, at="2026-10-20T11:00+02:00"), HydrometerReading(gravity=1.09, day=1.0))
    seen = watched(edits.change_log(fermenting.planned(), readings=readings))
    seen.store.edit(edits.change_log(seen.store.batch, pitched_at=fermenting.PITCHED), "date")
    assert [seen.text(row, Column.DAY) for row in range(2)] == ["1.0", "3.0"]
    assert seen.text(0, Column.WHEN).startswith("18 Oct")
    assert seen.resets == []


@given(st.data())
def test_that_any_chain_of_edits_leaves_the_rows_of_the_log(qapp, data):
    store = BatchStore(fermenting.logged(1.100, 1.090, 1.080, 1.070))
    model = LogModel(store, ENGLISH)
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Warning)
    model.show_log(store.batch.log)
    for _ in range(data.draw(st.integers(1, 6))):
        batch = store.batch
        size = len(batch.log.readings)
        act = data.draw(st.sampled_from(["add", "change", "remove", "undo", "redate", "replace"]))
        if act == "add":
            days = data.draw(st.lists(st.floats(-5, 50), max_size=3))
            batch = edits.add_readings(batch, *(HydrometerReading(gravity=1.05, day=day) for day in days))
        elif act == "change" and size:
            place = data.draw(st.integers(0, size - 1))
            batch = edits.change_reading(batch, place, day=data.draw(st.floats(-5, 50)))
        elif act == "remove" and size:
            batch = log_entry.without(batch, data.draw(st.lists(st.integers(0, size - 1))))
        elif act == "redate":
            batch = edits.change_log(batch, pitched_at=data.draw(st.sampled_from([None, fermenting.PITCHED])))
        elif act == "replace":
            batch = fermenting.logged(*data.draw(st.lists(st.floats(1.0, 1.1), max_size=4)))
        if act == "undo":
            store.undo_stack.undo()
        else:
            store.edit(batch, act)
        model.show_log(store.batch.log)
        readings = store.batch.log.readings
        shown = [model.place_of(row) for row in range(model.rowCount())]
        assert sorted(shown) == list(range(len(readings)))
        days = [readings[place].day for place in shown]
        assert days == sorted(days)
    del tester


# --- on the screen


@pytest.fixture
def table(watched, qtbot):
    seen = watched()
    seen.table.resize(560, 260)
    with qtbot.waitActive(seen.table):
        seen.table.show()
    seen.table.setFocus()
    return seen


def editor_of(table) -> QLineEdit | None:
    return next((e for e in table.findChildren(QLineEdit) if e.isVisible()), None)


def test_that_enter_opens_a_cell_and_enter_takes_the_text(table, qtbot):
    table.table.setCurrentIndex(table.model.index(1, Column.READING))
    qtbot.keyClick(table.table, Qt.Key.Key_Return)
    editor = editor_of(table.table)
    assert editor is not None
    assert editor.text() == "1.070"
    editor.selectAll()
    qtbot.keyClicks(editor, "1.072")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: editor_of(table.table) is None)
    assert table.readings[1].gravity == 1.072


def test_that_a_refused_text_stays_open_with_the_reason_under_it(table, qtbot):
    table.table.setCurrentIndex(table.model.index(1, Column.READING))
    qtbot.keyClick(table.table, Qt.Key.Key_F2)
    editor = editor_of(table.table)
    editor.selectAll()
    qtbot.keyClicks(editor, "1.9")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert editor_of(table.table) is editor
    note = table.table.findChild(Note)
    assert note.isVisible()
    assert "lies between" in note.text()
    qtbot.keyClick(editor, Qt.Key.Key_Backspace)
    assert not note.isVisible()
    qtbot.keyClick(editor, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: editor_of(table.table) is None)
    assert table.store.batch == fermenting.stopped()


def test_that_results_coming_in_do_not_overwrite_what_is_being_typed(table, qtbot):
    table.table.setCurrentIndex(table.model.index(1, Column.NOTE))
    qtbot.keyClick(table.table, Qt.Key.Key_F2)
    editor = editor_of(table.table)
    qtbot.keyClicks(editor, "half a")
    table.model.show_outcome(fermenting.outcome(fermenting.stopped()))
    assert editor_of(table.table) is editor
    assert editor.text() == "half a"


def test_that_tab_leaves_the_table(table):
    assert not table.table.tabKeyNavigation()


def test_that_an_empty_log_says_what_would_fill_it(watched, qtbot):
    seen = watched(fermenting.planned())
    seen.table.resize(560, 260)
    with qtbot.waitExposed(seen.table):
        seen.table.show()
    empty = seen.table.grab().toImage()
    assert seen.model.rowCount() == 0
    seen.store.edit(fermenting.logged(1.1), "add")
    assert seen.table.grab().toImage() != empty


def test_that_the_note_keeps_room_and_nothing_scrolls_sideways(table):
    for width in (480, 520, 700, 1400):
        table.table.resize(width, 260)
        assert table.table.columnWidth(Column.NOTE) >= 40
        total = sum(table.table.columnWidth(c) for c in Column if not table.table.isColumnHidden(c))
        assert total <= table.table.viewport().width()


def test_that_a_dose_is_told_whole_where_the_notes_leave_room(watched):
    dose = Event(what=What.DOSE, key="erythritol", mass=0.3342, day=30.0)
    seen = watched(edits.add_readings(fermenting.logged(1.1, 1.05), dose))
    table = seen.table
    whole = table.fontMetrics().horizontalAdvance(seen.text(2, Column.READING)) + table.iconSize().width()
    table.resize(900, 260)
    assert table.columnWidth(Column.READING) >= whole
    assert not table.isColumnHidden(Column.ALCOHOL)


def test_that_the_alcohol_that_gives_way_is_told_of(table, qtbot):
    told = []
    table.table.alcohol_hidden.connect(told.append)
    batch = edits.change_reading(table.store.batch, 0, note="a note of many words, as long as notes can be in a log")
    table.store.edit(batch, "note")
    for width in (480, 1400):
        table.table.resize(width, 260)
        assert table.table.isColumnHidden(Column.ALCOHOL) == table.table.hides_alcohol == (width < 1000)
    assert told[-1] is False
    assert True in told


def test_that_three_thousand_rows_take_one_change_at_a_time(watched):
    batch = fermenting.logged(*(1.1 - 0.00002 * n for n in range(3000)), every=0.01)
    seen = watched(batch)
    seen.table.select(2000)
    seen.store.edit(edits.change_reading(seen.store.batch, 1500, gravity=1.05), "change")
    assert seen.resets == []
    assert seen.moved == []
    assert seen.table.chosen_rows() == [2000]
    assert seen.text(1500, Column.READING) == "1.050"


# --- typed values


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.050", HydrometerReading(gravity=1.05)),
        ("1050", HydrometerReading(gravity=1.05)),
        ("12 g/L", SugarReading(sugar=12.0)),
        ("12g/l", SugarReading(sugar=12.0)),
        ("1200 mg/L", SugarReading(sugar=1.2)),
        ("12 grams per litre", SugarReading(sugar=12.0)),
        ("0 g/L", SugarReading(sugar=0.0)),
    ],
)
def test_that_a_value_is_a_gravity_or_a_sugar_test(text, value):
    assert log_entry.read_value(text, ENGLISH) == value


def test_that_a_bare_number_is_a_gravity_on_the_readers_scale():
    # OIML R 22 / ICUMSA SPS-4 by way of planner.model: 20 °Bx is 1.0829
    assert log_entry.read_value("20", BRIX).gravity == pytest.approx(1.0829, abs=1e-4)
    with pytest.raises(EntryError, match="°Bx"):
        log_entry.read_value("20", ENGLISH)


@given(st.floats(0.98, 1.18), st.sampled_from([ENGLISH, BRIX, Display(locale=QLocale("de_DE"))]))
def test_that_a_gravity_shown_for_editing_is_read_back(gravity, display):
    text = log_words.value_text(HydrometerReading(gravity=gravity, day=0.0), display)
    half_of_the_last_figure = 2.5e-4 if display is BRIX else 6e-5  # 0.05 °Bx, and a twentieth of a point
    assert log_entry.read_value(text, display).gravity == pytest.approx(gravity, abs=half_of_the_last_figure)


@given(st.floats(0.0, 400.0))
def test_that_a_sugar_test_shown_is_read_back(sugar):
    text = log_words.value_text(SugarReading(sugar=sugar, day=0.0), ENGLISH)
    assert log_entry.read_value(text, ENGLISH).sugar == pytest.approx(sugar, rel=1e-4, abs=6e-4)


def test_that_the_newest_readings_are_in_sight_at_first(watched, qtbot):
    def ends_with(row):
        foot = seen.table.rowViewportPosition(row) + seen.table.rowHeight(row)
        return 0 <= seen.table.viewport().height() - foot < seen.table.rowHeight(row)

    seen = watched(fermenting.logged(*(1.1 - 0.001 * n for n in range(60))))
    seen.table.resize(560, 200)
    with qtbot.waitExposed(seen.table):
        seen.table.show()
    assert ends_with(59)
    seen.store.load(fermenting.logged(*(1.1 - 0.001 * n for n in range(80)), every=1.5))
    qtbot.waitUntil(lambda: ends_with(79))


def test_that_an_empty_box_is_seen_on_a_dark_ground(watched, qtbot):
    seen = watched(edits.change_reading(fermenting.stopped(), 1, excluded=True))
    seen.table.setPalette(theme.palette(dark=True))
    seen.table.resize(560, 260)
    with qtbot.waitExposed(seen.table):
        seen.table.show()
    rect = seen.table.visualRect(seen.model.index(1, Column.COUNTS))
    image = seen.table.viewport().grab(rect).toImage()
    shades = {image.pixelColor(x, y).name() for x in range(image.width()) for y in range(image.height())}
    edge = [shade for shade in shades if theme.contrast(shade, theme.DARK.base) >= 3.0]  # WCAG 2.1, criterion 1.4.11
    assert edge


def test_that_moments_have_a_column_only_where_any_is_known(watched):
    undated = edits.change_log(
        fermenting.planned(), pitched_at=None, readings=(HydrometerReading(gravity=1.09, day=1.0),)
    )
    seen = watched(undated)
    assert seen.table.isColumnHidden(Column.WHEN)
    seen.store.edit(edits.change_log(seen.store.batch, pitched_at=fermenting.PITCHED), "date")
    assert not seen.table.isColumnHidden(Column.WHEN)
    seen.store.undo_stack.undo()
    assert seen.table.isColumnHidden(Column.WHEN)
    seen.type(0, Column.DAY, "2026-10-22 09:30+02:00")
    assert not seen.table.isColumnHidden(Column.WHEN)


def test_that_an_instrument_that_is_typed_has_its_column_at_once(watched):
    seen = watched()
    seen.table.resize(1200, 300)
    assert seen.table.isColumnHidden(Column.INSTRUMENT)
    seen.type(0, Column.INSTRUMENT, "spindle 2")
    assert not seen.table.isColumnHidden(Column.INSTRUMENT)


@pytest.mark.parametrize("height", [150, 157, 166])
def test_that_at_its_end_the_table_begins_with_a_whole_row(qtbot, watched, height):
    batch = fermenting.stopped()
    seen = watched(edits.add_readings(batch, *(HydrometerReading(gravity=1.020, day=30.0 + n) for n in range(20))))
    seen.table.resize(560, height)
    seen.table.show()
    qtbot.waitExposed(seen.table)
    seen.table.scrollToBottom()
    assert seen.table.rowViewportPosition(seen.table.rowAt(0)) == 0
    last = seen.model.rowCount() - 1
    bottom = seen.table.rowViewportPosition(last) + seen.table.rowHeight(last)
    assert 0 <= seen.table.viewport().height() - bottom < seen.table.rowHeight(last)


@pytest.mark.parametrize("rows", [1, 2, 7])
def test_that_the_table_knows_how_high_some_rows_are(qtbot, watched, rows):
    seen = watched(fermenting.logged(*(1.1 - 0.001 * n for n in range(60))))
    seen.table.resize(560, seen.table.height_of(rows))
    with qtbot.waitExposed(seen.table):
        seen.table.show()
    row = seen.table.rowHeight(0)
    assert rows * row <= seen.table.viewport().height() < (rows + 1) * row
