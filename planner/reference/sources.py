"""Where figures come from: every citation once, named by key."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import msgspec

from planner.reference.tables import TableError

KINDS = ("standard", "law", "authority", "table", "handbook", "paper", "book", "sheet", "status")
"""What a source can be; "status" marks the three keys that stand for having none."""


class Source(msgspec.Struct, frozen=True):
    """A citation.

    Attributes
    ----------
    key : str
        By which rows name it.
    title : str
        Title, or a description where the title could not be read.
    detail : str
        Who published it, where and when.
    where : str
        Place in it: section, table, or its DOI.
    kind : str
        One of `KINDS`.
    cited_as : str
        How docstrings of the model name it; empty if only rows do, by key.
    """

    key: str
    title: str
    detail: str
    where: str
    kind: str
    cited_as: str = ""

    @property
    def citation(self) -> str:
        """The citation in one line for users."""
        if self.kind == "status":
            return self.detail
        parts = (self.title, self.detail.rstrip("."), self.where)
        return ". ".join(part for part in parts if part) + "."


def read_toml(path: Path, wanted: tuple[str, ...], allowed: tuple[str, ...] = ()) -> dict[str, dict[str, str]]:
    """The sections of a TOML file, each with the wanted texts and perhaps the allowed ones.

    Parameters
    ----------
    path : pathlib.Path
        A file of sections that hold texts only.
    wanted, allowed : tuple of str
        Names that each section must have, and those that it may have.

    Raises
    ------
    TableError
        The file cannot be read, or a section has other names than these or values that are no text.
    """
    try:
        raw: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise TableError(f"{path.name}: cannot be read: {error}") from error
    for key, section in raw.items():
        if not isinstance(section, dict) or not all(isinstance(value, str) for value in section.values()):
            raise TableError(f"{path.name}, {key}: expected a section that holds texts.")
        missing = [name for name in wanted if name not in section]
        strange = [name for name in section if name not in wanted + allowed]
        if missing or strange:
            raise TableError(
                f"{path.name}, section {key}: missing {', '.join(missing) or 'nothing'}; "
                f"not understood {', '.join(strange) or 'nothing'}."
            )
    return raw


def read_sources(path: Path) -> Mapping[str, Source]:
    """The sources of `sources.toml` by key.

    Parameters
    ----------
    path : pathlib.Path
        The file.

    Raises
    ------
    TableError
        The file cannot be read, or a section is incomplete or of an unknown kind.
    """
    sections = read_toml(path, ("title", "detail", "where", "kind"), ("cited_as",))
    for key, section in sections.items():
        if section["kind"] not in KINDS:
            raise TableError(f"{path.name}, section {key}: kind '{section['kind']}' is not one of {', '.join(KINDS)}.")
    return {key: Source(key, **section) for key, section in sections.items()}
