"""Where there is no room for all panes, those that are not at work fold, and come back when there is."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QScrollArea, QSplitter

from planner.ui.shell.folding import FoldingPane
from planner.ui.shell.making_room import MakingRoom

NAMES = ("recipe", "curve", "adjustment")
WIDE, MIDDLE, NARROW = 1400, 900, 500


class Room(QScrollArea):
    """Three panes that want 400 pixels each, whatever the letters."""

    def __init__(self):
        super().__init__()
        splitter = QSplitter(Qt.Orientation.Horizontal)
        self.panes = {name: FoldingPane(name.title(), quiet=0) for name in NAMES}
        for pane in self.panes.values():
            pane.content = QLineEdit()
            pane.content.setMinimumWidth(400)
            pane.put_in(pane.content)
            splitter.addWidget(pane)
        self.setWidgetResizable(True)
        self.setWidget(splitter)
        self.making = MakingRoom(self, splitter, self.panes)

    @property
    def open(self):
        return {name for name, pane in self.panes.items() if not pane.is_folded}


@pytest.fixture
def room(qtbot):
    made = Room()
    qtbot.addWidget(made)
    made.resize(WIDE, 300)
    with qtbot.waitActive(made):
        made.show()
    made.making.begin()
    yield made
    made.making.end()


def test_that_all_panes_are_open_where_there_is_room(room):
    assert room.open == set(NAMES)


@pytest.mark.parametrize(
    ("stage", "two", "one"),
    [
        ("plan", {"recipe", "curve"}, {"recipe"}),
        ("ferment", {"curve", "recipe"}, {"curve"}),
        ("adjust", {"adjustment", "curve"}, {"adjustment"}),
    ],
)
def test_that_the_pane_at_work_stays_and_the_others_come_back(room, stage, two, one):
    room.making.expect_stage()
    room.making.show_stage(stage)
    for width, expected in ((MIDDLE, two), (NARROW, one), (MIDDLE, two), (WIDE, set(NAMES))):
        room.resize(width, 300)
        assert room.open == expected
        assert room.horizontalScrollBar().maximum() == 0


def test_that_what_is_opened_by_hand_takes_the_place_of_what_was_used_longest_ago(room):
    room.resize(MIDDLE, 300)
    room.making.expect_stage()
    room.making.show_stage("ferment")
    room.panes["adjustment"].unfold()
    assert room.open == {"adjustment", "curve"}
    room.panes["recipe"].unfold()
    assert room.open == {"adjustment", "recipe"}


def test_that_what_is_folded_by_hand_stays_so_and_makes_room_for_another(room):
    room.resize(MIDDLE, 300)
    room.making.expect_stage()
    room.making.show_stage("ferment")
    room.panes["recipe"].fold()
    assert room.open == {"curve", "adjustment"}
    room.resize(WIDE, 300)
    assert room.open == {"curve", "adjustment"}
    assert room.making.by_hand == {"recipe"}


def test_that_the_pane_with_the_focus_is_the_last_to_fold(room):
    room.panes["adjustment"].content.setFocus()
    room.resize(NARROW, 300)
    assert room.open == {"adjustment"}


def test_that_one_pane_stays_open_whatever_is_folded(room):
    for name in NAMES:
        room.panes[name].fold()
    assert len(room.open) == 1


def test_that_a_longer_number_makes_room_for_itself_and_a_shorter_one_moves_nothing(room, qtbot):
    room.resize(2 * 400 + 150, 300)
    room.making.expect_stage()
    room.making.show_stage("ferment")
    assert room.open == {"curve", "recipe"}
    room.panes["curve"].content.setMinimumWidth(600)
    qtbot.waitUntil(lambda: room.open == {"curve"})
    room.panes["curve"].content.setMinimumWidth(400)
    qtbot.wait(20)
    assert room.open == {"curve"}
    room.resize(2 * 400 + 160, 300)
    assert room.open == {"curve", "recipe"}


def test_that_the_curve_stays_until_the_window_is_whole(qtbot):
    made = Room()
    qtbot.addWidget(made)
    made.making.show_stage("adjust")
    made.resize(NARROW, 300)
    with qtbot.waitExposed(made):
        made.show()
    assert made.open == {"curve"}
    made.making.begin()
    assert made.open == {"adjustment"}
    made.making.end()


@pytest.mark.parametrize(("stage", "sheet"), [("plan", "recipe"), ("ferment", "curve"), ("adjust", "adjustment")])
def test_that_the_pane_of_the_stage_is_the_only_sheet_and_the_widest(room, stage, sheet):
    told = []
    room.making.sheet_changed.connect(told.append)
    room.making.expect_stage()
    room.making.show_stage(stage)
    assert [name for name, pane in room.panes.items() if pane.is_sheet] == [sheet]
    assert told == [sheet]
    sizes = dict(zip(NAMES, room.widget().sizes(), strict=True))
    assert sizes[sheet] == max(sizes.values())


def test_that_where_the_pane_of_the_stage_is_folded_the_next_one_is_the_sheet(room):
    room.making.expect_stage()
    room.making.show_stage("ferment")
    room.panes["curve"].fold()
    assert room.making.sheet == "recipe"
    room.panes["curve"].unfold()
    assert room.making.sheet == "curve"


def test_that_the_sheet_moves_with_the_stage_of_the_same_batch(room):
    room.making.expect_stage()
    for stage, sheet in (("plan", "recipe"), ("ferment", "curve"), ("adjust", "adjustment")):
        room.making.show_stage(stage)
        assert room.making.sheet == sheet


def test_that_another_batch_of_the_same_stage_moves_nothing(room):
    room.making.expect_stage()
    room.making.show_stage("ferment")
    room.widget().setSizes([450, 500, 440])
    before = room.widget().sizes()
    room.making.expect_stage()
    room.making.show_stage("ferment")
    assert room.widget().sizes() == before
