"""The whole of an outcome as plain data, units in the keys."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np

from planner import __version__
from planner.document.batch import (
    Batch,
    Entry,
    Event,
)
from planner.document.bottled import Bottled, bottled
from planner.document.reading_kinds import OF_CLASS
from planner.document.shelf import shelf_of
from planner.document.tasting import BlindTest
from planner.evaluation.outcome import Outcome
from planner.learning.learnt_text import told
from planner.learning.pool import of_recipe
from planner.model.span import Span
from planner.recipe.step_feeding import name_of
from planner.reference.catalogue import Catalogue
from planner.reporting.adjustment import adjustment_data
from planner.reporting.alcohol import alcohol_data
from planner.reporting.feeding import feeding_data, warmth_data
from planner.reporting.ingredients import recipe_data
from planner.reporting.recipe import plan_data
from planner.reporting.said import Say
from planner.reporting.sources import citations, sources_data
from planner.reporting.verdict import verdict_data
from planner.tasting.blind import result
from planner.tasting.sheet import marked
from planner.timeline.readings import Logged
from planner.timeline.results import Curve, State
from planner.wording.figures import METRIC, Reader
from planner.wording.phrases import Words

FORMAT = "fruit-mead-planner/report"
SCHEMA = 1
"""Of `resources/report.schema.json`. It is raised when a key goes or changes its meaning, not when one comes."""

_DIGITS = 6  # significant figures kept; far beyond any instrument, and files stay readable


def _number(value: float) -> float:
    return float(f"{round(value, 9):.{_DIGITS}g}")


def _span(span: Span, factor: float = 1.0) -> float | dict[str, float]:
    """A known number as itself, an uncertain one as low, typical and high."""
    low, typical, high = (_number(part * factor) for part in span)
    return typical if low == high else {"low": low, "typical": typical, "high": high}


def _must(outcome: Outcome, shelf: Catalogue) -> dict[str, Any] | None:
    must = outcome.must
    if must is None:
        return None
    lines = zip(outcome.batch.recipe.fruits, must.juices, strict=True)
    return {
        "volume_l": _span(must.volume, 1e3),
        "mass_kg": _span(must.mass),
        "gravity_sg20": _span(must.gravity),
        "gravity_at_first_sg20": _span(must.first),
        "brix": _span(must.brix),
        "fermentable_sugar_g_per_l": _span(must.sugar),
        "acid_g_per_l_tartaric": _span(must.acid),
        "nitrogen_mg_per_l": _span(must.nitrogen, 1e3),
        "ph": None if must.ph is None else _span(must.ph),
        "measured": list(must.measured),
        "juice": [{"fruit": shelf.fruit(line.key).name, "volume_l": _span(juice, 1e3)} for line, juice in lines],
        "measured_starting_gravity_sg20": None
        if outcome.starting_gravity is None
        else _number(outcome.starting_gravity),
    }


def _finish(outcome: Outcome) -> dict[str, Any] | None:
    finish = outcome.finish
    if finish is None:
        return None
    return {
        "gravity_sg20": _span(finish.gravity),
        "dry_gravity_sg20": _span(finish.dry_gravity),
        "alcohol_pct_vol": _span(finish.alcohol, 1e2),
        "sugar_left_g_per_l": _span(finish.sugar),
        "acid_g_per_l_tartaric": _span(finish.acid),
        "volume_l": _span(finish.volume, 1e3),
        "day": _span(finish.day),
        "budget": [{"name": part.name, "gravity_points": _span(part.lifts, 1e3)} for part in finish.parts],
    }


def _curve(curve: Curve | None) -> list[dict[str, float]]:
    if curve is None:
        return []
    days = np.arange(0.0, np.floor(curve.days[-1]) + 1.0)

    def daily(values: Any) -> Any:
        return np.interp(days, curve.days, values)

    columns = {
        "day": days,
        "gravity_sg20": daily(curve.gravity),
        "gravity_low_sg20": daily(curve.band[0]),
        "gravity_high_sg20": daily(curve.band[3]),
        "alcohol_pct_vol": daily(curve.alcohol) * 1e2,
        "sugar_g_per_l": daily(curve.sugar),
        "temperature_c": curve.temperature[np.searchsorted(curve.days, days, side="right") - 1] - 273.15,
    }
    return [{key: _number(column[i]) for key, column in columns.items()} for i in range(len(days))]


def _known(value: float) -> float | None:
    """A number, or none where an entry of the log tells none."""
    return None if np.isnan(value) else _number(value)


def _ends(name: str, unit: str, span: Span | None, factor: float) -> dict[str, float | None]:
    """What the state has on the day of an entry: typical, and the ends of its range."""
    low, typical, high = (None, None, None) if span is None else (_number(part * factor) for part in span)
    return {f"{name}_{unit}": typical, f"{name}_low_{unit}": low, f"{name}_high_{unit}": high}


def _reading(row: Logged, state: State | None, entry: Entry, shelf: Catalogue) -> dict[str, Any]:
    data = {
        "kind": entry.what.value if isinstance(entry, Event) else row.kind,
        "instrument": entry.instrument,
        "day": None if row.day is None else _number(row.day),
        "at": None if row.moment is None else row.moment.isoformat(),
        "temperature_c": None if row.temperature is None else _number(row.temperature - 273.15),
        "indicated_gravity": row.indicated,
        "gravity_sg20": _known(row.gravity),
        "gravity_low_sg20": _known(row.low),
        "gravity_high_sg20": _known(row.high),
        **_ends("sugar", "g_per_l", None if state is None else state.sugar, 1.0),
        **_ends("alcohol", "pct_vol", None if state is None else state.alcohol, 1e2),
        "note": row.note,
        "excluded": row.excluded,
    }
    return data | _as_read(entry, shelf)


def _as_read(entry: Entry, shelf: Catalogue) -> dict[str, Any]:
    """What only some kinds of entry hold."""
    if not isinstance(entry, Event):
        kind, known = OF_CLASS[type(entry)], getattr(entry, "known", None)
        if known is not None:
            return {"known_gravity_sg20": known}
        key = "below_g_per_l" if getattr(entry, "below", False) else kind.told
        value = getattr(entry, kind.field) if key else 0.0
        return {key: value if kind.per == 1.0 else _number(value * kind.per)} if key else {}
    if entry.bottles is not None:
        size = None if entry.size is None else _number(entry.size * 1e6)
        return {"bottles": entry.bottles, "bottle_size_ml": size}
    if entry.volume is not None:
        return {"volume_left_l": _number(entry.volume * 1e3)}
    if entry.mass is not None:
        return {"mass_g": _number(entry.mass * 1e3), "name": _name_of(entry, shelf)}
    return {}


def _bottled(end: Bottled | None) -> dict[str, Any] | None:
    """When it was bottled, and into what."""
    if end is None:
        return None
    return {
        "day": None if end.day is None else _number(end.day),
        "at": None if end.moment is None else end.moment.isoformat(),
        "bottles": [
            {"number": number, "size_ml": None if size is None else _number(size * 1e6)} for number, size in end.lots
        ],
    }


def _aged(days: float | None) -> float | None:
    return None if days is None or days < 0.0 else _number(days)


def _name_of(entry: Event, shelf: Catalogue) -> str | None:
    """The ingredient of a feed or dose, as the shelf calls it; the key where it is not there."""
    known = {row.key: row.name for row in shelf.nutrients.values()}
    known |= {row.key: row.name for row in shelf.additives.values()}
    return known.get(entry.key, entry.key) if entry.key else None


def as_data(outcome: Outcome, shelf: Catalogue, file: str | None = None, reader: Reader = METRIC) -> dict[str, Any]:
    """An outcome as plain data for JSON.

    Parameters
    ----------
    file : str or None
        Where the batch was read, as the reader named it. [-]

    Returns
    -------
    dict
        Numbers in units of the trade, named in the keys; uncertain ones with low, typical and high. What each key means
        stands in `resources/report.schema.json`, and a test holds both together.
    """
    batch = outcome.batch
    shelf, end = shelf_of(batch, shelf), bottled(batch)

    def say(words: Words) -> str:
        return words.shown(reader)

    sources = sources_data(outcome, shelf, say)
    must, finish, mead = _must(outcome, shelf), _finish(outcome), adjustment_data(outcome, shelf, _number, _span, say)
    if must is not None:
        must["sources"] = sources["must"]
    if finish is not None:
        finish["sources"] = sources["finish"]
        for part in finish["budget"]:
            part["source"] = sources["budget"][part["name"]]
    if mead is not None:
        mead["sources"] = sources["stand"] | {
            "after": sources.get("mead", {}), "additions": sources.get("addition", {}), "stillness": sources["still"],
        }  # fmt: skip
    return {
        "format": FORMAT,
        "schema": SCHEMA,
        "program": f"fruit-mead-planner {__version__}",
        "file": file,
        "name": batch.name,
        "stage": outcome.headline.stage,
        "headline": say(outcome.headline.sentence),
        "next": say(outcome.headline.next),
        "recipe": recipe_data(outcome, shelf, _number),
        "must": must,
        "plan": plan_data(outcome, shelf, _number, say),
        "feeding": feeding_data(outcome, shelf, _number, _span, say=say),
        "warmth": warmth_data(outcome, _number),
        "finish": finish,
        "curve": _curve(outcome.curve),
        "feeds": [
            {"day": _number(due.day), "mass_g": _number(batch.recipe.feeds[due.feed].mass * 1e3),
             "name": shelf.nutrient(batch.recipe.feeds[due.feed].key).name}
            for due in (outcome.curve.feeds if outcome.curve else ())
        ],
        "additions_while_it_works": [
            {"day": _number(due.day), "mass_kg": _number(batch.recipe.step_feeds[due.feed].mass),
             "name": name_of(batch.recipe.step_feeds[due.feed].key, shelf)}
            for due in (outcome.curve.step_feeds if outcome.curve else ())
        ],
        "third_of_sugar_day": None if outcome.curve is None or outcome.curve.third_day is None
        else _number(outcome.curve.third_day),
        "learning": _learning(batch, shelf, say),
        "worth_measuring": None if outcome.worth is None else {
            "what": outcome.worth.what, "of": outcome.worth.target, "left_of_range": _number(outcome.worth.left),
            "text": say(outcome.worth.words),
        },
        "verdict": verdict_data(outcome, _number, _span, say),
        "alcohol_so_far": alcohol_data(outcome, _number, _span, say),
        "log": [_reading(row, state, batch.log.readings[row.index], shelf)
                for row, state in zip(outcome.log, outcome.on(*outcome.log), strict=True)],
        "adjustment": mead,
        "bottled": _bottled(end),
        "tastings": [
            {
                "at": tasting.at, "note": tasting.note, "days_in_bottle": None if end is None else _aged(end.age(tasting.at)),
                "marked": str(marked(tasting.marks)), "taster": tasting.taster, "photograph": tasting.photograph,
                "marks": [{"line": mark.line, "of_10": mark.value, "just_right_0": mark.fit} for mark in tasting.marks],
            }
            for tasting in batch.tastings
        ],
        "blind_tests": [_blind(test) for test in batch.tests],
        "findings": [{"level": f.level.name.lower(), "place": f.place, "text": say(f.text)} for f in outcome.findings],
        "sources": {"curve": sources.get("curve", {}), "log": sources.get("log", {})},
        "citations": citations(outcome, shelf),
    }  # fmt: skip


def _learning(batch: Batch, shelf: Catalogue, say: Say) -> dict[str, Any] | None:
    learning = of_recipe(batch)
    if not learning.values:
        return None
    return {
        "used": learning.used,
        "text": [say(words) for words in told(batch, shelf)],
        "batches": [{"name": one.name, "left_out": one.left_out} for one in learning.sources],
    }


def _blind(test: BlindTest) -> dict[str, Any]:
    found = result(test)
    return {
        "at": test.at,
        "kind": test.kind,
        "question": test.question,
        "samples": list(test.samples),
        "servings": len(test.servings),
        "answered": found.answered,
        "right": None if test.kind == "ranking" else found.right,
        "probability_by_chance": None if found.chance is None else _number(found.chance),
        "needed": found.needed,
        "mean_ranks": [_number(rank) for rank in found.ranks],
        "text": str(found.told),
    }


def as_json(data: dict[str, Any]) -> str:
    """The data as indented JSON."""
    return msgspec.json.format(msgspec.json.encode(data), indent=2).decode() + "\n"
