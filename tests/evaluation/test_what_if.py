"""What would be said of a mead with doses that nobody has chosen yet is what is said once they are chosen."""

from __future__ import annotations

import pytest

from planner.document import edits
from planner.document.batch import Addition
from planner.evaluation.outcome import evaluate
from planner.evaluation.what_if import what_if
from planner.reference.catalogue import catalogue
from planner.reporting.batch_file import load
from planner.wording.finding import Level

SHELF = catalogue()
SWEET = (Addition(key="erythritol", mass=0.702), Addition(key="maltodextrin-10", mass=0.478))
HONEY = (Addition(key="honey", mass=0.8),)


def outcome_of(batch):
    return evaluate(batch, SHELF, 60)


@pytest.fixture(scope="module")
def raspberry():
    return outcome_of(load("raspberry-finished"))


@pytest.mark.parametrize("additions", [SWEET, HONEY, ()])
@pytest.mark.parametrize("taken", [0.0, 0.5e-3])
def test_that_what_is_foreseen_is_what_is_said_afterwards(additions, taken):
    batch = edits.change_adjustment(load("raspberry-finished"), drunk=taken)
    before = outcome_of(batch)
    after = outcome_of(edits.change_adjustment(batch, additions=additions))
    known = {finding.text.template for finding in before.findings}
    said = {
        str(finding.text)
        for finding in after.findings
        if finding.place.startswith("adjustment")
        and finding.level >= Level.WARNING
        and finding.text.template not in known
    }
    assert {str(finding.text) for finding in what_if(before, additions, SHELF).doubts} == said


def test_that_sugar_of_maltodextrin_is_named_before_it_is_used(raspberry):
    ahead = what_if(raspberry, SWEET, SHELF)
    assert ahead.doubts[0].level is Level.ERROR
    assert "can still ferment" in str(ahead.doubts[0].text)
    ((name, brought),) = ahead.sugar
    assert name == "Maltodextrin DE 10"
    # The shelf's row: about 6 % of it is sugar that yeast takes up. In 20.3 L, 478 g bring 1.4 g/L.
    assert brought == pytest.approx(0.06 * 478 / 20.3, rel=0.1)


def test_that_nothing_is_foreseen_of_what_yeast_leaves(raspberry):
    assert what_if(raspberry, (Addition(key="erythritol", mass=0.4),), SHELF).doubts == ()


def test_that_without_a_mead_nothing_is_foreseen():
    batch = edits.change_recipe(load("quince-planned"), fruits=(), honeys=())
    assert what_if(outcome_of(batch), HONEY, SHELF).doubts == ()
