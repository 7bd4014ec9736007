"""The import dialog shows what was found, lets the person say what it is, and adds only what was agreed to."""

from __future__ import annotations

import threading
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QColor

from planner.document import edits
from planner.document.batch import HydrometerReading, SensorReading, SugarReading, new_batch
from planner.importing.reading import ImportRefused, ImportStopped, Meaning
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.importing import work as import_work
from planner.ui.importing.dialog import ImportDialog
from planner.ui.importing.work import LocalZone, month_first, usual_offset
from planner.units import GravityScale

DATA = Path(__file__).parents[1] / "data" / "import"
SUMMER = timezone(timedelta(hours=2))
NOW = datetime(2026, 11, 1, 12, 0, tzinfo=SUMMER)
DISPLAY = Display(locale=QLocale("en_GB"))


@pytest.fixture
def opened(qtbot):
    """Open the dialog on a text or bytes and wait until it has been read."""
    dialogs = []

    def make(source, batch=None, display=DISPLAY, name="log.csv"):
        data = source.encode() if isinstance(source, str) else source
        dialog = ImportDialog(data, name, batch or new_batch(), display, theme.LIGHT, now=NOW)
        qtbot.addWidget(dialog)
        dialogs.append(dialog)
        with qtbot.waitExposed(dialog):
            dialog.show()
        settle(qtbot, dialog)
        return dialog

    yield make
    for dialog in dialogs:
        dialog.reject()


def settle(qtbot, dialog):
    qtbot.waitUntil(lambda: not dialog._recalculator.is_busy)


def choose(qtbot, field, key):
    """Choose as a person does."""
    field.setCurrentIndex(next(i for i in range(field.count()) if field.itemData(i) == key))
    field.activated.emit(field.currentIndex())


def say(qtbot, dialog, column, meaning):
    choose(qtbot, dialog.preview.choices.choice(column), meaning)
    settle(qtbot, dialog)


def cells(dialog, row):
    model = dialog.preview.model()
    return [model.index(row, column).data() for column in range(model.columnCount())]


PLAIN = "Day,SG,Temp,Note\n0,1.090,18,pitched\n1,1.081,19,\n4,1.052,21,\n"


def test_that_the_table_its_meaning_and_what_will_be_added_are_shown(opened):
    dialog = opened(PLAIN)
    assert cells(dialog, 0) == ["0", "1.090", "18", "pitched"]
    assert [dialog.preview.choices.choice(column).key for column in range(4)] == [
        Meaning.DAY, Meaning.GRAVITY, Meaning.CELSIUS, Meaning.NOTE,
    ]  # fmt: skip
    assert dialog.sentence.text() == "3 readings, day 0 to 4, gravity 1.090 to 1.052."
    assert dialog.add_button.text() == "Add 3 readings"
    assert dialog.add_button.isEnabled()
    assert dialog.consent.isHidden()


def test_that_accepting_gives_the_readings_and_adds_nothing_itself(opened):
    batch = new_batch()
    dialog = opened(PLAIN, batch)
    dialog.add_button.click()
    assert dialog.result() == ImportDialog.DialogCode.Accepted
    assert [reading.gravity for reading in dialog.result_readings()] == [1.09, 1.081, 1.052]
    assert dialog.result_readings()[0].note == "pitched"
    assert batch.log.readings == ()


def test_that_another_meaning_of_a_column_is_worked_out_at_once(opened, qtbot):
    dialog = opened("Day,Reading,Other\n0,24.0,18\n1,22.0,18\n4,12.0,18\n")
    assert "gravity or the sugar" in dialog.sentence.text()
    assert not dialog.add_button.isEnabled()
    say(qtbot, dialog, 1, Meaning.BRIX)
    # Published table of Plato: 12 P is 1.0484 at 20/20
    assert dialog.result_readings()[2].gravity == pytest.approx(1.0484, abs=1e-4)
    assert dialog.add_button.isEnabled()


def test_that_a_meaning_moves_from_one_column_to_another(opened, qtbot):
    dialog = opened("Day,SG,Corrected SG\n0,1.090,1.091\n1,1.080,1.081\n")
    say(qtbot, dialog, 2, Meaning.GRAVITY)
    assert dialog.preview.choices.choice(1).key is Meaning.IGNORED
    assert [reading.gravity for reading in dialog.result_readings()] == [1.091, 1.081]


def test_that_unreadable_rows_are_named_with_line_and_reason_and_stay_out_only_with_consent(opened):
    dialog = opened((DATA / "schlehe-semicolons.csv").read_bytes())
    told = dialog.remarks.texts()[0]
    assert "Line 9." in told
    assert "“trüb” is not a number" in told
    assert "1 row cannot be read" in dialog.sentence.text()
    assert not dialog.add_button.isEnabled()
    dialog.consent.setChecked(True)
    assert dialog.add_button.isEnabled()
    assert len(dialog.result_readings()) == 5


def test_that_enter_adds_nothing_while_consent_is_missing(opened, qtbot):
    dialog = opened((DATA / "schlehe-semicolons.csv").read_bytes())
    qtbot.keyClick(dialog, Qt.Key.Key_Return)
    dialog.accept()
    assert dialog.isVisible()


def test_that_consent_is_asked_again_when_other_rows_cannot_be_read(opened, qtbot):
    dialog = opened(
        "Day,SG,Other\n0,1.090,1.090\n1,cold,1.080\n2,1.070,warm\n3,1.060,hot\n4,1.050,1.040\n5,1.040,1.03\n"
    )
    dialog.consent.setChecked(True)
    say(qtbot, dialog, 2, Meaning.GRAVITY)
    assert "2 rows" in dialog.consent.text()
    assert not dialog.consent.isChecked()
    assert not dialog.add_button.isEnabled()


def test_that_an_unreadable_row_is_marked_in_the_table_and_says_why(opened):
    dialog = opened("Day,SG\n0,1.090\n1,warm\n2,1.070\n")
    model = dialog.preview.model()
    assert "“warm” is not a number" in model.index(1, 1).data(Qt.ItemDataRole.ToolTipRole)
    assert model.index(1, 1).data(Qt.ItemDataRole.ForegroundRole) == QColor(theme.LIGHT.problem)
    assert model.index(0, 1).data(Qt.ItemDataRole.ForegroundRole) == QColor(theme.LIGHT.text)
    dialog.set_colours(theme.DARK)
    assert model.index(1, 1).data(Qt.ItemDataRole.ForegroundRole) == QColor(theme.DARK.problem)


def test_that_readings_in_the_log_already_are_not_added_again(opened):
    batch = edits.add_readings(new_batch(), HydrometerReading(day=1.0, gravity=1.081))
    dialog = opened(PLAIN, batch)
    assert [reading.day for reading in dialog.result_readings()] == [0.0, 4.0]
    assert "1 is in the log already" in dialog.sentence.text()
    assert dialog.preview.model().index(1, 0).data(Qt.ItemDataRole.ToolTipRole) == "This reading is in the log already."


def test_that_a_file_imported_before_offers_nothing_to_add(opened):
    first = opened(PLAIN)
    batch = edits.add_readings(new_batch(), *first.result_readings())
    second = opened(PLAIN, batch)
    assert second.sentence.text() == "All 3 readings are in the log already; there is nothing to add."
    assert not second.add_button.isEnabled()


def test_that_one_of_several_series_is_chosen(opened, qtbot):
    dialog = opened((DATA / "two-buckets.tsv").read_bytes())
    assert dialog.series.isVisible()
    assert dialog.series.field.currentText() == "left (4)"
    assert cells(dialog, 3)[2] == "11.9"
    choose(qtbot, dialog.series.field, "right")
    settle(qtbot, dialog)
    assert cells(dialog, 3)[2] == "9.7"
    assert [reading.note for reading in dialog.result_readings()] == ["", "", "fed", ""]


def test_that_a_column_that_names_no_series_is_refused_in_words(opened, qtbot):
    rows = "".join(f"{day},1.09,{day}x\n" for day in range(600))
    dialog = opened(f"Day,SG,Sample\n{rows}")
    say(qtbot, dialog, 2, Meaning.SERIES)
    assert "too many different entries" in dialog.sentence.text()
    assert not dialog.add_button.isEnabled()


def test_that_an_offer_is_taken_with_one_click(opened, qtbot):
    dialog = opened("Day,SG,Temp [C]\n0,1.090,64\n1,1.080,68\n2,1.070,58\n")
    offer = next(remark.button for remark in dialog.remarks.remarks if remark.button)
    assert offer.text() == "Read as °F"
    offer.click()
    settle(qtbot, dialog)
    assert dialog.preview.choices.choice(2).key is Meaning.FAHRENHEIT
    assert dialog.result_readings()[1].temperature == pytest.approx(293.15)  # 68 °F is 20 °C, NIST SP 811
    assert dialog.add_button.isEnabled()


def test_that_the_offset_is_asked_only_where_times_state_none(opened, qtbot):
    stated = opened("Date,SG\n2026-08-14T19:30+02:00,1.090\n2026-08-15T19:30+02:00,1.080\n")
    assert not stated.offset.isEnabled()
    days = opened(PLAIN)
    assert days.offset.isHidden()
    open_question = opened("Date,SG\n2026-08-14 19:30,1.090\n2026-08-15 19:30,1.080\n")
    choose(qtbot, open_question.offset.field, -300)
    settle(qtbot, open_question)
    assert open_question.result_readings()[0].at == "2026-08-14T19:30:00-05:00"


def test_that_order_of_dates_and_decimal_sign_are_asked_only_where_they_arise(opened, qtbot):
    plain = opened(PLAIN)
    assert plain.dates.isHidden()
    assert plain.decimals.isHidden()
    dialog = opened("Date;SG;Sugar\n01/08/2026;1,090;1,190\n02/08/2026;1,080;1,150\n")
    assert dialog.dates.field.key is True
    assert dialog.decimals.field.key == ","
    choose(qtbot, dialog.dates.field, False)
    settle(qtbot, dialog)
    assert dialog.result_readings()[2].at.startswith("2026-02-08")
    choose(qtbot, dialog.decimals.field, ".")
    settle(qtbot, dialog)
    assert "between 0 and 1000" in "".join(dialog.remarks.texts())  # 1190 g/L


def test_that_a_batch_pitched_in_another_offset_has_that_one_proposed(opened):
    here = datetime(2026, 8, 14, 19, 30).astimezone().utcoffset()
    elsewhere = timezone(here + timedelta(hours=3))
    batch = edits.change_log(new_batch(), pitched_at=datetime(2026, 8, 14, 19, 30, tzinfo=elsewhere).isoformat())
    assert usual_offset(batch) == round((here + timedelta(hours=3)).total_seconds() / 60)
    dialog = opened("Date,SG\n2026-08-14 19:30,1.090\n2026-08-16 19:30,1.080\n", batch)
    assert dialog.sentence.text().startswith("2 readings, day 0 to 2,")
    at_home = edits.change_log(new_batch(), pitched_at=datetime(2026, 8, 14, 19, 30).astimezone().isoformat())
    assert usual_offset(at_home) is None


def test_that_the_zone_of_this_machine_has_its_offset_of_each_moment():
    for month in (1, 7):
        moment = datetime(2026, month, 14, 12, 0)
        assert moment.replace(tzinfo=LocalZone()).utcoffset() == moment.astimezone().utcoffset()


def test_that_the_locale_decides_dates_the_table_leaves_open():
    assert month_first(QLocale("en_US"))
    assert not month_first(QLocale("en_GB"))
    assert not month_first(QLocale("sv_SE"))  # year first, then month


def test_that_a_batch_without_a_moment_of_pitching_is_told_where_its_readings_go(opened):
    dated = opened("Date,SG\n2026-08-14 19:30,1.090\n2026-08-15 19:30,1.080\n")
    assert any("no moment of pitching" in text for text in dated.remarks.texts())
    assert not any("no moment of pitching" in text for text in opened(PLAIN).remarks.texts())


def test_that_readings_from_the_future_are_told(opened):
    dialog = opened("Date,SG\n2026-08-14 19:30,1.090\n2062-08-15 19:30,1.080\n")
    assert any("in the future, the first on line 3" in text for text in dialog.remarks.texts())


def test_that_a_file_without_a_table_says_so_and_can_only_be_closed(opened):
    dialog = opened(b"PK\x03\x04 and so on", name="book.xlsx")
    assert "“book.xlsx” holds no readings" in dialog._message.text()
    assert "workbook" in dialog._message.text()
    assert dialog._message.isVisible()
    assert dialog.add_button.isHidden()
    assert dialog.result_readings() == ()


def test_that_pasted_text_is_read_the_same_way(qtbot):
    text = "Tag\tDichte\n0\t1,090\n1\t1,081\n"
    dialog = ImportDialog.from_text(text, new_batch(), DISPLAY, theme.LIGHT, now=NOW)
    qtbot.addWidget(dialog)
    settle(qtbot, dialog)
    assert [reading.gravity for reading in dialog.result_readings()] == [1.09, 1.081]
    assert dialog._heading.text().startswith("The clipboard: 2 rows, tabs between the cells.")
    dialog.reject()


def test_that_gravities_are_told_in_the_readers_scale(opened):
    dialog = opened(PLAIN, display=replace(DISPLAY, gravity_scale=GravityScale.BRIX))
    assert "°Bx" in dialog.sentence.text()


def test_that_of_a_wide_table_the_columns_in_use_come_first(opened):
    names = "Sample,One,Two,Three,Four,Five,Six,Day,SG"
    rows = "".join(f"s{i},1,2,3,4,5,6,{i},{1.09 - i / 1000:.3f}\n" for i in range(4))
    header = opened(f"{names}\n{rows}").preview.choices
    assert [header.logicalIndex(visual) for visual in range(3)] == [7, 8, 0]


def test_that_a_choice_out_of_sight_comes_into_sight_with_the_focus(opened):
    names = ",".join(f"Column {i}" for i in range(30))
    rows = "".join(",".join("7" for _ in range(30)) + "\n" for _ in range(3))
    dialog = opened(f"{names}\n{rows}")
    last = dialog.preview.choices.choice(29)
    assert last.x() > dialog.preview.viewport().width()
    last.setFocus()
    assert 0 <= last.x() < dialog.preview.viewport().width()


def test_that_every_choice_says_what_it_is_for(opened):
    dialog = opened((DATA / "two-buckets.tsv").read_bytes())
    assert dialog.preview.choices.choice(2).accessibleName() == "What column 3, Brix, means"
    assert dialog.series.field.accessibleName() == "Series"
    assert dialog.preview.accessibleName()
    assert dialog.remarks.accessibleName()


def test_that_only_the_first_rows_of_a_long_table_are_shown_and_all_are_read(opened):
    rows = "".join(f"{i / 10:.1f},{1.1 - i * 1e-5:.5f}\n" for i in range(3000))
    dialog = opened(f"Day,SG\n{rows}")
    assert dialog.preview.model().rowCount() == import_work.ROWS
    assert len(dialog.result_readings()) == 3000


def test_that_gravity_and_sugar_are_both_told(opened):
    dialog = opened("Day,SG,Sugar\n0,1.090,190\n2,1.070,\n4,1.050,110\n")
    assert (
        dialog.sentence.text() == "5 readings, day 0 to 4, gravity 1.090 to 1.050, sugar 190\u00a0g/L to 110\u00a0g/L."
    )
    assert sum(isinstance(reading, SugarReading) for reading in dialog.result_readings()) == 2


def test_that_a_file_is_read_away_from_the_window(opened, monkeypatch):
    threads = []
    real = import_work.read_table

    def watched(data, stop):
        threads.append(threading.current_thread())
        return real(data, stop)

    monkeypatch.setattr(import_work, "read_table", watched)
    opened(PLAIN)
    assert len(threads) == 1
    assert threads[0] is not threading.main_thread()


def test_that_closing_the_dialog_stops_the_reading(qtbot, monkeypatch):
    began, stopped = threading.Event(), threading.Event()

    def endless(_data, stop):
        began.set()
        while not stop():
            threading.Event().wait(0.001)
        stopped.set()
        raise ImportStopped

    monkeypatch.setattr(import_work, "read_table", endless)
    dialog = ImportDialog(PLAIN.encode(), "log.csv", new_batch(), DISPLAY, theme.LIGHT)
    qtbot.addWidget(dialog)
    qtbot.waitUntil(began.is_set)
    assert not dialog.add_button.isEnabled()
    dialog.reject()
    assert stopped.is_set()


def test_that_while_a_change_is_worked_out_the_former_result_is_dim_and_cannot_be_added(opened, qtbot, monkeypatch):
    dialog = opened(PLAIN)
    go_on = threading.Event()
    real = import_work.readings

    def slow(*arguments):
        go_on.wait(10.0)
        return real(*arguments)

    monkeypatch.setattr(import_work, "readings", slow)
    choose(qtbot, dialog.preview.choices.choice(1), Meaning.IGNORED)
    choose(qtbot, dialog.preview.choices.choice(1), Meaning.POINTS)
    assert not dialog.add_button.isEnabled()
    assert dialog.sentence.property("tone") == "dim"
    go_on.set()
    settle(qtbot, dialog)
    assert dialog.sentence.property("tone") == ""
    assert dialog.add_button.isEnabled()


def test_that_a_fault_of_the_program_is_not_taken_for_one_of_the_file(opened, qtbot, monkeypatch):
    dialog = opened(PLAIN)

    def broken(*_arguments):
        raise ZeroDivisionError

    monkeypatch.setattr(import_work, "readings", broken)
    with qtbot.captureExceptions() as faults:
        choose(qtbot, dialog.preview.choices.choice(3), Meaning.IGNORED)
        settle(qtbot, dialog)
    assert [kind for kind, *_ in faults] == [ZeroDivisionError]


def test_that_a_refusal_that_comes_late_is_shown_like_an_early_one(opened, qtbot, monkeypatch):
    dialog = opened(PLAIN)

    def refusing(*_arguments):
        raise ImportRefused("Nothing will do.")

    monkeypatch.setattr(import_work, "readings", refusing)
    choose(qtbot, dialog.preview.choices.choice(3), Meaning.IGNORED)
    settle(qtbot, dialog)
    assert "Nothing will do." in dialog._message.text()


def test_that_figures_are_told_as_the_reader_writes_them(opened):
    german = Display(locale=QLocale("de_DE"))
    assert opened(PLAIN, display=german).sentence.text() == "3 readings, day 0 to 4, gravity 1,090 to 1,052."


def test_that_what_read_the_gravities_is_asked_with_the_likelier_answer_first(opened, qtbot):
    by_hand = opened(PLAIN)
    assert by_hand.stem.isVisible()
    assert by_hand.stem.field.key is False
    rows = "".join(f"{hours / 12:.3f},{1.1 - hours / 5000:.4f}\n" for hours in range(60))
    dialog = opened(f"Day,SG\n{rows}")
    assert dialog.stem.field.currentText() == "floating sensor"
    assert {type(reading) for reading in dialog.result_readings()} == {SensorReading}
    choose(qtbot, dialog.stem.field, False)
    settle(qtbot, dialog)
    assert {type(reading) for reading in dialog.result_readings()} == {HydrometerReading}


def test_that_what_read_the_gravities_is_not_asked_where_a_column_says_it_or_there_are_none(opened):
    assert opened("Day,SG,Kind\n1,1.080,floating sensor\n2,1.070,hydrometer\n").stem.isHidden()
    assert opened("Day,Sugar\n1,180\n2,170\n").stem.isHidden()


def test_that_readings_of_another_year_are_not_added_unasked(opened):
    batch = edits.change_log(new_batch(), pitched_at="2026-08-14T19:30+02:00")
    dialog = opened("Date,SG\n2025-12-06 19:30,1.090\n2026-08-16 19:30,1.080\n", batch)
    assert any("1 reading lies before pitching, by up to 251 days" in text for text in dialog.remarks.texts())
    assert dialog.consent.isVisible()
    assert dialog.consent.text() == "&Add 1 reading from long before pitching"
    assert not dialog.add_button.isEnabled()
    dialog.consent.setChecked(True)
    assert dialog.add_button.isEnabled()


def test_that_a_juice_read_during_the_soak_is_remarked_on_and_added(opened):
    batch = edits.change_log(new_batch(), pitched_at="2026-08-14T19:30+02:00")
    dialog = opened("Date,SG\n2026-08-08 19:30,1.048\n2026-08-16 19:30,1.080\n", batch)
    assert any("before pitching, by up to 6 days" in text for text in dialog.remarks.texts())
    assert dialog.consent.isHidden()
    assert dialog.add_button.isEnabled()


def test_that_a_unit_that_is_not_known_is_asked_about_before_anything_is_added(qtbot, opened):
    dialog = opened("day,sugar g/kg\n0,120\n1,90\n")
    assert "Choose which column" in dialog.sentence.text()
    assert any("“sugar g/kg”" in text for text in dialog.remarks.texts())
    assert not dialog.add_button.isEnabled()
    say(qtbot, dialog, 1, Meaning.SUGAR)
    assert not any("“sugar g/kg”" in text for text in dialog.remarks.texts())
    assert [reading.sugar for reading in dialog.result_readings()] == [120.0, 90.0]
