"""How warm a must gets by its own heat, in its room or unless it is cooled."""

from __future__ import annotations

import msgspec
import numpy as np

from planner.document.batch import Recipe
from planner.model.self_heating import Vessel, excess_over
from planner.model.simulate import temperature_at
from planner.recipe.must import Must
from planner.reference.catalogue import Catalogue
from planner.timeline.course import UNPLANNED, Expected, planned, standing


class Warmth(msgspec.Struct, frozen=True):
    """The warmest moment of a must.

    Attributes
    ----------
    in_room : bool
        Whether the recipe's temperatures are those of the room; otherwise the must is kept at them, and this is what would
        happen if nothing cooled it.
    room : float
        Temperature of the room at that moment. [K]
    warmest : float
        Temperature of the must. [K]
    day : float
        When that is. [d]
    """

    in_room: bool
    room: float
    warmest: float
    day: float

    @property
    def excess(self) -> float:
        """By how much the must is warmer than its room. [K]"""
        return self.warmest - self.room


def warmth(recipe: Recipe, ahead: Expected) -> Warmth:
    """How warm a must gets.

    Returns
    -------
    Warmth
        By the course itself where the must stands in a room. Where it is kept at its temperatures, by the heat of that
        course: a little too low for large vessels, whose warmth would hasten it. [as its fields]
    """
    steps = sorted((step.day, step.temperature) for step in recipe.temperatures) or [(0.0, UNPLANNED)]
    room = temperature_at(steps, ahead.days)
    if recipe.in_room:
        must = ahead.temperature
    else:
        around = Vessel(*(float(np.atleast_1d(value)[0]) for value in standing(recipe, ahead.start)))
        must = room + excess_over(ahead.days, ahead.sugar[0, 0] - ahead.sugar[:, 0], around)
    at = int(np.argmax(must))
    return Warmth(recipe.in_room, float(room[at]), float(must[at]), float(ahead.days[at]))


class Peak(msgspec.Struct, frozen=True):
    """The warmest moment of a must."""

    day: float  # [d]
    temperature: float  # [K]


def warmest(recipe: Recipe, start: Must, catalogue: Catalogue) -> Peak:
    """How warm the must gets where the temperatures of the recipe are those of its room, and nothing cools it.

    Parameters
    ----------
    start : Must
        The must, with volume and fermentable sugar above zero; its typical member counts. [as its fields]

    Returns
    -------
    Peak
        By the heat of fermentation, in the recipe's vessel; see `standing`. [d], [K]
    """
    plan = planned(recipe, start, catalogue, standing(recipe, start))
    course = plan.fermented(plan.doses, 60.0, alone=True).course(np.linspace(0.0, 60.0, 481))
    at = int(np.argmax(course.temperature))
    return Peak(float(course.days[at]), float(course.temperature[at]))
