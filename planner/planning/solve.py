"""Solve a recipe for what is open: which amounts give what is wanted, or which wishes are at odds, or what room is left."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

import msgspec

from planner.document.batch import Batch, HoneyLine, Recipe, Wish
from planner.document.shelf import shelf_of
from planner.evaluation.recipe_findings import unknown_keys
from planner.planning.balance import (
    AMOUNTS,
    SEEN,
    TARGETS,
    End,
    Parts,
    Point,
    groups,
    parts,
    searched,
    shares,
    solutions,
)
from planner.reference.catalogue import DEFAULT_HONEY, Catalogue
from planner.wording import phrases
from planner.wording.phrases import Figure, Words, say

NAMES = {
    "fruit": "fruit", "juice": "juice", "honey": "honey", "water": "water", "volume": "volume",
    "gravity": "starting gravity", "alcohol": "alcohol", "finish": "finishing gravity", "acid": "acid",
}  # fmt: skip
"""What amounts and targets are called in sentences."""

_FIGURES = {
    "volume": phrases.volume, "gravity": phrases.gravity, "alcohol": phrases.alcohol, "finish": phrases.gravity,
    "acid": phrases.concentration,
}  # fmt: skip

NOTHING = 1e-6
"""Mass below which an amount is none; as much below nothing is rounding. [kg]"""

MOST = 1e5
"""Most that a file holds of anything. [kg]"""


def with_honey_line(batch: Batch) -> Batch:
    """The batch with a honey to reckon with, where the recipe names none. [as its fields]"""
    if batch.recipe.honeys:
        return batch
    recipe = msgspec.structs.replace(batch.recipe, honeys=(HoneyLine(key=DEFAULT_HONEY, mass=0.0),))
    return msgspec.structs.replace(batch, recipe=recipe)


class Between(NamedTuple):
    """An amount that may lie between two bounds, the upper one infinite where nothing bounds it. [kg]"""

    low: float
    high: float


class Answer(msgspec.Struct, frozen=True):
    """What became of a wish.

    Attributes
    ----------
    kind : str
        "solved", "range" (too little is given) or "conflict" (too much, or what cannot be).
    sentence : Words
        What was found, or what is at odds.
    clashing : tuple of str
        Wishes and givens at odds, of `AMOUNTS` and `TARGETS`, and "yeast", "size" or "shelf".
    amounts : dict of str to Between
        What is open: one value, or the room that is left. [kg]
    reached : dict of str to float
        Every target as `batch` reaches it. [as the target]
    batch : Batch or None
        The batch with a recipe that can be made: the solution, one within the room, or the nearest that works.
    nearest : Words or None
        What the nearest that works gives up.
    """

    kind: str
    sentence: Words
    clashing: tuple[str, ...] = ()
    amounts: Mapping[str, Between] = msgspec.field(default_factory=dict)
    reached: Mapping[str, float] = msgspec.field(default_factory=dict)
    batch: Batch | None = None
    nearest: Words | None = None


class _Problem(NamedTuple):
    """A wish in the terms of the balance."""

    brought: Parts
    fixed: dict[str, float]
    unknown: tuple[str, ...]
    wanted: dict[str, float]
    tolerance: float

    def but(self, **changes: object) -> _Problem:
        return self._replace(**changes)  # type: ignore[arg-type]


def solve_wish(batch: Batch, catalogue: Catalogue, wish: Wish | None = None) -> Answer:
    """Work out what a wish leaves open.

    Parameters
    ----------
    batch : Batch
        Amounts that are not left open are given by its recipe. [as its fields]
    wish : Wish or None
        What is wanted and what is open; None for the recipe's own. [as its fields]
    """
    catalogue = shelf_of(batch, catalogue)
    strange = unknown_keys(batch, catalogue)
    if strange:
        return Answer("conflict", strange[0].text, ("shelf",))
    wish = batch.recipe.wish if wish is None else wish
    wanted = {name: value for name in TARGETS if (value := getattr(wish, name)) is not None}
    unknown = tuple(name for name in AMOUNTS if name in wish.left_open)
    named = bool(batch.recipe.honeys)
    if "honey" in unknown:
        batch = with_honey_line(batch)
    brought = parts(batch, catalogue)
    missing = [name for name in unknown if name not in brought.columns]
    if missing:
        return Answer(
            "conflict",
            say(f"The recipe has no {NAMES[missing[0]]} to work out. Add a line of it, or untick it."),
            (missing[0],),
        )
    fixed = {name: mass for name, mass in brought.present.items() if name not in unknown}
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    problem = _Problem(brought, fixed, unknown, wanted, yeast.tolerance.typical)
    if wanted.get("alcohol", 0.0) > problem.tolerance:
        return Answer(
            "conflict",
            say("You want {}, but this yeast stops near {}. Choose one that tolerates more, or lower the target.",
                phrases.alcohol(wanted["alcohol"]), phrases.alcohol(problem.tolerance)),
            ("alcohol", "yeast"),
            batch=_batch_of(batch, problem, _best(_nearest_strength(problem))),
        )  # fmt: skip
    answer = _answer(batch, problem)
    if named or "honey" not in unknown or answer.batch is None:
        return answer
    name = phrases.literal(catalogue.honey(batch.recipe.honeys[0].key).name)
    told = say(
        f"{answer.sentence.template} The recipe names no honey, so this counts {name}.", *answer.sentence.figures
    )
    return msgspec.structs.replace(answer, sentence=told)


def _nearest_strength(problem: _Problem) -> Iterator[Point]:
    """What the yeast can still do of too strong a wish."""
    return _feasible(problem.but(wanted=problem.wanted | {"alcohol": problem.tolerance - 1e-6}))


def _answer(batch: Batch, problem: _Problem) -> Answer:
    free = len(problem.unknown) - len(problem.wanted) + _stopped(problem.wanted)
    if not problem.unknown and not problem.wanted:
        return Answer("range", say("Set at least one target and tick what may change."))
    sized = "volume" in problem.wanted or any(mass > NOTHING for mass in problem.fixed.values())
    if not sized:
        return Answer(
            "range",
            say("Any amount would do. Enter the volume, or the weight of the fruit, honey or water."),
            ("size",),
            {name: Between(0.0, float("inf")) for name in problem.unknown},
        )
    if free > 0:
        found = _room(batch, problem, free)
        return found if found is not None else _conflict(batch, problem)
    point = _best(_feasible(problem, patient=True)) or _sought(problem) if free == 0 else _agreeing(problem)
    return _conflict(batch, problem) if point is None else _solved(batch, problem, point)


def _stopped(wanted: Iterable[str]) -> bool:
    """Strength and finish together leave it open when the ferment is stopped."""
    return "alcohol" in wanted and "finish" in wanted


def _ends(wanted: Mapping[str, float], tolerance: float) -> tuple[End, ...]:
    """The ways in which a ferment may end for these targets, the plainer ones first."""
    if _stopped(wanted):
        return (End("stopped", tolerance),)
    if "alcohol" in wanted:
        return (End("dry", tolerance),)
    return (End("dry", tolerance), End("limit", tolerance))


def _points(problem: _Problem, patient: bool = False) -> Iterator[Point]:
    """Solutions of a square problem that keep to their kind of ending, whatever the sign of the amounts."""
    settled = False
    for end in _ends(problem.wanted, problem.tolerance):
        if end.how == "limit" and settled and not {"finish", "acid"} & problem.wanted.keys():
            continue  # the same must cannot be dry below the yeast's limit and come to it; its acid hangs on the end, too
        for point in solutions(problem.brought, problem.fixed, problem.unknown, problem.wanted, end, patient):
            if end.how == "dry" and point.reached["alcohol"] > problem.tolerance + 1e-5:
                continue  # the yeast would stop before
            settled = True
            yield point


def _makable(point: Point) -> bool:
    return all(-NOTHING <= mass <= MOST for mass in point.amounts.values())


def _feasible(problem: _Problem, patient: bool = False) -> Iterator[Point]:
    return (point for point in _points(problem, patient) if _makable(point))


def _sought(problem: _Problem) -> Point | None:
    """A solution of a square problem whose equations nearly say the same, so that steps may miss it."""
    if len(problem.unknown) < 2 or _stopped(problem.wanted):
        return None
    for end in _ends(problem.wanted, problem.tolerance):
        point = searched(*problem[:4], end)
        if point is not None and point.reached["alcohol"] <= problem.tolerance + 1e-4:
            return point
    return None


def _best(points: Iterable[Point]) -> Point | None:
    return next(iter(points), None)


def _miss(problem: _Problem, point: Point, name: str) -> float:
    """By how many times a difference worth a word a target is missed. [-]"""
    scale = max(SEEN[name], problem.wanted[name] / 40.0) if name == "volume" else SEEN[name]
    return abs(point.reached[name] - problem.wanted[name]) / scale


def _total_miss(problem: _Problem, point: Point) -> float:
    return sum(_miss(problem, point, name) for name in problem.wanted)


def _keeping(problem: _Problem, number: int) -> Iterator[Point]:
    """Recipes that meet some of the targets, with as few amounts at nothing as that takes."""
    for kept in itertools.combinations(problem.wanted, number):
        wanted = {name: problem.wanted[name] for name in kept}
        unknowns = len(kept) - _stopped(kept)
        for used in itertools.combinations(problem.unknown, unknowns):
            fixed = problem.fixed | {name: 0.0 for name in problem.unknown if name not in used}
            yield from _feasible(problem.but(wanted=wanted, unknown=used, fixed=fixed))


def _agreeing(problem: _Problem) -> Point | None:
    """Too much is given; a solution all the same, if what is over agrees with the rest."""
    limits = {"volume": 10e-6, "gravity": 1e-4, "alcohol": 1e-4, "finish": 1e-4, "acid": 0.02}
    for count in range(len(problem.wanted), -1, -1):
        for point in _keeping(problem, count):
            if all(abs(point.reached[n] - value) <= limits[n] for n, value in problem.wanted.items()):
                return point
    return None


def _nearest(problem: _Problem) -> tuple[Point, tuple[str, ...]] | None:
    """The recipe that can be made and misses least, with the targets that it misses."""
    for count in range(len(problem.wanted) - 1, -1, -1):
        found = min(_keeping(problem, count), key=lambda point: _total_miss(problem, point), default=None)
        if found is not None:
            missed = tuple(name for name in problem.wanted if _miss(problem, found, name) > 0.05)
            if missed:
                return found, missed
    return None


def _conflict(batch: Batch, problem: _Problem) -> Answer:
    """What is at odds, and the nearest that works."""
    wanted, unknown = problem.wanted, problem.unknown
    square = _best(_points(problem)) if len(unknown) + _stopped(wanted) == len(wanted) else None
    below = () if square is None else tuple(name for name in unknown if square.amounts[name] < -NOTHING)
    nearest = _nearest(problem)
    missed = nearest[1] if nearest else ()
    if below:
        assert square is not None
        taken = " and ".join(f"{{}} of {NAMES[name]}" for name in below)
        sentence = say(
            f"This is not possible: {_listed(wanted)} would mean removing {taken}.",
            *(phrases.mass(-square.amounts[name]) for name in below),
        )
        clashing = (*below, *wanted)
    elif len(wanted) > len(unknown) + _stopped(wanted):
        sentence = say(f"These targets do not agree: {_listed((*wanted, *problem.fixed))}." if unknown else
                       f"Nothing may change, and the recipe does not give {_listed(missed or wanted)}.")  # fmt: skip
        clashing = tuple(missed) + tuple(name for name in wanted if name not in missed)
    else:
        sentence = say(f"No amounts of {_listed(unknown)} give {_listed(wanted)} together.")
        clashing = tuple(wanted)
    if nearest is None:
        return Answer("conflict", sentence, clashing)
    point = nearest[0]
    return Answer(
        "conflict",
        sentence,
        clashing,
        _fixed_amounts(problem, point),
        point.reached,
        _batch_of(batch, problem, point),
        _given_up(wanted, point, missed),
    )


def _given_up(wanted: Mapping[str, float], point: Point, missed: tuple[str, ...]) -> Words:
    """What the nearest that works has instead of what was wanted."""
    figures: list[Figure] = []
    told = []
    for name in missed:
        told.append(f"{NAMES[name]} {{}} instead of {{}}")
        figures += [_FIGURES[name](point.reached[name]), _FIGURES[name](wanted[name])]
    return say(f"The nearest that works: {', '.join(told)}.", *figures)


def _listed(names: Iterable[str]) -> str:
    *first, last = (NAMES[name] for name in names)
    return f"{', '.join(first)} and {last}" if first else last


def _fixed_amounts(problem: _Problem, point: Point) -> dict[str, Between]:
    return {name: Between(*(max(point.amounts[name], 0.0),) * 2) for name in problem.unknown}


def _solved(batch: Batch, problem: _Problem, point: Point) -> Answer:
    amounts = _fixed_amounts(problem, point)
    told = ", ".join(f"{{}} of {NAMES[name]}" for name in amounts) or "the recipe as it is"
    text = f"This takes {told}."
    if point.left > 0.0:
        text += " It is then stopped with sugar left; dry it would be stronger." if _stopped(problem.wanted) else (
            " The yeast stops there by its own limit, which is uncertain: compare ways to finish."
        )  # fmt: skip
    sentence = say(text, *(phrases.mass(amount.low) for amount in amounts.values()))
    return Answer("solved", sentence, (), amounts, point.reached, _batch_of(batch, problem, point))


def _room(batch: Batch, problem: _Problem, free: int) -> Answer | None:
    """Too little is given: between which bounds each open amount lies; None if nothing fits."""
    corners = list(_corners(problem, free))
    if not corners:
        return None
    unbounded = _unbounded(problem, free)
    amounts = {}
    for name in problem.unknown:
        values = [max(point.amounts[name], 0.0) for point in corners]
        amounts[name] = Between(min(values), float("inf") if name in unbounded else max(values))
    told, figures = [], []
    for name, (low, high) in amounts.items():
        told.append(f"{NAMES[name]} {{}} or more" if high == float("inf") else f"{NAMES[name]} {{}} to {{}}")
        figures += [phrases.mass(low)] if high == float("inf") else [phrases.mass(low), phrases.mass(high)]
    inside = _inside(problem, corners, free)
    sentence = say(f"More than one answer fits: {', '.join(told)}. Enter {_more(free)} to settle it.", *figures)
    return Answer("range", sentence, (), amounts, inside.reached if inside else {}, _batch_of(batch, problem, inside))


def _more(free: int) -> str:
    return "one more thing" if free == 1 else f"{free} more things"


def _corners(problem: _Problem, free: int) -> Iterator[Point]:
    """Recipes with as many open amounts at nothing as there is room; all others lie between them."""
    for idle in itertools.combinations(problem.unknown, free):
        used = tuple(name for name in problem.unknown if name not in idle)
        yield from _feasible(problem.but(unknown=used, fixed=problem.fixed | dict.fromkeys(idle, 0.0)))


def _unbounded(problem: _Problem, free: int) -> set[str]:
    """Amounts that may grow for ever: those of a must that meets every target at any size, the givens aside."""
    if "volume" in problem.wanted:
        return set()
    growing: set[str] = set()
    for name in problem.unknown:
        rest = tuple(other for other in problem.unknown if other != name)
        alone = problem.but(unknown=rest, fixed={name: 1.0})
        if any(True for _ in _corners(alone, free - 1)):
            growing.add(name)
    return growing


def _inside(problem: _Problem, corners: list[Point], free: int) -> Point | None:
    """A recipe in the middle of the room, or else one at its edge."""
    middle = {name: sum(p.amounts[name] for p in corners) / len(corners) for name in problem.unknown}
    for held in itertools.combinations(problem.unknown, free):
        used = tuple(name for name in problem.unknown if name not in held)
        fixed = problem.fixed | {name: middle[name] for name in held}
        point = _best(_feasible(problem.but(unknown=used, fixed=fixed)))
        if point is not None:
            return point
    return corners[0]


def _batch_of(batch: Batch, problem: _Problem, point: Point | None) -> Batch | None:
    """The batch with what was open as found; what was given stays to the last digit."""
    return None if point is None else with_amounts(batch, {name: point.amounts[name] for name in problem.unknown})


def with_amounts(batch: Batch, amounts: Mapping[str, float]) -> Batch:
    """The batch with other amounts, lines in the proportions they had.

    Parameters
    ----------
    amounts : mapping of str to float
        By `AMOUNTS`; what is not named stays as it is. [kg]
    """
    recipe: Recipe = batch.recipe
    new = {}
    for name, lines in groups(batch).items():
        if name in amounts and lines:
            total = max(amounts[name], 0.0)
            masses = iter([share * total for share in shares(lines)])
            new[name] = iter([msgspec.structs.replace(line, mass=next(masses)) for line in lines])
    fruits = []
    for line in recipe.fruits:
        changed = new.get("juice" if line.as_juice else "fruit")
        fruits.append(next(changed) if changed is not None else line)
    changes = {"fruits": tuple(fruits), "water": max(amounts.get("water", recipe.water), 0.0)}
    if "honey" in new:
        changes["honeys"] = tuple(new["honey"])
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(recipe, **changes))
