"""Two to six batches side by side: what each is, in what they differ, and what could have made the difference."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import msgspec

from planner.comparing.as_made import as_made
from planner.comparing.causes import Cause, causes
from planner.comparing.pace import expected_half, half, has_stopped, stopped_on
from planner.document.shelf import shelf_of
from planner.document.tasting import last_mark
from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.model.sweetness import acid_steps, sweetness_steps
from planner.model.viscosity import STEP as BODY_STEP
from planner.recipe.must import MEASURED_GRAVITY_ERROR
from planner.reference.catalogue import Catalogue
from planner.tasting.sheet import AGEING, LINES
from planner.timeline.verdict_rule import STALLED
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

FEWEST, MOST = 2, 6
"""Batches that are compared at once. [-] More curves cannot be told apart."""

WORTH_NAMING = 0.1
"""Share of a difference from which a cause of it is named. [-]"""


class Property(msgspec.Struct, frozen=True):
    """Something in which batches differ.

    Attributes
    ----------
    key, name : str
        What it is: one of those of `causes.modelled`.
    kind : str
        What its figures are: one of the keys of `figures.TELLERS`.
    step : float or function
        Least difference that is noticed, in the glass or by who makes it; where it grows with what is there, how many of them
        lie between two values. [as its figures]
    more, less : str
        How the second is told beside the first.
    """

    key: str
    name: str
    kind: str
    step: float | Callable[[float, float], float]
    more: str
    less: str

    def steps(self, before: float, after: float) -> float:
        """How many steps that are noticed lie between two values."""
        return self.step(before, after) if callable(self.step) else (after - before) / self.step


PROPERTIES = (
    Property("strength", "Strength", "alcohol", 0.01, "{} stronger", "{} weaker"),
    Property("sweetness", "Sweetness", "concentration", sweetness_steps, "{} sweeter", "{} less sweet"),
    Property("acid", "Acid", "concentration", acid_steps, "{} more acid", "{} less acid"),
    Property("body", "Body", "viscosity", BODY_STEP, "{} thicker", "{} thinner"),
    Property("start", "Starting gravity", "gravity", 0.005, "Started {} higher", "Started {} lower"),
    Property("finish", "Finishing gravity", "gravity", 0.003, "Stopped {} higher", "Stopped {} lower"),
    Property(
        "half",
        "Half of the fall",
        "day",
        1.0,
        "Half of the fall came {} days later",
        "Half of the fall came {} days sooner",
    ),
    Property("days", "Stopped", "day", 7.0, "Stopped {} days later", "Stopped {} days sooner"),
)
"""What is compared. A step in the glass is what tasters just notice, and grows with what is there; of gravities and days it is an estimate: what two batches
by one recipe differ by, without anyone asking why."""

_CHANGES = {
    "gravity": "gravity_step",
    "concentration": "concentration",
    "alcohol": "alcohol",
    "viscosity": "viscosity",
    "day": "day",
}
"""The kind of figure that a difference of each kind is."""


class Share(msgspec.Struct, frozen=True):
    """A cause with what it does to one property. [SI]"""

    key: str
    told: Words
    effect: float


class Difference(msgspec.Struct, frozen=True):
    """In what one batch differs from the first.

    Attributes
    ----------
    place : int
        Of the batch among those compared.
    of : Property
        Of what.
    first, second : Span
        In SI.
    steps : float
        Of what is noticed, with its sign. [-]
    doubtful : bool
        Whether it lies within the ranges of both, and what is known to differ does not make as much as a step of it.
    causes : tuple of Share
        What could have caused it, the likeliest first; "unknown" is what none of them does.
    head, told : Words
        The difference alone, and with its first cause.
    """

    place: int
    of: Property
    first: Span
    second: Span
    steps: float
    doubtful: bool
    causes: tuple[Share, ...]
    head: Words

    @property
    def told(self) -> Words:
        """The difference and its first cause."""
        if not self.causes:
            return say(f"{self.head.template}: neither recipe nor log tells why", *self.head.figures)
        first = self.causes[0]
        mostly = "for the most part " if first.key == "unknown" else ""
        return say(f"{self.head.template}: {mostly}{first.told.template}", *self.head.figures, *first.told.figures)


class Fact(msgspec.Struct, frozen=True):
    """A line of what stands side by side: one value for each batch.

    Attributes
    ----------
    part, key, name : str
        What it belongs to and what it is.
    kind : str
        What its figures are; "words" for a text.
    values : tuple of Span, str or None
        In SI.
    """

    part: str
    key: str
    name: str
    kind: str
    values: tuple[Span | str | None, ...]


class Comparison(msgspec.Struct, frozen=True, eq=False):
    """Batches side by side.

    Attributes
    ----------
    outcomes : tuple of Outcome
        The batches, worked out.
    facts : tuple of Fact
        Must, ferment and glass of each.
    differences : tuple of Difference
        Of each from the first, those that matter most first.
    """

    outcomes: tuple[Outcome, ...]
    facts: tuple[Fact, ...]
    differences: tuple[Difference, ...]


def compared(outcomes: Sequence[Outcome], catalogue: Catalogue) -> Comparison:
    """Set batches side by side.

    Parameters
    ----------
    outcomes : sequence of Outcome
        `FEWEST` to `MOST` batches, worked out; the first is the one that the others are told by. [as their fields]

    Raises
    ------
    ValueError
        With fewer or more of them.
    """
    if not FEWEST <= len(outcomes) <= MOST:
        raise ValueError(f"{len(outcomes)} batches: {FEWEST} to {MOST} can be compared.")
    found = [
        difference
        for place, second in enumerate(outcomes[1:], start=1)
        for difference in _differences(outcomes[0], second, place, catalogue)
    ]
    found.sort(key=lambda one: (one.doubtful, -abs(one.steps)))
    return Comparison(tuple(outcomes), tuple(_facts(outcomes, catalogue)), tuple(found))


# --- what is known of each


def known(outcome: Outcome) -> dict[str, Span]:
    """What is compared of a batch: as measured where it was, else as it is expected; by property in SI."""
    must, finish, mead, after = outcome.must, outcome.finish, outcome.mead, outcome.posterior
    found: dict[str, Span | None] = {}
    if must is not None:
        read, error = outcome.starting_gravity, MEASURED_GRAVITY_ERROR
        found["start"] = must.first if read is None else Span(read - error, read, read + error)
    if finish is not None and mead is not None:
        stopped = has_stopped(outcome) and after is not None and after.now is not None
        found["finish"] = after.finish_gravity if stopped and after is not None else mead.before.gravity
        found["half"] = half(outcome) or expected_half(outcome)
        found["days"] = stopped_on(outcome) or (finish.day if after is None else after.finish_day)
        found["strength"], found["sweetness"] = mead.after.alcohol, mead.after.sweetness
        found["body"], found["acid"] = mead.after.viscosity, mead.after.acid
    return {key: span for key, span in found.items() if span is not None}


# --- in what they differ


def _differences(first: Outcome, second: Outcome, place: int, catalogue: Catalogue) -> Iterator[Difference]:
    here, there = known(first), known(second)
    found = causes(first, second, catalogue)
    for of in PROPERTIES:
        if of.key not in here or of.key not in there:
            continue
        one, other = here[of.key], there[of.key]
        change, steps = other.typical - one.typical, of.steps(one.typical, other.typical)
        if abs(steps) < 1.0:
            continue
        doubt = _doubt(of.key, one, other)
        shares = _shares(of.key, change, doubt, found, _untold(of.key, first, second))
        known_of = abs(sum(cause.effects[of.key] for cause in found))
        doubtful = abs(change) <= doubt and known_of < change / steps
        yield Difference(place, of, one, other, steps, doubtful, shares, _head(of, change))


def _doubt(key: str, one: Span, other: Span) -> float:
    """How much of a difference both leave open. What is doubtful of a scale of taste is so of both alike, and takes no part."""
    if key in ("sweetness", "body"):
        return 0.0
    return math.hypot(0.5 * (one.high - one.low), 0.5 * (other.high - other.low))


def _untold(key: str, first: Outcome, second: Outcome) -> tuple[str, Words]:
    """What is behind a difference that no exchange makes."""
    stalled = [outcome.verdict is not None and outcome.verdict.kind == STALLED for outcome in (first, second)]
    if stalled[0] != stalled[1] and key != "start":
        name = literal((first if stalled[0] else second).batch.name)
        return "stall", say(f"“{name}” stalled")
    return "unknown", say("what neither recipe nor log tells")


def _shares(
    key: str, change: float, doubt: float, found: Sequence[Cause], untold: tuple[str, Words]
) -> tuple[Share, ...]:
    """The causes that work the way of a difference, the largest first, and what none of them does."""
    explained = sum(cause.effects[key] for cause in found)
    left = change - explained
    left = math.copysign(max(abs(left) - doubt, 0.0), left)
    shares = [Share(cause.key, cause.told, cause.effects[key]) for cause in found]
    shares.append(Share(*untold, left))
    towards = [
        share for share in shares if share.effect * change > 0.0 and abs(share.effect) >= WORTH_NAMING * abs(change)
    ]
    return tuple(sorted(towards, key=lambda share: -abs(share.effect)))


def _head(of: Property, change: float) -> Words:
    template, figure = of.more if change > 0.0 else of.less, phrases.Figure(_CHANGES[of.kind], abs(change))
    is_one_day = figure.kind == "day" and round(abs(change)) == 1
    return say(template.replace("{} days", "a day")) if is_one_day else say(template, figure)


# --- side by side


def _facts(outcomes: Sequence[Outcome], catalogue: Catalogue) -> Iterator[Fact]:
    shelves = [shelf_of(outcome.batch, catalogue) for outcome in outcomes]
    made = [as_made(outcome) for outcome in outcomes]
    rooms = [None if outcome.must is None else outcome.must.volume.typical for outcome in outcomes]
    meads = [outcome.mead for outcome in outcomes]
    values = [known(outcome) for outcome in outcomes]

    def per_litre(masses: Sequence[float]) -> tuple[Span | None, ...]:
        return tuple(None if not room else Span.exactly(mass / room) for mass, room in zip(masses, rooms, strict=True))

    def of(key: str) -> tuple[Span | None, ...]:
        return tuple(value.get(key) for value in values)

    def line(part: str, key: str) -> Fact:
        row = next(row for row in PROPERTIES if row.key == key)
        return Fact(part, key, row.name, row.kind, of(key))

    musts = [outcome.must for outcome in outcomes]
    recipes = [one.recipe for one in made]
    yield Fact("must", "volume", "Must", "volume", tuple(None if m is None else m.volume for m in musts))
    yield Fact(
        "must",
        "fruit",
        "Fruit in a litre",
        "concentration",
        per_litre([sum(f.mass for f in r.fruits) for r in recipes]),
    )
    yield Fact(
        "must",
        "honey",
        "Honey in a litre",
        "concentration",
        per_litre([sum(h.mass for h in r.honeys) for r in recipes]),
    )
    yield Fact("must", "water", "Water in a litre", "concentration", per_litre([r.water for r in recipes]))
    yield line("must", "start")
    yield Fact(
        "must", "must_acid", "Acid of the must", "concentration", tuple(None if m is None else m.acid for m in musts)
    )
    yield Fact(
        "must", "nitrogen", "Nitrogen of the must", "trace", tuple(None if m is None else m.nitrogen for m in musts)
    )
    yield Fact("ferment", "yeast", "Yeast", "words", tuple(
        s.yeast(r.yeast.key).name if r.yeast.key in s.yeasts else r.yeast.key for s, r in zip(shelves, recipes, strict=True)
    ))  # fmt: skip
    yield Fact(
        "ferment", "feeds", "Nutrient in a litre", "trace", per_litre([sum(f.mass for f in r.feeds) for r in recipes])
    )
    yield line("ferment", "half")
    yield line("ferment", "days")
    yield line("ferment", "finish")
    for key, name in _added(made, shelves):
        masses = [sum(a.mass for a in one.adjustment.additions if a.key == key) for one in made]
        rooms_of_mead = [None if o.finish is None else o.finish.volume.typical for o in outcomes]
        yield Fact("glass", f"addition/{key}", f"{name}, in a litre of mead", "concentration", tuple(
            None if not room else Span.exactly(mass / room) for mass, room in zip(masses, rooms_of_mead, strict=True)
        ))  # fmt: skip
    for key in ("strength", "sweetness", "acid", "body"):
        yield line("glass", key)
    yield Fact("glass", "ph", "pH", "ph", tuple(None if m is None else m.ph for m in meads))
    for key in AGEING:
        marks = [last_mark(outcome.batch.tastings, key) for outcome in outcomes]
        if any(mark is not None for mark in marks):
            spans = tuple(None if mark is None else Span.exactly(mark) for mark in marks)
            yield Fact("glass", f"tasted/{key}", f"{LINES[key].name}, tasted", "score", spans)
    yield Fact("glass", "tasted", "Last tasting", "words", tuple(_last_note(outcome) for outcome in outcomes))


def _added(made: Sequence[object], shelves: Sequence[Catalogue]) -> Iterator[tuple[str, str]]:
    keys = {line.key: None for one in made for line in one.adjustment.additions}  # type: ignore[attr-defined]
    for key in keys:
        row = next((shelf.additives[key] for shelf in shelves if key in shelf.additives), None)
        yield key, key if row is None else row.name


def _last_note(outcome: Outcome) -> str | None:
    noted = [tasting for tasting in outcome.batch.tastings if tasting.note.strip()]
    return noted[-1].note.strip() if noted else None
