"""A sugar test holds until the log itself shows that gravity fell since: a gravity without a day cannot use sugar up."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out
from hypothesis import given
from hypothesis import strategies as st

from planner.adjusting.base_mead import Basis
from planner.adjusting.sugar_test import SUGAR_TEST_ERROR, differs, last_gravity, sugar_by_test
from planner.document import edits
from planner.document.batch import Log, SugarReading
from planner.document.codec import decode
from planner.recipe.must import must
from planner.reference.shipped import samples
from planner.timeline.readings import logged, path
from planner.wording.finding import Level

WAY = path(must(plain(), SHELF, 0).liquid.member(0))
RASPBERRY = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
LATE = 263.0
"""Day after which no course is worked out any more. [d]"""


def rows_of(*readings):
    return logged(Log(readings=readings), WAY)


def raspberry(gravity, *readings):
    batch = edits.change_adjustment(RASPBERRY, gravity=gravity)
    return worked_out(edits.add_readings(batch, *readings), 100)


def test_that_the_last_sugar_test_holds_while_gravity_has_not_moved():
    rows = rows_of(read(30.0, 1.010), sugar_test(30.0, 12.0))
    # Half and one and a half of the reading, and a gram: strips, from memory.
    assert tuple(sugar_by_test(rows, 1.011)) == pytest.approx((6.0, 12.0, 19.0))
    assert sugar_by_test(rows_of(sugar_test(10.0, 30.0), sugar_test(30.0, 12.0)), 1.5).typical == 12.0
    assert sugar_by_test(rows_of(read(30.0, 1.010)), 1.010) is None


def test_that_an_excluded_test_does_not_hold():
    assert sugar_by_test(rows_of(SugarReading(day=30.0, sugar=12.0, excluded=True)), 1.0) is None


def test_that_a_fall_that_the_log_tells_of_ends_what_a_test_says():
    rows = rows_of(read(30.0, 1.030), sugar_test(30.0, 60.0), read(40.0, 1.010))
    assert sugar_by_test(rows, 1.010) is None


def test_that_a_rise_of_gravity_makes_nobody_surer_that_it_is_dry():
    rows = rows_of(read(30.0, 0.998), sugar_test(30.0, 1.0))
    still, risen = sugar_by_test(rows, 0.998), sugar_by_test(rows, 1.003)
    assert risen.typical >= still.typical
    # 0.005 of gravity are about 13 g/L of sucrose: 0.00386 for each 10 g/L (ICUMSA SPS-4).
    assert risen.high == pytest.approx(still.high + 13.0, abs=0.1)


@given(st.floats(0.990, 1.040), st.floats(0.990, 1.040), st.floats(0.0, 60.0))
def test_that_a_gravity_without_a_day_uses_up_no_sugar(beside, entered, sugar):
    rows = rows_of(read(30.0, beside), sugar_test(30.0, sugar))
    told = sugar_by_test(rows, entered)
    assert told.typical == pytest.approx(sugar)
    assert told.high >= sugar + SUGAR_TEST_ERROR


def test_that_the_reading_of_the_same_minute_stands_beside_the_test():
    rows = rows_of(read(44.0, 0.998), sugar_test(LATE, 12.0), read(LATE, 1.003))
    assert sugar_by_test(rows, 0.998).typical == 12.0
    assert last_gravity(rows).index == 2
    assert differs(rows, 0.998) is rows[2]
    assert differs(rows, rows[2].gravity) is None


@pytest.mark.parametrize(("sugar", "gravity"), [(12.0, 1.003), (6.0, 1.001), (0.5, 1.000)])
@pytest.mark.parametrize("entered", [0.998, None])
def test_that_a_higher_gravity_after_a_test_does_not_make_the_mead_dry(sugar, gravity, entered):
    alone = raspberry(entered, sugar_test(LATE, sugar)).mead.before.fermentable
    both = raspberry(entered, sugar_test(LATE, sugar), read(LATE, gravity)).mead.before.fermentable
    assert both.typical == pytest.approx(alone.typical, rel=0.02)
    assert both.high >= 0.99 * alone.high > sugar


def test_that_a_test_of_twelve_grams_forbids_to_bottle_whatever_was_read_after_it():
    outcome = raspberry(0.998, sugar_test(LATE, 12.0), read(LATE, 1.003))
    told = [f for f in outcome.findings if f.place == "adjustment"]
    assert any(f.level is Level.ERROR and "Do not bottle this yet" in str(f.text) for f in told)


def test_that_a_gravity_of_the_log_that_differs_is_told_and_offered():
    outcome = raspberry(0.998, read(LATE, 1.003))
    assert outcome.mead.known.differs == pytest.approx((1.003, LATE), abs=1e-4)
    told = [f for f in outcome.findings if f.place == "adjustment.gravity"]
    assert any("1.003" in str(f.text) and "263" in str(f.text) for f in told)
    taken = msgspec.structs.replace(
        outcome.batch, adjustment=msgspec.structs.replace(outcome.batch.adjustment, gravity=1.003)
    )
    assert worked_out(taken, 0).mead.known.differs is None
    assert raspberry(0.998).mead.known.differs is None


def test_that_sugar_found_after_the_days_of_the_course_takes_the_finish_back():
    outcome = raspberry(None, sugar_test(LATE, 12.0))
    assert outcome.mead.basis is Basis.AT_REST
    assert "it is not finished" in str(outcome.headline.sentence)
    assert "Do not bottle" in str(outcome.headline.next)
    assert "Finished" in str(raspberry(None, sugar_test(LATE, 1.0)).headline.sentence)


def test_that_no_mead_is_known_to_be_dry_without_any_doubt():
    for entered in (None, 0.998):
        assert raspberry(entered).mead.before.fermentable.high >= 0.99 * SUGAR_TEST_ERROR


def test_that_a_test_that_no_longer_holds_is_not_said_to_decide():
    log = (read(0.0, 1.098), read(30.0, 1.030), sugar_test(30.0, 60.0), read(50.0, 1.000), read(56.0, 1.000))
    assert not worked_out(with_log(plain(), *log)).mead.known.by_test
