"""Kills of the real window at random moments, a third of them inside a save, each second one of a window that was restored.

`python -m tests.hardening.kills --count 500`
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests import screen
from tests.hardening.typist import COPIES, JOURNAL, fingerprint, type_for_ever

LONGEST_WAIT = 900.0
"""A window that has not begun, or saved, by then never will, however busy the machine. [s]"""
LOG = "complaints.txt"
TOLD_EVERY = 20
"""Kills between two lines of figures."""


def forked(work: Callable[[], None], log: Path) -> int:
    """Work in a process of its own, which has all modules already; what it complains of goes to a log."""
    process = os.fork()
    if process:
        return process
    try:
        os.dup2(os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND), 2)
        work()
    finally:
        os._exit(0)


def journal(folder: Path) -> list[dict[str, Any]]:
    """What was written down; a last line that was cut short is none."""
    file = folder / JOURNAL
    lines = file.read_bytes().split(b"\n")[:-1] if file.exists() else []
    return [json.loads(line) for line in lines]


def kill_once(folder: Path, seed: str, chance: random.Random, in_save: bool) -> float:
    """Let somebody type, and kill the window; gives the moment."""
    before = len(journal(folder))
    process = forked(lambda: type_for_ever(folder, seed), folder / LOG)
    try:
        _wait_for("ready", folder, before, pause=0.02)
        time.sleep(chance.uniform(0.2, 3.0))
        if in_save:
            _wait_for("saving", folder, len(journal(folder)), pause=0.0005)
            time.sleep(chance.uniform(0.0, 0.02))
    finally:
        moment = time.time()
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
    return moment


def _wait_for(kind: str, folder: Path, after: int, pause: float) -> None:
    end = time.time() + LONGEST_WAIT
    while not any(line["kind"] == kind for line in journal(folder)[after:]):
        if time.time() > end:
            raise RuntimeError(f"no “{kind}” came from the window: {(folder / LOG).read_text()[-2000:]}")
        time.sleep(pause)


def judged(folder: Path, moment: float) -> dict[str, Any]:
    """What is left after a kill, beside what was written down."""
    from planner.document.codec import decode, encode_quickly
    from planner.ui.shell.recovery import Recovery

    lines = journal(folder)
    states = {line["state"]: line["t"] for line in lines}
    found: dict[str, Any] = {"damaged": "", "copies": 0, "loss": 0.0}
    newest = min(states.values())
    saved = [line["state"] for line in lines if line["kind"] in ("saving", "saved")]
    files = sorted(folder.glob("*.meadbatch"))  # after a kill inside a save the next one asks, and keeps both
    for file in files:
        on_disk = fingerprint(decode(file.read_bytes()))
        if on_disk not in (saved[-2:] if len(files) == 1 else saved):
            found["damaged"] = f"{file.name} holds no state that was saved last"
        newest = max(newest, max((line["t"] for line in lines if line["state"] == on_disk), default=0.0))
    recovery = Recovery(folder / COPIES, encode_quickly, decode)
    for leftover in recovery.leftovers():
        found["copies"] += 1
        state = fingerprint(recovery.restore(leftover))
        if state not in states:
            found["damaged"] = "a copy is of no state there ever was"
        newest = max(newest, max((line["t"] for line in lines if line["state"] == state), default=0.0))
    last = max(line["t"] for line in lines if line["t"] <= moment)
    found["loss"] = max(0.0, last - newest)
    return found


def looked_at(folder: Path, moment: float) -> dict[str, Any]:
    """The judgement of another process, so that this one never holds anything of the window's toolkit."""
    answer = folder / "answer.json"

    def look() -> None:
        try:
            told = judged(folder, moment)
        except Exception as fault:  # noqa: BLE001  a fault is an answer, too
            told = {"damaged": f"{type(fault).__name__}: {fault}", "copies": 0, "loss": 0.0}
        answer.write_text(json.dumps(told))

    os.waitpid(forked(look, folder / LOG), 0)
    found: dict[str, Any] = json.loads(answer.read_text())
    return found


def main() -> None:
    """Kill as often as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=4)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    screen.choose()
    losses, damaged, copies, folder = [], [], 0, Path()
    for number in range(chosen.count):
        chance = random.Random(f"{chosen.seed}/{number}")
        if number % 2 == 0:  # every second kill is of the window that restored what the first one left
            if number:
                shutil.rmtree(folder)
            folder = Path(tempfile.mkdtemp(prefix="kills-"))
        moment = kill_once(folder, f"{chosen.seed}/{number}", chance, in_save=number % 3 == 2)
        found = looked_at(folder, moment)
        losses.append(found["loss"])
        copies += found["copies"]
        if found["damaged"]:
            damaged.append(f"{number}: {found['damaged']}")
        if (
            number % TOLD_EVERY == TOLD_EVERY - 1 or number == chosen.count - 1
        ):  # a long run that is stopped has told, too
            print(json.dumps({
                "kills": number + 1, "in_a_save": (number + 1) // 3, "damaged": len(damaged), "copies_offered": copies,
                "median_loss_s": round(statistics.median(losses), 2), "worst_loss_s": round(max(losses), 2),
                "beyond_3_s": sum(loss > 3.0 for loss in losses), "first": damaged[:5],
            }), flush=True)  # fmt: skip
    shutil.rmtree(folder)


if __name__ == "__main__":
    sys.exit(main())
