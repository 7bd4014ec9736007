"""Routes of a batch that is made: only what can still be done, in doses that can be weighed for the mead there is."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from example_batches import SHELF, plain, read, routes, sugar_test, with_log

from planner.adjusting.dosing import weighable
from planner.adjusting.refermentation_risk import Risk
from planner.document.batch import Event, HouseRules, What, Wish
from planner.document.codec import decode
from planner.document.edits import change_adjustment, change_rules, change_wish
from planner.evaluation.outcome import evaluate
from planner.planning.route import planned

SAMPLES = Path(__file__).parents[2] / "samples"
MADE = ("blackcurrant-half-way", "damson-stopped", "raspberry-finished")
PITCHED = "2026-03-07T16:15+01:00"


def sample(name):
    return decode((SAMPLES / f"{name}.meadbatch").read_bytes())


def by_key(batch, members=20):
    return {route.key: route for route in routes(batch, SHELF, members)}


RASPBERRY = sample("raspberry-finished")
FINISHED = with_log(
    plain(wish=Wish(sweetness=25.0)), read(0.0, 1.098), read(20.0, 1.002), read(26.0, 1.002), sugar_test(26.0, 0.5),
    pitched_at=PITCHED,
)  # fmt: skip


@pytest.mark.parametrize("name", MADE)
def test_that_what_was_fermented_and_logged_stays_as_it_is(name):
    batch = sample(name)
    for route in routes(batch, SHELF, 20):
        assert route.batch.recipe == batch.recipe
        assert route.batch.log == batch.log
        assert route.batch.adjustment.stabilised == batch.adjustment.stabilised


@pytest.mark.parametrize("batch", [with_log(plain(), pitched_at=PITCHED), with_log(plain(), read(1.0, 1.09))])
def test_that_a_batch_counts_as_made_once_it_is_pitched_or_read(batch):
    assert {route.key for route in routes(batch, SHELF, 20)} == {"sweetener", "glass", "heat", "stabilised", "cold"}


@pytest.mark.parametrize("name", MADE)
def test_that_every_dose_is_one_that_can_be_weighed(name):
    for route in routes(sample(name), SHELF, 20):
        for addition in route.batch.adjustment.additions:
            assert addition.mass == weighable(addition.mass) > 0.0


def test_that_doses_of_a_plan_can_be_weighed_too():
    for route in routes(plain(wish=Wish(left_open=("honey",), alcohol=0.12, sweetness=30.0)), SHELF, 20):
        for addition in route.batch.adjustment.additions if route.batch is not None else ():
            assert addition.mass == weighable(addition.mass) > 0.0


@pytest.mark.parametrize("key", ["sweetener", "heat", "stabilised", "cold"])
def test_that_each_reaches_the_wished_sweetness_in_the_measured_volume(key):
    route = by_key(change_adjustment(FINISHED, volume=0.010))[key]
    # half of the smallest difference that tasters notice (Pickering & Kvas 2016: 4.5 g/L)
    assert route.sweetness.typical == pytest.approx(25.0, abs=2.25)
    half = by_key(change_adjustment(FINISHED, volume=0.005))[key]
    for one, other in zip(route.batch.adjustment.additions, half.batch.adjustment.additions, strict=True):
        assert one.mass == pytest.approx(2.0 * other.mass, rel=0.005, abs=1.5e-5)  # what weighing rounds


def test_that_the_volume_is_asked_for_where_nobody_measured_it():
    assert "Measure the volume first" in " ".join(map(str, by_key(FINISHED)["heat"].notes))
    assert "Measure the volume" not in " ".join(
        map(str, by_key(change_adjustment(FINISHED, volume=0.01))["heat"].notes)
    )


def test_that_what_was_stirred_in_counts_and_only_the_rest_is_asked_for():
    whole = by_key(change_adjustment(RASPBERRY, volume=0.0195))["sweetener"]
    (erythritol,) = whole.batch.adjustment.additions
    dose = Event(at="2026-05-01T12:00+02:00", what=What.DOSE, key="erythritol", mass=0.334)
    given = msgspec.structs.replace(
        RASPBERRY, log=msgspec.structs.replace(RASPBERRY.log, readings=(*RASPBERRY.log.readings, dose))
    )
    rest = by_key(change_adjustment(given, volume=0.0195))["sweetener"]
    assert rest.sweetness.typical == pytest.approx(whole.sweetness.typical, abs=2.25)  # as above
    assert rest.batch.adjustment.additions[0].mass >= 0.334
    said = " ".join(map(str, rest.steps))
    assert "more of erythritol" in said
    assert f"{erythritol.mass * 1e3:.0f} g" not in said


def test_that_a_wish_that_nobody_made_is_known_as_the_usual():
    assert planned(RASPBERRY).usual == ("alcohol", "sweetness")
    assert planned(FINISHED).usual == ("alcohol",)
    assert planned(change_wish(change_rules(RASPBERRY, alcohol_ceiling=0.1), sweetness=10.0)).usual == ()


def test_that_acid_and_body_are_brought_to_what_is_wished():
    acid = evaluate(FINISHED, SHELF, 20).mead.after.acid.typical
    sharper = change_wish(FINISHED, acid=acid + 1.5, body=2.2e-3)
    route = by_key(sharper)["heat"]
    assert route.acid.typical == pytest.approx(acid + 1.5, abs=0.05)
    assert route.viscosity.typical >= 2.2e-3 - 2e-5
    assert "tartaric" in " ".join(map(str, route.steps))
    softer = by_key(change_wish(FINISHED, acid=acid - 1.5))["heat"]
    assert softer.acid.typical == pytest.approx(acid - 1.5, abs=0.05)
    refused = by_key(change_rules(sharper, no_added_acid=True))["heat"]
    assert "tartaric" not in " ".join(map(str, refused.steps))
    assert "Tartaric acid" in [out.name for out in refused.left_out]


def test_that_rules_are_obeyed_and_named():
    found = by_key(change_adjustment(
        msgspec.structs.replace(FINISHED, recipe=msgspec.structs.replace(
            FINISHED.recipe, rules=HouseRules(no_sulphite=True, no_heat=True))), volume=0.01))  # fmt: skip
    assert {key for key, route in found.items() if route.against} == {"stabilised", "heat"}


def test_that_a_mead_that_is_sweet_enough_is_not_sweetened():
    for route in routes(sample("damson-stopped"), SHELF, 20):
        assert not {a.key for a in route.batch.adjustment.additions} & {"honey", "erythritol"}
        assert any("stalled" in str(step) for step in route.steps) or route.outcome.verdict is None


def test_that_a_stall_and_a_ferment_that_moves_are_told_first():
    assert "stalled" in str(by_key(sample("damson-stopped"), 40)["heat"].steps[0])
    assert "has stopped" in str(by_key(sample("blackcurrant-half-way"), 40)["heat"].steps[0])


def test_that_honey_with_living_yeast_is_no_route_without_its_danger():
    found = by_key(FINISHED)
    assert found["cold"].still.risk >= Risk.REAL
    assert found["heat"].still.risk == Risk.HELD
    assert found["stabilised"].still.risk == Risk.HELD
    assert any("tick" in str(step) for step in found["heat"].steps)


def test_that_a_mead_in_bottles_is_only_sweetened_in_the_glass():
    log = (*FINISHED.log.readings, Event(day=90.0, what=What.BOTTLED, bottles=20, size=0.75e-3))
    found = by_key(msgspec.structs.replace(FINISHED, log=msgspec.structs.replace(FINISHED.log, readings=log)))
    assert {key for key, route in found.items() if route.batch is not None} == {"glass"}
    assert "bottled" in str(found["heat"].cannot)
    assert "Bottle it" not in " ".join(map(str, found["glass"].steps))


def test_that_what_keeps_yeast_from_working_is_planned_and_not_done_by_taking_a_route():
    found = by_key(FINISHED)
    planned_ways = {key: route.batch.adjustment.stabilising for key, route in found.items()}
    assert planned_ways == {"sweetener": "", "glass": "", "heat": "heat", "stabilised": "salts", "cold": ""}
