"""Any result in the window says where it comes from, and how far it can be trusted."""

from __future__ import annotations

import pytest
from adjust_bench import METRIC, US, adjusted, plain
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from planner.batch.batch import new_batch
from planner.batch.outcome import evaluate
from planner.batch.provenance import every_provenance, provenance
from planner.batch.provenance_methods import METHODS
from planner.reference.catalogue import catalogue
from planner.ui import theme
from planner.ui.adjust.pane import AdjustPane
from planner.ui.curve.pane import CurvePane
from planner.ui.recipe.pane import RecipePane
from planner.ui.shell import explaining
from planner.ui.shell.explaining import CHANGES, HINT, QUESTION, Explaining, html, page, title_of
from planner.ui.shell.help import explained
from planner.ui.store import BatchStore

SHELF = catalogue()


class Panes(QWidget):
    """The three panes as the window has them, showing one batch."""

    def __init__(self, batch, display=METRIC, members=4):
        super().__init__()
        store = BatchStore(batch, self)
        shared = (store, SHELF, display, theme.LIGHT, self)
        self.recipe, self.curve, self.adjustment = RecipePane(*shared), CurvePane(*shared), AdjustPane(*shared)
        self.outcome = evaluate(batch, SHELF, members)
        self.explaining = Explaining(self.recipe, self.curve, self.adjustment, SHELF, self)
        for pane in (self.recipe, self.curve, self.adjustment):
            pane.show_batch(batch)
            pane.show_outcome(self.outcome)
        self.explaining.show_outcome(self.outcome, display)
        self.explaining.tell()


@pytest.fixture
def panes(qtbot):
    made = Panes(adjusted(("erythritol", 0.3), ("malic-acid", 0.02)))
    qtbot.addWidget(made)
    return made


def test_that_every_row_of_results_tells_method_range_and_sources(panes):
    rows = {**panes.recipe.results.must, **{f"finish {k}": row for k, row in panes.recipe.results.finish.items()}}
    for row in (*rows.values(), *panes.adjustment.standing.rows.values()):
        said = row.whatsThis()
        assert "Formulas and constants" in said
        assert HINT in row.toolTip()
    alcohol = plain(panes.recipe.results.finish["alcohol"].whatsThis())
    assert "nine in ten lie between" in alcohol
    assert "OIML R 22" in alcohol
    assert "45.0 to 48.5 g of alcohol" in alcohol


def test_that_each_part_of_the_finishing_gravity_tells_its_own(panes):
    said = {cells[0].text(): cells[0].whatsThis() for cells in panes.recipe.results.budget.cells if cells[0].text()}
    assert "higher sugars" in said["Honey's higher sugars"]
    assert "Gravity at the finish" in said["Together"]


def test_that_before_and_after_and_each_addition_tell_theirs(panes):
    rows = panes.adjustment.table.rows
    assert len(rows) == len(CHANGES)
    for labels, name in zip(rows, CHANGES, strict=True):
        assert title_of(f"mead.{name}") in labels[0].whatsThis()
    beneath = [row.beneath.whatsThis() for row in panes.adjustment.additions.editor.rows]
    assert "Erythritol" in beneath[0]
    assert "Erythritol" not in beneath[1]
    assert "R. F. Weiss" in panes.adjustment.verdict.whatsThis()


def test_that_the_hint_is_given_once_however_often_the_outcome_changes(panes):
    for _ in range(3):
        panes.explaining.show_outcome(panes.outcome, METRIC)
        panes.explaining.tell()
    assert panes.recipe.results.must["volume"].toolTip().count(HINT) == 1


def test_that_f1_finds_the_text_from_a_label_within_the_row(panes):
    row = panes.recipe.results.must["gravity"]
    widget, text = explained(row.value)
    assert widget is row
    assert text == row.whatsThis()


def test_that_the_right_button_asks_where_a_result_comes_from(panes, monkeypatch):
    shown = []
    monkeypatch.setattr(explaining.QWhatsThis, "showText", lambda _at, text, _widget: shown.append(text))
    row = panes.recipe.results.must["gravity"]
    assert row.contextMenuPolicy() == Qt.ContextMenuPolicy.ActionsContextMenu
    (act,) = row.actions()
    assert act.text() == QUESTION
    act.trigger()
    assert shown == [row.whatsThis()]


def test_that_a_result_that_is_gone_tells_nothing_any_more(panes):
    panes.explaining.show_outcome(evaluate(new_batch(), SHELF, 0), METRIC)
    panes.explaining.tell()
    assert panes.recipe.results.finish["alcohol"].whatsThis() == ""


def test_that_the_range_is_told_in_the_readers_units(qtbot):
    outcome = evaluate(adjusted(), SHELF, 4)
    found = provenance("must.volume", outcome, SHELF)
    assert "US gal" in plain(html(found, outcome, SHELF, US))
    assert " L; nine in ten" in plain(html(found, outcome, SHELF, METRIC))


def test_that_a_known_number_has_no_range(qtbot):
    outcome = evaluate(adjusted(), SHELF, 0)
    assert "nine in ten" not in html(provenance("must.volume", outcome, SHELF), outcome, SHELF, METRIC)


@pytest.mark.parametrize("key", METHODS)
def test_that_every_result_has_a_title(key):
    assert title_of(key)[0].isupper()


def test_that_the_page_of_all_results_can_be_read(qtbot):
    outcome = evaluate(adjusted(("erythritol", 0.3)), SHELF, 4)
    text = page(outcome, SHELF, METRIC)
    for key in every_provenance(outcome, SHELF):
        assert title_of(key).partition(":")[0] in text.replace("&#x27;", "'")
    label = QLabel(text)
    qtbot.addWidget(label)
    assert "Nothing has been worked out" in page(None, SHELF, METRIC)


def test_that_an_empty_batch_is_explained_as_far_as_it_goes(qtbot):
    made = Panes(new_batch())
    qtbot.addWidget(made)
    assert "Formulas" not in made.recipe.results.finish["alcohol"].whatsThis()
