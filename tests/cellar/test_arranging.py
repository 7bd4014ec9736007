"""The list of a cellar: searched, sorted, grouped."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.cellar.arranging import GROUPS, ORDERS, Arrangement, Heading, arranged
from planner.cellar.row import BatchStatus, Row
from planner.model.span import Span
from planner.planning.task import Schedule, task
from planner.wording.finding import error, warning
from planner.wording.phrases import say

DAY = datetime.fromisoformat("2026-12-01T12:00+01:00")


def batch_status(due=None, strength=None, doubts=(), pitched=DAY):
    step = None if due is None else task("bottle", say("Bottle"), say(""), due)
    plan = Schedule((), pitched, False)
    return BatchStatus(0, "rest", say(""), say(""), plan, step, None, strength, strength, doubts)


def row(name, fruits=(), year=None, stage="plan", words="", **more):
    known = batch_status(**more) if more else None
    return Row(Path(name), (0, 0, 0), name, "", fruits, year, stage, f"{name} {words}".casefold(), status=known)


BROKEN = Row(Path("broken"), (0, 0, 0), "broken", words="broken", trouble="empty")


def names(rows, **how):
    return [line.text if isinstance(line, Heading) else line.name for line in arranged(rows, Arrangement(**how))]


def test_that_what_is_due_first_comes_first_and_what_has_no_date_after_it():
    some = [row("none", due=None, strength=Span.exactly(0.1)), row("late", due=9.0), row("soon", due=2.0),
            row("undated", due=1.0, pitched=None), BROKEN]  # fmt: skip
    assert names(some) == ["broken", "soon", "late", "undated", "none"]


def test_that_every_word_of_a_search_must_be_found_in_whatever_case():
    some = [row("Hedge", words="Damson honey"), row("Lane", words="damson")]
    assert names(some, search="DAMSON hon") == ["Hedge"]
    assert names(some, search="damson", order="name") == ["Hedge", "Lane"]
    assert names(some, search="quince") == []
    assert names([*some, BROKEN], search="damaged") == ["broken"]


@pytest.mark.parametrize(
    ("order", "first"), [("strength", "strong"), ("sweetness", "strong"), ("doubts", "doubtful"), ("name", "doubtful")]
)
def test_that_orders_begin_with_the_most(order, first):
    some = [
        row("weak", strength=Span.exactly(0.05)),
        row("strong", strength=Span.exactly(0.15), doubts=(warning("recipe", "x"), warning("recipe", "y"))),
        row("doubtful", strength=None, due=1.0, doubts=(error("recipe", "x"),)),
        row("unknown"),
    ]
    assert names(some, order=order)[0] == first


def test_that_groups_have_headings_with_years_backwards_and_what_has_none_last():
    some = [row("a", year=2024), row("b", year=2026), row("c", year=2024), row("d"), BROKEN]
    assert names(some, group="year", order="name") == [
        "2026",
        "b",
        "2024",
        "a",
        "c",
        "Damaged files",
        "broken",
        "No date",
        "d",
    ]
    assert [line.number for line in arranged(some, Arrangement(group="year")) if isinstance(line, Heading)] == [
        1,
        2,
        1,
        1,
    ]


def test_that_a_batch_stands_under_its_main_fruit():
    some = [row("a", ("Quince", "Apple")), row("b", ("Apple",)), row("c")]
    assert names(some, group="fruit", order="name") == ["Apple", "b", "Quince", "a", "No fruit", "c"]


some_rows = st.lists(
    st.builds(
        row,
        st.text(max_size=5),
        st.lists(st.sampled_from(["Apple", "Plum"]), max_size=2).map(tuple),
        st.none() | st.integers(1, 9999),
        st.sampled_from(["plan", "bottled", ""]),
        due=st.none() | st.floats(-400.0, 4000.0),
        strength=st.none() | st.floats(0.0, 0.2).map(Span.exactly),
    ),
    max_size=12,
)


@given(some_rows, st.sampled_from(sorted(ORDERS)), st.sampled_from(["", *GROUPS]))
def test_that_no_batch_is_lost_or_doubled_in_any_order_and_backwards_is_the_reverse(rows, order, group):
    forth, back = (arranged(rows, Arrangement("", order, turned, group)) for turned in (False, True))
    listed = [line for line in forth if isinstance(line, Row)]
    assert sorted(map(id, listed)) == sorted(map(id, rows))
    assert sum(line.number for line in forth if isinstance(line, Heading)) == (len(rows) if group else 0)
    if not group:
        assert [id(line) for line in back] == [id(line) for line in reversed(forth)]
