"""Typing a reading: one line, Enter adds, and the next one can be typed at once."""

from __future__ import annotations

from datetime import datetime

import fermenting
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLocale, Qt

from planner.document import edits
from planner.document.batch import Hydrometer, HydrometerReading, RefractometerReading, SugarReading
from planner.document.timestamps import parsed
from planner.ui.display import Display
from planner.ui.log import reading_fields, reading_form
from planner.ui.log.reading_form import ReadingForm
from planner.ui.store import BatchStore
from planner.units import GravityScale, System

ENGLISH = Display(locale=QLocale("en_GB"))
PRESENT = datetime.fromisoformat("2026-11-25T11:08+01:00")


@pytest.fixture(autouse=True)
def at_a_known_moment(monkeypatch):
    """Time is set, not waited for."""
    monkeypatch.setattr(reading_form, "now", lambda: PRESENT)
    monkeypatch.setattr(reading_fields, "now", lambda: PRESENT)


@pytest.fixture
def form(qtbot):
    """A form on a store, shown and active."""

    def make(batch=None, display=ENGLISH):
        store = BatchStore(fermenting.stopped() if batch is None else batch)
        made = ReadingForm(store, display)
        made.store = store  # the test looks at it
        qtbot.addWidget(made)
        made.show_log(store.batch.log)
        store.changed.connect(lambda after: made.show_log(after.log))
        made.resize(560, 80)
        with qtbot.waitActive(made):
            made.show()
        made.begin()
        return made

    return make


def typed(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)


def last(form):
    return form.store.batch.log.readings[-1]


def test_that_enter_adds_a_gravity_read_now_and_leads_back_to_where_it_is_typed(form, qtbot):
    made = form()
    added = []
    made.added.connect(added.append)
    typed(qtbot, made.value, "1.039")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert last(made) == HydrometerReading(gravity=1.039, at="2026-11-25T11:08+01:00")
    assert added == [6]
    assert made.value.text() == ""
    qtbot.waitUntil(made.value.hasFocus)
    assert made.store.undo_stack.undoText() == "add a reading"
    made.store.undo_stack.undo()
    assert made.store.batch == fermenting.stopped()


def test_that_a_whole_line_is_taken(form, qtbot):
    made = form()
    typed(qtbot, made.when, "2026-11-20 18:30+01:00")
    typed(qtbot, made.value, "12 g/L")
    typed(qtbot, made.temperature, "17.5")
    typed(qtbot, made.note, "test strip")
    qtbot.keyClick(made.note, Qt.Key.Key_Return)
    assert last(made) == SugarReading(
        sugar=12.0, at="2026-11-20T18:30+01:00", temperature=pytest.approx(290.65), note="test strip"
    )
    assert [field.text() for field in (made.when, made.value, made.temperature, made.note)] == ["", "", "", ""]


def chosen(made, kind):
    made.kind.show_key(kind)
    made.kind.chosen.emit(kind)


def test_that_the_next_figure_is_what_it_looks_like_whatever_was_chosen_for_the_last(form, qtbot):
    made = form()
    chosen(made, "sugar")
    typed(qtbot, made.value, "95")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert last(made).sugar == 95.0
    assert made.kind.currentText() == "as typed"
    assert made.hydrometer.isVisible()
    assert made.value.placeholderText() == "1.050"
    typed(qtbot, made.value, "1.050")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert last(made) == HydrometerReading(gravity=1.05, at="2026-11-25T11:08+01:00")


def test_that_a_gravity_typed_as_a_sugar_test_is_asked_about(form, qtbot):
    made = form()
    chosen(made, "sugar")
    typed(qtbot, made.value, "1.050")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert "reads like a gravity" in made.value.problem_text
    assert made.store.batch == fermenting.stopped()
    typed(qtbot, made.value, "1.050 g/L")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert last(made).sugar == 1.05


def test_that_a_log_that_is_copied_leads_back_to_the_day(form, qtbot):
    made = form()
    for day, gravity in (("21", "1.038"), ("22", "1.037")):
        qtbot.keyClicks(made.focusWidget(), day if made.when.hasFocus() else "")
        if not made.when.hasFocus():
            typed(qtbot, made.when, day)
        typed(qtbot, made.value, gravity)
        qtbot.keyClick(made.value, Qt.Key.Key_Return)
        assert last(made) == HydrometerReading(gravity=float(gravity), day=float(day))
        qtbot.waitUntil(made.when.hasFocus)


def test_that_a_date_without_a_year_is_placed_by_the_day_of_pitching(form, qtbot):
    made = form(edits.change_log(fermenting.planned(), pitched_at="2026-11-01T18:00+01:00"))
    typed(qtbot, made.value, "1.050")
    typed(qtbot, made.when, "1 Dec")
    qtbot.keyClick(made.when, Qt.Key.Key_Return)
    assert "1 Dec 2026 is still to come" in made.when.problem_text
    typed(qtbot, made.when, "1 Dec 2026")
    qtbot.keyClick(made.when, Qt.Key.Key_Return)
    assert last(made).at.startswith("2026-12-01T12:00")


def test_that_the_button_adds_too(form, qtbot):
    made = form()
    typed(qtbot, made.when, "day 24")
    typed(qtbot, made.value, "1039")
    qtbot.mouseClick(made.add_button, Qt.MouseButton.LeftButton)
    assert last(made) == HydrometerReading(gravity=1.039, day=24.0)


def test_that_numbers_are_read_in_the_readers_habits(form, qtbot):
    made = form(display=replace(ENGLISH, system=System.US, gravity_scale=GravityScale.BRIX))
    typed(qtbot, made.value, "20")
    typed(qtbot, made.temperature, "68")
    qtbot.keyClick(made.temperature, Qt.Key.Key_Return)
    assert last(made).gravity == pytest.approx(1.0829, abs=1e-4)  # 20 °Bx, ICUMSA SPS-4 by way of planner.model
    assert last(made).temperature == pytest.approx(293.15)


@pytest.mark.parametrize(
    ("field", "text", "told"),
    [
        ("value", "abc", "Enter a gravity"),
        ("value", "20", "°Bx"),
        ("when", "soon", "not a moment known"),
        ("temperature", "12 kg", "Enter a temperature"),
        ("temperature", "900", "−10\u00a0°C to 60\u00a0°C"),
    ],
)
def test_that_what_cannot_be_read_keeps_the_line_and_says_why(form, qtbot, field, text, told):
    made = form()
    typed(qtbot, made.value, "1.039")
    wrong = getattr(made, field)
    typed(qtbot, wrong, text)
    qtbot.keyClick(wrong, Qt.Key.Key_Return)
    assert told in wrong.problem_text
    assert wrong.text() == text
    assert made.store.batch == fermenting.stopped()
    assert not made.add()
    assert wrong.hasFocus()


def test_that_an_empty_line_asks_for_a_gravity(form, qtbot):
    made = form()
    qtbot.keyClick(made.note, Qt.Key.Key_Return)
    assert "1.050" in made.value.problem_text
    assert made.value.hasFocus()
    qtbot.keyClicks(made.value, "1")
    assert made.value.problem_text == ""


def test_that_a_log_in_days_without_a_date_asks_for_the_day(form, qtbot):
    made = form(fermenting.logged(1.100, 1.080, pitched_at=None))
    assert "day" in made.when.placeholderText()
    typed(qtbot, made.value, "1.060")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert "counts in days" in made.when.problem_text
    assert made.when.hasFocus()
    typed(qtbot, made.when, "4")
    qtbot.keyClick(made.when, Qt.Key.Key_Return)
    assert last(made) == HydrometerReading(gravity=1.06, day=4.0)


def test_that_the_first_reading_of_an_undated_log_is_taken_now(form, qtbot):
    made = form(fermenting.planned())
    typed(qtbot, made.value, "1.100")
    qtbot.keyClick(made.value, Qt.Key.Key_Return)
    assert last(made).at == "2026-11-25T11:08+01:00"


def test_that_pitching_is_dated_by_one_click(form, qtbot):
    made = form(fermenting.planned())
    assert made.pitched_now.isVisible()
    qtbot.mouseClick(made.pitched_now, Qt.MouseButton.LeftButton)
    assert made.store.batch.log.pitched_at == "2026-11-25T11:08+01:00"
    assert not made.pitched_now.isVisible()
    assert made.pitched.text() == "25 Nov 2026 11:08"
    made.store.undo_stack.undo()
    assert made.pitched.text() == ""


def test_that_pitching_is_dated_by_typing_and_undated_by_emptying(form, qtbot):
    made = form(fermenting.planned())
    typed(qtbot, made.pitched, "2026-11-01 09:00+01:00")
    qtbot.keyClick(made.pitched, Qt.Key.Key_Return)
    assert made.store.batch.log.pitched_at == "2026-11-01T09:00+01:00"
    typed(qtbot, made.pitched, "12")
    qtbot.keyClick(made.pitched, Qt.Key.Key_Return)
    assert "day 0" in made.pitched.problem_text
    made.pitched.clear()
    qtbot.keyClick(made.pitched, Qt.Key.Key_Return)
    assert made.store.batch.log.pitched_at is None


def test_that_a_shown_moment_of_pitching_keeps_its_offset_unless_it_is_edited(form, qtbot):
    made = form()
    made.pitched.setFocus()
    qtbot.keyClick(made.pitched, Qt.Key.Key_Return)
    assert made.store.batch.log.pitched_at == fermenting.PITCHED
    assert parsed(fermenting.PITCHED).strftime("%d %b %Y %H:%M") == made.pitched.text()


@pytest.mark.parametrize(
    ("name", "kelvin"), [("20 °C", 293.15), ("15 °C", 288.15), ("60 °F", (60 - 32) / 1.8 + 273.15)]
)  # by the definitions of the scales
def test_that_the_hydrometer_is_chosen_by_what_its_stem_says(form, name, kelvin):
    made = form(edits.change_log(fermenting.planned(), hydrometer=Hydrometer(calibration=291.15)))
    index = made.hydrometer.findText(name)
    made.hydrometer.setCurrentIndex(index)
    made.hydrometer.activated.emit(index)
    assert made.store.batch.log.hydrometer.calibration == pytest.approx(kelvin, abs=1e-9)


def test_that_an_unusual_hydrometer_is_shown_as_it_is(form):
    made = form(edits.change_log(fermenting.planned(), hydrometer=Hydrometer(calibration=290.65)))
    assert made.hydrometer.currentText() == "17.5\u00a0°C"


def test_that_sixty_fahrenheit_is_known_with_fewer_digits(form):
    made = form(edits.change_log(fermenting.planned(), hydrometer=Hydrometer(calibration=288.71)))
    assert made.hydrometer.currentText() == "60 °F"


def test_that_placeholders_give_examples_on_the_readers_scale(form):
    made = form()
    assert made.value.placeholderText() == "1.050"
    made.set_display(replace(ENGLISH, system=System.US, gravity_scale=GravityScale.BRIX))
    assert "°Bx" in made.value.placeholderText()
    assert made.temperature.placeholderText() == "°F"


def test_that_every_field_has_a_name_and_a_turn(form):
    made = form()
    fields = (made.when, made.value, made.temperature, made.note, made.add_button, made.pitched, made.hydrometer)
    assert all(field.accessibleName() or field.text() for field in fields)
    chain, widget = [], made.when
    while widget is not made or not chain:
        if widget in fields:
            chain.append(widget)
        widget = widget.nextInFocusChain()
        if widget is made.when:
            break
    assert tuple(chain) == fields


def test_that_what_is_asked_of_the_instrument_goes_with_what_is_entered(form):
    made = form(edits.add_readings(fermenting.stopped(), RefractometerReading(brix=12.0, day=21.0)))
    assert made.hydrometer.isVisible()  # as typed is most often a hydrometer, also where drops were read before
    assert not made.refractometer.isVisible()
    for kind, hydrometer, refractometer in (("refractometer", False, True), ("sugar", False, False)):
        made.kind.show_key(kind)
        made.kind.chosen.emit(kind)
        assert (made.hydrometer.isVisible(), made.refractometer.isVisible()) == (hydrometer, refractometer)


@pytest.mark.parametrize("larger", [1.0, 1.5])
def test_that_the_moment_of_pitching_is_not_cut_whatever_the_size_of_text(qtbot, qapp, larger):
    was, font = qapp.font(), qapp.font()
    font.setPointSizeF(was.pointSizeF() * larger)
    qapp.setFont(font)
    try:
        for name in ("en_GB", "de_DE", "fr_FR"):
            made = ReadingForm(BatchStore(fermenting.stopped()), Display(locale=QLocale(name)))
            qtbot.addWidget(made)
            made.pitched.show_value("2026-11-30T20:00+01:00")
            assert made.pitched.fontMetrics().horizontalAdvance(made.pitched.text()) < made.pitched.width() - 8
    finally:
        qapp.setFont(was)
