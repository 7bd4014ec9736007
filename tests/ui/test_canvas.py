"""The curve on the screen: drawn once per change, followed by a cursor that leaves no trace."""

from __future__ import annotations

import os
import subprocess
import sys
from xml.etree import ElementTree

import fermenting
import msgspec
import numpy as np
import pytest
from matplotlib.colors import same_color
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QFocusEvent, QImage, QKeyEvent, QMouseEvent, QWheelEvent

from planner.document.batch import Feed, HydrometerReading, SensorReading, WarmthReading
from planner.document.edits import add_readings, change_log, change_reading, change_recipe
from planner.model.scales import brix_from_gravity
from planner.ui import theme
from planner.ui.curve.artists import TEXT_CONTRAST, readable
from planner.ui.curve.canvas import LOWEST, CurveCanvas
from planner.ui.curve.plot_data import Scene, scene_of
from planner.ui.display import Display
from planner.units import GravityScale, System

BRIX = Display(gravity_scale=GravityScale.BRIX)


@pytest.fixture
def canvas(qtbot):
    """A canvas with a stopped ferment, shown and drawn."""
    made = CurveCanvas(Display(), theme.LIGHT)
    qtbot.addWidget(made)
    made.resize(640, 400)
    made.show_scene(fermenting.scene(fermenting.stopped()))
    with qtbot.waitExposed(made):
        made.show()
    qtbot.waitUntil(lambda: made.draws > 0)
    settle(qtbot, made)
    return made


def settle(qtbot, canvas):
    """Wait until no drawing is pending."""
    qtbot.waitUntil(lambda: not canvas._draw_pending)


def grabbed(canvas) -> QImage:
    return canvas.grab().toImage()


def plot(canvas):
    return canvas._plot


def pixel(canvas, day: float, gravity: float) -> QPointF:
    """Where a day and a gravity are in the widget."""
    axes = plot(canvas).artists.gravity
    x, y = axes.transData.transform((day, float(plot(canvas)._level.of(gravity, day))))
    ratio = canvas.devicePixelRatioF()
    return QPointF(x / ratio, canvas.height() - y / ratio)


def mouse(canvas, kind, position, button=Qt.MouseButton.LeftButton, buttons=None):
    held = button if buttons is None else buttons
    event = QMouseEvent(kind, position, canvas.mapToGlobal(position), button, held, Qt.KeyboardModifier.NoModifier)
    {
        QEvent.Type.MouseButtonPress: canvas.mousePressEvent,
        QEvent.Type.MouseMove: canvas.mouseMoveEvent,
        QEvent.Type.MouseButtonRelease: canvas.mouseReleaseEvent,
        QEvent.Type.MouseButtonDblClick: canvas.mouseDoubleClickEvent,
    }[kind](event)


def wheel(canvas, position, notches):
    event = QWheelEvent(
        position, canvas.mapToGlobal(position), QPoint(0, 0), QPoint(0, 120 * notches), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    canvas.wheelEvent(event)


def press(canvas, key, modifiers=Qt.KeyboardModifier.NoModifier):
    canvas.keyPressEvent(QKeyEvent(QEvent.Type.KeyPress, key, modifiers))


def test_that_showing_a_scene_draws_once(qtbot, canvas):
    before = canvas.draws
    for gravity in (1.072, 1.073, 1.074):  # three edits in one turn of the event loop
        canvas.show_scene(fermenting.scene(change_reading(fermenting.stopped(), 1, gravity=gravity)))
    settle(qtbot, canvas)
    assert canvas.draws == before + 1


def test_that_the_artists_stay_the_same_when_data_change(qtbot, canvas):
    before = [id(artist) for artist in plot(canvas).artists.gravity.get_children()]
    canvas.show_scene(fermenting.scene(change_reading(fermenting.stopped(), 1, gravity=1.072)))
    settle(qtbot, canvas)
    legend = plot(canvas).artists.gravity.get_legend()
    after = [id(a) for a in plot(canvas).artists.gravity.get_children() if a is not legend]
    assert set(after) <= set(before)


def test_that_the_picture_shows_something(canvas):
    image = grabbed(canvas)
    seen = {image.pixelColor(x, y).name() for x in range(0, image.width(), 3) for y in range(0, image.height(), 3)}
    assert theme.LIGHT.window in seen
    assert theme.LIGHT.logged in seen or len(seen) > 50


def test_that_the_cursor_is_seen_and_leaves_no_trace(qtbot, canvas):
    before, draws = grabbed(canvas), canvas.draws
    canvas.show_cursor(10.0)
    during = grabbed(canvas)
    canvas.show_cursor(None)
    after = grabbed(canvas)
    assert before != during
    assert before == after
    assert canvas.draws == draws


def test_that_the_cursor_follows_the_mouse_and_goes_with_it(qtbot, canvas):
    before, draws = grabbed(canvas), canvas.draws
    mouse(canvas, QEvent.Type.MouseMove, pixel(canvas, 8.0, 1.06), Qt.MouseButton.NoButton)
    assert "day 8.0" in plot(canvas).artists.readout.get_text()
    assert grabbed(canvas) != before
    canvas.leaveEvent(QEvent(QEvent.Type.Leave))
    assert grabbed(canvas) == before
    assert canvas.draws == draws


def test_that_the_cursor_reads_off_the_expected_curve_and_the_reading_near_by(canvas):
    curve = canvas.scene.curve
    assert curve is not None
    canvas.show_cursor(8.0)
    text = plot(canvas).artists.readout.get_text()
    assert f"expected {np.interp(8.0, curve.days, curve.gravity):.3f}" in text
    assert f"{np.interp(8.0, curve.days, curve.sugar):.0f}\u00a0g/L of sugar" in text
    assert f"{100 * np.interp(8.0, curve.days, curve.alcohol):.1f}\u00a0%\u00a0vol" in text
    assert "read 1.050 at 20\u00a0°C on day 8.0" in text
    assert "25 Oct 11:00" in text  # eight days after 17 October
    canvas.show_cursor(10.0)
    assert "read" not in plot(canvas).artists.readout.get_text()


def test_that_the_cursor_tells_what_falls_due(canvas):
    canvas.show_cursor(2.0)
    assert "feed 5\u00a0g" in plot(canvas).artists.readout.get_text()


def test_that_a_selected_reading_is_ringed_without_drawing_anew(qtbot, canvas):
    before, draws = grabbed(canvas), canvas.draws
    canvas.select(2)
    assert grabbed(canvas) != before
    canvas.select(None)
    assert grabbed(canvas) == before
    assert canvas.draws == draws


def test_that_a_ring_survives_a_redraw(qtbot, canvas):
    canvas.select(2)
    ringed = grabbed(canvas)
    canvas.draw()
    assert grabbed(canvas) == ringed


def test_that_a_click_on_a_reading_picks_it(qtbot, canvas):
    row = canvas.scene.rows[2]
    picked = []
    canvas.picked.connect(picked.append)
    at = pixel(canvas, row.day, row.gravity)
    mouse(canvas, QEvent.Type.MouseButtonPress, at)
    mouse(canvas, QEvent.Type.MouseButtonRelease, at, buttons=Qt.MouseButton.NoButton)
    away = pixel(canvas, 15.0, 1.09)
    mouse(canvas, QEvent.Type.MouseButtonPress, away)
    mouse(canvas, QEvent.Type.MouseButtonRelease, away, buttons=Qt.MouseButton.NoButton)
    assert picked == [2]


def test_that_the_wheel_zooms_about_the_pointer(qtbot, canvas):
    at, before = pixel(canvas, 8.0, 1.05), canvas.view
    wheel(canvas, at, 2)
    assert canvas.view.days == pytest.approx(before.days / 1.25**2)
    settle(qtbot, canvas)
    moved = pixel(canvas, 8.0, 1.05)
    assert (moved - at).manhattanLength() < 2.0


def test_that_the_wheel_over_the_labels_zooms_one_direction(canvas):
    before = canvas.view
    left_of_axes = QPointF(10.0, pixel(canvas, 8.0, 1.05).y())
    wheel(canvas, left_of_axes, 1)
    assert canvas.view.days == pytest.approx(before.days)
    assert canvas.view.gravities < before.gravities
    canvas.reset_zoom()
    below = QPointF(pixel(canvas, 8.0, 1.05).x(), canvas.height() - 5.0)
    wheel(canvas, below, 1)
    assert canvas.view.days < before.days
    assert canvas.view.gravities == pytest.approx(before.gravities)


def test_that_dragging_pans_and_picks_nothing(qtbot, canvas):
    picked = []
    canvas.picked.connect(picked.append)
    before, start = canvas.view, pixel(canvas, 8.0, 1.05)
    stop = start + QPointF(60.0, 30.0)
    mouse(canvas, QEvent.Type.MouseButtonPress, start)
    mouse(canvas, QEvent.Type.MouseMove, stop)
    mouse(canvas, QEvent.Type.MouseButtonRelease, stop, buttons=Qt.MouseButton.NoButton)
    assert canvas.view.left < before.left
    assert canvas.view.high > before.high
    assert canvas.view.days == pytest.approx(before.days)
    settle(qtbot, canvas)
    assert (pixel(canvas, 8.0, 1.05) - stop).manhattanLength() < 2.0
    assert picked == []


@pytest.mark.parametrize("how", ["double click", "Home"])
def test_that_the_whole_curve_comes_back(canvas, how):
    whole = canvas.view
    canvas.zoom(3.0)
    assert canvas._zoomed
    if how == "Home":
        press(canvas, Qt.Key.Key_Home)
    else:
        mouse(canvas, QEvent.Type.MouseButtonDblClick, pixel(canvas, 8.0, 1.05))
    assert canvas.view == whole
    assert not canvas._zoomed


def test_that_keys_zoom_pan_and_move_the_cursor(canvas):
    whole = canvas.view
    press(canvas, Qt.Key.Key_Plus)
    closer = canvas.view
    assert closer.days < whole.days
    press(canvas, Qt.Key.Key_Right)
    assert canvas.view.left > closer.left
    press(canvas, Qt.Key.Key_Minus)
    assert canvas.view.days == pytest.approx(whole.days)
    press(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert "expected" in plot(canvas).artists.readout.get_text()
    assert plot(canvas).artists.readout.get_visible()
    press(canvas, Qt.Key.Key_Escape)
    assert not plot(canvas).artists.readout.get_visible()


def test_that_a_chosen_view_stays_when_data_change_and_the_whole_one_follows(canvas):
    longer = fermenting.scene(fermenting.logged(1.100, 1.070, 1.050, 1.041, 1.040, 1.040, 1.040, every=15.0))
    whole = canvas.view
    canvas.show_scene(longer)
    assert canvas.view.right > whole.right
    canvas.zoom(2.0)
    chosen = canvas.view
    canvas.show_scene(fermenting.scene(fermenting.stopped()))
    assert canvas.view == chosen


def test_that_the_gravity_scale_moves_numbers_but_not_points(qtbot, canvas):
    before = pixel(canvas, 0.0, canvas.view.high)
    canvas.set_display(BRIX)
    settle(qtbot, canvas)
    artists = plot(canvas).artists
    assert "°Brix" in artists.gravity.get_ylabel()
    assert artists.expected.get_ydata()[0] == pytest.approx(brix_from_gravity(canvas.scene.curve.gravity[0]))
    assert (pixel(canvas, 0.0, canvas.view.high) - before).manhattanLength() < 1.5
    assert all("." in label.get_text() for label in artists.gravity.get_yticklabels())
    assert artists.finish_label.get_text().endswith("°Bx")


def test_that_gravity_is_told_to_three_decimals_between_at_most_five_lines(canvas):
    labels = [label.get_text() for label in plot(canvas).artists.gravity.get_yticklabels()]
    assert 2 <= len(labels) <= 5
    assert all(len(label.partition(".")[2]) == 3 for label in labels)


def test_that_temperature_is_told_in_the_readers_degrees(qtbot, canvas):
    assert "°C" in plot(canvas).artists.warmth.get_yticklabels()[0].get_text()
    canvas.set_display(Display(system=System.US))
    settle(qtbot, canvas)
    assert "°F" in plot(canvas).artists.warmth.get_yticklabels()[0].get_text()
    planned = plot(canvas).artists.planned.get_ydata()
    assert planned[0] == pytest.approx(64.4)  # 18 °C, by the definition of the Fahrenheit scale


def test_that_a_kept_temperature_is_planned_and_one_that_comes_of_itself_is_expected(qtbot, canvas):
    artists = plot(canvas).artists
    assert artists.warmth_label.get_text() == "planned 18\u00a0°C"
    assert artists.planned.get_drawstyle() == "steps-post"
    canvas.show_scene(fermenting.scene(change_recipe(fermenting.stopped(), in_room=True)))
    settle(qtbot, canvas)
    assert artists.warmth_label.get_text() == "expected 18\u00a0°C"
    assert artists.planned.get_drawstyle() == "default"


@pytest.mark.parametrize("coldest", [12.0, 14.0, 15.5, 16.0])
def test_that_temperatures_have_a_scale_of_two_numbers_at_least(qtbot, canvas, coldest):
    batch = add_readings(fermenting.stopped(), WarmthReading(temperature=273.15 + coldest, day=9.0))
    canvas.show_scene(fermenting.scene(batch))
    settle(qtbot, canvas)
    axis = plot(canvas).artists.warmth
    low, high = axis.get_ylim()
    assert sum(low <= tick <= high for tick in axis.get_yticks()) >= 2


def test_that_a_feed_that_falls_due_and_the_third_of_the_sugar_are_named_at_their_marks(qtbot, canvas):
    artists = plot(canvas).artists

    def show(**due):
        feed = Feed(key="yeast-autolysate", mass=0.005, **due)
        canvas.show_scene(fermenting.scene(change_recipe(fermenting.stopped(), feeds=(feed,))))
        settle(qtbot, canvas)
        return {event.kind: event.day for event in canvas.scene.events}

    for when, overlaid in (({"sugar_used": 0.001}, False), ({"day": 12.0}, True)):
        due = show(**when)
        assert artists.feed_label.get_visible()
        assert artists.feed_label.get_text() == "feed"
        assert artists.third_label.get_text() == "a third of the sugar used"
        assert artists.third_label.get_position()[0] > due["third"]
        assert (artists.third_label.get_position()[1] > artists.feed_label.get_position()[1]) == overlaid
    show(sugar_used=1.0 / 3.0)
    assert not artists.feed_label.get_visible()
    assert artists.third_label.get_text() == "feed, a third of the sugar used"
    canvas.show_scene(Scene())
    assert not artists.third_label.get_visible()


def test_that_the_fall_and_the_temperature_of_a_day_are_told_at_the_cursor(canvas):
    curve = canvas.scene.curve
    canvas.show_cursor(4.0)
    lines = plot(canvas).artists.readout.get_text().splitlines()
    told = next(line for line in lines if line.startswith("falling"))
    assert told.endswith("points a day at 18\u00a0°C")
    # The slope of the curve, which is not quite straight over a day.
    assert float(told.split()[1]) == pytest.approx(
        1000.0 * np.interp(4.0, curve.days, curve.fall(curve.gravity)), abs=0.3
    )


def test_that_gravities_beyond_the_scale_still_have_an_axis(qtbot, canvas):
    # Below -10 °Brix the scale tells no two gravities apart (planner.model.scales).
    alone = change_log(change_recipe(fermenting.planned(), fruits=(), honeys=(), water=0.0),
                       readings=(SensorReading(gravity=0.72, day=0.0),))  # fmt: skip
    canvas.set_display(BRIX)
    canvas.show_scene(fermenting.scene(alone))
    settle(qtbot, canvas)
    low, high = plot(canvas).artists.gravity.get_ylim()
    assert low < high


@pytest.mark.parametrize("fall", [0.0, 5e-324, 1e-300, 1e-12])
def test_that_what_rests_shows_a_flat_line_and_not_its_last_digits(canvas, fall):
    scene = fermenting.scene(fermenting.planned())
    idle = msgspec.structs.replace(scene.curve, gravity=1.1 - fall * np.arange(scene.curve.days.size))
    canvas.show_scene(msgspec.structs.replace(scene, curve=idle))
    assert plot(canvas).artists.rate.get_ylim() == (0.0, 1.0)


def test_that_dates_stand_above_when_pitching_is_dated(qtbot, canvas):
    assert plot(canvas).artists.gravity.get_xticklabels()[0].get_text() == "19 Oct"
    undated = change_log(fermenting.stopped(), pitched_at=None)
    canvas.show_scene(fermenting.scene(undated))
    settle(qtbot, canvas)
    assert plot(canvas).artists.gravity.get_xticklabels() == []


def test_that_the_whole_view_asked_for_again_shows_what_lies_far_off(qtbot, canvas):
    late = add_readings(fermenting.logged(1.100, 1.050, 1.0, every=5.0), HydrometerReading(gravity=1.001, day=300.0))
    canvas.show_scene(fermenting.scene(late))
    assert canvas.view.right < 200.0
    assert plot(canvas).artists.outside_label.get_visible()
    canvas.reset_zoom()
    assert canvas.view.right > 300.0
    assert not plot(canvas).artists.outside_label.get_visible()
    canvas.reset_zoom()
    assert canvas.view.right < 200.0


def test_that_the_word_stopped_stands_on_a_hatched_span(canvas):
    artists = plot(canvas).artists
    assert artists.rest.get_visible()
    assert artists.rest.get_hatch()
    assert (artists.rest.get_x(), artists.rest.get_x() + artists.rest.get_width()) == canvas.scene.stopped
    assert artists.rest_label.get_text() == "stalled"
    assert artists.rest_label.get_fontsize() > 1.5 * artists.finish_label.get_fontsize()


def test_that_a_moving_ferment_has_no_such_span(qtbot, canvas):
    canvas.show_scene(fermenting.scene(fermenting.logged(1.100, 1.080)))
    assert not plot(canvas).artists.rest.get_visible()
    assert not plot(canvas).artists.rest_label.get_visible()


def test_that_kinds_of_reading_have_shapes_of_their_own_and_a_key(qtbot, canvas):
    batch = fermenting.with_sugar_test(change_reading(fermenting.stopped(), 2, excluded=True), 18.0, 40.0)
    canvas.show_scene(fermenting.scene(batch))
    artists = plot(canvas).artists
    lines = (artists.hydrometer, artists.sugar, artists.left_out)
    assert [len(line.get_xdata()) for line in lines] == [5, 1, 1]
    assert [line.get_marker() for line in lines] == ["o", "D", "o"]
    assert artists.left_out.get_markerfacecolor() == "none"
    key = artists.gravity.get_legend()
    assert [text.get_text() for text in key.get_texts()] == ["hydrometer", "sugar test", "left out", "recipe alone"]


def test_that_bars_reach_a_line_of_the_stem_either_way(canvas):
    ends = plot(canvas).artists.bars.get_ydata().reshape(-1, 3)
    assert ends[:, 1] - ends[:, 0] == pytest.approx(0.002)
    assert np.isnan(ends[:, 2]).all()


def test_that_a_dark_theme_reaches_every_part(qtbot, canvas):
    light = grabbed(canvas)
    canvas.set_colours(theme.DARK)
    settle(qtbot, canvas)
    image, artists = grabbed(canvas), plot(canvas).artists
    assert image != light
    assert image.pixelColor(1, 1).name() == theme.DARK.window
    assert image.pixelColor(*inside(canvas)).name() == theme.DARK.base
    assert artists.expected.get_color() == theme.DARK.expected
    assert artists.gravity.yaxis.get_ticklabels()[0].get_color() == theme.DARK.text
    assert same_color(artists.gravity.get_legend().get_texts()[0].get_color(), theme.DARK.text)
    canvas.set_colours(theme.LIGHT)
    settle(qtbot, canvas)
    assert grabbed(canvas) == light


def inside(canvas) -> tuple[int, int]:
    """A pixel of the gravity axes where nothing is drawn: above the band, left of the span, off the lines."""
    spot = pixel(canvas, canvas.scene.stopped[0] - 1.0, 1.0905)
    return round(spot.x()), round(spot.y())


@pytest.mark.parametrize("colours", [theme.LIGHT, theme.DARK], ids=["light", "dark"])
@pytest.mark.parametrize("role", ["expected", "finish", "dim", "text", "event", "stall"])
def test_that_words_on_the_plot_can_be_read(colours, role):
    # WCAG 2.1, criterion 1.4.3
    assert theme.contrast(readable(getattr(colours, role), colours), colours.base) >= TEXT_CONTRAST


def test_that_a_stale_picture_is_dimmed_without_drawing(canvas):
    before, draws = grabbed(canvas), canvas.draws
    canvas.set_stale(True)
    assert grabbed(canvas) != before
    canvas.set_stale(False)
    assert grabbed(canvas) == before
    assert canvas.draws == draws


def test_that_three_thousand_readings_are_thinned_and_none_is_lost_to_the_eye(qtbot, canvas):
    days = np.linspace(0.0, 30.0, 3000)
    gravities = 1.02 + 0.08 * np.exp(-days / 6.0)
    gravities[1234] = 1.15
    batch = fermenting.logged(*map(float, gravities), every=float(days[1]))
    canvas.show_scene(fermenting.scene(batch))
    settle(qtbot, canvas)
    line = plot(canvas).artists.hydrometer
    assert len(line.get_xdata()) <= 2000
    assert max(line.get_ydata()) == pytest.approx(1.15, abs=1e-3)
    assert len(plot(canvas).artists.bars.get_xdata()) == 0
    wheel(canvas, pixel(canvas, 15.0, 1.03), 12)
    settle(qtbot, canvas)
    seen = (canvas.scene.points.day >= canvas.view.left) & (canvas.scene.points.day <= canvas.view.right)
    assert 0 < len(line.get_xdata()) == seen.sum()


def test_that_nothing_to_draw_says_what_would_fill_it(qtbot, canvas):
    canvas.show_scene(Scene())
    settle(qtbot, canvas)
    artists = plot(canvas).artists
    assert artists.empty_label.get_visible()
    assert "recipe" in artists.empty_label.get_text()
    assert not artists.rate.get_visible()
    canvas.show_cursor(3.0)
    assert not artists.readout.get_visible()
    wheel(canvas, QPointF(300.0, 150.0), 1)
    assert not canvas._zoomed


def test_that_no_band_is_drawn_where_there_is_none(canvas):
    canvas.show_scene(scene_of(fermenting.outcome(fermenting.stopped(), 0), str))
    assert not plot(canvas).artists.band.get_visible()
    assert plot(canvas).artists.expected_label.get_text() == "expected"


def test_that_a_resize_draws_once_and_keeps_the_cursor_honest(qtbot, canvas):
    canvas.show_cursor(10.0)
    before = canvas.draws
    canvas.resize(800, 500)
    settle(qtbot, canvas)
    qtbot.waitUntil(lambda: canvas.draws == before + 1)
    canvas.show_cursor(None)
    clean = grabbed(canvas)
    canvas.draw()
    assert grabbed(canvas) == clean


def test_that_a_canvas_too_small_to_show_anything_survives(qtbot, canvas):
    canvas.setMinimumHeight(0)
    canvas.resize(20, 10)
    canvas.draw()
    canvas.resize(640, LOWEST * canvas.fontMetrics().lineSpacing())
    canvas.draw()
    assert canvas.height() == LOWEST * canvas.fontMetrics().lineSpacing()


def test_that_focus_by_key_is_seen(qtbot, canvas):
    canvas.setFocus(Qt.FocusReason.MouseFocusReason)
    qtbot.waitUntil(canvas.hasFocus)
    before = grabbed(canvas)
    canvas.focusInEvent(QFocusEvent(QEvent.Type.FocusIn, Qt.FocusReason.TabFocusReason))
    assert grabbed(canvas).pixelColor(1, 200) == QColor(theme.LIGHT.accent)
    canvas.focusInEvent(QFocusEvent(QEvent.Type.FocusIn, Qt.FocusReason.MouseFocusReason))
    assert grabbed(canvas) == before


def test_that_the_curve_is_told_in_words_too(canvas):
    assert canvas.accessibleName() == "Fermentation curve"
    assert "6 readings, the last 1.040 on day 20" in canvas.accessibleDescription()


def test_that_a_saved_picture_is_light_whatever_the_theme(qtbot, canvas, tmp_path):
    canvas.set_colours(theme.DARK)
    settle(qtbot, canvas)
    dark, draws = grabbed(canvas), canvas.draws
    path = tmp_path / "curve.png"
    canvas.save_picture(path)
    image = QImage(str(path))
    assert (image.width(), image.height()) == (2000, 1200)
    assert image.pixelColor(2, 2).name() == theme.LIGHT.base
    assert grabbed(canvas) == dark
    assert canvas.draws == draws


def test_that_an_svg_is_the_same_each_time_and_holds_the_name(canvas, tmp_path):
    first, second = tmp_path / "a.svg", tmp_path / "b.SVG"
    canvas.save_picture(first)
    canvas.save_picture(second)
    assert ElementTree.parse(first).getroot().tag.endswith("svg")
    assert "Test damson" in first.read_text("utf-8")
    assert "<dc:date>" not in first.read_text("utf-8")


def test_that_another_suffix_is_refused_with_what_is_accepted(canvas, tmp_path):
    with pytest.raises(ValueError, match=r"\.png or \.svg"):
        canvas.save_picture(tmp_path / "curve.tiff")


_AT_TWO = """
import os, sys
sys.path[:0] = {path!r}
os.environ["QT_QPA_PLATFORM"] = "offscreen"
from PySide6.QtWidgets import QApplication
app = QApplication([])
import fermenting
from planner.ui import theme
from planner.ui.curve.canvas import CurveCanvas
from planner.ui.display import Display
canvas = CurveCanvas(Display(), theme.LIGHT)
canvas.resize(640, 400)
canvas.show()
canvas.show_scene(fermenting.scene(fermenting.stopped()))
app.processEvents()
row = canvas.scene.rows[2]
x, y = canvas._plot.artists.gravity.transData.transform((row.day, row.gravity))
before = canvas.grab().toImage()
canvas.show_cursor(10.0); during = canvas.grab().toImage()
canvas.show_cursor(None); after = canvas.grab().toImage()
image = canvas.grab().toImage()
print(image.width(), image.height(), image.pixelColor(round(x), round(image.height() - y)).name(),
      before == after, before != during)
"""


def test_that_at_twice_the_density_points_stand_where_they_belong():
    program = _AT_TWO.format(path=[path for path in sys.path if path])
    environment = os.environ | {"QT_SCALE_FACTOR": "2"}
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, env=environment, check=True)
    assert done.stdout.split() == ["1280", "800", theme.LIGHT.logged, "True", "True"]


def test_that_the_recipe_alone_is_drawn_where_a_measured_start_lies_apart_from_it(qtbot, canvas):
    artists, curve = plot(canvas).artists, canvas.scene.curve
    assert curve.planned is not None
    assert artists.recipe_alone.get_visible()
    assert artists.recipe_alone.get_ydata() == pytest.approx(curve.planned)
    assert artists.gravity.get_legend().get_texts()[-1].get_text() == "recipe alone"
    canvas.show_scene(fermenting.scene(fermenting.planned()))
    assert not artists.recipe_alone.get_visible()
    assert artists.gravity.get_legend() is None
