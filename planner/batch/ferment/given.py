"""What was really done, in place of what was planned: feeds that the log holds, and temperatures that were set."""

from __future__ import annotations

import msgspec
import numpy as np
import numpy.typing as npt

from planner.batch.batch import Batch, Event, Feed, Recipe, TemperatureStep, What
from planner.batch.moments import day_of

Array = npt.NDArray[np.float64]

SAME_WARMTH = 0.3
"""Change of temperature that makes a step of its own. [K] A quarter of the doubt about a must's temperature."""


def feeds_given(batch: Batch) -> tuple[tuple[int, Event, float], ...]:
    """The feeds of the log that count: place in the log, event, and day since pitching.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]

    Returns
    -------
    tuple
        In the order of their days [d]. One without a day, an amount or a nutrient says nothing that can be reckoned with, and
        is not among them.
    """
    return tuple(
        (place, event, day) for place, event, day in _events(batch, What.FEED) if event.key and event.mass is not None
    )


def replaced_feeds(batch: Batch) -> dict[int, int]:
    """Which planned feed each logged one stands for: place in the recipe by place in the log.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]

    Returns
    -------
    dict
        Each planned feed is taken once, by the earliest logged feed of the same nutrient, in the order of the plan. A
        logged feed that no planned one is left for stands for itself and is not in it.
    """
    plan = batch.recipe.feeds
    order = sorted(range(len(plan)), key=lambda n: _due(plan[n]))
    found: dict[int, int] = {}
    for place, event, _ in feeds_given(batch):
        left = (n for n in order if plan[n].key == event.key and n not in found.values())
        planned = next(left, None)
        if planned is not None:
            found[place] = planned
    return found


def as_given(batch: Batch) -> Recipe:
    """The recipe with what the log says was done: for the course, not for the screen.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]

    Returns
    -------
    Recipe
        Feeds that were given stand in the places of the planned ones, with their real day and amount; others follow at the
        end. From the day on which the log says that the temperature was set, it is that, until the plan or the log has
        another. [as its fields]
    """
    feeds = list(batch.recipe.feeds)
    stands_for = replaced_feeds(batch)
    for place, event, day in feeds_given(batch):
        real = Feed(key=event.key or "", mass=event.mass or 0.0, day=day)
        if place in stands_for:
            feeds[stands_for[place]] = real
        else:
            feeds.append(real)
    steps = [
        TemperatureStep(day=max(day, 0.0), temperature=event.temperature)
        for _, event, day in _events(batch, What.TEMPERATURE)
        if event.temperature is not None
    ]
    if not steps and not stands_for and len(feeds) == len(batch.recipe.feeds):
        return batch.recipe
    return msgspec.structs.replace(batch.recipe, feeds=tuple(feeds), temperatures=(*batch.recipe.temperatures, *steps))


def as_warmed(recipe: Recipe, days: Array, temperature: Array) -> Recipe:
    """The recipe with the temperatures that its must takes on in its room, as if they were kept.

    Parameters
    ----------
    recipe : Recipe
        With the temperatures of the must or of the room. [as its fields]
    days : numpy.ndarray, shape (n,)
        Rising. [d]
    temperature : numpy.ndarray, shape (n,)
        Of the must. [K]

    Returns
    -------
    Recipe
        The same where the must is kept at its temperatures; otherwise with a step wherever the must has become warmer
        or colder by `SAME_WARMTH`. [as its fields]
    """
    if not recipe.in_room:
        return recipe
    steps = [TemperatureStep(day=0.0, temperature=float(temperature[0]))]
    for day, warmth in zip(days[1:], temperature[1:], strict=True):
        if abs(warmth - steps[-1].temperature) >= SAME_WARMTH:
            steps.append(TemperatureStep(day=float(day), temperature=float(warmth)))
    later = tuple(step for step in recipe.temperatures if step.day > days[-1])
    return msgspec.structs.replace(recipe, temperatures=(*steps, *later), in_room=False)


def _due(feed: Feed) -> tuple[bool, float]:
    """Planned order: by day, then by share of the sugar used."""
    return feed.day is None, (feed.sugar_used or 0.0) if feed.day is None else feed.day


def _events(batch: Batch, what: What) -> list[tuple[int, Event, float]]:
    log = batch.log
    found = [
        (place, entry, day)
        for place, entry in enumerate(log.readings)
        if isinstance(entry, Event)
        and entry.what is what
        and not entry.excluded
        and (day := day_of(entry.at, entry.day, log.pitched_at)) is not None
    ]
    return sorted(found, key=lambda item: (item[2], item[0]))
