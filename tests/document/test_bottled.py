"""Bottling is an entry of the log: it ends the story, dates the tastings, and survives file, table and report."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import msgspec
import pytest
from example_batches import PITCHED, SHELF, plain, read, with_log, worked_out
from hypothesis import given
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import Event, SugarReading, TasteReading, Tasting, What
from planner.document.bottled import RESTING_DAYS, TASTING_DAYS, bottled, opened
from planner.document.codec import decode, encode
from planner.document.timestamps import moment_of
from planner.evaluation.outcome import evaluate
from planner.importing.export import export_csv
from planner.importing.reading import guess, new_only, read_table, readings
from planner.planning.schedule import schedule
from planner.reference.shipped import samples
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.wording.finding import Level

RASPBERRY = msgspec.structs.replace(decode((samples() / "raspberry-finished.meadbatch").read_bytes()), tastings=())
DAY = 100.0


def in_bottles(bottles=24, size=0.75e-3, batch=RASPBERRY, day=DAY, **fields):
    return edits.add_readings(batch, Event(what=What.BOTTLED, day=day, bottles=bottles, size=size, **fields))


def told(batch, days=None):
    end = moment_of(DAY, batch.log.pitched_at)
    today = None if days is None else end + timedelta(days=days)
    return evaluate(batch, SHELF, 0, today).headline


def test_that_nothing_is_bottled_before_the_log_says_so():
    assert bottled(RASPBERRY) is None
    assert bottled(in_bottles(excluded=True)) is None


def test_that_day_number_and_size_are_told_by_the_headline():
    headline = told(in_bottles())
    assert headline.stage == "bottled"
    assert str(headline.sentence) == "Bottled on day 100: 24 bottles of 750 mL."
    assert str(told(in_bottles(1, None)).sentence) == "Bottled on day 100: one bottle."
    assert str(told(in_bottles(None, None)).sentence) == "Bottled on day 100."


def test_that_several_sizes_are_added_up_and_of_no_one_size():
    both = in_bottles(6, 0.375e-3, in_bottles(), 101.0)
    assert bottled(both).number == 30
    assert bottled(both).size is None
    assert bottled(both).day == 101.0
    assert str(told(both).sentence) == "Bottled on day 101: 30 bottles."


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (1.0, "to see that it is stable"),
        (TASTING_DAYS + 1.0, "before you pour the first"),
        (RESTING_DAYS + 1.0, "61 days"),
    ],
)
def test_that_what_comes_next_is_of_the_bottles(days, words):
    assert words in str(told(in_bottles(), days).next)


def test_that_the_schedule_ends_with_it_and_goes_on_from_it():
    tasks = {task.key: task for task in schedule(worked_out(in_bottles(), 0), SHELF).tasks}
    assert (tasks["bottle"].day, tasks["bottle"].done) == (DAY, True)
    assert tasks["tasting-1"].day == DAY + TASTING_DAYS
    assert tasks["open"].day == DAY + RESTING_DAYS
    assert all(task.done or task.day <= DAY or key in ("tasting-1", "open") for key, task in tasks.items())


def test_that_tastings_from_the_bottle_are_done_in_the_schedule():
    batch = in_bottles()
    end = moment_of(DAY, batch.log.pitched_at)
    for days in (35.0, 90.0):
        batch = edits.add_tasting(batch, Tasting(note="still", at=(end + timedelta(days=days)).isoformat()))
    tasks = {task.key: task for task in schedule(worked_out(batch, 0), SHELF).tasks}
    assert tasks["tasting-1"].done
    assert tasks["tasting-1"].day == pytest.approx(DAY + 35.0)
    assert tasks["open"].done
    assert tasks["open"].day == pytest.approx(DAY + 90.0)


def test_that_rackings_of_the_sample_stand_done_in_its_schedule():
    tasks = {task.key: task for task in schedule(worked_out(RASPBERRY, 0), SHELF).tasks}
    assert tasks["racking-0"].done
    assert tasks["racking-1"].done
    # 30 March 21:03 is 23.2 days after 7 March 16:15 at the same offset.
    assert tasks["racking-0"].day == pytest.approx(23.2, abs=0.01)


def test_that_age_in_the_bottle_is_counted_from_it():
    end = bottled(in_bottles())
    assert end.age((end.moment + timedelta(days=12)).isoformat()) == pytest.approx(12.0)
    assert end.age((end.moment - timedelta(days=3)).isoformat()) == pytest.approx(-3.0)
    assert end.age(None) is None
    undated = bottled(with_log(plain(), Event(what=What.BOTTLED, day=80.0, bottles=3)))
    assert undated.age(datetime(2026, 1, 1, tzinfo=UTC).isoformat()) is None


def test_that_report_and_its_data_tell_it():
    batch = in_bottles()
    end = moment_of(DAY, batch.log.pitched_at)
    batch = edits.add_tasting(batch, Tasting(note="clean", at=(end + timedelta(days=40)).isoformat()))
    data = as_data(worked_out(batch, 0), SHELF)
    assert data["bottled"]["bottles"] == [{"number": 24, "size_ml": 750.0}]
    assert data["bottled"]["day"] == DAY
    assert data["tastings"][-1]["days_in_bottle"] == 40.0
    assert "bottled 24 of 750 mL" in as_text(data)
    assert "clean (40 days in the bottle)" in as_text(data)


@given(
    st.lists(st.tuples(st.none() | st.integers(1, 100_000), st.none() | st.floats(1e-5, 0.1)), min_size=1, max_size=4)
)
def test_that_file_and_table_give_it_back_as_it_was(lots):
    batch = with_log(plain(), read(0.0, 1.098), pitched_at=PITCHED)
    for place, (bottles, size) in enumerate(lots):
        batch = in_bottles(bottles, size, batch, 80.0 + place, note="from the tap")
    assert decode(encode(batch)) == batch
    table = read_table(export_csv(batch).encode())
    again = readings(table, guess(table), UTC).readings
    # Not every volume is a thousandth of a number of litres: the last of some sixteen digits may differ.
    sizes = [None if size is None else pytest.approx(size, rel=1e-15) for _, size in lots]
    assert [(entry.bottles, entry.note) for entry in list(again)[1:]] == [(n, "from the tap") for n, _ in lots]
    assert [entry.size for entry in list(again)[1:]] == sizes
    assert new_only(readings(table, guess(table), UTC), batch).readings == ()


def test_that_what_is_bottled_with_sugar_and_living_yeast_is_an_error_at_its_entry():
    sweet = with_log(plain(), read(0.0, 1.098), read(3.0, 1.080), read(6.0, 1.060), pitched_at=PITCHED)
    outcome = worked_out(in_bottles(batch=sweet, day=7.0), 60)
    told_ = [f for f in outcome.findings if f.level is Level.ERROR and f.place == "log.readings.3"]
    assert any("may burst" in str(f.text) for f in told_)
    assert not [f for f in worked_out(in_bottles(), 60).findings if "may burst" in str(f.text)]


@pytest.mark.parametrize(
    "entry", [read(DAY + 40.0, 1.001), SugarReading(day=DAY + 40.0, sugar=1.0), TasteReading(day=DAY + 40.0, note="dry")]
)  # fmt: skip
def test_that_a_bottle_that_was_opened_to_measure_or_taste_it_counts_as_opened(entry):
    batch = edits.add_readings(in_bottles(), entry)
    tasks = {task.key: task for task in schedule(worked_out(batch, 0), SHELF).tasks}
    assert (tasks["tasting-1"].done, tasks["tasting-1"].day) == (True, DAY + 40.0)
    assert not tasks["open"].done
    assert "You opened one after 40 days" in str(told(batch, 41.0).next)
    assert "71 days" in str(told(batch, 71.0).next)
    for other in (msgspec.structs.replace(entry, excluded=True), msgspec.structs.replace(entry, day=DAY - 1.0)):
        assert opened(edits.add_readings(in_bottles(), other)) == []
