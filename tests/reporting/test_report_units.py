"""The report in its reader's units: text, table and every sentence among the data, of every sample and in both systems."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from typing import Any

import pytest
from example_batches import SHELF, full, worked_out

from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.planning.schedule import schedule
from planner.reference.shipped import samples
from planner.reporting import table
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.wording.figures import GALLON, Plain
from tests.quantities_in_text import faults
from tests.test_words import LONGEST

SAMPLES = {path.stem: decode(path.read_bytes()) for path in sorted(samples().glob("*.meadbatch"))}
OUTCOMES = {name: evaluate(batch, SHELF) for name, batch in SAMPLES.items()}
NOT_OURS = ("citations", "note", "notes")
"""Keys of what is quoted, and of what the maker wrote."""


def sentences(data: Any) -> Iterator[str]:
    """Every text among the data that is the program's own."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for key, value in data.items():
            if key not in NOT_OURS:
                yield from sentences(value)
    elif isinstance(data, list):
        for value in data:
            yield from sentences(value)


def lines_of_the_report(data: dict[str, Any], reader: Plain, written: tuple[str, ...]) -> list[str]:
    lines = as_text(data, reader).splitlines()
    return [line for line in lines if not any(note and note in line for note in written)]


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", SAMPLES)
def test_that_no_text_of_the_report_is_in_foreign_units_or_has_needless_digits(name, system):
    batch, outcome, reader = SAMPLES[name], OUTCOMES[name], Plain(system)
    written = (*batch.notes.splitlines(), *(row.note for row in (*batch.tastings, *batch.log.readings)))
    data = as_data(outcome, SHELF, reader=reader)
    told = [*sentences(data), *lines_of_the_report(data, reader, written)]
    told += [words.shown(reader) for task in schedule(outcome, SHELF).tasks for words in (task.title, task.text)]
    assert len(told) > 200
    found = {text: wrong for text in told if (wrong := faults(text, system))}
    assert not found, "\n".join(f"{wrong}: {text}" for text, wrong in found.items())


_FIGURE = re.compile(r"\d[\d.]*[\s\u202f\u00a0](?:to \d[\d.]* ?)?(?:%(?: vol)?|°\w+|US (?:gal|fl oz)|[a-z]+(?:/L)?\b)")
"""A number with its unit, which is one word."""


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", SAMPLES)
def test_that_no_sentence_of_the_report_has_more_than_twenty_words(name, system):
    data = as_data(OUTCOMES[name], SHELF, reader=Plain(system))
    told = {part for text in sentences(data) for part in re.split(r"(?<=[.!?])\s+", text)}
    quoting = ("Source: ", "Sources: ")  # titles of sources, as they stand
    long = [one for one in told if not one.startswith(quoting) and len(_FIGURE.sub("1", one).split()) > LONGEST]
    assert not long, "\n".join(long)


def test_that_the_rules_find_what_they_look_for():
    assert faults("Add 5 kg at 20 °C, 1.2 bar.", "us") == [
        "'5 kg' is foreign",
        "'20 °C' is foreign",
        "'1.2 bar' is foreign",
    ]
    assert faults("Weigh 40 g; then 5 g, 30 g/L and 100 mg/L.", "us") == ["'40 g' is foreign"]
    assert faults("Add 3 lb 2 oz at 68 °F.", "metric") == [
        "'3 lb' is foreign",
        "'2 oz' is foreign",
        "'68 °F' is foreign",
    ]
    assert faults("40.0 % vol, 1402 mg/L, 9.50 kg", "metric") == [
        f"{one!r} has needless digits" for one in ("40.0 % vol", "1402 mg/L", "9.50 kg")
    ]
    assert faults("12.0 % vol (11.6 to 12.5), 9.5 to 10.0 kg", "metric") == []
    assert faults("77 mg/L to 156 mg/L", "metric") == ["'77 mg/L to 156 mg/L' names its unit twice"]
    assert faults("18°C and 5kg", "metric") == ["'8°C' lacks a space", "'5kg' lacks a space"]
    assert faults("67 to 82 g/\u2060L", "metric") == ["'\\u2060' cannot be seen"]


def test_that_the_table_is_in_gallons_where_its_reader_is_american():
    data = as_data(worked_out(full(), 10), SHELF)
    (metric,), (us,) = (
        csv.DictReader(io.StringIO(table.header(units) + table.row(data, units))) for units in ("metric", "us")
    )
    for key in ("must.volume", "plan.bottled", "adjustment.after.volume"):
        assert float(us[f"{key}_us_gal"]) * GALLON == pytest.approx(float(metric[f"{key}_l"]) * 1e-3, rel=1e-5)
    assert not [key for key in us if key.removesuffix(".low").removesuffix(".high").endswith(("volume_l", "bottled_l"))]
    shared = [key for key in metric if key in us]
    assert {key: us[key] for key in shared} == {key: metric[key] for key in shared}
    assert len(us) == len(metric)
