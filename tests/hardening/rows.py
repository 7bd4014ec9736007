"""A table of very many rows: what its import takes, and how soon it is given up.

`python -m tests.hardening.rows --rows 1000000 --kind plain`
"""

from __future__ import annotations

import argparse
import json
import threading
import time
from datetime import UTC, datetime, timedelta

from planner.document.batch import new_batch
from planner.importing.reading import ImportStopped, added, guess, new_only, read_table, readings
from tests.hardening.guarding import Meter

BEGAN = datetime(2025, 9, 1, tzinfo=UTC)


def made(rows: int, kind: str) -> bytes:
    """A season of a sensor, with or without words beside its numbers."""
    table = bytearray(b"when,gravity,temperature" + (b",note\n" if kind == "words" else b"\n"))
    for number in range(rows):
        moment = (BEGAN + timedelta(seconds=20 * number)).strftime("%Y-%m-%dT%H:%M:%S")
        words = f",note {number}" if kind == "words" else ""
        table += f"{moment},{1.1 - number / 2e7:.5f},{20 + number % 7 / 10:.1f}{words}\n".encode()
    return bytes(table)


def imported(data: bytes) -> int:
    """Import a table as the window would; gives the number of readings."""
    table = read_table(data)
    found = readings(table, guess(table, True).settled(table), UTC, BEGAN + timedelta(days=400))
    return len(added(new_batch(), new_only(found, new_batch())).log.readings)


def given_up(data: bytes, after: float) -> float:
    """How much is still worked when somebody asked to stop after a while. [s of CPU]"""
    asked = [0.0]

    def stop() -> bool:
        return asked[0] > 0.0

    timer = threading.Timer(after, lambda: asked.__setitem__(0, time.process_time()))
    timer.start()
    try:
        table = read_table(data, stop)
        readings(table, guess(table, True).settled(table), UTC, stop=stop)
    except ImportStopped:
        return time.process_time() - asked[0]
    finally:
        timer.cancel()
    return 0.0


def main() -> None:
    """Import as many rows as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=50_000)
    parser.add_argument("--kind", choices=("plain", "words"), default="plain")
    chosen = parser.parse_args()
    data = made(chosen.rows, chosen.kind)
    meter = Meter()
    count = meter.time(imported, data)
    late = max(given_up(data, share * meter.worst) for share in (0.05, 0.3, 0.6))
    print(json.dumps({
        "rows": chosen.rows, "kind": chosen.kind, "readings": count, "cpu_s": round(meter.worst, 1),
        "more_mb": round(meter.more_mb), "given_up_s": round(late, 2),
    }))  # fmt: skip


if __name__ == "__main__":
    main()
