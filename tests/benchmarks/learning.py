"""Learning from a folder of copies of the samples: `python -m tests.benchmarks.learning [--batches 200]`.

Prints one line: `read_s` from the press of the button until the batch has learnt, `cpu_s` of the whole process meanwhile, `sources` that
tell something, and `blocked_ms`, the longest turn of the window's thread (CPU time). Reach: 10 s and 50 ms.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path
from time import perf_counter, process_time, thread_time

from tests import screen

screen.choose()

import msgspec  # noqa: E402  the screen is chosen before Qt is there
from PySide6.QtCore import QEventLoop, QLocale, QSettings  # noqa: E402

from planner.document.codec import SUFFIX, decode, encode  # noqa: E402
from planner.document.next_batch import next_batch  # noqa: E402
from planner.reference.catalogue import catalogue  # noqa: E402
from planner.reference.shipped import samples  # noqa: E402
from planner.ui.recipe.earlier_batches import LearningDialog  # noqa: E402
from planner.ui.settings import Settings  # noqa: E402
from planner.ui.shell.screen import begin  # noqa: E402
from planner.ui.store import BatchStore  # noqa: E402
from tests.helpers import ScriptedAsk  # noqa: E402


def main(arguments: list[str] | None = None) -> None:
    """Print the line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--batches", type=int, default=200)
    chosen = parser.parse_args(arguments)
    application, shelf = begin(), catalogue()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "batches"
        folder.mkdir()
        shipped = [decode(path.read_bytes()) for path in sorted(samples().glob(f"*{SUFFIX}"))]
        made = [
            msgspec.structs.replace(shipped[place % len(shipped)], name=f"Batch no. {place}")
            for place in range(chosen.batches)
        ]
        for number, batch in enumerate(made):
            (folder / f"batch-{number}{SUFFIX}").write_bytes(encode(batch))
        settings = Settings(QSettings(f"{place}/settings.ini", QSettings.Format.IniFormat), QLocale("en_GB"))
        settings.learning = folder
        store = BatchStore(next_batch(made[0]))
        dialog = LearningDialog(store, shelf, settings, ScriptedAsk(), lambda: None)
        store.changed.connect(dialog.show_batch)
        dialog.show_batch(store.batch)
        dialog.show()
        longest, start, used = 0.0, perf_counter(), process_time()
        dialog.read.click()
        while dialog.reader.is_reading:
            began = thread_time()
            application.processEvents(
                QEventLoop.ProcessEventsFlag.AllEvents | QEventLoop.ProcessEventsFlag.WaitForMoreEvents
            )
            longest = max(longest, thread_time() - began)
        seconds, cpu = perf_counter() - start, process_time() - used
        dialog.shut_down()
        print(
            f"read_s {seconds:.1f} cpu_s {cpu:.1f} sources {len(store.batch.learning.sources)} blocked_ms {1e3 * longest:.0f}"
        )


if __name__ == "__main__":
    main()
