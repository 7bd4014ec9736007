"""Entering is typing: accepted, restored or refused with a reason, never altered in silence."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtCore import QLocale as Locale
from PySide6.QtGui import QAction, QImage, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QDialog, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.widgets.fields import QuantityField, TextField, accept_pending
from planner.ui.widgets.note import Note
from planner.units import Kind, System

METRIC = Display(locale=Locale("en_US"))
US = replace(METRIC, system=System.US)
GERMAN = Display(locale=Locale("de_DE"))
POUND, OUNCE, US_GALLON = 0.45359237, 0.028349523125, 3.785411784e-3  # NIST Handbook 44, appendix C


class Form(QWidget):
    """Two fields in a window, and what they said."""

    def __init__(self, first, second=None):
        super().__init__()
        self.first, self.second = first, second or QuantityField(Kind.MASS, display=METRIC)
        self.committed, self.problems = [], []
        layout = QVBoxLayout(self)
        layout.addWidget(self.first)
        layout.addWidget(self.second)
        self.first.committed.connect(self.committed.append)
        self.first.problem.connect(self.problems.append)
        self.resize(300, 200)


@pytest.fixture
def form(qtbot):
    def make(first, second=None):
        form = Form(first, second)
        qtbot.addWidget(form)
        with qtbot.waitActive(form):
            form.show()
        form.first.setFocus(Qt.FocusReason.TabFocusReason)
        qtbot.waitUntil(form.first.hasFocus)
        return form

    return make


@pytest.fixture
def mass_form(form):
    def make(si=6.4, **options):
        options = {"display": METRIC} | options
        made = form(QuantityField(Kind.MASS, **options))
        made.first.show_si(si)
        made.first.selectAll()
        return made

    return make


def typed(qtbot, field, text, key=None):
    field.selectAll()
    qtbot.keyClicks(field, text)
    if key is not None:
        qtbot.keyClick(field, key)


def shown(field):
    return field.text().replace("\u00a0", " ")


def test_that_showing_a_value_announces_nothing(mass_form):
    form = mass_form(6.4)
    assert shown(form.first) == "6.4 kg"
    assert form.first.si == 6.4
    assert not form.committed
    form.first.show_si(None)
    assert shown(form.first) == ""
    assert form.first.si is None


def test_that_enter_accepts_and_goes_on(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7 kg", Qt.Key.Key_Return)
    assert form.committed == [7.0]
    assert form.second.hasFocus()
    assert shown(form.first) == "7 kg"


def test_that_leaving_accepts(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7 kg", Qt.Key.Key_Tab)
    assert form.committed == [7.0]


def test_that_a_menu_or_another_window_is_no_leaving(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7")
    form.first.clearFocus()  # with OtherFocusReason: a real leaving
    assert form.committed == [7.0]
    form.first.setFocus()
    typed(qtbot, form.first, "8")
    for reason in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
        form.second.setFocus(reason)
        form.first.setFocus(reason)
    assert form.committed == [7.0]
    assert form.first.text() == "8"


def test_that_escape_restores_the_old_value(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7 kg", Qt.Key.Key_Escape)
    assert shown(form.first) == "6.4 kg"
    form.first.clearFocus()
    assert not form.committed


def test_that_escape_in_an_untouched_field_closes_the_dialog_around_it(qtbot):
    dialog = QDialog()
    qtbot.addWidget(dialog)
    field = QuantityField(Kind.MASS, display=METRIC)
    QVBoxLayout(dialog).addWidget(field)
    with qtbot.waitActive(dialog):
        dialog.show()
    field.setFocus()
    typed(qtbot, field, "7", Qt.Key.Key_Escape)
    assert dialog.isVisible()
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_that_an_accepted_value_that_is_the_old_one_is_not_announced(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "6.4", Qt.Key.Key_Return)
    assert not form.committed
    assert shown(form.first) == "6.4 kg"


def test_that_an_untouched_field_keeps_the_digits_it_does_not_show(mass_form, qtbot):
    form = mass_form(1.23456789)
    assert shown(form.first) == "1.2346 kg"
    qtbot.keyClick(form.first, Qt.Key.Key_Return)
    assert form.first.si == 1.23456789
    assert not form.committed


@pytest.mark.parametrize(
    ("si", "text", "expected"),
    [(0.85, "900", 0.9), (6.4, "7", 7.0), (0.85, "1.2 kg", 1.2), (6.4, "5 lb 8 oz", 5 * POUND + 8 * OUNCE)],
)
def test_that_a_bare_number_is_in_the_unit_that_the_field_shows(mass_form, qtbot, si, text, expected):
    form = mass_form(si)
    typed(qtbot, form.first, text, Qt.Key.Key_Return)
    assert form.committed == [pytest.approx(expected, rel=1e-12)]


def test_that_a_field_can_keep_to_one_unit(mass_form, qtbot):
    form = mass_form(1.5, units={System.METRIC: "g"})
    assert shown(form.first) == "1500 g"
    typed(qtbot, form.first, "20", Qt.Key.Key_Return)
    assert form.committed == [pytest.approx(0.02)]


def test_that_a_refused_text_stays_with_its_reason(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7 kilgrams", Qt.Key.Key_Return)
    assert form.first.hasFocus()
    assert form.first.text() == "7 kilgrams"
    assert form.first.si == 6.4
    assert not form.committed
    assert len(form.problems) == 1
    assert "Did you mean kg?" in form.problems[0]
    assert form.first.toolTip() == form.problems[0] == form.first.accessibleDescription()


def test_that_the_reason_is_withdrawn_when_the_text_changes(mass_form, qtbot):
    form = mass_form()
    form.first.set_hint("Honey, as weighed")
    typed(qtbot, form.first, "x", Qt.Key.Key_Return)
    assert form.first.problem_text
    qtbot.keyClick(form.first, Qt.Key.Key_Backspace)
    assert form.problems[-1] == ""
    assert form.first.toolTip() == "Honey, as weighed"


def test_that_a_note_says_the_reason_beside_the_field_while_it_has_the_focus(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "x", Qt.Key.Key_Return)
    note = form.findChild(Note)
    assert note.isVisible()
    assert note.text() == form.first.problem_text
    assert form.rect().contains(note.geometry())
    form.second.setFocus(Qt.FocusReason.MouseFocusReason)
    assert not note.isVisible()
    assert form.first.problem_text
    form.first.setFocus(Qt.FocusReason.MouseFocusReason)
    assert note.isVisible()
    qtbot.keyClick(form.first, Qt.Key.Key_Escape)
    assert not note.isVisible()


def test_that_a_note_at_the_foot_of_a_window_lies_above_its_field(form, qtbot):
    made = form(TextField(), QuantityField(Kind.MASS, display=METRIC))
    made.layout().insertStretch(0)
    made.layout().activate()
    made.second.setFocus()
    typed(qtbot, made.second, "x", Qt.Key.Key_Return)
    note = made.findChild(Note)
    assert note.geometry().bottom() < made.second.geometry().top()
    assert made.rect().contains(note.geometry())


def test_that_a_note_follows_its_field(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "x", Qt.Key.Key_Return)
    note = form.findChild(Note)
    where, before = form.first.y(), note.y() - form.first.y()
    form.layout().setContentsMargins(20, 60, 20, 0)
    form.layout().activate()
    assert note.y() - form.first.y() == before
    assert form.first.y() > where


def test_that_a_field_with_a_problem_is_outlined(mass_form, qtbot):
    form = mass_form()

    def reds():
        image = form.first.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
        colours = (image.pixelColor(x, image.height() // 2) for x in range(4))
        return max(c.red() - c.green() for c in colours)

    calm = reds()
    typed(qtbot, form.first, "x", Qt.Key.Key_Return)
    assert reds() > calm + 50


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0.5 kg", "From 1 kg to 25 kg is accepted."),
        ("26", "From 1 kg to 25 kg is accepted."),
        ("", "Enter a mass"),
    ],
)
def test_that_what_is_out_of_range_is_refused_with_the_range(mass_form, qtbot, text, said):
    form = mass_form(low=1.0, high=25.0)
    form.first.selectAll()
    qtbot.keyClick(form.first, Qt.Key.Key_Delete)
    typed(qtbot, form.first, text, Qt.Key.Key_Return)
    assert said in form.first.problem_text.replace("\u00a0", " ")
    assert form.first.si == 6.4
    assert not form.committed


def test_that_the_bounds_themselves_are_accepted(form, qtbot):
    made = form(QuantityField(Kind.VOLUME, low=1e-3, high=5 * US_GALLON, display=US))
    for text, expected in (("5 gal", 5 * US_GALLON), ("1 L", 1e-3)):
        typed(qtbot, made.first, text, Qt.Key.Key_Return)
        made.first.setFocus()
        assert made.committed[-1] == expected


def test_that_an_optional_field_may_be_emptied(mass_form, qtbot):
    form = mass_form(optional=True, placeholder="not weighed")
    form.first.selectAll()
    qtbot.keyClick(form.first, Qt.Key.Key_Delete)
    qtbot.keyClick(form.first, Qt.Key.Key_Return)
    assert form.committed == [None]
    assert form.first.placeholderText() == "not weighed"


def test_that_showing_does_not_disturb_what_is_being_typed(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7.")
    form.first.show_si(6.5)
    assert form.first.text() == "7."
    qtbot.keyClick(form.first, Qt.Key.Key_Escape)
    assert shown(form.first) == "6.5 kg"


def test_that_a_refused_text_survives_the_news_of_another_field(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7 x", Qt.Key.Key_Tab)
    form.first.show_si(6.4)
    assert form.first.text() == "7 x"
    assert form.first.problem_text
    form.first.show_si(6.5)
    assert shown(form.first) == "6.5 kg"
    assert not form.first.problem_text


def test_that_another_display_shows_the_same_value(mass_form):
    form = mass_form(14 * POUND + 2 * OUNCE)
    form.first.set_display(US)
    assert shown(form.first) == "14 lb 2 oz"
    form.first.set_display(GERMAN)
    assert shown(form.first) == "6,407 kg"
    assert not form.committed


def test_that_the_comma_locale_is_obeyed(mass_form, qtbot):
    form = mass_form(display=GERMAN)
    typed(qtbot, form.first, "2.500", Qt.Key.Key_Return)
    assert "2,500 or 2500" in form.first.problem_text
    typed(qtbot, form.first, "2,5", Qt.Key.Key_Return)
    assert form.committed == [2.5]


def test_that_arrows_step_up_and_down(mass_form, qtbot):
    form = mass_form(6.4)
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Down):
        qtbot.keyClick(form.first, key)
    assert form.committed == [pytest.approx(6.6), pytest.approx(6.4), pytest.approx(6.2)]


def test_that_shift_steps_ten_times_as_far(form, qtbot):
    made = form(QuantityField(Kind.GRAVITY, display=METRIC))
    made.first.show_si(1.08)
    qtbot.keyClick(made.first, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert made.committed == [pytest.approx(1.09)]


def test_that_what_was_typed_is_accepted_before_a_step(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7", Qt.Key.Key_Up)
    assert form.committed == [7.0, pytest.approx(7.2)]
    typed(qtbot, form.first, "x", Qt.Key.Key_Up)
    assert len(form.committed) == 2
    assert form.first.problem_text


def test_that_steps_end_at_the_range_and_say_so(mass_form, qtbot):
    form = mass_form(6.4, low=0.0, high=6.5)
    qtbot.keyClick(form.first, Qt.Key.Key_Up)
    assert form.committed == [6.5]
    qtbot.keyClick(form.first, Qt.Key.Key_Up)
    assert form.committed == [6.5]
    assert "6.5 kg" in form.first.problem_text.replace("\u00a0", " ")
    qtbot.keyClick(form.first, Qt.Key.Key_Down)
    assert not form.first.problem_text


def test_that_undo_belongs_to_the_batch_unless_something_is_being_typed(mass_form, qtbot):
    form = mass_form()
    key, control = Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier

    def claims_undo():
        event = QKeyEvent(QEvent.Type.ShortcutOverride, key, control)
        event.ignore()
        QApplication.sendEvent(form.first, event)
        return event.isAccepted()

    assert not claims_undo()
    typed(qtbot, form.first, "7")
    assert claims_undo()
    qtbot.keyClick(form.first, Qt.Key.Key_Return)
    assert not claims_undo()


def test_that_the_undo_action_of_the_window_works_inside_a_field(mass_form, qtbot):
    form = mass_form()
    action = QAction(form)
    action.setCheckable(True)  # so that it shows whether it was triggered
    action.setShortcut("Ctrl+Z")
    form.addAction(action)
    qtbot.keyClick(form.first, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert action.isChecked()


def test_that_a_save_takes_what_is_being_typed(mass_form, qtbot):
    form = mass_form()
    typed(qtbot, form.first, "7")
    assert accept_pending()
    assert form.committed == [7.0]
    typed(qtbot, form.first, "x")
    assert not accept_pending()
    qtbot.keyClick(form.first, Qt.Key.Key_Escape)
    assert accept_pending()


def test_that_a_text_field_trims_and_announces(form, qtbot):
    made = form(TextField())
    made.first.show_text("Bramble")
    assert not made.committed
    typed(qtbot, made.first, " Sloe and plum ", Qt.Key.Key_Return)
    assert made.committed == ["Sloe and plum"]
    assert made.first.text() == "Sloe and plum"


def test_that_the_wheel_leaves_numbers_alone(mass_form, qtbot):
    form = mass_form()
    middle = QPointF(form.first.rect().center())
    turn, none = QPoint(0, -120), Qt.ScrollPhase.NoScrollPhase
    button, key = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
    wheel = QWheelEvent(middle, form.first.mapToGlobal(middle), turn, turn, button, key, none, False)
    QApplication.sendEvent(form.first, wheel)
    assert shown(form.first) == "6.4 kg"
    assert not form.committed
