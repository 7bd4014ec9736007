"""The log calls ingredients by name, also the person's own, also those that come later."""

from __future__ import annotations

import pytest
from adjust_bench import METRIC, SHELF, planned

from planner.document import edits
from planner.document.batch import Event, What
from planner.document.carried_ingredients import carrying
from planner.evaluation.outcome import evaluate
from planner.reference.own import OwnNutrient
from planner.ui import theme
from planner.ui.curve.pane import CurvePane
from planner.ui.curve.plot_data import scene_of
from planner.ui.ingredients.own_shelf import FILE, OwnShelf
from planner.ui.log.cells import Column
from planner.ui.log.entry import read_value
from planner.ui.log.names import LiveNames, names_on
from planner.ui.store import BatchStore
from planner.wording.phrases import in_a_sentence

MINE = OwnNutrient(key="own-food", name="Attic autolysate", based_on="yeast-autolysate")


@pytest.fixture
def shelf(tmp_path):
    return OwnShelf(SHELF, tmp_path / FILE)


def shown(pane):
    return pane.table.log_model.index(0, Column.READING).data().replace("\u00a0", " ")


def test_that_a_feed_of_an_own_nutrient_is_called_by_its_name_even_if_it_came_later(qtbot, shelf):
    fed = Event(what=What.FEED, day=1.0, key=MINE.key, mass=0.004)
    batch = edits.add_readings(planned(), fed)
    pane = CurvePane(BatchStore(batch), shelf.catalogue, METRIC, theme.LIGHT)
    qtbot.addWidget(pane)
    pane.show_batch(batch)
    assert "own-food" in shown(pane)
    shelf.keep(MINE)
    with qtbot.waitSignal(pane.table.log_model.dataChanged):
        pane.show_shelf()
    assert shown(pane) == "fed 4 g Attic autolysate"
    carried = carrying(batch, shelf.mine, SHELF)
    scene = scene_of(evaluate(carried, SHELF, 0), pane._names.of)
    assert any(in_a_sentence(MINE.name) in str(event.text) for event in scene.events)


def test_that_it_can_be_typed_by_its_name(shelf):
    shelf.keep(MINE)
    entry = read_value("fed 5 g attic autolysate", METRIC, names=names_on(shelf.catalogue))
    assert (entry.key, entry.mass) == (MINE.key, pytest.approx(0.005))


def test_that_names_are_those_of_the_moment(shelf):
    names = LiveNames(shelf.catalogue.nutrients)
    before = len(names)
    shelf.keep(MINE)
    assert len(names) == before + 1
    assert MINE.key in set(names)
    assert names[MINE.key] == MINE.name
    assert names.get("nothing") is None
