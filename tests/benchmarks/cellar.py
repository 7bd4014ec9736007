"""The cellar over a folder of generated batches: how soon they are listed, what they cost, and how soon a change is seen.

    python -m tests.benchmarks.cellar [--batches 1000] [--seconds 20]

prints one line: `listed_s` from opening the window to a full list, `worked_out` batches after `seconds_s`, `memory_mb` more
than before the window was opened, `opening_ms` of the window's thread to make the window, `blocked_ms` its longest turn after that (CPU time), `changed_s`, `added_s`
and `gone_s` from a change on the disk until the list shows it.
"""

from __future__ import annotations

import argparse
import gc
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, thread_time

from tests import screen

screen.choose()

import msgspec  # noqa: E402  the screen is chosen before Qt is there
from PySide6.QtCore import QEventLoop, QLocale, QSettings  # noqa: E402

from planner.document.batch import Batch  # noqa: E402
from planner.document.codec import SUFFIX, decode, encode  # noqa: E402
from planner.evaluation.outcome import evaluate  # noqa: E402
from planner.model.random_scores import MEMBERS  # noqa: E402
from planner.reference.catalogue import catalogue  # noqa: E402
from planner.reference.shipped import samples  # noqa: E402
from planner.ui.cellar.dialog import CellarDialog  # noqa: E402
from planner.ui.settings import Settings  # noqa: E402
from planner.ui.shell.screen import begin  # noqa: E402
from tests.helpers import ScriptedAsk  # noqa: E402


def generated(number: int) -> list[Batch]:
    """So many batches, each the next of one of the samples: another name, year, mass and temperature."""
    made = []
    shipped = [decode(path.read_bytes()) for path in sorted(samples().glob(f"*{SUFFIX}"))]
    for place in range(number):
        batch = shipped[place % len(shipped)]
        scale, year = 0.6 + (place % 17) / 20.0, 2010 + place % 17
        recipe = msgspec.structs.replace(
            batch.recipe,
            honeys=tuple(msgspec.structs.replace(line, mass=line.mass * scale) for line in batch.recipe.honeys),
        )
        pitched = batch.log.pitched_at
        log = msgspec.structs.replace(batch.log, pitched_at=pitched and f"{year}{pitched[4:]}")
        made.append(msgspec.structs.replace(batch, name=f"{batch.name} no. {place}", recipe=recipe, log=log))
    return made


def memory() -> float:
    """What this process holds. [MB]"""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024.0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--batches", type=int, default=1000)
    parser.add_argument("--seconds", type=float, default=20.0, help="how long batches are worked out at most")
    chosen = parser.parse_args()
    application, shelf = begin(), catalogue()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "batches"
        folder.mkdir()
        made = generated(chosen.batches)
        for number, batch in enumerate(made):
            (folder / f"batch-{number}{SUFFIX}").write_bytes(encode(batch))
        evaluate(made[0], shelf, MEMBERS)  # as the window has done before
        settings = Settings(QSettings(f"{place}/settings.ini", QSettings.Format.IniFormat), QLocale("en_GB"))
        settings.cellar = folder
        gc.collect()
        gc.freeze()  # as the program does after its start
        longest, before = 0.0, memory()

        def wait(until: Callable[[], bool]) -> float:
            nonlocal longest
            start = perf_counter()
            while not until():
                began = thread_time()
                application.processEvents(
                    QEventLoop.ProcessEventsFlag.AllEvents | QEventLoop.ProcessEventsFlag.WaitForMoreEvents
                )
                longest = max(longest, thread_time() - began)
            return perf_counter() - start

        start, began = perf_counter(), thread_time()
        window = CellarDialog(shelf, settings, ScriptedAsk(), lambda _: True, lambda _: True, lambda _: None)
        window.show()
        opening = thread_time() - began
        wait(lambda: len(window.model.lines) == chosen.batches)
        listed = perf_counter() - start
        end = perf_counter() + chosen.seconds
        seconds = wait(lambda: perf_counter() > end or not window.cellar.to_do)
        more = memory() - before
        known = sum(row.status is not None for row in window.cellar.rows.values())
        first = folder / f"batch-0{SUFFIX}"
        first.write_bytes(encode(msgspec.structs.replace(made[0], name="Changed")))
        changed = wait(lambda: window.cellar.rows[first].name == "Changed")
        other = folder / f"another{SUFFIX}"
        other.write_bytes(encode(made[1]))
        added = wait(lambda: window.model.place_of(other) is not None)
        first.unlink()
        gone = wait(lambda: window.model.place_of(first) is None)
        window.shut_down()
    print(
        f"listed_s {listed:.2f} opening_ms {1e3 * opening:.0f} worked_out {known} seconds_s {seconds:.0f} memory_mb {more:.0f} "
        f"blocked_ms {1e3 * longest:.0f} changed_s {changed:.2f} added_s {added:.2f} gone_s {gone:.2f}"
    )


if __name__ == "__main__":
    main()
