"""The expected course: how the must should ferment, when it should be done, and where its gravity should come to rest."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Recipe
from planner.model import simulate
from planner.model.added_substances import Dose, first_of
from planner.model.constants import ETHANOL_DENSITY, REFERENCE_TEMPERATURE
from planner.model.fermentation import Yields, fermented, fully_fermented, hexoses, partly_fermented, yields_at
from planner.model.kinetics import Culture
from planner.model.liquid import WATER_DENSITY, Liquid, fermentable, gravity, volume
from planner.model.numerics import alike
from planner.model.random_scores import scores
from planner.model.self_heating import CARRIED_OFF, HEAT, TRANSMITTANCE, Vessel, vessel
from planner.model.span import Span
from planner.recipe.must import Must
from planner.recipe.step_feeding import brought, together
from planner.reference.catalogue import Catalogue
from planner.timeline.culture import culture
from planner.timeline.ferment_ph import acidity_of, fall_at_work, freed_acid
from planner.timeline.results import FeedMoment

Array = npt.NDArray[np.float64]

LONGEST = 150.0
"""Days after which whatever still moves is called finished. [d]"""

TAIL = 5.0
"""Days between those that are looked at beyond the drawn ones. [d]"""

SHORTEST_SHOWN, POINTS = 21.0, 121
"""Fewest days drawn, and points of the drawn curve. [d], [-]"""

EDGE = 0.01
"""Time before an addition at which the curve is drawn once more. [d]"""

ROUNDS = 3
"""How often a liquid is brought to what is told per volume, which changes with it. [-] Each leaves a twentieth of the error."""

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

UNPLANNED = REFERENCE_TEMPERATURE
"""Temperature assumed where the recipe plans none. [K]"""


class Expected(msgspec.Struct, frozen=True, eq=False):
    """The expected course of an ensemble whose first member is the typical one.

    Attributes
    ----------
    start : Must
        What is fermented. It begins as `start.free()` with `start.free_nitrogen`: whole fruit still holds the rest.
    yields : Yields
        Products per hexose. [kg/kg]
    days : numpy.ndarray, shape (n,)
        Days since pitching that are drawn. [d]
    gravity, alcohol, sugar : numpy.ndarray, shape (n, m)
        Specific gravity [-], alcohol by volume [m^3/m^3], fermentable sugar per volume [kg/m^3].
    temperature : numpy.ndarray, shape (n,)
        Temperature of the must: as planned, or as it warms itself in the planned room. [K]
    used : numpy.ndarray, shape (n,)
        Share of the sugar given by then that the typical member has used. [-]
    feeds, step_feeds : tuple of FeedMoment
        Feeds, and honey, juice or sugar added while it works, with their days.
    doses : tuple of Dose
        All that was given, in the order of its days, each with its day, the same for all members: the recipe's feeds and step
        feeds, and the juice of whole fruit as it comes out. Amounts have one value per member, per volume of what it begins
        as: times `room` they are masses. Whoever follows the ferment another way gives the same on the same days; `Dose` says
        what that does to what is there.
    room : numpy.ndarray, shape (m,)
        Volume of `start.free()`, to which all concentrations of a course and all doses refer. [m^3]
    third_day : float or None
        Day on which a third of the sugar that it had by then should be used. [d]
    finish_day : numpy.ndarray, shape (m,)
        Day on which each member comes within `AT_REST` of its final gravity. [d]
    comes_off : numpy.ndarray, shape (m,)
        Share of what is fermented that comes off whole fruit; the rest stays in the pomace. [m^3/m^3]
    whole, finished, dry : Liquid
        All that it is given by the end, not fermented; the liquid when the yeast stops, and if it had taken every sugar it
        can. Each without what the pomace keeps. [kg]
    fall_of_ph : float
        By how much the pH of the typical member falls at work. [-]
    """

    start: Must
    yields: Yields
    days: Array
    gravity: Array
    alcohol: Array
    sugar: Array
    temperature: Array
    used: Array
    feeds: tuple[FeedMoment, ...]
    step_feeds: tuple[FeedMoment, ...]
    doses: tuple[Dose, ...]
    room: Array
    third_day: float | None
    finish_day: Array
    comes_off: Array
    whole: Liquid
    finished: Liquid
    dry: Liquid
    fall_of_ph: float

    @property
    def stages(self) -> tuple[tuple[float, Liquid], ...]:
        """Days from each of which on this is all that was given, not fermented: the first what it begins as; with whole fruit
        as its juice comes out. [d], [kg], shape (components, m)"""
        return _stages(self.start, self.doses, self.room)


def _steps(recipe: Recipe) -> list[tuple[float, float]]:
    """Days and temperatures in the order of the days."""
    return sorted((step.day, step.temperature) for step in recipe.temperatures) or [(0.0, UNPLANNED)]


class _Asked(NamedTuple):
    """What a course depends on."""

    recipe: Recipe
    start: Must
    catalogue: Catalogue
    at_least: float

    def serves(self, other: _Asked, ahead: Expected) -> bool:
        """Whether this course is that of another question, too: it reaches beyond both their readings."""
        reach = max(_beyond(self.at_least), _beyond(other.at_least))
        same = self.at_least == other.at_least or reach < ahead.days[-1]
        return (
            same
            and self.recipe == other.recipe
            and alike(self.start, other.start)
            and self.catalogue == other.catalogue
        )


_last_asked: deque[tuple[_Asked, Expected]] = deque(maxlen=4)
"""The last courses: a reading changes none of them, and the recipe's own is asked for twice in an answer. Some megabytes."""


def expected(recipe: Recipe, start: Must, catalogue: Catalogue, at_least: float = 0.0) -> Expected:
    """Ferment a must as the recipe plans it.

    Parameters
    ----------
    at_least : float
        Day up to which the curve must reach, for the readings there are. [d]
    """
    asked = _Asked(recipe, start, catalogue, at_least)
    for before, ahead in tuple(_last_asked):
        if before.serves(asked, ahead):
            return ahead
    ahead = _expected(recipe, start, catalogue, at_least)
    _last_asked.append((asked, ahead))
    return ahead


def _beyond(at_least: float) -> float:
    """Day up to which the curve must reach at least, for a last reading. [d], [d]"""
    return at_least * 1.08 + 1.0


def _expected(recipe: Recipe, start: Must, catalogue: Catalogue, at_least: float) -> Expected:
    plan = planned(recipe, start, catalogue, standing(recipe, start) if recipe.in_room else None)
    alone = plan.fermented(plan.doses, LONGEST + TAIL, alone=True)
    settled = _settled(plan.doses, alone)
    moments = [_moments(settled[part]) for part in plan.parts]
    shown = _days_shown(alone.course(np.linspace(0.0, LONGEST, 301)), at_least)
    shown = _with_edges(shown, [dose.day or 0.0 for dose in settled[plan.parts[1]] if dose and not dose.is_nothing])
    days = np.concatenate((shown, np.arange(shown[-1] + TAIL, LONGEST + TAIL, TAIL)))
    course = alone.course(days)
    doses = sorted((dose for dose in settled if dose is not None), key=lambda dose: dose.day or 0.0)
    if start.nitrogen.size > 1:
        course = _led_by(course, plan.fermented(doses, float(days[-1])).course(days))
    return _read_off(plan, course, len(shown), doses, moments)


def _with_edges(days: Array, jumps: Sequence[float]) -> Array:
    """Days to draw with both edges of each jump, so that it is drawn as one."""
    edges = [edge for day in jumps if EDGE < day < days[-1] for edge in (day - EDGE, day)]
    return np.union1d(days, edges)


def _moments(settled: list[Dose | None]) -> tuple[FeedMoment, ...]:
    """Which of some doses are given, and when."""
    found = [FeedMoment(i, dose.day) for i, dose in enumerate(settled) if dose is not None and dose.day is not None]
    return tuple(sorted(found, key=lambda moment: moment.day))


def _led_by(typical: simulate.Course, members: simulate.Course) -> simulate.Course:
    """Members with the first as it ferments alone, so that the typical curve is the same with a band and without."""
    for values, own in zip(members[1:5], typical[1:5], strict=True):
        values[:, :1] = own
    return members._replace(temperature=typical.temperature)


def standing(recipe: Recipe, start: Must) -> Vessel:
    """What the must stands in, for its own heat: the recipe's vessel, or one that holds just the must.

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


_SHARES = np.array([0.0, 0.3, 0.7, 1.0])
"""Shares of the sugar left through which the gravity of a ferment is drawn as a cubic; it strays by less than 1e-4. [-]"""


class Inputs(msgspec.Struct, frozen=True):
    """What of each member goes into its ferment; one value per member."""

    glucose: Array  # [kg/m^3]
    fructose: Array  # [kg/m^3]
    nitrogen: Array  # [kg/m^3]
    culture: Culture
    warmer: Array  # than the temperatures say [K]


class Plan(msgspec.Struct, frozen=True):
    """A must with all that decides how it ferments.

    Its doses are the recipe's feeds, then its step feeds, both in the order of the recipe, then the juice of whole fruit.
    """

    start: Must
    yields: Yields
    yeast: Culture
    steps: list[tuple[float, float]]
    doses: list[Dose]
    around: Vessel | None
    fall: float  # of the pH while it ferments, of the typical member [-]
    feeds: int = 0
    step_feeds: int = 0

    @property
    def parts(self) -> tuple[slice, slice]:
        """Which doses are feeds, and which step feeds."""
        return slice(0, self.feeds), slice(self.feeds, self.feeds + self.step_feeds)

    def way(self, added: Liquid | None) -> Callable[[float], float]:
        """Gravity of the typical member by the share of its sugar left, after what was added by then. [-]"""
        start = first_of(self.start.free())
        if added is not None:
            start = start + added * float(volume(self.start.free())[0])
        made = Yields(*(float(np.atleast_1d(value)[0]) for value in self.yields))
        whole = hexoses(start).total
        along = gravity(partly_fermented(Liquid(start.masses[:, None]), _SHARES * whole, made))
        a, b, c, d = np.polyfit(_SHARES, along, 3).tolist()
        return lambda share: ((a * share + b) * share + c) * share + d

    def inputs(self) -> Inputs:
        """What goes into the ferment of each member. [as its fields]"""
        free = self.start.free()
        sugars, room = hexoses(free), volume(free)
        doubt = WARMER if self.around is None else ROOM
        return Inputs(
            sugars.glucose / room,
            sugars.fructose / room,
            self.start.free_nitrogen / room,
            Culture(*(np.broadcast_to(value, room.shape) for value in self.yeast)),
            doubt.at(scores("must/warmer", room.size - 1), -np.inf),
        )

    def fermented(self, doses: Sequence[Dose], end: float, alone: bool = False) -> simulate.Ferment:
        """Ferment every member, or the typical one alone, with doses up to a day.

        Parameters
        ----------
        end : float
            Until when. [d]
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
            [
                msgspec.structs.replace(
                    dose,
                    nitrogen=some(dose.nitrogen),
                    liquid=None if dose.liquid is None else dose.liquid.member(which),
                )
                for dose in doses
            ],
            end,
            some(of.warmer),
            vessel=None if self.around is None else Vessel(*(some(value) for value in self.around)),
            way=self.way,
        )


def planned(recipe: Recipe, start: Must, catalogue: Catalogue, around: Vessel | None = None) -> Plan:
    """What decides how a must ferments as the recipe plans it.

    Parameters
    ----------
    around : Vessel or None
        What it stands in where the temperatures are those of its room. [as its fields]

    Returns
    -------
    Plan
        Feeds and step feeds that are bound to a share of the sugar or to a gravity are doses without a day. [as its fields]
    """
    members = start.nitrogen.size - 1
    ethanol, glycerol, rest, malic = (
        scores(f"yield/{what}", members) for what in ("ethanol", "glycerol", "rest", "malic")
    )
    whole = first_of(start.liquid + together(recipe, catalogue, members))
    acidity = acidity_of(recipe, start, catalogue)
    made = yields_at(ethanol, glycerol, rest, malic, acidity.typical)._replace(
        freed=freed_acid(recipe, catalogue) / float(fermentable(whole))
    )
    room = volume(start.free())
    doses = []
    for feed in recipe.feeds:
        day = None if feed.day is None else max(feed.day, 0.0)
        content = catalogue.nutrient(feed.key).nitrogen.at(scores(f"nutrient/{feed.key}", members))
        doses.append(Dose(day, feed.mass * content / room, feed.sugar_used or 0.0))
    for line in recipe.step_feeds:
        liquid, food = brought(line, recipe, catalogue, members)
        day = None if line.day is None else max(line.day, 0.0)
        doses.append(Dose(day, food / room, line.sugar_used or 0.0, line.gravity, liquid * (1.0 / room)))
    if start.pulp is not None:
        held, food = start.pulp.liquid * (1.0 / room), start.pulp.nitrogen / room
        doses += [Dose(day, food * share, liquid=held * share) for day, share in start.pulp.releases()]
    fall = fall_at_work(recipe, start, catalogue, acidity)
    steps = _steps(recipe)
    yeast = culture(recipe, start, made, catalogue, fall, steps[0][1])
    return Plan(start, made, yeast, steps, doses, around, fall, len(recipe.feeds), len(recipe.step_feeds))


def _settled(doses: Sequence[Dose], alone: simulate.Ferment) -> list[Dose | None]:
    """Doses on the days on which the typical ferment got them, so that each falls due on one day for all members; None for
    those that it never got."""
    return [
        None if day is None or day > LONGEST else msgspec.structs.replace(dose, day=day)
        for dose, day in zip(doses, alone.given, strict=True)
    ]


def _days_shown(typical: simulate.Course, at_least: float) -> Array:
    """Days to draw: half as long again as the typical ferment takes, and beyond the last reading."""
    sugar = typical.sugar[:, 0]
    # A line of the hydrometer is about 2.5 g/L of sugar on its way to alcohol.
    done = typical.days[np.argmax(_stays(sugar <= sugar[-1] + 2.5))]
    until = float(np.clip(max(1.5 * done, _beyond(at_least), SHORTEST_SHOWN), 0.0, LONGEST))
    return np.linspace(0.0, until, POINTS)


def _stays(true: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Days from which on something stays true to the end."""
    return np.logical_and.accumulate(true[::-1], axis=0)[::-1]


def _stages(start: Must, doses: Sequence[Dose], room: Array) -> tuple[tuple[float, Liquid], ...]:
    """What was given from which day on."""
    found = [(0.0, start.free())]
    for dose in doses:
        if dose.liquid is not None:
            found.append((dose.day or 0.0, found[-1][1] + dose.liquid * room))
    return tuple(found)


def _read_off(
    plan: Plan, course: simulate.Course, shown: int, doses: Sequence[Dose], moments: Sequence[tuple[FeedMoment, ...]]
) -> Expected:
    start, made = plan.start, plan.yields
    room = volume(start.free())
    stages = _stages(start, doses, room)
    there = [liquid.masses for _, liquid in stages]
    held = np.searchsorted([day for day, _ in stages[1:]], course.days, side="right")
    curve, alcohol, sugar = (np.empty(course.glucose.shape) for _ in range(3))
    for first in range(0, len(course.days), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        before = there[held[first]]
        same = held[first] == held[some][-1]
        by_day = Liquid(before[:, None, :] if same else np.stack([there[n] for n in held[some]], axis=1))
        liquid = fermented(by_day, course.glucose[some] * room, course.fructose[some] * room, made)
        taken = volume(liquid)
        curve[some] = liquid.mass / taken / WATER_DENSITY
        alcohol[some] = liquid["ethanol"] / ETHANOL_DENSITY / taken
        sugar[some] = fermentable(liquid) / taken
    finish_day = course.days[np.argmax(_stays(np.abs(curve - curve[-1]) <= AT_REST), axis=0)]
    drawn = slice(0, shown)
    whole = stages[-1][1]
    # Its own, so that who keeps it does not keep the other days.
    finished, dry = Liquid(liquid.member(-1).masses.copy()), fully_fermented(whole, made)
    comes_off = np.ones_like(room)
    if start.pulp is not None:
        comes_off = np.maximum(1.0 - start.pulp.pomace / volume(finished), 0.0)
        whole, finished, dry = (each * comes_off for each in (whole, finished, dry))
    return Expected(
        start=start,
        yields=made,
        days=course.days[drawn],
        gravity=curve[drawn],
        alcohol=alcohol[drawn],
        sugar=sugar[drawn],
        temperature=course.temperature[drawn],
        used=simulate.share_used(course)[drawn],
        feeds=moments[0],
        step_feeds=moments[1],
        doses=tuple(doses),
        room=room,
        third_day=simulate.day_when_used(course, 1.0 / 3.0),
        finish_day=finish_day,
        comes_off=comes_off,
        whole=whole,
        finished=finished,
        dry=dry,
        fall_of_ph=plan.fall,
    )


def volume_on(ahead: Expected, day: float, sugar: float | None = None) -> float:
    """Volume of the typical batch on a day, as if nothing of it had been left behind. [m^3]

    Parameters
    ----------
    day : float
        Since pitching. [d]
    sugar : float, optional
        Fermentable sugar of that day, where it is known better. [kg/m^3]
    """
    whole = next(liquid for since, liquid in reversed(ahead.stages) if since <= max(day, 0.0))
    left = np.array([np.interp(day, ahead.days, ahead.sugar[:, 0]) if sugar is None else sugar])
    yields = Yields(*(float(np.atleast_1d(value)[0]) for value in ahead.yields))
    return float((volume(along(whole.member(slice(0, 1)), yields, left)) * ahead.comes_off[0])[0])


def along(must: Liquid, yields: Yields, left: Array) -> Liquid:
    """The liquid of each member, by mass balance, that has so much fermentable sugar left, whatever its gravity.

    Parameters
    ----------
    must : Liquid
        Musts, not fermented, shape (components, m). [kg]
    yields : Yields
        Products per hexose. [kg/kg]
    left : numpy.ndarray, shape (m,)
        Fermentable sugar left. [kg/m^3]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    liquid = must
    for _ in range(ROUNDS):  # its volume changes with what is left
        liquid = partly_fermented(must, np.minimum(left * volume(liquid), fermentable(must)), yields)
    return liquid
