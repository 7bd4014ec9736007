"""Which parts of an owner are made: a `cached_property` is made when it is first asked for, and to look must not make it.

So may an event of Qt reach a widget whose `__init__` has not come to a part yet."""

from __future__ import annotations

from typing import Any


def is_made(owner: object, part: str) -> bool:
    """Whether a part is there; `functools` documents that a cached property stands in the owner's own dictionary."""
    return part in vars(owner)


def made(owner: object, *parts: str) -> list[Any]:
    """Those of its parts that are there, in this order."""
    return [vars(owner)[part] for part in parts if is_made(owner, part)]
