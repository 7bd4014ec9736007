"""Every field of the real window: what each text comes to mean there, compared between locales and unit systems.

`python -m tests.hardening.fields --texts 300`
"""

from __future__ import annotations

import argparse
import json
import math
import os
import random
import re
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

from tests import screen
from tests.hardening.register import NUMBERS, OF_THE_PLACE, SIGNS, USUAL, texts

LOCALES = ("en_GB", "de_DE", "en_US", "fr_FR")
LOGGED = (
    "1.085", "1085", "20 °Bx", "pH 3.4", "TA 6 g/L", "< 2 g/L", "-1.2 kg", "fed 5 g yeast autolysate", "bottled 24 x 750 mL",
    "racked", "racked 18 L", "warmed to 22 °C", "cooled 3 °C", "check 1.001 in water", "2026-05-01", "2026-05-01 18:30", "day 12",
    "12 d", "36 h", "now", "yesterday", "1405-01-01", "9026-05-01", "0001-01-01", "7.30", "28.11", "26-11-28", "1,500", "24 x 750",
)  # fmt: skip
"""What a line of the log, a day and a moment are made of."""
BY_ORDER = re.compile(r"^\d{1,4}[-/]\d{1,2}([-/]\d{1,4})?$")
"""Dates in figures, which each country puts in an order of its own."""
OF_THE_CLOCK = ("", "now", "today", "yesterday")
"""Texts that mean another moment a minute later."""


def meaning(field: Any, text: str) -> Any:
    """What a text comes to mean in a field; None where it is refused."""
    from planner.ui.entry import EntryError

    try:
        return field._read(text)
    except EntryError as refusal:
        if not str(refusal).strip():
            raise AssertionError("a refusal without a word") from refusal
        return None


def fields_of(window: Any) -> dict[str, Any]:
    """Each field that is made, by its kind, name and number among those of that name."""
    from planner.ui.widgets.fields import CommitLine

    met: Counter[str] = Counter()
    found = {}
    for field in window.findChildren(CommitLine):
        name = f"{type(field).__name__} {getattr(getattr(field, '_kind', None), 'name', '')} {field.accessibleName()}"
        met[name] += 1
        found[f"{name} {met[name]}"] = field
    return found


def contradictions(text: str, found: dict[tuple[str, str], Any]) -> list[str]:
    """Where one text means two things although nothing in it depends on the place."""
    if any(isinstance(value, float) and not math.isfinite(value) for value in found.values()):
        return [f"no number: {found}"]
    if text.strip() in OF_THE_CLOCK:
        return []
    has_unit = re.search("[A-Za-z]", text) is not None
    told = []
    if not SIGNS.search(text.strip()) and not OF_THE_PLACE.search(text) and not BY_ORDER.match(text.strip()):
        for system in {key[1] for key in found}:
            if len({repr(value) for key, value in found.items() if key[1] == system}) > 1:
                told.append(f"differs between locales: {found}")
    for locale in LOCALES if has_unit else ():
        if len({repr(value) for key, value in found.items() if key[0] == locale}) > 1:
            told.append(f"differs between unit systems: {found}")
    return told


def main() -> None:
    """Read as many texts in every field as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--texts", type=int, default=40)
    parser.add_argument("--locales", type=int, default=len(LOCALES))
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    screen.choose()
    from PySide6.QtCore import QLocale
    from PySide6.QtWidgets import QDialog

    from planner.reference.shipped import samples
    from planner.ui.shell.screen import begin
    from planner.units import System
    from tests.hardening.day import put_away
    from tests.hardening.monkey import LEFT_OUT, Monkey

    QDialog.exec = lambda _dialog: 0  # type: ignore[method-assign]
    application = begin()
    chance = random.Random(chosen.seed)
    some = [text for kind in USUAL for text in (texts(chance, kind) for _ in range(chosen.texts // len(USUAL) + 1))]
    some = [*dict.fromkeys((*LOGGED, *NUMBERS, *some))]
    read: dict[str, dict[str, dict[tuple[str, str], Any]]] = {}
    faults: list[str] = []
    for locale in LOCALES[: chosen.locales]:
        folder = Path(tempfile.mkdtemp(prefix="fields-"))
        monkey = Monkey(folder, f"fields/{locale}", faults, QLocale(locale))
        window = monkey.window
        for system in System:
            window.set_system(system.value)
            for sample in ("quince-planned", "raspberry-finished"):
                window.documents.load(samples() / f"{sample}.meadbatch")
                monkey.settle()
                for name in sorted(set(window.menus.actions) - LEFT_OUT):
                    if name.startswith(("show_", "edit_", "scale_")):
                        window.menus.actions[name].trigger()
                        monkey.settle()
                for name, field in fields_of(window).items():
                    of_field = read.setdefault(f"{sample} {name}", {})
                    for text in some:
                        try:
                            value = meaning(field, text)
                        except Exception as fault:  # noqa: BLE001  every one is what is sought
                            faults.append(f"{name} {text!r}: {type(fault).__name__}: {fault}")
                            continue
                        if value is not None:
                            of_field.setdefault(text, {})[locale, system.value] = value
                put_away(window)
        monkey.close()
        application.processEvents()
    for name, of_field in read.items():
        for text, found in of_field.items():
            faults += [f"{name} {text!r} {told}" for told in contradictions(text, found)]
    print(json.dumps({
        "fields": len(read), "texts": len(some), "accepted": sum(map(len, read.values())), "contradictions": len(faults),
        "first": faults[:12],
    }), flush=True)  # fmt: skip
    os._exit(0)


if __name__ == "__main__":
    main()
