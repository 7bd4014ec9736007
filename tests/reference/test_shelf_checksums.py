"""One slipped digit in a table fails here.

Each table's number of rows and the sum of each numeric column, in the units of its headings. The sums were taken
once the figures had been compared with their sources; whoever changes a figure on purpose changes its sum here.
"""

from __future__ import annotations

import csv
from decimal import Decimal

import pytest

from planner.reference.shipped import resources

EXPECTED = {
    "additives.csv": (
        32,
        {
            "density": "10728.25",
            "teaspoon": "135.75",
            "solubility_cold": "136.8",
            "ceiling": "0.915",
        },
    ),
    "cold_ceilings.csv": (
        4,
        {
            "ethanol": "60",
            "ceiling": "365",
        },
    ),
    "compositions.csv": (
        65,
        {
            "share": "3200.000",
        },
    ),
    "fruit_acids.csv": (
        40,
        {
            "acid_low": "399.4",
            "acid_typical": "581.6",
            "acid_high": "848.0",
            "malic": "18.857",
            "citric": "17.183",
            "tartaric": "1.13",
            "quinic": "2.73",
            "succinic": "0.1",
            "ph_low": "125.65",
            "ph_typical": "137.60",
            "ph_high": "154.00",
            "cations": "2523",
        },
    ),
    "fruit_benzoic.csv": (
        2,
        {
            "benzoic_low": "650",
            "benzoic_typical": "1050",
            "benzoic_high": "1800",
        },
    ),
    "fruit_brix.csv": (
        40,
        {
            "minimum": "434.7",
            "average": "396.9",
        },
    ),
    "fruit_nitrogen.csv": (
        40,
        {
            "yan_low": "2426",
            "yan_typical": "5477",
            "yan_high": "10238",
        },
    ),
    "fruit_yields.csv": (
        40,
        {
            "refuse": "468",
            "fresh_low": "1875",
            "fresh_typical": "85.9",
            "fresh_high": "2437",
            "enzyme_low": "2353",
            "enzyme_typical": "208.3",
            "enzyme_high": "2845.3",
        },
    ),
    "fruits.csv": (
        40,
        {
            "water": "3375.92",
            "glucose": "140.49",
            "fructose": "141.31",
            "sucrose": "58.87",
            "other_sugars": "1.59",
            "sugar_low": "210.2",
            "sugar_typical": "38.8",
            "sugar_high": "333.4",
            "sorbitol_low": "7.98",
            "sorbitol_typical": "28.82",
            "sorbitol_high": "29.85",
            "protein": "35.11",
            "fibre": "112.2",
            "pectin": "22.9",
        },
    ),
    "honeys.csv": (
        8,
        {
            "moisture_low": "123.6",
            "moisture_typical": "139.3",
            "moisture_high": "155.0",
            "fructose": "304.84",
            "glucose": "241.04",
            "sucrose": "10.90",
            "disaccharides": "60.09",
            "higher_sugars": "13.72",
            "acid": "4.79",
            "ash": "1.524",
            "protein": "1.4802",
            "fermentable_low": "584.1",
            "fermentable_typical": "599.8",
            "fermentable_high": "615.6",
            "nitrogen_low": "256",
            "nitrogen_typical": "560",
            "nitrogen_high": "1070",
        },
    ),
    "nutrients.csv": (
        6,
        {
            "nitrogen_low": "52.4",
            "nitrogen_typical": "55.1",
            "nitrogen_high": "61.4",
            "ceiling": "1.26",
        },
    ),
    "yeasts.csv": (
        6,
        {
            "tolerance_low": "73.5",
            "tolerance_typical": "83.5",
            "tolerance_high": "91.0",
            "t_low": "84",
            "t_best": "110",
            "t_high": "152",
            "demand": "4.69",
            "vigour_low": "4.6",
            "vigour_typical": "5.90",
            "vigour_high": "8.3",
            "lag": "6.2",
            "maltose": "600",
        },
    ),
}


def test_that_every_table_has_its_sums_here():
    assert {path.name for path in (resources() / "tables").glob("*.csv")} == EXPECTED.keys()


@pytest.mark.parametrize("name", EXPECTED)
def test_that_no_digit_of_a_table_has_slipped(name):
    with (resources() / "tables" / name).open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    count, sums = EXPECTED[name]
    found = {
        heading.partition("[")[0]: str(sum(Decimal(line[heading]) for line in lines if line[heading]))
        for heading in lines[0]
        if "[" in heading
    }
    assert len(lines) == count
    assert found == sums
