"""Reads a population of ferments from a file, one a line as JSON, and says of each line that cannot be used why.

Fields: `name` (may be absent); `starting_gravity`; `fermentable_g_l`, `non_sugar_extract_g_l`, `nitrogen_mg_l` and
`tolerance_pct_vol` as [low, high]; `temperature_c` [[day, °C], ...]; `pitch_g_l`; `readings` [[day, gravity], ...];
`sugar_tests` [[day, g/L], ...], `events` [[day, "honey", g of sugar per L of must], ...] and `fruit`, of whole fruit that still
holds juice: [L of it per L of must, sugar g/L, other extract g/L, nitrogen mg/L] (may be empty or absent); and under `truth`:
`sugar_g_l` [[day, g/L], ...], and `stall_day`, `resume_day`, `finish_day` and `finish_gravity` (null or absent where there is
none). Other fields are passed over, and named.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

Ferment = dict[str, Any]

GRAVITIES = (0.8, 1.6)
"""Specific gravities that can be: a number like 1060 has lost its point. [-]"""

SPANS = ("fermentable_g_l", "non_sugar_extract_g_l", "nitrogen_mg_l", "tolerance_pct_vol")
NEEDED = ("starting_gravity", *SPANS, "temperature_c", "pitch_g_l", "readings", "truth")
OPTIONAL = ("name", "sugar_tests", "events", "fruit")
OF_TRUTH = ("sugar_g_l", "stall_day", "resume_day", "finish_day", "finish_gravity")


class LineError(ValueError):
    """What is wrong with one field of a line, and what would be accepted."""


class Read(NamedTuple):
    """What a file holds.

    Attributes
    ----------
    ferments : list of dict
        Of the lines that can be used.
    faults : list of str
        What is wrong with the others, each with its line.
    remarks : list of str
        What was passed over in lines that are used.
    """

    ferments: list[Ferment]
    faults: list[str]
    remarks: list[str]


def read_population(path: Path) -> Read:
    """Ferments from a file.

    Parameters
    ----------
    path : Path
        UTF-8, with or without a mark at its beginning. [-]

    Raises
    ------
    LineError
        There is no such file, it cannot be read, or it holds no line that can be used; the text says which.
    """
    try:
        raw = path.read_bytes()
    except OSError as failure:
        raise LineError(f"{path} cannot be read: {failure.strerror or failure}.") from failure
    found = read_lines(raw.removeprefix(b"\xef\xbb\xbf").splitlines())
    if not found.ferments:
        told = "\n".join([*found.faults, f"{path} holds no ferment that can be used; one a line, as JSON, is wanted."])
        raise LineError(told)
    return found


def read_lines(lines: Iterable[bytes]) -> Read:
    """Ferments from lines; empty ones are passed over in silence.

    Parameters
    ----------
    lines : iterable of bytes
        One ferment each. [-]
    """
    found = Read([], [], [])
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            whole = _decoded(line)
            found.ferments.append(_ferment(whole, number))
        except LineError as fault:
            found.faults.append(f"Line {number}: {fault}")
            continue
        unknown = [key for key in whole if key not in (*NEEDED, *OPTIONAL)]
        unknown += [f"truth.{key}" for key in whole["truth"] if key not in OF_TRUTH]
        found.remarks.extend(f"Line {number}: {key} is not a known field; it is passed over." for key in unknown)
    return found


def _decoded(line: bytes) -> dict[str, Any]:
    try:
        whole = json.loads(line.decode("utf-8"))
    except UnicodeDecodeError as fault:
        raise LineError(f"is not UTF-8 (byte {fault.start + 1}).") from fault
    except json.JSONDecodeError as fault:
        raise LineError(f"is not JSON: {fault.msg} (column {fault.colno}).") from fault
    except ValueError as fault:  # a whole number of thousands of digits
        raise LineError("is not JSON that can be read: a number is too long.") from fault
    except RecursionError as fault:
        raise LineError("is nested too deep to be a ferment.") from fault
    if not isinstance(whole, dict):
        raise LineError(f"is {_kind(whole)}; an object with fields is wanted.")
    return whole


def _ferment(whole: dict[str, Any], number: int) -> Ferment:
    """The fields of one line, each looked at. Raises LineError at the first that cannot be used."""
    for key in NEEDED:
        if key not in whole:
            raise LineError(f"{key} is missing.")
    truth = whole["truth"]
    if not isinstance(truth, dict):
        raise LineError(f"truth is {_kind(truth)}; an object with {', '.join(OF_TRUTH)} is wanted.")
    if "sugar_g_l" not in truth:
        raise LineError("truth.sugar_g_l is missing.")
    name = whole.get("name")
    if name is not None and not isinstance(name, str):
        raise LineError(f"name is {_kind(name)}; a text is wanted.")
    tests = whole.get("sugar_tests")
    pitch = _number(whole["pitch_g_l"], "pitch_g_l")
    if not pitch > 0.0:
        raise LineError(f"pitch_g_l is {pitch:g}; yeast above 0 is wanted.")
    readings = _series(whole["readings"], "readings")
    for place, (_, gravity) in enumerate(readings):
        _gravity(gravity, f"readings[{place}]")
    return {
        "name": name or f"line {number}",
        "starting_gravity": _gravity(_number(whole["starting_gravity"], "starting_gravity"), "starting_gravity"),
        **{key: _span(whole[key], key) for key in SPANS},
        "temperature_c": _series(whole["temperature_c"], "temperature_c"),
        "pitch_g_l": pitch,
        "readings": readings,
        "sugar_tests": _series([] if tests is None else tests, "sugar_tests", may_be_empty=True),
        "events": _events(whole.get("events")),
        "fruit": _fruit(whole.get("fruit")),
        "truth": {
            "sugar_g_l": _series(truth["sugar_g_l"], "truth.sugar_g_l"),
            **{key: _day(truth.get(key), f"truth.{key}") for key in OF_TRUTH[1:]},
        },
    }


def _events(value: Any) -> list[list[Any]]:
    found: list[list[Any]] = []
    if value is not None and not isinstance(value, list):
        raise LineError(f'events is {_kind(value)}; a list of [day, "honey", g/L] is wanted.')
    for place, one in enumerate(value or ()):
        if not isinstance(one, list) or len(one) != 3 or one[1] != "honey":
            raise LineError(f'events[{place}] is not [day, "honey", g/L].')
        day, sugar = _number(one[0], f"events[{place}][0]"), _number(one[2], f"events[{place}][2]")
        if day < 0.0 or sugar < 0.0:
            raise LineError(f"events[{place}] has a number below 0.")
        found.append([day, "honey", sugar])
    return found


def _fruit(value: Any) -> list[float] | None:
    if value is None or value == []:
        return None
    if not isinstance(value, list) or len(value) != 4:
        raise LineError("fruit is not [L of juice per L of must, sugar g/L, extract g/L, nitrogen mg/L].")
    found = [_number(one, f"fruit[{place}]") for place, one in enumerate(value)]
    if min(found) < 0.0:
        raise LineError("fruit has a number below 0.")
    return found


def _kind(value: Any) -> str:
    if value is None:
        return "null"
    names = {bool: "true or false", str: "a text", list: "a list", dict: "an object"}
    return names.get(type(value), "a number")


def _number(value: Any, field: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise LineError(f"{field} is {_kind(value)}; a number is wanted.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise LineError(f"{field} is {number}; a finite number is wanted.")
    return number


def _gravity(value: float, field: str) -> float:
    low, high = GRAVITIES
    if not low <= value <= high:
        raise LineError(f"{field} is {value:g}; a specific gravity from {low} to {high} is wanted.")
    return value


def _day(value: Any, field: str) -> float | None:
    return None if value is None else _number(value, field)


def _span(value: Any, field: str) -> list[float]:
    if not isinstance(value, list) or len(value) != 2:
        raise LineError(f"{field} is {_kind(value)}; [low, high] is wanted.")
    low, high = (_number(bound, f"{field}[{place}]") for place, bound in enumerate(value))
    if low > high:
        raise LineError(f"{field} has its low, {low:g}, above its high, {high:g}.")
    if low < 0.0:
        raise LineError(f"{field}[0] is {low:g}; 0 or more is wanted.")
    return [low, high]


def _series(value: Any, field: str, may_be_empty: bool = False) -> list[list[float]]:
    if not isinstance(value, list):
        raise LineError(f"{field} is {_kind(value)}; a list of [day, value] is wanted.")
    if not value and not may_be_empty:
        raise LineError(f"{field} is empty; at least one [day, value] is wanted.")
    found: list[list[float]] = []
    for place, pair in enumerate(value):
        if not isinstance(pair, list) or len(pair) != 2:
            raise LineError(f"{field}[{place}] is not [day, value].")
        found.append([_number(part, f"{field}[{place}][{n}]") for n, part in enumerate(pair)])
        if place and found[-1][0] < found[-2][0]:
            raise LineError(
                f"{field}[{place}] has day {found[-1][0]:g} after day {found[-2][0]:g}; days must not fall."
            )
    return found
