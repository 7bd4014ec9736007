"""The impossible is refused by every field, by name, and nothing of it reaches the batch: from the model and the window."""

from __future__ import annotations

import math

import numpy as np
import pytest
from adjust_bench import METRIC, SHELF, US, plain, planned
from PySide6.QtCore import Qt

from planner.document import edits
from planner.document.batch import Addition, Feed, TemperatureStep
from planner.model import guards
from planner.model.gas import wine_solubility
from planner.model.inference import Reading, infer, way_of
from planner.model.liquid import Liquid
from planner.model.refractometer import brix_at_twenty, must_gravity
from planner.model.weight_loss import by_weight
from planner.reference.own import OwnFruit, OwnHoney, OwnValueError, OwnYeast
from planner.reference.own_rows import row_of
from planner.ui import theme
from planner.ui.adjust.pane import AdjustPane
from planner.ui.curve.pane import CurvePane
from planner.ui.entry import EntryError, read
from planner.ui.ingredients.editor import IngredientEditor
from planner.ui.ingredients.own_shelf import FILE, OwnShelf
from planner.ui.recipe.pane import RecipePane
from planner.ui.store import BatchStore
from planner.ui.widgets.fields import QuantityField
from planner.units import Kind

MUST = Liquid.of(water=0.8, glucose=0.1, fructose=0.1)


def whole():
    """A batch with a line of every kind."""
    batch = edits.add_line(planned(), "feeds", Feed(key="yeast-autolysate", mass=0.005, day=1.0))
    batch = edits.add_line(batch, "temperatures", TemperatureStep(day=0.0, temperature=293.15))
    return edits.change_adjustment(batch, additions=(Addition(key="sugar", mass=0.1),), gravity=1.004, volume=0.02)


@pytest.fixture(params=[RecipePane, CurvePane, AdjustPane])
def pane(request, qtbot):
    store = BatchStore(whole())
    made = request.param(store, SHELF, METRIC, theme.LIGHT)
    qtbot.addWidget(made)
    made.show_batch(store.batch)
    if request.param is RecipePane:
        for section in (made.fruit, made.honey):
            section.editor.rows[0].disclosure.setChecked(True)
    made.store = store
    return made


@pytest.mark.parametrize("text", ["nan", "inf", "1e999", "-300 °C", "a lot", "1.2.3", "--4", "4 parsecs"])
def test_that_every_field_of_a_number_refuses_what_cannot_be_and_says_of_which_field_it_speaks(pane, text):
    fields = pane.findChildren(QuantityField) or [pane.form.value, pane.form.temperature]
    before = pane.store.batch
    for field in fields:
        field.setText(text)
        assert not field.accept(), field.accessibleName()
        assert field.accessibleName()
        assert field.refusal.startswith(field.accessibleName())
        assert field.toolTip() == field.refusal
        field.restore()
    assert pane.store.batch is before


def named(pane, name):
    (field, *_) = [f for f in pane.findChildren(QuantityField) if f.accessibleName() == name]
    return field


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("Weight of Blackcurrant", "-4", "a mass cannot be negative here"),
        ("Weight of Blossom honey", "-1 lb", "a mass cannot be negative here"),
        ("Water", "-3", "cannot be negative"),
        ("Temperature of step from day 0", "-300 °C", "below absolute zero"),
        ("Lost with the lees", "120 %", "more than the whole"),
        ("Cold soak", "-2 d", "a time cannot be negative here"),
    ],
)
def test_that_the_recipe_says_what_is_wrong_and_what_would_be_right(qtbot, name, text, said):
    store = BatchStore(whole())
    made = RecipePane(store, SHELF, METRIC, theme.LIGHT)
    qtbot.addWidget(made)
    made.show_batch(store.batch)
    before, field = store.batch, named(made, name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert plain(field.refusal).startswith(f"{name}: “{text}”")
    assert said in plain(field.refusal)
    assert store.batch is before


@pytest.mark.parametrize(
    ("of", "field", "text", "said"),
    [
        ("fruits/blackcurrant", "sugar", "110", "Sugars of the flesh, typically: “110” is more than the whole"),
        ("honeys/blossom", "moisture", "120 %", "Moisture, typically: “120 %” is more than the whole"),
        ("yeasts/all-rounder", "t_low", "-300 °C", "Works from: “-300 °C” is below absolute zero"),
        ("fruits/blackcurrant", "acid", "nan", "Acid of the flesh, typically: “nan” could not be read"),
        ("additives/sugar", "teaspoon", "-4 g", "Level teaspoon: “-4 g”: a mass cannot be negative"),
    ],
)
@pytest.mark.parametrize("display", [METRIC, US], ids=["metric", "us"])
def test_that_saving_an_ingredient_names_the_field_that_is_wrong(qtbot, tmp_path, display, of, field, text, said):
    own = OwnShelf(SHELF, tmp_path / FILE)
    editor = IngredientEditor(own, display)
    qtbot.addWidget(editor)
    editor.copy.setCurrentIndex(editor.copy.findData(of))
    editor.copy.activated.emit(editor.copy.currentIndex())
    editor.form.fields[field][0].setText(text)
    editor.save.click()
    assert said in plain(editor.problem.text)
    assert not own.mine


def test_that_a_fruit_of_a_hundred_and_ten_grams_of_sugar_is_refused_wherever_it_comes_from():
    with pytest.raises(OwnValueError, match=r"Greedy, sugars of the flesh: 110 % is impossible. From 0 % to 100 %"):
        OwnFruit(key="own-greedy", name="Greedy", based_on="blackcurrant", sugar=(1.0, 1.1, 1.1))
    sweet = OwnFruit(key="own-sweet", name="Sweet", based_on="blackcurrant", sugar=(0.9, 0.97, 1.0))
    with pytest.raises(OwnValueError, match="Sweet: sugars, sorbitol and acid together leave no water"):
        row_of(sweet, SHELF)


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -0.1, 1.2])
def test_that_own_values_name_ingredient_and_value(wrong):
    with pytest.raises(OwnValueError, match=r"Mine, moisture: .* is impossible. From 5 % to 50 % is accepted"):
        OwnHoney(key="own-mine", name="Mine", based_on="blossom", moisture=(wrong, wrong, wrong))
    with pytest.raises(OwnValueError, match=r"Mine, works from: .* is impossible"):
        OwnYeast(key="own-mine", name="Mine", based_on="all-rounder", t_low=wrong)


BAD = [
    (lambda: brix_at_twenty(12.0, -26.85), "temperature was -300 °C; accepted is 0 to 40 °C"),
    (lambda: brix_at_twenty(math.nan, 293.15), "°Brix was not a number"),
    (lambda: must_gravity(-3.0, MUST), "°Brix was -3"),
    (lambda: must_gravity(12.0, Liquid.of(water=1.0)), "extract of the must was 0 kg"),
    (lambda: by_weight(-1.0, MUST), "weight lost was -1 kg"),
    (lambda: by_weight(0.1, MUST, -26.85), "temperature was -300 °C"),
    (lambda: wine_solubility(-26.85, 0.1, 0.0), "temperature was -300 °C"),
    (lambda: way_of(Liquid.of(water=1.0, glucose=-0.1)), "mass of a component was -0.1 kg"),
    (lambda: infer(MUST, Reading("gravity", math.nan, True), Reading("brix", 8.0)), "gravity was not a number"),
    (lambda: infer(Liquid.of(water=1.0), Reading("gravity", 1.0, True), Reading("brix", 0.0)), "fermentable sugar"),
]


@pytest.mark.parametrize(("ask", "said"), BAD, ids=[said for _, said in BAD])
def test_that_the_model_refuses_by_the_name_of_the_argument(ask, said):
    with pytest.raises(guards.BadInput) as refused:
        ask()
    assert said in str(refused.value)
    assert "accepted is" in str(refused.value)


@pytest.mark.parametrize("text", ["1e999", "1.05e0", "1.050 - 1.060", "1.050, 1.060", "1.05 3", "1.085 20/20"])
def test_that_more_than_one_number_is_no_gravity(text):
    with pytest.raises(EntryError):
        read(text, Kind.GRAVITY, METRIC.locale)


def test_that_an_array_is_refused_for_its_first_bad_value():
    with pytest.raises(guards.OutOfRange, match="°Brix was 99"):
        brix_at_twenty(np.array([12.0, 99.0, -50.0]), np.full(3, 293.15))
