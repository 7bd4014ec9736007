"""Parts that do not fit beside one another go to the next line; nothing is laid over anything."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QRect
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QVBoxLayout, QWidget

from planner.ui.widgets.flow import Flow


@pytest.fixture
def flow(qtbot):
    window = QWidget()
    made = Flow()
    made.around = window  # else it would go, and all in it
    made.parts = [QLabel("Pitched"), QLabel("30 Nov 2026 20:00"), QLabel("With"), QLineEdit(), QLabel("made for 20 °C")]
    pitched, when, with_, instrument, made_for = made.parts
    made.add(pitched, when)
    made.add(with_, instrument, growing=instrument)
    made.add(made_for)
    column = QVBoxLayout(window)
    column.addWidget(made)
    column.addStretch(1)
    qtbot.addWidget(window)
    window.show()
    return made


def widen(flow, width):
    margins = flow.window().layout().contentsMargins()
    flow.window().resize(width + margins.left() + margins.right(), 400)
    QApplication.processEvents()


def places(flow):
    return [QRect(part.pos(), part.size()) for part in flow.parts if not part.isHidden()]


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8, 1.0, 1.5])
def test_that_no_part_leaves_the_flow_or_covers_another(flow, share):
    widen(flow, max(int(share * flow.sizeHint().width()), flow.minimumSizeHint().width()))
    assert flow.height() == flow.heightForWidth(flow.width())
    for place in places(flow):
        assert flow.rect().contains(place)
    for n, place in enumerate(places(flow)):
        assert not any(place.intersects(other) for other in places(flow)[n + 1 :])


def test_that_what_is_wide_enough_stands_on_one_line_and_fills_it(flow):
    widen(flow, 2 * flow.sizeHint().width())
    assert max(place.right() for place in places(flow)) == flow.rect().right()
    assert len({place.center().y() for place in places(flow)}) <= 2  # halves of pixels
    assert flow.parts[3].width() > flow.sizeHint().width() // 2


def test_that_a_caption_stays_with_its_field(flow):
    widen(flow, flow.minimumSizeHint().width())
    pitched, when, with_, instrument, _ = flow.parts
    assert abs(pitched.geometry().center().y() - when.geometry().center().y()) <= 1
    assert abs(with_.geometry().center().y() - instrument.geometry().center().y()) <= 1
    assert with_.y() > when.geometry().bottom()


def test_that_a_hidden_part_takes_no_room(flow, qtbot):
    widen(flow, flow.minimumSizeHint().width())
    before = flow.height()
    for part in flow.parts[:2]:
        part.hide()
    qtbot.waitUntil(lambda: flow.height() < before)
