"""What the recipe holds beside its lines, in the file: kept, with its unit in the key; absurd wishes do no harm."""

from __future__ import annotations

import json

import msgspec
from example_batches import SHELF, plain, routes
from hypothesis import given, settings
from random_batches import batches

from planner.document.batch import Adjustment, HouseRules, Losses, Preparation, Price, Prices, Wish
from planner.document.codec import decode, encode
from planner.evaluation.outcome import evaluate
from planner.planning.schedule import schedule
from planner.planning.solve import solve_wish
from planner.reference.own_rows import shelf_with
from planner.reporting.recipe import plan_data, plan_lines
from planner.reporting.said import Said
from planner.wording.figures import METRIC

EVERY = plain(
    preparation=Preparation(whole=True, on_fruit=6.0, press=0.01),
    rules=HouseRules(no_sulphite=True, alcohol_ceiling=0.12),
    wish=Wish(left_open=("honey", "water"), volume=0.02, gravity=1.09, alcohol=0.11, finish=1.0, acid=6.0, sweetness=30.0, body=2e-3),
    losses=Losses(lees=0.1, racking=0.02, rackings=3, bottling=0.02),
    bottles=(0.75e-3, 0.375e-3),
    prices=Prices(currency="kr", lines=(Price(key="blossom", per_kg=9.0),), bottle=1.0),
    pitch_planned="2026-09-05T18:00+02:00",
    calendar="an identity",
)  # fmt: skip
UNITS = ("_kg", "_m3", "_k", "_d", "_fraction", "_sg20", "_per_m3", "_pa_s", "_price", "_count")


def every_number(raw):
    pairs = raw.items() if isinstance(raw, dict) else ((None, value) for value in raw)
    for key, value in pairs:
        if isinstance(value, (dict, list)):
            yield from every_number(value)
        elif type(value) in (int, float) and key is not None:
            yield key


def test_that_every_wish_rule_and_price_comes_back():
    assert decode(encode(EVERY)) == EVERY


def test_that_every_number_of_the_recipe_carries_its_unit():
    recipe = json.loads(encode(EVERY))["batch"]["recipe"]
    numbers = set(every_number(recipe))
    assert len(numbers) > 15
    assert [key for key in sorted(numbers) if not key.endswith(UNITS)] == []


@settings(max_examples=25)
@given(batches())
def test_that_no_wish_however_absurd_raises(batch):
    answer = solve_wish(batch, SHELF)
    assert answer.kind in ("solved", "range", "conflict")
    assert str(answer.sentence)
    if answer.batch is not None:
        assert decode(encode(answer.batch)) == answer.batch


@settings(max_examples=15)
@given(batches())
def test_that_schedule_and_plan_stand_any_recipe_and_log(batch):
    batch = msgspec.structs.replace(batch, adjustment=Adjustment())
    outcome = evaluate(batch, SHELF, 0)
    plan = schedule(outcome, SHELF)
    assert all(task.early <= task.day + 1e-9 <= task.late + 2e-9 for task in plan.tasks)
    told = plan_data(outcome, shelf_with(SHELF, batch.own), float)
    assert (told is None) == (outcome.must is None)
    assert bool(plan_lines(told, Said(METRIC))) == (told is not None)


@settings(max_examples=6)
@given(batches())
def test_that_routes_stand_any_batch(batch):
    found = routes(batch, SHELF, 0)
    assert len(found) >= 5
    assert all((route.batch is None) == (route.cannot is not None) for route in found)
