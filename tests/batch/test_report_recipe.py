"""The report on the recipe: everything that the pane and its windows tell, as plain data and for reading."""

from __future__ import annotations

import json

import pytest
from example_batches import SHELF, plain, worked_out

from planner.batch.batch import HouseRules, Preparation, Price, Prices, Wish, new_batch
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
        "First open bottle",
        "house rules: no sorbate",
        "2026-09-05",
    ):
        assert words in text


def test_that_an_empty_batch_has_no_plan():
    assert as_data(worked_out(new_batch()), SHELF)["plan"] is None
