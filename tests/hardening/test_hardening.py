"""The promises, each asked of its tool: short by default, `--long` for the counts that are promised."""

from __future__ import annotations

import importlib.util

import pytest

KILLS, FILES, TABLES, LOGS, TEXTS, ACTIONS = 500, 100_000, 20_000, 5_000, 100_000, 50_000
FIELD_TEXTS = 300
CPU, MEMORY = 1.0, 500.0
"""What one file may take. [s] [MB]"""
MEDIAN_LOSS, WORST_LOSS = 1.0, 3.0
"""Of typing. [s]"""


def test_that_no_kill_damages_a_file_and_every_copy_is_an_exact_earlier_state(tool, is_long):
    found = tool("kills", "--count", KILLS if is_long else 3)
    assert found["damaged"] == 0, found["first"]
    if is_long:  # of a few kills on a busy machine the median says nothing
        assert found["copies_offered"] > found["kills"] / 4
        assert found["median_loss_s"] <= MEDIAN_LOSS
        assert found["worst_loss_s"] <= WORST_LOSS


@pytest.mark.parametrize(("name", "count"), [("files", FILES), ("tables", TABLES)])
def test_that_any_file_opens_or_is_one_error_soon_and_does_nothing_else(tool, is_long, name, count):
    found = tool(name, "--count", count if is_long else 500)
    assert found["faults"] == 0, found["first"]
    assert found["worst_cpu_s"] <= CPU
    assert found["more_mb"] <= MEMORY


@pytest.mark.skipif(importlib.util.find_spec("atheris") is None, reason="the coverage-guided fuzzer is not installed")
def test_that_a_fuzzer_guided_by_coverage_finds_nothing_either(tool, is_long):
    found = tool("files", "--guided", "--count", FILES // 10 if is_long else 200)
    assert found["faults"] == 0, found["first"]


def test_that_no_text_means_two_things(tool, is_long):
    found = tool("register", "--count", TEXTS if is_long else 2000)
    assert found["contradictions"] == 0, found["first"]


def test_that_no_text_means_two_things_in_any_field_of_the_window(tool, is_long):
    found = tool("fields", "--texts", FIELD_TEXTS if is_long else 9, "--locales", 4 if is_long else 2)
    assert found["contradictions"] == 0, found["first"]
    assert found["fields"] > 100


def test_that_every_mix_of_instruments_is_reported_scheduled_exported_and_imported(tool, is_long):
    found = tool("logs", "--count", LOGS if is_long else 12)
    assert found["faults"] == 0, found["first"]


def test_that_a_monkey_meets_no_exception_no_warning_and_no_contradiction(tool, is_long):
    found = tool("monkey", "--actions", ACTIONS if is_long else 80, "--seeds", 25 if is_long else 1)
    assert (found["exceptions"], found["qt_warnings"], found["contradictions"]) == (0, 0, 0), found["first"]
    assert found["files_last"] <= found["files_first"] + 2
    assert found["threads_last"] <= found["threads_first"]
