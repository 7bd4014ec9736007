"""What was really done, in place of what was planned: feeds that the log holds, temperatures that were set or measured."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TypeVar

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, Event, Feed, Recipe, StepFeed, TemperatureStep, What
from planner.document.timestamps import day_of
from planner.model.numerics import median
from planner.model.simulate import temperature_at
from planner.recipe.vessels import measured_volumes
from planner.timeline.course import UNPLANNED, Expected, volume_on
from planner.timeline.readings import Logged, columns_of
from planner.timeline.results import FeedMoment

Array = npt.NDArray[np.float64]
_Fed = TypeVar("_Fed", Feed, StepFeed)

SAME_WARMTH = 0.3
"""Change of temperature that makes a step of its own. [K] A quarter of the doubt about a must's temperature."""


MEASURED_HOLDS = 4.0
"""Days before and after a measured temperature for which it speaks for the must. [d] Estimate."""

AS_THE_STEM = 0.25
"""How near the temperature its hydrometer is made for a sample may have been brought to it on purpose. [K] Half of what
thermometers of the trade show."""

MAY_BE_THE_MUSTS = 3.0
"""How near what counts for the must the temperature of such a sample may as well be its own. [K] Estimate: rooms and plans
differ by so much; who brings samples to the stem has a must that is further off."""

OF_MUST = ("temperature", "sensor", "hydrometer")
"""Kinds of entries whose temperature is that of the must. A drop on a refractometer has that of the instrument."""


def feeds_given(batch: Batch, what: What = What.FEED) -> tuple[tuple[int, Event, float], ...]:
    """The feeds of the log that count: place in the log, event, and day since pitching.

    Returns
    -------
    tuple
        In the order of their days [d]. One without a day, an amount or a nutrient says nothing that can be reckoned with, and
        is not among them.
    """
    return tuple(
        (place, event, day) for place, event, day in _events(batch, what) if event.key and event.mass is not None
    )


def rackings(batch: Batch) -> tuple[float, ...]:
    """Days on which it was racked after pitching, rising. [d]"""
    return tuple(day for _, _, day in _events(batch, What.RACKING) if day > 0.0)


def replaced_feeds(batch: Batch, what: What = What.FEED) -> dict[int, int]:
    """Which planned feed each logged one stands for: place in the recipe by place in the log.

    Returns
    -------
    dict
        Each planned feed is taken once, by the earliest logged feed of the same nutrient, in the order of the plan. A
        logged feed that no planned one is left for stands for itself and is not in it.
    """
    plan: Sequence[Feed | StepFeed] = batch.recipe.feeds if what is What.FEED else batch.recipe.step_feeds
    order = sorted(range(len(plan)), key=lambda n: _due(plan[n]))
    found: dict[int, int] = {}
    for place, event, _ in feeds_given(batch, what):
        left = (n for n in order if plan[n].key == event.key and n not in found.values())
        planned = next(left, None)
        if planned is not None:
            found[place] = planned
    return found


def _in_place(batch: Batch, what: What, made: type[_Fed], plan: tuple[_Fed, ...]) -> tuple[_Fed, ...]:
    """Planned feeds with those that were given in their places, and others at the end."""
    lines, stands_for = list(plan), replaced_feeds(batch, what)
    for place, event, day in feeds_given(batch, what):
        real = made(key=event.key or "", mass=event.mass or 0.0, day=day)
        if place in stands_for:
            lines[stands_for[place]] = real
        else:
            lines.append(real)
    return tuple(lines)


def as_given(batch: Batch) -> Recipe:
    """The recipe with what the log says was done: for the course, not for the screen.

    Returns
    -------
    Recipe
        Feeds and step feeds that were given stand in the places of the planned ones, with their real day and amount; others
        follow at the end. From the day on which the log says that the temperature was set, it is that, until the plan or the log has
        another. [as its fields]
    """
    recipe = batch.recipe
    feeds = _in_place(batch, What.FEED, Feed, recipe.feeds)
    step_feeds = _in_place(batch, What.ADDED, StepFeed, recipe.step_feeds)
    steps = [
        TemperatureStep(day=max(day, 0.0), temperature=event.temperature)
        for _, event, day in _events(batch, What.TEMPERATURE)
        if event.temperature is not None
    ]
    if not steps and feeds == recipe.feeds and step_feeds == recipe.step_feeds:
        return recipe
    temperatures = (*recipe.temperatures, *steps)
    return msgspec.structs.replace(recipe, feeds=feeds, step_feeds=step_feeds, temperatures=temperatures)


def as_racked(batch: Batch, recipe: Recipe, ahead: Expected) -> Recipe:
    """The recipe with what is given after a volume was measured, as if nothing had been left behind: a smaller must has the more
    of it, and whoever reckons per volume of the whole must has it right.

    Returns
    -------
    Recipe
        The same where nothing is given after such a measurement. [as its fields]
    """
    left = [(day, room / volume_on(ahead, day)) for (day, _), room in measured_volumes(batch)]

    def grown(lines: tuple[_Fed, ...], moments: Sequence[FeedMoment]) -> tuple[_Fed, ...]:
        shares = {
            moment.feed: next((share for day, share in reversed(left) if day < moment.day), 1.0) for moment in moments
        }
        return tuple(
            msgspec.structs.replace(line, mass=line.mass / shares[n]) if shares.get(n, 1.0) != 1.0 else line
            for n, line in enumerate(lines)
        )

    if not left:
        return recipe
    feeds, step_feeds = grown(recipe.feeds, ahead.feeds), grown(recipe.step_feeds, ahead.step_feeds)
    if feeds == recipe.feeds and step_feeds == recipe.step_feeds:
        return recipe
    return msgspec.structs.replace(recipe, feeds=feeds, step_feeds=step_feeds)


def as_warmed(recipe: Recipe, days: Array, temperature: Array) -> Recipe:
    """The recipe with the temperatures that its must takes on in its room, as if they were kept.

    Parameters
    ----------
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


def measured_warmth(rows: Sequence[Logged], stem: float) -> list[tuple[float, float]]:
    """Temperatures of the must that were measured, by day: the median of each day.

    Parameters
    ----------
    stem : float
        Temperature that the hydrometer is made for. [K]

    Returns
    -------
    list of (float, float)
        Rising days since pitching, and temperatures [d], [K]. A sample read at the temperature of its stem may have been
        brought to it, and says nothing.
    """
    told = columns_of(rows)
    brought = (told.kind == "hydrometer") & (np.abs(told.temperature - stem) <= AS_THE_STEM)
    which = np.isin(told.kind, OF_MUST) & ~told.excluded & ~brought & np.isfinite(told.temperature) & (told.day >= -0.5)
    order = np.flatnonzero(which)[np.argsort(told.day[which], kind="stable")]
    days, warmth = np.maximum(told.day[order], 0.0), told.temperature[order]
    firsts = np.flatnonzero(np.diff(np.floor(days), prepend=-1.0)).tolist()
    stretches = itertools.pairwise([*firsts, days.size])
    return [(median(days[i:j]), median(warmth[i:j])) for i, j in stretches]


def as_measured(batch: Batch, recipe: Recipe, rows: Sequence[Logged]) -> Recipe:
    """The recipe with its must as warm as it was measured, where the log holds that.

    Returns
    -------
    Recipe
        What was measured off the plan counts from `MEASURED_HOLDS` before the first measurement on, straight from one to
        the next. After the last it holds until the plan has another temperature; in a room, where a must's own warmth
        passes, no longer than `MEASURED_HOLDS`. [as its fields]
    """
    measured = measured_warmth(rows, batch.log.hydrometer.calibration)
    if not measured:
        return recipe
    plan = _steps(recipe)
    days, warmth = np.array(measured).T
    last, off = float(days[-1]), warmth - temperature_at(plan, days)
    recent = float(np.mean(off[days >= last - MEASURED_HOLDS]))
    until = [step.day for step in as_given(batch).temperatures if step.day > last]
    another = min([*until, last + MEASURED_HOLDS] if batch.recipe.in_room else until, default=np.inf)
    every_day = np.arange(last + 1.0).tolist()
    changes = {0.0, *(day for day, _ in plan), *every_day, min(another, last + 1.0), another}
    starts = np.array(sorted(changes - {np.inf}))
    middles = starts + 0.5 * np.minimum(np.diff(starts, append=np.inf), 1.0)
    held = np.interp(middles, [days[0] - MEASURED_HOLDS, *days], [0.0, *off])
    held = np.where(middles > another, 0.0, np.where(middles > last, recent, held))
    steps: list[TemperatureStep] = []
    for start, kelvin in zip(starts.tolist(), (temperature_at(plan, starts) + held).tolist(), strict=True):
        if not steps or abs(kelvin - steps[-1].temperature) >= SAME_WARMTH:
            steps.append(TemperatureStep(day=start, temperature=kelvin))
    return msgspec.structs.replace(recipe, temperatures=tuple(steps), in_room=False)


class Met(msgspec.Struct, frozen=True):
    """What a ferment has met with by a day, as far as its log tells.

    Attributes
    ----------
    racked : tuple of float
        Days on which it was racked. [d]
    day, measured, planned : float or None
        Day of the last measured temperature [d], that temperature, and what was planned for then [K].
    present : float or None
        Temperature that counts at the last reading. [K]
    told : str
        By what `present` is known: "measured"; "sampled" at the stem's own temperature, which is about the planned one;
        "hidden" by such samples, which are far from it; or "planned". Empty where it is not known.
    by : str
        The one kind of entry that all its gravities come from; empty where several do.
    rackings : int
        How many are planned. [-]
    """

    racked: tuple[float, ...] = ()
    day: float | None = None
    measured: float | None = None
    planned: float | None = None
    present: float | None = None
    told: str = ""
    by: str = ""
    rackings: int = 1


NOTHING_MET = Met()
"""What a ferment has met with of which no more than gravities is known."""


def met(batch: Batch, recipe: Recipe, counted: Recipe, rows: Sequence[Logged], last: float) -> Met:
    """What a ferment has met with, for the words of its verdict.

    Parameters
    ----------
    last : float
        Day of the last reading. [d]
    """
    told_by = columns_of(rows)
    kinds = set(told_by.kind[(told_by.tells == "gravity") & ~told_by.excluded & (told_by.day > 0.0)].tolist())
    present = float(temperature_at(_steps(counted), last))
    told = Met(racked=rackings(batch), present=present, told="planned", by=kinds.pop() if len(kinds) == 1 else "",
               rackings=batch.recipe.losses.rackings)  # fmt: skip
    stem = batch.log.hydrometer.calibration
    measured = measured_warmth(rows, stem)
    near = [day for day, _ in measured if last - day <= MEASURED_HOLDS]
    samples = _at_the_stem(rows, stem, last)
    if near:
        told = msgspec.structs.replace(told, told="measured")
    elif samples and abs(samples[-1] - present) <= MAY_BE_THE_MUSTS:
        told = msgspec.structs.replace(told, told="sampled", present=samples[-1])
    elif samples:
        told = msgspec.structs.replace(told, told="hidden")
    elif measured and not batch.recipe.in_room:
        told = msgspec.structs.replace(told, told="measured")
    if not measured:
        return told
    day, warmth = measured[-1]
    return msgspec.structs.replace(told, day=day, measured=warmth, planned=float(temperature_at(_steps(recipe), day)))


def _at_the_stem(rows: Sequence[Logged], stem: float, last: float) -> list[float]:
    """Temperatures of samples read at that of their stem about a day [d], by time. [K]"""
    told = columns_of(rows)
    which = (told.kind == "hydrometer") & ~told.excluded & (np.abs(told.temperature - stem) <= AS_THE_STEM)
    which &= np.abs(told.day - last) <= MEASURED_HOLDS
    order = np.flatnonzero(which)[np.argsort(told.day[which], kind="stable")]
    return [float(kelvin) for kelvin in told.temperature[order]]


def _steps(recipe: Recipe) -> list[tuple[float, float]]:
    """Days and temperatures in the order of the days."""
    return sorted((step.day, step.temperature) for step in recipe.temperatures) or [(0.0, UNPLANNED)]


def _due(feed: Feed | StepFeed) -> tuple[bool, float]:
    """Planned order: by day, then by share of the sugar used, or by falling gravity."""
    if feed.day is None and isinstance(feed, StepFeed) and feed.gravity is not None:
        return True, 2.0 - feed.gravity
    return feed.day is None, (feed.sugar_used or 0.0) if feed.day is None else feed.day


def _events(batch: Batch, what: What) -> list[tuple[int, Event, float]]:
    log = batch.log
    found = [
        (place, entry, day)
        for place, entry in log.entries.of_kind(Event)
        if entry.what is what
        and not entry.excluded
        and (day := day_of(entry.at, entry.day, log.pitched_at)) is not None
    ]
    return sorted(found, key=lambda item: (item[2], item[0]))
