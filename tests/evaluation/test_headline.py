"""One sentence on how a batch stands, for each situation it can be in."""

from __future__ import annotations

from datetime import datetime

import msgspec
import numpy as np
import pytest
from example_batches import PITCHED, full, plain, read, sugar_test, with_adjustment, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document.batch import Event, Feed, FruitLine, HydrometerReading, Log, SugarReading, What, new_batch
from planner.document.edits import change_recipe
from planner.document.timestamps import day_of
from planner.evaluation.headline import STAGES

CURVE = worked_out(plain(), 60).curve
REST = worked_out(plain()).finish.gravity.typical


def head(batch, members=60, today=None):
    return worked_out(batch, members, today=today).headline


def expected_on(day):
    """The gravity expected on a day, as a hydrometer would show it at 20 °C."""
    return float(np.interp(day, CURVE.days, CURVE.gravity))


def logged(*readings, pitched_at=None):
    return with_log(plain(), *readings, pitched_at=pitched_at)


RESTING = (read(20.0, 1.002), read(25.0, 1.002))
STALLED = (read(18.0, 1.030), read(25.0, 1.030))

UNKNOWN = change_recipe(new_batch(), fruits=(FruitLine(key="moonberry", mass=1.0),))

SITUATIONS = {
    "empty": (new_batch(), "plan", "Nothing to ferment yet.", "Enter fruit and honey"),
    "not on the shelf": (UNKNOWN, "plan", "This recipe cannot be worked out yet.", "Read the remarks in the recipe"),
    "planned": (plain(), "plan", "It should reach 13 % vol in ", "Pitch the yeast"),
    "pitched": (logged(pitched_at=PITCHED), "ferment", "stop near 1.001.", "Take the starting gravity."),
    "as expected": (logged(read(4.0, expected_on(4.0))), "ferment", f"Day 4: {expected_on(4.0):.3f}. On course. It should be dry ", "Read again on day 6: it should show 1."),
    "slow": (logged(read(8.0, 1.090)), "ferment", "Day 8: 1.090. Slow: ", "Rouse it"),
    "fast": (logged(read(4.0, 1.020)), "ferment", "Day 4: 1.020. On course. It should be dry ", "Read again on day 6: it should show "),
    "a feed comes": (
        msgspec.structs.replace(plain(feeds=(Feed(key="blend", mass=0.006, day=6.0),)), log=Log(readings=(read(0.0, 1.0985),))),
        "ferment", "Day 0: 1.099. It should reach ", "Feed about day 6: 6 g blend of organic and ammonium.",
    ),
    "dry or stalled": (logged(*RESTING), "rest", "Day 25: 1.002. Finished or stalled: gravity alone cannot tell.", "Test for residual sugar"),
    "finished": (logged(*RESTING, sugar_test(25.0, 2.0)), "rest", "Day 25: sugar test 2 g/L. Finished.", "Rack it off the lees."),
    "stopped early by test": (logged(*STALLED, sugar_test(24.0, 40.0)), "rest", "Day 25: 1.030. Stalled, with about ", "Rouse it"),
    "stopped early by gravity": (logged(*STALLED), "rest", "Day 25: 1.030. Stalled, with about ", "Rouse it"),
    "measured mead": (with_adjustment(plain(), gravity=1.003), "adjust", "Ready to be adjusted", "Choose a sweetener"),
    "one addition": (with_adjustment(plain(), ("erythritol", 0.2), gravity=1.003), "adjust", "one addition chosen", "Try it in a glass"),
    "bottled": (
        with_log(with_adjustment(plain(), gravity=1.003, stabilised=True), Event(what=What.BOTTLED, day=120.0, bottles=24, size=0.75e-3)),
        "bottled", "Bottled on day 120: 24 bottles of 750 mL.", "After 30 days open one",
    ),
    "planned with an addition": (with_adjustment(plain(), ("sugar", 0.2)), "plan", "It should reach 13 % vol in ", "Pitch the yeast"),
    "more additions": (full(), "adjust", "3 additions chosen", "Try it in a glass"),
}  # fmt: skip


@pytest.mark.parametrize("situation", SITUATIONS)
def test_that_each_situation_has_its_stage_its_sentence_and_its_next_step(situation):
    batch, stage, sentence, coming = SITUATIONS[situation]
    said = head(batch)
    assert said.stage == stage
    assert sentence in str(said.sentence)
    assert coming in str(said.next)
    assert said.stage in STAGES


def routed(*readings, stabilised=False, **adjustment):
    """The headline of a batch that took "dry, then honey, then pasteurise", with a log."""
    additions = (("honey", 0.5),)
    planned = with_adjustment(logged(*readings), *additions, stabilising="heat", stabilised=stabilised, **adjustment)
    return head(planned)


@pytest.mark.parametrize("stabilised", [False, True])
def test_that_a_stall_wins_over_planned_additions_and_a_tick(stabilised):
    said = routed(*STALLED, stabilised=stabilised)
    assert said == head(logged(*STALLED))
    assert said.stage == "rest"


def test_that_what_still_ferments_is_told_whatever_is_planned_for_its_end():
    moving = read(4.0, expected_on(4.0))
    assert routed(moving) == head(logged(moving))


@pytest.mark.parametrize("readings", [RESTING, STALLED, (*RESTING, sugar_test(25.0, 2.0)), (read(8.0, 1.090),)])
def test_that_without_an_ensemble_nothing_is_judged(readings):
    outcome = worked_out(logged(*readings))
    assert outcome.verdict is None
    said = outcome.headline
    assert said.stage == "ferment"
    assert "It should reach" in str(said.sentence)


def test_that_only_a_finished_log_lets_planned_additions_speak():
    assert routed(*RESTING) == head(logged(*RESTING))  # finished or stalled: a test is asked for
    assert routed(*RESTING, sugar_test(25.0, 2.0)).stage == "adjust"


@pytest.mark.parametrize(
    ("plan", "done", "said"),
    [
        ("heat", False, "pasteurise it in the bottles at once"),
        ("salts", False, "stabilise before you dose"),
        ("heat", True, "before you dose the batch"),
    ],
)
def test_that_the_next_step_keeps_to_what_is_planned_against_the_yeast(plan, done, said):
    batch = with_adjustment(plain(), ("honey", 0.5), gravity=1.003, stabilising=plan, stabilised=done)
    assert said in str(head(batch).next)


def test_that_a_stall_is_behind_once_it_has_moved_on_or_the_log_says_it_was_stabilised():
    assert routed(*STALLED, gravity=1.030).stage == "rest"
    assert routed(*STALLED, gravity=1.010).stage == "adjust"
    done = Event(day=26.0, what=What.STABILISED)
    assert routed(*STALLED, done).stage == "adjust"  # the entry says what the tick says
    assert routed(*STALLED, done, stabilised=True).stage == "adjust"


def test_that_all_stages_occur():
    assert {stage for _, stage, _, _ in SITUATIONS.values()} == set(STAGES)


@pytest.mark.parametrize(
    ("today", "coming"),
    [
        ("2026-08-14T20:00+02:00", "Take the starting gravity."), ("2026-08-18T19:30+02:00", "Pitched 4 days ago"),
        ("2026-08-01T00:00+02:00", "Take the starting gravity."), (None, "Take the starting gravity."),
    ],
)  # fmt: skip
def test_that_the_present_moment_tells_how_long_ago_it_was_pitched(today, coming):
    now = None if today is None else datetime.fromisoformat(today)
    assert coming in str(head(logged(pitched_at=PITCHED), today=now).next)


def test_that_excluded_readings_say_nothing():
    assert head(logged(read(8.0, 1.090, excluded=True))) == head(plain())


def test_that_a_sugar_test_from_before_the_rest_does_not_speak_for_it():
    said = head(logged(read(9.5, 1.030), sugar_test(10.0, 60.0), *RESTING))
    assert "Test for residual sugar" in str(said.next)


def test_that_the_order_in_which_readings_were_entered_does_not_matter():
    assert head(logged(*RESTING)) == head(logged(*RESTING[::-1]))


def test_that_unknown_ingredients_leave_a_sentence_all_the_same():
    said = head(plain(feeds=(Feed(key="hope", mass=1.0),)))
    assert said.stage == "plan"
    assert str(said.sentence)


@settings(max_examples=25)
@given(st.lists(st.tuples(st.floats(0, 60), st.floats(0.99, 1.11)), max_size=6))
def test_that_any_log_gets_a_sentence(pairs):
    readings = [read(day, gravity) for day, gravity in pairs]
    said = head(logged(*readings), members=8)
    assert said.stage in STAGES
    assert str(said.sentence).endswith(".")
    assert str(said.next).endswith(".")


def test_that_readings_dated_by_moment_are_told_by_days_since_pitching():
    moment = "2026-09-08T07:30+02:00"
    assert day_of(moment, None, PITCHED) == 24.5
    batch = logged(
        HydrometerReading(at="2026-09-03T19:30+02:00", gravity=1.002), HydrometerReading(at=moment, gravity=1.002),
        SugarReading(at=moment, sugar=1.0), pitched_at=PITCHED,
    )  # fmt: skip
    assert str(head(batch).sentence).startswith("Day 24: sugar test 1 g/L. Finished.")


def test_that_all_feeds_of_an_hour_are_named_together():
    feeds = (
        Feed(key="yeast-autolysate", mass=0.0007, day=3.0),
        Feed(key="diammonium-phosphate", mass=0.0006, day=3.02),
        Feed(key="blend", mass=0.002, day=5.0),
    )
    batch = msgspec.structs.replace(plain(feeds=feeds), log=Log(readings=(read(0.0, 1.0985),)))
    said = str(head(batch).next)
    assert said == "Feed about day 3: 0.7 g yeast autolysate; 0.6 g diammonium phosphate."
