"""What each accepted text came to mean, in every field's kind, compared between locales and unit systems.

`python -m tests.hardening.register --count 10000`; `--write FILE` keeps the register.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
from pathlib import Path

from PySide6.QtCore import QLocale

from planner.ui.entry import EntryError, read
from planner.units import UNITS, Kind

LOCALES = ("en_GB", "en_US", "de_DE", "fr_FR", "de_CH", "sv_SE")
SIGNS = re.compile(r"[.,'’\s\u00a0\u202f]")
"""What may stand in a number and means other things in other places."""
OF_THE_PLACE = re.compile(r"gal|pint|pt|quart|qt|fl|oz|cup|barrel", re.I)
"""Units that are others on the two sides of the Atlantic."""
NUMBERS = ("0", "1", "12", "1050", "1.05", "1,05", "1.5", "1,5", "1.050", "1,050", "1 050", "½", "1 1/2", "3/4", "1 ½", "-4", "−4",
           "1e3", "1'000", "2.500,5", "2,500.5", "12-14", "٣", "１２", "0x10", "1_0", "", "+3", "5..2", "1.2.3")  # fmt: skip
WORDS = (
    "",
    " ",
    " x",
    "%",
    " %",
    " % vol",
    " SG",
    " °Bx",
    " Brix",
    " Plato",
    " °Oe",
    " points",
    " ppm",
    " to 5",
    " ca.",
    "?",
)


def texts(chance: random.Random, kind: Kind) -> str:
    """A text such as somebody may type into a field of a kind."""
    units = [name for unit in UNITS.values() if unit.kind is kind for name in (unit.key, f" {unit.key}")]
    made = chance.choice(NUMBERS) + chance.choice((*WORDS, *units, *units))
    if chance.random() < 0.15:
        made += " " + chance.choice(NUMBERS) + chance.choice((*WORDS, *units))
    if chance.random() < 0.05:
        made = "".join(chance.choice(made + "0123456789.,-/ ") for _ in range(chance.randint(1, 9)))
    return made


def meanings(text: str, kind: Kind, usual: str) -> dict[str, float]:
    """What a text came to mean, by locale; nothing where it was refused."""
    found = {}
    for name in LOCALES:
        try:
            found[name] = read(text, kind, QLocale(name), usual)
        except EntryError:
            continue
    return found


def contradictions(text: str, kind: Kind, usual: tuple[str, str]) -> list[str]:
    """Where one text means two things although nothing in it depends on the place."""
    told = []
    metric, other = (meanings(text, kind, unit) for unit in usual)
    for found in (metric, other):
        if any(not math.isfinite(value) for value in found.values()):
            told.append(f"{kind.name} {text!r} is no number: {found}")
        if not SIGNS.search(text.strip()) and not OF_THE_PLACE.search(text) and len({*found.values()}) > 1:
            told.append(f"{kind.name} {text!r} differs between locales: {found}")
    has_unit = re.search("[A-Za-z]", text) is not None  # a bare degree is one of the field's own unit
    for name in metric.keys() & other.keys():
        if has_unit and metric[name] != other[name]:
            told.append(f"{kind.name} {text!r} differs between unit systems in {name}: {metric[name]}, {other[name]}")
    return told


USUAL = {
    Kind.MASS: ("kg", "lb"), Kind.VOLUME: ("L", "US_gal"), Kind.TEMPERATURE: ("degC", "degF"), Kind.CONCENTRATION: ("g/L", "g/L"),
    Kind.TIME: ("d", "d"), Kind.FRACTION: ("%", "%"), Kind.STRENGTH: ("% vol", "% vol"), Kind.NUMBER: ("", ""),
    Kind.GRAVITY: ("", ""),
}  # fmt: skip


def main() -> None:
    """Read as many texts as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--write", type=Path)
    chosen = parser.parse_args()
    faults: list[str] = []
    accepted = 0
    register: dict[str, dict[str, float]] = {}
    for number in range(chosen.count):
        chance = random.Random(f"{chosen.seed}/{number}")
        kind = chance.choice(list(USUAL))
        text = texts(chance, kind)
        try:
            faults += contradictions(text, kind, USUAL[kind])
            found = meanings(text, kind, USUAL[kind][0])
        except Exception as fault:  # noqa: BLE001  every one is what is sought
            faults.append(f"{kind.name} {text!r}: {type(fault).__name__}: {fault}")
            continue
        accepted += bool(found)
        if found:
            register[f"{kind.name} {text}"] = found
    if chosen.write:
        chosen.write.write_text(json.dumps(register, indent=1, ensure_ascii=False, sort_keys=True), encoding="utf-8")
    print(json.dumps({"texts": chosen.count, "accepted": accepted, "contradictions": len(faults), "first": faults[:8]}))


if __name__ == "__main__":
    main()
