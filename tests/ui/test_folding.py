"""A side pane folds to a strip, and what it leaves goes to the pane beside it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSplitter

from planner.ui import theme
from planner.ui.shell.folding import FoldingPane


@pytest.fixture
def parts(qtbot):
    splitter = QSplitter(Qt.Orientation.Horizontal)
    left, middle, right = FoldingPane("Left"), QLabel("Middle"), FoldingPane("Right")
    middle.setMinimumWidth(200)
    for part in (left, middle, right):
        splitter.addWidget(part)
    splitter.setStretchFactor(1, 1)
    splitter.setSizes([350, 600, 330])
    splitter.resize(1280, 600)
    qtbot.addWidget(splitter)
    with qtbot.waitExposed(splitter):
        splitter.show()
    splitter.setSizes([360, 580, 320])
    return splitter, left, right


def test_that_the_neighbour_takes_the_room_of_a_folded_pane_and_gives_it_back(qtbot, parts):
    splitter, left, right = parts
    before, whole = splitter.sizes(), sum(splitter.sizes())
    left.fold()
    right.fold()
    qtbot.waitUntil(lambda: splitter.widget(1).width() == splitter.sizes()[1])
    strips = splitter.sizes()[0] + splitter.sizes()[2]
    assert strips < 80
    assert splitter.sizes()[1] == whole - strips
    right.unfold()
    left.unfold()
    assert splitter.sizes() == before


def test_that_a_pane_can_be_drawn_wider_again_after_it_was_folded(parts):
    splitter, left, _ = parts
    left.fold()
    left.unfold()
    splitter.setSizes([450, 490, 320])
    assert splitter.sizes()[0] == 450


def test_that_the_sheet_is_drawn_on_its_own_ground_without_moving_anything(qtbot, qapp):
    was = qapp.palette()
    pane = FoldingPane("Curve")
    pane.put_in(QLabel("content"))
    qtbot.addWidget(pane)
    pane.resize(300, 200)
    with qtbot.waitExposed(pane):
        pane.show()
    for dark in (False, True):
        theme.apply(qapp, dark)
        tones, places = theme.colours(dark), []
        for is_sheet in (True, False):
            pane.set_sheet(is_sheet)
            image = pane.grab().toImage()
            seen = [image.pixelColor(x, y).name() for x, y in ((150, 1), (0, 100), (150, 190))]
            if is_sheet:
                assert seen == [tones.accent, tones.edge, tones.sheet]
            else:
                assert seen == 3 * [tones.window]
            places.append([part.geometry() for part in pane.findChildren(QLabel)])
        assert places[0] == places[1]
    qapp.setPalette(was)
