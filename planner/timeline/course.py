"""The expected course: how the must should ferment, when it should be done, and where its gravity should come to rest."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Recipe
from planner.model import simulate
from planner.model.cardinal import of_range
from planner.model.constants import ETHANOL_DENSITY, REFERENCE_TEMPERATURE
from planner.model.fermentation import Yields, fermented, fully_fermented, hexoses, yields_at
from planner.model.hardship import hardened
from planner.model.kinetics import Culture, strain_by_temperature
from planner.model.liquid import WATER_DENSITY, Liquid, fermentable, gravity, volume
from planner.model.random_scores import scores
from planner.model.self_heating import CARRIED_OFF, HEAT, TRANSMITTANCE, Vessel, vessel
from planner.model.span import Span
from planner.recipe.must import Must
from planner.reference.catalogue import Catalogue
from planner.timeline.hardships import hardships
from planner.timeline.results import FeedMoment, Part

Array = npt.NDArray[np.float64]

LONGEST = 150.0
"""Days after which whatever still moves is called finished. [d]"""

TAIL = 5.0
"""Days between those that are looked at beyond the drawn ones. [d]"""

SHORTEST_SHOWN, POINTS = 21.0, 121
"""Fewest days drawn, and points of the drawn curve. [d], [-]"""

AT_ONCE = 16
"""Days of which all masses are worked out at once. [-] Of all days they would be megabytes, touched for one sum each."""

AT_REST = 0.002
"""Distance from the final gravity at which a ferment counts as done. [-] Two lines of a hydrometer."""

WARMER = Span(-1.0, 0.0, 1.5)
"""How far a must is from the temperature it is meant to have. [K] Estimate; fermenting must runs warm."""

ROOM = Span(-1.0, 0.0, 1.0)
"""How far a room is from the temperature it is said to have. [K] Estimate."""

FASTEST_COOLING = 6.0
"""Beyond it a must is followed as if it cooled so fast, and warmed as much slower. [1/d] Four hours are no time for a ferment,
its warmth while it works stays the same, and a glass of must needs no steps of minutes."""

GROWTH, DECLINE, LAG = Span(0.75, 1.0, 1.45), Span(0.4, 1.0, 2.5), Span(0.5, 1.0, 2.0)
"""Doubt about growth, decline and lag, as factors. [-] Growth: the two published models differ by a tenth, but later fits of one
to musts of a winery have up to three times it. Decline: at 100 g/L of ethanol they differ by up to five times in the cold."""

CROP = Span(0.65, 1.0, 1.55)
"""Doubt about the yeast that a must's nitrogen grows, as a factor. [-] Published yields are 31, 19.7, and 27 falling to 13 kg/kg
with nitrogen; the planning model has 19.7."""

PACE = Span(0.65, 1.0, 1.55)
"""Doubt about uptake besides that about the strain, as a factor. [-] Measured musts run at 0.7 to 2 times the printed uptake,
which is this wide, and the two published models differ by a fifth to a factor of two in their times on one must. So wide, the
band holds nine in ten ferments of a model of another structure (tests/benchmarks/calibration.py)."""

WARMTH = Span(0.70, 1.0, 1.45)
"""Doubt about what ten kelvin away from 20 °C do to uptake, as a factor. [-] Uptake rises 1.16 times per 10 K in one of the
two published models, 2.2 times in the other; the planning model goes with the first, and grows more yeast in the warmth."""

CARDINAL = Span(-2.5, 0.0, 2.5)
"""Doubt about the temperatures at which a strain begins and ceases to grow. [K] Estimate: the ranges of the shelf are rounded,
and strains of one species differ by 3 K (Salvadó et al. 2011)."""

UNPLANNED = REFERENCE_TEMPERATURE
"""Temperature assumed where the recipe plans none. [K]"""


class Peak(msgspec.Struct, frozen=True):
    """The warmest moment of a must."""

    day: float  # [d]
    temperature: float  # [K]


class Expected(msgspec.Struct, frozen=True, eq=False):
    """The expected course of an ensemble whose first member is the typical one.

    Attributes
    ----------
    start : Must
        What is fermented.
    yields : Yields
        Products per hexose. [kg/kg]
    days : numpy.ndarray, shape (n,)
        Days since pitching that are drawn. [d]
    gravity, alcohol, sugar : numpy.ndarray, shape (n, m)
        Specific gravity [-], alcohol by volume [m^3/m^3], fermentable sugar per volume [kg/m^3].
    temperature : numpy.ndarray, shape (n,)
        Temperature of the must: as planned, or as it warms itself in the planned room. [K]
    feeds : tuple of FeedMoment
        Feeds with their days.
    third_day : float or None
        Day on which a third of the sugar should be used. [d]
    finish_day : numpy.ndarray, shape (m,)
        Day on which each member comes within `AT_REST` of its final gravity. [d]
    finished, dry : Liquid
        The liquid when the yeast stops, and if it had taken every sugar it can. [kg]
    """

    start: Must
    yields: Yields
    days: Array
    gravity: Array
    alcohol: Array
    sugar: Array
    temperature: Array
    feeds: tuple[FeedMoment, ...]
    third_day: float | None
    finish_day: Array
    finished: Liquid
    dry: Liquid


def culture(recipe: Recipe, start: Must, yields: Yields, catalogue: Catalogue, own_pace: bool = True) -> Culture:
    """The yeast of a recipe in a must, with the doubt about its pace.

    Parameters
    ----------
    recipe : Recipe
        Yeast and pitch. [as its fields]
    start : Must
        The must. [as its fields]
    yields : Yields
        Products per hexose. [kg/kg]
    catalogue : Catalogue
        The shelf. [-]
    own_pace : bool
        Whether the batch's own pace (`PACE`, `WARMTH`) is drawn here; the particles of a log draw it themselves. [-]

    Returns
    -------
    Culture
        One value per member. [as its fields]
    """
    row = catalogue.yeast(recipe.yeast.key)
    members = start.nitrogen.size - 1
    at_start = volume(start.liquid)
    shrunk = volume(fully_fermented(start.liquid, yields)) / at_start
    strength = row.tolerance.at(scores("yeast/tolerance", members), 0.01, 0.25)
    per_alcohol = ETHANOL_DENSITY * shrunk
    doubt: Any = 1.0
    if own_pace:
        warm = (_steps(recipe)[0][1] - REFERENCE_TEMPERATURE) / 10.0
        doubt = PACE.at(scores("yeast/pace", members), 0.2) * WARMTH.at(scores("yeast/warmth", members), 0.3) ** warm
    moved = CARDINAL.at(scores("yeast/cardinal", members), -np.inf)
    lowest, best, highest = of_range(row.t_low, row.t_high)
    usual = Culture(
        tolerance=strength * per_alcohol,
        vigour=row.vigour.at(scores("yeast/vigour", members), 0.2) * doubt,
        growth=GROWTH.at(scores("yeast/growth", members), 0.2),
        decline=DECLINE.at(scores("yeast/decline", members), 0.05),
        lag=row.lag * LAG.at(scores("yeast/lag", members), 0.1),
        pitch=recipe.yeast.pitch / at_start,
        ethanol_yield=np.asarray(yields.ethanol),
        crop=CROP.at(scores("yeast/crop", members), 0.2),
        coldest=lowest + moved,
        best=best + moved,
        hottest=highest + moved,
    )
    # The shelf states the vigour and lag of a strain at its best temperature, where it is as good as an ordinary one.
    at_best = strain_by_temperature(row.t_best, usual)
    usual = usual._replace(growth=usual.growth / at_best, vigour=usual.vigour / at_best**0.5, lag=usual.lag * at_best)
    fed = sum(feed.mass * catalogue.nutrient(feed.key).nitrogen.typical for feed in recipe.feeds)
    return hardened(usual, hardships(recipe, start, catalogue, fed), per_alcohol)


def _steps(recipe: Recipe) -> list[tuple[float, float]]:
    """Days and temperatures in the order of the days."""
    return sorted((step.day, step.temperature) for step in recipe.temperatures) or [(0.0, UNPLANNED)]


def expected(recipe: Recipe, start: Must, catalogue: Catalogue, at_least: float = 0.0) -> Expected:
    """Ferment a must as the recipe plans it.

    Parameters
    ----------
    recipe : Recipe
        Yeast, temperatures and feeds. [as its fields]
    start : Must
        The must, with volume and fermentable sugar above zero. [as its fields]
    catalogue : Catalogue
        The shelf. [-]
    at_least : float
        Day up to which the curve must reach, for the readings there are. [d]

    Returns
    -------
    Expected
        The course of every member. [as its fields]
    """
    plan = planned(recipe, start, catalogue, standing(recipe, start) if recipe.in_room else None)
    alone = plan.fermented(plan.doses, LONGEST + TAIL, alone=True)
    shown = _days_shown(alone.course(np.linspace(0.0, LONGEST, 301)), at_least)
    days = np.concatenate((shown, np.arange(shown[-1] + TAIL, LONGEST + TAIL, TAIL)))
    course = alone.course(days)
    if start.nitrogen.size > 1:
        course = _led_by(course, plan.fermented(_settled(plan.doses, alone), float(days[-1])).course(days))
    feeds = (FeedMoment(i, day) for i, day in enumerate(alone.given) if day is not None and day <= LONGEST)
    return _read_off(start, plan.yields, course, len(shown), tuple(sorted(feeds, key=lambda moment: moment.day)))


def _led_by(typical: simulate.Course, members: simulate.Course) -> simulate.Course:
    """Members with the first as it ferments alone, so that the typical curve is the same with a band and without."""
    for values, own in zip(members[1:5], typical[1:5], strict=True):
        values[:, :1] = own
    return members._replace(temperature=typical.temperature)


def standing(recipe: Recipe, start: Must) -> Vessel:
    """What the must stands in, for its own heat: the recipe's vessel, or one that holds just the must.

    Parameters
    ----------
    recipe : Recipe
        Its vessel counts. [as its fields]
    start : Must
        The must, with volume above zero. [as its fields]

    Returns
    -------
    Vessel
        Still, as wide as it is high; one value per member. [as its fields]
    """
    members = start.nitrogen.size - 1
    around = vessel(
        volume(start.liquid),
        TRANSMITTANCE.at(scores("vessel/transmittance", members), 1.0),
        HEAT.at(scores("yeast/heat", members), 1.0),
        CARRIED_OFF.at(scores("yeast/vapour", members), 0.0, 0.5),
        recipe.vessel,
    )
    slower = np.minimum(FASTEST_COOLING / around.cooling, 1.0)
    return Vessel(around.heating * slower, around.cooling * slower)


class Inputs(msgspec.Struct, frozen=True):
    """What of each member goes into its ferment; one value per member."""

    glucose: Array  # [kg/m^3]
    fructose: Array  # [kg/m^3]
    nitrogen: Array  # [kg/m^3]
    culture: Culture
    warmer: Array  # than the temperatures say [K]


class Plan(msgspec.Struct, frozen=True):
    """A must with all that decides how it ferments."""

    start: Must
    yields: Yields
    yeast: Culture
    steps: list[tuple[float, float]]
    doses: list[simulate.Dose]
    around: Vessel | None

    def inputs(self) -> Inputs:
        """What goes into the ferment of each member. [as its fields]"""
        sugars, room = hexoses(self.start.liquid), volume(self.start.liquid)
        doubt = WARMER if self.around is None else ROOM
        return Inputs(
            sugars.glucose / room,
            sugars.fructose / room,
            self.start.nitrogen / room,
            Culture(*(np.broadcast_to(value, room.shape) for value in self.yeast)),
            doubt.at(scores("must/warmer", room.size - 1), -np.inf),
        )

    def fermented(self, doses: list[simulate.Dose], end: float, alone: bool = False) -> simulate.Ferment:
        """Ferment every member, or the typical one alone, with doses up to a day.

        Parameters
        ----------
        doses : list of Dose
            The plan's own, or those with the days on which they are given. [as its fields]
        end : float
            Until when. [d]
        alone : bool
            The typical member alone. [-]

        Returns
        -------
        Ferment
            Its whole way. [as its fields]
        """
        which = slice(0, 1) if alone else slice(None)
        size = self.start.nitrogen.shape

        def some(values: Any) -> Array:
            return np.broadcast_to(np.asarray(values, dtype=float), size)[which]

        of = self.inputs()
        return simulate.ferment(
            some(of.glucose),
            some(of.fructose),
            some(of.nitrogen),
            Culture(*(some(value) for value in of.culture)),
            self.steps,
            [msgspec.structs.replace(dose, nitrogen=some(dose.nitrogen)) for dose in doses],
            end,
            some(of.warmer),
            vessel=None if self.around is None else Vessel(*(some(value) for value in self.around)),
        )


def planned(recipe: Recipe, start: Must, catalogue: Catalogue, around: Vessel | None = None) -> Plan:
    """What decides how a must ferments as the recipe plans it.

    Parameters
    ----------
    recipe : Recipe
        Yeast, temperatures and feeds. [as its fields]
    start : Must
        The must, with volume and fermentable sugar above zero. [as its fields]
    catalogue : Catalogue
        The shelf. [-]
    around : Vessel or None
        What it stands in where the temperatures are those of its room. [as its fields]

    Returns
    -------
    Plan
        Feeds that are bound to a share of the sugar are doses without a day. [as its fields]
    """
    members = start.nitrogen.size - 1
    made = yields_at(scores("yield/ethanol", members), scores("yield/glycerol", members), scores("yield/rest", members))
    room = volume(start.liquid)
    doses = []
    for feed in recipe.feeds:
        content = catalogue.nutrient(feed.key).nitrogen.at(scores(f"nutrient/{feed.key}", members))
        day = None if feed.day is None else max(feed.day, 0.0)
        doses.append(simulate.Dose(day, feed.mass * content / room, feed.sugar_used or 0.0))
    return Plan(start, made, culture(recipe, start, made, catalogue), _steps(recipe), doses, around)


def _settled(doses: list[simulate.Dose], alone: simulate.Ferment) -> list[simulate.Dose]:
    """Doses on the days on which the typical ferment got them, so that a feed falls due on one day for all members."""
    return [
        msgspec.structs.replace(dose, day=day)
        for dose, day in zip(doses, alone.given, strict=True)
        if day is not None and day <= LONGEST
    ]


def warmest(recipe: Recipe, start: Must, catalogue: Catalogue) -> Peak:
    """How warm the must gets where the temperatures of the recipe are those of its room, and nothing cools it.

    Parameters
    ----------
    recipe : Recipe
        Yeast, temperatures and feeds. [as its fields]
    start : Must
        The must, with volume and fermentable sugar above zero; its typical member counts. [as its fields]
    catalogue : Catalogue
        The shelf. [-]

    Returns
    -------
    Peak
        By the heat of fermentation, in the recipe's vessel; see `standing`. [d], [K]
    """
    plan = planned(recipe, start, catalogue, standing(recipe, start))
    course = plan.fermented(plan.doses, 60.0, alone=True).course(np.linspace(0.0, 60.0, 481))
    at = int(np.argmax(course.temperature))
    return Peak(float(course.days[at]), float(course.temperature[at]))


def _days_shown(typical: simulate.Course, at_least: float) -> Array:
    """Days to draw: half as long again as the typical ferment takes, and beyond the last reading."""
    sugar = typical.sugar[:, 0]
    # A line of the hydrometer is about 2.5 g/L of sugar on its way to alcohol.
    done = typical.days[np.flatnonzero(sugar <= sugar[-1] + 2.5)[0]]
    until = float(np.clip(max(1.5 * done, at_least * 1.08 + 1.0, SHORTEST_SHOWN), 0.0, LONGEST))
    return np.linspace(0.0, until, POINTS)


def _read_off(
    start: Must, made: Yields, course: simulate.Course, shown: int, feeds: tuple[FeedMoment, ...]
) -> Expected:
    room = volume(start.liquid)
    by_day = Liquid(start.liquid.masses[:, None, :])
    curve, alcohol, sugar = (np.empty(course.glucose.shape) for _ in range(3))
    for first in range(0, len(course.days), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        liquid = fermented(by_day, course.glucose[some] * room, course.fructose[some] * room, made)
        taken = volume(liquid)
        curve[some] = liquid.mass / taken / WATER_DENSITY
        alcohol[some] = liquid["ethanol"] / ETHANOL_DENSITY / taken
        sugar[some] = fermentable(liquid) / taken
    at_rest = np.abs(curve - curve[-1]) <= AT_REST
    # The first day from which it stays there: count back from the end.
    resting = np.logical_and.accumulate(at_rest[::-1], axis=0)[::-1]
    finish_day = course.days[np.argmax(resting, axis=0)]
    drawn = slice(0, shown)
    return Expected(
        start=start,
        yields=made,
        days=course.days[drawn],
        gravity=curve[drawn],
        alcohol=alcohol[drawn],
        sugar=sugar[drawn],
        temperature=course.temperature[drawn],
        feeds=feeds,
        third_day=simulate.day_when_used(course, 1.0 / 3.0),
        finish_day=finish_day,
        # Its own, so that who keeps it does not keep the other days.
        finished=Liquid(liquid.member(-1).masses.copy()),
        dry=fully_fermented(start.liquid, made),
    )


_GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("sorbitol", ("sorbitol",)),
    ("acids", ("malic", "citric", "tartaric", "quinic", "gluconic", "lactic", "succinic", "acetic")),
    ("honey's higher sugars", ("higher_sugars",)),
    ("glycerol made by the yeast", ("glycerol",)),
    ("minerals, pectin and the like", ("other",)),
    ("sugar the yeast leaves", ("glucose", "fructose", "sucrose", "maltose")),
)


def finish_budget(finished: Liquid) -> tuple[Part, ...]:
    """What makes the finishing gravity: water at 1.000, less what alcohol takes, plus what each substance adds.

    Parameters
    ----------
    finished : Liquid
        The finished mead, shape (components, m). [kg]

    Returns
    -------
    tuple of Part
        In order; for each member they sum to its gravity less one. [-]
    """
    so_far = finished.without(*(key for _, keys in _GROUPS for key in keys))
    level = gravity(so_far)
    parts = [Part("alcohol", Span.of(level - 1.0))]
    for name, keys in _GROUPS:
        so_far = so_far.plus(**{key: finished[key] for key in keys})
        now = gravity(so_far)
        parts.append(Part(name, Span.of(now - level)))
        level = now
    return tuple(parts)
