"""Mutated tables: each gives readings, or one error that says why, soon, in little memory, and without doing anything.

`python -m tests.hardening.tables --count 20000`
"""

from __future__ import annotations

import argparse
import json
import random
from datetime import UTC, datetime

from planner.document.batch import new_batch
from planner.document.codec import decode, encode
from planner.importing.reading import ImportRefused, added, export_csv, guess, new_only, read_table, readings
from planner.reference.shipped import samples
from tests.hardening.files import DATA
from tests.hardening.guarding import Meter, watch_over
from tests.hardening.mutating import mutated_table

NOW = datetime(2026, 6, 1, tzinfo=UTC)


def seeds() -> list[bytes]:
    """Tables to begin with: those of the tests, and the exports of the samples."""
    batches = (decode(path.read_bytes()) for path in sorted(samples().glob("*.meadbatch")))
    exported = [export_csv(batch).encode() for batch in batches if len(batch.log.readings)]
    return [path.read_bytes() for path in sorted((DATA / "import").iterdir())] + exported


def take(data: bytes) -> int:
    """Import a table as the window would; gives the number of readings."""
    table = read_table(data)
    mapping = guess(table, True)
    mapping = mapping.settled(table)
    if mapping.problem():
        raise ImportRefused(mapping.problem())
    imported = readings(table, mapping, UTC, NOW)
    batch = added(new_batch(), new_only(imported, new_batch()))
    assert decode(encode(batch)) == batch, "it is saved as another log"
    return len(batch.log.readings)


def main() -> None:
    """Run the trial that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    tables, faults, taken, refused = seeds(), [], 0, 0
    for table in tables:
        assert take(table)
    meter, tried = Meter(), watch_over()
    for number in range(chosen.count):
        chance = random.Random(f"{chosen.seed}/{number}")
        data = mutated_table(chance.choice(tables), chance)
        try:
            meter.time(take, data)
            taken += 1
        except ImportRefused as refusal:
            refused += 1
            if not str(refusal).strip():
                faults.append("a refusal without a word")
        except Exception as fault:  # noqa: BLE001  every one is what is sought
            faults.append(f"{number}: {type(fault).__name__}: {fault}")
    print(json.dumps({
        "tables": chosen.count, "taken": taken, "refused": refused, "faults": len(faults) + len(tried),
        "worst_cpu_s": round(meter.worst, 3), "more_mb": round(meter.more_mb), "first": [*faults, *tried][:5],
    }))  # fmt: skip


if __name__ == "__main__":
    main()
