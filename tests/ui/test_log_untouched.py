"""What was only looked at stays as it is, and what cannot be is refused without a trace: in the table, with every value."""

from __future__ import annotations

import re

import fermenting
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QLineEdit

from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Event,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.ui.display import Display
from planner.ui.log.cells import EDITABLE, Column
from planner.ui.log.table import LogTable
from planner.ui.store import BatchStore
from planner.units import GravityScale, System

ENGLISH = Display(locale=QLocale("en_GB"))
HABITS = {
    "metric": ENGLISH,
    "brix": replace(ENGLISH, gravity_scale=GravityScale.BRIX),
    "US": replace(ENGLISH, system=System.US),
    "German": Display(locale=QLocale("de_DE")),
}
THIRD = 1.0 / 3.0
ODD = (
    HydrometerReading(day=THIRD, gravity=1.0 + 0.1 * THIRD, temperature=290.0 + THIRD, doubt=0.001 * THIRD),
    SensorReading(day=1.0 + THIRD, gravity=1.0501234567, temperature=291.15, instrument="float 7"),
    RefractometerReading(at="2026-10-20T19:30:12+02:00", brix=20.0 + THIRD, doubt=THIRD),
    WeightReading(day=3.0 + THIRD, lost=THIRD, doubt=0.01 * THIRD),
    SugarReading(day=4.0 + THIRD, sugar=100.0 * THIRD, below=True, doubt=THIRD),
    AcidityReading(day=5.0 + THIRD, ph=3.0 + THIRD, doubt=0.1 * THIRD),
    VolumeReading(day=5.0 + THIRD, volume=0.01 * THIRD),
    TitrationReading(day=5.0 + THIRD, acid=6.0 + THIRD, doubt=0.1 * THIRD),
    WarmthReading(day=6.0 + THIRD, temperature=290.0 + THIRD),
    Event(day=7.0 + THIRD, what=What.TEMPERATURE, temperature=289.0 + THIRD, note="two\nlines\tand a tab"),
    Event(day=8.0 + THIRD, what=What.FEED, mass=0.01 * THIRD, key="of-old", note=" spaces about "),
)  # fmt: skip
"""Values that no cell shows in full, and notes that no single line can hold."""


@pytest.fixture
def table(qtbot, request):
    """A shown table on a log of odd values."""
    batch = edits.change_log(fermenting.stopped(), pitched_at="2026-10-17T11:00:00+02:00", readings=ODD)
    made = LogTable(BatchStore(batch), HABITS[getattr(request, "param", "metric")])
    made.log_model.show_log(batch.log)
    made.resize(900, 400)
    qtbot.addWidget(made)
    with qtbot.waitExposed(made):
        made.show()
    return made


def store_of(table: LogTable) -> BatchStore:
    return table.log_model._store


def cells(table: LogTable):
    for place in range(len(ODD)):
        for column in EDITABLE:
            yield place, table.log_model.index(table.log_model.row_of(place), column)


@pytest.mark.parametrize("table", HABITS, indirect=True)
def test_that_a_cell_opened_and_left_with_enter_changes_nothing(table, qtbot):
    for _, index in cells(table):
        if table.isColumnHidden(index.column()):
            continue
        table.setCurrentIndex(index)
        table.edit_current()
        editor = table.viewport().findChild(QLineEdit)
        assert editor is not None
        qtbot.keyClick(editor, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: table.viewport().findChild(QLineEdit) is None)
    assert store_of(table).batch.log.readings == ODD
    assert not store_of(table).undo_stack.canUndo()


@pytest.mark.parametrize("table", HABITS, indirect=True)
def test_that_a_cell_typed_anew_as_it_is_shown_changes_nothing(table):
    for _, index in cells(table):
        text = index.data(Qt.ItemDataRole.EditRole)
        if index.column() != Column.NOTE and text and "of-old" not in text:
            assert table.log_model.setData(index, f"{text} "), text
    assert store_of(table).batch.log.readings == ODD
    assert not store_of(table).undo_stack.canUndo()


@pytest.mark.parametrize("table", HABITS, indirect=True)
def test_that_a_note_leaves_the_value_beside_it_as_it_is(table):
    model = table.log_model
    for place in range(len(ODD)):
        assert model.setData(model.index(model.row_of(place), Column.NOTE), f"note {place}")
    after = store_of(table).batch.log.readings
    assert [entry.note for entry in after] == [f"note {place}" for place in range(len(ODD))]
    for before, now in zip(ODD, after, strict=True):
        for field in set(before.__struct_fields__) - {"note"}:
            assert getattr(now, field) == getattr(before, field)


def test_that_a_doubt_put_to_a_value_leaves_the_value_as_it_is(table):
    model = table.log_model
    index = model.index(model.row_of(4), Column.READING)
    text = str(index.data(Qt.ItemDataRole.EditRole)).split("±")[0]
    assert model.setData(index, f"{text}± 7 g/L")
    after = store_of(table).batch.log.readings[4]
    assert (after.sugar, after.doubt, after.below) == (ODD[4].sugar, 7.0, True)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2", "not a specific gravity"),
        ("0.5", "lies between"),
        ("1.9", "lies between"),
        ("10.60", "°Bx"),
        ("-1.050", "not a specific gravity|cannot be negative"),
        ("nan", "gravity"),
        ("1e3000", "gravity"),
        ("2000 g/L", "1000 g/L"),
        ("95 Bx", "-2 to 80"),
        ("pH 34", "not a pH"),
        ("150 °C", "out of range"),
        ("😀", "gravity"),
    ],
)
def test_that_a_value_that_cannot_be_is_refused_in_words_and_leaves_no_trace(table, qtbot, text, told):
    refused = []
    table.refused.connect(refused.append)
    index = table.log_model.index(table.log_model.row_of(0), Column.READING)
    assert not table.log_model.setData(index, text)
    assert len(refused) == 1
    assert re.search(told, refused[0]), refused[0]
    assert store_of(table).batch.log.readings == ODD


@pytest.mark.parametrize("text", ["1,060", "1060", "1.060", "1.060 SG"])
def test_that_a_gravity_is_known_in_every_way_it_is_written(table, text):
    assert table.log_model.setData(table.log_model.index(table.log_model.row_of(0), Column.READING), text)
    assert store_of(table).batch.log.readings[0].gravity == 1.06


def test_that_degrees_of_the_other_scale_are_recognised_and_how_to_say_so_is_told(table):
    refused = []
    table.refused.connect(refused.append)
    index = table.log_model.index(table.log_model.row_of(1), Column.TEMPERATURE)
    assert not table.log_model.setData(index, "68")
    assert refused[0].endswith("If you mean °F, enter 68 °F.")
    assert table.log_model.setData(index, "68 °F")
    assert store_of(table).batch.log.readings[1].temperature == pytest.approx(293.15)  # 20 °C, NIST SP 811
    assert not table.log_model.setData(index, "150 °C")
    assert "°F" not in refused[1]
