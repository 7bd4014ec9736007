"""The lines of what is stirred into the finished mead."""

from __future__ import annotations

import pytest
from adjust_bench import METRIC, SHELF, US, Bench, adjusted, choose, plain, planned
from PySide6.QtCore import Qt

from planner.document import edits
from planner.document.batch import Addition, new_batch
from planner.ui.adjust.additions import FIRST_DOSE, first_mass
from planner.wording.finding import Level


@pytest.fixture
def bench(qtbot):
    def make(batch=None, **options):
        return Bench(qtbot, planned() if batch is None else batch, **options)

    return make


def remarks_of(row):
    return [
        (finding.level, plain(text)) for finding, text in zip(row.remarks.findings, row.remarks.texts(), strict=True)
    ]


def test_that_choosing_in_the_empty_line_adds_a_round_first_dose(bench):
    made = bench(adjusted()).open()
    choose(made, "erythritol")
    (addition,) = made.adjustment.additions
    assert addition == Addition(key="erythritol", mass=0.1)  # 5 g/L in 20 L
    assert made.undo.undoText() == "add erythritol"
    made.qtbot.waitUntil(made.rows[0].cells[1].hasFocus)
    assert made.pane.additions.editor.empty.key is None
    made.undo.undo()
    assert not made.rows


@pytest.mark.parametrize("group", sorted(FIRST_DOSE))
@pytest.mark.parametrize("volume", [None, 0.004, 0.0183, 1.0])
def test_that_a_first_mass_is_round_and_near_the_first_dose(group, volume):
    mass = first_mass(group, volume)
    assert mass == pytest.approx(FIRST_DOSE[group] * (volume or 0.010), rel=0.05)
    assert float(f"{mass:.1e}") == mass


def test_that_every_additive_is_offered_under_the_heading_of_its_group(bench):
    made = bench()
    field = made.pane.additions.editor.empty
    group, offered = "", {}
    for index in range(field.count()):
        key = field.itemData(index)
        if isinstance(key, str):
            offered[key] = group
        else:
            group = key[1]
            assert not field.model().index(index, 0).flags() & Qt.ItemFlag.ItemIsEnabled
    assert offered == {key: row.group for key, row in SHELF.additives.items()}


@pytest.mark.qt_log_ignore("This plugin does not support (raise|grabbing)", extend=True)
@pytest.mark.parametrize("key", [Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_Space, Qt.Key.Key_E])
def test_that_a_key_in_the_empty_line_opens_the_list_and_adds_nothing(bench, key):
    made = bench(adjusted()).open()
    field = made.pane.additions.editor.empty
    field.setFocus()
    made.qtbot.keyClick(field, key)
    assert field.view().isVisible()
    assert not made.adjustment.additions
    field.hidePopup()


@pytest.mark.qt_log_ignore("This plugin does not support (raise|grabbing)", extend=True)
def test_that_the_letter_that_opens_the_list_counts_as_typed_in_it(bench):
    made = bench(adjusted()).open()
    field = made.pane.additions.editor.empty
    field.setFocus()
    made.qtbot.keyClick(field, "e")
    made.qtbot.keyClicks(field.view(), "ryt")
    assert field.view().currentIndex().data() == "Erythritol"
    made.qtbot.keyClick(field.view(), Qt.Key.Key_Return)
    assert [line.key for line in made.adjustment.additions] == ["erythritol"]
    made.qtbot.waitUntil(lambda: made.rows[0].cells[1].selectedText() == made.rows[0].cells[1].text())


@pytest.mark.parametrize(
    ("key", "density"),
    # densities of the shelf's rows [kg/m3], which tests of the shelf check against their sources
    [("vanilla-extract", 959.6), ("lactic-acid-80", 1190.0), ("water", 998.2), ("honey", 1420.0)],
)
def test_that_a_liquid_is_taken_by_volume_in_its_amount(bench, key, density):
    made = bench(adjusted((key, 0.02))).open()
    made.type(made.rows[0].cells[1], "10 mL")
    assert made.adjustment.additions[0].mass == pytest.approx(10e-6 * density)
    made.type(made.rows[0].cells[1], "25")  # a bare number is still in the unit shown
    assert made.adjustment.additions[0].mass == pytest.approx(0.025)


def test_that_a_spirit_by_volume_goes_by_its_label(bench):
    made = bench(adjusted(("spirit-40", 0.2))).open()
    batch = edits.change_addition(made.store.batch, 0, alcohol=0.5)
    made.store.edit(batch, "label", "")
    made.type(made.rows[0].cells[1], "100 mL")
    # OIML R 22, table: 50 % vol weighs 930.1 kg/m3 at 20 °C
    assert made.adjustment.additions[0].mass == pytest.approx(0.09301, rel=5e-4)


def test_that_a_solid_is_not_taken_by_volume(bench):
    made = bench(adjusted(("erythritol", 0.1))).open()
    made.type(made.rows[0].cells[1], "10 mL")
    assert "is a volume" in made.rows[0].cells[1].problem_text
    assert made.adjustment.additions[0].mass == 0.1


def test_that_a_first_mass_is_round_in_the_readers_unit(bench):
    made = bench(adjusted(), display=US).open()
    choose(made, "erythritol")
    assert plain(made.rows[0].cells[1].text()) == "3.5 oz"  # 5 g/L in 20 L are 100 g, or 3.527 oz: 28.3495 g each


def test_that_amount_and_dose_set_each_other(bench):
    made = bench(adjusted(("erythritol", 0.1))).open()
    _, mass, dose = made.rows[0].cells
    assert (plain(mass.text()), plain(dose.text())) == ("100 g", "5 g/L")
    made.type(mass, "400 g")
    assert made.adjustment.additions[0].mass == pytest.approx(0.4)
    assert plain(dose.text()) == "20 g/L"
    made.type(dose, "12.5")
    assert made.adjustment.additions[0].mass == pytest.approx(0.25)  # 12.5 g/L in 20 L
    assert plain(mass.text()) == "250 g"


def test_that_the_dose_follows_the_volume_and_the_amount_stays(bench):
    made = bench(adjusted(("erythritol", 0.1))).open()
    made.type(made.pane.mead_now.volume, "10 L")
    assert made.adjustment.additions[0].mass == 0.1
    assert plain(made.rows[0].cells[2].text()) == "10 g/L"


def test_that_there_is_no_dose_without_a_volume(bench):
    made = bench(edits.add_addition(new_batch(), Addition(key="erythritol", mass=0.1)))
    _, mass, dose = made.rows[0].cells
    assert plain(mass.text()) == "100 g"
    assert not dose.isEnabled()
    assert dose.text() == ""
    made.store.load(adjusted(("erythritol", 0.1)))
    assert made.rows[0].cells[2].isEnabled()


def test_that_arrows_move_the_results_at_once_and_are_one_step_to_undo(bench):
    made = bench(adjusted(("sugar", 0.4))).open()
    mass = made.rows[0].cells[1]
    mass.setFocus()
    sweet = made.outcome.mead.after.sweetness.typical
    for _ in range(5):
        made.qtbot.keyClick(mass, Qt.Key.Key_Up)
    assert made.adjustment.additions[0].mass == pytest.approx(0.5)  # 20 g a step, 5 % of 400 g
    assert made.outcome.mead.after.sweetness.typical > sweet
    assert made.undo.count() == 1
    made.pane.mead_now.volume.setFocus()
    mass.setFocus()
    made.qtbot.keyClick(mass, Qt.Key.Key_Down)
    assert made.undo.count() == 2  # another visit is another step
    made.undo.undo()
    made.undo.undo()
    assert made.adjustment.additions[0].mass == 0.4


def test_that_an_ingredient_can_be_changed_for_another(bench):
    made = bench(adjusted(("sugar", 0.4), ("malic-acid", 0.02)))
    field = made.rows[0].cells[0]
    index = field.findData("xylitol")
    field.setCurrentIndex(index)
    field.activated.emit(index)
    assert [addition.key for addition in made.adjustment.additions] == ["xylitol", "malic-acid"]
    assert made.undo.undoText() == "xylitol instead"


def test_that_a_line_is_removed_and_the_others_stay(bench):
    made = bench(adjusted(("sugar", 0.4), ("erythritol", 0.1), ("malic-acid", 0.02)))
    kept = made.rows[2]
    made.rows[1].remove.click()
    assert [addition.key for addition in made.adjustment.additions] == ["sugar", "malic-acid"]
    assert made.rows[1] is kept
    assert made.undo.undoText() == "remove erythritol"
    assert plain(kept.beneath.text()).endswith("about 4.5 tsp")
    made.undo.undo()
    assert [row.cells[0].key for row in made.rows] == ["sugar", "erythritol", "malic-acid"]


def test_that_every_line_tells_what_it_does(bench):
    made = bench(adjusted(("erythritol", 0.4), ("malic-acid", 0.02)))
    first, second = (plain(row.beneath.text()) for row in made.rows)
    assert "g/L sweetness" in first
    assert first.endswith("about 490 mL; yeast will not ferment it")
    assert "g/L acid" in second
    assert "Sources:" in made.rows[0].cells[0].toolTip()


@pytest.mark.parametrize(
    ("key", "mark"),
    [("honey", "Ferments."), ("sugar", "Ferments."), ("maltodextrin-18", "Ferments in part."), ("erythritol", "")],
)
def test_that_what_ferments_is_marked_by_sign_and_word(bench, key, mark):
    made = bench(adjusted((key, 0.1)))
    marks = [(level, text) for level, text in remarks_of(made.rows[0]) if "erment" in text.split(".")[0]]
    if not mark:
        assert not marks
        return
    ((level, text),) = marks
    assert level == Level.WARNING
    assert text.startswith(mark)
    made.store.edit(edits.change_adjustment(made.store.batch, stabilised=True), "")
    level, text = remarks_of(made.rows[0])[0]
    assert level == Level.NOTE
    assert text.startswith("Yeast will ferment it")


def test_that_cautions_and_warnings_stand_below_the_line_that_causes_them(bench):
    made = bench(adjusted(("honey", 0.1), ("erythritol", 3.0)))
    honey, erythritol = (dict(map(reversed, remarks_of(row))) for row in made.rows)
    assert any("infant" in text for text in honey)
    assert any("crystallise" in text and level == Level.ERROR for text, level in erythritol.items())
    assert any("Ask a doctor" in text for text in erythritol)


def test_that_an_ingredient_that_is_not_on_the_shelf_is_named_and_can_be_removed(bench):
    made = bench(adjusted(("nowhere-sold", 0.1)))
    row = made.rows[0]
    assert "nowhere-sold" in row.cells[0].placeholderText()
    assert any("holds no additive 'nowhere-sold'" in text for _, text in remarks_of(row))
    row.remove.click()
    assert not made.adjustment.additions


@pytest.mark.parametrize(("display", "text"), [(METRIC, "an adult of 70 kg may take 35 g a day"),
                                               (US, "an adult of 154 lb may take 1.23 oz a day")])  # fmt: skip
def test_that_erythritol_is_told_beside_what_an_adult_may_take(bench, display, text):
    # EFSA Journal 2023;21(12):8430: 0.5 g for each kg of body weight and day; a pound is 0.45359 kg, an ounce 28.35 g
    made = bench(adjusted(("erythritol", 0.6)), display=display)
    assert any(text in words for _, words in remarks_of(made.rows[0]))


def test_that_a_refused_edit_says_why_and_is_taken_back(bench):
    made = bench(adjusted(("sugar", 0.4), volume=1000.0)).open()
    dose = made.rows[0].cells[2]
    made.type(dose, "1000 g/L")  # a million kilograms: more than a file holds
    assert "100000" in made.pane.refused.text
    assert not made.pane.refused.isHidden()
    assert made.adjustment.additions[0].mass == 0.4
    assert plain(dose.text()) == "0 g/L"
    made.type(dose, "1 g/L")
    assert made.pane.refused.isHidden()
