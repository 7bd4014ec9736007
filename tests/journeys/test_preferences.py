"""All habits in one window; each counts at once. And what the program is made of."""

from __future__ import annotations

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QPushButton

from planner.document.batch import Price, Prices
from planner.ui.settings import LETTERS, Appearance
from planner.ui.shell.help import Reader
from planner.ui.shell.preferences import Preferences
from planner.units import GravityScale, System


def preferences(visit, *answers):
    made = visit(*answers, sample="quince-planned")
    assert made.outcome is not None
    made.act("show_preferences")
    return made, made.window.findChild(Preferences)


def test_that_units_scale_and_theme_are_chosen_and_count_at_once(visit):
    made, window = preferences(visit)
    window.system.choose(System.US)
    window.scale.choose(GravityScale.BRIX)
    window.appearance.choose(Appearance.DARK)
    settings = made.window.settings
    assert (settings.system, settings.gravity_scale, settings.appearance) == (
        System.US, GravityScale.BRIX, Appearance.DARK,
    )  # fmt: skip
    assert "lb" in made.window.recipe.fruit.editor.rows[0].cells[1].text()
    assert "US units · °Brix" in made.window.status.habits.text()
    window.close()


def test_that_letters_are_kept_for_the_next_start(visit):
    made, window = preferences(visit)
    window.letters.choose(14)
    assert made.window.settings.letters == 14
    assert 14 in LETTERS
    window.letters.choose(0)
    assert made.window.settings.letters == 0
    window.close()


def test_that_the_folder_of_batches_is_chosen(visit, tmp_path):
    (tmp_path / "batches").mkdir()
    made, window = preferences(visit, tmp_path / "batches")
    window.choose_folder.click()
    assert made.window.settings.cellar == tmp_path / "batches"
    assert window.folder.text_shown().endswith("batches")
    window.close()


def test_that_hints_come_back_and_go(visit):
    made, window = preferences(visit)
    assert not window.hints.isChecked()
    window.hints.click()
    assert made.window.first.bar.isVisible()
    window.hints.click()
    assert not made.window.first.bar.isVisible()
    window.close()


def test_that_prices_for_new_batches_are_seen_changed_and_forgotten(visit):
    made = visit(sample="quince-planned")
    made.window.settings.prices = Prices(currency="kr", lines=(Price(key="quince", per_kg=20.0),), bottle=8.0)
    made.act("show_preferences")
    window = made.window.findChild(Preferences)
    assert (window.currency.text(), window.bottle.text()) == ("kr", "8")
    assert window.priced.text().startswith("1 kept")
    made.type(window.bottle, "9.5")
    assert made.window.settings.prices.bottle == 9.5
    window.forget.click()
    assert made.window.settings.prices == Prices()
    window.close()


def test_that_about_names_every_part_with_its_licence_and_copies_the_details(visit):
    made = visit()
    made.act("about")
    reader = made.window.findChild(Reader)
    copy = next(b for b in reader.findChildren(QPushButton) if b.text() == "&Copy details")
    copy.click()
    details = QGuiApplication.clipboard().text()
    for name in ("PySide6", "matplotlib", "numpy", "scipy", "msgspec", "icalendar", "Qt ", "Python ", "kiwisolver"):
        assert name in details
    assert "LGPL-3.0-only" in details
    assert str(made.window.settings.folder) not in details
    reader.close()
