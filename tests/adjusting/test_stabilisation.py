"""What keeps yeast from working: a plan keeps nothing, and the house rules decide what is named."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, read, routes, with_adjustment, with_log, worked_out

from planner.adjusting.refermentation_risk import stillness
from planner.adjusting.stabilisation import Treatment, keepers, treatment
from planner.adjusting.stabilisation_methods import ways
from planner.document.batch import Event, HouseRules, What
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.wording.finding import Level
from planner.wording.phrases import Words, concentration

STALLED = (read(0.0, 1.0985), read(4.0, 1.075), *(read(day, 1.060) for day in (8.0, 12.0, 16.0, 22.0)))
MOVING = (read(0.0, 1.0985), read(2.0, 1.090), read(4.0, 1.080))
SALTS = (
    Event(day=23.0, what=What.DOSE, key="potassium-metabisulphite", mass=0.002),
    Event(day=23.0, what=What.DOSE, key="potassium-sorbate", mass=0.004),
)


def state(*log, **adjustment):
    """The outcome of a batch that wants honey at the end, and how far its stabilising is."""
    outcome = worked_out(with_adjustment(with_log(plain(), *log), ("honey", 0.5), **adjustment), 60)
    return treatment(outcome.batch, outcome.mead), outcome


def sweet(outcome):
    """What is found about sugar for living yeast."""
    return [
        f
        for f in outcome.findings
        if f.place in ("adjustment", "adjustment.additions") and "carbon dioxide" in str(f.text)
    ]


@pytest.mark.parametrize(
    ("log", "adjustment", "kept"),
    [
        ((), {}, Treatment.NOTHING),
        ((), {"stabilising": "heat"}, Treatment.PLANNED),
        ((), {"stabilised": True}, Treatment.PLANNED),
        (MOVING, {"stabilised": True}, Treatment.PLANNED),
        (STALLED, {"stabilising": "heat"}, Treatment.PLANNED),
        (STALLED, {"stabilised": True}, Treatment.PLANNED),
        ((*STALLED, Event(day=23.0, what=What.STABILISED)), {"stabilised": True}, Treatment.DONE),
        ((*STALLED, *SALTS), {"stabilised": True}, Treatment.DONE),
        ((*STALLED, SALTS[1]), {"stabilised": True}, Treatment.PLANNED),
        ((), {"stabilised": True, "gravity": 1.003}, Treatment.DONE),
        ((), {"stabilising": "salts", "gravity": 1.003}, Treatment.PLANNED),
    ],
)
def test_that_yeast_is_kept_only_by_what_is_done_to_a_mead_at_rest(log, adjustment, kept):
    assert state(*log, **adjustment)[0] is kept


@pytest.mark.parametrize("adjustment", [{"stabilising": "heat"}, {"stabilised": True}])
def test_that_a_stall_with_a_plan_is_not_to_be_bottled(adjustment):
    (found,) = sweet(state(*STALLED, **adjustment)[1])
    assert found.level is Level.ERROR
    assert "burst" in str(found.text)
    assert "planned and not done" in str(found.text) or "“stabilised”, on its day" in str(found.text)


def test_that_a_plan_before_the_rest_warns_of_what_it_is_for():
    (found,) = sweet(state(stabilising="heat")[1])
    assert found.level is Level.WARNING
    assert "before what is planned is done (heat)." in str(found.text)


@pytest.mark.parametrize("key", ["dry-heat", "dry-stabilised"])
def test_that_a_route_plans_to_stabilise_and_ticks_nothing(key):
    batch = with_adjustment(plain())
    made = next(route for route in routes(batch, SHELF, 0) if route.key == key).batch
    assert made.adjustment.stabilising == {"dry-heat": "heat", "dry-stabilised": "salts"}[key]
    assert not made.adjustment.stabilised


def test_that_the_report_tells_a_plan_as_one():
    _, outcome = state(stabilising="heat")
    assert as_data(outcome, SHELF)["adjustment"]["yeast_kept_from_working"] == {
        "state": "planned",
        "planned_by": "heat",
    }
    assert "planned by heat, and not done yet" in as_text(as_data(outcome, SHELF))


RULES = {
    "none": (HouseRules(), ("sulphite with sorbate", "heat")),
    "no sorbate": (HouseRules(no_sorbate=True), ("heat",)),
    "no heat": (HouseRules(no_heat=True), ("sulphite with sorbate",)),
    "neither": (HouseRules(no_sulphite=True, no_heat=True), ()),
}


@pytest.mark.parametrize("name", RULES)
def test_that_the_house_rules_say_what_may_keep_the_yeast(name):
    rules, allowed = RULES[name]
    assert keepers(rules) == allowed


@pytest.mark.parametrize("name", RULES)
@pytest.mark.parametrize("log", [STALLED, ()])
@pytest.mark.parametrize("honey", [True, False])
def test_that_no_finding_names_a_way_that_the_house_rules_refuse(name, log, honey):
    rules, allowed = RULES[name]
    batch = with_adjustment(with_log(plain(rules=rules), *log), *((("honey", 0.5),) if honey else ()), gravity=1.012)
    told = " ".join(str(f.text) for f in worked_out(batch, 60).findings if f.place.startswith("adjustment"))
    assert "sugar" in told
    assert ("tabilise" in told) <= ("sulphite with sorbate" in allowed)
    assert ("asteurise" in told) <= ("heat" in allowed)


def told_of_cold(*additions, **adjustment):
    mead = worked_out(with_adjustment(plain(), *additions, **adjustment), 60).mead
    still = stillness(mead, SHELF.yeast("all-rounder").tolerance, stabilised=False)
    (way,) = (way for way in ways(mead, SHELF.yeast("all-rounder").tolerance, HouseRules()) if way.key == "cold")
    return str(way.state), still


def test_that_cold_is_told_with_the_likely_sugar_and_not_with_two_worst_cases():
    sweet, still = told_of_cold(("honey", 0.5), gravity=0.998)
    assert f"about {Words('{}', (concentration(still.eaten.typical),))}" in sweet
    assert still.eaten.typical < still.eaten.high
    dry, still = told_of_cold(gravity=0.990)
    assert still.eaten.high <= 2.0
    assert dry.startswith("Not needed")
