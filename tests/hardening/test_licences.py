"""The licence of everything that a user installs is listed in the guide, and is one that may be used so."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import metadata, requires
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
WORDS = {
    "LGPL-3.0": r"LGPL-3\.0",
    "PSF": r"PSF|Python Software Foundation|matplotlib",
    "BSD, also with MIT, Zlib and CC0 parts": r"BSD",
    "Apache-2.0": r"Apache",
    "MIT": r"MIT",
}
"""Licences of the table, and how packages say them."""


def installed() -> dict[str, str]:
    """Every package that the program needs, with what those need; and what each says of its licence."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    todo, found = [Requirement(text) for text in project["dependencies"]], {}
    while todo:
        wanted = todo.pop()
        name = wanted.name.casefold().replace("_", "-")
        if name in found or (wanted.marker is not None and not wanted.marker.evaluate({"extra": ""})):
            continue
        told = metadata(name)
        kinds = [text for text in told.get_all("Classifier") or [] if text.startswith("License ::")]
        fields = [told[field][:200] for field in ("License-Expression", "License") if field in told]
        found[name] = " ".join(filter(None, (*kinds, *fields)))
        todo += map(Requirement, requires(name) or [])
    return found


def listed() -> dict[str, str]:
    """Packages of the table in the guide, each with its licence."""
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = guide.partition("### Licences")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| ([^|]+?) \| ([^|]+?) \|$", table, re.M)[1:]
    return {
        name.strip().casefold(): licence
        for licence, names in rows
        if licence in WORDS
        for name in names.partition(":")[0].split(",")
    }


def test_that_every_licence_is_listed_and_is_what_the_package_says(figures):
    known, there = listed(), installed()
    assert there.keys() <= known.keys(), there.keys() - known.keys()
    for name, said in there.items():
        assert re.search(WORDS[known[name]], said), f"{name} says {said!r}, the guide {known[name]!r}"
    assert not any(re.search(r"AGPL|proprietary|SSPL|non-commercial", said, re.I) for said in there.values())
    figures("licences", {"packages": len(there)})
