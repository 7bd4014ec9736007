"""A route is taken before pitching, and the ferment stalls: no plan for the end may hide that."""

from __future__ import annotations

import msgspec

from planner.document import edits
from planner.document.batch import Event, HydrometerReading, Log, What, Wish
from planner.wording.finding import Level


def with_log(made, *readings):
    batch = msgspec.structs.replace(made.batch, log=Log(pitched_at="2026-09-05T18:00+02:00", readings=readings))
    made.window.store.edit(batch, "log")
    return made.outcome


def read(day, gravity):
    return HydrometerReading(day=day, gravity=gravity, temperature=293.15)


def sweet(outcome):
    """What is found about sugar that living yeast would take in the bottle."""
    places = ("adjustment", "adjustment.additions")
    return [f for f in outcome.findings if f.place in places and "carbon dioxide" in str(f.text)]


def test_that_a_taken_route_plans_its_honey_and_hides_no_stall(visit):
    made = visit(sample="quince-planned")
    wish = Wish(left_open=("honey",), alcohol=0.11, sweetness=30.0)
    made.window.store.edit(edits.change_recipe(made.batch, wish=wish), "wish")
    made.window.recipe_windows.show_routes()
    dialog = made.window.recipe_windows.routes
    made.qtbot.waitUntil(lambda: "dry-heat" in dialog.buttons and dialog.columns.isEnabled(), timeout=60_000)
    dialog.buttons["dry-heat"].click()
    dialog.close()

    planned = made.outcome
    assert str(planned.headline.sentence).startswith("It should reach 11")  # the plan, and not the adjustment
    standing = made.window.adjustment.mead_now
    assert not standing.stabilised.isChecked()
    assert "planned by heat, not done yet" in standing.how.text()
    start = planned.must.gravity.typical

    going = ((0.0, start), (3.0, start - 0.013), (6.0, start - 0.031), (9.0, start - 0.041))
    still = tuple((day, start - 0.041) for day in (13.0, 18.0, 23.0))
    moving = with_log(made, *(read(*pair) for pair in going))
    assert str(moving.headline.sentence).startswith("Day 9: ")
    stalled = with_log(made, *(read(*pair) for pair in going + still))
    assert "Stalled" in str(stalled.headline.sentence)
    (sugar,) = sweet(stalled)
    assert sugar.level is Level.ERROR
    assert "burst" in str(sugar.text)

    standing.stabilised.click()  # a tick alone is no stabilised stall
    ticked = made.outcome
    assert ticked.headline == stalled.headline
    assert [f.level for f in sweet(ticked)] == [Level.ERROR]
    told = with_log(made, *made.batch.log.readings, Event(day=24.0, what=What.STABILISED))
    assert not sweet(told)
    assert "one addition chosen" in str(told.headline.sentence)
