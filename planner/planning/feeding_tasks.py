"""What is fed and added while the must works, as tasks on the days on which it falls due or was given."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

from planner.document.batch import Batch, Feed, StepFeed, What
from planner.evaluation.outcome import Outcome
from planner.planning.completed_steps import days_of
from planner.planning.task import Task, task
from planner.recipe.step_feeding import name_of
from planner.reference.catalogue import Catalogue
from planner.timeline.actual_recipe import feeds_given, replaced_feeds
from planner.timeline.results import FeedMoment
from planner.wording import phrases
from planner.wording.phrases import in_a_sentence, say

_Fed = TypeVar("_Fed", Feed, StepFeed)


def feeds(outcome: Outcome, catalogue: Catalogue) -> Iterator[Task]:
    """Feeds on the days on which they fall due, or were given."""
    assert outcome.curve is not None
    for place, feed, day, given in _due(outcome.batch, What.FEED, outcome.batch.recipe.feeds, outcome.curve.feeds):
        name = in_a_sentence(catalogue.nutrient(feed.key).name)
        told = say("Stir it up in a little must first. Add it slowly: it foams.")
        yield task(f"feed-{place}", say(f"Feed {{}} of {name}", phrases.mass(feed.mass)), told, day, done=given,
                    records=What.FEED)  # fmt: skip


def step_feeds(outcome: Outcome, catalogue: Catalogue) -> Iterator[Task]:
    """Honey, juice and sugar on the days on which they fall due, or were added."""
    assert outcome.curve is not None
    lines = outcome.batch.recipe.step_feeds
    for place, line, day, given in _due(outcome.batch, What.ADDED, lines, outcome.curve.step_feeds):
        when = say("")
        if line.day is None and line.gravity is not None:
            when = say("Do this when the gravity has fallen to {}. ", phrases.gravity(line.gravity))
        elif line.day is None and line.sugar_used is not None:
            when = say("Do this when {} of the sugar is used. ", phrases.share(line.sugar_used))
        name = in_a_sentence(name_of(line.key, catalogue))
        told = say(
            when.template + "Thin it with must and stir it in gently: it foams. Read the gravity before and after.",
            *when.figures,
        )
        yield task(f"step-feed-{place}", say(f"Add {{}} of {name}", phrases.mass(line.mass)), told, day, done=given,
                    records=What.ADDED)  # fmt: skip


def _due(
    batch: Batch, what: What, lines: Sequence[_Fed], moments: Sequence[FeedMoment]
) -> Iterator[tuple[int, _Fed, float, bool]]:
    """Each planned feed with its place, the day on which it falls due or was given, and whether it was."""
    replaced = replaced_feeds(batch, what)
    given = {replaced[place]: day for place, _, day in feeds_given(batch, what) if place in replaced}
    bare = days_of(batch, what, bare=True)
    for moment in moments:
        if moment.feed < len(lines):
            day = given.get(moment.feed)
            if day is None and bare:  # logged without saying of what: it was the next
                day = bare.pop(0)
            yield moment.feed, lines[moment.feed], moment.day if day is None else day, day is not None
