"""Step feeding in what is planned from a recipe: tasks and their ticks, strength, cost, scale, vessel, food and the next step."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, read, worked_out

from planner.document import edits
from planner.document.batch import Event, HoneyLine, HouseRules, Log, Price, Prices, StepFeed, What, Wish, Yeast
from planner.document.codec import decode, encode
from planner.evaluation.headline import next_feed
from planner.feeding.nitrogen_feeds import propose
from planner.model.liquid import alcohol
from planner.planning.cost import cost
from planner.planning.log_step import entry_of, hindrance
from planner.planning.schedule import schedule
from planner.planning.solve import solve_wish
from planner.recipe.must import must
from planner.recipe.step_feeding import density_of, name_of, offered, together
from planner.recipe.vessels import way
from planner.timeline.course import expected

PITCHED = "2026-08-14T19:30+02:00"
LINES = (
    StepFeed(key="dark", mass=0.5, gravity=1.02),
    StepFeed(key="apple", mass=1.0, day=9.0),
    StepFeed(key="sugar", mass=0.2, sugar_used=0.9),
)


def fed(*lines, **recipe):
    usual = {"honeys": (HoneyLine(key="blossom", mass=3.0),), "yeast": Yeast(key="dry-finisher", pitch=0.01)}
    return plain(**(usual | {"step_feeds": lines or LINES, "vessel": 0.040} | recipe))


def pitched(batch, *readings):
    return msgspec.structs.replace(batch, log=Log(pitched_at=PITCHED, readings=readings))


def tasks_of(batch):
    plan = schedule(worked_out(batch), SHELF)
    return plan, {task.key: task for task in plan.tasks}


def test_that_each_addition_is_a_task_that_says_what_and_when():
    _, tasks = tasks_of(fed())
    assert str(tasks["step-feed-0"].title) == "Add 500 g of dark honey"
    assert "fallen to 1.020" in str(tasks["step-feed-0"].text)
    assert tasks["step-feed-1"].day == 9.0
    assert "90 % of the sugar" in str(tasks["step-feed-2"].text)
    assert not any(tasks[f"step-feed-{n}"].done for n in range(3))


def test_that_a_tick_logs_it_and_the_task_is_done():
    batch = pitched(fed())
    plan, tasks = tasks_of(batch)
    task = tasks["step-feed-0"]
    assert hindrance(plan, task, batch) is None
    entry = entry_of(task, batch, "2026-08-20T08:00+02:00")
    assert (entry.what, entry.key, entry.mass) == (What.ADDED, "dark", 0.5)
    after = tasks_of(edits.add_readings(batch, entry))[1]
    assert after["step-feed-0"].done
    assert after["step-feed-0"].day == pytest.approx(5.52, abs=0.01)
    assert not after["step-feed-1"].done


def test_that_of_two_alike_the_first_comes_first():
    twice = (StepFeed(key="dark", mass=0.5, gravity=1.03), StepFeed(key="dark", mass=0.5, gravity=1.02))
    batch = pitched(fed(*twice))
    plan, tasks = tasks_of(batch)
    assert hindrance(plan, tasks["step-feed-0"], batch) is None
    assert "before it first" in str(hindrance(plan, tasks["step-feed-1"], batch))


def test_that_the_headline_says_what_is_added_next():
    batch = fed()
    curve = worked_out(batch).curve
    assert str(next_feed(batch, curve, 8.0, {"apple": "Apple juice"})) == "Add about day 9: 1 kg apple juice."


# --- what it comes to


def test_that_the_wished_strength_counts_what_is_added_later():
    """Worked out and fermented by mass balance of its own: must and additions together, dry."""
    wish = Wish(left_open=("honey",), alcohol=0.12)
    batch = fed(StepFeed(key="blossom", mass=1.2, gravity=1.02), wish=wish)
    answer = solve_wish(batch, SHELF)
    assert answer.batch is not None
    alone = solve_wish(fed(StepFeed(key="blossom", mass=0.0, day=1.0), wish=wish), SHELF)
    mass = [sum(pot.mass for pot in one.batch.recipe.honeys) for one in (answer, alone)]
    assert mass[0] < mass[1] - 1.0
    start = must(answer.batch, SHELF, 0)
    course = expected(answer.batch.recipe, start, SHELF)
    assert float(alcohol(course.dry)[0]) == pytest.approx(0.12, abs=2e-4)
    assert answer.reached["alcohol"] == pytest.approx(0.12, abs=1e-5)


def test_that_the_wished_gravity_and_volume_are_those_of_the_must_at_pitching():
    wish = Wish(left_open=("honey", "water"), volume=0.020, gravity=1.09)
    found = [
        solve_wish(fed(*lines, wish=wish), SHELF).batch.recipe
        for lines in (LINES, (StepFeed(key="dark", mass=0.0, day=1.0),))
    ]
    assert found[0].honeys[0].mass == pytest.approx(found[1].honeys[0].mass, abs=1e-4)
    assert found[0].water == pytest.approx(found[1].water, abs=1e-4)


def test_that_nitrogen_is_wanted_for_the_sugar_that_comes_later_too():
    with_it, without = worked_out(fed()), worked_out(fed(StepFeed(key="dark", mass=0.0, day=1.0)))
    later = float(together(fed().recipe, SHELF, 0)["fructose"][0])
    assert later > 0.0
    assert with_it.must.sugar_in_all.typical > with_it.must.sugar.typical
    assert without.must.sugar_in_all == without.must.sugar

    def need(outcome):
        return propose(outcome.batch, SHELF, outcome.must, outcome.curve, ("blend",)).need.typical

    ratio = with_it.must.sugar_in_all.typical / with_it.must.sugar.typical
    assert need(with_it) == pytest.approx(ratio * need(without), rel=1e-6)


def test_that_it_costs_what_it_costs():
    prices = Prices(lines=(Price(key="dark", per_kg=10.0), Price(key="sugar", per_kg=1.0)))
    total = cost(fed(prices=prices), 0).total
    assert total == pytest.approx(0.5 * 10.0 + 0.2 * 1.0)


def test_that_it_scales_with_the_batch():
    assert [line.mass for line in edits.scaled(fed(), 2.0).recipe.step_feeds] == [1.0, 2.0, 0.4]


def test_that_the_fermenter_holds_it_and_the_mead_is_more():
    batch, bare = fed(), fed(StepFeed(key="dark", mass=0.0, day=1.0))
    volumes = [worked_out(one).must.volume.typical for one in (batch, bare)]
    assert volumes[0] == pytest.approx(volumes[1])
    ways = [way(one, SHELF, room) for one, room in zip((batch, bare), volumes, strict=True)]
    assert ways[0].fermenter > ways[1].fermenter + 0.0012
    assert worked_out(batch).finish.volume.typical > worked_out(bare).finish.volume.typical + 0.0012
    full = worked_out(fed(vessel=volumes[0] + 0.0005))
    assert any("what is added to it" in str(f.text) and f.level == 2 for f in full.findings)


def test_that_house_rules_are_obeyed():
    for key, refused in (("xylitol", True), ("sugar", False)):
        batch = fed(StepFeed(key=key, mass=0.2, day=5.0), rules=HouseRules(natural_only=True))
        found = [f for f in worked_out(batch).findings if f.place == "recipe.step_feeds.0"]
        assert bool(found) == refused


# --- doubts


def test_that_one_that_never_falls_due_and_one_that_goes_in_at_once_are_told():
    batch = fed(StepFeed(key="dark", mass=0.5, gravity=0.9), StepFeed(key="dark", mass=0.5, gravity=1.3))
    told = {
        f.place: str(f.text)
        for f in worked_out(batch).findings
        if "step_feeds" in f.place and "Honey can" not in str(f.text)
    }
    assert "never falls due" in told["recipe.step_feeds.0"]
    assert "goes in at once" in told["recipe.step_feeds.1"]


def test_that_one_that_was_due_and_is_not_in_the_log_is_asked_about():
    batch = pitched(fed(StepFeed(key="dark", mass=0.5, day=4.0)), read(0.0, 1.075), read(8.0, 1.02))
    assert any("Did you add it?" in str(f.text) for f in worked_out(batch).findings)
    batch = edits.add_readings(batch, Event(what=What.ADDED, key="dark", mass=0.5, day=4.0))
    assert not any("Did you add it?" in str(f.text) for f in worked_out(batch).findings)


def test_that_a_rise_after_an_addition_is_no_misreading():
    readings = (read(0.0, 1.075), read(4.0, 1.030), read(5.0, 1.045), read(7.0, 1.020))
    plainly = worked_out(pitched(fed(StepFeed(key="dark", mass=0.0, day=1.0)), *readings))
    assert any("The gravity rose" in str(f.text) for f in plainly.findings)
    sweet = worked_out(pitched(fed(), *readings, Event(what=What.ADDED, key="dark", mass=1.0, day=4.5)))
    assert not any("The gravity rose" in str(f.text) or "far from" in str(f.text) for f in sweet.findings)


def test_that_an_addition_without_amount_is_asked_what_it_was():
    found = worked_out(pitched(fed(), Event(what=What.ADDED, day=3.0))).findings
    assert any("Enter how much of what" in str(f.text) for f in found)


def test_that_one_that_the_shelf_does_not_hold_is_told():
    found = worked_out(fed(StepFeed(key="no such thing", mass=0.5, day=3.0))).findings
    assert [f.place for f in found if f.level == 2] == ["recipe.step_feeds.0"]


# --- the file and the shelf


def test_that_a_file_keeps_it():
    batch = pitched(fed(), Event(what=What.ADDED, key="dark", mass=0.5, day=4.0))
    assert decode(encode(batch)) == batch


def test_that_honeys_juices_and_sugars_are_offered_by_name():
    known = offered(SHELF)
    assert known["apple"] == "Apple juice"
    assert {"blossom", "sugar", "dextrose", "water"} <= set(known)
    assert not {"honey", "erythritol", "lactose", "malic-acid", "spirit-40"} & set(known)
    assert name_of("no such thing", SHELF) == "no such thing"


def test_that_what_is_poured_has_a_density():
    # Property data: honey 1.40 to 1.45, apple juice about 1.05, water 0.998 kg/L; sugar is weighed.
    assert density_of("blossom", SHELF) == pytest.approx(1420.0, abs=30.0)
    assert density_of("apple", SHELF) == pytest.approx(1050.0, abs=10.0)
    assert density_of("water", SHELF) == pytest.approx(998.2, abs=0.1)
    assert density_of("sugar", SHELF) is None
    assert density_of("no such thing", SHELF) is None


def test_that_what_was_given_since_the_last_reading_does_not_come_next():
    twice = (StepFeed(key="dark", mass=0.5, day=5.0), StepFeed(key="dark", mass=0.6, day=9.0))
    batch = pitched(fed(*twice, feeds=()), read(0.0, 1.075), read(4.0, 1.03))
    told = [str(next_feed(one, worked_out(one).curve, 4.0))
            for one in (batch, edits.add_readings(batch, Event(what=What.ADDED, key="dark", mass=0.4, day=5.0)))]  # fmt: skip
    assert told == ["Add about day 5: 500 g dark.", "Add about day 9: 600 g dark."]
