"""The quick answer to an edit of the adjustment keeps what the last whole answer knew of the mead."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, with_adjustment, worked_out

from planner.document import edits
from planner.document.batch import Addition
from planner.document.codec import decode
from planner.evaluation.preview import readjusted
from planner.reference.shipped import samples

MEMBERS = 60
STALLED = decode((samples() / "damson-stopped.meadbatch").read_bytes())
SWEETER = with_adjustment(STALLED, ("erythritol", 0.4))


@pytest.fixture(scope="module")
def whole():
    return worked_out(STALLED, MEMBERS)


def test_that_it_is_the_whole_answer_at_once(whole):
    quick = readjusted(worked_out(SWEETER, 0), whole, SHELF)
    later = worked_out(SWEETER, MEMBERS)
    assert quick.batch == SWEETER
    for name in ("volume", "gravity", "alcohol", "sweetness", "viscosity", "acid", "fermentable"):
        one, other = getattr(quick.mead.after, name), getattr(later.mead.after, name)
        assert tuple(one) == pytest.approx(tuple(other), rel=1e-9)
    told, known = (
        {(f.level, f.place, str(f.text)) for f in o.findings if f.place.startswith("adjust")} for o in (quick, later)
    )
    assert told == known


@pytest.mark.parametrize(
    "changed",
    [
        edits.change_recipe(SWEETER, water=SWEETER.recipe.water + 1.0),
        edits.change_adjustment(SWEETER, gravity=1.020),
        msgspec.structs.replace(SWEETER, log=msgspec.structs.replace(SWEETER.log, readings=SWEETER.log.readings[:-1])),
    ],
    ids=["another recipe", "another gravity", "another log"],
)  # fmt: skip
def test_that_nothing_is_kept_where_more_than_the_adjustment_changed(whole, changed):
    quick = worked_out(changed, 0)
    assert readjusted(quick, whole, SHELF) is quick


def test_that_a_whole_answer_and_a_first_one_stay_as_they_are(whole):
    assert readjusted(whole, whole, SHELF) is whole
    quick = worked_out(SWEETER, 0)
    assert readjusted(quick, None, SHELF) is quick
    assert readjusted(quick, worked_out(STALLED, 0), SHELF) is quick


def test_that_a_plan_without_a_log_needs_nothing_kept():
    planned = decode((samples() / "quince-planned.meadbatch").read_bytes())
    quick = worked_out(edits.add_addition(planned, Addition(key="erythritol", mass=0.3)), 0)
    assert readjusted(quick, worked_out(planned, MEMBERS), SHELF) is quick
