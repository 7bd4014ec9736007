"""How fast the planner is: `python -m tests.benchmarks [KEY ...] [--json]`.

Every row is a ratio to a reference that ran in turn with it, in the same process or as the other process. Without a key all
rows are measured, then how cost grows. With `--json` the last thing said, and the only one on standard output, is a list of
objects with `key`, `ratio_median`, `ratio_p95` and `reach`. Screens are not needed: Qt draws off screen.

A module of rows has `ROWS`, by key a function that measures it, or `rows()`, which yields all of them; for growth `GROWTHS` or
`growths()` likewise. It is imported when one of its keys is asked for.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import json
import sys
from collections.abc import Iterable, Sequence
from typing import Any

from tests import screen
from tests.benchmarks.measuring import Growth, Row

ROWS = {
    "edit_curve": "window_rows",
    "answer": "window_rows",
    "answer_log": "window_rows",
    "drag": "waiting_rows",
    "verdict_step": "science_rows",
    "edit_band": "science_rows",
    "edit_band_draws": "science_rows",
    "one_curve": "science_rows",
    "one_curve_floats": "science_rows",
    "condition": "science_rows",
    "condition_blocked": "window_rows",
    **dict.fromkeys(
        (
            "blocked",
            "blocked_import",
            "blocked_save",
            "blocked_copy",
            "blocked_undo",
            "blocked_dialogs",
            "blocked_routes",
            "blocked_learning",
        ),
        "waiting_rows",
    ),
    "cold_start": "window_rows",
    "whole": "window_rows",
    "idle": "window_rows",
    "memory": "window_rows",
    "import_rows": "file_rows",
    "import_dates": "file_rows",
    "pan_zoom": "window_rows",
    "solve": "file_rows",
    "solve_dose": "file_rows",
    "solve_recipe": "file_rows",
    "report": "file_rows",
    "reports": "batch_rows",
    "routes": "batch_rows",
    "cellar": "batch_rows",
    "file": "batch_rows",
    "file_dates": "batch_rows",
    "installed": "batch_rows",
}
"""Keys of the table of speeds, in its order, and the module that measures each."""

GROWTHS = {
    "members": "growth_rows",
    "days": "growth_rows",
    "readings": "growth_rows",
    "readings_import": "file_rows",
    "ingredients": "growth_rows",
    "batches": "batch_rows",
}
"""Keys of the table of growth likewise."""


def measured_rows(keys: Iterable[str]) -> list[Row]:
    """The rows of some keys, in the order of the table."""
    found = _measured(ROWS, "ROWS", "rows", set(keys))
    return sorted(found, key=lambda row: list(ROWS).index(row.key))


def measured_growths(keys: Iterable[str]) -> list[Growth]:
    """The growth of some keys, in the order of the table."""
    found = _measured(GROWTHS, "GROWTHS", "growths", set(keys))
    return sorted(found, key=lambda row: list(GROWTHS).index(row.key))


def _measured(modules: dict[str, str], by_key: str, all_of_them: str, keys: set[str]) -> list[Any]:
    """From each module that has one of the keys: by its functions by key, or else one after the other."""
    found = []
    for name in dict.fromkeys(modules[key] for key in modules if key in keys):
        module = importlib.import_module(f"tests.benchmarks.{name}")
        single = getattr(module, by_key, None)
        if single is None:
            found += [row for row in getattr(module, all_of_them)() if row.key in keys]
        else:
            found += [single[key]() for key in modules if modules[key] == name and key in keys]
    return found


def as_json(rows: Sequence[Row]) -> str:
    """What machines read."""
    return json.dumps(
        [{"key": r.key, "ratio_median": r.median, "ratio_p95": r.p95, "reach": r.reach} for r in rows], indent=2
    )


def _figure(value: float) -> str:
    return f"{value:.3g}"


def as_table(rows: Sequence[Row]) -> str:
    """What people read: a line for each row, in the form of the table in FIGURES.md."""
    lines = [("key", "what", "reference", "median", "p95", "reach", "")]
    for r in rows:
        reach = f"≤ {_figure(r.reach)}" + (f", p95 ≤ {_figure(r.reach_p95)}" if r.reach_p95 is not None else "")
        verdict = "reached" if r.is_reached else "NOT REACHED"
        lines.append((r.key, r.what, r.reference, _figure(r.median), _figure(r.p95), reach, verdict))
    return _aligned(lines)


def as_growth_table(growths: Sequence[Growth]) -> str:
    """Sizes with their times, and the exponent over the upper half of the sizes."""
    lines = [("key", "what", "times", "exponent")]
    for g in growths:
        pairs = ", ".join(f"{size:,.0f}: {1e3 * time:.3g} ms" for size, time in zip(g.sizes, g.times, strict=True))
        lines.append((g.key, g.what, pairs, f"{g.exponent:.2f}"))
    return _aligned(lines)


def _aligned(lines: Sequence[tuple[str, ...]]) -> str:
    widths = [max(len(cell) for cell in column) for column in zip(*lines, strict=True)]
    rule = tuple("-" * width for width in widths)
    filled = [
        "| " + " | ".join(c.ljust(w) for c, w in zip(line, widths, strict=True)) + " |"
        for line in (lines[0], rule, *lines[1:])
    ]
    return "\n".join(filled)


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure what is asked for, and say it."""
    accepted = [*ROWS, *GROWTHS]
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="How fast the planner is.")
    parser.add_argument("keys", nargs="*", metavar="KEY", help=f"what to measure; all if none: {', '.join(accepted)}")
    parser.add_argument("--json", action="store_true", help="a list of objects for machines; growth is left out")
    asked = parser.parse_args(arguments)
    unknown = [key for key in asked.keys if key not in accepted]
    if unknown:
        parser.error(f"there is no row {unknown[0]!r}; accepted are {', '.join(accepted)}")
    screen.choose()
    keys = asked.keys or accepted
    if asked.json:
        with contextlib.redirect_stdout(sys.stderr):  # whatever a row says is not for the machine
            rows = measured_rows(keys)
        print(as_json(rows))
        return
    rows = measured_rows(keys)
    if rows:
        print(as_table(rows))
    growths = measured_growths(keys)
    if growths:
        print(*([""] if rows else []), as_growth_table(growths), sep="\n")


if __name__ == "__main__":
    main()
