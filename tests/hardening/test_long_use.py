"""Two thousand edits undone to the beginning and done again, bit for bit; a million rows; a season of typing."""

from __future__ import annotations

import random

import msgspec
import pytest

from planner.document import edits
from planner.document.batch import Feed, HydrometerReading, Tasting
from planner.document.codec import decode, encode, refuse_impossible
from planner.importing.table import MOST_ROWS
from planner.reference.shipped import samples
from planner.ui.store import BatchStore

EDITS = 2_000


def an_edit(batch, chance):
    """Any of the edits that people make most."""
    way = chance.randrange(7)
    if way == 0:
        return edits.describe(batch, notes=batch.notes + "é½"), "notes"
    if way == 1:
        reading = HydrometerReading(day=chance.uniform(0, 60), gravity=chance.uniform(0.99, 1.1))
        return edits.add_readings(batch, reading), "reading"
    if way == 2 and len(batch.log.readings) > 3:
        return edits.remove_readings(batch, [chance.randrange(len(batch.log.readings))]), "remove"
    if way == 3:
        return edits.add_line(
            batch, "feeds", Feed(key="yeast-autolysate", mass=chance.uniform(1e-4, 0.02), day=1.0)
        ), "feed"
    if way == 4:
        return edits.change_adjustment(batch, gravity=chance.uniform(0.99, 1.05)), "gravity"
    if way == 5:
        return edits.add_tasting(batch, Tasting(note=str(chance.random()))), "tasting"
    return edits.change_recipe(batch, water=chance.uniform(0.0, 30.0)), "water"


def test_that_two_thousand_edits_are_undone_and_done_again_bit_for_bit(qapp, figures, is_long):
    count = EDITS if is_long else 300
    store = BatchStore(decode((samples() / "raspberry-finished.meadbatch").read_bytes()), refuse=refuse_impossible)
    chance = random.Random(1)
    states = [encode(store.batch)]
    while store.undo_stack.count() < count:
        store.edit(*an_edit(store.batch, chance))
        if len(states) <= store.undo_stack.count():
            states.append(encode(store.batch))
    for state in reversed(states[:-1]):
        store.undo_stack.undo()
        assert encode(store.batch) == state
    assert not store.undo_stack.canUndo()
    for state in states[1:]:
        store.undo_stack.redo()
        assert encode(store.batch) == state
    figures("undo", {"edits": count, "states_compared": 2 * count})


@pytest.mark.parametrize(("kind", "most"), [("plain", 1_000_000), ("words", MOST_ROWS - 1)])
def test_that_very_many_rows_are_imported_in_little_memory_and_given_up_at_once(tool, is_long, kind, most):
    found = tool("rows", "--rows", most if is_long else 50_000, "--kind", kind)
    assert found["readings"] == found["rows"]
    assert found["more_mb"] <= 500
    assert found["given_up_s"] <= 0.3


def test_that_what_scripts_make_is_refused_with_its_place():
    batch = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
    with pytest.raises(ValueError, match=r"batch\.recipe\.water_kg"):
        refuse_impossible(msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, water=-1.0)))
