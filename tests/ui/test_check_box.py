"""A box to tick shows its edge, its tick and the pointer in both themes, and is as large as it needs."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt

from planner.ui import theme
from planner.ui.widgets.check_box import CheckBox


@pytest.fixture(params=[False, True], ids=["light", "dark"])
def box(qtbot, request):
    made = CheckBox("Frozen and thawed")
    made.setPalette(theme.palette(request.param))
    qtbot.addWidget(made)
    made.resize(made.sizeHint())
    return made


@pytest.fixture
def tones(box):
    return theme.colours_on(box.palette())


def shades(box, beside=0):
    """The colours of the box itself, or of its words."""
    image = box.grab().toImage()
    columns = range(14) if not beside else range(20, image.width())
    return {image.pixelColor(x, y).name() for x in columns for y in range(image.height())}


def test_that_an_empty_box_can_be_seen(box, tones):
    # WCAG 2.1, criterion 1.4.11: three to one for what shows a control.
    assert tones.edge in shades(box)
    assert theme.contrast(tones.edge, tones.base) >= 3.0


def test_that_a_tick_is_drawn_where_it_is_ticked(box, tones):
    assert tones.text not in shades(box)
    box.click()
    assert tones.text in shades(box)
    box.click()
    assert tones.text not in shades(box)


def test_that_a_tick_that_cannot_be_changed_is_dim(box, tones):
    box.setChecked(True)
    box.setEnabled(False)
    assert tones.dim in shades(box)
    assert tones.text not in shades(box)


def test_that_the_box_under_the_pointer_is_edged_with_the_accent(box, tones, qtbot):
    with qtbot.waitExposed(box):
        box.show()
    qtbot.mouseMove(box, QPoint(7, 7))
    qtbot.waitUntil(lambda: tones.accent in shades(box))


@pytest.mark.parametrize("place", [(7, 7), (60, 7)], ids=["box", "words"])
def test_that_a_click_on_box_or_words_ticks_it(box, qtbot, place):
    qtbot.mouseClick(box, Qt.MouseButton.LeftButton, pos=QPoint(*place))
    assert box.isChecked()


def test_that_its_words_have_room(box):
    before = box.sizeHint().width()
    box.setText("Frozen and thawed, and then some")
    needed = box.fontMetrics().horizontalAdvance(box.text())
    assert box.sizeHint().width() >= needed + 14
    assert box.sizeHint().width() > before


def test_that_its_words_go_on_in_a_second_line_where_there_is_little_room(box, tones):
    box.setText("Weighed without caps, stems and spoiled berries")
    whole = box.sizeHint()
    assert box.minimumSizeHint().width() < whole.width() / 2
    assert box.heightForWidth(whole.width()) == whole.height()
    half = whole.width() * 2 // 3
    tall = box.heightForWidth(half)
    assert tall >= 2 * box.fontMetrics().height()
    box.resize(half, tall)
    image = box.grab().toImage()
    lower = {image.pixelColor(x, y).name() for x in range(20, half) for y in range(tall // 2 + 2, tall)}
    assert tones.text in lower


def test_that_a_click_far_beside_its_words_ticks_nothing(box, qtbot):
    box.resize(box.sizeHint().width() + 80, box.height())
    qtbot.mouseClick(box, Qt.MouseButton.LeftButton, pos=QPoint(box.width() - 10, 7))
    assert not box.isChecked()
