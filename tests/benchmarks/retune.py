"""Tries other costs of a wrong verdict: `python -m tests.benchmarks.retune [--ferments N] [--seeds N...]`.

The populations are all structures of `verdict_population`, so many ferments of each seed. The filter is asked once; then each
cost is raised and lowered in turn, as long as the verdicts get better by `regret`. The last lines are the table for
`timeline/verdict_costs.py`, and its figures. Report on other seeds than these: `tests.benchmarks.verdict --seed`.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from functools import partial

import msgspec
import numpy as np

from planner.timeline.verdict_costs import COSTS, Costs
from tests.benchmarks.verdict_population import SETTINGS, population
from tests.benchmarks.verdict_score import Led, Score, figures, judge, lead

SEEDS = (4242, 1204)
"""On which costs may be settled."""

WEIGHTS = {"false_finished": 100.0, "false_stalled": 30.0, "early_stalled": 10.0, "stalls_named": -10.0, "reversals": 3.0,
           "needless_tests": 3.0, "right_with_test": -10.0, "finish_named_days": 0.2}  # fmt: skip
"""How much each rate counts in the regret: what can hurt somebody the most. [-] Judgement, as no source weighs them."""

STRIDES = (1.5, 1.2)
"""Factors by which a cost is changed. [-]"""


def regret(groups: Sequence[Sequence[Score]]) -> float:
    """Mean over the structures of the weighted rates, and as much again of the worst structure."""
    each = [sum(weight * np.nan_to_num(figures(scores)[rate]) for rate, weight in WEIGHTS.items()) for scores in groups]
    return float(np.mean(each) + 0.5 * np.max(each))


def neighbours(costs: Costs, stride: float) -> Iterator[Costs]:
    """Costs of which one is changed; shares stay below one half."""
    for name in Costs.__struct_fields__:
        for factor in (stride, 1.0 / stride):
            value = round(getattr(costs, name) * factor, 3)
            if name not in ("one_reading", "wakes") or value <= 0.5:
                yield msgspec.structs.replace(costs, **{name: value})


def judged(workers: Executor, groups: dict[str, list[Led]], costs: Costs) -> dict[str, list[Score]]:
    """All ferments by these costs."""
    rule = partial(judge, costs=costs)
    return {name: list(workers.map(rule, led, chunksize=20)) for name, led in groups.items()}


def main(arguments: list[str] | None = None) -> None:
    """Search, and print what is better."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--ferments", type=int, default=60, help="of each structure and seed")
    parser.add_argument("--seeds", type=int, nargs="+", default=SEEDS)
    chosen = parser.parse_args(arguments)
    with ProcessPoolExecutor() as workers:
        groups = {
            name: [led for seed in chosen.seeds
                   for led in workers.map(lead, population(chosen.ferments, seed, setting), chunksize=4)]
            for name, setting in SETTINGS.items()
        }  # fmt: skip
        best = COSTS
        least = regret(list(judged(workers, groups, best).values()))
        print(f"regret {least:.3f} as it is", flush=True)
        for stride in STRIDES:
            better = True
            while better:
                better = False
                for other in neighbours(best, stride):
                    found = regret(list(judged(workers, groups, other).values()))
                    if found < least - 1e-3:
                        best, least, better = other, found, True
                        print(f"regret {least:.3f} with {best}", flush=True)
        for name, scores in judged(workers, groups, best).items():
            told = figures(scores)
            print(f"{name}: " + " ".join(f"{rate} {told[rate]:.3f}" for rate in WEIGHTS))
    print("\n".join(f"    {name}: float = {getattr(best, name):g}" for name in Costs.__struct_fields__))


if __name__ == "__main__":
    main()
