"""Batches side by side as text, table and JSON."""

from __future__ import annotations

import csv
import io
import json

import jsonschema
import msgspec
import pytest
from made_batches import SHELF, batch, having, logged, outcome

from planner.comparing.comparison import compared
from planner.document.batch import HoneyLine, Tasting
from planner.reference.shipped import resources, samples
from planner.report import main
from planner.reporting.comparison import as_csv, as_data, as_text
from planner.reporting.data import as_json

VALIDATOR = jsonschema.Draft202012Validator(
    json.loads((resources() / "comparison.schema.json").read_text(encoding="utf-8"))
)
SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))


@pytest.fixture(scope="module")
def found():
    stronger = logged(having(batch("=Second"), honeys=(HoneyLine(key="blossom", mass=5.0),)))
    stronger = msgspec.structs.replace(stronger, tastings=(Tasting(note="Warm,\nlong."),))
    return compared([outcome(logged(batch("First"))), outcome(stronger)], SHELF)


def test_that_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(VALIDATOR.schema)


def test_that_the_json_keeps_to_its_schema_and_tells_the_cause(found):
    data = json.loads(as_json(as_data(found)))
    VALIDATOR.validate(data)
    strength = next(one for one in data["differences"] if one["key"] == "strength")
    assert strength["causes"][0]["key"] == "honey"
    assert strength["unit"] == "pct_vol"
    change = strength["second"]["typical"] - strength["first"]["typical"]
    assert strength["causes"][0]["effect"] == pytest.approx(change, rel=0.2)  # readings of four decimals tell the rest


def test_that_the_json_of_the_samples_keeps_to_it(capsys):
    assert main([*SAMPLES, "--compare", "--json"]) == 0
    VALIDATOR.validate(json.loads(capsys.readouterr().out))


def test_that_the_table_has_a_row_for_each_line_and_no_formula(found):
    rows = list(csv.reader(io.StringIO(as_csv(found))))
    assert rows[0] == ["what", "unit", "First", "'=Second"]
    assert all(len(row) == 4 for row in rows)
    assert len(rows) == 1 + len(found.facts) + len(found.differences)


def test_that_the_text_begins_with_what_matters_and_holds_all_names(found):
    text = as_text(found)
    assert text.index(str(found.differences[0].told)) < text.index("In the glass")
    assert "First" in text
    assert "Warm, long." in text  # in one line


@pytest.mark.parametrize("names", [SAMPLES[:1], SAMPLES[:2] * 4])
def test_that_too_few_or_too_many_are_told_on_the_error_stream(names, capsys):
    assert main([*names, "--compare"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "2 to 6 can be compared" in told.err


def test_that_what_cannot_be_read_is_told_and_the_others_are_compared(capsys):
    assert main([*SAMPLES[:2], "no-such-batch", "--compare", "--csv"]) == 1
    told = capsys.readouterr()
    assert told.out.startswith("what,unit,")
    assert "no-such-batch" in told.err


def test_that_a_comparison_goes_to_paper_with_its_curves_in_the_readers_units(tmp_path, capsys):
    page, sheet = tmp_path / "both.html", tmp_path / "both.pdf"
    asked = ["--compare", "--units", "us", "--html", str(page), "--pdf", str(sheet)]
    assert main([*SAMPLES[:2], *asked]) == 0
    text = page.read_text(encoding="utf-8")
    assert "data:image/svg+xml" in text
    assert "How they differ" in text
    assert "US gal" in text
    assert sheet.read_bytes().startswith(b"%PDF")
    assert capsys.readouterr().out == ""


def test_that_no_paper_is_written_of_one_batch_alone(tmp_path, capsys):
    sheet = tmp_path / "one.pdf"
    assert main([SAMPLES[0], "--compare", "--pdf", str(sheet)]) == 2
    assert not sheet.exists()
    assert "2 to 6 can be compared" in capsys.readouterr().err
