"""One batch, one answer: whatever is in a log, all places that tell a quantity of a day tell the same to its last shown digit."""

from __future__ import annotations

import csv
import io
import math
import re

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, plain, worked_out
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from planner.adjusting.base_mead import Basis
from planner.document import edits
from planner.document.batch import (
    AcidityReading,
    Addition,
    Event,
    FruitLine,
    HoneyLine,
    HydrometerReading,
    Log,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    TemperatureStep,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.importing.export import export_csv
from planner.model.liquid import alcohol, fermentable_concentration, gravity, volume
from planner.model.refraction import apparent_brix
from planner.model.span import Span
from planner.planning.schedule import schedule
from planner.recipe.must import must
from planner.recipe.vessels import way
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.timeline.current_gravity import present_gravity
from planner.timeline.readings import DOSED, path
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST
from planner.wording import phrases

MEMBERS = 40


def some(examples):
    """Stories are short enough to be read as they come: making them shorter would take longer than finding them."""
    return settings(max_examples=examples, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))


@st.composite
def stories(draw):
    """A batch with a log as it can happen: gravities that fall and stop somewhere, whatever is done and measured between them."""
    batch = plain(
        fruits=(FruitLine(key=draw(st.sampled_from(["sour-cherry", "raspberry", "plum", "blackcurrant"])), mass=draw(st.floats(6.0, 14.0))),),
        honeys=(HoneyLine(key="blossom", mass=draw(st.floats(2.5, 5.0))),),
        temperatures=(TemperatureStep(day=0.0, temperature=291.15),),
    )  # fmt: skip
    way_of = path(must(batch, SHELF, 0).liquid.member(0))
    start = float(way_of.gravity[-1]) + draw(st.floats(-0.006, 0.006))
    end = float(way_of.gravity[0]) + draw(st.sampled_from([0.0, 0.0, 0.001, 0.004, 0.012, 0.030]))
    length, last = draw(st.floats(6.0, 25.0)), draw(st.floats(2.0, 60.0))

    def at(day):
        return end + (start - end) * math.exp(-((day / length * 1.6) ** 1.5)) + draw(st.floats(-0.001, 0.001))

    days = sorted({0.0, *draw(st.lists(st.floats(1.0, last), min_size=1, max_size=7)), last})
    entries = [HydrometerReading(day=0.0, gravity=round(start, 3), temperature=293.15)]
    for day in days[1:]:
        entries.append(draw(_read(round(day, 1), at(day), way_of)))
        entries += draw(st.lists(_between(round(day, 1)), max_size=2))
    if draw(st.booleans()):
        entries += draw(_afterwards(last))
    adjustment = {}
    if draw(st.booleans()):
        adjustment["additions"] = tuple(
            Addition(key=key, mass=draw(st.floats(0.02, 0.6)))
            for key in draw(st.lists(st.sampled_from(["erythritol", "honey", "malic-acid"]), unique=True, max_size=2))
        )
    log = Log(readings=tuple(entries))
    return edits.change_adjustment(msgspec.structs.replace(batch, log=log), **adjustment)


def _read(day, heavy, way_of):
    exact = round(heavy, 3)
    shown = float(np.interp(heavy, way_of.gravity, apparent_brix(way_of.liquids)))
    return st.sampled_from([
        HydrometerReading(day=day, gravity=exact, temperature=293.15), HydrometerReading(day=day, gravity=exact, temperature=288.15),
        SensorReading(day=day, gravity=round(heavy, 4), temperature=293.15), RefractometerReading(day=day, brix=round(shown, 1)),
    ])  # fmt: skip


def _between(day):
    """Whatever may be done or measured while it ferments."""
    return st.sampled_from([
        Event(day=day, what=What.FEED, key="yeast-autolysate", mass=0.005), Event(day=day, what=What.STIRRING),
        Event(day=day, what=What.ADDED, key="blossom", mass=0.3), Event(day=day, what=What.TEMPERATURE, temperature=289.15),
        Event(day=day, what=What.RACKING), Event(day=day, what=What.RACKING, volume=0.0115), TasteReading(day=day, note="fruity"), VolumeReading(day=day, volume=0.0112),
        SugarReading(day=day, sugar=1.5), SugarReading(day=day, sugar=2.0, below=True), AcidityReading(day=day, ph=3.4),
        WarmthReading(day=day, temperature=292.15), WeightReading(day=day, lost=0.4),
    ])  # fmt: skip


@st.composite
def _afterwards(draw, last):
    """What is done to a mead, in its order."""
    day, entries = last + 10.0, []
    for what in draw(
        st.lists(st.sampled_from(["rack", "volume", "dose", "honey", "test", "read", "still", "late test"]), max_size=4)
    ):
        day = round(day + draw(st.floats(1.0, 60.0)), 1)
        entries.append({
            "rack": Event(day=day, what=What.RACKING, volume=round(draw(st.floats(0.006, 0.011)), 4)),
            "volume": VolumeReading(day=day, volume=round(draw(st.floats(0.006, 0.011)), 4)),
            "dose": Event(day=day, what=What.DOSE, key="erythritol", mass=0.25),
            "honey": Event(day=day, what=What.DOSE, key="honey", mass=0.3),
            "test": SugarReading(day=day, sugar=1.0, below=True), "late test": SugarReading(day=day + 100.0, sugar=9.0),
            "read": HydrometerReading(day=day, gravity=1.006, temperature=293.15),
            "still": Event(day=day, what=What.STABILISED),
        }[what])  # fmt: skip
    if draw(st.booleans()):
        entries.append(Event(day=day + 20.0, what=What.BOTTLED, bottles=12, size=0.75e-3))
    return entries


def ends(span, kind):
    return [str(phrases.say("{}", kind(bound))) for bound in span]


def reported(value, span, factor=1.0):
    """That a span stands in the report, which keeps six figures."""
    bounds = (value["low"], value["typical"], value["high"]) if isinstance(value, dict) else (value,) * 3
    assert bounds == pytest.approx([factor * bound for bound in span], rel=5.1e-6, abs=2e-9)


def same(kind, *spans):
    """That some spans are shown alike."""
    first, *others = (ends(span, kind) for span in spans)
    assert all(other == first for other in others), (first, *others)


@some(30)
@given(stories())
def test_that_all_places_tell_one_answer(batch):
    outcome = worked_out(batch, MEMBERS)
    after, mead, data = outcome.posterior, outcome.mead, as_data(outcome, SHELF)
    if after is None or mead is None:
        return
    now, verdict = after.now, data["verdict"]
    ferment = [(row, state) for row, state in zip(outcome.log, outcome.on(*outcome.log), strict=True)
               if row.counts and row.day is not None]  # fmt: skip
    last = max(ferment, key=lambda pair: (pair[0].day, pair[0].index))
    (here,) = [row for row in data["log"] if row is data["log"][last[0].index]]

    # The last day of the log: reasons, columns, report in data, text and table.
    assert now.sugar == last[1].sugar
    assert now.alcohol == last[1].alcohol
    columns = ({end: here[f"{name}{mark}"] for end, mark in zip(("low", "typical", "high"), marks, strict=True)} for name, marks in (
        ("sugar", ("_low_g_per_l", "_g_per_l", "_high_g_per_l")), ("alcohol", ("_low_pct_vol", "_pct_vol", "_high_pct_vol")),
    ))  # fmt: skip
    for place, span, factor in ((verdict["sugar_left_g_per_l"], now.sugar, 1.0), (next(columns), now.sugar, 1.0),
                                (verdict["alcohol_pct_vol"], now.alcohol, 1e2), (next(columns), now.alcohol, 1e2)):  # fmt: skip
        reported(place, span, factor)
    if outcome.so_far is not None:
        assert now.alcohol == outcome.so_far.alcohol
        reported(data["alcohol_so_far"]["alcohol_pct_vol"], now.alcohol, 1e2)
    why = [str(line) for line in outcome.verdict.evidence]
    (strong,) = [line for line in why if line.startswith("Alcohol on day")]
    assert f"{100.0 * now.alcohol.high:.1f}".removesuffix(".0") in strong or "less than" in strong
    (sweet,) = [line for line in why if line.startswith("Sugar left on day")]
    for line in (strong, sweet):
        assert str(phrases.say(" on day {}:", phrases.day(now.evidence.day))) in line
    assert str(phrases.say("{}", phrases.concentration(max(now.sugar.high, 1.0)))) in sweet
    cells = list(csv.DictReader(io.StringIO(export_csv(batch, outcome))))[last[0].index]
    assert float(cells["Worked out: sugar [g/L]"]) == pytest.approx(now.sugar.typical, abs=0.006)
    assert float(cells["Worked out: sugar, high [g/L]"]) == pytest.approx(now.sugar.high, abs=0.006)
    assert float(cells["Worked out: alcohol [% vol]"]) == pytest.approx(100.0 * now.alcohol.typical, abs=0.006)
    if outcome.verdict.kind == STALLED and "with about" in str(outcome.verdict.sentence):
        assert f"{phrases.say('{}', phrases.concentration(now.sugar.typical))!s} of sugar" in str(
            outcome.verdict.sentence
        )

    # The mead before its additions is that state, or its forecast; a test after doses has told it more.
    before, told = mead.before, data["adjustment"]["before"]
    tested_later = any(row.tells == DOSED and row.kind == "sugar" and not row.excluded for row in outcome.log)
    if mead.basis is Basis.AT_REST:
        assert outcome.verdict.kind in (FINISHED, STALLED, TEST)
        if not tested_later:
            same(phrases.concentration, now.sugar, before.fermentable)
            same(phrases.alcohol, now.alcohol, before.alcohol)
            if not mead.known.torn:
                same(phrases.gravity, present_gravity(after).gravity, before.gravity)
    else:
        assert mead.basis is Basis.FORECAST
        ahead = verdict["forecast"]
        same(phrases.gravity, after.finish_gravity, before.gravity)
        same(phrases.concentration, after.finish_sugar, before.fermentable)
        same(phrases.alcohol, after.finish_alcohol, before.alcohol)
        reported(ahead["gravity_sg20"], after.finish_gravity)
        reported(ahead["sugar_left_g_per_l"], after.finish_sugar)
        reported(ahead["alcohol_pct_vol"], after.finish_alcohol, 1e2)
    reported(told["fermentable_sugar_g_per_l"], before.fermentable)
    reported(told["alcohol_pct_vol"], before.alcohol, 1e2)
    reported(told["gravity_sg20"], before.gravity)
    reported(told["volume_l"], before.volume, 1e3)
    assert Span.of(fermentable_concentration(mead.base)) == before.fermentable
    assert Span.of(alcohol(mead.base)) == before.alcohol
    assert Span.of(gravity(mead.base)) == pytest.approx(before.gravity, abs=1e-9)

    # What was stirred in: columns, heading of the log, adjustment.
    dosed = [row for row in outcome.log if row.tells == DOSED]
    doses = [(entry.day, n) for n, entry in enumerate(batch.log.readings) if getattr(entry, "what", None) is What.DOSE]
    if dosed and mead.now is not None and (dosed[-1].day, dosed[-1].index) > max(doses):
        same(phrases.concentration, dosed[-1].dosed.sugar, mead.now.fermentable)
        same(phrases.alcohol, dosed[-1].dosed.alcohol, mead.now.alcohol)
    if mead.now is not None and outcome.so_far is not None:
        same(phrases.alcohol, outcome.so_far.stirred, mead.now.alcohol)

    # Volume: what was measured at the last racking, the bottles in the plan and the report.
    reported(data["adjustment"]["after"]["volume_l"], mead.after.volume, 1e3)
    made = way(batch, SHELF, outcome.must.volume.typical, mead.after.volume.typical)
    assert data["plan"]["bottled_l"] == pytest.approx(1e3 * made.bottled, rel=1e-5)
    rackings = [(entry.day, n, entry) for n, entry in enumerate(batch.log.readings) if getattr(entry, "volume", None)]
    if rackings and (doses or max(entry.day for entry in batch.log.readings) == rackings[-1][0]):
        final = mead.now if mead.now is not None else before
        later = [when for when in doses if when > rackings[-1][:2]]
        volumes = [entry.volume for _, _, entry in sorted(rackings, key=lambda one: one[:2])]
        can_be = volumes == sorted(
            volumes, reverse=True
        )  # nothing becomes more by being racked: that is doubted, and shown so
        if can_be and not later and (mead.basis is Basis.AT_REST and rackings[-1][0] >= now.evidence.day):
            same(phrases.volume, final.volume, Span.exactly(rackings[-1][2].volume))

    # Schedule and text.
    rest = [task for task in schedule(outcome, SHELF).tasks if task.key == "rest"]
    if rest and outcome.verdict.kind != STALLED:
        assert str(phrases.say("{}", phrases.gravity(after.finish_gravity.typical))) in str(rest[0].text)
    text = as_text(data)
    line = next(
        line for line in text.splitlines() if re.match(rf" +{here['day']:.1f} ", line) and _sugar_of(now) in line
    )
    assert line


def _sugar_of(now):
    low, high = f"{now.sugar.low:.0f}", f"{now.sugar.high:.0f}"
    return low if low == high else f"{low} to {high}"


def _figures(outcome):
    """All that is worked out of the state."""
    after = outcome.posterior
    return (
        outcome.mead.before, outcome.mead.after, outcome.mead.ph,
        None if after is None else (after.now.sugar, after.now.alcohol, after.now.indicated, after.finish_gravity, after.finish_day),
        None if outcome.verdict is None else outcome.verdict.kind,
        None if outcome.so_far is None else outcome.so_far.alcohol,
        way(outcome.batch, SHELF, outcome.must.volume.typical, outcome.mead.after.volume.typical).bottled,
    )  # fmt: skip


def close(one, other):
    """Whether two trees of figures are the same."""
    if isinstance(one, float):
        return one == pytest.approx(other, rel=1e-9, abs=1e-12)
    if isinstance(one, msgspec.Struct):
        return all(close(getattr(one, name), getattr(other, name)) for name in one.__struct_fields__)
    if isinstance(one, tuple):
        return all(close(*pair) for pair in zip(one, other, strict=True))
    return one == other


@some(12)
@given(stories(), st.data())
def test_that_what_the_state_knows_for_certain_changes_nothing(batch, data):
    outcome = worked_out(batch, MEMBERS)
    before = _figures(outcome)
    day = data.draw(st.floats(0.5, 60.0))
    for more in (TasteReading(day=day, note="nice"), Event(day=day, what=What.NOTE, note="moved"), Event(day=day, what=What.STIRRING),
                 HydrometerReading(day=day, gravity=1.2, excluded=True), Event(day=day, what=What.DOSE, key="erythritol", mass=0.0),
                 Event(day=day, what=What.RACKING, volume=0.001, excluded=True), VolumeReading(day=day, volume=0.001, excluded=True)):  # fmt: skip
        assert close(_figures(worked_out(edits.add_readings(batch, more), MEMBERS)), before), more


@some(12)
@given(stories())
def test_that_a_measurement_of_the_mead_that_says_what_is_known_changes_nothing(batch):
    outcome = worked_out(batch, MEMBERS)
    mead = outcome.mead
    if mead.basis is not Basis.AT_REST or mead.known.room is None:
        return
    again = worked_out(edits.change_adjustment(batch, volume=mead.known.room), MEMBERS)
    assert close(again.mead.before, mead.before)
    assert close(again.mead.after, mead.after)


@some(12)
@given(stories())
def test_that_a_gravity_typed_as_the_log_has_it_leaves_sugar_and_alcohol(batch):
    outcome = worked_out(batch, MEMBERS)
    mead = outcome.mead
    dosed = any(row.tells == DOSED for row in outcome.log)
    if mead.basis is not Basis.AT_REST or dosed or mead.known.torn:
        return
    typed = worked_out(edits.change_adjustment(batch, gravity=mead.before.gravity.typical), MEMBERS).mead
    same(phrases.concentration, mead.before.fermentable, typed.before.fermentable)
    same(phrases.alcohol, mead.before.alcohol, typed.before.alcohol)
    assert typed.before.gravity.typical == pytest.approx(mead.before.gravity.typical, abs=1e-9)


@some(12)
@given(stories())
def test_that_every_component_is_in_the_mead_or_was_added_or_left_behind(batch):
    outcome = worked_out(batch, MEMBERS)
    mead = outcome.mead
    put = mead.base
    for line in batch.adjustment.additions:
        row = SHELF.additive(line.key)
        put = put.plus(**{key: share * line.mass for key, share in row.composition})
    if not mead.given:
        assert mead.mixed.masses == pytest.approx(put.masses, rel=1e-9, abs=1e-12)
    assert np.all(mead.mixed.masses >= -1e-12)
    assert volume(mead.mixed) == pytest.approx(mead.mixed.mass / gravity(mead.mixed) / 998.2, rel=1e-4)
