"""The yeast of a recipe in its must: what the shelf says of the strain, what the must does to it, and the doubt about both."""

from __future__ import annotations

from typing import Any

import numpy as np

from planner.document.batch import Recipe
from planner.model.cardinal import of_range
from planner.model.constants import ETHANOL_DENSITY, REFERENCE_TEMPERATURE
from planner.model.fermentation import Yields, fully_fermented
from planner.model.hardship import hardened
from planner.model.kinetics import Culture, strain_by_temperature
from planner.model.liquid import volume
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.must import Must
from planner.recipe.step_feeding import together
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Habits
from planner.timeline.hardships import hardships

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


LEAST_LEFT = 0.1
"""Share of a must's volume that is left of it at least. [m^3/m^3] Below that of any liquid: syrups that no yeast could ferment."""


def culture(
    recipe: Recipe, start: Must, yields: Yields, catalogue: Catalogue, fall: float, paced_at: float | None = None
) -> Culture:
    """The yeast of a recipe in a must, with the doubt about its pace.

    Parameters
    ----------
    yields : Yields
        Products per hexose. [kg/kg]
    fall : float
        By how much the pH falls while it ferments: see `planner.timeline.ferment_ph.fall_at_work`. [-]
    paced_at : float or None
        Temperature at pitching [K], where the batch's own pace (`PACE`, `WARMTH`) is drawn here; None for the particles of a log,
        which draw it themselves, and are told what earlier batches taught: see `planner.timeline.prior.as_learnt`.
    """
    row = catalogue.yeast(recipe.yeast.key)
    members = start.nitrogen.size - 1
    at_start = volume(start.free())
    # By the end, where the yeast's limit counts, all that is given has gone in.
    whole = start.liquid + together(recipe, catalogue, start.nitrogen.size - 1)
    shrunk = np.maximum(volume(fully_fermented(whole, yields)) / volume(whole), LEAST_LEFT)
    strength = row.tolerance.at(scores("yeast/tolerance", members), 0.01, 0.25)
    per_alcohol = ETHANOL_DENSITY * shrunk
    own = Habits() if paced_at is None else row.habits or Habits()
    known = own != Habits()
    doubt: Any = 1.0
    if paced_at is not None:
        warm = (paced_at - REFERENCE_TEMPERATURE) / 10.0
        z = scores("yeast/pace", members)
        doubt = np.exp(own.pace + own.pace_sd * z) if known else PACE.at(z, 0.2)
        doubt = doubt * WARMTH.at(scores("yeast/warmth", members), 0.3) ** warm
    awake = scores("yeast/lag", members)
    moved = CARDINAL.at(scores("yeast/cardinal", members), -np.inf)
    lowest, best, highest = of_range(row.t_low, row.t_high)
    usual = Culture(
        tolerance=strength * per_alcohol,
        vigour=(row.vigour.typical if known else row.vigour.at(scores("yeast/vigour", members), 0.2)) * doubt,
        growth=GROWTH.at(own.shape * scores("yeast/growth", members), 0.2),
        decline=DECLINE.at(own.shape * scores("yeast/decline", members), 0.05),
        lag=row.lag * (np.exp(own.lag + own.lag_sd * awake) if known else LAG.at(awake, 0.1)),
        pitch=recipe.yeast.pitch / at_start,
        ethanol_yield=np.asarray(yields.ethanol),
        crop=CROP.at(own.shape * scores("yeast/crop", members), 0.2),
        coldest=lowest + moved,
        best=best + moved,
        hottest=highest + moved,
        trend=own.trend + own.trend_sd * scores("yeast/trend", members),
    )
    # The shelf states the vigour and lag of a strain at its best temperature, where it is as good as an ordinary one.
    at_best = strain_by_temperature(row.t_best, usual)
    usual = usual._replace(growth=usual.growth / at_best, vigour=usual.vigour / at_best**0.5, lag=usual.lag * at_best)
    fed = sum(feed.mass * catalogue.nutrient(feed.key).nitrogen.typical for feed in recipe.feeds)
    return hardened(usual, hardships(recipe, start, catalogue, fed, fall), per_alcohol)
