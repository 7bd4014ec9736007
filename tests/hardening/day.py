"""A day of use in one window: readings, edits, undo, every dialog, other batches and units; what it holds stays the same.

`python -m tests.hardening.day --rounds 60`
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import random
import shutil
import tempfile
from pathlib import Path
from typing import Any

from tests import screen
from tests.hardening.monkey import LEFT_OUT, Monkey, drop_what_is_done_with, held

WARM = 1 / 3
"""By then every part was made once, and whatever is kept to be quick is there. [share of the day]"""
UNDOABLE = 8
"""Edits of a round, of which some are undone."""


def use(monkey: Monkey) -> None:
    """What somebody does in a quarter of an hour."""
    from planner.document import edits

    window, chance = monkey.window, monkey.chance
    store = window.store
    for _ in range(UNDOABLE):
        monkey.add_a_reading()
        store.edit(edits.change_recipe(store.batch, water=round(chance.uniform(0.0, 20.0), 2)), "water", "water")
    for _ in range(UNDOABLE // 2):
        store.undo_stack.undo()
    monkey.settle()
    for name in sorted(set(window.menus.actions) - LEFT_OUT):
        window.menus.actions[name].trigger()
        monkey.settle()
        put_away(window)


def put_away(window: Any) -> None:
    """Close whatever was opened beside the window."""
    from PySide6.QtWidgets import QApplication

    for top in QApplication.topLevelWidgets():
        if top is not window and top.isVisible():
            top.close()
    top = None  # Python's hold of a widget that Qt made must not outlive it
    QApplication.processEvents()
    drop_what_is_done_with()


def counted() -> dict[str, float]:
    """What is held, with the number of widgets."""
    from PySide6.QtWidgets import QApplication

    gc.collect()
    return held() | {"widgets": len(QApplication.allWidgets())}


def main() -> None:
    """Use the window for as many rounds as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=6)
    chosen = parser.parse_args()
    screen.choose()
    from planner.ui.shell.errors import ErrorReporter
    from planner.ui.shell.screen import begin

    application = begin()
    faults: list[str] = []
    reporter = ErrorReporter(lambda what, details: faults.append(f"{what} {details[-1500:]}"))
    reporter.install()
    folder = Path(tempfile.mkdtemp(prefix="day-"))
    (folder / "table.csv").write_text("day,gravity\n1,1.09\n2,1.08\n3,1.06\n")
    monkey = Monkey(folder, "day", faults)
    warm: dict[str, float] = {}
    for number in range(chosen.rounds):
        monkey.chance = random.Random(number % 3)  # so that each third round is as the one before, in size too
        monkey.ask.choose_by(monkey.chance)
        use(monkey)
        if number + 1 == max(1, round(chosen.rounds * WARM)):
            warm = counted()
    late = counted()
    shutil.rmtree(folder, ignore_errors=True)
    application.processEvents()
    print(json.dumps({
        "rounds": chosen.rounds, "faults": len(faults), **{f"{key}_warm": value for key, value in warm.items()},
        **{f"{key}_last": value for key, value in late.items()}, "first": faults[:3],
    }), flush=True)  # fmt: skip
    os._exit(0)


if __name__ == "__main__":
    main()
