"""A choice among many: found by typing, never guessed, and restored by Escape."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from planner.ui import theme
from planner.ui.widgets.note import Note
from planner.ui.widgets.search_field import SearchField

# A list that pops up is a window of its own, which the offscreen platform can neither raise nor give the keyboard.
opens_a_list = pytest.mark.qt_log_ignore("does not support raise", "does not support grabbing the keyboard")

FRUITS = [
    ("blackberry", "Blackberry"),
    ("blackcurrant", "Blackcurrant"),
    ("grape", "Grape, table"),
    ("sour", "Sour cherry"),
    ("sweet", "Sweet cherry"),
    ("wine-grape", "Grape, wine"),
]


class Form(QWidget):
    """The field, another one to go to, and what was chosen."""

    def __init__(self):
        super().__init__()
        self.field, self.other, self.chosen = SearchField(FRUITS, "Add fruit"), QLineEdit(), []
        layout = QVBoxLayout(self)
        layout.addWidget(self.field)
        layout.addWidget(self.other)
        self.field.chosen.connect(self.chosen.append)


@pytest.fixture
def form(qtbot):
    form = Form()
    qtbot.addWidget(form)
    with qtbot.waitActive(form):
        form.show()
    form.field.setFocus()
    qtbot.waitUntil(form.field.hasFocus)
    yield form
    form.field.completer().popup().hide()


def popup(form, qtbot):
    found = form.field.completer().popup()
    qtbot.waitUntil(found.isVisible)
    return found


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("sour", "sour"),
        ("BLACKCURRANT", "blackcurrant"),
        ("black currant", "blackcurrant"),
        ("currant", "blackcurrant"),
        ("wine grape", "wine-grape"),
        ("cherry sweet", "sweet"),
        ("grape, table", "grape"),
    ],
)
def test_that_a_part_of_a_name_or_its_words_in_any_order_are_enough(form, typed, key):
    form.field.setEditText(typed)
    assert form.field.accept()
    assert form.chosen == [key]
    assert form.field.key == key


def test_that_what_fits_several_names_is_refused_with_those_names(form):
    form.field.setEditText("cherry")
    assert not form.field.accept()
    assert not form.chosen
    assert form.field.problem_text == "“cherry” fits Sour cherry and Sweet cherry. Choose one of them."
    assert form.findChild(Note).isVisible()


def test_that_a_name_that_is_not_there_is_refused_with_the_nearest_ones(form):
    form.field.setEditText("Blakberry")
    assert not form.field.accept()
    assert "Did you mean Blackberry" in form.field.problem_text
    form.field.setEditText("zzz")
    assert not form.field.accept()
    assert "is not on the shelf" in form.field.problem_text


def test_that_escape_restores_the_choice_and_takes_the_problem_away(form, qtbot):
    form.field.show_key("sour")
    form.field.setEditText("zzz")
    assert not form.field.accept()
    qtbot.keyClick(form.field, Qt.Key.Key_Escape)
    assert form.field.currentText() == "Sour cherry"
    assert form.field.problem_text == ""
    assert not form.findChild(Note).isVisible()


@opens_a_list
def test_that_typing_narrows_a_list_and_enter_takes_what_is_marked_in_it(form, qtbot):
    qtbot.keyClicks(form.field, "che")
    shown = popup(form, qtbot)
    assert [shown.model().index(i, 0).data() for i in range(shown.model().rowCount())] == [
        "Sour cherry",
        "Sweet cherry",
    ]
    qtbot.keyClick(shown, Qt.Key.Key_Down)
    qtbot.keyClick(shown, Qt.Key.Key_Down)
    qtbot.keyClick(shown, Qt.Key.Key_Return)
    assert form.chosen == ["sweet"]


@opens_a_list
def test_that_enter_keeps_a_list_of_several_open_and_marks_the_first(form, qtbot):
    qtbot.keyClicks(form.field, "che")
    shown = popup(form, qtbot)
    qtbot.keyClick(form.field, Qt.Key.Key_Return)
    assert shown.isVisible()
    assert shown.currentIndex().data() == "Sour cherry"
    assert not form.chosen
    assert form.field.problem_text == ""
    qtbot.keyClick(shown, Qt.Key.Key_Return)
    assert form.chosen == ["sour"]


def test_that_the_only_name_that_begins_so_goes_before_those_that_hold_it(form):
    form.field.set_choices([("light", "Light blossom honey"), ("blossom", "Blossom honey"), ("lime", "Lime honey")])
    form.field.setEditText("blos")
    assert form.field.accept()
    assert form.chosen == ["blossom"]
    form.field.setEditText("li")  # two begin so
    assert not form.field.accept()


def test_that_enter_goes_on_to_the_next_field(form, qtbot):
    form.field.setEditText("sour")
    qtbot.keyClick(form.field, Qt.Key.Key_Return)
    qtbot.waitUntil(form.other.hasFocus)


def test_that_leaving_accepts_what_is_clear(form, qtbot):
    form.field.setEditText("sour")
    form.other.setFocus()
    qtbot.waitUntil(form.other.hasFocus)
    assert form.chosen == ["sour"]


def test_that_an_emptied_field_keeps_its_choice(form):
    form.field.show_key("sour")
    form.field.setEditText("")
    assert form.field.accept()
    assert form.field.currentText() == "Sour cherry"
    assert not form.chosen


def test_that_showing_a_choice_announces_nothing_and_no_choice_shows_the_prompt(form):
    form.field.show_key("sour")
    form.field.show_key(None)
    assert form.field.currentText() == ""
    assert form.field.lineEdit().placeholderText() == "Add fruit"
    assert not form.chosen


def test_that_a_key_that_is_not_offered_is_shown_as_it_is(form):
    form.field.show_key("moon-fruit")
    assert form.field.currentText() == "moon-fruit"
    assert not form.field.is_pending


@opens_a_list
def test_that_neither_wheel_nor_arrow_keys_change_the_choice(form, qtbot):
    form.field.show_key("sour")
    middle = QPointF(form.field.rect().center())
    none = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False
    wheel = QWheelEvent(middle, form.field.mapToGlobal(middle), QPoint(0, -120), QPoint(0, -120), *none)
    QApplication.sendEvent(form.field, wheel)
    assert not wheel.isAccepted()
    qtbot.keyClick(form.field, Qt.Key.Key_Down)
    assert form.field.view().isVisible()
    form.field.hidePopup()
    assert form.field.key == "sour"
    assert not form.chosen


def test_that_a_refused_name_is_marked_also_after_the_field_was_left(form, qtbot):
    def has_red_edge():
        image = form.field.grab().toImage()
        return image.pixelColor(image.width() // 2, 1) == QColor(theme.colours_on(form.field.palette()).problem)

    assert not has_red_edge()
    qtbot.keyClicks(form.field, "moonberry")
    form.other.setFocus()
    assert form.field.problem_text
    assert has_red_edge()
    form.field.restore()
    assert not has_red_edge()
