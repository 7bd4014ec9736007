"""The command over many batches: folders, standard input, a table, and what is told of those that cannot be read."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import sys

import pytest
from example_batches import SHELF, full, plain, worked_out

from planner.document.codec import encode
from planner.document.edits import describe
from planner.reference.shipped import samples
from planner.report import main
from planner.reporting import table
from planner.reporting.batch_file import each
from planner.reporting.data import as_data

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))


@pytest.fixture
def cellar(tmp_path):
    """A folder with two batches, a damaged one between them, and what is none."""
    for name in SAMPLES[:2]:
        shutil.copy(samples() / f"{name}.meadbatch", tmp_path)
    (tmp_path / "c-damaged.meadbatch").write_text(
        '{"format": "fruit-mead-planner/batch",\n "schema": two}', encoding="utf-8"
    )
    (tmp_path / "notes.txt").write_text("no batch", encoding="utf-8")
    (tmp_path / "folder.meadbatch").mkdir()
    return tmp_path


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def fed(monkeypatch, data):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))


def test_that_a_folder_stands_for_the_batches_in_it_in_the_order_of_their_names(cellar):
    names = [os.path.basename(path) for path in each(str(cellar))]
    assert names == [f"{SAMPLES[0]}.meadbatch", "c-damaged.meadbatch", f"{SAMPLES[1]}.meadbatch"]


@pytest.mark.parametrize("form", ["--json", "--csv", "--text"])
def test_that_a_damaged_one_is_told_in_a_line_and_the_others_are_reported(cellar, capsys, form):
    assert main([str(cellar), form]) == 1
    told = capsys.readouterr()
    (line,) = told.err.splitlines()
    assert "c-damaged.meadbatch: The file is damaged at line 2, column 12" in line
    for name in ("Hedge Blackcurrant", "Lane Damson"):
        assert name in told.out


def test_that_json_of_a_folder_is_a_list_even_of_one(cellar, capsys):
    (cellar / "c-damaged.meadbatch").unlink()
    (cellar / f"{SAMPLES[1]}.meadbatch").unlink()
    assert main([str(cellar), "--json"]) == 0
    (report,) = json.loads(capsys.readouterr().out)
    assert report["file"] == str(cellar / f"{SAMPLES[0]}.meadbatch")


def test_that_json_of_one_batch_is_that_report(capsys):
    assert main([SAMPLES[0], "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["file"] == SAMPLES[0]


def test_that_a_batch_comes_from_standard_input(monkeypatch, capsys):
    fed(monkeypatch, encode(plain()))
    assert main(["-", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert (report["file"], report["name"]) == ("-", "Hedge cherry")


def test_that_what_comes_in_and_is_no_batch_is_told(monkeypatch, capsys):
    fed(monkeypatch, b"{}")
    assert main(["-"]) == 2
    assert capsys.readouterr().err.startswith("The standard input: This is not a batch file")


@pytest.mark.parametrize(
    ("names", "code"), [(SAMPLES[:1], 0), ([SAMPLES[0], "none-such"], 1), (["none-such"], 2), (["none", "such"], 2)]
)
def test_that_the_exit_code_tells_whether_all_some_or_none_could_be_reported(names, code, capsys):
    assert main([*names, "--csv"]) == code
    told = capsys.readouterr()
    assert len(told.err.splitlines()) == sum(name not in SAMPLES for name in names)
    assert len(rows(told.out)) == sum(name in SAMPLES for name in names)


@pytest.mark.parametrize("arguments", [[], ["--json"], [SAMPLES[0], "--json", "--csv"], [SAMPLES[0], "--pdf"]])
def test_that_wrong_options_end_it_with_two(arguments, capsys):
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "usage:" in capsys.readouterr().err


def test_that_an_empty_folder_is_told(tmp_path, capsys):
    assert main([str(tmp_path), "--json"]) == 2
    told = capsys.readouterr()
    assert "There is no batch in the folder" in told.err
    assert json.loads(told.out) == []


def test_that_the_table_holds_the_figures_of_the_report_for_each_batch(capsys):
    assert main([*SAMPLES, "--csv"]) == 0
    table_rows = rows(capsys.readouterr().out)
    assert main([*SAMPLES, "--json"]) == 0
    reports = json.loads(capsys.readouterr().out)
    for row, report in zip(table_rows, reports, strict=True):
        assert (row["file"], row["name"], row["stage"]) == (report["file"], report["name"], report["stage"])
        strong = report["finish"]["alcohol_pct_vol"]
        for heading, end in (("", "typical"), (".low", "low"), (".high", "high")):
            assert float(row[f"finish.alcohol_pct_vol{heading}"]) == strong[end]
        assert row["verdict.verdict"] == ("" if report["verdict"] is None else report["verdict"]["verdict"])
        assert int(row["findings.warnings"]) == sum(found["level"] == "warning" for found in report["findings"])


def test_that_a_known_number_has_no_range_in_the_table():
    row = rows(table.header() + table.row(as_data(worked_out(full()), SHELF)))[0]
    assert (row["must.volume_l.low"], row["must.volume_l.high"]) == ("", "")
    assert float(row["must.volume_l"]) > 0.0


@pytest.mark.parametrize("name", ['=HYPERLINK("x")', "+1", "-1+1", "@SUM(A1)", "\t=1"])
def test_that_no_spreadsheet_runs_the_name_of_a_batch(name):
    row = rows(table.header() + table.row(as_data(worked_out(describe(plain(), name=name)), SHELF)))[0]
    assert row["name"] == f"'{name}"


@pytest.mark.parametrize("name", ["a, b", 'say "so"', "two\nlines", "梅"])
def test_that_any_other_name_comes_back_from_the_table_as_it_was(name):
    row = rows(table.header() + table.row(as_data(worked_out(describe(plain(), name=name)), SHELF)))[0]
    assert row["name"] == name


@pytest.mark.skipif(sys.platform != "linux", reason="other systems allow no such name")
def test_that_a_name_that_is_no_text_is_reported_all_the_same(tmp_path, capsys):
    path = os.fsencode(tmp_path) + b"/\xff.meadbatch"
    with open(path, "wb") as file:
        file.write(encode(plain()))
    assert main([str(tmp_path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)[0]["file"].endswith("\ufffd.meadbatch")
    with open(path, "wb") as file:
        file.write(b"{}")
    assert main([str(tmp_path)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "This is not a batch file" in line
