"""The batches of the cellar as a list: searched, sorted, and in groups."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

import msgspec

from planner.cellar.row import Row
from planner.evaluation.headline import STAGES
from planner.wording.finding import Level

STAGE_NAMES = {
    "plan": "Planned",
    "ferment": "Fermenting",
    "rest": "Has stopped",
    "adjust": "Being adjusted",
    "bottled": "Bottled",
    "": "Damaged",
}
"""Stages in words, by `headline.STAGES`; that of a file that cannot be read is none."""

_LAST = datetime.max.replace(tzinfo=UTC).timestamp()


class Heading(msgspec.Struct, frozen=True):
    """The line above a group.

    Attributes
    ----------
    text : str
        What the batches below it share.
    number : int
        How many they are. [-]
    """

    text: str
    number: int


class Arrangement(msgspec.Struct, frozen=True):
    """How a person wants the list.

    Attributes
    ----------
    search : str
        Words that must all occur.
    order : str
        One of `ORDERS`.
    backwards : bool
        Whether the order is turned round.
    group : str
        One of `GROUPS`, or empty for none.
    """

    search: str = ""
    order: str = "due"
    backwards: bool = False
    group: str = ""


def stage(row: Row) -> str:
    """The stage of a batch, by what is known of it so far; empty for a damaged file."""
    return row.stage if row.status is None else row.status.stage


def due_at(row: Row) -> datetime | None:
    """When the next thing is due; None where nothing is, or it has no date."""
    status = row.status
    return None if status is None or status.due is None else status.plan.moment(status.due.day)


def _due(row: Row) -> tuple[float, float]:
    """Damaged files first, as they ask for something now; then by date; then what has none."""
    at = due_at(row)
    if row.is_damaged:
        return -math.inf, 0.0
    due = None if row.status is None else row.status.due
    return _LAST if at is None else at.timestamp(), math.inf if due is None else due.day


def _by_name(row: Row) -> tuple[str, str]:
    return row.name.casefold(), row.path.name


def _spans(of: Callable[[Row], Any]) -> Callable[[Row], float]:
    """By a typical value, the largest first; what has none comes last."""

    def key(row: Row) -> float:
        span = of(row)
        return math.inf if span is None else -float(span.typical)

    return key


def _gravity_of_doubts(row: Row) -> tuple[float, float]:
    doubts = () if row.status is None else row.status.doubts
    errors = sum(doubt.level == Level.ERROR for doubt in doubts) + (math.inf if row.is_damaged else 0.0)
    return -errors, -float(len(doubts))


ORDERS: dict[str, Callable[[Row], Any]] = {
    "due": _due,
    "name": _by_name,
    "fruit": lambda row: row.fruits[:1] or ("\uffff",),
    "year": lambda row: -(row.year or 0),
    "stage": lambda row: STAGES.index(stage(row)) if stage(row) in STAGES else -1,
    "strength": _spans(lambda row: None if row.status is None else row.status.strength),
    "sweetness": _spans(lambda row: None if row.status is None else row.status.sweetness),
    "doubts": _gravity_of_doubts,
}
"""What the list may be sorted by; those that are equal follow by name."""

DAMAGED, NO_FRUIT, NO_DATE = REST = ("Damaged files", "No fruit", "No date")
"""Groups of what has neither fruit nor date, which come last."""

GROUPS: dict[str, Callable[[Row], str]] = {
    "fruit": lambda row: DAMAGED if row.is_damaged else row.fruits[0] if row.fruits else NO_FRUIT,
    "year": lambda row: DAMAGED if row.is_damaged else NO_DATE if row.year is None else str(row.year),
}
"""What it may be grouped by: the main fruit, or the year of pitching."""


def arranged(rows: Iterable[Row], how: Arrangement) -> tuple[Row | Heading, ...]:
    """The list.

    Returns
    -------
    tuple of Row or Heading
        A heading before each group. [as their fields]
    """
    wanted = how.search.casefold().split()
    found = [
        row for row in rows if all(word in row.words or word in STAGE_NAMES[stage(row)].casefold() for word in wanted)
    ]
    by_name = sorted(found, key=_by_name)
    ordered = sorted(by_name, key=ORDERS[how.order])
    if how.backwards:
        ordered.reverse()
    if not how.group:
        return tuple(ordered)
    group = GROUPS[how.group]
    lines: list[Row | Heading] = []
    for text, members in groupby(sorted(ordered, key=lambda row: _place(group(row))), group):
        some = list(members)
        lines += [Heading(text, len(some)), *some]
    return tuple(lines)


def _place(group: str) -> tuple[bool, int, str]:
    """Years run backwards, fruits by the alphabet; what has neither comes last."""
    return group in REST, -int(group) if group.isdecimal() else 0, group.casefold()
