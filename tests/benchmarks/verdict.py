"""How often the verdict on a ferment is right: `python -m tests.benchmarks.verdict [--population FILE] [--ferments N]`.

`--population` reads ferments from a file, one a line as JSON: see `verdict_reading`. `right_with_test` counts those with a test.
With `--structure` another of the structures of `verdict_structures` is measured, with `--seed` other ferments of it.

Each ferment's verdict is asked after each of its readings, knowing only what a maker knows by then. The last line is for
machines. Reach: false_finished 0.010 and false_stalled 0.020 at most, stalls_named 0.900 and right_with_test 0.990 at least,
coverage_80 0.75 to 0.85, median_error 0.20 at most.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from planner.model.span import Z_90
from planner.timeline.observations import Observation, reading_doubt
from planner.timeline.particle_filter import DRY, NEARLY_DRY, STILL_SWEET
from planner.timeline.posterior import LONGEST, follow, posterior
from planner.timeline.readings import SUGAR_DOUBT
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST, kinds_of
from tests.benchmarks.verdict_maker import prior_for, raised_by
from tests.benchmarks.verdict_population import SETTINGS, Ferment, population
from tests.benchmarks.verdict_reading import LineError, read_population

NAMED_WITHIN = (7.0, 3)
"""A stall is named in time within so many days [d], or by so many readings after it."""


class Score(NamedTuple):
    """What came out for one ferment; None where it was not asked."""

    name: str
    verdicts: tuple[tuple[float, str], ...]
    false_finished: bool
    false_stalled: bool
    stall_named: bool | None
    tests_right: tuple[bool, ...]
    covered: bool | None
    error: float | None


def evidence_of(ferment: Ferment, with_tests: bool) -> list[Observation]:
    """A ferment's readings, and its sugar tests if they are wanted, in the order of their days."""
    doubt = reading_doubt([float(g) for _, g in ferment["readings"]])
    found = [Observation(i, float(d), "gravity", float(g), doubt, raised=raised_by(ferment, float(d)))
             for i, (d, g) in enumerate(ferment["readings"]) if d > 0.0]  # fmt: skip
    if with_tests:
        found += [Observation(-1, float(d), "sugar", float(s), max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * s) / Z_90)
                  for d, s in ferment.get("sugar_tests", []) if d > 0.0]  # fmt: skip
    return sorted(found, key=lambda e: e.day)


def score(ferment: Ferment) -> Score:
    """Ask for every verdict on one ferment and set it beside the truth."""
    truth = ferment["truth"]
    days, sugars = np.array(truth["sugar_g_l"], dtype=float).T
    stall, finish = truth["stall_day"], truth["finish_day"]

    def left(day: float) -> float:
        return float(np.interp(day, days, sugars))

    start, log = prior_for(ferment), evidence_of(ferment, with_tests=False)
    steps = follow(start, log)
    verdicts = [(step.evidence.day, kind) for step, kind in zip(steps, kinds_of(steps), strict=True)]

    def on_course(day: float) -> bool:
        return (stall is None or day < stall) and (finish is None or day < finish)

    after = [] if stall is None else [(n, d, v) for n, (d, v) in enumerate((x for x in verdicts if x[0] >= stall), 1)]
    in_time = [v for n, d, v in after if n <= NAMED_WITHIN[1] or d <= (stall or 0.0) + NAMED_WITHIN[0]]
    covered = error = None
    third = next((i for i, e in enumerate(log) if left(e.day) <= sugars[0] * 2.0 / 3.0), None)
    if finish is not None and third is not None and log[third].day < finish:
        ahead = posterior(start, log[: third + 1])
        dry = ahead.dry_days[np.isfinite(ahead.dry_days)]
        if dry.size:
            low, middle, high = np.percentile(dry, [10.0, 50.0, 90.0])
            covered, error = bool(low <= finish <= high), float(middle / finish - 1.0)
        else:
            covered, error = False, 1.0
    return Score(
        name=ferment["name"],
        verdicts=tuple(verdicts),
        false_finished=any(v == FINISHED and left(d) > STILL_SWEET for d, v in verdicts),
        false_stalled=any(v == STALLED and on_course(d) for d, v in verdicts),
        stall_named=None if stall is None or not after else any(v in (STALLED, TEST) for v in in_time),
        tests_right=_with_tests(ferment, start, stall, on_course, left),
        covered=covered,
        error=error,
    )


def told(ferment: Ferment) -> dict[str, Any]:
    """All that the planner says of one ferment after each of its readings, knowing only those up to it."""
    prior, log = prior_for(ferment), evidence_of(ferment, with_tests=True)
    steps = follow(prior, log)
    readings = []
    for place, (step, kind) in enumerate(zip(steps, kinds_of(steps), strict=True)):
        after = posterior(prior, log[: place + 1])
        days = np.percentile(after.finish_days, [5.0, 10.0, 50.0, 90.0, 95.0]).tolist()
        readings.append({
            "day": step.evidence.day,
            "verdict": kind,
            "p": {"on course": step.moving, STALLED: step.standing, FINISHED: step.done},
            "sugar_g_l": list(step.sugar),
            "finish_day": [day if np.isfinite(day) and day < LONGEST else None for day in days],
            "finish_gravity": list(after.finish_gravity),
            "stops": after.sticks,
        })  # fmt: skip
    return {"name": ferment["name"], "readings": readings}


def _with_tests(ferment: Ferment, start: Any, stall: float | None, on_course: Any, left: Any) -> tuple[bool, ...]:
    """Whether each verdict that rests on a fresh sugar test is right.

    Dry must be called finished. A ferment on course must not be called stalled, nor finished unless the sugar is within a
    strip's doubt of dry, nor be sent for the test that was just made. A stall must not be called finished nor be sent for it; it must be called stalled by the time in
    which stalls are to be named, counted from its onset, or at the last reading if the log ends before.
    """
    log = evidence_of(ferment, with_tests=True)
    if not any(e.kind == "sugar" for e in log):
        return ()
    steps = follow(start, log)
    kinds = kinds_of(steps)
    right = []
    for i, step in enumerate(steps):
        day = step.evidence.day
        if step.evidence.kind != "sugar":
            continue
        if left(day) <= DRY:
            right.append(kinds[i] == FINISHED)
        elif on_course(day):
            right.append(kinds[i] not in (STALLED, TEST) and (kinds[i] != FINISHED or left(day) <= NEARLY_DRY))
        elif stall is not None and day >= stall:
            due = next(
                (j for j in range(i, len(steps)) if steps[j].evidence.day >= stall + NAMED_WITHIN[0]), len(steps) - 1
            )
            right.append(kinds[i] not in (FINISHED, TEST) and STALLED in kinds[i : due + 1])
    return tuple(right)


def summary(scores: list[Score]) -> str:
    """The line for machines."""
    named = [s.stall_named for s in scores if s.stall_named is not None]
    tests = [right for s in scores for right in s.tests_right]
    covered = [s.covered for s in scores if s.covered is not None]
    errors = [abs(s.error) for s in scores if s.error is not None]

    def mean(values: list[Any]) -> float:
        return float(np.mean(values)) if values else float("nan")

    return (
        f"false_finished {mean([s.false_finished for s in scores]):.3f} "
        f"false_stalled {mean([s.false_stalled for s in scores]):.3f} stalls_named {mean(named):.3f} "
        f"right_with_test {mean(tests):.3f} coverage_80 {mean(covered):.2f} "
        f"median_error {float(np.median(errors)) if errors else float('nan'):.2f}"
    )


def _table(scores: list[Score]) -> str:
    """What was said, how often, and where it was wrong."""
    said = Counter(verdict for s in scores for _, verdict in s.verdicts)
    last = Counter((s.name.partition(", ")[2] or "gets dry", s.verdicts[-1][1]) for s in scores if s.verdicts)
    lines = ["verdicts: " + ", ".join(f"{kind} {n}" for kind, n in said.most_common())]
    lines += [f"  at the end, {truth}: {verdict} {n}" for (truth, verdict), n in sorted(last.items())]
    for s in scores:
        wrong = [what for what, is_so in (
            ("called finished while sweet", s.false_finished), ("called stalled while on course", s.false_stalled),
            ("stall not named in time", s.stall_named is False), ("wrong with a sugar test", not all(s.tests_right)),
        ) if is_so]  # fmt: skip
        if wrong:
            lines.append(f"  {s.name}: {', '.join(wrong)}")
    errors = [s.error for s in scores if s.error is not None]
    if errors:
        lines.append("error of the finishing day, median and quartiles: " + ", ".join(f"{x:+.2f}" for x in np.percentile(errors, [50, 25, 75])))  # fmt: skip
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
    """Print the table and the line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--population", type=Path, help="a file with one ferment a line, as JSON")
    parser.add_argument("--ferments", type=int, help="how many to simulate (600), or to read at most (all)")
    parser.add_argument("--structure", choices=SETTINGS, default="carriers", help="by which they are simulated")
    parser.add_argument("--seed", type=int, default=20, help="of the dice of the simulation")
    parser.add_argument(
        "--out", type=Path, help="a file to be written: what is said of each ferment, one a line as JSON"
    )
    chosen = parser.parse_args(arguments)
    if chosen.population:
        ferments = _from_file(chosen.population)[: chosen.ferments]
    else:
        count = 600 if chosen.ferments is None else chosen.ferments
        ferments = population(count, chosen.seed, SETTINGS[chosen.structure])
    with ProcessPoolExecutor() as workers:
        scores = list(workers.map(score, ferments, chunksize=4))
        if chosen.out:
            lines = workers.map(told, ferments, chunksize=4)
            chosen.out.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    print(f"{len(scores)} ferments")
    print(_table(scores))
    print(summary(scores))


if __name__ == "__main__":
    main()
