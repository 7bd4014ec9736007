"""The report tells what feeds the yeast would want, what the law allows, and how warm the must gets."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, worked_out

from planner.document import edits
from planner.document.batch import Feed, HoneyLine, HydrometerReading, Log, new_batch
from planner.feeding.nitrogen_feeds import propose
from planner.reporting.data import as_data
from planner.reporting.text import as_text

HONEY = plain(fruits=(), honeys=(HoneyLine(key="light-blossom", mass=5.4),), water=16.4, feeds=())
FED = edits.change_recipe(HONEY, feeds=(Feed(key="diammonium-phosphate", mass=0.004, day=1.0),))


def test_that_the_proposal_of_the_window_is_in_the_report():
    outcome = worked_out(FED)
    plan = propose(FED, SHELF, outcome.must, outcome.curve, ("diammonium-phosphate",))
    data = as_data(outcome, SHELF)["feeding"]
    assert [row["mass_g"] for row in data["proposed"]] == pytest.approx([1e3 * step.feed.mass for step in plan.steps])
    assert data["proposed"][-1]["at_sugar_used"] == pytest.approx(1 / 3, rel=1e-5)
    assert data["ceilings"][0]["limit_g_per_l"] == pytest.approx(0.96)  # 27 CFR 24.246, 2015 text
    text = as_text(as_data(outcome, SHELF))
    for step in plan.steps:
        assert f"{step.feed.mass * 1e3:.1f}".removesuffix(".0") + " g of diammonium phosphate" in text
    assert "allowed. 27 CFR 24.246" in text


def test_that_what_house_rules_leave_out_is_told():
    natural = edits.change_rules(FED, natural_only=True)
    data = as_data(worked_out(natural), SHELF)["feeding"]
    assert {row["name"] for row in data["proposed"]} == {"Yeast autolysate, organic"}
    assert data["nitrogen_short_of_the_limit_mg_per_l"] > 0.0
    text = as_text(as_data(worked_out(natural), SHELF))
    assert "of the 2 g/L that are usual; this limit binds. Follow the product's label first" in text


def test_that_the_warmth_of_the_must_is_told():
    kept, stands = (
        as_data(worked_out(HONEY), SHELF),
        as_data(worked_out(edits.change_recipe(HONEY, in_room=True)), SHELF),
    )
    assert kept["warmth"]["temperatures_are_of"] == "the must"
    assert stands["warmth"]["temperatures_are_of"] == "the room"
    warmest = max(row["temperature_c"] for row in stands["curve"])
    assert stands["warmth"]["warmest_c"] == pytest.approx(warmest, abs=0.2)  # the curve is told day by day
    assert "the must is warmest on day" in as_text(stands)
    assert "left uncooled" in as_text(kept)


def test_that_nothing_is_told_where_nothing_ferments():
    data = as_data(worked_out(new_batch()), SHELF)
    assert data["feeding"] is None
    assert data["warmth"] is None
    assert "Feeding" not in as_text(data)


def test_that_a_log_that_goes_on_for_longer_than_a_recipe_counts_days_is_reported_without_a_proposal():
    read = HydrometerReading(at="2026-08-20T08:00+02:00", gravity=1.070)
    late = msgspec.structs.replace(FED, log=Log(pitched_at="2006-08-14T19:30+02:00", readings=(read,)))
    assert as_data(worked_out(late), SHELF)["feeding"]["proposed"] == []


def test_that_a_small_feed_is_no_zero():
    small = edits.change_recipe(FED, feeds=(Feed(key="diammonium-phosphate", mass=0.0004, day=1.0),))
    assert "feed 0.4 g of diammonium phosphate on day 1" in as_text(as_data(worked_out(small), SHELF))
