"""What several instruments together say of the alcohol so far: balance, rules of thumb, hydrometer with refractometer."""

from __future__ import annotations

import itertools
import math
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Log
from planner.model import guards
from planner.model.extract import shortcuts
from planner.model.inference import HYDROMETER_DOUBT, REFRACTOMETER_DOUBT, infer
from planner.model.inference import Reading as Seen
from planner.model.liquid import gravity
from planner.model.span import Span
from planner.timeline.current_gravity import present_gravity
from planner.timeline.instrument_conflicts import Disagreement
from planner.timeline.posterior import Posterior
from planner.timeline.readings import AT_PITCHING, Logged, Path, brix_along
from planner.timeline.state import on_days

Array = npt.NDArray[np.float64]

SAME_DAY = 0.75
"""Days within which a hydrometer and a refractometer speak of the same must. [d] Over night; what gravity falls meanwhile
is counted as doubt."""

MOST_PAIRS = 60
"""Pairs that are worked out: the last ones. A log by hand has no more."""


class Start(msgspec.Struct, frozen=True):
    """The gravity before fermentation, and how sure it is.

    Attributes
    ----------
    gravity : float
        Measured, or of the must as planned. [-]
    doubt : float
        Half width of its 90 % interval. [-]
    measured : bool
        Whether the log holds it.
    grown : bool
        Whether it counts what went in later, as if that had been there at pitching.
    """

    gravity: float
    doubt: float
    measured: bool
    grown: bool = False


class Shortcut(msgspec.Struct, frozen=True):
    """A rule of thumb beside the mass balance.

    Attributes
    ----------
    rule : str
        "drop", "sugar" or "attenuation": see `planner.model.extract.Shortcuts`.
    alcohol : float
        By volume. [m^3/m^3]
    off : float
        How far above (+) or below (-) the balance: its error, if the must is what the recipe says. [m^3/m^3]
    """

    rule: str
    alcohol: float
    off: float


class Pair(msgspec.Struct, frozen=True):
    """A hydrometer and a refractometer reading of the same must, which together need no starting gravity.

    Attributes
    ----------
    hydrometer, refractometer : int
        Places in the log.
    day : float
        Of the refractometer's reading. [d]
    gravity, brix : float
        Both at 20 °C. [-], [g/(100 g)]
    alcohol : Span
        By volume. [m^3/m^3]
    extract, sugar : Span
        All that is dissolved, and hexose for the yeast. [kg/m^3]
    start : Span
        The starting gravity that the two imply. [-]
    balance : float
        Alcohol by mass balance from the starting gravity of the batch. [m^3/m^3]
    agrees : bool
        Whether the starting gravity implied and that of the batch are one within what both leave open.
    fits : bool
        False where no stage of this must gives both readings; the nearest one is stated.
    """

    hydrometer: int
    refractometer: int
    day: float
    gravity: float
    brix: float
    alcohol: Span
    extract: Span
    sugar: Span
    start: Span
    balance: float
    agrees: bool
    fits: bool


class AlcoholSoFar(msgspec.Struct, frozen=True):
    """The alcohol at the last reading, by each way that there is.

    Attributes
    ----------
    reading : int
        Place in the log of the reading it is of.
    day : float
        Of that reading. [d]
    gravity : float
        At 20 °C. [-]
    start : Start
        What it is counted from.
    balance : Span
        Alcohol by mass balance with this must's own composition, by all gravities that were read. [m^3/m^3]
    alcohol : Span
        The same, as wide as what contradicts it. [m^3/m^3]
    rival : Disagreement or None
        A reading of another instrument that contradicts this one, and has not been settled.
    shortcuts : tuple of Shortcut
        Rules of thumb, for a cross-check only.
    pairs : tuple of Pair
        Every hydrometer and refractometer reading of the same day, by time.
    stirred : Span or None
        Of the mead with what was stirred in since, by the log. [m^3/m^3]
    """

    reading: int
    day: float
    gravity: float
    start: Start
    balance: Span
    alcohol: Span
    shortcuts: tuple[Shortcut, ...]
    pairs: tuple[Pair, ...]
    stirred: Span | None = None
    rival: Disagreement | None = None


def start_of(rows: tuple[Logged, ...], measured: float | None, planned: Span) -> Start:
    """The starting gravity and its doubt.

    Parameters
    ----------
    measured : float or None
        As `readings.starting_gravity` found it. [-]
    planned : Span
        Of the must by the recipe. [-]
    """
    if measured is None:
        return Start(planned.typical, max(planned.high - planned.low, 2.0 * HYDROMETER_DOUBT) / 2.0, False)
    row = next((r for r in rows if r.counts and r.gravity == measured), None)
    return Start(measured, HYDROMETER_DOUBT if row is None else (row.high - row.low) / 2.0, True)


def alcohol_so_far(
    log: Log,
    rows: tuple[Logged, ...],
    way: Path,
    measured: float | None,
    planned: Span,
    after: Posterior | None,
    expected: tuple[Array, Array] | None = None,
    doubted: frozenset[int] = frozenset(),
    rival: Disagreement | None = None,
) -> AlcoholSoFar | None:
    """Alcohol by every way that the log allows.

    Parameters
    ----------
    measured : float or None
        Starting gravity, if the log holds it. [-]
    planned : Span
        Starting gravity by the recipe. [-]
    expected : (numpy.ndarray, numpy.ndarray), shape (n,) each, optional
        Days [d] and gravity [-] of the expected curve, for what gravity falls between two readings of a day.
    doubted : frozenset of int
        Places in the log of gravities that the rest of it speaks against: it is counted from none of them, unless all are. [-]
    rival : Disagreement or None
        What contradicts the log and has not been settled. [as its fields]

    Returns
    -------
    AlcoholSoFar or None
        None before the first gravity that was read after pitching, or where the must allows nothing to be told. [as its
        fields]
    """
    since = [r for r in rows if r.counts and r.tells == "gravity" and r.day is not None and r.day > AT_PITCHING[1]]
    if not since or after is None:
        return None
    last = _latest([row for row in since if row.index not in doubted] or since)
    here = present_gravity(after)
    if here is not None and here.is_fresh and not here.is_read:
        last = msgspec.structs.replace(last, gravity=here.gravity.typical)
    first = start_of(rows, measured, planned)
    start = _grown(first, way, _day(last))
    try:
        quick = shortcuts(start.gravity, last.gravity)
    except guards.BadInput:
        return None
    alcohol = after.steps[-1].alcohol
    return AlcoholSoFar(
        reading=last.index,
        day=_day(last),
        gravity=last.gravity,
        start=start,
        balance=alcohol,
        alcohol=alcohol,
        rival=rival,
        shortcuts=tuple(
            Shortcut(rule, float(value), float(value) - alcohol.typical)
            for rule, value in zip(quick._fields, quick, strict=True)
        ),
        pairs=_pairs(log, since, way, first, expected, after),
    )


def _grown(start: Start, way: Path, day: float) -> Start:
    """The starting gravity as if all had been there at pitching that the must was given by a day. [d]"""
    there = way.at(day)
    if there is way:
        return start
    return msgspec.structs.replace(start, gravity=float(gravity(there.must)), grown=True)


def _latest(since: list[Logged]) -> Logged:
    """The reading that the alcohol so far is told of. A refractometer or a scale tells gravity only through the balance
    itself: what was floated on the same day comes before them."""
    last = max(since, key=_day)
    same = [row for row in since if row.kind in ("hydrometer", "sensor") and _day(last) - _day(row) <= SAME_DAY]
    return max(same, key=lambda row: (row.kind == "hydrometer", _day(row)), default=last)


def _pairs(
    log: Log, since: list[Logged], way: Path, start: Start, expected: tuple[Array, Array] | None, after: Posterior
) -> tuple[Pair, ...]:
    found = _near_each_other(since)[-MOST_PAIRS:]
    told: list[Pair] = []
    # Each by what the must held when it was read.
    for then, group in itertools.groupby(found, lambda pair: way.at(_day(pair[0]))):
        some = list(group)
        told += _read_together(log, some, then, _grown(start, way, _day(some[0][0])), expected, after)
    return tuple(told)


def _read_together(
    log: Log,
    found: list[tuple[Logged, Logged]],
    way: Path,
    start: Start,
    expected: tuple[Array, Array] | None,
    after: Posterior,
) -> tuple[Pair, ...]:
    """Pairs that were read while the must went one way."""
    chosen: list[Any] = [log.readings[drop.index] for drop, _ in found]
    moved = np.array([_moved(near, drop, expected) for drop, near in found])
    gravities = np.array([near.gravity for _, near in found]) + moved
    own = np.array([(near.high - near.low) / 2.0 for _, near in found])
    try:
        brix = brix_along(way, chosen, log.refractometer.compensated)
        known = infer(
            way.must,
            Seen("gravity", gravities, False, np.hypot(own, moved)),
            Seen("brix", brix, False, np.array([REFRACTOMETER_DOUBT if r.doubt is None else r.doubt for r in chosen])),
        )
    except guards.BadInput:
        return ()
    _, (_, balance, _) = on_days(after, np.array([_day(drop) for drop, _ in found]))
    return tuple(
        Pair(
            hydrometer=near.index,
            refractometer=drop.index,
            day=_day(drop),
            gravity=float(gravities[n]),
            brix=float(brix[n]),
            alcohol=known.span("alcohol", n),
            extract=known.span("extract", n),
            sugar=known.span("sugar", n),
            start=known.span("starting_gravity", n),
            balance=float(balance[n]),
            agrees=bool(known.fits[n]) and _are_one(known.span("starting_gravity", n), start),
            fits=bool(known.fits[n]),
        )
        for n, (drop, near) in enumerate(found)
    )


def _near_each_other(since: list[Logged]) -> list[tuple[Logged, Logged]]:
    """Each refractometer reading, by time, with the nearest of a hydrometer within `SAME_DAY`; of a sensor where none was
    floated at all."""
    drops = sorted((row for row in since if row.kind == "refractometer"), key=_day)
    floated = [row for row in since if row.kind == "hydrometer"] or [row for row in since if row.kind == "sensor"]
    if not drops or not floated:
        return []
    floated.sort(key=_day)
    days, there = np.array([_day(row) for row in drops]), np.array([_day(row) for row in floated])
    after = np.clip(np.searchsorted(there, days), 0, there.size - 1)
    before = np.maximum(after - 1, 0)
    near = np.where(np.abs(there[before] - days) <= np.abs(there[after] - days), before, after)
    same = np.abs(there[near] - days) <= SAME_DAY
    return [(drop, floated[place]) for drop, place, fine in zip(drops, near.tolist(), same, strict=True) if fine]


def _day(row: Logged) -> float:
    return row.day or 0.0


def _moved(of: Logged, to: Logged, expected: tuple[Array, Array] | None) -> float:
    """What gravity is expected to have changed by between two readings; as much is doubted, because pace is uncertain."""
    if expected is None:
        return 0.0
    before, after = np.interp([_day(of), _day(to)], *expected)
    return float(after - before)


def _are_one(implied: Span, start: Start) -> bool:
    """Whether two starting gravities, known independently, are one within both intervals joined."""
    off = start.gravity - implied.typical
    wide = implied.high - implied.typical if off > 0.0 else implied.typical - implied.low
    return abs(off) <= math.hypot(wide, start.doubt)
