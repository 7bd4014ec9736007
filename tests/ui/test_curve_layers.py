"""The picture drawn on a kept ground is the one that is drawn whole, pixel for pixel."""

from __future__ import annotations

import fermenting
import numpy as np
import pytest
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from msgspec import structs

from planner.document import edits
from planner.document.edits import change_log, change_reading
from planner.ui import theme
from planner.ui.curve.canvas import CurveCanvas
from planner.ui.curve.layers import KeepingRenderer
from planner.ui.curve.plot_data import Scene, scene_of, until_whole
from planner.ui.curve.reference_batch import earlier_of
from planner.ui.display import Display
from planner.units import GravityScale, System


@pytest.fixture
def canvas(qtbot):
    made = CurveCanvas(Display(), theme.LIGHT)
    qtbot.addWidget(made)
    made.resize(640, 400)
    made.show_scene(fermenting.scene(fermenting.stopped()))
    made.draw()
    return made


def held(canvas) -> np.ndarray:
    """What the canvas holds."""
    return np.array(canvas.buffer_rgba())


def whole(canvas) -> np.ndarray:
    """The same figure, drawn by the library at one go on an empty sheet."""
    sheet = KeepingRenderer(*canvas.get_width_height(physical=True), canvas.figure.dpi)
    canvas.figure.draw(sheet)
    return np.array(sheet.buffer_rgba())


def honey(kilograms: float):
    return edits.change_recipe(fermenting.planned(), water=8.0 + kilograms)


def plain(canvas):
    canvas.show_scene(fermenting.scene(fermenting.planned()))


def turned(canvas):
    for step in (0.0, 0.05, 0.10):
        canvas.show_scene(fermenting.scene(honey(step)))
        canvas.draw()


def turned_far(canvas):
    for step in (0.0, 4.0, 30.0):
        canvas.show_scene(fermenting.scene(honey(step)))
        canvas.draw()


def without_ensemble(canvas):
    first = scene_of(fermenting.outcome(honey(0.1), 0), str)
    canvas.show_scene(until_whole(first, canvas.scene))


def left_out(canvas):
    batch = fermenting.with_sugar_test(change_reading(fermenting.stopped(), 2, excluded=True), 18.0, 40.0)
    canvas.show_scene(fermenting.scene(batch))


def undated(canvas):
    canvas.show_scene(fermenting.scene(change_log(fermenting.stopped(), pitched_at=None)))


def empty_and_back(canvas):
    canvas.show_scene(Scene())
    canvas.draw()
    assert np.array_equal(held(canvas), whole(canvas))
    canvas.show_scene(fermenting.scene(fermenting.stopped()))


def beside_another(canvas):
    scene = fermenting.scene(fermenting.stopped())
    earlier = earlier_of(fermenting.outcome(fermenting.logged(1.090, 1.050, 1.020, 1.002, every=5.0)))
    canvas.show_scene(structs.replace(scene, earlier=earlier, today=9.0))


def left_alone(_canvas):
    """No change: the kept ground is laid down again."""


CHANGES = {
    "nothing": left_alone,
    "another recipe": plain,
    "three small edits": turned,
    "three large edits": turned_far,
    "the first answer to an edit": without_ensemble,
    "a reading left out": left_out,
    "no date of pitching": undated,
    "an empty batch between": empty_and_back,
    "an earlier batch beside, and the present day": beside_another,
    "the dark theme": lambda canvas: canvas.set_colours(theme.DARK),
    "degrees Brix": lambda canvas: canvas.set_display(Display(gravity_scale=GravityScale.BRIX)),
    "US units": lambda canvas: canvas.set_display(Display(system=System.US)),
    "differences": lambda canvas: canvas.show_difference(True),
    "dates below": lambda canvas: canvas.show_dates(True),
    "a zoom": lambda canvas: canvas.zoom(2.0),
    "a pan": lambda canvas: canvas.pan(0.2, -0.1),
    "another size": lambda canvas: canvas.resize(801, 503),
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGES)
def test_that_the_picture_on_a_kept_ground_is_the_whole_picture(canvas, change):
    CHANGES[change](canvas)
    canvas.draw()
    assert np.array_equal(held(canvas), whole(canvas))


def test_that_it_is_so_after_many_changes_in_a_row(canvas):
    for change in (*CHANGES, *reversed(CHANGES)):
        CHANGES[change](canvas)
        canvas.draw()
        assert np.array_equal(held(canvas), whole(canvas)), change


def test_that_the_ground_is_kept_while_the_axes_hold_still(canvas):
    canvas.show_scene(fermenting.scene(honey(0.0)))
    canvas.draw()
    ground = canvas._ground
    canvas.show_scene(fermenting.scene(honey(0.02)))
    canvas.draw()
    assert canvas._ground is ground
    canvas.zoom(2.0)
    canvas.draw()
    assert canvas._ground is not ground


def test_that_kept_words_are_those_of_the_library():
    # On whole pixels the library's own renderer draws the same words; glyphs that overlap may round by one of 255.
    pictures = []
    for renderer in (RendererAgg, KeepingRenderer, KeepingRenderer):
        figure = Figure(figsize=(3.0, 2.0), dpi=100)
        words = [("expected finish 1.008", 20.0, 30.0, 0.0), ("points\u00a0a day", 40.0, 60.0, 90.0), ("°Bx", 200.0, 150.0, 30.0)]  # fmt: skip
        sheet = renderer(300, 200, 100)
        figure.patch.draw(sheet)
        for text, x, y, angle in words:
            gc = sheet.new_gc()
            gc.set_foreground("#0072b2")
            prop = figure.text(0, 0, text).get_fontproperties()
            sheet.draw_text(gc, x, y, text, prop, angle)
            sheet.draw_text(gc, x, y + 40.0, text, prop, angle)
        pictures.append(np.array(sheet.buffer_rgba()).astype(int))
    assert np.max(np.abs(pictures[1] - pictures[0])) <= 1
    assert np.any(pictures[0] != 255)
