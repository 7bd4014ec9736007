"""Batches side by side as plain data, as a table and for reading."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from typing import Any

from planner import __version__
from planner.comparing.comparison import Comparison, Difference, Fact
from planner.document.spreadsheet import guarded
from planner.model.span import Span
from planner.wording.figures import METRIC, Reader, joined, ranged

FORMAT = "fruit-mead-planner/comparison"
SCHEMA = 1
"""Of `resources/comparison.schema.json`. It is raised when a key goes or changes its meaning, not when one comes."""

UNITS: Mapping[str, tuple[str, float]] = {
    "gravity": ("sg20", 1.0),
    "alcohol": ("pct_vol", 100.0),
    "concentration": ("g_per_l", 1.0),
    "trace": ("mg_per_l", 1e3),
    "viscosity": ("mpa_s", 1e3),
    "volume": ("l", 1e3),
    "day": ("d", 1.0),
    "ph": ("ph", 1.0),
    "score": ("of_10", 1.0),
    "words": ("text", 1.0),
}
"""Unit of each kind of figure as it is written, and the factor from SI."""

PARTS = {"must": "Must", "ferment": "Ferment", "glass": "In the glass"}
"""Headings of what stands side by side."""

_WIDTH = 30
_DIGITS = 6


def _number(value: float) -> float:
    return float(f"{round(value, 9):.{_DIGITS}g}")


def _value(value: Span | str | None, kind: str) -> Any:
    if value is None or isinstance(value, str):
        return value
    factor = UNITS[kind][1]
    return dict(zip(("low", "typical", "high"), (_number(end * factor) for end in value), strict=True))


def as_data(found: Comparison) -> dict[str, Any]:
    """A comparison as plain data; `resources/comparison.schema.json` says what each key means."""
    return {
        "format": FORMAT,
        "schema": SCHEMA,
        "program": f"fruit-mead-planner {__version__}",
        "batches": [{"name": outcome.batch.name, "stage": outcome.headline.stage} for outcome in found.outcomes],
        "facts": [
            {
                "part": fact.part,
                "key": fact.key,
                "text": fact.name,
                "unit": UNITS[fact.kind][0],
                "values": [_value(value, fact.kind) for value in fact.values],
            }
            for fact in found.facts
        ],
        "differences": [_difference(one) for one in found.differences],
    }


def _difference(one: Difference) -> dict[str, Any]:
    unit, factor = UNITS[one.of.kind]
    return {
        "batch": one.place,
        "key": one.of.key,
        "text": str(one.told),
        "unit": unit,
        "first": _value(one.first, one.of.kind),
        "second": _value(one.second, one.of.kind),
        "steps": _number(one.steps),
        "doubtful": one.doubtful,
        "causes": [
            {"key": share.key, "text": str(share.told), "effect": _number(share.effect * factor)}
            for share in one.causes
        ],
    }


def as_csv(found: Comparison) -> str:
    """A comparison as a table: a row for each fact, then one for each difference; of an uncertain figure the typical value."""
    text = io.StringIO()
    write = csv.writer(text, lineterminator="\n").writerow
    data = as_data(found)
    write(["what", "unit", *(guarded(batch["name"]) for batch in data["batches"])])
    for fact in data["facts"]:
        cells = [value["typical"] if isinstance(value, Mapping) else value for value in fact["values"]]
        write([fact["text"], fact["unit"], *(guarded(cell) for cell in cells)])
    for one in data["differences"]:
        cells = [None] * len(data["batches"])
        cells[one["batch"]] = one["text"]
        write([f"Difference {one['key']}", "text", *(guarded(cell) for cell in cells)])
    return text.getvalue()


def as_text(found: Comparison, reader: Reader = METRIC) -> str:
    """A comparison for reading."""
    names = [outcome.batch.name for outcome in found.outcomes]
    return (
        "\n".join(("Batches side by side", "", *_differing(found, names, reader), *_side_by_side(found, names, reader)))
        + "\n"
    )


def _differing(found: Comparison, names: list[str], reader: Reader) -> Iterator[str]:
    yield f"Differences from {names[0]}"
    if not found.differences:
        yield "  None that would be noticed."
    for one in found.differences:
        yield f"  {names[one.place]}: {one.told.shown(reader)}.{' Within the ranges of both.' if one.doubtful else ''}"
        for share in one.causes[1:]:
            yield f"    also {share.told.shown(reader)}"


def _side_by_side(found: Comparison, names: list[str], reader: Reader) -> Iterator[str]:
    part = ""
    for fact in found.facts:
        if fact.part != part:
            part = fact.part
            yield from ("", PARTS[part])
            yield f"  {'':<{_WIDTH}}" + "".join(f"  {name[:_WIDTH]:<{_WIDTH}}" for name in names).rstrip()
        yield (
            f"  {fact.name:<{_WIDTH}}"
            + "".join(f"  {told(fact, n, reader):<{_WIDTH}}" for n in range(len(names))).rstrip()
        )


def told(fact: Fact, place: int, reader: Reader = METRIC) -> str:
    """A cell in words.

    Parameters
    ----------
    place : int
        Of the batch. [-]
    """
    value = fact.values[place]
    if value is None or isinstance(value, str):
        return "–" if value is None else " ".join(value.split())
    low, typical, high = value
    middle, first, last = ranged(fact.kind, (typical, low, high), reader)
    return joined(middle, reader) if first == last else f"{joined(middle, reader)} ({first.number} to {last.number})"
