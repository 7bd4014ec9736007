"""The report and the next batch, by the menu of files."""

from __future__ import annotations

import json

import msgspec
import pytest

from planner.document.batch import Adjustment
from planner.document.codec import decode
from planner.reference.shipped import samples
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.ui.asking import Answer
from planner.ui.papers.making import Kind

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_the_report_written_from_the_window_holds_the_whole_recipe(visit, tmp_path, sample):
    path = tmp_path / "report.txt"
    made = visit(path, sample=sample)
    _ = made.outcome
    made.act("export_report")
    text = path.read_text(encoding="utf-8").replace("\u00a0", " ")
    recipe, shelf = made.batch.recipe, made.window.catalogue
    for line in recipe.fruits:
        assert f"{line.mass:g} kg  {shelf.fruit(line.key).name}" in text
    for line in recipe.honeys:
        assert f"{line.mass:g} kg  {shelf.honey(line.key).name}" in text
    for feed in recipe.feeds:
        assert f"{feed.mass * 1e3:g} g  {shelf.nutrient(feed.key).name}" in text
    assert f"{recipe.yeast.pitch * 1e3:g} g  {shelf.yeast(recipe.yeast.key).name}" in text
    assert (f"{recipe.water:g} kg  water" in text) == (recipe.water > 0.0)
    assert made.batch.notes in text
    assert made.ask.is_done


def test_that_the_report_says_the_temperature_that_the_window_says(visit):
    made = visit(sample="damson-stopped")
    outcome = made.outcome
    text = as_text(as_data(outcome, made.window.catalogue))
    assert "Warm it slowly from 12.5 to 20.0 °C" in text.replace("\u00a0", " ")
    assert "Warm it slowly from 12.5" in made.window.curve.headline.next.text().replace("\u00a0", " ")


def test_that_a_name_ending_in_json_makes_the_report_json(visit, tmp_path):
    path = tmp_path / "report.json"
    made = visit(path, sample="raspberry-finished")
    outcome = made.outcome
    made.act("export_report")
    assert json.loads(path.read_text(encoding="utf-8")) == as_data(outcome, made.window.catalogue)
    assert "Wrote report.json" in made.window.status.currentMessage()


def test_that_the_papers_are_seen_printed_and_saved(visit, tmp_path):
    printed, saved, page = tmp_path / "printed.pdf", tmp_path / "saved.pdf", tmp_path / "saved.html"
    made = visit(printed, None, saved, page, sample="raspberry-finished")
    _ = made.outcome
    made.act("show_papers")
    dialog = made.window.exchange.papers

    def settle():
        made.qtbot.waitUntil(lambda: not (dialog.drawing.is_busy or dialog.errands.is_busy), timeout=30_000)

    settle()
    assert len(dialog.pages) > 5
    dialog.print.click()
    settle()
    assert printed.read_bytes().startswith(b"%PDF")
    assert dialog.state.text() == "Sent to the printer"
    dialog.print.click()  # answered by nothing to print on
    settle()
    dialog.save[Kind.PDF].click()
    settle()
    assert saved.read_bytes().startswith(b"%PDF")
    dialog.save[Kind.HTML].click()
    settle()
    assert "Canes Raspberry" in page.read_text(encoding="utf-8")
    assert made.window.status.currentMessage() == "Wrote saved.html"
    dialog.reject()
    assert made.ask.is_done


def test_that_the_next_batch_has_the_recipe_and_asks_to_save_the_old_one(visit, tmp_path):
    file = tmp_path / "old.meadbatch"
    made = visit(Answer.CANCEL, Answer.SAVE, file, sample="raspberry-finished")
    field = made.window.recipe.honey.editor.rows[0].cells[1]
    made.type(field, "5.5 kg")
    old = made.batch
    made.act("next_batch")  # cancelled
    assert made.batch == old
    made.act("next_batch")
    assert decode(file.read_bytes()) == old
    assert made.batch.recipe == msgspec.structs.replace(old.recipe, pitch_planned=None, calendar="")
    assert made.batch.name == "Canes Raspberry 2"
    assert not len(made.batch.log.readings)
    assert made.batch.adjustment == Adjustment(serving_temperature=old.adjustment.serving_temperature)
    assert made.window.documents.path is None
    assert not made.window.store.is_modified
    assert made.outcome.headline.stage == "plan"
    assert made.ask.is_done
