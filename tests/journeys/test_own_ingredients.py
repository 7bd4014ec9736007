"""From a measured fruit to a batch that takes it along to another person's machine."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication

from planner.ui.ingredients.editor import IngredientEditor
from planner.ui.shell.help import Reader


def opened(kind):
    return next(widget for widget in QApplication.topLevelWidgets() if isinstance(widget, kind) and widget.isVisible())


def test_that_an_own_fruit_goes_from_the_editor_through_the_recipe_into_the_file(visit, tmp_path):
    file = tmp_path / "mine.meadbatch"
    at = visit(file, sample="raspberry-finished")
    at.act("edit_ingredients")
    editor = opened(IngredientEditor)
    at.choose(editor.copy, "fruits/raspberry")
    at.type(editor.form.fields["sugar"][0], "9.0")
    editor.save.click()
    editor.close()
    (mine,) = at.window.own.mine.fruits
    at.choose(at.window.recipe.fruit.editor.rows[0].cells[0], mine.key)
    assert at.batch.own.fruits == (mine,)
    before = at.outcome.must.sugar.typical
    at.act("edit_ingredients")
    editor = opened(IngredientEditor)
    editor.list.setCurrentRow(0)
    at.type(editor.form.fields["sugar"][0], "12")
    editor.save.click()
    editor.close()
    assert at.batch.own.fruits[0].sugar[1] == 0.12
    assert at.outcome.must.sugar.typical > before
    at.act("save_as")
    (tmp_path / "ingredients.json").unlink()
    other = visit(file=file)
    assert other.window.recipe.fruit.editor.rows[0].cells[0].currentText() == "My raspberry"
    assert other.outcome.must is not None


def test_that_the_page_of_all_figures_opens_from_the_menu(visit):
    at = visit(sample="raspberry-finished")
    assert at.outcome.mead is not None
    at.act("show_provenance")
    reader = opened(Reader)
    assert reader.windowTitle() == "Where the figures come from"
    reader.close()
