"""What answers an edit that leaves the ferment as it was is the same that working everything out anew gives."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, read, with_adjustment, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import Addition, Event, Price, Prices, Tasting, What
from planner.document.codec import decode
from planner.evaluation import outcome as evaluation
from planner.evaluation.outcome import carried_over
from planner.reference.shipped import samples

MEMBERS = 20
NAMES = ("blackcurrant-half-way", "damson-stopped", "quince-planned", "raspberry-finished")
SAMPLES = {name: decode((samples() / f"{name}.meadbatch").read_bytes()) for name in NAMES}
DOSED = Event(day=900.0, what=What.DOSE, key="erythritol", mass=0.2)


def told(outcome):
    """All that is said of a batch, and the figures of its mead."""
    mead = outcome.mead
    shown = None if mead is None else (mead.before, mead.after, mead.now, mead.ph, mead.effects)
    return outcome.batch, outcome.headline, outcome.verdict, outcome.findings, tuple(outcome.log), outcome.so_far, shown


@pytest.fixture(scope="module")
def whole():
    """The answers to the samples, each as it is and with something stirred in."""
    return {
        (name, stirred): worked_out(edits.add_readings(batch, DOSED) if stirred else batch, MEMBERS)
        for name, batch in SAMPLES.items()
        for stirred in (False, True)
    }


ADDED = st.lists(
    st.tuples(st.sampled_from(["erythritol", "honey", "malic-acid", "potassium-bicarbonate"]), st.floats(0.0, 1.0)), max_size=3
)  # fmt: skip


@settings(max_examples=20)
@given(
    st.sampled_from(NAMES), st.booleans(), ADDED, st.booleans(), st.none() | st.floats(2.9, 3.9),
    st.none() | st.floats(3.0, 9.0),
)  # fmt: skip
def test_that_other_additions_are_answered_as_if_all_was_worked_out_anew(
    whole, name, stirred, added, stabilised, ph, acid
):
    last = whole[name, stirred]
    additions = tuple(Addition(key=key, mass=mass) for key, mass in added)
    edited = edits.change_adjustment(last.batch, additions=additions, stabilised=stabilised, ph=ph, acid=acid)
    at_once = carried_over(last, edited, SHELF)
    if at_once is None:  # what was stirred in lost the label that its line had
        assert stirred
        return
    assert told(at_once) == told(worked_out(edited, MEMBERS))


@pytest.mark.parametrize("name", NAMES)
def test_that_words_and_prices_work_out_nothing(whole, name, monkeypatch):
    last = whole[name, False]
    for work in ("must", "mead", "known_mead"):
        monkeypatch.setattr(evaluation, work, None)
    batch = msgspec.structs.replace(last.batch, name="Other", notes="A letter", tastings=(Tasting(note="Sharp."),))
    batch = edits.change_recipe(batch, prices=Prices(currency="EUR", lines=(Price(key="blossom", per_kg=9.0),)))
    if batch.log.readings:
        batch = edits.change_reading(batch, 0, note="cloudy")
    after = carried_over(last, batch, SHELF)
    assert after.batch == batch
    assert after.headline is last.headline
    assert after.findings is last.findings
    assert after.mead is last.mead


STOPPED = with_adjustment(SAMPLES["damson-stopped"], ("erythritol", 0.4))


@pytest.mark.parametrize(
    "changed",
    [
        edits.change_recipe(STOPPED, water=STOPPED.recipe.water + 1.0),
        edits.change_adjustment(STOPPED, gravity=1.020),
        msgspec.structs.replace(STOPPED, log=msgspec.structs.replace(STOPPED.log, readings=STOPPED.log.readings[:-1])),
        edits.change_reading(STOPPED, 1, excluded=True),
        edits.add_addition(STOPPED, Addition(key="moondust", mass=0.1)),
    ],
    ids=["another recipe", "another gravity", "another log", "a reading left out", "something that nobody knows"],
)  # fmt: skip
def test_that_nothing_is_carried_over_where_more_was_edited(whole, changed):
    assert carried_over(whole["damson-stopped", False], changed, SHELF) is None


@pytest.mark.parametrize("name", NAMES)
def test_that_a_target_is_answered_at_once_as_if_all_was_worked_out_anew(whole, name):
    last = whole[name, False]
    for wish in ({"acid": 8.0, "body": 2e-3, "alcohol": 0.12, "gravity": 1.1}, {"sweetness": 5.0}):
        edited = edits.change_wish(last.batch, **wish)
        at_once = carried_over(last, edited, SHELF)
        assert at_once is None or told(at_once) == told(worked_out(edited, MEMBERS))
        assert (
            at_once is not None or (last.batch.recipe.wish.sweetness or 0.0) > 10.0
        )  # sweet meads ask for other steps


def test_that_volume_matters_to_the_ferment_only_where_something_was_stirred_in(whole):
    def larger(stirred):
        last = whole["raspberry-finished", stirred]
        return carried_over(last, edits.change_adjustment(last.batch, volume=0.5), SHELF)

    assert larger(False).mead.before.volume.typical == pytest.approx(0.5)
    assert larger(True) is None


def test_that_a_bottled_batch_keeps_its_one_step(whole):
    batch = with_log(SAMPLES["quince-planned"], read(0.0, 1.1), read(60.0, 1.0), Event(day=90.0, what=What.BOTTLED))
    last = worked_out(batch, MEMBERS)
    sweeter = edits.add_addition(batch, Addition(key="erythritol", mass=0.1))
    assert told(carried_over(last, sweeter, SHELF)) == told(worked_out(sweeter, MEMBERS))
