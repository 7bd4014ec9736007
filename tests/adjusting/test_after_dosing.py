"""Readings after a dose are of the mead with it: kept out of the ferment, and set beside what should be there."""

from __future__ import annotations

import pytest
from example_batches import plain, read, sugar_test, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adjusting.after_dosing import OFF
from planner.document import edits
from planner.document.batch import Addition, Event, What
from planner.document.codec import decode
from planner.reference.shipped import samples
from planner.timeline.readings import DOSED
from planner.wording.finding import Level

MEMBERS = 60
RASPBERRY = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
COUNT = len(RASPBERRY.log.readings)
LATE = 263.0


def dose(key, mass, day=LATE, **fields):
    return Event(what=What.DOSE, key=key, mass=mass, day=day, **fields)


def dosed(*entries, members=0):
    return worked_out(edits.add_readings(RASPBERRY, *entries), members)


def at(outcome, place, level):
    return [str(f.text) for f in outcome.findings if f.place == place and f.level is level]


ALONE = worked_out(RASPBERRY, MEMBERS)


def test_that_a_reading_after_erythritol_is_no_reading_of_the_ferment():
    outcome = dosed(dose("erythritol", 0.334), read(LATE, 1.003), members=MEMBERS)
    row = outcome.log[-1]
    assert row.tells == DOSED
    assert not row.counts
    assert outcome.so_far.alcohol == ALONE.so_far.alcohol
    assert outcome.verdict.sentence == ALONE.verdict.sentence
    assert outcome.mead.before == ALONE.mead.before
    assert outcome.mead.known.differs is None
    # 334 g in 19.5 L are 17.1 g/L; erythritol lifts gravity by about 0.0003 for a gram in a litre less what volume it takes,
    # so that 0.998 becomes 1.003, as the person read it.
    assert row.expected == pytest.approx(1.003, abs=0.001)
    assert not any("rose" in text for text in at(outcome, row_place(), Level.NOTE))


def row_place(place=COUNT + 1):
    return f"log.readings.{place}"


def test_that_honey_thins_the_alcohol_of_a_reading_after_it():
    outcome = dosed(dose("honey", 0.8), read(LATE, 1.010), members=MEMBERS)
    row = outcome.log[-1]
    # 12.04 % vol in 19.5 L, and 0.8 kg of honey are 0.56 L (1.42 kg/L): 12.04 * 19.5 / 20.06 = 11.7.
    (state,) = outcome.on(row)
    assert 100.0 * state.alcohol.typical == pytest.approx(11.7, abs=0.05)
    assert outcome.so_far.stirred == state.alcohol == outcome.mead.now.alcohol
    assert state.sugar == outcome.mead.now.fermentable


def test_that_the_headline_says_what_is_stirred_in():
    one = dosed(dose("erythritol", 0.6)).headline
    assert str(one.sentence) == "Adjusted: one addition is stirred in."
    assert "Choose" not in str(one.next)
    planned = edits.add_addition(RASPBERRY, Addition(key="erythritol", mass=0.6))
    half = worked_out(edits.add_readings(planned, dose("erythritol", 0.3)), 0).headline
    assert str(half.sentence) == "Being adjusted: 0 of 1 additions are stirred in completely."


@pytest.mark.parametrize(("key", "mass"), [("potassium-metabisulphite", 0.0015), ("potassium-sorbate", 0.004)])
def test_that_what_no_stem_notices_sets_no_reading_apart(key, mass):
    row = dosed(dose(key, mass, 60.0), read(65.0, 0.999)).log[-1]
    assert row.counts
    assert row.tells == "gravity"


def test_that_excluded_undated_and_unknown_doses_set_nothing_apart():
    for wrong in (
        dose("honey", 0.8, excluded=True),
        Event(what=What.DOSE, key="honey", mass=0.8),
        dose("moonberry", 0.8),
        Event(what=What.DOSE, day=LATE),
    ):
        assert dosed(wrong, read(LATE, 1.003)).log[-1].counts


def test_that_within_a_minute_the_order_of_the_log_decides():
    first, then = dosed(read(LATE, 0.998), dose("honey", 0.8), read(LATE, 1.010)).log[-3::2]
    assert first.counts
    assert then.tells == DOSED


def test_that_a_dose_into_what_ferments_leaves_its_readings_to_the_course():
    log = (read(0.0, 1.098), read(4.0, 1.070), read(6.0, 1.052), dose("honey", 0.5, 6.5), read(8.0, 1.048))
    assert worked_out(with_log(plain(), *log)).log[-1].counts
    stalled = (*log[:3], read(12.0, 1.052), dose("erythritol", 0.5, 12.5), read(13.0, 1.060))
    assert worked_out(with_log(plain(), *stalled)).log[-1].tells == DOSED


def test_that_a_gravity_that_falls_after_honey_is_an_error_at_once():
    outcome = dosed(dose("honey", 0.8), read(LATE, 1.010), read(270.0, 1.004))
    assert any("Yeast ferments what was stirred in" in text for text in at(outcome, row_place(COUNT + 2), Level.ERROR))
    still = dosed(dose("honey", 0.8), read(LATE, 1.010), read(270.0, 1.010))
    assert not at(still, row_place(COUNT + 2), Level.ERROR)


@pytest.mark.parametrize(("gravity", "side"), [(1.017, "above"), (0.999, "below")])
def test_that_a_reading_far_from_what_was_stirred_in_is_told(gravity, side):
    outcome = dosed(dose("honey", 0.8), read(LATE, gravity))
    assert any(f"{side}:" in text and "should read 1.011" in text for text in at(outcome, row_place(), Level.NOTE))


def test_that_sugar_beyond_what_was_stirred_in_forbids_to_bottle():
    found = dosed(dose("erythritol", 0.334), sugar_test(264.0, 12.0), members=MEMBERS)
    assert any("Do not bottle this yet" in text for text in at(found, "adjustment", Level.ERROR))
    # Honey is about 80 % sugar: 0.8 kg in 20.06 L make some 31 g/L, which a test may find.
    known = dosed(dose("honey", 0.8), sugar_test(264.0, 33.0))
    assert not any("the last sugar test found" in text for text in at(known, "adjustment", Level.ERROR))


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(["erythritol", "honey", "maltodextrin-10"]), st.floats(0.2, 2.0), st.floats(0.99, 1.08))
def test_that_no_reading_after_a_dose_moves_the_ferment(key, mass, gravity):
    without = dosed(dose(key, mass))
    outcome = dosed(dose(key, mass), read(LATE, gravity))
    assert outcome.curve.gravity.tolist() == without.curve.gravity.tolist()
    assert outcome.mead.before == without.mead.before
    assert outcome.headline == without.headline
    row = outcome.log[-1]
    assert row.dosed is not None
    off = abs(row.gravity - row.expected) > OFF
    assert bool(at(outcome, row_place(), Level.NOTE)) == off


def test_that_every_row_is_where_it_was():
    outcome = dosed(dose("honey", 0.8), read(LATE, 1.010))
    assert [row.index for row in outcome.log] == list(range(COUNT + 2))
    assert outcome.log.columns.tells[-1] == DOSED
