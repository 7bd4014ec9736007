"""A population of ferments from a file: what may be absent, what is wrong and how that is said, and that the rest counts."""

from __future__ import annotations

import copy
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.benchmarks.verdict import summary
from tests.benchmarks.verdict_population import SETTINGS, population
from tests.benchmarks.verdict_reading import LineError, read_lines, read_population
from tests.benchmarks.verdict_score import Truth, reliability, score

DATA = Path(__file__).parent / "data"
GOOD, BROKEN = DATA / "ferments.jsonl", DATA / "ferments-broken.jsonl"
WHOLE = json.loads(BROKEN.read_text(encoding="utf-8-sig").splitlines()[0])


def line(**fields) -> bytes:
    return json.dumps(WHOLE | fields).encode()


def without(*path: str) -> bytes:
    changed = copy.deepcopy(WHOLE)
    place = changed
    for key in path[:-1]:
        place = place[key]
    del place[path[-1]]
    return json.dumps(changed).encode()


def truth(**fields) -> bytes:
    return line(truth=WHOLE["truth"] | fields)


@pytest.mark.parametrize(
    ("bad", "told"),
    [
        (b"{", "is not JSON"),
        (b"\xff\xfe{}", "is not UTF-8"),
        (b"[" * 100_000, "is nested too deep"),
        (b'{"name": ' + b"9" * 5000 + b"}", "is not JSON that can be read"),
        (b"7", "is a number; an object"),
        (without("readings"), "readings is missing"),
        (without("nitrogen_mg_l"), "nitrogen_mg_l is missing"),
        (without("truth"), "truth is missing"),
        (without("truth", "sugar_g_l"), "truth.sugar_g_l is missing"),
        (line(truth=None), "truth is null"),
        (line(name=5), "name is a number; a text"),
        (line(starting_gravity="1.09"), "starting_gravity is a text; a number"),
        (line(starting_gravity=True), "starting_gravity is true or false"),
        (line(starting_gravity=1090), "starting_gravity is 1090; a specific gravity"),
        (line(starting_gravity=float("nan")), "starting_gravity is nan"),
        (line(pitch_g_l=10**400), "pitch_g_l is inf"),
        (line(pitch_g_l=0), "pitch_g_l is 0"),
        (line(fermentable_g_l=[225, 200]), "fermentable_g_l has its low, 225, above its high, 200"),
        (line(fermentable_g_l=212), r"fermentable_g_l is a number; \[low, high\]"),
        (line(tolerance_pct_vol=[-1, 14]), r"tolerance_pct_vol\[0\] is -1"),
        (line(tolerance_pct_vol=[12, None]), r"tolerance_pct_vol\[1\] is null"),
        (line(readings=[]), "readings is empty"),
        (line(readings=[[1, 1.08], [3]]), r"readings\[1\] is not \[day, value\]"),
        (line(readings=[[3, 1.05], [1, 1.08]]), r"readings\[1\] has day 1 after day 3"),
        (line(readings=[[1, float("nan")]]), r"readings\[0\]\[1\] is nan"),
        (line(temperature_c=18), "temperature_c is a number"),
        (line(temperature_c=[]), "temperature_c is empty"),
        (line(sugar_tests="none"), "sugar_tests is a text"),
        (line(sugar_tests=[[5, "low"]]), r"sugar_tests\[0\]\[1\] is a text"),
        (truth(sugar_g_l=[]), "truth.sugar_g_l is empty"),
        (truth(sugar_g_l=[[2, 9], [1, 5]]), r"truth.sugar_g_l\[1\] has day 1 after day 2"),
        (truth(stall_day="never"), "truth.stall_day is a text"),
        (truth(finish_day=[3]), "truth.finish_day is a list"),
    ],
)  # fmt: skip
def test_that_a_bad_line_is_told_with_its_number_and_field_and_the_others_count(bad, told):
    found = read_lines([line(), b"", bad, line(name="second")])
    assert [ferment["name"] for ferment in found.ferments] == ["short", "second"]
    (fault,) = found.faults
    assert re.match(rf"Line 3: ({told})", fault)
    assert fault.endswith(".")


@pytest.mark.parametrize(
    "bare",
    [
        without("name"), without("sugar_tests"), without("truth", "stall_day"), without("truth", "finish_day"),
        line(sugar_tests=[]), line(sugar_tests=None), truth(stall_day=None, finish_day=None), line(name=None),
        line(readings=[[1, 1.08], [1, 1.081]]), line(fermentable_g_l=[210, 210]),
    ],
)  # fmt: skip
def test_that_what_may_be_absent_is_taken_as_absent(bare):
    found = read_lines([bare])
    assert not found.faults
    assert not found.remarks
    (ferment,) = found.ferments
    assert ferment["sugar_tests"] == []
    assert ferment["name"] in ("short", "line 1")
    assert ferment["truth"]["stall_day"] is None


def test_that_an_unknown_field_is_named_and_the_line_still_counts():
    found = read_lines([line(colour="red"), truth(cause="cold")])
    assert len(found.ferments) == 2
    assert not found.faults
    assert [remark.split(" is ")[0] for remark in found.remarks] == ["Line 1: colour", "Line 2: truth.cause"]


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_that_no_line_whatever_stops_the_reading(junk):
    assert len(read_lines([junk, line()]).ferments) == 1


def test_that_a_mark_at_the_beginning_and_foreign_line_ends_do_no_harm():
    found = read_population(BROKEN)
    assert BROKEN.read_bytes().startswith(b"\xef\xbb\xbf")
    assert b"\r\n" in BROKEN.read_bytes()
    assert len(found.ferments) == 2
    assert [int(fault.split(":")[0].removeprefix("Line ")) for fault in found.faults] == list(range(2, 14))


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("none", None, "cannot be read: No such file"),
        ("empty", b"", "holds no ferment"),
        ("blank", b"\n \n\r\n", "holds no ferment"),
        ("marked", b"\xef\xbb\xbf", "holds no ferment"),
        ("all bad", b"{}\n[]\n", "Line 2: is a list"),
    ],
)
def test_that_a_file_without_ferments_is_refused_in_words(tmp_path, name, content, told):
    path = tmp_path / f"{name}.jsonl"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(LineError, match=told):
        read_population(path)


def test_that_only_ferments_with_a_test_count_for_the_verdict_with_one():
    found = read_population(GOOD)
    assert not found.faults
    scores = {ferment["name"]: score(ferment) for ferment in found.ferments}
    assert {name for name, one in scores.items() if one.tests_right} == {"dry, with a test", "stuck, with a test"}
    assert "right_with_test nan" in summary([scores["dry, without a test"]])
    assert "right_with_test nan" not in summary(list(scores.values()))


def test_that_the_command_tells_faults_aside_and_ends_with_the_line_for_machines():
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.verdict", "--population", str(BROKEN)],
        cwd=Path(__file__).parents[1], capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.startswith("2 ferments\n")
    assert re.fullmatch(
        r"false_finished \S+ false_stalled \S+ early_stalled \S+ stalls_named \S+ reversals \S+( \w+ \S+)+",
        done.stdout.splitlines()[-1],
    )
    assert "Line 4: starting_gravity is missing." in done.stderr
    assert "12 lines of" in done.stderr


def test_that_the_command_refuses_a_missing_file_in_words():
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.verdict", "--population", "no-such-file.jsonl"],
        cwd=Path(__file__).parents[1], capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.startswith("no-such-file.jsonl cannot be read")
    assert "Traceback" not in done.stderr


def test_that_honey_given_on_the_way_joins_the_sugar_and_is_told_of():
    for ferment in population(4, 3, SETTINGS["step-fed"]):
        days, sugars = zip(*ferment["truth"]["sugar_g_l"], strict=True)
        assert ferment["events"]
        for day, _, honey in ferment["events"]:
            place = days.index(day)
            # By volume: 0.82 mL of honey per gram of its sugar thin what is there, of 60 g/L at most three times.
            assert 0.75 * honey < sugars[place + 1] - sugars[place] <= honey


STOPS = {
    "sugar_g_l": [[0, 200], [10, 100], [20, 100], [30, 0], [60, 0]],
    "stall_day": 10,
    "resume_day": 20,
    "finish_day": 29.6,
}


def test_that_stalled_is_false_only_of_what_works_and_has_much_yet_to_use():
    # By the definitions: more than 10 g/L and a tenth of what is left, before it next stops.
    told = Truth.of({"truth": STOPS})
    assert [told.goes_on(day) for day in (5.0, 9.2, 15.0, 21.0, 28.5, 29.5)] == [True, False, False, True, True, False]
    assert [told.state(day) for day in (5.0, 15.0, 25.0, 29.9)] == ["on course", "stalled", "on course", "finished"]


def test_that_stated_probabilities_are_set_beside_what_came():
    found = [score(ferment) for ferment in read_population(GOOD).ferments]
    for what, classes in reliability(found).items():
        assert sum(times for _, _, times in classes) == sum(name == what for one in found for name, _, _ in one.stated)
        assert all(0.0 <= stated <= 1.0 and 0.0 <= so <= 1.0 for stated, so, _ in classes)
