"""How cost grows: with the members of the ensemble, the days of the ferment, the readings of the log, the ingredients of the recipe."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import msgspec

from planner.document.batch import Batch, FruitLine, HoneyLine, TemperatureStep
from planner.evaluation.outcome import evaluate
from planner.model.random_scores import MEMBERS
from planner.recipe.must import must
from planner.timeline.course import planned
from tests.benchmarks.measuring import Growth, growth
from tests.benchmarks.science_rows import SHELF, forget, logged, sample


def _anew(batch: Batch, size: int) -> None:
    """An evaluation that knows of none before."""
    forget()
    evaluate(batch, SHELF, size)


def members() -> Growth:
    """An evaluation with a band of so many."""
    batch = sample("quince-planned")
    return growth("members", "members of the band", (10, 50, 200, 500, 1000, 5000),
                  lambda size: partial(_anew, batch, int(size)))  # fmt: skip


def days() -> Growth:
    """A ferment with its band followed so long, in the cold so that it has something to do."""
    batch = sample("quince-planned")
    cold = (TemperatureStep(day=0.0, temperature=285.15),)
    plan = planned(
        msgspec.structs.replace(batch.recipe, temperatures=cold, feeds=()), must(batch, SHELF, MEMBERS), SHELF
    )
    return growth("days", f"days that {MEMBERS} members ferment", (10, 30, 100, 200, 400),
                  lambda size: partial(plan.fermented, plan.doses, size))  # fmt: skip


def readings() -> Growth:
    """An evaluation of so many readings, band and verdict included."""
    return growth("readings", "readings in the log", (10, 100, 1_000, 10_000, 100_000),
                  lambda size: partial(_anew, logged(int(size)), MEMBERS))  # fmt: skip


def ingredients() -> Growth:
    """An evaluation of so many lines of fruit and honey."""
    return growth("ingredients", "lines of fruit and honey", (1, 3, 10, 30, 100), _of_many)


def _of_many(size: float) -> Callable[[], object]:
    batch, lines = sample("quince-planned"), int(size)
    honeys = [HoneyLine(key=key, mass=5.0 / lines) for key in sorted(SHELF.honeys)]
    fruits = [FruitLine(key=key, mass=4.0 / lines) for key in sorted(SHELF.fruits)]
    kinds: list[HoneyLine | FruitLine] = [honeys[0], *fruits, *honeys[1:]]
    taken = [kinds[i % len(kinds)] for i in range(lines)]
    recipe = msgspec.structs.replace(
        batch.recipe,
        honeys=tuple(line for line in taken if isinstance(line, HoneyLine)),
        fruits=tuple(line for line in taken if isinstance(line, FruitLine)),
    )
    changed: Batch = msgspec.structs.replace(batch, recipe=recipe)
    return partial(_anew, changed, MEMBERS)


GROWTHS = {"members": members, "days": days, "readings": readings, "ingredients": ingredients}
