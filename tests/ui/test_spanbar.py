"""An uncertain number is shown one way everywhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QColor, QFont, QImage

from planner.model.span import Span
from planner.ui import theme
from planner.ui.widgets.figure import Figure
from planner.ui.widgets.spanbar import SpanBar, SpanRow

SPAN = Span(1.102, 1.108, 1.116)


@pytest.fixture
def bar(qtbot):
    bar = SpanBar()
    bar.setPalette(theme.palette(dark=False))
    bar.resize(bar.sizeHint())
    qtbot.addWidget(bar)
    return bar


def picture(widget):
    return widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)


def columns_of(image, colour):
    """The columns in which a colour is drawn as it is, without a blend."""
    wanted = QColor(colour)
    return [x for x in range(image.width()) if any(image.pixelColor(x, y) == wanted for y in range(image.height()))]


def is_blank(image):
    return len({image.pixel(x, y) for x in range(image.width()) for y in range(image.height())}) == 1


def test_that_the_dot_and_the_ends_lie_where_the_numbers_are(bar):
    bar.set_axis(1.100, 1.120)
    bar.show_span(SPAN)
    image = picture(bar)
    drawn, dot = columns_of(image, theme.LIGHT.text), columns_of(image, theme.LIGHT.accent)
    width = bar.width() - 9  # half a dot and a pixel stay free at each end
    for at, value in ((drawn[0], 1.102), (drawn[-1], 1.116), (sum(dot) / len(dot), 1.108)):
        assert at == pytest.approx(4.5 + width * (value - 1.100) / 0.020, abs=1.0)


def test_that_a_target_is_a_tick_of_its_own(bar):
    bar.set_axis(1.100, 1.120)
    bar.show_span(SPAN, target=1.119)
    ticks = columns_of(picture(bar), theme.LIGHT.finish)
    assert ticks
    bar.show_span(SPAN)
    assert not columns_of(picture(bar), theme.LIGHT.finish)


@pytest.mark.parametrize("span", [None, Span.exactly(1.085), Span(math.nan, 1.0, 1.1), Span(0.0, 1.0, math.inf)])
def test_that_what_has_no_span_has_no_bar_but_keeps_its_room(bar, span):
    bar.show_span(span)
    assert is_blank(picture(bar))
    assert bar.sizeHint() == SpanBar().sizeHint()


def test_that_a_stale_bar_is_dimmed_and_not_blanked(bar):
    bar.show_span(SPAN)
    bar.set_stale(True)
    image = picture(bar)
    assert not columns_of(image, theme.LIGHT.accent)
    assert columns_of(image, theme.LIGHT.dim)


def test_that_a_bar_takes_its_colours_from_its_palette(bar):
    bar.show_span(SPAN)
    bar.setPalette(theme.palette(dark=True))
    assert columns_of(picture(bar), theme.DARK.accent)


def test_that_the_axis_stays_while_the_span_fits_it(bar):
    bar.show_span(SPAN)
    axis = bar.axis
    bar.show_span(Span(1.103, 1.109, 1.117))
    assert bar.axis == axis
    bar.show_span(Span(1.003, 1.009, 1.017))
    assert bar.axis != axis


def test_that_the_axis_is_found_anew_when_a_span_has_become_a_dot(bar):
    bar.show_span(SPAN)
    axis = bar.axis
    bar.show_span(Span(1.1079, 1.108, 1.1081))
    assert bar.axis[1] - bar.axis[0] < (axis[1] - axis[0]) / 5


def test_that_a_number_shown_before_its_range_does_not_settle_the_axis(qapp):
    at_once, later = SpanBar(), SpanBar()
    later.show_span(Span.exactly(SPAN.typical))
    for made in (at_once, later):
        made.show_span(SPAN)
    assert later.axis == at_once.axis
    later.show_span(Span.exactly(SPAN.typical))
    later.show_span(SPAN)
    assert later.axis == at_once.axis


@given(values=st.lists(st.floats(-1e6, 1e6), min_size=4, max_size=4))
def test_that_an_axis_found_by_the_bar_holds_everything(qapp, values):
    low, typical, high = sorted(values[:3])
    bar = SpanBar()
    bar.show_span(Span(low, typical, high), target=values[3])
    begin, end = bar.axis
    assert begin <= min(values) <= max(values) <= end
    assert 0.0 <= bar.position(low) <= bar.position(typical) <= bar.position(high) <= 1.0


def test_that_what_lies_beyond_a_fixed_axis_is_drawn_at_its_end(bar):
    bar.set_axis(0.0, 1.0)
    assert bar.position(-5.0) == 0.0
    assert bar.position(7.0) == 1.0
    bar.set_axis(1.0, 1.0)
    assert bar.position(1.0) == 0.5


@pytest.fixture
def row(qtbot):
    row = SpanRow("Gravity", "Sugar from fruit and honey")
    qtbot.addWidget(row)
    return row


def test_that_a_row_says_its_number_and_where_it_comes_from(row):
    row.show_span(SPAN, "1.108")
    assert row.value.text() == "1.108"
    assert row.caption.text() == "Gravity"
    assert row.toolTip() == "Sugar from fruit and honey"
    assert row.accessibleName() == "Gravity: 1.108"


def test_that_values_of_a_column_have_tabular_figures(row):
    assert [tag.toString() for tag in row.value.font().featureTags()] == ["tnum"]


def test_that_a_new_number_is_no_longer_stale(row):
    row.show_span(SPAN, "1.108")
    fresh = picture(row)
    row.set_stale(True)
    assert row.value.is_stale
    assert picture(row) != fresh
    row.show_span(SPAN, "1.108")
    assert not row.value.is_stale
    assert picture(row) == fresh


def test_that_a_stale_row_follows_the_theme(row):
    font = QFont(row.value.font())
    font.setPointSizeF(4 * font.pointSizeF())  # so that some of it is of the plain colour
    row.value.setFont(font)
    row.show_span(SPAN, "1.108")
    row.set_stale(True)
    for dark in (True, False):
        row.setPalette(theme.palette(dark))
        row.value.resize(row.value.sizeHint())
        assert columns_of(picture(row.value), theme.colours(dark).dim)
        assert not columns_of(picture(row.value), theme.colours(dark).text)


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("18.7\u00a0L", "18.7", "L"),
        ("141 of 190\u00a0mg/L", "141 of 190", "mg/L"),
        ("14.5\u00a0% vol", "14.5", "% vol"),
        ("1.005", "1.005", ""),
        ("3.0 to 3.8", "3.0 to 3.8", ""),
        ("–", "–", ""),
        ("212\u00a0mg/L, enough", "212", "mg/L, enough"),
    ],
)
def test_that_a_figure_knows_its_unit(qtbot, text, number, unit):
    figure = Figure()
    qtbot.addWidget(figure)
    figure.setText(text)
    assert figure.parts() == (number, unit)


def test_that_numbers_above_one_another_end_in_one_column(qtbot):
    ends = []
    for text in ("18.7 L", "14.5 % vol", "1.005"):
        figure = Figure()
        qtbot.addWidget(figure)
        figure.setText(text)
        figure.resize(figure.sizeHint())
        number, _ = figure.parts()
        ends.append(figure.width() - figure.fontMetrics().horizontalAdvance(number))
    assert len(set(ends)) == 1
