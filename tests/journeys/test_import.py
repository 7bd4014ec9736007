"""A season of a floating sensor comes in by the menu, and everything in the window speaks of one gravity."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec
import pytest
from PySide6.QtWidgets import QApplication

from planner.document.batch import SensorReading
from planner.ui.importing.dialog import ImportDialog
from planner.ui.log.verdict import VerdictReasons

PITCHED = datetime(2026, 11, 10, 19, 30)  # of the sample


@pytest.fixture
def season(tmp_path):
    """A table as a sensor writes it, with decimal commas, a line written twice, and scatter of the last figures."""
    lines = ["Zeit;Dichte;Temperatur;Batterie"]
    for n in range(1, 170):
        day = n / 12.0
        gravity = max(1.113 - 0.0105 * day, 1.006) + (0.0012, -0.0009, 0.0004, -0.0013, 0.0006)[n % 5]
        when = PITCHED + timedelta(days=day)
        figures = f"{gravity:.4f};{18.1 + (n % 3) / 10:.1f};4.1".replace(".", ",")
        lines.append(f"{when:%d.%m.%Y %H:%M};{figures}")
    text = "\n".join([*lines, lines[-1]])
    path = tmp_path / "season.csv"
    path.write_text(text + "\n", encoding="utf-8")
    return path


def test_that_a_sensors_table_is_taken_as_such_and_told_as_one_gravity_everywhere(visit, qtbot, season):
    made = visit(season, sample="blackcurrant-half-way")
    log = msgspec.structs.replace(made.batch.log, readings=())
    made.window.store.edit(msgspec.structs.replace(made.batch, log=log), "begin anew")
    _ = made.outcome
    made.act("import_readings")
    dialog = made.window.exchange.dialog
    qtbot.waitUntil(lambda: not dialog._recalculator.is_busy)
    assert dialog.stem.field.currentText() == "floating sensor"
    assert any("1 row repeats another" in text for text in dialog.remarks.texts())
    dialog.add_button.click()
    assert len(made.batch.log.readings) == 169
    assert {type(entry) for entry in made.batch.log.readings} == {SensorReading}
    assert made.window.status.currentMessage() == "169 readings imported"

    outcome = made.outcome
    told = f"{outcome.headline.sentence.figures[1].value:.3f}"
    assert f"about {told}" in made.window.curve.headline.sentence.text()
    assert told == f"{outcome.mead.before.gravity.typical:.3f}" == f"{outcome.so_far.gravity:.3f}"

    made.window.store.undo_stack.undo()
    assert not made.window.status.currentMessage()


def test_that_a_second_table_takes_the_place_of_the_first_and_leaves_no_dialog_behind(visit, qtbot):
    made = visit(sample="blackcurrant-half-way")
    exchange = made.window.exchange
    for _ in range(3):
        exchange.import_text("day,gravity\n1,1.09\n2,1.08\n3,1.06\n", made.window.colours)
    last = exchange.dialog
    qtbot.waitUntil(lambda: made.window.findChildren(ImportDialog) == [last])
    last.reject()
    qtbot.waitUntil(lambda: not made.window.findChildren(ImportDialog))
    assert exchange.dialog is None


def test_that_the_window_of_reasons_makes_way_for_the_reading_it_names(visit):
    made = visit(sample="damson-stopped")
    _ = made.outcome
    made.act("show_reasons")
    reasons = next(w for w in QApplication.topLevelWidgets() if isinstance(w, VerdictReasons) and w.isVisible())
    reasons.decided.click()
    assert not reasons.isVisible()
    made.act("show_reasons")
    assert reasons.isVisible()
