"""What a maker knows of a simulated ferment beforehand, as the planner's own liquids and yeast."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.added_substances import Dose
from planner.model.constants import ETHANOL_DENSITY
from planner.model.fermentation import fully_fermented, yields_at
from planner.model.kinetics import Culture
from planner.model.liquid import Liquid, gravity, volume
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.pulp import HALF_TIME, Pulp
from planner.timeline.course import WARMER
from planner.timeline.culture import DECLINE, GROWTH, LAG
from planner.timeline.posterior import PARTICLES
from planner.timeline.prior import Prior, prior_of
from tests.benchmarks.verdict_population import Ferment

Array = npt.NDArray[np.float64]

MEMBERS = 300
VIGOUR = Span(0.75, 1.0, 1.5)  # of an unknown yeast: between the rows of the shelf, with room on either side [-]
GLUCOSE_SHARE = 0.46  # honey and fruit [-]
COMFORT = (285.15, 303.15)  # of an unknown yeast [K]
START_DOUBT = 0.0007  # standard deviation of the measured starting gravity [-]
PER_SOLIDS = 3.83e-4  # specific gravity per g/L of extract, near enough to share out a difference [L/g]


def _between(bounds: list[float], label: str) -> Array:
    """Members of a range that holds the truth nine times in ten."""
    low, high = float(bounds[0]), float(bounds[1])
    return Span(low, 0.5 * (low + high), high).at(scores(label, MEMBERS), 0.0)


def must_of(ferment: Ferment) -> Liquid:
    """Musts, one cubic metre each, that have the starting gravity, with sugar and other extract within their ranges."""
    sugar, other = (_between(ferment[f"{key}_g_l"], f"maker/{key}") for key in ("fermentable", "non_sugar_extract"))
    glucose = ferment.get("glucose_share", GLUCOSE_SHARE)
    start = ferment["starting_gravity"] + START_DOUBT * scores("maker/start", MEMBERS)
    spread_sugar, spread_other = float(np.var(sugar)), float(np.var(other))
    known = START_DOUBT**2 / PER_SOLIDS**2
    for _ in range(3):
        solids = (start - gravity(_liquid(sugar, other, glucose))) / PER_SOLIDS
        whole = spread_sugar + spread_other + known
        sugar, other = (
            np.maximum(sugar + solids * spread_sugar / whole, 1.0),
            np.maximum(other + solids * spread_other / whole, 0.0),
        )
    return _liquid(sugar, other, glucose)


def _liquid(sugar: Array, other: Array, glucose: float = GLUCOSE_SHARE) -> Liquid:
    water = 998.2 - 0.62 * (sugar + other)
    for _ in range(4):
        liquid = Liquid.of(water=water, glucose=glucose * sugar, fructose=(1.0 - glucose) * sugar, other=other)
        water = water + (1.0 - volume(liquid)) * 998.2
    return liquid


def doses_of(ferment: Ferment) -> list[Dose]:
    """What comes in while it works, per volume of the must, by days: honey, with a fifth as much water as sugar (Codex Stan 12:
    20 % at most), and the juice that whole fruit still holds, as the planner lets it out."""
    given = []
    for day, _, sugar in ferment.get("events", ()):
        per = float(sugar)  # [kg/m^3]
        liquid = Liquid.of(water=0.2 * per, glucose=GLUCOSE_SHARE * per, fructose=(1.0 - GLUCOSE_SHARE) * per)
        given.append(Dose(float(day), 0.0, liquid=liquid))
    if ferment.get("fruit"):
        juice, sugar, extract, nitrogen = ferment["fruit"]
        whole = _liquid(np.full(MEMBERS + 1, sugar), np.full(MEMBERS + 1, extract)) * juice
        food = np.full(MEMBERS + 1, juice * nitrogen / 1000.0)
        pulp = Pulp(whole, food, HALF_TIME[True].at(scores("pulp/half time", MEMBERS), 0.02), 8.0, 0.0 * food)
        given += [Dose(day, pulp.nitrogen * share, liquid=whole * share) for day, share in pulp.releases()]
    return sorted(given, key=lambda dose: dose.day or 0.0)


def raised_by(ferment: Ferment) -> Callable[[float], float]:
    """By how much what came in before a day [d] has raised the gravity, as of a must that does not ferment. [-]"""
    must = must_of(ferment).member(0)
    whole, stages = must, [(0.0, 0.0)]
    for dose in doses_of(ferment):
        liquid = dose.liquid or Liquid.of()
        whole = whole + (liquid.member(0) if liquid.masses.ndim > 1 else liquid) * float(volume(must))
        stages.append((dose.day or 0.0, float(gravity(whole) - gravity(must))))
    return lambda day: next(raised for since, raised in reversed(stages) if since < day or since == 0.0)


class Pace(NamedTuple):
    """What is known beforehand of a yeast's pace, as factors. [-]"""

    vigour: Span = VIGOUR
    growth: Span = GROWTH
    lag: Span = LAG


UNKNOWN = Pace()


def prior_for(ferment: Ferment, size: int = PARTICLES, pace: Pace = UNKNOWN) -> Prior:
    """The particles that the planner would begin with."""
    liquid = must_of(ferment)
    made = yields_at(*(scores(f"yield/{what}", MEMBERS) for what in ("ethanol", "glycerol", "rest")))
    shrunk = volume(fully_fermented(liquid, made)) / volume(liquid)
    culture = Culture(
        tolerance=_between(ferment["tolerance_pct_vol"], "yeast/tolerance") / 100.0 * ETHANOL_DENSITY * shrunk,
        vigour=pace.vigour.at(scores("yeast/vigour", MEMBERS), 0.2),
        growth=pace.growth.at(scores("yeast/growth", MEMBERS), 0.2),
        decline=DECLINE.at(scores("yeast/decline", MEMBERS), 0.05),
        lag=pace.lag.at(scores("yeast/lag", MEMBERS), 0.1),
        pitch=np.full(MEMBERS + 1, float(ferment["pitch_g_l"])),
        ethanol_yield=np.asarray(made.ethanol),
    )
    schedule = sorted((float(day), float(celsius) + 273.15) for day, celsius in ferment["temperature_c"])
    schedule[0] = (0.0, schedule[0][1])
    return prior_of(
        liquid,
        _between(ferment["nitrogen_mg_l"], "maker/nitrogen") / 1000.0,
        made,
        culture,
        WARMER.at(scores("must/warmer", MEMBERS)),
        schedule,
        doses_of(ferment),
        COMFORT,
        size,
    )
