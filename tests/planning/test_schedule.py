"""When what is done: the order of tasks, how they move with what happened, and the calendar read by another reader."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import msgspec
import pytest
import vobject
from example_batches import SHELF, plain, read, routes, sugar_test, with_adjustment, with_log, worked_out

from planner.document.batch import (
    Event,
    Feed,
    FruitLine,
    HoneyLine,
    HouseRules,
    Preparation,
    TemperatureStep,
    What,
    Wish,
)
from planner.document.codec import decode, encode
from planner.evaluation.outcome import evaluate
from planner.planning.calendar_file import NoDate, calendar, identifier, identity
from planner.planning.schedule import CLEARING_DAYS, days_to_bottle, earliest_pitching, schedule
from planner.planning.solve import solve_wish

PLANNED = "2026-09-05T18:00+02:00"
NOW = datetime(2026, 8, 1, 12, 0, tzinfo=UTC)


def of(batch):
    """Schedule of a batch, and its tasks by key."""
    plan = schedule(worked_out(batch, 20), SHELF)
    return plan, {task.key: task for task in plan.tasks}


def test_that_every_kind_of_task_of_the_craft_is_there_in_order():
    plan, tasks = of(plain(pitch_planned=PLANNED))
    days = [task.day for task in plan.tasks]
    assert days == sorted(days)
    assert len({task.key for task in plan.tasks}) == len(plan.tasks)
    order = ["thaw", "enzyme", "press", "honey", "pitch", "feed-0", "third", "rest", "sugar-test", "racking-0", "racking-1",
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


def test_that_honey_and_water_are_stirred_in_before_the_yeast():
    honeys = (HoneyLine(key="blossom", mass=3.0), HoneyLine(key="dark", mass=1.5))
    tasks = of(plain(honeys=honeys))[1]
    assert str(tasks["honey"].title) == "Stir in 4.5 kg of honey"
    assert "3 kg of blossom honey, 1.5 kg of dark" in str(tasks["honey"].text)
    assert "Stir with 8 kg of water" in str(tasks["honey"].text)
    assert tasks["honey"].day == tasks["pitch"].day
    assert str(of(plain(honeys=()))[1]["honey"].title) == "Pour in 8 kg of water"
    assert "honey" not in of(plain(honeys=(), water=0.0))[1]


def test_that_enzyme_works_in_the_soak_or_before_it_but_not_at_two_temperatures_at_once():
    # Property data: 24 hours at 10 °C, twice as long for each ten kelvin less: 27.6 hours at 8 °C, the warmest of a soak.
    soaked = of(plain(preparation=Preparation(soak=2.0)))[1]
    assert soaked["enzyme"].day == soaked["soak"].day == -2.0
    assert "28 hours at 8" in str(soaked["enzyme"].text)
    short = of(plain(preparation=Preparation(soak=1.0)))[1]
    assert short["soak"].day == -1.0
    assert short["enzyme"].day < -1.5
    assert "21 hours at 12" in str(short["enzyme"].text)


def test_that_the_check_of_a_third_comes_after_the_feed_of_that_moment():
    feeds = (Feed(key="diammonium-phosphate", mass=0.004, day=1.0), Feed(key="blend", mass=0.004, sugar_used=0.34))
    plan, tasks = of(plain(feeds=feeds))
    order = [task.key for task in plan.tasks]
    assert order.index("third") > order.index("feed-1")
    assert "no more feeds" in str(tasks["third"].text)


def test_that_no_more_feeds_is_not_said_where_one_is_still_to_come():
    feeds = (Feed(key="diammonium-phosphate", mass=0.004, day=1.0), Feed(key="blend", mass=0.004, sugar_used=0.6))
    tasks = of(plain(feeds=feeds))[1]
    assert tasks["feed-1"].day > tasks["third"].day
    assert "feeds" not in str(tasks["third"].text)


def test_that_stirring_begins_on_the_day_that_is_told():
    stir = of(plain())[1]["stir"]
    assert stir.day == 1.0
    assert stir.until > 1.0


def test_that_planned_temperatures_are_steps_of_the_schedule():
    steps = (TemperatureStep(day=0.0, temperature=291.15), TemperatureStep(day=6.0, temperature=275.15))
    tasks = of(plain(temperatures=steps))[1]
    assert tasks["temperature-1"].day == 6.0
    assert "2 °C" in str(tasks["temperature-1"].title).replace("\u202f", " ").replace("\xa0", " ")
    assert "temperature-0" not in tasks


SWEET = (("potassium-metabisulphite", 0.001), ("potassium-sorbate", 0.003), ("honey", 0.5))


def test_that_what_a_route_stirs_in_stands_in_the_schedule():
    tasks = of(with_adjustment(plain(), ("erythritol", 0.4)))[1]
    assert "400 g of erythritol" in str(tasks["dose"].text)
    assert "stabilise" not in tasks
    assert "pasteurise" not in tasks


def test_that_salts_come_before_what_is_sweet():
    tasks = of(with_adjustment(plain(), *SWEET, stabilising="salts"))[1]
    assert tasks["stabilise"].day < tasks["dose"].day < tasks["bottle"].day
    assert "1 g of potassium metabisulphite, 3 g of potassium sorbate" in str(tasks["stabilise"].text)
    assert "honey" in str(tasks["dose"].text)
    assert "sorbate" not in str(tasks["dose"].text)
    assert not tasks["stabilise"].done


def test_that_the_salts_alone_are_no_adjustment_and_sulphite_alone_is_no_stabilising():
    batch = with_adjustment(plain(), *SWEET, stabilising="salts")
    log = [Event(day=90.0, what=What.DOSE, key=key, mass=mass) for key, mass in SWEET]
    salted = of(with_log(batch, read(0.0, 1.098), *log[:2], pitched_at=PLANNED))[1]
    assert salted["stabilise"].done
    assert salted["stabilise"].day == 90.0
    assert not salted["dose"].done
    assert of(with_log(batch, read(0.0, 1.098), *log, pitched_at=PLANNED))[1]["dose"].done
    alone = of(with_adjustment(plain(), SWEET[0]))[1]
    assert "stabilise" not in alone
    assert "metabisulphite" in str(alone["dose"].text)


def test_that_honey_for_the_heat_goes_in_bottled_and_heated_on_one_day():
    plan, tasks = of(with_adjustment(plain(), ("honey", 0.5), stabilising="heat"))
    assert tasks["dose"].day == tasks["bottle"].day == tasks["pasteurise"].day
    order = [task.key for task in plan.tasks]
    assert order.index("dose") < order.index("pasteurise") < order.index("bottle")
    assert tasks["bottle"].day == pytest.approx(of(plain())[1]["bottle"].day)
    assert "65" in str(tasks["pasteurise"].text)


def test_that_a_logged_stabilising_is_done():
    batch = with_adjustment(plain(), ("honey", 0.5), stabilising="heat")
    log = (read(0.0, 1.098), Event(day=120.0, what=What.STABILISED))
    tasks = of(with_log(batch, *log, pitched_at=PLANNED))[1]
    assert tasks["pasteurise"].done
    assert tasks["pasteurise"].day == 120.0


def test_that_a_pitching_too_soon_for_what_goes_before_is_told():
    plan, tasks = of(plain(pitch_planned=PLANNED))
    lead = timedelta(days=-tasks["thaw"].day)
    pitched = datetime.fromisoformat(PLANNED)
    assert earliest_pitching(plan, pitched - lead - timedelta(hours=1)) is None
    late = pitched - timedelta(days=1)
    assert earliest_pitching(plan, late) == late + lead
    logged = of(with_log(plain(), pitched_at=PLANNED))[0]
    assert earliest_pitching(logged, late) is None


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
    log = (read(0.0, 1.098), read(20.0, 1.002), read(27.0, 1.002))
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
    plan = schedule(worked_out(batch, 20), SHELF)
    return plan, calendar(batch, plan, now)


def test_that_another_reader_finds_each_task_on_its_day():
    batch = plain(pitch_planned=PLANNED)
    plan, data = exported(batch)
    events = parsed(data)
    assert len(events) == len(plan.tasks)
    for task in plan.tasks:
        event = events[identifier(identity(batch), task)]
        start = event.dtstart.value
        day = start if not isinstance(start, datetime) else start.astimezone(plan.pitched.tzinfo).date()
        assert day == plan.moment(task.day).date()
        assert str(task.title) in event.summary.value
        assert event.dtend.value > start


def test_that_what_goes_on_for_days_ends_after_its_last_day():
    batch = plain(pitch_planned=PLANNED, preparation=Preparation(soak=5.0))
    plan, data = exported(batch)
    soak = next(task for task in plan.tasks if task.key == "soak")
    event = parsed(data)[identifier(identity(batch), soak)]
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
    with pytest.raises(NoDate, match="Enter when you pitched the yeast, or mean to"):
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
    for word in ("Thaw", "Press", "Pitch", "Feed", "Rack", "Bottle", "Open the first bottle to drink"):
        assert word in titles
    first = min(
        e.dtstart.value if not isinstance(e.dtstart.value, datetime) else e.dtstart.value.date()
        for e in events.values()
    )
    assert first < date(2026, 9, 5)
