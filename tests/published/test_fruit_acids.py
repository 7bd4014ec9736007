"""Acid and pH of fruit beside its minerals: what the anions of a juice carry at its pH, its cations must hold."""

from __future__ import annotations

from importlib.resources import files

import pytest

from planner.model.components import ACIDS, INDEX
from planner.model.liquid import Liquid, titratable_acid, volume
from planner.model.ph import buffer
from planner.reference.catalogue import catalogue
from planner.reference.shipped import resources
from planner.reference.tables import by_key, read
from published.rows import DATA, READ, RECALLED, apart, as_tartaric, table

SHELF = catalogue()
ACID_ROWS = by_key(read(resources() / "tables" / "fruit_acids.csv"))
FLESH = by_key(read(resources() / "tables" / "fruits.csv"))
ROWS = [INDEX[key] for key in ACIDS]

NUTRIENTS = {
    "water": "255", "protein": "203", "fibre": "291",
    "potassium": "306", "sodium": "307", "calcium": "301", "magnesium": "304", "phosphorus": "305",
}  # fmt: skip
"""Numbers by which the food database calls what decides the charge."""

FOODS = {
    "apple": "09003", "apricot": "09021", "blackberry": "09042", "blackcurrant": "09083", "blueberry": "09050",
    "cranberry": "09078", "elderberry": "09088", "fig": "09089", "gooseberry": "09107", "grape": "09132",
    "kiwi": "09148", "lemon": "09152", "mango": "09176", "mulberry": "09190", "mulberry-black": "09190",
    "mulberry-white": "09190", "nectarine": "09191", "orange": "09206", "passion-fruit": "09232", "peach": "09236",
    "pear": "09252", "pineapple": "09266", "plum": "09279", "pomegranate": "09286", "quince": "09296",
    "raspberry": "09302", "redcurrant": "09084", "rhubarb": "09307", "sour-cherry": "09063", "strawberry": "09316",
    "sweet-cherry": "09070", "wine-grape": "09132",
}  # fmt: skip


def from_the_publisher():
    """Minerals [mg/100 g], water, protein and fibre [g/100 g] of raw fruit by number of food and name."""
    names = {number: name for name, number in NUTRIENTS.items()}
    found = {}
    with (files("usda_nutrition") / "data" / "sr28" / "NUT_DATA.txt").open(encoding="latin-1") as lines:
        for line in lines:
            if line.startswith("~09"):
                food, nutrient, value, _ = line.split("^", 3)
                if nutrient.strip("~") in names:
                    found[food.strip("~"), names[nutrient.strip("~")]] = float(value)
            elif line.startswith("~10"):
                break
    return found


ANALYSED = from_the_publisher()


def cations(key):
    """Charge that the minerals of a fruit leave for its acids [meq/L of juice], by the food database.

    Potassium and sodium go into the juice whole, of magnesium nine tenths, of calcium 0.45: 46 raspberry juices held
    125 and 186 mg/L of calcium and magnesium (Durst 1995), the flesh 278 and 244. Phosphate takes one charge, 0.8 of it.
    """
    of = {name: ANALYSED[FOODS[key], name] for name in NUTRIENTS if name != "fibre"}
    of["fibre"] = ANALYSED.get((FOODS[key], "fibre"), 100.0 * FLESH[key].number("fibre"))  # nobody analysed all of them
    dissolved = 100.0 - of["water"] - of["protein"] - of["fibre"]
    litres = (of["water"] / 0.998 + 0.62 * dissolved) / 1e3  # juice of 100 g of flesh
    held = of["potassium"] / 39.1 + of["sodium"] / 22.99 + 0.9 * of["magnesium"] / 12.15 + 0.45 * of["calcium"] / 20.04
    return (held - 0.8 * of["phosphorus"] / 30.97) / litres


def carried(key, acid, ph):
    """Charge that the anions of a juice carry [meq/L] at its titratable acid [g/L as tartaric] and pH."""
    fruit = SHELF.fruit(key)
    juice = Liquid.of(
        water=fruit.water,
        glucose=fruit.sugar.typical,
        sorbitol=fruit.sorbitol.typical,
        **fruit.acid_masses(fruit.acid.typical),
    )
    for _ in range(3):  # acid takes room itself
        factor = acid / float(titratable_acid(juice))
        masses = juice.masses.copy()
        masses[ROWS] *= factor
        juice = Liquid(masses)
    return buffer(juice, ph).salts / float(volume(juice))


# A pair of acid and pH is taken where the two charges agree within 30 %: that is how far single lots of a fruit differ.
LOT = 0.30
# Minerals of 46 raspberry juices went from 1080 to 4000 mg/L of potassium about 2278 (Durst 1995): a lot at the end of
# its acid may lie as far off. So may one whose pH was read to a tenth where acid by titration is most of the charge.
EXTREME = 4000 / 2278 - 1.0


@pytest.mark.parametrize("key", SHELF.fruits)
def test_that_the_minerals_of_every_fruit_carry_its_acid_at_its_ph(key):
    fruit, row = SHELF.fruit(key), ACID_ROWS[key]
    acid, held = row.span("acid"), row.number("cations")
    assert carried(key, acid.typical, fruit.ph.typical) / held == pytest.approx(1.0, abs=LOT + 1e-2)
    for stated, ph in ((acid.high, fruit.ph.low), (acid.low, fruit.ph.high)):
        assert carried(key, stated, ph) / held == pytest.approx(1.0, abs=EXTREME)


def test_that_acid_by_the_sum_of_acids_does_not_pass_as_titrated():
    # Table 18.3 prints sums; as titrated acid, raspberry's 2.1 % at pH 3.4 would want twice the minerals it has.
    as_titrated = 21.0 * 1.172 / 0.93
    assert carried("raspberry", as_titrated, 3.4) / ACID_ROWS["raspberry"].number("cations") > 1.0 + LOT


def mineral_rows():
    # Raspberry is the mean with 46 juices, sour cherry 103 juices, and rhubarb without the calcium that oxalate holds.
    rows = [(key, cations(key)) for key in FOODS if key not in ("raspberry", "sour-cherry", "rhubarb")]
    return table("Shelf: charge of the minerals of fruit", "usda-sr28", DATA, 0.5, rows, "meq/L")


@pytest.mark.parametrize("row", mineral_rows())
def test_that_the_cations_of_a_fruit_are_those_of_the_food_database(row, agrees):
    agrees(row, ACID_ROWS[row.given[0]].number("cations"))


# Published pairs of titratable acid [%] and pH; the charge that they imply beside the minerals of the food database.
PAIRS = {
    "blueberry-acids-2020": [("blueberry", "citric", a, ph) for a, ph in
                             ((0.77, 3.12), (0.64, 3.07), (0.46, 3.31), (0.66, 3.26), (1.07, 2.85))],
    "cao-2012": [("strawberry", "citric", 0.63, 3.73), ("strawberry", "citric", 0.79, 3.42)],
    "nergiz-1997": [("plum", "malic", 1.51, 3.46)],
}  # fmt: skip


def pair_rows():
    for source, pairs in PAIRS.items():
        for key, acid, percent, ph in pairs:
            held = cations(key)
            most, who = LOT * held, ""
            if (
                key == "plum"
            ):  # its own potassium, 2228 mg/kg, and more acid than the dessert plums of the food database
                implied = carried(key, float(as_tartaric(10.0 * percent, acid)), ph)
                most, who = (
                    apart(implied, held),
                    f"the food database's plums: {held:.0f} meq/L, where this pair implies more",
                )
            yield from table(
                "Charge implied by acid and pH of fruit",
                source,
                READ,
                most,
                [(key, acid, percent, ph, held)],
                "meq/L",
                who,
            )


@pytest.mark.parametrize("row", list(pair_rows()))
def test_that_published_acid_and_ph_imply_the_minerals_that_analysts_find(row, agrees):
    key, acid, percent, ph = row.given
    agrees(row, carried(key, float(as_tartaric(10.0 * percent, acid)), ph))


# Lists of pH that the shelf does not stand on; where a list names one lot, both are the fruit.
LISTED = {
    ("fda-ph", READ): {
        "apple": (3.30, 4.00), "apricot": (3.30, 4.80), "blackberry": (3.85, 4.50), "blueberry": (3.12, 3.33),
        "sweet-cherry": (4.01, 4.54), "sour-cherry": (3.25, 3.82), "fig": (5.05, 5.98), "grape": (2.90, 3.82),
        "lemon": (2.00, 2.60), "mango": (3.40, 4.80), "nectarine": (3.92, 4.18), "orange": (3.69, 4.34),
        "peach": (3.30, 4.05), "pineapple": (3.20, 4.00), "pomegranate": (2.93, 3.20), "rhubarb": (3.01, 3.59),
        "strawberry": (3.00, 3.90),
    },
    ("idaho-ph", READ): {
        "apricot": 3.3, "blackberry": 3.3, "blueberry": 3.7, "sweet-cherry": 3.8, "fig": 4.6, "gooseberry": 3.0,
        "mango": 4.1, "peach": 3.5, "pear": 3.9, "plum": (2.8, 4.6), "raspberry": 3.6, "rhubarb": 3.2, "strawberry": 3.4,
    },
    ("fda-ph", RECALLED): {
        "damson": (2.90, 3.10), "gooseberry": (2.80, 3.10), "greengage": (3.60, 4.30), "pear": (3.50, 4.60),
        "quince": (3.12, 3.40), "raspberry": (3.22, 3.95),
    },
}  # fmt: skip


def listed_rows():
    for (source, how), fruits in LISTED.items():
        rows = [
            (key, value if isinstance(value, tuple) else (value - 0.05, value + 0.05)) for key, value in fruits.items()
        ]
        yield from table("Shelf: pH of fruit beside lists of pH", source, how, 0.2, rows, "pH")


@pytest.mark.parametrize("row", list(listed_rows()))
def test_that_the_band_of_ph_of_a_fruit_reaches_what_lists_print(row, agrees):
    """Two tenths are the smallest spread within one kind of fruit that the lists print."""
    band, (low, high) = SHELF.fruit(row.given[0]).ph, row.published
    agrees(
        row, min(max(band.low, min(band.high, low)), max(band.low, high)) if band.high < low or band.low > high else low
    )


def test_that_every_fruit_that_the_food_database_holds_was_found_whole():
    assert all((food, name) in ANALYSED for food in FOODS.values() for name in NUTRIENTS if name != "fibre")
    assert FOODS.keys() <= FLESH.keys()
