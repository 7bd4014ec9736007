"""Changes to batch files that know their structure: values, keys, lists and texts, and now and then the bare bytes."""

from __future__ import annotations

import json
import random
from typing import Any

HOSTILE_TEXTS = (
    "", " ", "\x00", "\ud800", "<img src='file:///etc/passwd'>", "$\\frac", "../../etc/passwd", "a" * 10_000, "=1+1",
    "2026-13-45", "0001-01-01T00:00Z", "9999-12-31T23:59:59+14:00", "NaN", "１２", "\u202e", "yesterday", "{}", "%s%n",
)  # fmt: skip
HOSTILE_NUMBERS: tuple[Any, ...] = (
    0, -1, 1, -0.0, 1e308, -1e308, 1e-320, 2**53, 2**64, 10**400, float("nan"), float("inf"), 0.5, 293.15, 1.05, True,
)  # fmt: skip

LARGEST_PART = 20_000_000
"""So large may become what is repeated; a file of this or more is opened, or refused by its size. [characters]"""


def places(part: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a document."""
    found = [path]
    inside = part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ()
    for key, value in inside:
        found += places(value, (*path, key))
    return found


def mutated(document: bytes, chance: random.Random) -> bytes:
    """A batch file with some things in it other than they were."""
    if chance.random() < 0.1:
        return _bytes_changed(document, chance)
    whole = json.loads(document)
    if chance.random() < 0.4:  # a batch that is only odd, so that more than the reader is tried
        _shift_numbers(whole["batch"], chance)
        return json.dumps(whole).encode()
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        path = chance.choice(places(whole))
        if path:
            _change(whole, path, chance)
    return json.dumps(whole).encode()


def _shift_numbers(part: Any, chance: random.Random) -> None:
    numbers = [path for path in places(part) if path and type(_at(part, path)) is float]
    for path in chance.choices(numbers, k=chance.choice((1, 2, 5, 20))):
        parent = _at(part, path[:-1])
        parent[path[-1]] *= chance.choice((0.0, 0.5, 0.9, 0.99, 1.001, 1.1, 2.0, 30.0))


def _at(part: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        part = part[step]
    return part


def _change(whole: Any, path: tuple[Any, ...], chance: random.Random) -> None:
    parent = _at(whole, path[:-1])
    key, value = path[-1], parent[path[-1]]
    is_number = isinstance(value, float | int) and not isinstance(value, bool)
    way = 3 if is_number and chance.random() < 0.6 else chance.randrange(9)  # otherwise few files would open
    if way == 0:
        del parent[key]
    elif way == 1 and isinstance(parent, dict):
        parent[chance.choice(("unknown", str(key).upper(), "", "__class__", "mass_kg"))] = value
    elif way == 2 and isinstance(parent, list):
        more = chance.choice((1, 50, 500))
        parent += [value] * min(more, 1 + LARGEST_PART // len(json.dumps(value)))
    elif way == 3 and is_number and abs(value) < 1e300:
        parent[key] = value * chance.choice((-1.0, 0.0, 0.5, 0.9, 1.0001, 1.1, 2.0, 10.0, 1000.0, 1e-9))
    elif way == 4 and isinstance(value, list):
        chance.shuffle(value)
        del value[chance.randrange(len(value) + 1) :]
    elif way == 5:
        parent[key] = chance.choice(HOSTILE_TEXTS)
    elif way == 6:
        parent[key] = chance.choice((None, [], {}, [value], {"first": value}, _nested(chance.choice((5, 200, 3000)))))
    else:
        parent[key] = chance.choice(HOSTILE_NUMBERS)


def _nested(depth: int) -> Any:
    found: Any = 0
    for _ in range(min(depth, 400)):
        found = [found]
    return found


def _bytes_changed(document: bytes, chance: random.Random) -> bytes:
    data = bytearray(document)
    for _ in range(chance.choice((1, 2, 10, 100))):
        place = chance.randrange(len(data))
        way = chance.randrange(4)
        if way == 0:
            data[place] = chance.randrange(256)
        elif way == 1:
            del data[place : place + chance.choice((1, 10, 1000))]
        elif way == 2:
            data[place:place] = chance.choice((b'"', b"{", b"]", b"\x00", b"\xff\xfe", b"1e999", b"[" * 5000))
        else:
            data = data[: place + 1]
        if not data:
            return b""
    return bytes(data)


def mutated_table(table: bytes, chance: random.Random) -> bytes:
    """A table of readings with some things in it other than they were."""
    lines = table.split(b"\n")
    for _ in range(chance.choice((1, 1, 2, 5, 20))):
        place = chance.randrange(len(lines))
        way = chance.randrange(10)
        if way == 0:
            lines[place : place + 1] = [lines[place]] * chance.choice((0, 2, 300))
        elif way == 1:
            lines[place] = lines[place].replace(b",", chance.choice((b";", b"\t", b",,", b"", b"|", b", ")))
        elif way == 2:
            lines[place] = lines[place].replace(b".", chance.choice((b",", b"", b"..", b"-")))
        elif way == 3:
            lines[place] += chance.choice((b'"', b"x" * 200_000, b"\x00", b"\xff", b",=1+1", b",,,,,,,,", b"\r"))
        elif way == 4:
            lines.insert(place, chance.choice((b"", b"#", b"sep=;", b"when,what", b'"', b"\xef\xbb\xbf")))
        elif way == 5:
            cells = lines[place].split(b",")
            cells[chance.randrange(len(cells))] = str(chance.choice((*HOSTILE_NUMBERS[:9], *HOSTILE_TEXTS))).encode(
                errors="replace"
            )
            lines[place] = b",".join(cells)
        elif way == 6:
            chance.shuffle(lines)
        elif way == 7:
            del lines[place:]
        elif way == 8:
            return (
                b"\n".join(lines)
                .decode("utf-8", "replace")
                .encode(chance.choice(("utf-16", "utf-16-le", "cp1252")), "replace")
            )
        else:
            cells = lines[place].split(b",")
            chance.shuffle(cells)
            lines[place] = b",".join(cells)
        if not lines:
            return b""
    return b"\n".join(lines)
