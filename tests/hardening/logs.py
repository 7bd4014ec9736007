"""Plausible logs of every mix of instruments: every report, schedule, export and import of each works.

`python -m tests.hardening.logs --count 5000`
"""

from __future__ import annotations

import argparse
import json
import math
import random
import traceback
from datetime import UTC, datetime, timedelta
from typing import Any

import jsonschema
import msgspec

from planner.document.batch import (
    AcidityReading,
    Batch,
    Entry,
    Event,
    HydrometerReading,
    Log,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.document.codec import decode, encode
from planner.evaluation.outcome import evaluate
from planner.importing.reading import export_csv, guess, read_table, readings
from planner.planning.calendar_file import NoDate, calendar
from planner.planning.schedule import schedule
from planner.reference.catalogue import catalogue
from planner.reference.shipped import resources, samples
from planner.reporting import table
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from tests.hardening.guarding import Meter

PITCHED = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
MEMBERS = 8
"""Of the ensembles: enough for every path through the code."""


def gravity(day: float, start: float, end: float, rate: float, lag: float) -> float:
    """A ferment as it usually goes. [-]"""
    return end + (start - end) * math.exp(-rate * max(0.0, day - lag))


def made_log(chance: random.Random) -> tuple[Entry, ...]:
    """Entries as somebody writes them over some weeks: any instruments, gaps, slips of a point, things done between."""
    start, end = chance.uniform(1.06, 1.13), chance.uniform(0.988, 1.02)
    rate, lag, length = chance.uniform(0.05, 0.35), chance.uniform(0.0, 3.0), chance.uniform(0.0, 60.0)
    kinds = chance.sample(("hydrometer", "sensor", "refractometer", "weight", "sugar", "ph", "warmth", "taste", "event"),
                          chance.randint(1, 9))  # fmt: skip
    found: list[Entry] = []
    by_day = chance.random() < 0.3
    for _ in range(chance.choice((0, 1, 2, 5, 12, 30))):
        day = round(chance.uniform(-1.0, length), 2)
        now = gravity(day, start, end, rate, lag) + chance.gauss(0.0, 0.001)
        moment = (PITCHED + timedelta(days=day)).isoformat(timespec="minutes")
        common: dict[str, Any] = {
            **({"day": day} if by_day else {"at": moment}), "temperature": chance.choice((None, 291.15, 295.0)),
            "excluded": chance.random() < 0.05, "note": chance.choice(("", "", "foam", "=2+2", "a, “b”\nc")),
            "instrument": chance.choice(("", "", "grey", "blue")),
        }  # fmt: skip
        found.append(_entry(chance.choice(kinds), now, start, common, chance))
    return tuple(found)


def _entry(kind: str, now: float, start: float, common: dict[str, Any], chance: random.Random) -> Entry:
    gone = max(0.0, start - now) * 1000.0
    if kind == "hydrometer":
        return HydrometerReading(gravity=round(now, 3), doubt=chance.choice((None, 0.002)), **common)
    if kind == "sensor":
        return SensorReading(gravity=round(now + chance.gauss(0.0, 0.002), 4), **common)
    if kind == "refractometer":
        return RefractometerReading(brix=round(max(2.0, 250.0 * (now - 1.0) + 0.1 * gone), 1), **common)
    if kind == "weight":
        return WeightReading(lost=round(0.02 * gone, 3), **common)
    if kind == "sugar":
        return SugarReading(
            sugar=round(max(0.5, 2.6 * (now - 0.995) * 1000.0), 1), below=chance.random() < 0.2, **common
        )
    if kind == "ph":
        return AcidityReading(ph=round(chance.uniform(2.9, 3.9), 2), **common)
    if kind == "warmth":
        return WarmthReading(**{**common, "temperature": round(chance.uniform(283.0, 300.0), 1)})
    if kind == "taste":
        return TasteReading(**common)
    what = chance.choice(tuple(What))
    if what is What.BOTTLED:
        return Event(what=what, bottles=chance.randint(1, 40), size=0.75e-3, **common)
    if what is What.FEED:
        return Event(what=what, key="yeast-autolysate", mass=0.004, **common)
    if what is What.ADDED:
        return Event(what=what, key="blossom", mass=0.5, **common)
    if what is What.DOSE:
        return Event(what=what, key="sugar", mass=0.1, **common)
    if what is What.TEMPERATURE:
        return Event(what=what, **{**common, "temperature": 290.15})
    return Event(what=what, **common)


def try_all(batch: Batch, schema: Any) -> None:
    """Everything that can be made of a batch."""
    shelf = catalogue()
    now = PITCHED + timedelta(days=30)
    outcome = evaluate(batch, shelf, MEMBERS, now)
    data = as_data(outcome, shelf, "x")
    schema.validate(json.loads(msgspec.json.encode(data)))
    assert as_text(data).strip()
    assert table.row(data).strip()
    plan = schedule(outcome, shelf)
    try:
        assert calendar(batch, plan, now).startswith(b"BEGIN:VCALENDAR")
    except NoDate:
        assert not batch.log.pitched_at
    assert decode(encode(batch)) == batch
    if len(batch.log.readings):
        text = read_table(export_csv(batch, outcome).encode("utf-8-sig"))
        mapping = guess(text, True).settled(text)
        again = readings(text, msgspec.structs.replace(mapping, repeats=True), UTC)
        assert tuple(again.readings) == tuple(batch.log.entries), "the export is imported as another log"


def main() -> None:
    """Try as many logs as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    recipes = [decode(path.read_bytes()) for path in sorted(samples().glob("*.meadbatch"))]
    schema = jsonschema.Draft202012Validator(
        json.loads((resources() / "report.schema.json").read_text(encoding="utf-8"))
    )
    meter, faults = Meter(), []
    for number in range(chosen.count):
        chance = random.Random(f"{chosen.seed}/{number}")
        base = chance.choice(recipes)
        pitched = PITCHED.isoformat() if chance.random() < 0.9 else None
        batch = msgspec.structs.replace(base, log=Log(pitched_at=pitched, readings=made_log(chance)))
        try:
            meter.time(try_all, batch, schema)
        except Exception:  # noqa: BLE001  every one is what is sought
            faults.append(f"{number}: {traceback.format_exc()[-700:]}")
    print(json.dumps({
        "logs": chosen.count, "faults": len(faults), "worst_cpu_s": round(meter.worst, 2), "first": faults[:4],
    }))  # fmt: skip


if __name__ == "__main__":
    main()
