"""To look whether a part is made does not make it."""

from __future__ import annotations

from functools import cached_property

from planner.ui.parts_made import is_made, made


class Owner:
    @cached_property
    def first(self) -> str:
        return "one"

    @cached_property
    def second(self) -> str:
        return "two"


def test_that_looking_for_a_part_makes_none():
    owner = Owner()
    assert not is_made(owner, "first")
    assert made(owner, "first", "second") == []
    assert owner.second == "two"
    assert made(owner, "first", "second") == ["two"]
    assert not is_made(owner, "first")
