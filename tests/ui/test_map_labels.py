"""Labels of the map: beside their marks, inside the frame, and on nothing else while there is room."""

from __future__ import annotations

from itertools import combinations

import pytest
from adjust_bench import METRIC
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFont, QFontMetrics

from planner.ui.adjust.map_labels import Mark, arranged
from planner.ui.adjust.sweet_sharp_map import Place, Role, SweetSharpMap

FRAME = QRectF(40.0, 10.0, 300.0, 220.0)
TEXTS = (("after", "11.6 % vol", "2.04 mPa·s"), ("after",))

places = st.builds(
    Mark,
    st.builds(QPointF, st.floats(40.0, 340.0), st.floats(10.0, 230.0)),
    st.floats(4.0, 16.0),
    st.just(TEXTS),
    st.booleans(),
)


@pytest.fixture(scope="module")
def metrics(qapp):
    return QFontMetrics(QFont(qapp.font()))


def overlapping(rooms):
    return [(one, other) for one, other in combinations(rooms, 2) if one.intersects(other)]


@given(marks=st.lists(places, max_size=8))
def test_that_every_mark_has_a_label_inside_the_frame(metrics, marks):
    found = arranged(marks, FRAME, metrics)
    assert len(found) == len(marks)
    for label in found:
        assert FRAME.adjusted(-1e-6, -1e-6, 1e-6, 1e-6).contains(label.room)
        assert label.lines in TEXTS


@given(mark=places)
def test_that_a_mark_alone_tells_all_and_stands_clear_of_its_label(metrics, mark):
    (label,) = arranged([mark], FRAME, metrics)
    assert label.lines == TEXTS[0]
    assert not label.room.intersects(mark.room)


def test_that_marks_on_a_line_have_labels_that_do_not_touch(metrics):
    marks = [Mark(QPointF(120.0, 60.0 + 40.0 * n), 10.0, TEXTS, leftwards=n % 2 == 0) for n in range(4)]
    rooms = [label.room for label in arranged(marks, FRAME, metrics)]
    assert not overlapping(rooms)
    assert not [room for room in rooms for mark in marks if room.intersects(mark.room)]


def test_that_a_crowded_map_can_be_read(qtbot):
    shown = SweetSharpMap(METRIC)
    qtbot.addWidget(shown)
    shown.resize(340, 250)
    sweet = {Role.BEFORE: 8.0, Role.NOW: 19.0, Role.AFTER: 35.0}
    told = [Place(role, role.name.lower(), 11.0 - 0.01 * value, value, 1.6e-3, 0.12) for role, value in sweet.items()]
    told += [Place(Role.GLASS, str(n), 11.1 - 0.1 * n, 10.0 + 5.0 * n, 1.7e-3, 0.118) for n in range(2, 6)]
    told += [Place(Role.EARLIER, "Hedge Blackcurrant", 13.5, 30.0, 1.8e-3, 0.144)]
    shown.show_places(told)
    found = shown.labels()
    assert {place.name for place, _ in found} == {place.name for place in told}
    assert not overlapping([label.room for _, label in found])


def test_that_a_place_on_the_map_means_a_taste_whatever_it_is_compared_with(qtbot):
    made = SweetSharpMap(METRIC)
    qtbot.addWidget(made)
    made.resize(300, 250)
    sour = Place(Role.BEFORE, "now", 17.0, 2.0, 1.5e-3, 0.12)
    made.show_places([sour])
    alone = made.at(sour)
    made.show_places([sour, Place(Role.EARLIER, "last year", 6.0, 30.0, 1.8e-3, 0.12)])
    assert made.at(sour) == alone
    # The sour corner: the last tenth of the width, and the lowest of the height.
    frame = made._frame()
    assert alone.x() > frame.left() + 0.9 * frame.width()
    assert alone.y() > frame.bottom() - 0.1 * frame.height()
    balanced = made.at(Place(Role.EARLIER, "last year", 6.0, 30.0, 1.8e-3, 0.12))
    assert balanced.x() < frame.left() + 0.4 * frame.width()


@given(acid=st.floats(0.0, 60.0), sweetness=st.floats(0.0, 400.0))
def test_that_every_mead_lies_on_the_map(qapp, acid, sweetness):
    made = SweetSharpMap(METRIC)
    made.resize(300, 250)
    place = Place(Role.AFTER, "after", acid, sweetness, 1.5e-3, 0.12)
    made.show_places([place])
    assert made._frame().adjusted(-1.0, -1.0, 1.0, 1.0).contains(made.at(place))
