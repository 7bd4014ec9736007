"""Keeps a record of every published check, and prints it by property when the run ends."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable
from typing import Any

import pytest

from planner.reference.catalogue import catalogue
from published.asked import ASKED
from published.rows import RECALLED, Row
from published.sources import SOURCES

USED = frozenset(catalogue().sources)
"""Sources that the program cites."""

RECORD = pytest.StashKey[list[tuple[Row, float, bool]]]()


def pytest_configure(config: pytest.Config) -> None:
    """Also called when this file is met after the start."""
    config.stash.setdefault(RECORD, [])


@pytest.fixture
def agrees(request: pytest.FixtureRequest) -> Callable[[Row, Any], None]:
    """Compares an answer with a row, keeps both for the table, and fails where it is further off than the row allows."""

    def compare(row: Row, found: Any) -> None:
        value = float(found)
        off = row.deviation(value)
        limit = min((asked.limit + 1e-12 for asked in ASKED if asked.of(row)), default=math.inf)
        fine = math.isfinite(value) and abs(off) <= min(row.tolerance, limit)
        request.config.stash[RECORD].append((row, abs(off), fine))
        assert fine, (
            f"{row.topic} {row.given}: found {value:.8g} {row.unit}, published {row.published} "
            f"({row.source}, {row.how}), off by {off:.3g}, allowed {min(row.tolerance, limit):.3g}"
        )

    return compare


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """The record: per property and source, how many checks, the largest deviation and what was allowed."""
    record = config.stash.get(RECORD, [])
    if not record:
        return
    groups: dict[str, dict[tuple[str, str, str, bool], list[tuple[Row, float, bool]]]] = defaultdict(dict)
    for entry in record:
        row = entry[0]
        groups[row.topic].setdefault((row.source, row.how, row.unit, bool(row.differ)), []).append(entry)
    sources = {row.source for row, _, _ in record}
    failed = sum(not fine for _, _, fine in record)
    terminalreporter.section(f"published: {len(record)} checks, {len(sources)} sources, {failed} outside")
    for topic in sorted(groups):
        terminalreporter.write_line(f"{topic}")
        for (source, how, unit, differ), entries in groups[topic].items():
            worst, off, _ = max(entries, key=lambda e: e[1] / e[0].tolerance if e[0].tolerance else e[1])
            kind = f"{how}, sources differ" if differ else how
            text = f"{SOURCES[source]} ({kind})"
            terminalreporter.write_line(f"  {len(entries):4d}  {off:9.2g}  of {worst.tolerance:8.2g} {unit:9s} {text}")
            if differ:
                others = len({row.differ for row, _, _ in entries}) - 1
                more = f" (and {others} more like it)" if others else ""
                terminalreporter.write_line(f"{'':38s}disagrees with {worst.differ}{more}")
    _tell_asked(terminalreporter, record)
    _tell_independence(terminalreporter, [row for row, _, _ in record])
    terminalreporter.write_line(f"{len(record)} checks, {len(sources)} sources, {failed} outside")


def independence(row: Row) -> str:
    """Whether a check rests on memory, on a source that the program stands on too, or on one of its own."""
    if row.how == RECALLED:
        return "from memory"
    return "of a source that the program stands on, too" if row.source in USED else "of a source of its own"


def _tell_independence(terminalreporter: Any, rows: list[Row]) -> None:
    """How many checks stand on something that the program was not made from."""
    counts = Counter(map(independence, rows))
    told = ", ".join(f"{count} {kind} ({count / len(rows):.0%})" for kind, count in counts.most_common())
    terminalreporter.write_line(f"independence: {told}")


def _tell_asked(terminalreporter: Any, record: list[tuple[Row, float, bool]]) -> None:
    """What each property must hold, beside the largest deviation of the checks that bear on it."""
    terminalreporter.write_line("")
    terminalreporter.write_line("what is asked of each property: checks, largest deviation, limit")
    for asked in ASKED:
        offs = [off for row, off, _ in record if asked.of(row)]
        if offs:
            word = "held" if max(offs) <= asked.limit + 1e-12 else "NOT HELD"
            terminalreporter.write_line(
                f"  {len(offs):4d}  {max(offs):9.2g}  of {asked.limit:8.2g} {asked.unit:9s} {asked.what}: {word}"
            )
