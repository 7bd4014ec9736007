"""What is done when, what the log has so far and makes of it, and sheets with room for a pencil."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from planner.document.batch import Entry
from planner.evaluation.outcome import Outcome
from planner.papers.dates import date, date_and_time
from planner.papers.tree import Block, Listing, Paragraph, Row, Section, Table, Text
from planner.planning.task import Schedule, Task
from planner.timeline.entry_text import in_words
from planner.timeline.readings import Logged
from planner.timeline.results import State
from planner.wording import phrases
from planner.wording.phrases import Words, say

MOST_ENTRIES, LAST_ENTRIES = 60, 40
"""Entries of a log that are all printed, and how many of a longer one. A sensor writes thousands; they stay in the file."""

APART = 0.5
"""From so far between its earliest and its latest day on, a task is told with both. [d]"""


def schedule_pages(plan: Schedule) -> Iterator[Block]:
    """The schedule with boxes to tick; nothing where there is none."""
    if not plan.tasks:
        return
    rows = tuple(Row((_when(plan, task), task.title, task.text), task.done) for task in plan.tasks)
    planned = plan.is_planned and plan.pitched is not None
    blocks: tuple[Block, ...] = (Table(("When", "What", "How"), rows, (0.0, 1.0, 1.9)),)
    if plan.pitched is None:
        blocks = (Paragraph("Days count from pitching. Enter the day of pitching for dates."), *blocks)
    elif planned:
        blocks = (Paragraph("Dates follow the planned day of pitching, and move with it."), *blocks)
    yield Section("Schedule", blocks, new_page=True)


def _when(plan: Schedule, task: Task) -> Text:
    """The day of a task, or between which it falls, and the date."""
    moment = plan.moment(task.day)
    figures = [phrases.day(task.day)]
    told = "day {}"
    if not task.done and task.until is not None and task.until - task.day > APART:
        told, figures = "day {} to {}", [*figures, phrases.day(task.until)]
    elif not task.done and task.late - task.early > APART and math.isfinite(task.late):
        told, figures = "day {} ({} to {})", [*figures, phrases.day(task.early), phrases.day(task.late)]
    return say(told if moment is None else f"{date(moment)}\n{told}", *figures)


def log_pages(outcome: Outcome, name_of: Callable[[str], str]) -> Iterator[Block]:
    """What the log has so far and makes of it, and a sheet of ruled lines for what comes."""
    rows = outcome.log
    if rows:
        blocks = [*_verdict(outcome), *_entries(outcome, name_of)]
        yield Section("The log so far", tuple(blocks), new_page=True)
    head = ("Day, date, time", "Gravity", "Temperature", "What was done, seen, smelled and tasted")
    sheet = Table(head, widths=(1.3, 0.9, 0.9, 3.2), blank=18, fills=True)
    yield Section("Log sheet", (Paragraph(_how_to_read(outcome), "small"), sheet), new_page=True)


def _how_to_read(outcome: Outcome) -> Words:
    return say(
        "Let the gas out of the sample first, and read at eye level. The hydrometer is calibrated at {}: note the "
        "temperature of the sample.",
        phrases.temperature(outcome.batch.log.hydrometer.calibration),
    )


def _verdict(outcome: Outcome) -> Iterator[Block]:
    told = outcome.verdict
    if told is None:
        return
    yield Listing(told.evidence)
    if told.steps:
        yield Section("What to do", (Listing(tuple(told.steps), numbered=True),))
    yield Paragraph(say(f"What would change this: {told.would_change.template}", *told.would_change.figures), "small")
    for caution in told.cautions:
        yield Paragraph(caution, "danger")


def _entries(outcome: Outcome, name_of: Callable[[str], str]) -> Iterator[Block]:
    rows, log = outcome.log, outcome.batch.log.readings
    if len(rows) > MOST_ENTRIES:
        yield Paragraph(
            say("Here are the last {} of {} entries. All of them are in the batch file.", phrases.count(LAST_ENTRIES),
                phrases.count(len(rows)))
        )  # fmt: skip
        rows = rows[-LAST_ENTRIES:]
    states = outcome.on(*rows)
    cells = [_entry(row, state, log[row.index], name_of) for row, state in zip(rows, states, strict=True)]
    yield Table(("When", "Read or done", "Temp.", "Corrected", "Strength", "Note"), tuple(cells),
                (0.0, 1.0, 0.0, 0.0, 0.0, 1.6), right=(2, 3, 4))  # fmt: skip


def _entry(row: Logged, state: State | None, entry: Entry, name_of: Callable[[str], str]) -> Row:
    known = not math.isnan(row.gravity)
    day: Text = "" if row.day is None else say("day {}", phrases.day(row.day))
    if row.moment is not None:
        told = date_and_time(row.moment).replace("\n", ", ")
        day = told if row.day is None else say(f"{told}\nday {{}}", phrases.day(row.day))
    left_out = "Left out. " if row.excluded else ""
    return Row((
        day,
        in_words(entry, name_of),
        "" if row.temperature is None else say("{}", phrases.temperature(row.temperature)),
        say("{}", phrases.gravity(row.gravity)) if known and row.tells != "" else "",
        "" if state is None else say("{}", phrases.alcohol(state.alcohol.typical)),
        f"{left_out}{row.note}",
    ))  # fmt: skip
