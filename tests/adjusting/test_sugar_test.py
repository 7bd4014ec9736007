"""A sugar test holds until the log itself shows that gravity fell since: a gravity without a day cannot use sugar up."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out

from planner.adjusting.base_mead import Basis
from planner.adjusting.sugar_test import differs, last_gravity
from planner.document import edits
from planner.document.batch import Log
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


def test_that_the_reading_of_the_same_minute_stands_beside_the_test():
    rows = rows_of(read(44.0, 0.998), sugar_test(LATE, 12.0), read(LATE, 1.003))
    assert last_gravity(rows).index == 2
    assert differs(rows, 0.998) is rows[2]
    assert differs(rows, rows[2].gravity) is None


@pytest.mark.parametrize(("sugar", "gravity"), [(12.0, 1.003), (6.0, 1.001), (0.5, 1.000)])
@pytest.mark.parametrize("entered", [0.998, None])
def test_that_a_higher_gravity_after_a_test_does_not_make_the_mead_dry(sugar, gravity, entered):
    alone = raspberry(entered, sugar_test(LATE, sugar)).mead.before.fermentable
    both = raspberry(entered, sugar_test(LATE, sugar), read(LATE, gravity)).mead.before.fermentable
    # A strip is good to 1.5 g/L, and five points more of gravity may as well be the extract that no table knows.
    assert both.typical == pytest.approx(alone.typical, abs=1.5)
    assert both.high > 0.9 * alone.high
    assert alone.high > sugar


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
    assert str(outcome.headline.sentence) == "Day 263: sugar test 12 g/L. Stalled, with that much sugar left."
    assert any("do not bottle this" in str(text) for text in outcome.verdict.cautions)
    assert "Finished" in str(raspberry(None, sugar_test(LATE, 1.0)).headline.sentence)


def test_that_no_mead_is_known_to_be_dry_without_any_doubt():
    for entered in (None, 0.998):
        assert raspberry(entered).mead.before.fermentable.high >= 1.0


def test_that_a_test_that_no_longer_holds_is_not_said_to_decide():
    log = (read(0.0, 1.098), read(30.0, 1.030), sugar_test(30.0, 60.0), read(50.0, 1.000), read(56.0, 1.000))
    assert not worked_out(with_log(plain(), *log)).mead.known.by_test
