"""The page of a first start: what is typed there, and what comes of it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale

from planner.reference.catalogue import catalogue
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.start.harvest import EXAMPLE, read_harvest
from planner.units import System

FRUITS = {key: row.name for key, row in catalogue().fruits.items()}
METRIC, US = Display(), Display(system=System.US, locale=QLocale("en_US"))


def keys(text, display=METRIC):
    return [(line.key, round(line.mass, 3)) for line in read_harvest(text, display, FRUITS)]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("9.5 kg blackcurrants", [("blackcurrant", 9.5)]),
        ("blackcurrants 9.5 kg", [("blackcurrant", 9.5)]),
        ("6 kg quinces and 3 kg apples", [("quince", 6.0), ("apple", 3.0)]),
        ("800 g raspberries, 200 g sloe", [("raspberry", 0.8), ("sloe", 0.2)]),
        ("4 kg sour cherries", [("sour-cherry", 4.0)]),
        ("2 kg peaches", [("peach", 2.0)]),
        ("10 lb plums", [("plum", 4.536)]),
    ],
)
def test_that_a_harvest_is_read_in_the_makers_words(text, found):
    assert keys(text) == found


@pytest.mark.parametrize("system", list(System))
def test_that_the_example_in_the_field_is_accepted(system):
    assert keys(EXAMPLE[system], US if system is System.US else METRIC)[0][0] == "blackcurrant"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "Enter fruit and its weight"),
        ("quinces", "needs a weight"),
        ("9.5 blackcurrants", "needs a weight, a unit"),
        ("5 L apple juice", "weighed"),
        ("0 kg apples", "weighs nothing"),
        ("3 kg cherries", "Sour cherry, Sweet cherry"),
        ("3 kg widgets", "none of those known here"),
    ],
)
def test_that_what_cannot_be_read_is_refused_with_what_is_accepted(text, told):
    with pytest.raises(EntryError, match=told):
        keys(text)
