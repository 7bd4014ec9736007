"""The verdict's part of the report."""

from __future__ import annotations

import json

from example_batches import SHELF, plain, read, with_log, worked_out

from planner.reporting.data import as_data
from planner.reporting.text import as_text

STOPPED = [
    read(float(d), g) for d, g in ((0, 1.098), (2, 1.084), (4, 1.062), (6, 1.048), (8, 1.040), (11, 1.039), (15, 1.039))
]


def reported(*entries, members=60):
    return as_data(worked_out(with_log(plain(), *entries), members), SHELF)


def test_that_the_report_holds_the_verdict_with_its_reasons_and_steps():
    data = reported(*STOPPED)
    said = data["verdict"]
    assert said["verdict"] == "stalled"
    assert 0.8 < said["probability"] <= 1.0
    assert said["text"] == data["headline"]
    assert said["steps"][0] == data["next"]
    assert said["evidence"]
    assert said["cautions"]
    assert said["would_change"]
    assert said["sugar_left_g_per_l"]["low"] < said["sugar_left_g_per_l"]["high"]
    assert 0.0 <= said["forecast"]["probability_dry"] <= 1.0
    json.dumps(data, allow_nan=False)


def test_that_the_text_tells_it_in_lines():
    text = as_text(reported(*STOPPED))
    assert "Verdict: stalled (" in text
    assert "  1. " in text
    assert "Take care: Closed bottles can burst: do not bottle this" in text


def test_that_without_readings_or_ensemble_there_is_none():
    assert reported()["verdict"] is None
    assert reported(*STOPPED, members=0)["verdict"] is None
    assert "Verdict" not in as_text(reported())


def test_that_what_has_finished_stands_and_is_not_forecast_to_stop_later():
    rested = [
        read(float(d), g)
        for d, g in ((0, 1.098), (3, 1.060), (7, 1.020), (12, 1.000), (20, 0.998), (30, 0.998), (44, 0.998))
    ]
    said = reported(*rested)
    assert said["verdict"]["verdict"] == "finished"
    text = as_text(said)
    assert "  It stands at " in text
    assert "stops near" not in text
