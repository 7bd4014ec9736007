"""What earlier batches are worth: `python -m tests.benchmarks.makers [--makers N] [--seed S] [--structure NAME]`.

Each simulated maker has four batches and a fifth: one recipe, one yeast, one cellar and one hand, which vary from batch to batch by a third
of what they vary by between makers (`OWN`), by a structure that is not the planner's (`verdict_structures`). Asked is, at the reading at which
a quarter of the sugar is used, on which day the fifth gets dry: by the shelf, by the four batches, and by the four batches of another
maker, which is a batch unlike the others. The last line is for machines. Reach: error_falls 0.40 at least, coverage_80 0.72 to 0.90,
unlike_80 0.70 at least.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.document.learnt import Learning, Source, Told
from planner.document.shelf import habits_of
from planner.learning.ferment import ferment_tells
from planner.learning.pool import learnt
from planner.reference.rows import Habits
from planner.timeline.posterior import posterior
from planner.timeline.prior import as_learnt
from tests.benchmarks import verdict_population as simulated
from tests.benchmarks.verdict_maker import prior_for
from tests.benchmarks.verdict_population import SETTINGS, Ferment, Setting
from tests.benchmarks.verdict_score import evidence_of
from tests.benchmarks.verdict_structures import Drawn

Array = npt.NDArray[np.float64]

BATCHES = 4
"""Earlier batches of a maker. [-]"""

QUARTER = 0.25
"""Share of the sugar used at which it is asked. [-]"""

OWN = 0.33
"""Spread between the batches of a maker, by that between makers. [-] Chosen: recipe, yeast, cellar and hand are the same, fruit and season not
quite."""

OF_THE_DAY = ("snap_day", "snap_long", "snap_deep", "wave", "phase", "stuck")
"""What is drawn anew for each batch, whoever makes it."""

YEAST = "yeast"


class Asked(NamedTuple):
    """The finishing day of one ferment, as it came and as it was told, and when it was asked. [d]"""

    came: float
    on: float
    low: float
    middle: float
    high: float

    @property
    def covered(self) -> bool:
        """Whether the range held it."""
        return self.low <= self.came <= self.high

    @property
    def error(self) -> float:
        """Of the middle, by the day that came. [-]"""
        return abs(self.middle / self.came - 1.0)

    @property
    def width(self) -> float:
        """Of the range, by the days that were left. [-]"""
        return (self.high - self.low) / (self.came - self.on)


def _blend(hand: Drawn, batch: Drawn) -> None:
    """Let the batches of a maker have the hand's yeast and cellar, moved a little to where each batch would be alone."""
    for name, values in batch.items():
        if name in OF_THE_DAY or name not in hand:
            continue
        middle, own = hand[name][0], values
        positive = np.all(values > 0.0) and middle > 0.0
        batch[name] = middle * (own / middle) ** OWN if positive else middle + OWN * (own - middle)


def makers(count: int, seed: int, setting: Setting) -> list[list[Ferment]]:
    """The batches of so many makers, all of which get dry."""
    dice, own, other = (np.random.default_rng([seed, *more]) for more in ((), (1,), (2,)))
    found = list[list[Ferment]]()
    while len(found) < count:
        hand = simulated._draw(dice, 1)
        setting.structure.draw(own, hand)
        batch = simulated._draw(dice, 12)
        setting.structure.draw(own, batch)
        _blend(hand, batch)
        batch["stuck"] = np.ones(12)
        simulated._complete(batch, dice)
        batch["tolerance"] = np.maximum(batch["tolerance"], 1.1 * batch["to_ethanol"] * batch["sugar"] / 7.893)
        batch |= simulated._happens(other, batch, setting)
        days = np.arange(round(simulated.LONGEST) + 1.0)
        warmth = simulated._temperatures(batch, days)
        course = simulated._simulate(batch, warmth, setting.structure)
        told = (simulated._tell(dice, batch, i, days, warmth[:, i], course, len(found), setting) for i in range(12))
        dry = [ferment for ferment in told if ferment is not None and ferment["truth"]["finish_day"] is not None]
        if len(dry) > BATCHES:
            found.append(dry[: BATCHES + 1])
    return found


def taught_by(ferments: Sequence[Ferment]) -> Habits | None:
    """What the logs of some ferments teach of the next one with the same yeast."""
    sources = []
    for ferment in ferments:
        found = ferment_tells(prior_for(ferment, 300), evidence_of(ferment, with_tests=False))
        told = {} if found is None else found.told
        sources.append(
            Source(
                name=ferment["name"],
                told=tuple(
                    Told(trait=trait, of="" if trait in ("dry_gravity", "scatter") else YEAST, value=value, sd=sd)
                    for trait, (value, sd) in told.items()
                ),
            )
        )
    return habits_of(Learning(values=learnt(sources)), YEAST)


def asked(ferment: Ferment, habits: Habits | None) -> Asked | None:
    """What is told of a ferment once a quarter of its sugar is used; None where it is read too late."""
    days, sugars = np.array(ferment["truth"]["sugar_g_l"], dtype=float).T
    finish, log = float(ferment["truth"]["finish_day"]), evidence_of(ferment, with_tests=False)
    at = next((i for i, one in enumerate(log) if np.interp(one.day, days, sugars) <= (1.0 - QUARTER) * sugars[0]), None)
    if at is None or log[at].day >= finish:
        return None
    after = posterior(as_learnt(prior_for(ferment), habits), log[: at + 1])
    low, middle, high = np.percentile(after.finish_days, [10.0, 50.0, 90.0]).tolist()
    return Asked(finish, log[at].day, low, middle, high)


def score(pair: tuple[list[Ferment], list[Ferment]]) -> tuple[Asked, Asked, Asked] | None:
    """What is told of the last batch of the first maker: by the shelf, by its own batches, and by those of the second."""
    mine, another = pair
    found = [asked(mine[-1], habits) for habits in (None, taught_by(mine[:-1]), taught_by(another[:-1]))]
    told = [one for one in found if one is not None]
    return (told[0], told[1], told[2]) if len(told) == len(found) else None


def main(arguments: list[str] | None = None) -> None:
    """Print the table and the line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--makers", type=int, default=40)
    parser.add_argument("--structure", choices=SETTINGS, default="carriers")
    parser.add_argument("--seed", type=int, default=20)
    chosen = parser.parse_args(arguments)
    found = makers(chosen.makers, chosen.seed, SETTINGS[chosen.structure])
    with ProcessPoolExecutor() as workers:
        told = workers.map(score, zip(found, found[1:] + found[:1], strict=True))
        scores = [one for one in told if one is not None]
    print(f"{len(scores)} makers     median error   coverage of 80 %   median width by the days left")
    errors = {}
    for name, which in zip(("the shelf", "their batches", "another's"), zip(*scores, strict=True), strict=True):
        errors[name] = float(np.median([one.error for one in which]))
        covered, width = np.mean([one.covered for one in which]), np.median([one.width for one in which])
        print(f"{name:>15}   {errors[name]:12.3f}   {covered:16.2f}   {width:29.2f}")
    own, another = ([one[place].covered for one in scores] for place in (1, 2))
    falls = 1.0 - errors["their batches"] / errors["the shelf"]
    print(f"error_falls {falls:.2f} coverage_80 {np.mean(own):.2f} unlike_80 {np.mean(another):.2f}")


if __name__ == "__main__":
    main()
