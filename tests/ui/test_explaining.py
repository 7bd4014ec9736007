"""Any result in the window says where it comes from, and how far it can be trusted."""

from __future__ import annotations

import pytest
from adjust_bench import METRIC, US, adjusted, plain
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from planner.adjusting.trial import new_trial
from planner.document import edits
from planner.document.batch import Addition, new_batch
from planner.evaluation.outcome import evaluate
from planner.evaluation.provenance import every_provenance, provenance
from planner.evaluation.provenance_methods import METHODS
from planner.reference.catalogue import catalogue
from planner.reporting.batch_file import load
from planner.ui import theme
from planner.ui.adjust.pane import AdjustPane
from planner.ui.curve.pane import CurvePane
from planner.ui.ingredients.sheet import figures, sheet
from planner.ui.recipe.folded import FoldedSection
from planner.ui.recipe.pane import RecipePane
from planner.ui.shell import explaining
from planner.ui.shell.explaining import HINT, QUESTION, Explaining, html, page, title_of
from planner.ui.shell.help import explained
from planner.ui.store import BatchStore
from planner.units import Kind

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
    for row in (*rows.values(), *panes.adjustment.mead_now.rows.values()):
        said = row.whatsThis()
        assert "Formulas and constants" in said
        assert HINT in row.toolTip()
    alcohol = plain(panes.recipe.results.finish["alcohol"].whatsThis())
    assert "nine in ten lie between" in alcohol
    assert "OIML R 22" in alcohol
    assert "Yeast makes 45 to 48.5 %" in alcohol


def test_that_each_part_of_the_finishing_gravity_tells_its_own(panes):
    said = {cells[0].text(): cells[0].whatsThis() for cells in panes.recipe.results.budget.cells if cells[0].text()}
    assert "higher sugars" in said["Honey's higher sugars"]
    assert "Gravity at the finish" in said["Together"]


def test_that_before_and_after_and_each_addition_tell_theirs(panes):
    rows = panes.adjustment.table.rows
    shown = panes.adjustment.table.shown
    for labels, change in zip(rows, shown, strict=True):
        assert title_of(f"mead.{change.what}") in labels[0].whatsThis()
    beneath = [row.beneath.whatsThis() for row in panes.adjustment.additions.editor.rows]
    assert "Erythritol" in beneath[0]
    assert "Erythritol" not in beneath[1]
    assert "R. F. Weiss" in panes.adjustment.verdict.whatsThis()


def test_that_where_it_stands_is_told_before_and_the_table_after_the_additions(qtbot):
    made = Panes(adjusted(("malic-acid", 0.05), ph=3.6))
    qtbot.addWidget(made)
    stands = plain(made.adjustment.mead_now.rows["ph"].whatsThis())
    assert "Acidity of the mead: pH</b>: 3.60" in stands
    assert "Malic acid" not in stands
    row = next(
        labels for labels, change in zip(made.adjustment.table.rows, made.adjustment.table.shown, strict=True)
        if change.what == "ph"
    )  # fmt: skip
    assert f"After additions: pH</b>: {METRIC.format_span(made.outcome.mead.ph, Kind.NUMBER).split(' ')[0]}" in plain(
        row[0].whatsThis()
    )
    assert "Malic acid" in row[0].whatsThis()


def test_that_an_addition_tells_how_far_its_sweetness_is_known(panes):
    assert "nine in ten lie between" in plain(panes.adjustment.additions.editor.rows[0].beneath.whatsThis())


def opened(panes):
    """Unfold all there is, so that everything the panes can say is said."""
    for section in panes.recipe.sections:
        if isinstance(section, FoldedSection):
            section.disclosure.setChecked(True)
    for fold in (*panes.adjustment.tools.folds, panes.adjustment.still, panes.adjustment.measured):
        fold.heading.setChecked(True)
    panes.recipe.results.budget.disclosure.setChecked(True)
    for pane in (panes.recipe, panes.curve, panes.adjustment):
        pane.show_outcome(panes.outcome)
    panes.explaining.show_outcome(panes.outcome, METRIC)
    panes.explaining.tell()
    return panes


def lines_of(widget):
    """A widget and what it lies in, outwards."""
    while widget is not None:
        yield widget
        widget = widget.parentWidget()


NO_RESULTS = ("Remark", "Remarks")
"""Doubts tell their reasons themselves, and cautions their sources."""

COUNTS = ("readings", "In points of 0.001")


@pytest.mark.parametrize("sample", ["raspberry-finished", "damson-stopped", "blackcurrant-half-way", "quince-planned"])
def test_that_every_figure_in_the_three_panes_can_be_asked_where_it_comes_from(qtbot, sample):
    made = Panes(load(sample), members=12)
    qtbot.addWidget(made)
    every_figure_tells(opened(made))


def test_that_so_can_every_figure_of_a_mead_with_additions_a_trial_and_steps(qtbot):
    batch = edits.change_adjustment(load("raspberry-finished"), vessel=0.021, additions=(
        Addition(key="erythritol", mass=0.6), Addition(key="water", mass=0.05), Addition(key="malic-acid", mass=0.02),
    ))  # fmt: skip
    batch = edits.add_trial(batch, new_trial(batch.adjustment.additions, 0.0195))
    batch = edits.log_doses(batch, Addition(key="erythritol", mass=0.36), at="2026-11-20T10:00+01:00")
    made = Panes(batch, members=12)
    qtbot.addWidget(made)
    every_figure_tells(opened(made))


def every_figure_tells(made):
    for pane in (made.recipe, made.curve, made.adjustment):
        for label in pane.findChildren(QLabel):
            if label.isHidden() or not any(figure in label.text() for figure in "0123456789"):
                continue
            around = list(lines_of(label))
            if any(type(widget).__name__ in NO_RESULTS for widget in around) or any(w in label.text() for w in COUNTS):
                continue
            assert any("Formulas and constants" in widget.whatsThis() for widget in around), label.text()


def test_that_curve_log_reasons_and_the_alcohol_so_far_tell_theirs(qtbot):
    made = Panes(load("damson-stopped"), members=12)
    qtbot.addWidget(made)
    told = {widget: widget.whatsThis() for widget in (made.curve.table, made.curve.so_far, made.curve.headline)}
    assert "Alcohol so far" in told[made.curve.table]
    assert "Readings of a hydrometer" in told[made.curve.table]
    assert "brewers" in told[made.curve.so_far]
    assert "nine in ten lie between" in plain(told[made.curve.so_far])
    assert "weighed against many musts" in told[made.curve.headline]
    assert "weighed against many musts" in made.curve.reasons.whatsThis()
    assert any(action.text() == QUESTION for action in made.curve.table.actions())


def test_that_a_text_that_can_be_selected_is_copied_and_asked_from_its_menu(panes):
    opened(panes)
    label = panes.adjustment.tools.finding.tool.answer
    label.setText("<b>600\u00a0g</b> erythritol")
    assert [action.text() for action in label.actions()] == [QUESTION, "Copy"]
    assert "Formulas and constants" in label.whatsThis()
    label.actions()[1].trigger()
    assert QApplication.clipboard().text() == "600 g erythritol"


def test_that_the_least_sure_of_what_enters_is_said(panes):
    assert "The least certain of what goes in" in panes.recipe.results.finish["alcohol"].whatsThis()


def test_that_texts_are_written_when_the_window_rests(qtbot):
    made = Panes(adjusted())
    qtbot.addWidget(made)
    row = made.recipe.results.must["volume"]
    row.setWhatsThis("")
    made.explaining.show_outcome(made.outcome, METRIC)
    assert row.whatsThis() == ""
    qtbot.waitUntil(lambda: "Formulas" in row.whatsThis())


@pytest.mark.parametrize("row", [*SHELF.fruits.values(), *SHELF.honeys.values(), *SHELF.yeasts.values(),
                                 *SHELF.nutrients.values(), *SHELF.additives.values()], ids=lambda row: row.key)  # fmt: skip
def test_that_each_ingredient_tells_each_figure_with_range_and_footing(row):
    told = plain(sheet(row, SHELF, METRIC))
    for name, value, status in figures(row, METRIC):
        assert name in told.replace("&#x27;", "'")
        assert status.label in told
        assert value
    for key in row.sources:
        assert SHELF.source(key).title.partition("'")[0].partition("&")[0] in told


def test_that_an_estimate_is_told_as_a_range():
    fruit = SHELF.fruit("blackcurrant")
    told = {name: (value, status) for name, value, status in figures(fruit, METRIC)}
    value, status = told["Nitrogen for yeast, in the juice"]
    assert "(" in value
    assert status is fruit.nitrogen_status
    for each in SHELF.fruits.values():
        assert not each.nitrogen.is_exact
        assert each.sugar.low < each.sugar.high


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
