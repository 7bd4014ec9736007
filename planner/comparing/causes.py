"""What could have made two batches differ: one cause after another is exchanged between them in the model."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from statistics import median_low
from typing import Any, NamedTuple

import msgspec
import numpy as np

from planner.comparing.as_made import as_made
from planner.comparing.pace import expected_half
from planner.document import edits
from planner.document.batch import Batch
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome, evaluate
from planner.model.simulate import temperature_at
from planner.reference.catalogue import Catalogue
from planner.timeline.course import UNPLANNED
from planner.wording import phrases
from planner.wording.phrases import Words, in_a_sentence, say

WARMTH_DAYS = 14.0
"""Days from pitching over which temperatures are told as their mean. [d] Most of a ferment."""

SAME_MASS = 1e-3
"""Share of a mass by which it must differ to be told as more or less. [-]"""

Effects = Mapping[str, float]
"""Changes by property, see `MODELLED`. [SI]"""


class Cause(NamedTuple):
    """Something in which two batches differ, and what that does in the model."""

    key: str
    told: Words
    """Of the second batch, beside the first."""
    effects: Effects


def modelled(batch: Batch, catalogue: Catalogue) -> dict[str, float] | None:
    """What the model gives for a batch, typically: by property in SI; None where it cannot be worked out."""
    found = evaluate(batch, catalogue, 0, to_draw=False)
    half, mead = expected_half(found), found.mead
    if found.must is None or found.finish is None or mead is None or half is None:
        return None
    return {
        "start": found.starting_gravity or found.must.first.typical,
        "half": half.typical,
        "days": found.finish.day.typical,
        "finish": found.finish.gravity.typical,
        "strength": mead.after.alcohol.typical,
        "sweetness": mead.after.sweetness.typical,
        "body": mead.after.viscosity.typical,
        "acid": mead.after.acid.typical,
    }


def causes(first: Outcome, second: Outcome, catalogue: Catalogue) -> tuple[Cause, ...]:
    """What could have made two batches differ.

    Returns
    -------
    tuple of Cause
        Each in which they differ, with its effect on the second beside the first. [as their fields] None where one of them
        cannot be worked out.

    Notes
    -----
    Both are taken as they were made, the second scaled to the size of the first. The effect of a cause is the mean of two exchanges: the
    second's in the first, and the first's in the second. What the starting gravities say beyond both recipes is a cause of
    its own.
    """
    if first.must is None or second.must is None:
        return ()
    one, other = as_made(first), as_made(second)
    try:
        other = edits.scaled(other, _size(first, one, second, other))
    except edits.EditRefused:  # more than a file holds
        return ()
    one, other = _knowing(one, other, ()), _knowing(other, one, ())
    here, there = modelled(one, catalogue), modelled(other, catalogue)
    if here is None or there is None:
        return ()
    found = []
    for key, told, exchange in _exchanges(one, other, catalogue):
        in_first, in_second = modelled(exchange(one, other), catalogue), modelled(exchange(other, one), catalogue)
        if in_first is not None and in_second is not None:
            effects = {p: 0.5 * (in_first[p] - here[p] + there[p] - in_second[p]) for p in here}
            found.append(Cause(key, told, effects))
    beyond = _beyond_the_recipes(first, second, here, there, catalogue)
    return (*found, *(() if beyond is None else (beyond,)))


def _size(first: Outcome, one: Batch, second: Outcome, other: Batch) -> float:
    """How much larger the first batch is: what most of fruit, honey, water, yeast, nutrient and must agree on, so that a recipe
    with more of one thing is not taken for one with less of all others. [-]"""
    assert first.must is not None
    assert second.must is not None
    amounts = [
        (_mass(batch.recipe.fruits), _mass(batch.recipe.honeys), batch.recipe.water, batch.recipe.yeast.pitch,
         _mass(batch.recipe.feeds), must.volume.typical) for batch, must in ((one, first.must), (other, second.must))
    ]  # fmt: skip
    return float(median_low([here / there for here, there in zip(*amounts, strict=True) if here > 0.0 and there > 0.0]))


def _beyond_the_recipes(
    first: Outcome, second: Outcome, here: Effects, there: Effects, catalogue: Catalogue
) -> Cause | None:
    """What the measured starting gravities say that the recipes do not."""
    off = []
    for outcome, recipe_alone in ((first, here), (second, there)):
        started = None if outcome.starting_gravity is None else modelled(as_made(outcome, with_start=True), catalogue)
        off.append(None if started is None else {p: started[p] - recipe_alone[p] for p in started})
    if off[0] is None and off[1] is None:
        return None
    effects = {p: (0.0 if off[1] is None else off[1][p]) - (0.0 if off[0] is None else off[0][p]) for p in here}
    told = say(
        f"a start {{}} {'higher' if effects['start'] >= 0.0 else 'lower'} than its recipe says, compared with the other",
        phrases.gravity_step(abs(effects["start"])),
    )
    return Cause("must", told, effects)


# --- the exchanges


Exchange = Callable[[Batch, Batch], Batch]


def _exchanges(one: Batch, other: Batch, catalogue: Catalogue) -> Iterator[tuple[str, Words, Exchange]]:
    """Everything in which two batches of the same size differ: what it is, how it is told of the second, and how it is
    exchanged."""
    here, there = one.recipe, other.recipe
    shelves = shelf_of(one, catalogue), shelf_of(other, catalogue)
    parts: tuple[tuple[str, tuple[str, ...], tuple[str, ...], Callable[[], Words]], ...] = (
        ("honey", ("honeys",), ("honeys",), lambda: _more(here.honeys, there.honeys, "honey", "another honey")),
        ("fruit", ("fruits",), ("fruits",), lambda: _more(here.fruits, there.fruits, "fruit", "other fruit")),
        ("water", ("water",), (), lambda: _more_of(there.water - here.water, "water")),
        ("yeast", (), ("yeasts",), lambda: say(
            f"the yeast: {in_a_sentence(shelves[1].yeast(there.yeast.key).name)} in place of "
            f"{in_a_sentence(shelves[0].yeast(here.yeast.key).name)}"
        )),
        ("pitch", (), (), lambda: _more_of(there.yeast.pitch - here.yeast.pitch, "yeast pitched")),
        ("temperature", ("temperatures", "in_room", "vessel"), (), lambda: say(
            "a must at {} on average in the first weeks, in place of {}", phrases.temperature(_mean(other)), phrases.temperature(_mean(one))
        )),
        ("preparation", ("preparation",), (), lambda: say("another preparation of the fruit")),
        ("feeds", ("feeds",), ("nutrients",), lambda: _more(here.feeds, there.feeds, "nutrient", "feeds at other times")),
        ("step_feeds", ("step_feeds",), (), lambda: _more(
            here.step_feeds, there.step_feeds, "honey, juice or sugar added while it worked", "additions at other times while it worked"
        )),
    )  # fmt: skip
    for key, fields, kinds, told in parts:
        exchange = _of_yeast(key) if key in ("yeast", "pitch") else _of_recipe(fields, kinds)
        if _differs(exchange(one, other), one):
            yield key, told(), exchange
    additions = {line.key: None for line in (*one.adjustment.additions, *other.adjustment.additions)}
    for key in additions:
        exchange = _of_addition(key)
        if _differs(exchange(one, other), one):
            row = next(shelf.additives[key] for shelf in shelves if key in shelf.additives)
            change = _mass(other.adjustment.additions, key) - _mass(one.adjustment.additions, key)
            yield f"addition/{key}", _more_of(change, in_a_sentence(row.name)), exchange


def _differs(batch: Batch, before: Batch) -> bool:
    return (batch.recipe, batch.adjustment, batch.own) != (before.recipe, before.adjustment, before.own)


def _of_recipe(fields: tuple[str, ...], kinds: tuple[str, ...]) -> Exchange:
    def exchange(taking: Batch, giving: Batch) -> Batch:
        recipe = msgspec.structs.replace(taking.recipe, **{name: getattr(giving.recipe, name) for name in fields})
        return _knowing(msgspec.structs.replace(taking, recipe=recipe), giving, kinds)

    return exchange


def _of_yeast(key: str) -> Exchange:
    def exchange(taking: Batch, giving: Batch) -> Batch:
        name = "key" if key == "yeast" else "pitch"
        yeast = msgspec.structs.replace(taking.recipe.yeast, **{name: getattr(giving.recipe.yeast, name)})
        recipe = msgspec.structs.replace(taking.recipe, yeast=yeast)
        kinds = ("yeasts",) if key == "yeast" else ()
        return _knowing(msgspec.structs.replace(taking, recipe=recipe), giving, kinds)

    return exchange


def _of_addition(key: str) -> Exchange:
    def exchange(taking: Batch, giving: Batch) -> Batch:
        kept = tuple(line for line in taking.adjustment.additions if line.key != key)
        given = tuple(line for line in giving.adjustment.additions if line.key == key)
        adjustment = msgspec.structs.replace(taking.adjustment, additions=(*kept, *given))
        return _knowing(msgspec.structs.replace(taking, adjustment=adjustment), giving, ())

    return exchange


def _knowing(taking: Batch, giving: Batch, kinds: tuple[str, ...]) -> Batch:
    """The batch with the own ingredients of the other: those of the kinds that are exchanged, and what it lacks."""
    own = taking.own
    for row in giving.own.rows():
        if row.KIND in kinds or own.find(row.KIND, row.key) is None:
            own = own.having(row)
    return taking if own == taking.own else msgspec.structs.replace(taking, own=own)


# --- in words


def _mass(lines: tuple[Any, ...], key: str | None = None) -> float:
    return float(sum(line.mass for line in lines if key is None or line.key == key))


def _more(here: tuple[Any, ...], there: tuple[Any, ...], what: str, else_: str) -> Words:
    """How much more or less there is of it; what else it is where it is as much."""
    change, whole = _mass(there) - _mass(here), max(_mass(here), _mass(there))
    return say(else_) if abs(change) <= SAME_MASS * whole else _more_of(change, what)


def _more_of(change: float, what: str) -> Words:
    return say(
        f"{{}} {'more' if change >= 0.0 else 'less'} {what} in a batch of the same size", phrases.mass(abs(change))
    )


def _mean(batch: Batch) -> float:
    """Temperature over the first weeks. [K]"""
    steps = sorted((step.day, step.temperature) for step in batch.recipe.temperatures)
    return float(np.mean(temperature_at(steps, np.linspace(0.0, WARMTH_DAYS, 57)))) if steps else UNPLANNED
