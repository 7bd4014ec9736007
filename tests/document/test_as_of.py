"""Samples move with the calendar: whatever today is, half way is half way."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from planner.document.as_of import as_of
from planner.document.codec import decode, encode
from planner.evaluation.outcome import evaluate
from planner.planning.schedule import schedule
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples

SAMPLES = {path.stem: decode(path.read_bytes()) for path in sorted(samples().glob("*.meadbatch"))}
NOW = datetime.fromisoformat("2026-11-24T08:00+01:00")
OTHER_DAYS = [NOW, NOW + timedelta(days=365), datetime.fromisoformat("2031-06-01T23:50-08:00")]

pytestmark = pytest.mark.parametrize("name", SAMPLES)


def days(batch):
    """All its moments as days since the first of them."""
    moments = [batch.log.pitched_at, *(one.at for one in (*batch.log.readings, *batch.tastings))]
    found = [datetime.fromisoformat(at) for at in moments if at is not None]
    return [(moment - found[0]) / timedelta(days=1) for moment in found], max(found, default=None)


@pytest.mark.parametrize("now", OTHER_DAYS)
def test_that_its_last_entry_is_of_yesterday_and_the_days_between_stay(name, now):
    moved = as_of(SAMPLES[name], now)
    before, after = days(SAMPLES[name]), days(moved)
    assert after[0] == before[0]
    assert after[1] is None or now.astimezone(after[1].tzinfo).date() - after[1].date() == timedelta(days=1)
    assert decode(encode(moved)) == moved


def test_that_the_same_is_said_and_due_in_another_year(name):
    shelf, told = catalogue(), []
    for now in OTHER_DAYS[:2]:
        outcome = evaluate(as_of(SAMPLES[name], now), shelf, members=0, today=now)
        plan = schedule(outcome, shelf, now)
        due = [(str(task.title), plan.is_past(task)) for task in plan.tasks]
        told.append((outcome.headline, [str(one.text) for one in outcome.findings], due))
    assert told[0] == told[1]


def test_that_it_logs_its_feeds_and_asks_for_none(name):
    batch = SAMPLES[name]
    fed = [one for one in batch.log.readings if getattr(one, "what", None) == "feed"]
    assert [(one.key, one.mass) for one in fed] == [
        (feed.key, feed.mass) for feed in batch.recipe.feeds if batch.log.pitched_at is not None
    ]
    findings = evaluate(batch, catalogue(), today=NOW).findings
    assert not [str(one.text) for one in findings if "?" in str(one.text) or "not in the log" in str(one.text)]
