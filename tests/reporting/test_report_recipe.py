"""The report on the recipe: everything that the pane and its windows tell, as plain data and for reading."""

from __future__ import annotations

import json

import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out

from planner.document.batch import (
    Feed,
    FruitLine,
    HoneyLine,
    HouseRules,
    Preparation,
    Price,
    Prices,
    TemperatureStep,
    Wish,
    new_batch,
)
from planner.reporting.data import as_data
from planner.reporting.text import as_text

BATCH = plain(
    preparation=Preparation(press=0.005), rules=HouseRules(no_sorbate=True, alcohol_ceiling=0.13), pitch_planned="2026-09-05T18:00+02:00",
    prices=Prices(currency="€", lines=(Price(key="blossom", per_kg=10.0),)), wish=Wish(volume=0.02, left_open=("honey",)),
)  # fmt: skip


def test_that_preparation_bottles_cost_rules_and_schedule_are_told():
    plan = as_data(worked_out(BATCH), SHELF)["plan"]
    made = plan["preparation"]
    assert made["waste_kg"] + made["juice_kg"] + made["pomace_kg"] == pytest.approx(12.0, abs=1e-4)
    assert made["press_loads"] >= 1
    assert sum(row["number"] * row["size_ml"] for row in plan["bottles"]) * 1e-3 <= plan["bottled_l"]
    assert plan["cost"]["total"] == pytest.approx(46.0)
    assert plan["house_rules"] == ["no sorbate"]
    assert plan["alcohol_ceiling_pct_vol"] == 13.0
    assert plan["wish"]["must_l"] == 20.0
    assert {"press", "pitch", "bottle", "open"} <= {row["task"] for row in plan["schedule"]}


def test_that_it_is_json_and_reads_as_text():
    data = as_data(worked_out(BATCH), SHELF)
    assert json.loads(json.dumps(data)) == data
    text = as_text(data)
    for words in (
        "From the fruit to the bottle",
        "Schedule",
        "Open the first bottle to drink",
        "house rules: no sorbate",
        "2026-09-05",
    ):
        assert words in text


def test_that_an_empty_batch_has_no_plan():
    assert as_data(worked_out(new_batch()), SHELF)["plan"] is None


def test_that_the_recipe_is_told_by_name_and_amount():
    batch = plain(
        fruits=(FruitLine(key="sour-cherry", mass=12.0, press_yield=0.62), FruitLine(key="apple", mass=3.0, as_juice=True)),
        honeys=(HoneyLine(key="blossom", mass=4.6, moisture=0.171),),
        feeds=(Feed(key="diammonium-phosphate", mass=0.008, day=1.0), Feed(key="blend", mass=0.006, sugar_used=0.33)),
        temperatures=(TemperatureStep(day=0.0, temperature=291.65), TemperatureStep(day=10.0, temperature=295.15)),
        wish=Wish(volume=0.02, alcohol=0.12, left_open=("honey",)),
    )  # fmt: skip
    data = as_data(worked_out(batch), SHELF)
    recipe = data["recipe"]
    assert [(row["name"], row["mass_kg"]) for row in recipe["fruits"]] == [("Sour cherry", 12.0), ("Apple", 3.0)]
    assert recipe["honeys"][0]["measured_water_pct"] == pytest.approx(17.1)
    assert recipe["feeds"][1]["at_sugar_used_pct"] == pytest.approx(33.0)
    text = as_text(data)
    for words in (
        "12 kg  Sour cherry, gives 62 % of juice, measured",
        "3 kg  Apple, as juice",
        "4.6 kg  Blossom honey, 17.1 % of water, measured",
        "8 kg  water",
        "5 g  Robust all-rounder (yeast, dry)",
        "8 g  Diammonium phosphate, on day 1",
        "when 33 % of the sugar is used",
        "must kept at 18.5 °C, from day 10: 22 °C",
        "targets: 20 L of must, 12 % vol, honey left open",
    ):
        assert words in text


def test_that_the_log_tells_each_temperature_and_what_a_sugar_test_found():
    batch = with_log(plain(), read(0.0, 1.085), read(8.0, 1.020, 291.65), sugar_test(9.0, 12.0))
    lines = as_text(as_data(worked_out(batch), SHELF)).splitlines()
    log = lines[lines.index("Log") + 1 :]
    assert "°C" in log[0]
    assert "18.5" in log[2]
    assert "sugar 12 g/L" in log[3]
