"""A sugar test that was made after doses counts; where the sugar comes from the doses, none can clear it and none is asked for."""

from __future__ import annotations

import pytest
from example_batches import SHELF, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adjusting.refermentation_risk import STILL_SUGAR, clears_below, stillness
from planner.document import edits
from planner.document.batch import Event, SugarReading, What
from planner.document.codec import decode
from planner.planning.schedule import schedule
from planner.reference.shipped import samples
from planner.wording import phrases

MEMBERS = 60
FINISHED = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
"""Dry by a test of 1.0 g/L, 19.5 L, and not stabilised."""
LITRES = 19.5


def dosed(*doses, tests=(), members=MEMBERS, batch=FINISHED):
    """The finished mead with so much of some additives on day 263, and sugar tests on the days after."""
    entries = [Event(what=What.DOSE, key=key, mass=mass, day=263.0) for key, mass in doses]
    entries += [SugarReading(day=264.0 + n, sugar=sugar) for n, sugar in enumerate(tests)]
    return worked_out(edits.add_readings(batch, *entries), members)


def said(outcome) -> str:
    """What headline, findings, report and schedule say of the mead on its way into bottles."""
    findings = [str(one.text) for one in outcome.findings if one.place in ("adjustment", "adjustment.additions")]
    still = str(stillness(outcome.mead, SHELF.yeast(outcome.batch.recipe.yeast.key).tolerance, False).words)
    bottle = next(str(task.text) for task in schedule(outcome, SHELF).tasks if task.key == "bottle")
    return "\n".join((str(outcome.headline.sentence), str(outcome.headline.next), *findings, still, bottle))


def forbidden(outcome) -> bool:
    return str(outcome.headline.sentence).startswith("Do not bottle this yet") or "talled" in str(
        outcome.headline.sentence
    )


ERYTHRITOL = ("erythritol", 0.334)


@pytest.mark.parametrize("sugar", [3.0, 5.0, 12.0, 40.0])
def test_that_sugar_found_after_the_doses_forbids_to_bottle(sugar):
    outcome = dosed(ERYTHRITOL, tests=[sugar])
    assert forbidden(outcome)
    assert "bottle it" not in str(outcome.headline.next)
    # A strip is good to 1.5 g/L, or to 15 % of what it finds.
    assert outcome.mead.after.fermentable.typical == pytest.approx(sugar, rel=0.15, abs=1.5)
    # What the ferment was found to be stays so: the test is of another liquid.
    assert outcome.verdict is None or outcome.verdict.sentence == dosed(ERYTHRITOL).verdict.sentence


def test_that_little_sugar_found_after_the_doses_clears_them():
    (place,) = [n for n, entry in enumerate(FINISHED.log.readings) if isinstance(entry, SugarReading)]
    found = edits.change_reading(FINISHED, place, sugar=2.0)  # good to 1.5 g/L: there may be 3.5
    unsure, clear = dosed(ERYTHRITOL, batch=found), dosed(ERYTHRITOL, tests=[0.4], batch=found)
    assert f"test it for sugar: bottle it at {clears_below(unsure.mead):.1f} g/L or less" in said(unsure)
    assert clear.mead.after.fermentable.high <= STILL_SUGAR
    assert not forbidden(clear)
    assert "bottle it" in str(clear.headline.next)
    assert "test it" not in str(clear.headline.next)


def test_that_the_last_test_counts():
    assert not forbidden(dosed(ERYTHRITOL, tests=[12.0, 0.4]))
    assert forbidden(dosed(ERYTHRITOL, tests=[0.4, 12.0]))


def test_that_a_test_that_was_left_out_counts_for_nothing():
    batch = edits.add_readings(
        FINISHED, Event(what=What.DOSE, key="erythritol", mass=0.334, day=263.0), SugarReading(day=264.0, sugar=12.0, excluded=True)
    )  # fmt: skip
    outcome = worked_out(batch, MEMBERS)
    assert outcome.mead.after.fermentable == dosed(ERYTHRITOL).mead.after.fermentable


@pytest.mark.parametrize(
    ("key", "mass"), [("maltodextrin-10", 0.3), ("maltodextrin-18", 0.5), ("honey", 0.3), ("sugar", 0.05)]
)
@pytest.mark.parametrize("tests", [(), (0.1,), (0.3,), (1.0,)])
def test_that_no_test_clears_sugar_that_was_added_and_none_is_asked_for(key, mass, tests):
    outcome = dosed((key, mass), tests=tests)
    assert clears_below(outcome.mead) is None
    assert forbidden(outcome)
    assert "stabilise" in str(outcome.headline.next)
    told = said(outcome).replace("no test clears", "")
    assert "test" not in told.lower()


def test_that_a_test_does_not_take_what_was_added_for_what_the_yeast_left():
    # Honey is about 80 % sugar: 0.8 kg in 20 L bring some 31 g/L, which the test finds again.
    before, after = dosed(("honey", 0.8)), dosed(("honey", 0.8), tests=[32.0])
    assert after.mead.before.fermentable.typical < 4.0  # a strip cannot tell 30 from 34
    assert after.mead.after.fermentable.typical == pytest.approx(before.mead.after.fermentable.typical, abs=3.0)


def test_that_a_test_that_finds_no_maltose_takes_none_of_it_away():
    # The sugar of a maltodextrin is maltose and its like for the most part, which no strip for glucose and fructose finds.
    outcome = dosed(("maltodextrin-18", 0.5), tests=[3.0])
    assert outcome.mead.after.fermentable.typical > 3.0 + 0.08 * 500.0 / LITRES


@settings(max_examples=20, deadline=None)
@given(sugar=st.floats(0.0, 40.0), erythritol=st.floats(0.0, 0.6), maltodextrin=st.floats(0.0, 0.6))
def test_that_more_sugar_found_never_makes_a_mead_safer(sugar, erythritol, maltodextrin):
    doses = (("erythritol", 0.01 + erythritol), ("maltodextrin-10", 0.001 + maltodextrin))
    less, more = (dosed(*doses, tests=[found]) for found in (sugar, sugar + 2.0))
    assert forbidden(more) or not forbidden(less)
    if sugar > STILL_SUGAR + 0.1:
        assert forbidden(less)


def test_that_the_reasons_name_the_day_of_what_they_tell():
    outcome = dosed(ERYTHRITOL, tests=[12.0])
    day = str(phrases.say("{}", phrases.day(outcome.posterior.now.evidence.day)))
    amounts = [str(line) for line in outcome.verdict.evidence if "g/L" in str(line) or "% vol" in str(line)]
    assert any(line.startswith(f"Sugar left on day {day}: ") for line in amounts)
    assert all("day" in line for line in amounts)
