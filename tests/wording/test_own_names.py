"""What somebody called an ingredient is said as it was typed; names of the shelf stand small and short in a sentence."""

from __future__ import annotations

import re
from html import unescape

import msgspec
import pytest
from example_batches import PITCHED, SHELF, plain

from planner.document.batch import (
    Addition,
    Adjustment,
    Batch,
    Event,
    Feed,
    FruitLine,
    Glass,
    HoneyLine,
    Log,
    StepFeed,
    Trial,
    TrialPart,
    What,
    Yeast,
)
from planner.evaluation.outcome import evaluate
from planner.papers.batch_paper import paper_of
from planner.papers.html import html
from planner.papers.typeset import Sheet
from planner.reference.own import OwnAdditive, OwnFruit, OwnHoney, OwnIngredients, OwnNutrient, OwnYeast
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.ui.display import Display
from planner.ui.papers.reader import InUnits
from planner.wording.phrases import in_a_sentence

NAMES = {
    "fruit": "Zenobia's Plums, late {2025}",
    "honey": "Yonder-Hill Honey, DARK",
    "sugar": "XANTHE Sugar (half, half)",
    "yeast": "Wilhelmina, the Old One",
    "nutrient": "Vivax Food, attic",
}
OWN = OwnIngredients(
    fruits=(OwnFruit(key="fruit", name=NAMES["fruit"], based_on="plum"),),
    honeys=(OwnHoney(key="honey", name=NAMES["honey"], based_on="dark"),),
    additives=(OwnAdditive(key="sugar", name=NAMES["sugar"], based_on="sugar"),),
    yeasts=(OwnYeast(key="yeast", name=NAMES["yeast"], based_on="all-rounder"),),
    nutrients=(OwnNutrient(key="nutrient", name=NAMES["nutrient"], based_on="blend"),),
)


def of_own_ingredients(log: Log) -> Batch:
    batch = plain(
        fruits=(FruitLine(key="fruit", mass=12.0, juice_gravity=1.060),),
        honeys=(HoneyLine(key="honey", mass=4.6),),
        yeast=Yeast(key="yeast", pitch=0.005),
        feeds=(Feed(key="nutrient", mass=0.030, day=1.0),),
        step_feeds=(StepFeed(key="honey", mass=0.5, day=4.0), StepFeed(key="fruit", mass=0.5, day=5.0)),
    )
    trial = Trial(parts=(TrialPart(key="sugar", dose=20.0),), glasses=(Glass(strength=0.5), Glass(strength=1.0)))
    adjustment = Adjustment(additions=(Addition(key="sugar", mass=0.4),), trials=(trial,))
    return msgspec.structs.replace(batch, own=OWN, log=log, adjustment=adjustment)


LOGS = {
    "planned": Log(),
    "fed": Log(
        pitched_at=PITCHED,
        readings=(
            Event(what=What.FEED, day=1.0, key="nutrient", mass=0.03),
            Event(what=What.ADDED, day=4.0, key="fruit", mass=0.5),
        ),
    ),
    "forgotten": Log(pitched_at=PITCHED, readings=(Event(what=What.STIRRING, day=9.0),)),
}


@pytest.mark.parametrize("log", LOGS.values(), ids=LOGS)
def test_that_own_names_are_shown_as_typed_on_paper_and_in_the_report(log):
    outcome = evaluate(of_own_ingredients(log), SHELF, 20)
    report = as_text(as_data(outcome, SHELF))
    paper = unescape(html([paper_of(outcome, SHELF, None)], InUnits(Display()), Sheet.A4)).partition("<body>")[2]
    for text in (report, paper.replace("\u00a0", " ")):
        for name in NAMES.values():
            first = re.split(r"\W", name)[0]
            assert len(re.findall(first, text, re.I)) == text.count(name) > 0, name


def test_that_names_of_the_shelf_are_small_and_short_in_a_sentence():
    rows = [*SHELF.fruits.values(), *SHELF.honeys.values(), *SHELF.additives.values(), *SHELF.nutrients.values()]
    told = {row.name: in_a_sentence(row.name) for row in rows}
    assert not [name for name in told.values() if "," in name or "(" in name or name[0].isupper()]
    assert told["Tannin (oak, chestnut or grape)"] == "tannin"
    assert in_a_sentence("Apple juice") == "apple juice"
