"""Feeds that are proposed where the recipe has none: what the yeast needs, when, and what limits it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from planner.evaluation.outcome import Outcome
from planner.feeding.feeding_plan import Ceiling
from planner.feeding.nitrogen_feeds import day_now, propose, usual_food
from planner.papers.tree import Block, Paragraph, Row, Section, Table
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say


def feeding_pages(outcome: Outcome, shelf: Catalogue, today: datetime | None) -> Iterator[Block]:
    """The need of the yeast and the feeds that would meet it; nothing where the recipe has feeds of its own, beside which a
    proposal would be given twice, and nothing once it is too late.

    Parameters
    ----------
    today : datetime or None
        The present moment; None to go by the log alone. [-]
    """
    batch = outcome.batch
    if outcome.must is None or outcome.curve is None or batch.recipe.feeds:
        return
    plan = propose(
        batch, shelf, outcome.must, outcome.curve, usual_food(batch, shelf), day_now(batch, today), outcome.log,
        outcome.starting_gravity,
    )  # fmt: skip
    if not plan.offered:
        return
    blocks: list[Block] = [Paragraph(words) for words in plan.summary]
    rows = tuple(
        Row((say("day {}", phrases.day(step.day)), say("{}", phrases.mass(step.feed.mass)),
             shelf.nutrient(step.feed.key).name, step.why), False)
        for step in plan.offered
    )  # fmt: skip
    blocks.append(Table(("When", "Feed", "Of what", "Why"), rows, (0.0, 0.0, 1.2, 2.4), right=(1,)))
    blocks += [Paragraph(_limited(at), "small") for at in plan.ceilings]
    blocks += [
        Paragraph(say(f"{literal(out.name)} is left out. {out.why.template}", *out.why.figures), "small")
        for out in plan.refused
    ]
    yield Section("Feeds that are proposed", tuple(blocks))


def _limited(at: Ceiling) -> Words:
    allowed = "that are usual" if at.usual else "allowed"
    binds = " This limit binds." if at.binds else ""
    return say(
        f"{literal(at.name)}: {{}} of the {{}} {allowed}.{binds} {literal(at.note)}",
        phrases.concentration(at.dose), phrases.concentration(at.limit),
    )  # fmt: skip
