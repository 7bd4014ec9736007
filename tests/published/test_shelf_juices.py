"""The shelf's juices beside what laws ask of juice, and its sugars beside the publisher's own file."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from planner.model.liquid import Liquid
from planner.model.refraction import apparent_brix
from planner.reference.catalogue import catalogue
from planner.reference.rows import MINERALS, SOLUBLE_PROTEIN
from planner.reference.shipped import resources
from planner.reference.tables import read
from published.rows import DATA, READ, RECALLED, table

SHELF = catalogue()
FLESH = {row.cell("key"): row for row in read(resources() / "tables" / "fruits.csv")}
BRIX = {row.cell("key"): row for row in read(resources() / "tables" / "fruit_brix.csv")}

# Minimum °Brix of juice: 21 CFR 101.30(h), Directive 2012/12/EU, CODEX STAN 247; average: 19 CFR 151.91.
LAWS = {
    "apple": (11.5, 11.2, 11.5, 13.3), "apricot": (11.7, 11.2, 11.5, 14.3), "blackberry": (10.0, None, 9.0, 10.0),
    "blackcurrant": (11.0, 11.0, 11.0, 15.0), "blueberry": (10.0, None, 10.0, 14.1), "cranberry": (7.5, None, 7.5, 10.5),
    "elderberry": (11.0, None, 10.5, 11.0), "fig": (18.2, None, 18.0, 18.2), "gooseberry": (8.3, None, 7.5, 8.3),
    "grape": (16.0, 15.9, 16.0, None), "kiwi": (15.4, None, None, None), "lemon": (None, 8.0, 8.0, 8.9),
    "lingonberry": (None, None, 10.0, None), "mango": (13.0, 13.5, 13.5, 17.0), "nectarine": (11.8, None, 10.5, None),
    "orange": (11.8, 11.2, 11.2, 11.8), "passion-fruit": (14.0, 12.0, 12.0, 15.3), "peach": (10.5, 10.0, 10.5, 11.8),
    "pear": (12.0, 11.9, 12.0, 15.4), "pineapple": (12.8, 12.8, 12.8, 14.3), "plum": (14.3, None, 12.0, 14.3),
    "pomegranate": (16.0, None, 12.0, 18.2), "quince": (13.3, None, 11.2, 13.3), "raspberry": (9.2, 7.0, 8.0, 10.5),
    "redcurrant": (10.5, None, 10.0, 10.5), "rhubarb": (5.7, None, None, None), "rowan": (None, None, 11.0, None),
    "sea-buckthorn": (None, None, 6.0, None), "sloe": (None, None, 6.0, None), "sour-cherry": (14.0, 13.5, 14.0, 14.3),
    "strawberry": (8.0, 7.0, 7.5, 8.0), "sweet-cherry": (20.0, None, 20.0, 14.3), "wine-grape": (16.0, 15.9, 16.0, 21.5),
}  # fmt: skip
SOURCES = ("cfr-21-101-30", "eu-2012-12", "codex-247")

NUTRIENTS = {"water": "255", "glucose": "211", "fructose": "212", "sucrose": "210"}
"""Columns of the shelf and the numbers by which the food database calls them."""
CARBOHYDRATE, FIBRE, ALL_SUGARS = "205", "291", "269"


def from_the_publisher():
    """Composition of raw fruit by number of food and nutrient, from the publisher's own file [g/100 g]."""
    wanted, found = {*NUTRIENTS.values(), CARBOHYDRATE, FIBRE, ALL_SUGARS}, {}
    with (files("usda_nutrition") / "data" / "sr28" / "NUT_DATA.txt").open(encoding="latin-1") as lines:
        for line in lines:
            if line.startswith("~09"):
                food, nutrient, value, _ = line.split("^", 3)
                if nutrient.strip("~") in wanted:
                    found[food.strip("~"), nutrient.strip("~")] = float(value)
            elif line.startswith("~10"):
                break  # the file is sorted; fruits are group 09
    return found


FOODS = from_the_publisher()

# Fruit whose composition tables do not reach the law's minimum: both stand, at most so far apart. [°Brix] The laws speak
# of juice for the trade, the tables of dessert fruit; the law's sweet cherry is a dark processing one.
DIFFER = {
    "fig": 0.5, "kiwi": 2.5, "nectarine": 1.0, "orange": 1.0, "plum": 1.0, "quince": 1.0, "rhubarb": 1.5, "sweet-cherry": 2.0,
}  # fmt: skip


def between_sources(key):
    """How far sources lie apart on what is dissolved in a fruit, in °Brix of its juice, and which they are.

    Either the laws among themselves, or the food database with itself: what its water, fibre, protein and ash leave over
    for sugar, against the sugars that it found.
    """
    laws = [bound for bound in LAWS[key] if bound is not None]
    apart_by, who = max(laws) - min(laws), f"the laws among themselves: {min(laws)} to {max(laws)} °Brix"
    number = re.search(r"NDB (\d{5})", FLESH[key].cell("where"))
    if number and (number[1], ALL_SUGARS) in FOODS:
        carbohydrate, fibre, sugars = (FOODS[number[1], key] for key in (CARBOHYDRATE, FIBRE, ALL_SUGARS))
        over = (carbohydrate - fibre - sugars) / (1.0 - fibre / 100.0)
        if over > apart_by:
            apart_by = over
            who = f"USDA SR28 with itself: sugar by difference is {over:.2f} °Brix of the juice more than the sugars found"
    return apart_by, who


def sweetest_juice(key):
    """°Brix by refractometer of the juice of a fruit at the high end of its sugars."""
    fruit = SHELF.fruit(key)
    sugar = fruit.sugar.high
    other = fruit.bound_acid + SOLUBLE_PROTEIN * fruit.protein + MINERALS
    juice = Liquid.of(
        water=fruit.water,
        glucose=sugar * fruit.glucose_share,
        fructose=sugar * fruit.fructose_share,
        sucrose=sugar * fruit.sucrose_share,
        maltose=sugar * fruit.maltose_share,
        sorbitol=fruit.sorbitol.typical,
        other=other,
        **fruit.acid_masses(fruit.acid.typical),
    )
    return float(apparent_brix(juice))


def law_rows():
    for key, bounds in LAWS.items():
        for source, bound in zip(SOURCES, bounds, strict=False):
            if bound is not None:
                how = RECALLED if source == "codex-247" else READ
                most, (spread, who) = DIFFER.get(key, 0.0), between_sources(key)
                if key == "fig":  # neither of them; the food table's water leaves this much for what is dissolved
                    spread, who = most, "the tables of dessert fruit: half a °Brix"
                yield from table(
                    "Shelf: juice can reach the minimum of the law",
                    source,
                    how,
                    min(most, spread),
                    [(key, (bound, 100.0))],
                    "°Brix",
                    who if most else "",
                )


@pytest.mark.parametrize("row", list(law_rows()))
def test_that_a_good_juice_of_each_fruit_reaches_what_the_law_asks_of_juice(row, agrees):
    agrees(row, sweetest_juice(row.given[0]))


def copied(source, place, column):
    rows = []
    for key, bounds in LAWS.items():
        cell = BRIX[key].cell(column)
        if bounds[place] is not None and cell and source in BRIX[key].cell("source"):
            rows.append((key, bounds[place]))
    return table(f"Shelf: °Brix of juice, {column}", source, READ, 0.0, rows, "°Brix")


@pytest.mark.parametrize("row", copied("cfr-21-101-30", 0, "minimum") + copied("cfr-19-151-91", 3, "average"))
def test_that_the_shelf_repeats_the_law_without_a_slip(row, agrees):
    agrees(row, BRIX[row.given[0]].cell(row.topic.rsplit(" ", 1)[1]))


# Cells that the shelf takes from elsewhere though the row begins with the American number; its `where` says so.
ELSEWHERE = {("lemon", "sucrose"), ("orange", "glucose"), ("orange", "fructose"), ("orange", "sucrose"),
             ("passion-fruit", "glucose"), ("passion-fruit", "fructose"), ("passion-fruit", "sucrose")}  # fmt: skip


def american_rows():
    rows = []
    for key, row in FLESH.items():
        number = re.match(r"NDB (\d{5})", row.cell("where"))
        for column, nutrient in NUTRIENTS.items():
            if number and row.cell(column) and (key, column) not in ELSEWHERE and (number[1], nutrient) in FOODS:
                rows.append((key, column, FOODS[number[1], nutrient]))
    return table("Shelf: composition of fruit", "usda-sr28", DATA, 0.005, rows, "g/100 g")


@pytest.mark.parametrize("row", american_rows())
def test_that_the_shelf_holds_what_the_food_database_says(row, agrees):
    key, column = row.given
    agrees(row, FLESH[key].cell(column))


def test_that_the_file_of_the_food_database_was_found_whole():
    assert len(FOODS) > 400
    assert len(american_rows()) >= 60
