"""Where the time goes: `python -m tests.benchmarks.profiles SAMPLE [MEMBERS] [--lines N]` profiles one evaluation of a sample."""

from __future__ import annotations

import argparse
import cProfile
import pstats

from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples

REPEATED = 10


def main() -> None:
    """Profile, and print what takes longest by itself and with all that it calls."""
    kept = {path.stem: path for path in samples().glob("*.meadbatch")}
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.profiles", description=__doc__)
    parser.add_argument("sample", choices=sorted(kept))
    parser.add_argument("members", nargs="?", type=int, default=0)
    parser.add_argument("--lines", type=int, default=25)
    asked = parser.parse_args()
    shelf, batch = catalogue(), decode(kept[asked.sample].read_bytes())
    evaluate(batch, shelf, asked.members)
    profile = cProfile.Profile()
    profile.enable()
    for _ in range(REPEATED):
        evaluate(batch, shelf, asked.members)
    profile.disable()
    statistics = pstats.Stats(profile).strip_dirs()
    statistics.sort_stats("tottime").print_stats(asked.lines)
    statistics.sort_stats("cumtime").print_stats(asked.lines)


if __name__ == "__main__":
    main()
