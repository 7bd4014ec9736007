"""Mutated batch files: each opens, or is one error with its place, soon, in little memory, and without doing anything.

`python -m tests.hardening.files --count 100000`; with `--guided` the coverage-guided fuzzer atheris chooses the changes,
where it is installed.
"""

from __future__ import annotations

import argparse
import json
import random
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from planner.document.codec import BatchFileError, decode, encode
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from tests.hardening.guarding import Meter, watch_over
from tests.hardening.mutating import mutated

DATA = Path(__file__).resolve().parents[1] / "data"
NOW = datetime(2026, 6, 1, tzinfo=UTC)
PLACED = re.compile(
    r"^In batch|at line [\d,]+, column [\d,]+|\"(?:schema|format)\"|^This is not a batch file|a number in it is beyond|"
    r"^The file (?:is empty|is nested|holds|was written by a newer)"
)
OF_THE_PARSER = re.compile(
    r"JSON|malformed|truncated|codec|\bbytes?\b|`(?:str|int|float|array|object|null)|[Oo]bject (?:contains|missing)"
)
"""What tells of the parser, and not of the place."""
EVALUATED_EVERY = 5
"""Of the files that open, so many-th is worked out, too."""


def seeds() -> list[bytes]:
    """Files to begin with: the samples, and one of each schema."""
    return [path.read_bytes() for path in sorted((*samples().glob("*.meadbatch"), *DATA.glob("*.meadbatch")))]


class Trial:
    """What came of the files so far."""

    def __init__(self) -> None:
        self.shelf = catalogue()
        self.meter = Meter()
        self.opened = self.refused = self.worked_out = 0
        self.faults: list[str] = []
        evaluate(decode(seeds()[0]), self.shelf, 0, NOW)  # what is loaded once counts for no file

    def open(self, data: bytes) -> None:
        """Open one file as the window would."""
        try:
            batch = decode(data)
        except BatchFileError as refusal:
            self.refused += 1
            if not PLACED.search(str(refusal)) or OF_THE_PARSER.search(str(refusal)):
                self.faults.append(f"no place, or not a maker's words: {refusal}")
            return
        self.opened += 1
        if decode(encode(batch)) != batch:
            self.faults.append("it is saved as another batch")
        if self.opened % EVALUATED_EVERY == 0:
            self.worked_out += 1
            evaluate(batch, self.shelf, 0, NOW)

    def try_one(self, data: bytes) -> None:
        """Open one file; whatever it does but open or refuse is a fault."""
        try:
            self.meter.time(self.open, data)
        except Exception as fault:  # noqa: BLE001  every one is what is sought
            self.faults.append(f"{type(fault).__name__}: {fault} of {data[:60]!r}")

    def figures(self, tried: list[str]) -> dict[str, Any]:
        """All that is told at the end."""
        return {
            "files": self.opened + self.refused, "opened": self.opened, "refused": self.refused,
            "worked_out": self.worked_out, "faults": len(self.faults) + len(tried),
            "worst_cpu_s": round(self.meter.worst, 3), "more_mb": round(self.meter.more_mb),
            "first": (self.faults + tried)[:5],
        }  # fmt: skip


def main() -> None:
    """Run the trial that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--guided", action="store_true")
    chosen = parser.parse_args()
    trial, documents = Trial(), seeds()
    if chosen.guided:
        _guided(trial, documents, chosen)
        return
    tried = watch_over()
    for number in range(chosen.count):
        chance = random.Random(f"{chosen.seed}/{number}")
        trial.try_one(mutated(chance.choice(documents), chance))
    print(json.dumps(trial.figures(tried)))


def _guided(trial: Trial, documents: list[bytes], chosen: argparse.Namespace) -> None:
    import sys

    import atheris  # not among the dependencies

    left = [chosen.count]

    def one(data: bytes) -> None:
        trial.try_one(data)
        left[0] -= 1
        if trial.faults or left[0] <= 0:
            print(json.dumps(trial.figures([])), flush=True)
            import os

            os._exit(0)

    def change(data: bytes, _most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        try:
            json.loads(data)
        except ValueError:
            data = chance.choice(documents)
        return mutated(data, chance)

    atheris.instrument_all()
    atheris.Setup([sys.argv[0], "-max_len=2000000", f"-seed={chosen.seed}"], one, custom_mutator=change)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
