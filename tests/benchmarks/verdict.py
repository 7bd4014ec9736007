"""How often the verdict on a ferment is right: `python -m tests.benchmarks.verdict [--population FILE] [--ferments N]`.

`--population` reads ferments from a file, one a line as JSON: see `verdict_reading`. Otherwise those of every structure of
`verdict_population` are simulated, or with `--structure` of one; with `--seed` other ferments of it.

Each ferment's verdict is asked after each of its readings, knowing only what a maker knows by then, from the posterior that the
window shows. The finishing day is asked at the first reading after a third, and after half, of the sugar is used, on the
condition that it gets dry. `right_with_test` counts verdicts on a fresh sugar test, `needless_tests` ferments
sent for one with much yet to use, and `finish_named_days` are those from being dry until it is called finished, or sent for the
test, for good. The last line is for machines. Reach, on each structure:
false_finished 0.010 and false_stalled 0.020 at most, stalls_named 0.900 and right_with_test 0.990 at least, reversals 0.1 at
most (0.4 of what restarts), coverage_80 0.72 to 0.90 (0.77 to 0.85 over all), width_by_left 1.4 and median_error 0.18 at most
at half, gravity_90 and next_90 (what the next reading shows, bad ones and all) 0.85 to 0.95.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

from planner.timeline.posterior import LONGEST, posterior
from planner.timeline.verdict_rule import FINISHED, STALLED, kinds_of
from tests.benchmarks.verdict_maker import prior_for
from tests.benchmarks.verdict_population import SETTINGS, Ferment, population
from tests.benchmarks.verdict_reading import LineError, read_population
from tests.benchmarks.verdict_score import BOUNDS, Score, evidence_of, figures, reliability, score


def told(ferment: Ferment) -> dict[str, Any]:
    """All that the planner says of one ferment after each of its readings, knowing only those up to it."""
    prior, log = prior_for(ferment), evidence_of(ferment, with_tests=True)
    readings = []
    for place in range(len(log)):
        after = posterior(prior, log[: place + 1])
        step = after.steps[-1]
        days = np.percentile(after.finish_days, [5.0, 10.0, 50.0, 90.0, 95.0]).tolist()
        readings.append({
            "day": step.evidence.day,
            "verdict": kinds_of(after.steps)[-1],
            "p": {"on course": step.moving, STALLED: step.standing, FINISHED: step.done},
            "sugar_g_l": list(step.sugar),
            "finish_day": [day if np.isfinite(day) and day < LONGEST else None for day in days],
            "finish_gravity": list(after.finish_gravity),
            "stops": after.sticks,
        })  # fmt: skip
    return {"name": ferment["name"], "readings": readings}


def summary(scores: Sequence[Score]) -> str:
    """The line for machines."""
    return " ".join(f"{key} {value:.3f}" for key, value in figures(scores).items())


def _table(scores: Sequence[Score]) -> str:
    """What was said, how often, and where it was wrong."""
    said = Counter(verdict for s in scores for _, verdict in s.verdicts)
    last = Counter((s.name.partition(", ")[2] or "gets dry", s.verdicts[-1][1]) for s in scores if s.verdicts)
    lines = ["verdicts: " + ", ".join(f"{kind} {n}" for kind, n in said.most_common())]
    lines += [f"  at the end, {truth}: {verdict} {n}" for (truth, verdict), n in sorted(last.items())]
    for s in scores:
        wrong = [what for what, is_so in (
            ("called finished while sweet", s.false_finished), ("called stalled while on course", s.false_stalled),
            ("called stalled before it was", s.early_stalled), ("stall not named in time", s.stall_named is False),
            ("wrong with a sugar test", not all(s.tests_right)), ("taken back", s.reversals),
        ) if is_so]  # fmt: skip
        if wrong:
            lines.append(f"  {s.name}: {', '.join(wrong)}")
    return "\n".join(lines)


def _reliable(scores: Sequence[Score]) -> str:
    """How often what was stated with some probability was so: stated → found (times)."""
    lines = [f"stated → found (times), in classes with bounds at {', '.join(f'{bound:g}' for bound in BOUNDS[1:-1])}"]
    for what, classes in reliability(scores).items():
        lines.append(f"  {what}: " + ", ".join(f"{p:.2f} → {so:.2f} ({n})" for p, so, n in classes))
    return "\n".join(lines)


def _from_file(path: Path) -> list[Ferment]:
    """The ferments of a file; of lines that cannot be used it is said why, on the way for faults."""
    try:
        found = read_population(path)
    except LineError as failure:
        sys.exit(str(failure))
    for line in (*found.faults, *found.remarks):
        print(line, file=sys.stderr)
    if found.faults:
        print(f"{len(found.faults)} lines of {path} left out", file=sys.stderr)
    return found.ferments


def main(arguments: list[str] | None = None) -> None:
    """Print the tables and the line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--population", type=Path, help="a file with one ferment a line, as JSON")
    parser.add_argument("--ferments", type=int, help="how many of each structure (100), or to read at most (all)")
    parser.add_argument("--structure", choices=SETTINGS, help="by which they are simulated (all)")
    parser.add_argument("--seed", type=int, default=20, help="of the dice of the simulation")
    parser.add_argument("--brief", action="store_true", help="the lines of figures alone")
    parser.add_argument(
        "--out", type=Path, help="a file to be written: what is said of each ferment, one a line as JSON"
    )
    chosen = parser.parse_args(arguments)
    if chosen.population:
        groups = {str(chosen.population): _from_file(chosen.population)[: chosen.ferments]}
    else:
        count = 100 if chosen.ferments is None else chosen.ferments
        names = [chosen.structure] if chosen.structure else list(SETTINGS)
        groups = {name: population(count, chosen.seed, SETTINGS[name]) for name in names}
    whole: list[Score] = []
    with ProcessPoolExecutor() as workers:
        print(f"{sum(map(len, groups.values()))} ferments")
        for name, ferments in groups.items():
            scores = list(workers.map(score, ferments, chunksize=4))
            whole += scores
            if not chosen.brief:
                print(f"\n{name}\n{_table(scores)}\n{_reliable(scores)}")
            print(f"{name}: {summary(scores)}", flush=True)
        if chosen.out:
            lines = workers.map(told, [one for ferments in groups.values() for one in ferments], chunksize=4)
            chosen.out.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    print(f"\nall together\n{_reliable(whole)}")
    print(summary(whole))


if __name__ == "__main__":
    main()
