"""The store: one value, one signal, undo by two snapshots."""

from __future__ import annotations

import gc
import weakref
from dataclasses import dataclass, replace

import pytest

from planner.ui.store import BatchStore


@dataclass(frozen=True)
class Batch:
    honey: float = 6.2
    water: float = 12.0


@pytest.fixture
def store(qapp):
    return BatchStore(Batch())


@pytest.fixture
def heard(store):
    batches = []
    store.changed.connect(batches.append)
    return batches


def test_that_an_edit_is_heard_once_and_can_be_undone(store, heard):
    store.edit(Batch(honey=6.4), "honey 6.2 → 6.4 kg")
    assert heard == [Batch(honey=6.4)]
    assert store.undo_stack.undoText() == "honey 6.2 → 6.4 kg"
    store.undo_stack.undo()
    store.undo_stack.redo()
    assert heard == [Batch(honey=6.4), Batch(), Batch(honey=6.4)]


def test_that_an_edit_that_changes_nothing_is_no_step(store, heard):
    store.edit(Batch(), "nothing")
    assert store.undo_stack.count() == 0
    assert not heard
    assert not store.is_modified


def test_that_edits_of_one_field_in_a_row_are_one_step(store, heard):
    for honey in (6.3, 6.4, 6.5):
        store.edit(Batch(honey=honey), f"honey {honey}", "honey")
    assert len(heard) == 3
    assert store.undo_stack.count() == 1
    assert store.undo_stack.undoText() == "honey 6.5"
    store.undo_stack.undo()
    assert store.batch == Batch()


def test_that_edits_of_two_fields_are_two_steps(store):
    store.edit(Batch(honey=6.4), "honey", "honey")
    store.edit(replace(store.batch, water=13.0), "water", "water")
    assert store.undo_stack.count() == 2


def test_that_edits_without_a_key_never_merge(store):
    store.edit(Batch(honey=6.3), "honey")
    store.edit(Batch(honey=6.4), "honey")
    assert store.undo_stack.count() == 2


def test_that_returning_to_a_field_begins_a_new_step(store):
    store.edit(Batch(honey=6.3), "honey", "honey")
    store.end_merging()
    store.edit(Batch(honey=6.4), "honey", "honey")
    assert store.undo_stack.count() == 2


def test_that_there_and_back_again_leaves_nothing_to_undo_or_to_save(store):
    store.edit(Batch(honey=6.4), "honey", "honey")
    store.edit(Batch(), "honey", "honey")
    assert store.undo_stack.count() == 0
    assert not store.is_modified


def test_that_saved_means_the_batch_that_was_saved(store):
    store.edit(Batch(honey=6.4), "honey", "honey")
    store.mark_saved()
    store.edit(Batch(honey=6.5), "honey", "honey")
    assert store.is_modified
    assert store.undo_stack.count() == 2  # never merged across the saved point
    store.undo_stack.undo()
    assert not store.is_modified
    store.undo_stack.undo()
    assert store.is_modified


def test_that_a_loaded_batch_has_no_past(store, heard):
    store.edit(Batch(honey=6.4), "honey")
    store.load(Batch(honey=1.0))
    assert heard[-1] == Batch(honey=1.0)
    assert not store.undo_stack.canUndo()
    assert not store.is_modified


def test_that_a_recovered_batch_is_unsaved_until_it_is_saved(store):
    told = []
    store.modified_changed.connect(told.append)
    store.load(Batch(honey=1.0), modified=True)
    assert store.is_modified
    store.mark_saved()
    assert not store.is_modified
    assert told == [True, False]


def test_that_changes_of_the_saved_state_are_told_once_each(store):
    told = []
    store.modified_changed.connect(told.append)
    store.edit(Batch(honey=6.3), "a")
    store.edit(Batch(honey=6.4), "b")
    store.undo_stack.undo()
    store.undo_stack.undo()
    assert told == [True, False]


def test_that_a_store_with_steps_can_be_freed(qapp):
    store = BatchStore(Batch())
    store.edit(Batch(honey=6.4), "honey")
    trace = weakref.ref(store)
    del store
    gc.collect()
    assert trace() is None


def test_that_an_edit_that_no_file_could_hold_is_refused_and_told(qapp):
    def refuse(batch):
        if batch.honey > 100.0:
            raise ValueError("too much honey")

    store, heard, told = BatchStore(Batch(), refuse=refuse), [], []
    store.changed.connect(heard.append)
    store.refused.connect(told.append)
    store.edit(Batch(honey=1000.0), "honey")
    assert store.batch == Batch()
    assert heard == [Batch()]  # so that a field shows again what stays
    assert told == ["too much honey"]
    assert store.undo_stack.count() == 0
    assert not store.is_modified
    store.edit(Batch(honey=7.0), "honey")
    assert store.batch == Batch(honey=7.0)


def test_that_every_step_can_be_undone_and_done_again(store):
    edits = [Batch(honey=float(n)) for n in range(2000)]
    for edit in edits:
        store.edit(edit, "honey")
    for edit in reversed(edits[:-1]):
        store.undo_stack.undo()
        assert store.batch == edit
    store.undo_stack.undo()
    assert store.batch == Batch()
    assert not store.is_modified
    for edit in edits:
        store.undo_stack.redo()
        assert store.batch == edit
