"""A person's own ingredients in the window: copied, changed in their units, kept in a file, offered, and taken along."""

from __future__ import annotations

import msgspec
import pytest
from adjust_bench import METRIC, US, plain, planned
from helpers import ScriptedAsk
from PySide6.QtCore import Qt

from planner.document import edits
from planner.document.batch import FruitLine
from planner.document.carried_ingredients import carrying, used_keys
from planner.reference.catalogue import catalogue
from planner.reference.own import OwnFruit, OwnIngredients, OwnYeast, decode_own, encode_own
from planner.reference.status import Status
from planner.ui import theme
from planner.ui.asking import Answer
from planner.ui.ingredients.editor import IngredientEditor
from planner.ui.ingredients.own_shelf import FILE, OwnShelf
from planner.ui.recipe.pane import RecipePane
from planner.ui.store import BatchStore

SHELF = catalogue()
MINE = OwnFruit(key="own-hedge", name="Hedge currants", based_on="blackcurrant", sugar=(0.09, 0.10, 0.11))


def giving_up():
    """Somebody who gives up what was typed as often as that is asked about."""
    return ScriptedAsk(*[Answer.DISCARD] * 9)


@pytest.fixture
def own(tmp_path):
    return OwnShelf(SHELF, tmp_path / "new" / FILE)


@pytest.fixture
def editor(own, qtbot):
    made = IngredientEditor(own, METRIC, ask=giving_up())
    qtbot.addWidget(made)
    with qtbot.waitExposed(made):
        made.show()
    return made


def copy(editor, key):
    index = editor.copy.findData(key)
    assert index >= 0
    editor.copy.setCurrentIndex(index)
    editor.copy.activated.emit(index)


def type_in(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def listed(editor):
    return [editor.list.item(i).text() for i in range(editor.list.count())]


def test_that_a_copy_shows_the_values_of_the_shelf_dim_and_none_of_its_own(editor):
    copy(editor, "fruits/blackcurrant")
    typical = editor.form.fields["sugar"][0]
    assert typical.value is None
    base = SHELF.fruit("blackcurrant").sugar.typical
    assert plain(typical.placeholderText()) == f"{100 * base:.1f} %"
    assert editor.form.name.text() == "My blackcurrant"


def test_that_a_value_of_ones_own_is_kept_in_the_file_and_offered(editor, own, qtbot):
    copy(editor, "fruits/blackcurrant")
    type_in(qtbot, editor.form.fields["sugar"][0], "10")
    type_in(qtbot, editor.form.fields["sugar"][1], "9.5 %")
    type_in(qtbot, editor.form.fields["sugar"][2], "10.5")
    with qtbot.waitSignal(editor.kept):
        editor.save.click()
    (row,) = own.mine.fruits
    assert row.sugar == pytest.approx((0.095, 0.10, 0.105))
    assert row.acid is None
    assert OwnShelf(SHELF, own._file).mine == own.mine
    assert own.catalogue.fruit(row.key).name == "My blackcurrant"
    assert row.key not in SHELF.fruits
    assert listed(editor) == ["My blackcurrant (fruit)"]


@pytest.mark.parametrize(
    ("of", "field", "text", "said"),
    [
        ("fruits/blackcurrant", "sugar", "110", "more than the whole"),
        ("honeys/blossom", "moisture", "120 %", "more than the whole"),
        ("honeys/blossom", "moisture", "60 %", "From 5 % to 50 % is accepted."),
        ("yeasts/all-rounder", "t_low", "-300 °C", "below absolute zero"),
        ("additives/sugar", "teaspoon", "-4 g", "cannot be negative"),
    ],
)
def test_that_the_impossible_is_refused_by_the_field_and_nothing_is_kept(editor, own, qtbot, of, field, text, said):
    copy(editor, of)
    typed = editor.form.fields[field][0]
    type_in(qtbot, typed, text)
    assert said in plain(typed.problem_text)
    editor.save.click()
    assert not own.mine


def test_that_the_strength_of_a_spirit_is_taken_as_its_label_says_it(editor, own, qtbot):
    copy(editor, "additives/spirit-40")
    type_in(qtbot, editor.form.parts["ethanol"], "60 % vol")
    # OIML R 22, table: 60 % vol at 20 °C are 52.09 % by mass; water is the rest.
    assert editor.form.parts["ethanol"].value == pytest.approx(0.5209, abs=1e-4)
    assert editor.form.parts["water"].value == pytest.approx(0.4791, abs=1e-4)
    editor.save.click()
    (row,) = own.mine.additives
    assert dict(row.composition)["ethanol"] == pytest.approx(0.5209, abs=1e-4)
    type_in(qtbot, editor.form.parts["ethanol"], "50 %")
    assert editor.form.parts["ethanol"].value == 0.5  # by mass, where no volume is spoken of


@pytest.mark.parametrize("text", ["nan", "inf", "a lot"])
def test_that_what_is_no_number_is_refused(editor, own, qtbot, text):
    copy(editor, "fruits/blackcurrant")
    typed = editor.form.fields["acid"][0]
    type_in(qtbot, typed, text)
    assert typed.problem_text
    editor.save.click()
    assert not own.mine


def test_that_values_that_cannot_be_together_are_told_by_name(editor, own, qtbot):
    copy(editor, "fruits/blackcurrant")
    type_in(qtbot, editor.form.fields["sugar"][0], "95")
    editor.save.click()
    assert "My blackcurrant: sugars, sorbitol and acid together leave no water" in editor.problem.text
    type_in(qtbot, editor.form.fields["sugar"][0], "10")
    type_in(qtbot, editor.form.fields["sugar"][1], "12")
    editor.save.click()
    assert "sugars of the flesh: 12 %, 10 %, 10 % do not rise" in editor.problem.text
    assert not own.mine


def test_that_a_yeast_is_entered_from_its_datasheet_in_the_readers_units(own, qtbot):
    editor = IngredientEditor(own, US)
    qtbot.addWidget(editor)
    copy(editor, "yeasts/all-rounder")
    type_in(qtbot, editor.form.fields["t_high"][0], "86")
    type_in(qtbot, editor.form.fields["tolerance"][0], "14")
    editor.save.click()
    (row,) = own.mine.yeasts
    assert row.t_high == pytest.approx(303.15)  # 86 °F is 30 °C by definition
    assert row.tolerance == pytest.approx((0.14, 0.14, 0.14))


def test_that_an_additive_must_come_to_a_whole(editor, own, qtbot):
    copy(editor, "additives/sugar")
    for key in list(editor.form.parts):
        editor.form.parts[key].show_si(None)
    type_in(qtbot, editor.form.parts["glucose"], "40")
    editor.save.click()
    assert "the parts come to 40.0%" in editor.problem.text
    type_in(qtbot, editor.form.parts["water"], "60")
    editor.save.click()
    (row,) = own.mine.additives
    assert dict(row.composition) == pytest.approx({"water": 0.6, "glucose": 0.4})


def test_that_an_untouched_additive_keeps_the_composition_of_the_shelf(editor, own):
    copy(editor, "additives/sugar")
    editor.save.click()
    assert own.mine.additives[0].composition is None


def test_that_a_row_is_removed_from_file_and_list(editor, own):
    own.keep(MINE)
    editor.list.setCurrentRow(0)
    editor.remove.click()
    assert not own.mine
    assert listed(editor) == []
    assert editor.form is None


def test_that_a_batch_brings_its_ingredients_along(editor, own):
    own.show_batch(msgspec.structs.replace(planned(), own=OwnIngredients(fruits=(MINE,))))
    assert listed(editor) == ["Hedge currants (fruit, from this batch)"]
    assert own.catalogue.fruit("own-hedge").name == "Hedge currants"
    own.show_batch(planned())
    assert "own-hedge" not in own.catalogue.fruits


def test_that_a_spoilt_file_is_told_and_left_as_it_is(tmp_path):
    file = tmp_path / FILE
    file.write_bytes(b"{ spoilt")
    own = OwnShelf(SHELF, file)
    assert "cannot be read" in own.problem
    with pytest.raises(OSError, match="was not changed"):
        own.keep(MINE)
    assert file.read_bytes() == b"{ spoilt"


def test_that_two_windows_lose_none_of_each_other_s_ingredients(own):
    other = OwnShelf(SHELF, own._file)
    own.keep(MINE)
    sachet = OwnYeast(key="own-yeast", name="Sachet", based_on="all-rounder")
    other.keep(sachet)
    assert own.keep(msgspec.structs.replace(MINE, note="again")).key == MINE.key
    other.remove(sachet)
    assert OwnShelf(SHELF, own._file).mine.rows() == (msgspec.structs.replace(MINE, note="again"),)


def test_that_rows_of_two_windows_with_one_key_are_both_kept(own):
    other = OwnShelf(SHELF, own._file)
    own.keep(MINE)
    theirs = other.keep(msgspec.structs.replace(MINE, note="of the other"))
    assert theirs.key != MINE.key
    assert set(OwnShelf(SHELF, own._file).mine.rows()) == {MINE, theirs}


def test_that_the_editor_says_why_a_row_was_not_kept(qtbot, tmp_path):
    (tmp_path / FILE).write_bytes(b"{ spoilt")
    editor = IngredientEditor(OwnShelf(SHELF, tmp_path / FILE), METRIC, ask=giving_up())
    qtbot.addWidget(editor)
    copy(editor, "fruits/damson")
    editor.save.click()
    assert "was not changed" in editor.problem.text


def test_that_an_edit_makes_the_batch_carry_what_it_uses(own):
    own.keep(MINE)
    own.keep(OwnYeast(key="own-yeast", name="Sachet", based_on="all-rounder"))
    store = BatchStore(planned(), complete=own.carried)
    store.edit(edits.add_line(store.batch, "fruits", FruitLine(key="own-hedge", mass=1.0)), "add")
    assert store.batch.own == OwnIngredients(fruits=(MINE,))
    store.undo_stack.undo()
    assert not store.batch.own


def test_that_a_batch_that_lacks_nothing_stays_the_same_object():
    batch = planned()
    assert carrying(batch, OwnIngredients(fruits=(MINE,)), SHELF) is batch
    assert used_keys(batch)["fruits"] == {"blackcurrant"}


def test_that_the_recipe_offers_an_own_fruit_as_soon_as_it_is_kept(own, qtbot):
    store = BatchStore(planned(), complete=own.carried)
    pane = RecipePane(store, own.catalogue, METRIC, theme.LIGHT)
    qtbot.addWidget(pane)
    own.changed.connect(pane.show_shelf)
    own.keep(MINE)
    assert pane.fruit.editor.empty.findData("own-hedge") >= 0
    assert pane.fruit.editor.rows[0].cells[0].findData("own-hedge") >= 0
    own.keep(OwnYeast(key="own-yeast", name="Sachet", based_on="all-rounder"))
    assert pane.yeast.choice.findData("own-yeast") >= 0
    assert pane.yeast.choice.key == "all-rounder"


def test_that_the_file_is_readable_json_with_units_in_its_keys(own):
    own.keep(MINE)
    data = own._file.read_bytes()
    assert b'"sugar_fraction"' in data
    assert decode_own(data) == own.mine
    assert encode_own(own.mine) == data


@pytest.mark.parametrize("choice", ["yeasts/all-rounder", "fruits/blackcurrant", "additives/maltodextrin-10"])
def test_that_every_field_has_room_and_says_on_what_footing_the_shelf_stands(editor, choice):
    copy(editor, choice)
    form = editor.form
    assert form.minimumSizeHint().width() <= editor._area.viewport().width()
    for fields in form.fields.values():
        for field in fields:
            assert any(status.label in field.toolTip() for status in Status)


def test_that_another_ingredient_is_not_shown_over_what_was_typed_unasked(own, qtbot):
    own.keep(MINE)
    own.keep(OwnYeast(key="own-yeast", name="Sachet", based_on="all-rounder"))
    ask = ScriptedAsk(Answer.CANCEL, Answer.CANCEL, Answer.DISCARD)
    editor = IngredientEditor(own, METRIC, ask=ask)
    qtbot.addWidget(editor)
    editor.list.setCurrentRow(0)
    first = editor.form
    first.note.setText("label")
    editor.list.setCurrentRow(1)
    assert editor.form is first
    assert editor.list.currentRow() == 0
    editor.copy.chosen.emit("fruits/damson")
    assert editor.form is first
    editor.list.setCurrentRow(1)
    assert editor.form is not first
    assert ask.is_done
