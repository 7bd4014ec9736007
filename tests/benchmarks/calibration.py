"""How honest the band is: `python -m tests.benchmarks.calibration [--ferments N]`.

Random recipes for mead and fruit mead are fermented by a model of another structure (`other_model`), with a yeast and a must
drawn from published spreads. The planner knows the recipe and the measured starting gravity, and draws its 90 % band. Asked
is how often gravity lies within the band, on twelve days from pitching until a fifth after the day the ferment should be
done. The last line is for machines. Reach: 0.85 to 0.95.
"""

from __future__ import annotations

import argparse
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, Feed, FruitLine, HoneyLine, Recipe, TemperatureStep, Yeast
from planner.model.constants import ETHANOL_DENSITY
from planner.model.fermentation import TYPICAL_YIELDS, fermented, fully_fermented, hexoses
from planner.model.liquid import Liquid, gravity, volume
from planner.model.random_scores import MEMBERS
from planner.model.span import Z_90
from planner.recipe.must import MEASURED_GRAVITY_ERROR, Must, anchored, must
from planner.reference.catalogue import catalogue
from planner.timeline.course import expected
from tests.benchmarks.other_model import drawn, sugar_left

Array = npt.NDArray[np.float64]

SHELF = catalogue()
SHARES = np.linspace(0.1, 1.2, 12)  # of the day of rest


class Found(NamedTuple):
    """One ferment: gravity that came, and the band that was drawn, on the days asked. [-], each of shape (12,)"""

    truth: Array
    low: Array
    typical: Array
    high: Array

    @property
    def inside(self) -> npt.NDArray[np.bool_]:
        """Whether gravity lies in the band."""
        return (self.low <= self.truth) & (self.truth <= self.high)


def random_recipe(dice: np.random.Generator) -> Recipe:
    """Twenty litres or so of mead, with fruit in two of three, as people make them: fed, cool to warm."""
    fruits = tuple(
        FruitLine(key=str(key), mass=float(dice.uniform(2.0, 12.0)))
        for key in dice.choice(sorted(SHELF.fruits), size=dice.choice([0, 1, 1, 2, 2, 3]), replace=False)
    )
    honey = float(dice.uniform(3.5, 6.5)) - 0.05 * sum(line.mass for line in fruits)
    strain = SHELF.yeasts[str(dice.choice(sorted(SHELF.yeasts)))]
    warmth = float(dice.uniform(max(strain.t_low, 285.15), min(strain.t_high, 299.15)))
    steps = [TemperatureStep(day=0.0, temperature=warmth)]
    if dice.random() < 0.3:
        steps.append(
            TemperatureStep(day=float(dice.uniform(3.0, 10.0)), temperature=warmth + float(dice.uniform(-3, 3)))
        )
    feeds = tuple(
        Feed(key="diammonium-phosphate", mass=float(dice.uniform(0.002, 0.007)), day=float(day))
        for day in range(int(dice.integers(0, 4)))
    )
    return Recipe(
        yeast=Yeast(key=strain.key, pitch=float(dice.uniform(0.003, 0.010))),
        fruits=fruits,
        honeys=(HoneyLine(key=str(dice.choice(sorted(SHELF.honeys))), mass=honey),),
        water=float(dice.uniform(10.0, 14.0)),
        temperatures=tuple(steps),
        feeds=feeds,
    )


def ferment(dice: np.random.Generator) -> Found:
    """One recipe, as it is foreseen and as it goes."""
    recipe = random_recipe(dice)
    start = must(Batch(name="random", recipe=recipe), SHELF, MEMBERS)
    real = int(dice.integers(1, MEMBERS + 1))  # the must it is, of all that it might be
    own = Must(Liquid(start.liquid.masses[:, real : real + 1]), start.nitrogen[real : real + 1], ())
    measured = float(gravity(own.liquid)[0]) + MEASURED_GRAVITY_ERROR / Z_90 * float(dice.standard_normal())
    ahead = expected(recipe, anchored(start, measured), SHELF)
    days = np.minimum(SHARES * ahead.finish_day[0], ahead.days[-1])
    truth = _as_it_goes(dice, recipe, own, days)
    low, high = np.percentile(ahead.gravity[:, 1:], [5.0, 95.0], axis=1)
    at = [np.interp(days, ahead.days, curve) for curve in (low, ahead.gravity[:, 0], high)]
    return Found(truth, *at)


def _as_it_goes(dice: np.random.Generator, recipe: Recipe, own: Must, days: Array) -> Array:
    room = volume(own.liquid)
    sugars, nitrogen = hexoses(own.liquid), own.nitrogen / room
    strain = SHELF.yeasts[recipe.yeast.key]
    shrunk = float(volume(fully_fermented(own.liquid))[0] / room[0])
    pitch = recipe.yeast.pitch / room
    warmer = 0.2 + 0.8 * dice.standard_normal(1)
    tolerance = strain.tolerance.at(dice.standard_normal(1)) * ETHANOL_DENSITY * shrunk
    schedule = [(step.day, step.temperature) for step in recipe.temperatures]
    doses = [
        (float(feed.day or 0.0), feed.mass * SHELF.nutrients[feed.key].nitrogen.typical / float(room[0]))
        for feed in recipe.feeds
    ]
    fed = nitrogen + sum(dose for _, dose in doses)
    vigour = np.full(1, strain.vigour.typical)
    nature = drawn(dice, vigour, tolerance, fed, schedule[0][1] + warmer, pitch)
    glucose, fructose = sugar_left(
        nature, sugars.glucose / room, sugars.fructose / room, nitrogen, pitch, schedule, warmer, doses, days
    )
    yields = TYPICAL_YIELDS._replace(
        ethanol=nature.ethanol, glycerol=np.clip(0.030 + 0.006 * dice.standard_normal(1), 0.015, 0.05)
    )
    by_day = Liquid(own.liquid.masses[:, None, :])
    return np.asarray(gravity(fermented(by_day, glucose * room, fructose * room, yields))[:, 0])


def coverage(count: int) -> list[Found]:
    """So many ferments, always the same ones."""
    return [ferment(np.random.default_rng([2026, number])) for number in range(count)]


def main(arguments: list[str] | None = None) -> None:
    """Print the table and the line for machines."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--ferments", type=int, default=500)
    found = coverage(parser.parse_args(arguments).ferments)
    inside = np.array([one.inside for one in found])
    below = np.array([one.truth < one.low for one in found])
    width = np.array([one.high - one.low for one in found])
    off = np.array([one.truth - one.typical for one in found])
    print("share of the expected time   inside   faster   slower   width of the band   off the typical course (median)")
    for i, share in enumerate(SHARES):
        print(f"{share:25.1f}   {inside[:, i].mean():6.2f}   {below[:, i].mean():6.2f}"
              f"   {(~inside & ~below)[:, i].mean():6.2f}   {np.median(width[:, i]):17.4f}"
              f"   {np.median(off[:, i]):+10.4f}")  # fmt: skip
    print(f"coverage_90 {inside.mean():.2f}")


if __name__ == "__main__":
    main()
