"""An entry “stabilised” of the log is heard as the tick is: not before it rests, and no longer when it is left out."""

from __future__ import annotations

import pytest
from example_batches import plain, read, with_adjustment, with_log, worked_out

from planner.adjusting.stabilisation import Treatment, treatment
from planner.document.batch import Event, What
from planner.reference.catalogue import catalogue
from planner.reporting.data import as_data
from planner.wording.finding import Level

AT_REST = (read(20.0, 1.030), read(30.0, 1.030), read(36.0, 1.030))
MOVING = (read(3.0, 1.080), read(6.0, 1.055))


def stabilised(log, **fields):
    batch = with_adjustment(plain(), ("honey", 0.5))
    return worked_out(with_log(batch, *log, Event(what=What.STABILISED, day=40.0, **fields)), 60)


def unsafe(outcome):
    return [f for f in outcome.findings if f.level is Level.ERROR and "closed bottle" in str(f.text)]


def test_that_what_was_stabilised_by_the_log_needs_no_tick():
    outcome = stabilised(AT_REST)
    assert treatment(outcome.batch, outcome.mead) is Treatment.DONE
    assert not unsafe(outcome)
    assert as_data(outcome, catalogue())["adjustment"]["yeast_is_kept_from_working"]


def test_that_an_entry_that_is_left_out_is_not_heard():
    outcome = stabilised(AT_REST, excluded=True)
    assert treatment(outcome.batch, outcome.mead) is Treatment.NOTHING
    assert unsafe(outcome)


def test_that_what_still_ferments_is_not_kept_by_an_entry():
    outcome = stabilised(MOVING)
    assert treatment(outcome.batch, outcome.mead) is Treatment.PLANNED


@pytest.mark.parametrize("what", [What.RACKING, What.NOTE])
def test_that_other_entries_keep_no_yeast(what):
    batch = with_adjustment(plain(), ("honey", 0.5))
    outcome = worked_out(with_log(batch, *AT_REST, Event(what=what, day=40.0)), 60)
    assert treatment(outcome.batch, outcome.mead) is Treatment.NOTHING
