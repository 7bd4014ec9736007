"""Instruments that contradict each other: which two, by how much, and what each of them would make of the mead."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import msgspec

from planner.document.batch import Log, RefractometerReading
from planner.document.reading_kinds import GRAVITIES, READINGS
from planner.model.span import Z_90, Span
from planner.timeline.observations import Observation
from planner.timeline.particle_filter import SINCE_TEST, Present
from planner.timeline.posterior import Posterior
from planner.timeline.readings import Logged, Path
from planner.timeline.sugar_tests import MISJUDGED
from planner.wording import phrases
from planner.wording.finding import Finding, warning
from planner.wording.phrases import Figure, Words, say

DOUBTED = 0.5
"""Probability of being a bad one from which a reading is doubted. [-]"""

FLOATED = GRAVITIES

SAME_DAY = 0.75
"""Days up to which two readings are of one day, and it need not be said. [d] Over night."""


class Disagreement(msgspec.Struct, frozen=True):
    """A reading that the rest of the log speaks against, and the nearest one of another instrument that does.

    Attributes
    ----------
    place, against : int
        Both, in the log.
    kind, other : str
        The instrument of each, one of `reading_kinds.KINDS`.
    day : float
        Of the doubted reading. [d]
    found : float
        What it found: sugar [kg/m^3], °Brix [g/(100 g)], or gravity [-], by its kind.
    below : bool
        Of a sugar test that showed no more than its lowest mark, which `found` then is.
    gravity, apart : float
        Of the other one [-], and by how many days it came before the doubted one, below nothing if after it. [d]
    sugar, alcohol : Span
        Sugar left [kg/m^3] and alcohol by volume [m^3/m^3] if the doubted one is right.
    by_log : Span
        Sugar left by the rest of the log, however far fruit and honey may be off. [kg/m^3]
    is_open : bool
        Whether it still stands: not settled by a later one of its kind, nothing to speak of used since.
    is_last : bool
        Whether it is the last that was measured.
    """

    place: int
    against: int
    kind: str
    other: str
    day: float
    found: float
    below: bool
    gravity: float
    apart: float
    sugar: Span
    alcohol: Span
    by_log: Span
    is_open: bool
    is_last: bool


def doubted(rows: Sequence[Logged], after: Posterior | None, found: Sequence[Disagreement]) -> frozenset[int]:
    """Places in the log of gravities that the rest of it speaks against.

    Returns
    -------
    frozenset of int
        Without those that only another instrument of the same day speaks against, and not plainly. [-]
    """
    steps, plain = () if after is None else after.steps, {one.place for one in found}
    believed = [s.evidence for s in steps if s.bad < DOUBTED]

    def beside(one: Observation) -> bool:
        kinds = {rows[other.place].kind for other in believed if abs(other.day - one.day) <= SAME_DAY}
        return bool(kinds - {rows[one.place].kind})

    bad = [s.evidence for s in steps if s.evidence.kind == "gravity" and s.bad >= DOUBTED]
    return frozenset(one.place for one in bad if one.place in plain or not beside(one))


def disagreements(log: Log, rows: Sequence[Logged], way: Path, after: Posterior | None) -> tuple[Disagreement, ...]:
    """All readings that another instrument contradicts, beyond what the tables of fruit and honey leave open."""
    steps = () if after is None else after.steps
    believed = [s for s in steps if s.bad < DOUBTED]
    gravities = [s for s in believed if s.evidence.kind == "gravity"]
    floated = [s for s in gravities if rows[s.evidence.place].kind in FLOATED] or gravities
    found = []
    for step in steps:
        row, day = rows[step.evidence.place], step.evidence.day
        then = way.at(day)
        if step.bad < DOUBTED or not floated:
            continue
        against = min(floated, key=lambda other: abs(other.evidence.day - day))
        other = rows[against.evidence.place]
        sugar = _sugar(step, row, then)
        near = _contradicting(sugar, day, believed)
        # Of one and the same instrument it is a slip.
        if near is None or other.kind == row.kind or {row.kind, other.kind} <= set(FLOATED):
            continue
        settled = any(s.evidence.day >= day and rows[s.evidence.place].kind == row.kind for s in believed)
        sugar = _sugar(step, row, then)
        if abs(sugar.typical - near.sugar.typical) <= math.hypot(
            *(0.5 * (s.high - s.low) for s in (sugar, near.sugar))
        ):
            continue
        found.append(Disagreement(
            place=row.index, against=other.index, kind=row.kind, other=other.kind, day=day,
            found=_found(log, row, step), below=row.below, gravity=other.gravity, apart=day - against.evidence.day,
            sugar=sugar, alcohol=_alcohol(sugar, then), by_log=near.sugar, is_last=step is steps[-1],
            is_open=not settled and (step is steps[-1] or near.sugar.typical - steps[-1].sugar.typical <= SINCE_TEST),
        ))  # fmt: skip
    return tuple(found)


def open_one(found: Sequence[Disagreement]) -> Disagreement | None:
    """The last one that still stands; None where all are settled."""
    return next((one for one in reversed(found) if one.is_open), None)


def _contradicting(sugar: Span, day: float, believed: Sequence[Present]) -> Present | None:
    """What is believed and plainly has other sugar: more than before it is none, nor less than after it; of the last reading
    the flock has said already that it cannot have fallen so fast."""
    before = [s for s in believed if s.evidence.day <= day]
    after = [s for s in believed if s.evidence.day >= day]
    if before and (sugar.typical > before[-1].sugar.typical or not after):
        near = before[-1]
    elif after and sugar.typical < after[0].sugar.typical:
        near = after[0]
    else:
        return None
    halves = (0.5 * (span.high - span.low) for span in (sugar, near.sugar))
    return near if abs(sugar.typical - near.sugar.typical) > MISJUDGED / Z_90 * math.hypot(*halves) else None


def _sugar(step: Present, row: Logged, way: Path) -> Span:
    """Sugar left by the doubted reading alone. [kg/m^3]"""
    one = step.evidence
    if one.kind == "sugar":
        half = Z_90 * one.sd
        return Span(max(one.value - half, 0.0), one.value, one.value + half)
    return Span(*(float(way.sugar_at(gravity)) for gravity in (row.low, row.gravity, row.high)))


def _alcohol(sugar: Span, way: Path) -> Span:
    """Alcohol of this must with so much sugar left. [m^3/m^3]"""
    return Span(*(float(way.alcohol_at(way.gravity_at_sugar(left))) for left in reversed(sugar)))


def _found(log: Log, row: Logged, step: Present) -> float:
    entry = log.readings[row.index]
    if isinstance(entry, RefractometerReading):
        return entry.brix
    return step.evidence.value if step.evidence.mark is None else step.evidence.mark


# --- in words

_CALLED = {kind.key: kind.word for kind in READINGS} | {"weight": "weighing"}


def both(one: Disagreement) -> tuple[str, tuple[Figure, ...]]:
    """The two readings in the middle of a sentence, and their figures.

    Returns
    -------
    tuple of Figure
        For it. [as they say]
    """
    here = {"sugar": phrases.concentration, "refractometer": phrases.brix}.get(one.kind, phrases.gravity)(one.found)
    name = f"sugar test {'below ' if one.below else ''}" if one.kind == "sugar" else f"{_CALLED[one.kind]} "
    when, days = ("", ()) if abs(one.apart) < SAME_DAY else (" of day {}", (phrases.day(one.day - one.apart),))
    return f"{name}{{}} and {_CALLED[one.other]} {{}}{when}", (here, phrases.gravity(one.gravity), *days)


def sentence(one: Disagreement) -> Words:
    """The day, the two readings, and that they disagree."""
    template, figures = both(one)
    return say(f"Day {{}}: {template} disagree. One of the two is off.", phrases.day(one.day), *figures)


MEASURE_AGAIN = say(
    "Measure both again in a sample that is stirred and free of gas. Then leave out the one that was off."
)
"""What to do about instruments that contradict each other."""


def alternative(one: Disagreement) -> Words:
    """What alcohol the doubted one would make."""
    template, figures = both(one)
    return say(f"{template[0].upper()}{template[1:]} disagree. By the first it would be {{}}.",
               *figures, phrases.alcohol(one.alcohol.typical))  # fmt: skip


def findings(found: Sequence[Disagreement]) -> Iterator[Finding]:
    """A warning at each reading that another instrument contradicts."""
    for one in found:
        template, figures = both(one)
        away = one.sugar.typical - one.by_log.typical
        yield warning(
            f"log.readings.{one.place}",
            f"{template[0].upper()}{template[1:]} disagree by {{}} of sugar. The rest of the log leaves {{}} to {{}}; this one says {{}}. One is wrong, or something is dissolved that the recipe does not name. Measure both again, and leave out the one that was off.",
            *figures, phrases.concentration(abs(away)), phrases.concentration(one.by_log.low), phrases.concentration(one.by_log.high),
            phrases.concentration(one.sugar.typical),
        )  # fmt: skip
