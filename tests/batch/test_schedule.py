"""When what is done: the order of tasks, how they move with what happened, and the calendar read by another reader."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import msgspec
import pytest
import vobject
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out

from planner.batch.batch import Event, Feed, FruitLine, HoneyLine, HouseRules, Preparation, What, Wish
from planner.batch.codec import decode, encode
from planner.batch.outcome import evaluate
from planner.batch.planning.calendar_file import NoDate, calendar, identifier
from planner.batch.planning.routes import routes
from planner.batch.planning.schedule import CLEARING_DAYS, days_to_bottle, schedule
from planner.batch.planning.solve import solve_wish

PLANNED = "2026-09-05T18:00+02:00"
NOW = datetime(2026, 8, 1, 12, 0, tzinfo=UTC)


def of(batch):
    """Schedule of a batch, and its tasks by key."""
    plan = schedule(worked_out(batch), SHELF)
    return plan, {task.key: task for task in plan.tasks}


def test_that_every_kind_of_task_of_the_craft_is_there_in_order():
    plan, tasks = of(plain(pitch_planned=PLANNED))
    days = [task.day for task in plan.tasks]
    assert days == sorted(days)
    assert len({task.key for task in plan.tasks}) == len(plan.tasks)
    order = ["thaw", "enzyme", "press", "pitch", "feed-0", "third", "rest", "sugar-test", "racking-0", "racking-1",
             "tasting-0", "dose", "bottle", "tasting-1", "open"]  # fmt: skip
    assert [key for key in tasks if key in order] == order
    assert {"stir", "soak"} <= set(tasks)
    assert tasks["stir"].until == tasks["third"].day


def test_that_days_before_pitching_are_counted_back_from_it():
    plan, tasks = of(plain(pitch_planned=PLANNED, preparation=Preparation(soak=5.0)))
    assert tasks["enzyme"].day == -5.0
    assert tasks["thaw"].day < tasks["enzyme"].day
    assert plan.moment(tasks["pitch"].day) == datetime.fromisoformat(PLANNED)
    assert plan.is_planned


def test_that_whole_fruit_is_taken_off_instead_of_pressed_first():
    _, tasks = of(plain(preparation=Preparation(whole=True, on_fruit=6.0)))
    assert "press" not in tasks
    assert tasks["off-fruit"].day == 6.0


def test_that_what_really_happened_moves_what_follows():
    before = of(plain())[1]
    late = before["racking-0"].day + 20.0
    log = (read(0.0, 1.098), Event(day=late, what=What.RACKING))
    after = of(with_log(plain(), *log, pitched_at=PLANNED))[1]
    assert after["racking-0"].done
    assert after["racking-0"].day == pytest.approx(late)
    assert after["racking-1"].day == pytest.approx(late + CLEARING_DAYS)
    assert after["bottle"].day > before["bottle"].day + 15.0
    assert not after["racking-1"].done


def test_that_a_ferment_at_rest_is_taken_at_its_day():
    log = (read(0.0, 1.098), read(20.0, 1.002), read(26.0, 1.002))
    tasks = of(with_log(plain(), *log, pitched_at=PLANNED))[1]
    assert tasks["rest"].done
    assert tasks["rest"].day == 20.0
    assert tasks["rest"].early == tasks["rest"].late


def test_that_a_stalled_ferment_is_not_at_rest_and_nothing_is_bottled_by_its_dates():
    log = (read(0.0, 1.098), read(10.0, 1.045), read(20.0, 1.030), read(26.0, 1.030), read(32.0, 1.030))
    batch = with_log(plain(), *log, pitched_at=PLANNED)
    outcome = worked_out(batch, 60)
    assert outcome.verdict.kind == "stalled"
    tasks = {task.key: task for task in schedule(outcome, SHELF).tasks}
    assert tasks["restart"].day == 32.0
    assert tasks["restart"].text == outcome.verdict.steps[0]
    assert not tasks["rest"].done
    assert tasks["rest"].early >= 32.0
    assert tasks["rest"].day > 32.0
    assert tasks["bottle"].day > tasks["racking-0"].day > tasks["rest"].day


def test_that_a_sugar_test_is_done_once_it_was_made_after_the_rest():
    log = [read(0.0, 1.098), sugar_test(5.0, 90.0), read(20.0, 1.002), read(26.0, 1.002)]
    assert not of(with_log(plain(), *log, pitched_at=PLANNED))[1]["sugar-test"].done
    tested = of(with_log(plain(), *log, sugar_test(27.0, 1.0), pitched_at=PLANNED))[1]["sugar-test"]
    assert tested.early == tested.day == tested.late == 27.0  # what was done has its day, and no span
    assert tested.done
    assert tested.day == 27.0


def test_that_a_logged_feed_is_done():
    log = (read(0.0, 1.098), Event(day=1.5, what=What.FEED, key="diammonium-phosphate", mass=0.008))
    tasks = of(with_log(plain(), *log, pitched_at=PLANNED))[1]
    assert tasks["feed-0"].done
    assert tasks["feed-0"].day == 1.5


def test_that_an_excluded_entry_moves_nothing():
    log = (read(0.0, 1.098), Event(day=90.0, what=What.RACKING, excluded=True))
    assert not of(with_log(plain(), *log, pitched_at=PLANNED))[1]["racking-0"].done


def test_that_pitching_as_logged_goes_before_pitching_as_planned():
    batch = with_log(plain(pitch_planned=PLANNED), pitched_at="2026-09-07T08:00+02:00")
    plan, tasks = of(batch)
    assert plan.pitched == datetime.fromisoformat("2026-09-07T08:00+02:00")
    assert not plan.is_planned
    assert tasks["pitch"].done


def test_that_nothing_to_ferment_has_no_schedule():
    assert of(plain(fruits=(), honeys=(), water=1.0))[0].tasks == ()


def test_that_a_batch_is_bottled_after_its_rackings_and_rest():
    assert days_to_bottle(20.0) > 20.0 + CLEARING_DAYS


def parsed(data: bytes):
    """Events of a calendar file by identifier, as read by a library that did not write it."""
    return {str(event.uid.value): event for event in vobject.readOne(data.decode()).vevent_list}


def exported(batch, now=NOW):
    plan = schedule(worked_out(batch), SHELF)
    return plan, calendar(batch, plan, now)


def test_that_another_reader_finds_each_task_on_its_day():
    batch = plain(pitch_planned=PLANNED)
    plan, data = exported(batch)
    events = parsed(data)
    assert len(events) == len(plan.tasks)
    for task in plan.tasks:
        event = events[identifier(batch, task)]
        start = event.dtstart.value
        day = start if not isinstance(start, datetime) else start.astimezone(plan.pitched.tzinfo).date()
        assert day == plan.moment(task.day).date()
        assert str(task.title) in event.summary.value
        assert event.dtend.value > start


def test_that_what_goes_on_for_days_ends_after_its_last_day():
    batch = plain(pitch_planned=PLANNED, preparation=Preparation(soak=5.0))
    plan, data = exported(batch)
    soak = next(task for task in plan.tasks if task.key == "soak")
    event = parsed(data)[identifier(batch, soak)]
    assert event.dtend.value - event.dtstart.value == timedelta(days=6)  # the end of a whole-day event is exclusive


def test_that_the_file_keeps_to_the_form_of_rfc_5545():
    _, data = exported(plain(pitch_planned=PLANNED))
    lines = data.split(b"\r\n")
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert lines[-1] == b""  # section 3.1: every line ends in CRLF ...
    assert b"\n" not in b"".join(lines)
    assert max(len(line) for line in lines) <= 75  # ... and is at most 75 octets long
    assert {b"VERSION:2.0", b"METHOD:PUBLISH"} <= set(lines)  # sections 3.7.4 and 3.7.2
    assert any(line.startswith(b"PRODID:") for line in lines)  # section 3.7.3


def test_that_a_second_export_updates_instead_of_doubling():
    batch = plain(pitch_planned=PLANNED)
    first = parsed(exported(batch)[1])
    moved = msgspec.structs.replace(
        batch, recipe=msgspec.structs.replace(batch.recipe, pitch_planned="2026-09-12T18:00+02:00")
    )
    second = parsed(exported(moved, NOW + timedelta(days=3))[1])
    assert set(first) == set(second)
    for uid, event in first.items():
        assert int(second[uid].sequence.value) > int(event.sequence.value)
        assert second[uid].dtstart.value > event.dtstart.value


def test_that_a_batch_keeps_its_identity_under_another_name_and_two_of_one_name_stay_apart():
    one = plain(pitch_planned=PLANNED, calendar="one")
    renamed = msgspec.structs.replace(one, name="Renamed")
    other = plain(pitch_planned=PLANNED, calendar="other")
    assert set(parsed(exported(one)[1])) == set(parsed(exported(renamed)[1]))
    assert set(parsed(exported(one)[1])).isdisjoint(parsed(exported(other)[1]))


def test_that_a_calendar_needs_a_date_and_says_so():
    batch = plain()
    with pytest.raises(NoDate, match="enter when the yeast was pitched, or is to be"):
        calendar(batch, schedule(worked_out(batch), SHELF), NOW)


def test_the_journey_from_sixteen_kilograms_of_blackcurrants_to_a_calendar():
    rules = HouseRules(no_sulphite=True, no_sorbate=True, alcohol_ceiling=0.12)
    batch = plain(
        fruits=(FruitLine(key="blackcurrant", mass=16.0),), honeys=(HoneyLine(key="blossom", mass=0.0),), water=0.0,
        feeds=(Feed(key="yeast-autolysate", mass=0.008, day=1.0),), rules=rules, pitch_planned=PLANNED,
        wish=Wish(left_open=("honey",), alcohol=0.12, sweetness=30.0), vessel=None,
    )  # fmt: skip
    answer = solve_wish(batch, SHELF)
    assert answer.kind == "solved"
    assert answer.reached["alcohol"] == pytest.approx(0.12, abs=1e-4)
    found = routes(answer.batch, SHELF, 0)
    assert len(found) >= 5
    assert not {"dry-stabilised"} & {route.key for route in found if route.is_open}
    chosen = next(route for route in found if route.key == "dry-sweetener")
    assert chosen.is_open
    kept = decode(encode(chosen.batch))
    outcome = evaluate(kept, SHELF, 0)
    assert outcome.mead.after.alcohol.typical <= 0.1205
    assert outcome.mead.after.sweetness.typical == pytest.approx(30.0, abs=2.25)
    assert kept.recipe.water == 0.0
    plan = schedule(outcome, SHELF)
    events = parsed(calendar(kept, plan, NOW))
    assert len(events) == len(plan.tasks) >= 12
    titles = " ".join(event.summary.value for event in events.values())
    for word in ("Thaw", "Press", "Pitch", "Feed", "Rack", "Bottle", "First open bottle"):
        assert word in titles
    first = min(
        e.dtstart.value if not isinstance(e.dtstart.value, datetime) else e.dtstart.value.date()
        for e in events.values()
    )
    assert first < date(2026, 9, 5)
