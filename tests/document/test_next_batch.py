"""The next batch from one that was made: the recipe goes on, the measurements stay behind."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import full
from hypothesis import given
from random_batches import batches

from planner.document.batch import Adjustment, new_batch
from planner.document.codec import decode, encode
from planner.document.next_batch import next_batch


@given(batches())
def test_that_all_decisions_are_kept_and_all_measurements_and_dates_left_behind(batch):
    after = next_batch(batch)
    undated = msgspec.structs.replace(batch.recipe, pitch_planned=None, calendar="")
    assert after.recipe == undated
    assert (after.own, after.notes) == (batch.own, batch.notes)
    assert not len(after.log.readings)
    assert after.log.pitched_at is None
    assert after.tastings == ()
    assert after.adjustment == Adjustment(serving_temperature=batch.adjustment.serving_temperature)
    assert (after.log.hydrometer, after.log.refractometer) == (batch.log.hydrometer, batch.log.refractometer)
    assert decode(encode(after)) == after


def test_that_the_full_batch_has_what_is_to_be_left_behind():
    batch = full()
    assert len(batch.log.readings)
    assert batch.tastings
    assert batch.adjustment.additions
    assert next_batch(batch) != batch


@pytest.mark.parametrize(
    ("name", "following"),
    [
        ("Hedge Blackcurrant '26", "Hedge Blackcurrant '27"),
        ("Plum 2026, dry", "Plum 2027, dry"),
        ("Plum no. 9", "Plum no. 10"),
        ("Crab apple '09", "Crab apple '10"),
        ("Wild plum", "Wild plum 2"),
        ("x" * 200, "x" * 198 + " 2"),
    ],
)
def test_that_its_name_counts_on(name, following):
    assert next_batch(msgspec.structs.replace(new_batch(), name=name)).name == following
