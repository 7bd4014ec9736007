"""The report on the finished mead: everything the pane tells, as plain data and for reading."""

from __future__ import annotations

import json

import pytest
from example_batches import SHELF, full, plain, with_adjustment, worked_out

from planner.document import edits
from planner.document.batch import Addition, Glass, Trial, TrialPart, new_batch
from planner.reporting.data import as_data
from planner.reporting.text import as_text

BATCH = with_adjustment(plain(), ("erythritol", 0.6), ("honey", 0.2), gravity=1.004, volume=0.020, ph=3.5)


def told(batch):
    return as_data(worked_out(batch, 10), SHELF)["adjustment"]


def test_that_risk_pressure_and_ways_are_told():
    said = told(BATCH)
    assert said["stillness"]["risk"] in ("real", "grave")
    assert [row["temperature_c"] for row in said["stillness"]["pressures"]] == [10.0, 20.0, 30.0]
    brought = {row["name"]: row["sugar_g_per_l"] for row in said["stillness"]["sugar_comes_from"]}
    assert brought["Honey"] == pytest.approx(7.6, rel=0.03)  # 10 g/L, 76 % sugar
    assert len(said["ways_to_stability"]) == 5
    assert said["ph_after"]["typical"] == pytest.approx(3.5, abs=0.1)


def test_that_steps_and_trials_are_told():
    glasses = tuple(Glass(strength=s, score=v) for s, v in ((0.0, 3.0), (0.5, 6.0), (1.0, 8.0), (1.5, 6.0)))
    batch = edits.add_trial(BATCH, Trial(parts=(TrialPart(key="erythritol", dose=30.0),), glasses=glasses))
    batch = edits.log_doses(batch, Addition(key="erythritol", mass=0.36))
    said = told(batch)
    (step,) = said["stirred_in"]
    assert (step["mass_g"], step["planned_g"], step["still_to_come_g"]) == (360.0, 600.0, 240.0)
    (trial,) = said["trials"]
    assert trial["full_dose"] == [{"name": "Erythritol", "dose_g_per_l": 30.0}]
    assert 0.6 < trial["preferred_full_doses"]["typical"] < 1.3
    assert said["now"] is not None
    (stock,) = trial["stocks"]
    assert stock["name"] == "Erythritol"
    for glass in trial["glasses"]:
        assert sum(glass["stocks_ml"]) + glass["mead_ml"] == pytest.approx(100.0, abs=0.01)  # the sample's size
    text = as_text(as_data(worked_out(batch, 10), SHELF))
    assert "Trial glasses" in text
    assert "glass 3: 100 % of the dose, stocks " in text
    assert ": 8 of 10" in text


def test_that_what_is_weighed_tells_its_sweetness_as_a_range():
    said = told(BATCH)
    sweet = said["additions"][0]["sweetness_change_g_per_l_sucrose"]
    assert sweet["low"] < sweet["typical"] < sweet["high"]
    text = as_text(as_data(worked_out(BATCH, 10), SHELF))
    assert "weigh 600 g of erythritol: sweetness " in text


def test_that_it_is_json_and_reads_as_text():
    data = as_data(worked_out(edits.log_doses(BATCH, Addition(key="erythritol", mass=0.36)), 10), SHELF)
    assert json.loads(json.dumps(data)) == data
    text = as_text(data)
    assert "Stability in the bottle" in text
    assert "stirred in so far: 360 g of erythritol, 240 g still to come" in text
    assert "Sulphite with sorbate" in text


def test_that_nothing_to_adjust_is_none():
    assert told(plain(fruits=(), honeys=(), water=0.0)) is None


def test_that_every_block_of_the_report_says_where_its_figures_come_from():
    data = as_data(worked_out(full(), 4), SHELF)
    for block in ("must", "finish"):
        figures = {key for key, value in data[block].items() if isinstance(value, dict | float)}
        silent = {"sources", "juice", "measured_starting_gravity_sg20"}
        assert figures - silent <= set(data[block]["sources"])
    assert set(data["adjustment"]["before"]) <= set(data["adjustment"]["sources"])
    assert all(part["source"]["method"] for part in data["finish"]["budget"])
    assert "hydrometer" in data["sources"]["log"]
    told = data["finish"]["sources"]["alcohol_pct_vol"]
    assert set(told["sources"]) <= set(data["citations"])
    assert {"name", "status", "sources"} == set(told["rests_on"][0])


def test_that_the_report_of_an_empty_batch_has_no_sources_to_tell():
    data = as_data(worked_out(new_batch()), SHELF)
    assert data["citations"] == {}
