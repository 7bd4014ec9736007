"""Findings are told in the reader's units, with a mark for their level that does not rest on colour."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.widgets.remarks import Mark, Remark, Remarks, in_words, of_place, under
from planner.units import GravityScale, System
from planner.wording import phrases
from planner.wording.finding import Level, error, note, warning

LONG = (
    "The kernels of stone fruit release cyanide when they are broken. Leave stones whole or take them out, and do not "
    "leave the mead on stones for months."
)


@pytest.fixture
def remarks(qtbot):
    made = Remarks(Display())
    qtbot.addWidget(made)
    return made


def test_that_figures_follow_the_reader():
    said = phrases.say("Heat {} to {}.", phrases.mass(0.45359237), phrases.temperature(293.15))
    assert in_words(said, Display()) == "Heat 454\u00a0g to 20\u00a0°C."
    # NIST Handbook 44, appendix C: 0.453 592 37 kg is a pound; 20 °C is 68 °F by definition.
    assert in_words(said, Display(system=System.US)) == "Heat 1\u00a0lb to 68\u00a0°F."


def test_that_gravities_follow_the_scale():
    said = phrases.say("It stands at {}.", phrases.gravity(1.0))
    assert in_words(said, Display()) == "It stands at 1.000."
    assert in_words(said, Display(gravity_scale=GravityScale.BRIX)) == "It stands at 0.0\u00a0°Bx."


def test_that_places_are_matched_whole():
    first, second, tenth = note("recipe.fruits.1", "a"), note("recipe.fruits", "b"), note("recipe.fruits.10", "c")
    assert of_place((first, second, tenth), "recipe.fruits.1") == (first,)
    assert under((first, second, tenth), "recipe.fruits") == (first, second, tenth)
    assert under((first, second, tenth), "recipe.fruits.1") == (first,)


def test_that_without_findings_they_take_no_room(remarks):
    remarks.show()
    remarks.show_findings((warning("recipe", "Doubtful."),))
    assert remarks.isVisible()
    remarks.show_findings(())
    assert not remarks.isVisible()
    assert remarks.texts() == []


def test_that_a_long_note_shows_its_first_sentence_until_more_is_asked_for(remarks):
    remarks.show_findings((note("recipe", LONG),))
    label = remarks.findChild(QLabel)
    assert "Leave stones whole" not in label.text()
    assert "The kernels" in label.text()
    label.linkActivated.emit("#")
    assert "Leave stones whole" in label.text()
    label.linkActivated.emit("#")
    assert "Leave stones whole" not in label.text()
    assert remarks.texts() == [LONG]


@pytest.mark.parametrize("finding", [warning("recipe", LONG), error("recipe", LONG)])
def test_that_a_warning_is_never_folded(remarks, finding):
    remarks.show_findings((finding,))
    assert remarks.findChild(QLabel).text() == LONG


def test_that_a_note_that_was_opened_stays_open_when_it_comes_again(remarks):
    remarks.show_findings((note("recipe", LONG),))
    label = remarks.findChild(QLabel)
    label.linkActivated.emit("#")
    remarks.show_findings((note("recipe", LONG), note("recipe", "Another.")))
    assert "Leave stones whole" in label.text()


def test_that_text_is_text_and_no_markup(remarks):
    remarks.show_findings((note("recipe", "More than <b>20</b> & less."),))
    assert remarks.findChild(QLabel).text() == "More than &lt;b&gt;20&lt;/b&gt; &amp; less."


def test_that_the_level_is_told_to_those_who_do_not_see_the_mark(remarks):
    remarks.show_findings((warning("recipe", "Doubtful."),))
    assert remarks.findChild(QLabel).accessibleName() == "Warning: Doubtful."


def test_that_marks_differ_in_shape_and_not_in_colour_alone(qtbot):
    def silhouette(level):
        mark = Mark(level)
        qtbot.addWidget(mark)
        mark.resize(24, 24)
        image = mark.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
        ground = image.pixelColor(0, 0).lightness()
        return frozenset(
            (x, y) for x in range(24) for y in range(24) if abs(image.pixelColor(x, y).lightness() - ground) > 30
        )

    assert len({silhouette(level) for level in Level}) == 3
    assert all(silhouette(level) for level in Level)


def test_that_tab_goes_past_the_links_of_notes_which_unfold_by_themselves_when_found(qtbot):
    window, first, last = QWidget(), QLineEdit(), QLineEdit()
    remarks = Remarks(Display())
    column = QVBoxLayout(window)
    for part in (first, remarks, last):
        column.addWidget(part)
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
    remarks.show_findings((note("recipe", "Short."), note("recipe", LONG)))
    first.setFocus()
    qtbot.keyClick(first, Qt.Key.Key_Tab)
    assert window.focusWidget() is last
    short, long = remarks.findChildren(Remark)
    assert (short.is_folded, long.is_folded) == (False, True)
    long.unfold()
    assert LONG in long.findChild(QLabel).text()


def test_that_a_note_whose_link_has_the_focus_is_edged(qtbot):
    window, other = QWidget(), QLineEdit()
    remarks = Remarks(Display())
    column = QVBoxLayout(window)
    column.addWidget(other)
    column.addWidget(remarks)
    qtbot.addWidget(window)
    remarks.show_findings((note("recipe", LONG),))
    with qtbot.waitActive(window):
        window.show()
    other.setFocus()
    label = remarks.findChild(QLabel)
    before = label.grab().toImage()
    label.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(label.hasFocus)
    after = label.grab().toImage()
    middle = after.width() // 2
    assert after.pixelColor(middle, 0) != before.pixelColor(middle, 0)
