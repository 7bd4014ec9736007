"""Whatever instruments a ferment is followed with, headline, report, schedule, export and calendar are made of it."""

from __future__ import annotations

import itertools
import re
from datetime import UTC, datetime

import pytest
from example_batches import PITCHED, SHELF, plain, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.document.batch import (
    AcidityReading,
    Batch,
    HydrometerReading,
    Log,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    WarmthReading,
    WeightReading,
)
from planner.importing.export import export_csv
from planner.model.scales import brix_from_gravity
from planner.planning.calendar_file import calendar
from planner.planning.schedule import schedule
from planner.planning.task import Schedule
from planner.reporting.data import as_data, as_json
from planner.reporting.text import as_text
from planner.timeline.verdict_rule import STALLED

MEMBERS = 40
TODAY = datetime(2026, 10, 20, tzinfo=UTC)

STALL = ((0.0, 1.098), (3.0, 1.080), (6.0, 1.062), (10.0, 1.046), (16.0, 1.045), (24.0, 1.045), (40.0, 1.045))
DRY = ((0.0, 1.098), (3.0, 1.070), (6.0, 1.040), (10.0, 1.012), (16.0, 0.999), (24.0, 0.998), (40.0, 0.998))
AT_WORK = STALL[:4]
BEGUN = DRY[:2]


def as_told(kind: str, day: float, gravity: float):
    """A state of the same ferment as one instrument tells it: roughly, since nothing rests on the figures here."""
    fallen = 1.098 - gravity
    return {
        "hydrometer": HydrometerReading(day=day, gravity=gravity, temperature=293.15),
        "sensor": SensorReading(day=day, gravity=gravity),
        # Alcohol bends light as well: about half of the fall shows (common practice, no source).
        "refractometer": RefractometerReading(day=day, brix=float(brix_from_gravity(1.098 - 0.55 * fallen))),
        # 2 g/L of sugar for each point fallen or so, half of it gas, in some 24 L (by stoichiometry, rounded).
        "weight": WeightReading(day=day, lost=24.0 * fallen),
        "sugar": SugarReading(day=day, sugar=max(2000.0 * (gravity - 0.995), 0.5)),
        "pH": AcidityReading(day=day, ph=3.4),
        "temperature": WarmthReading(day=day, temperature=292.15),
        "taste": TasteReading(day=day, note="sweet"),
    }[kind]


TELLING = ("hydrometer", "sensor", "refractometer", "weight", "sugar")
KINDS = (*TELLING, "pH", "temperature", "taste")
MIXES = [mix for size in range(1, len(TELLING) + 1) for mix in itertools.combinations(TELLING, size)]


def followed(course, *mix: str) -> Batch:
    """A ferment of which each moment is told by the next of some instruments."""
    told = tuple(as_told(mix[n % len(mix)], *moment) for n, moment in enumerate(course))
    return Batch(name="Mixed", recipe=plain().recipe, log=Log(pitched_at=PITCHED, readings=told))


def everything(batch: Batch, members: int):
    """All that is handed out of a batch, each made whole."""
    outcome = worked_out(batch, members, today=TODAY)
    data = as_data(outcome, SHELF)
    plan = schedule(outcome, SHELF, TODAY)
    texts = (str(outcome.headline.sentence), str(outcome.headline.next), as_text(data), as_json(data),
             *(f"{task.title} {task.text}" for task in plan.tasks))  # fmt: skip
    assert calendar(batch, plan, TODAY)
    assert export_csv(batch, outcome).count("\n") > len(batch.log.readings)
    return outcome, plan, texts


def in_order(plan: Schedule) -> bool:
    return all(task.early <= task.day <= task.late for task in plan.tasks)


def is_said(text: str) -> bool:
    """Whether there are words, and no figure in them that is none."""
    return bool(text.strip()) and not re.search(r"\b(nan|inf)\b", text)


@pytest.mark.parametrize("kind", TELLING)
def test_that_a_stall_seen_by_one_instrument_alone_has_a_schedule_that_begins_with_it(kind):
    outcome, plan, _ = everything(followed(STALL, kind), 200)
    assert outcome.verdict.kind == STALLED
    tasks = {task.key: task for task in plan.tasks}
    last = max(row.day for row in outcome.log)
    assert tasks["restart"].day >= last
    assert not tasks["rest"].done
    assert tasks["rest"].day > tasks["restart"].day
    assert in_order(plan)


@pytest.mark.parametrize("mix", MIXES, ids="+".join)
def test_that_a_stall_seen_by_any_mix_of_instruments_has_all_made_of_it(mix):
    _, plan, texts = everything(followed(STALL, *mix), MEMBERS)
    assert in_order(plan)
    assert all(map(is_said, texts))


@pytest.mark.parametrize("members", [0, MEMBERS])
@settings(max_examples=12, deadline=None)
@given(
    course=st.sampled_from([STALL, DRY, AT_WORK, BEGUN]),
    mix=st.lists(st.sampled_from(KINDS), min_size=1, max_size=4, unique=True),
)
def test_that_whatever_mix_of_instruments_follows_a_ferment_all_is_made_of_it(members, course, mix):
    _, plan, texts = everything(followed(course, *mix), members)
    assert in_order(plan)
    assert all(map(is_said, texts))
