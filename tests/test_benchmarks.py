"""The command that prints the table of speeds: its keys, its tables, and what machines read. Nothing is timed for its time."""

from __future__ import annotations

import importlib
import json

import pytest

from tests.benchmarks import __main__ as command
from tests.benchmarks.measuring import Growth, Row, growth, paired

QUICK = Row("quick", "one thing", "another", (0.5, 1.0, 3.0), 2.0, 2.5)
"""Its middle is 1; 95 of 100 lie below 2.8 by straight lines between the three."""


def test_that_every_key_of_the_table_is_measured_by_its_module():
    for table, kind in ((command.ROWS, "ROWS"), (command.GROWTHS, "GROWTHS")):
        for key, name in table.items():
            module = importlib.import_module(f"tests.benchmarks.{name}")
            assert key in getattr(module, kind), f"{name} does not measure {key}"


def test_that_machines_read_a_list_of_objects_and_nothing_else(monkeypatch, capsys):
    def chatty():
        print("measuring")
        return QUICK

    module = importlib.import_module("tests.benchmarks.science_rows")
    monkeypatch.setitem(module.ROWS, "one_curve", chatty)
    monkeypatch.setattr(command, "ROWS", {"one_curve": "science_rows", "quick": "science_rows"})
    command.main(["one_curve", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert told == [{"key": "quick", "ratio_median": 1.0, "ratio_p95": pytest.approx(2.8), "reach": 2.0}]


def test_that_the_table_says_what_is_reached_and_what_not():
    table = command.as_table([QUICK, Row("slow", "it", "that", (3.0,), 2.0)])
    assert [line.count("|") for line in table.splitlines()] == [8] * 4
    assert table.count("NOT REACHED") == 2  # the first by its 95th percentile


def test_that_growth_tells_its_exponent():
    square = Growth("g", "sides", (1.0, 2.0, 4.0, 8.0), (5.0, 5.0, 16.0, 64.0))
    assert square.exponent == pytest.approx(2.0)
    assert "2.00" in command.as_growth_table([square])
    assert growth("g", "sizes", (1, 2), lambda size: lambda: size).sizes == (1, 2)


def test_that_an_unknown_key_is_refused_with_those_that_are_known(capsys):
    with pytest.raises(SystemExit):
        command.main(["sped"])
    told = capsys.readouterr().err
    assert "no row 'sped'" in told
    assert "edit_band" in told


def test_that_rounds_to_warm_up_are_not_counted():
    runs = []
    assert len(paired(lambda: runs.append("ours"), lambda: runs.append("reference"), rounds=4, warm_up=2)) == 4
    assert runs == ["ours", "reference"] * 6
