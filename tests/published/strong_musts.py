"""Musts as literature tells of them: so much sugar, nitrogen and acid, without fruit or honey."""

from __future__ import annotations

import numpy as np
from example_batches import SHELF, plain

from planner.document.batch import TemperatureStep, Yeast
from planner.model.liquid import Liquid, volume
from planner.model.random_scores import MEMBERS
from planner.model.span import Span
from planner.recipe.must import Must
from planner.timeline.course import Expected, expected

LITRES = 20.0


def ferment(
    sugar: float,
    celsius: float = 20.0,
    pitch: float = 0.25,
    nitrogen: float = 0.2,
    ph: Span | float = 3.6,
    yeast: str = "all-rounder",
    glucose: float = 0.5,
    members: int = 0,
) -> Expected:
    """The course of a must [kg/m^3, °C, -]; its members differ in their yeast alone."""
    water = 998.2 - 0.62 * (sugar + 26.0)
    for _ in range(4):
        must = Liquid.of(
            water=water, glucose=glucose * sugar, fructose=(1.0 - glucose) * sugar, tartaric=6.0, other=20.0
        )
        water += (1.0 - float(volume(must))) * 998.2
    liquid = Liquid(np.repeat(must.masses[:, None] * LITRES / 1e3, members + 1, axis=1))
    recipe = plain(
        fruits=(), honeys=(), feeds=(), water=1.0, temperatures=(TemperatureStep(day=0.0, temperature=celsius + 273.15),),
        yeast=Yeast(key=yeast, pitch=pitch * LITRES / 1e3),
    ).recipe  # fmt: skip
    sour = Span.exactly(ph) if isinstance(ph, float) else ph
    start = Must(liquid, np.full(members + 1, nitrogen * LITRES / 1e3), (), ph=sour)
    return expected(recipe, start, SHELF, at_least=60.0)


def day_used(course: Expected, share: float) -> float:
    """Day on which the typical member has used a share of its sugar; infinite if never. [d]"""
    left = course.sugar[:, 0] / course.sugar[0, 0]
    reached = np.flatnonzero(left <= 1.0 - share)
    if not len(reached):
        return np.inf
    i = int(reached[0])
    part = (left[i - 1] - (1.0 - share)) / (left[i - 1] - left[i])
    return float(course.days[i - 1] + part * (course.days[i] - course.days[i - 1]))


def band(course: Expected, table: np.ndarray, day: float) -> Span:
    """What members have on a day: the typical one, and 90 % of all."""
    return Span.of([np.interp(day, course.days, member) for member in table.T])


ALL = MEMBERS
