"""Cases that must hold: a shade above dry, a refractometer beside a hydrometer, and what was measured long after."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out

from planner.document import edits
from planner.document.batch import FruitLine, HoneyLine, RefractometerReading, Yeast
from planner.model.refraction import apparent_brix
from planner.planning.schedule import schedule
from planner.recipe.must import anchored, must
from planner.timeline.posterior import LONGEST
from planner.timeline.readings import path
from planner.timeline.verdict_rule import STALLED, TEST

MEMBERS = 200
SHAPE = ((0, 1.0), (2, 0.88), (4, 0.66), (6, 0.47), (8, 0.32), (10, 0.21), (13, 0.10), (17, 0.03), (22, 0.0), (26, 0.0))


@pytest.fixture(scope="module", params=["plum", "greengage", "sour-cherry", "apricot"])
def above_dry(request):
    """Ten readings of a strong must of sour fruit without water, which stops two points above where its recipe may end dry."""
    batch = plain(
        fruits=(FruitLine(key=request.param, mass=20.0),), honeys=(HoneyLine(key="blossom", mass=3.6),), water=0.0,
        yeast=Yeast(key="all-rounder", pitch=0.006),
    )  # fmt: skip
    plan = worked_out(batch, MEMBERS)
    end = round(plan.finish.dry_gravity.high + 0.002, 3)
    fall = plan.must.gravity.typical - end
    log = (read(float(day), round(end + fall * share, 3)) for day, share in SHAPE)
    return worked_out(with_log(batch, *log), MEMBERS)


def test_that_the_range_of_its_sugar_reaches_down_to_nearly_dry(above_dry):
    assert above_dry.posterior.now.sugar.low < 4.0  # OIV labelling standard: dry
    assert above_dry.posterior.now.sugar.high > 10.0


def test_that_the_test_is_asked_for_on_that_day(above_dry):
    assert above_dry.verdict.kind == TEST
    assert "Test" in str(above_dry.headline.next)
    (test,) = [task for task in schedule(above_dry, SHELF).tasks if task.key == "sugar-test"]
    assert test.day == SHAPE[-1][0]
    assert not test.done


def test_that_schedule_and_headline_agree_whether_it_has_stopped(above_dry):
    # Four days without a fall are no seven: both leave it open, and both look at that day.
    assert "gravity alone cannot tell" in str(above_dry.headline.sentence)
    (rest,) = [task for task in schedule(above_dry, SHELF).tasks if task.key == "rest"]
    assert not rest.done
    assert rest.early <= SHAPE[-1][0] <= rest.late + 1.0
    later = edits.add_readings(above_dry.batch, read(30.0, above_dry.batch.log.readings[-1].gravity))
    (rest,) = [task for task in schedule(worked_out(later, MEMBERS), SHELF).tasks if task.key == "rest"]
    assert rest.done


FALLING = ((0, 1.098), (2, 1.080), (4, 1.050), (6, 1.025), (8, 1.010), (11, 1.003), (14, 1.002), (18, 1.002))
WAY = path(anchored(must(plain(), SHELF, 0), 1.098).liquid.member(0))


@pytest.mark.parametrize("count", range(3, len(FALLING) + 1))
@pytest.mark.parametrize("off", [-0.5, 0.5])
def test_that_half_a_degree_beside_what_the_hydrometer_allows_flips_no_verdict(count, off):
    batch = with_log(plain(), *(read(float(day), gravity) for day, gravity in FALLING[:count]))
    day, gravity = FALLING[count - 1]
    shown = float(np.interp(gravity, WAY.gravity, apparent_brix(WAY.liquids)))
    drop = RefractometerReading(day=day + 0.001, brix=round(shown + off, 2))
    alone, both = worked_out(batch, MEMBERS), worked_out(edits.add_readings(batch, drop), MEMBERS)
    assert both.verdict.kind == alone.verdict.kind
    # The balance accepts it, and so does the log.
    assert both.posterior.now.bad < 0.5
    told = [str(finding.text) for finding in both.findings if finding.place == f"log.readings.{count}"]
    assert not [text for text in told if "no such" in text or "No stage" in text]


@pytest.mark.parametrize("off", [0.25, 2.0])
def test_that_its_doubt_sets_what_a_refractometer_weighs(off):
    batch = with_log(plain(), *(read(float(day), gravity) for day, gravity in FALLING[:4]))
    shown = float(np.interp(1.025, WAY.gravity, apparent_brix(WAY.liquids)))
    sure, unsure = (
        worked_out(edits.add_readings(batch, RefractometerReading(day=6.001, brix=shown + off, doubt=doubt)), MEMBERS).posterior.now.sugar.typical
        for doubt in (0.2, 3.0)
    )  # fmt: skip
    alone = worked_out(batch, MEMBERS).posterior.now.sugar.typical
    assert abs(unsure - alone) < abs(sure - alone) + 0.5


DRY = (*(read(float(day), gravity) for day, gravity in FALLING), read(26.0, 1.002))


@pytest.mark.parametrize("day", [40.0, 130.0, 200.0, 700.0])
def test_that_a_sugar_test_counts_whenever_it_is_made(day):
    # The course is worked out for some months; a mead is tested, and read, for years.
    tested = worked_out(with_log(plain(), *DRY, sugar_test(day, 15.0)), MEMBERS)
    assert tested.posterior.now.evidence.day == day
    assert tested.posterior.now.sugar.low > 4.0
    assert tested.verdict.kind in (STALLED, TEST)
    assert tested.mead.before.fermentable == tested.posterior.now.sugar


def test_that_a_reading_after_the_days_of_the_course_is_the_present_one():
    late = worked_out(with_log(plain(), *DRY, read(LONGEST + 90.0, 0.999)), MEMBERS)
    assert late.posterior.now.evidence.day == LONGEST + 90.0
    assert late.posterior.now.indicated.typical == pytest.approx(0.999, abs=0.001)
    assert late.so_far.day == LONGEST + 90.0


def test_that_a_test_stands_until_the_log_shows_a_fall():
    tested = with_log(plain(), *DRY, sugar_test(26.5, 3.0))
    later = worked_out(edits.add_readings(tested, read(60.0, 1.002)), MEMBERS)
    now, then = later.posterior.now.sugar, worked_out(tested, MEMBERS).posterior.now.sugar
    # That yeast takes the last grams is thought, not seen: a strip is good to 1.5 g/L.
    assert now.typical == pytest.approx(then.typical, abs=1.5)
    assert now.high > 2.0
    fallen = worked_out(edits.add_readings(tested, read(60.0, 0.997)), MEMBERS)
    assert fallen.posterior.now.sugar.high < now.high + 1e-9


def test_that_a_batch_is_the_same_whatever_it_is_called():
    batch = with_log(plain(), *DRY)
    one, other = (worked_out(msgspec.structs.replace(batch, name=name), MEMBERS).posterior for name in ("A", "B"))
    assert one.now.sugar == other.now.sugar
    assert one.finish_day == other.finish_day
