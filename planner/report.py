"""All that the window would show of a batch, without a window: `python -m planner.report BATCH [--json | --text]`."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import msgspec
import numpy as np

from planner import __version__
from planner.batch.batch import (
    AcidityReading,
    Batch,
    Entry,
    Event,
    RefractometerReading,
    SugarReading,
    WeightReading,
)
from planner.batch.codec import BatchFileError, decode
from planner.batch.ferment.readings import Logged
from planner.batch.outcome import Outcome, evaluate
from planner.batch.results import Curve
from planner.model.span import Span
from planner.reference.catalogue import Catalogue, catalogue
from planner.reference.own_rows import shelf_with
from planner.reference.shipped import samples
from planner.reporting.adjustment import addition_lines, adjustment_data, given_lines, stillness_lines, trial_lines
from planner.reporting.alcohol import alcohol_data, alcohol_lines
from planner.reporting.feeding import feeding_data, feeding_lines, warmth_data, warmth_lines
from planner.reporting.recipe import plan_data, plan_lines
from planner.reporting.sources import citations, sources_data
from planner.reporting.verdict import verdict_data, verdict_lines

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
        "brix": _span(must.brix),
        "fermentable_sugar_g_per_l": _span(must.sugar),
        "acid_g_per_l_tartaric": _span(must.acid),
        "nitrogen_mg_per_l": _span(must.nitrogen, 1e3),
        "ph": None if must.ph is None else _span(must.ph),
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
        "budget_gravity_points": {part.name: _span(part.lifts, 1e3) for part in finish.parts},
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


def _reading(row: Logged, entry: Entry, shelf: Catalogue) -> dict[str, Any]:
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
        "sugar_g_per_l": _known(row.sugar),
        "alcohol_pct_vol": _known(row.alcohol * 1e2),
        "note": row.note,
        "excluded": row.excluded,
    }
    return data | _as_read(entry, shelf)


def _as_read(entry: Entry, shelf: Catalogue) -> dict[str, Any]:
    """What only some kinds of entry hold."""
    if isinstance(entry, RefractometerReading):
        return {"indicated_brix": entry.brix}
    if isinstance(entry, WeightReading):
        return {"lost_g": _number(entry.lost * 1e3)}
    if isinstance(entry, AcidityReading):
        return {"ph": entry.ph}
    if isinstance(entry, SugarReading):
        return {"below_g_per_l": entry.sugar} if entry.below else {}
    if isinstance(entry, Event) and entry.mass is not None:
        return {"mass_g": _number(entry.mass * 1e3), "name": _name_of(entry, shelf)}
    return {}


def _name_of(entry: Event, shelf: Catalogue) -> str | None:
    """The ingredient of a feed or dose, as the shelf calls it; the key where it is not there."""
    known = {row.key: row.name for row in shelf.nutrients.values()}
    known |= {row.key: row.name for row in shelf.additives.values()}
    return known.get(entry.key, entry.key) if entry.key else None


def as_data(outcome: Outcome, shelf: Catalogue) -> dict[str, Any]:
    """An outcome as plain data for JSON.

    Parameters
    ----------
    outcome : Outcome
        What follows from a batch. [as its fields]
    shelf : Catalogue
        For the names of ingredients. [-]

    Returns
    -------
    dict
        Numbers in units of the trade, named in the keys; uncertain ones with low, typical and high.
    """
    batch = outcome.batch
    shelf = shelf_with(shelf, batch.own)
    sources = sources_data(outcome, shelf)
    must, finish, mead = _must(outcome, shelf), _finish(outcome), adjustment_data(outcome, shelf, _number, _span)
    if must is not None:
        must["sources"] = sources["must"]
    if finish is not None:
        finish["sources"] = sources["finish"] | {"budget_gravity_points": sources["budget"]}
    if mead is not None:
        mead["sources"] = sources["stand"] | {
            "after": sources.get("mead", {}), "additions": sources.get("addition", {}), "stillness": sources["still"],
        }  # fmt: skip
    return {
        "program": f"fruit-mead-planner {__version__}",
        "name": batch.name,
        "stage": outcome.headline.stage,
        "headline": str(outcome.headline.sentence),
        "next": str(outcome.headline.next),
        "must": must,
        "plan": plan_data(outcome, shelf, _number),
        "feeding": feeding_data(outcome, shelf, _number, _span),
        "warmth": warmth_data(outcome, _number),
        "finish": finish,
        "curve": _curve(outcome.curve),
        "feeds": [
            {"day": _number(due.day), "mass_g": _number(batch.recipe.feeds[due.feed].mass * 1e3),
             "name": shelf.nutrient(batch.recipe.feeds[due.feed].key).name}
            for due in (outcome.curve.feeds if outcome.curve else ())
        ],
        "third_of_sugar_day": None if outcome.curve is None or outcome.curve.third_day is None
        else _number(outcome.curve.third_day),
        "verdict": verdict_data(outcome, _number, _span),
        "alcohol_so_far": alcohol_data(outcome, _number, _span),
        "log": [_reading(row, batch.log.readings[row.index], shelf) for row in outcome.log],
        "adjustment": mead,
        "tastings": [{"at": tasting.at, "note": tasting.note} for tasting in batch.tastings],
        "findings": [{"level": f.level.name.lower(), "place": f.place, "text": str(f.text)} for f in outcome.findings],
        "sources": {"curve": sources.get("curve", {}), "log": sources.get("log", {})},
        "citations": citations(outcome, shelf),
    }  # fmt: skip


def _said(value: Any, digits: int) -> str:
    if isinstance(value, dict):
        return f"{value['typical']:.{digits}f} ({value['low']:.{digits}f} to {value['high']:.{digits}f})"
    return "-" if value is None else f"{value:.{digits}f}"


_LABELS: tuple[tuple[str, str, str, int], ...] = (
    ("volume_l", "volume", "L", 1),
    ("gravity_sg20", "gravity", "", 3),
    ("dry_gravity_sg20", "gravity if dry", "", 3),
    ("alcohol_pct_vol", "alcohol", "% vol", 1),
    ("brix", "sugar scale", "°Brix", 1),
    ("fermentable_sugar_g_per_l", "sugar yeast can take", "g/L", 0),
    ("sugar_left_g_per_l", "sugar left", "g/L", 0),
    ("acid_g_per_l_tartaric", "acid, as tartaric", "g/L", 1),
    ("nitrogen_mg_per_l", "nitrogen for yeast", "mg/L", 0),
    ("ph", "pH, estimated", "", 1),
    ("sweetness_g_per_l_sucrose", "sweetness, as sucrose", "g/L", 0),
    ("body_mpa_s", "body", "mPa·s", 2),
    ("day", "at rest by day", "", 0),
)


def _block(title: str, data: dict[str, Any] | None) -> list[str]:
    if data is None:
        return []
    rows = [
        f"  {label:<22} {_said(data[key], digits)} {unit}".rstrip()
        for key, label, unit, digits in _LABELS
        if key in data
    ]
    return ["", title, *rows]


def as_json(data: dict[str, Any]) -> str:
    """The same for machines: indented JSON, units in the keys.

    Parameters
    ----------
    data : dict
        What `as_data` gave. [-]
    """
    return msgspec.json.format(msgspec.json.encode(data), indent=2).decode() + "\n"


def as_text(data: dict[str, Any]) -> str:
    """The same for reading: short lines, units beside the numbers.

    Parameters
    ----------
    data : dict
        What `as_data` gave. [-]
    """
    lines = [data["name"], "=" * len(data["name"]), data["headline"], f"Next: {data['next']}"]
    lines += _block("Must", data["must"])
    lines += feeding_lines(data["feeding"])
    lines += plan_lines(data["plan"])
    lines += _block("Expected finish", data["finish"])
    if data["finish"]:
        lines += ["  what makes that gravity, in points of 0.001:"]
        lines += [
            f"    {_said(points, 1):>24}  {name}" for name, points in data["finish"]["budget_gravity_points"].items()
        ]
    if data["curve"]:
        lines += ["", "Expected course", "   day   gravity   % vol  sugar g/L    °C"]
        step = max(1, len(data["curve"]) // 20)
        lines += [
            f"  {row['day']:4.0f}     {row['gravity_sg20']:.3f}  {row['alcohol_pct_vol']:6.1f}  {row['sugar_g_per_l']:9.0f}"
            f"  {row['temperature_c']:4.0f}"
            for row in data["curve"][::step]
        ]
    lines += warmth_lines(data["warmth"])
    lines += [f"  feed {feed['mass_g']:.0f} g of {feed['name']} on day {feed['day']:.1f}" for feed in data["feeds"]]
    if data["log"]:
        lines += ["", "Log", "   day   read         at 20 °C  % vol  sugar g/L         note"]
        lines += [_log_line(row) for row in data["log"]]
    lines += alcohol_lines(data["alcohol_so_far"])
    lines += verdict_lines(data["verdict"], _said)
    mead = data["adjustment"]
    if mead:
        lines += _block(f"Mead before additions (rests on the {mead['rests_on']})", mead["before"])
        lines += addition_lines(mead)
        lines += given_lines(mead)
        if mead["additions"]:
            lines += _block("Mead after additions", mead["after"])
        lines += trial_lines(mead)
        lines += stillness_lines(mead)
    if data["tastings"]:
        lines += ["", "Tastings", *(f"  {(row['at'] or '')[:10]}  {row['note']}" for row in data["tastings"])]
    if data["findings"]:
        lines += ["", "Findings", *(f"  {row['level']:<8} {row['text']}" for row in data["findings"])]
    return "\n".join(lines) + "\n"


def _log_line(row: dict[str, Any]) -> str:
    day = f"{row['day']:5.1f}" if row["day"] is not None else "    ?"
    mark = " (excluded)" if row["excluded"] else ""
    meant = 31 * " " if row["gravity_sg20"] is None else (
        f"{row['gravity_sg20']:.3f}  {row['alcohol_pct_vol']:6.1f}  {row['sugar_g_per_l']:9.0f}       "
    )  # fmt: skip
    return f" {day}   {_read(row):<12} {meant}  {row['note']}{mark}".rstrip()


def _read(row: dict[str, Any]) -> str:
    """An entry of the log in a word and a figure, as it was read."""
    if row["indicated_gravity"] is not None:
        return f"{row['indicated_gravity']:.3f}"
    if "indicated_brix" in row:
        return f"{row['indicated_brix']:.1f} °Bx refr."
    if "lost_g" in row:
        return f"-{row['lost_g']:.0f} g"
    if "ph" in row:
        return f"pH {row['ph']:.2f}"
    if "mass_g" in row:
        return f"{row['kind']} {row['mass_g']:.3g} g"
    if row["kind"] == "sugar":
        return f"< {row['below_g_per_l']:g} g/L" if "below_g_per_l" in row else "sugar"
    if row["kind"] == "temperature" and row["temperature_c"] is not None:
        return f"{row['temperature_c']:.1f} °C"
    return str(row["kind"])


def _find(name: str) -> Path:
    """A path as given, or the name of a packaged sample."""
    path = Path(name)
    if path.exists():
        return path
    for sample in sorted(samples().glob("*.meadbatch")):
        if name in (sample.name, sample.stem):
            return sample
    known = ", ".join(sample.stem for sample in sorted(samples().glob("*.meadbatch")))
    raise BatchFileError(f"There is no file {name!r}. Give a batch file, or one of the samples: {known}.")


def load(name: str) -> Batch:
    """The batch in a file or packaged sample.

    Parameters
    ----------
    name : str
        Path of a file, or name of a sample. [-]

    Raises
    ------
    BatchFileError
        If there is none, or it cannot be read.
    """
    path = _find(name)
    try:
        data = path.read_bytes()
    except OSError as failure:
        raise BatchFileError(f"{path} cannot be read: {failure.strerror}.") from failure
    try:
        return decode(data)
    except BatchFileError as failure:
        raise BatchFileError(f"{path}: {failure}") from failure


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the report of a batch; 0 if it could be read, 2 if not."""
    parser = argparse.ArgumentParser(prog="planner.report", description=__doc__)
    parser.add_argument("batch", metavar="BATCH", help="a batch file, or the name of a packaged sample")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="as JSON, units in the keys")
    form.add_argument("--text", action="store_true", help="for reading (the default)")
    parser.add_argument("--version", action="version", version=f"fruit-mead-planner {__version__}")
    chosen = parser.parse_args(arguments)
    try:
        batch = load(chosen.batch)
    except BatchFileError as failure:
        print(failure, file=sys.stderr)
        return 2
    shelf = catalogue()
    data = as_data(evaluate(batch, shelf), shelf)
    sys.stdout.write(as_json(data) if chosen.json else as_text(data))
    return 0


if __name__ == "__main__":
    code = main()
    gc.freeze()  # all that is left goes with the process: searching it for cycles would take a tenth of the time again
    sys.exit(code)
