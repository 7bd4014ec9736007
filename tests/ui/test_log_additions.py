"""What was added while it worked, as it is typed into the log, shown there and on the curve, and kept in tables."""

from __future__ import annotations

import fermenting
import pytest
from example_batches import SHELF
from PySide6.QtCore import QLocale

from planner.document.batch import Event, HoneyLine, StepFeed, SugarReading, What
from planner.document.edits import add_readings, change_recipe
from planner.recipe.step_feeding import density_of
from planner.ui.curve.plot_data import scene_of
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log.entry import read_value
from planner.ui.log.names import names_on
from planner.ui.log.text import hint, value_text

ENGLISH, GERMAN, AMERICAN, FRENCH = (Display(locale=QLocale(name)) for name in ("en_GB", "de_DE", "en_US", "fr_FR"))
NAMES = names_on(SHELF)
POUND, FLUID_OUNCE = 0.45359237, 29.5735295625e-6  # NIST SP 811, appendix B.8


@pytest.mark.parametrize(
    ("text", "key", "mass"),
    [
        ("added 500 g honey", "blossom", 0.5),
        ("honey 0.5 kg", "blossom", 0.5),
        ("0.5 kg of honey", "blossom", 0.5),
        ("added 1/2 kg clover honey", "clover", 0.5),
        ("Add honey: 1 lb", "blossom", POUND),
        ("sugar 200 g", "sugar", 0.2),
        ("added 2 L apple juice", "apple", 2e-3 * density_of("apple", SHELF)),
        ("apple juice 2 L", "apple", 2e-3 * density_of("apple", SHELF)),
        ("added 3 fl oz sour cherry juice", "sour-cherry", 3 * FLUID_OUNCE * density_of("sour-cherry", SHELF)),
        ("1 L water", "water", 0.9982),
    ],
)
def test_that_an_addition_is_read_with_its_word_or_without(text, key, mass):
    units = AMERICAN if "fl oz" in text else ENGLISH
    entry = read_value(text, units, "", NAMES)
    assert (entry.what, entry.key) == (What.ADDED, key)
    assert entry.mass == pytest.approx(mass, rel=1e-4)


@pytest.mark.parametrize(
    ("text", "what", "key", "mass"),
    [
        ("250 g erythritol", What.DOSE, "erythritol", 0.25),
        ("erythritol 250 g", What.DOSE, "erythritol", 0.25),
        ("4 g diammonium phosphate", What.FEED, "diammonium-phosphate", 0.004),
        ("4 g DAP", What.FEED, "diammonium-phosphate", 0.004),
    ],
)
def test_that_the_name_of_what_was_given_tells_whether_it_is_a_dose_or_a_feed(text, what, key, mass):
    entry = read_value(text, ENGLISH, "", NAMES)
    assert (entry.what, entry.key, entry.mass) == (what, key, pytest.approx(mass))


@pytest.mark.parametrize(
    "text",
    ["120 g maltodextrin, DE 10", "maltodextrin DE 10 120 g", "maltodextrin, DE 10, 120 g", "120 g DE 10", "dosed 120 g maltodextrin, DE 10", "dosed maltodextrin DE 10, 120 g"],
)  # fmt: skip
def test_that_a_name_may_hold_a_number(text):
    for units in (ENGLISH, GERMAN, FRENCH):  # in France a space parts the thousands
        entry = read_value(text, units, "", NAMES)
        assert (entry.what, entry.key, entry.mass) == (What.DOSE, "maltodextrin-10", pytest.approx(0.12))
        assert read_value(value_text(entry, units, NAMES), units, "", NAMES) == entry


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("120 g maltodextrin", [f"dosed 120 g Maltodextrin DE {number}" for number in (5, 10, 18)]),
        ("500 g cherry juice", ["added 500 g Sour cherry juice", "added 500 g Sweet cherry juice"]),
        ("dosed 120 g maltodextrin", ["Maltodextrin DE 5", "Maltodextrin DE 18"]),
        ("maltodextrin DE 1 120 g", ["none of those known here"]),
        ("120 g bricks", ["none of those known here"]),
        ("50 mL vanilla", ["Enter its mass"]),
    ],
)
def test_that_a_name_that_can_be_several_things_is_told_with_its_choices(text, choices):
    with pytest.raises(EntryError) as refused:
        read_value(text, ENGLISH, "", NAMES)
    assert all(choice in str(refused.value) for choice in choices)
    for choice in choices:
        if choice.startswith(("dosed", "added")):
            assert read_value(choice, ENGLISH, "", NAMES).key


def test_that_numbers_are_those_of_the_locale():
    assert read_value("added 0,5 kg honey", GERMAN, "", NAMES).mass == 0.5


def test_that_honey_alone_is_the_honey_of_the_recipe():
    batch = change_recipe(fermenting.planned(), honeys=(HoneyLine(key="linden", mass=3.0),))
    assert read_value("added 500 g honey", ENGLISH, "", names_on(SHELF, lambda: batch)).key == "linden"
    batch = change_recipe(batch, step_feeds=(StepFeed(key="dark", mass=0.5, day=5.0),))
    assert read_value("added 500 g honey", ENGLISH, "", names_on(SHELF, lambda: batch)).key == "dark"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("added 500 honey", "Enter an amount"),
        ("added 2 L sugar", "this is weighed"),
        ("added 2 L", "needs its name"),
        ("added 500 g bricks", "none of those known"),
        ("added 500 g cherry juice", "more than one"),
        ("added honey", "Enter an amount"),
    ],
)
def test_that_what_cannot_be_read_says_what_would_be_accepted(text, says):
    with pytest.raises(EntryError, match=says):
        read_value(text, ENGLISH, "", NAMES)


def test_that_a_sugar_test_stays_a_sugar_test_and_a_bare_mass_is_asked_about():
    assert isinstance(read_value("12 g/L", ENGLISH, "", NAMES), SugarReading)
    with pytest.raises(EntryError, match="added 500 g honey"):
        read_value("500 g", ENGLISH, "", NAMES)


@pytest.mark.parametrize(
    "text",
    ["added 500 g Blossom honey", "added 2 L Apple juice", "added 200 g Sugar (sucrose)", "added 1 L Water", "added"],
)
def test_that_it_is_written_as_it_was_typed_and_read_back(text):
    entry = read_value(text, ENGLISH, "", NAMES)
    written = value_text(entry, ENGLISH, NAMES).replace("\xa0", " ").replace("\u202f", " ")
    assert written == text
    assert read_value(value_text(entry, ENGLISH, NAMES), ENGLISH, "", NAMES) == entry


def test_that_the_form_shows_an_example():
    assert hint("added", ENGLISH) == "500 g of what"


def test_that_the_curve_marks_what_is_to_be_added_and_what_was():
    lines = (StepFeed(key="dark", mass=0.5, day=4.0), StepFeed(key="apple", mass=1.0, day=12.0))
    batch = change_recipe(fermenting.planned(), step_feeds=lines)
    batch = add_readings(batch, Event(what=What.ADDED, key="dark", mass=0.4, day=5.0))
    scene = scene_of(fermenting.outcome(batch, 0), NAMES.of)
    told = {event.kind: (event.day, str(event.text)) for event in scene.events if event.kind in ("add", "added")}
    assert told["add"] == (12.0, "add 1 kg Apple juice")
    assert told["added"][0] == 5.0
    assert "added 400 g of dark honey" in told["added"][1]
    assert len([event for event in scene.events if event.kind == "add"]) == 1


def test_that_the_expected_fall_is_that_of_the_yeast_alone():
    batch = change_recipe(fermenting.planned(), step_feeds=(StepFeed(key="dark", mass=1.0, day=4.0),))
    curve = fermenting.outcome(batch, 0).curve
    assert curve.gravity.max() > 1.05
    rises = curve.gravity[1:] > curve.gravity[:-1] + 1e-4
    assert rises.sum() == 1
    assert curve.fall(curve.gravity).min() >= -1e-5
