"""Edits of a batch: pure functions that give a new batch and leave the old one as it was.

Each refuses what a file could not hold, so that whatever is on the screen can be saved.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, TypeVar

import msgspec

from planner.document.batch import (
    Addition,
    Adjustment,
    Batch,
    Entry,
    Event,
    Feed,
    FruitLine,
    HoneyLine,
    Log,
    Price,
    Recipe,
    StepFeed,
    TemperatureStep,
    Trial,
    What,
    Yeast,
)
from planner.document.columnar_log import Entries, Run
from planner.document.learnt import Learning
from planner.document.tasting import BlindTest, Mark, Tasting
from planner.document.values import Value, without_pattern

_V = TypeVar("_V", bound=Value)


class EditRefused(ValueError):  # noqa: N818  the word says more than "error"
    """The value is impossible; the text says which and why."""


def changed(part: _V, **changes: Any) -> _V:
    """A part of a batch with some of its fields changed.

    Raises
    ------
    EditRefused
        A value of the wrong type, beyond its limits, or not finite, or a text that no file can hold.
    """
    after = msgspec.structs.replace(part, **changes)
    try:
        raw = msgspec.json.decode(
            msgspec.json.encode(after, enc_hook=tuple)
        )  # a number that is not finite becomes null here
        again = msgspec.convert(raw, type(part), strict=True)
    except UnicodeEncodeError as problem:
        raise EditRefused("A text holds half of a character, which no file can hold.") from problem
    except msgspec.ValidationError as problem:
        what, _, place = without_pattern(str(problem)).partition(" - at `$.")
        raise EditRefused(f"{place.rstrip('`') or 'This value'}: {what[0].lower()}{what[1:]}.") from problem
    if again != after:
        raise EditRefused("A number must be finite.")
    return after


def _there(lines: Sequence[Any], index: int) -> int:
    """The index if there is such a line; counting from the end is not meant here."""
    if not 0 <= index < len(lines):
        raise IndexError(f"there is no line {index} among {len(lines)}")
    return index


def _with_line(lines: tuple[_V, ...], index: int, line: _V) -> tuple[_V, ...]:
    _there(lines, index)
    return (*lines[:index], line, *lines[index + 1 :])


def _without_line(lines: tuple[_V, ...], index: int) -> tuple[_V, ...]:
    _there(lines, index)
    return (*lines[:index], *lines[index + 1 :])


def describe(batch: Batch, **changes: Any) -> Batch:
    """The batch with another `name` or other `notes`."""
    changed(msgspec.structs.replace(batch, log=Log()), **changes)  # a season of a sensor need not be read for a word
    return msgspec.structs.replace(batch, **changes)


def change_recipe(batch: Batch, **changes: Any) -> Batch:
    """The batch with fields of its recipe changed: `water` [kg], `vessel` [m^3], `preparation` and the like."""
    return msgspec.structs.replace(batch, recipe=changed(batch.recipe, **changes))


def change_preparation(batch: Batch, **changes: Any) -> Batch:
    """The batch with its fruit prepared otherwise: `frozen`, `enzyme`, `soak` [d]."""
    return change_recipe(batch, preparation=changed(batch.recipe.preparation, **changes))


def change_rules(batch: Batch, **changes: Any) -> Batch:
    """The batch with other house rules: `no_sulphite`, `alcohol_ceiling` [m^3/m^3] and the like."""
    return change_recipe(batch, rules=changed(batch.recipe.rules, **changes))


def change_wish(batch: Batch, **changes: Any) -> Batch:
    """The batch with another wish: `left_open`, `volume` [m^3], `gravity`, `alcohol` [m^3/m^3] and the like."""
    return change_recipe(batch, wish=changed(batch.recipe.wish, **changes))


def change_losses(batch: Batch, **changes: Any) -> Batch:
    """The batch with other losses: `lees`, `racking`, `bottling` [shares], `rackings` [-]."""
    return change_recipe(batch, losses=changed(batch.recipe.losses, **changes))


def set_price(batch: Batch, key: str, per_kg: float | None) -> Batch:
    """The batch with a price for an ingredient, in the user's currency per kg [currency/kg]; None takes it away."""
    kept = tuple(line for line in batch.recipe.prices.lines if line.key != key)
    lines = kept if per_kg is None else (*kept, changed(Price(key=key, per_kg=0.0), per_kg=per_kg))
    return change_prices(batch, lines=tuple(sorted(lines, key=lambda line: line.key)))


def change_prices(batch: Batch, **changes: Any) -> Batch:
    """The batch with other prices: `currency`, `bottle` [currency], `lines`."""
    return change_recipe(batch, prices=changed(batch.recipe.prices, **changes))


def change_yeast(batch: Batch, **changes: Any) -> Batch:
    """The batch with another yeast `key` or `pitch` [kg]."""
    yeast: Yeast = changed(batch.recipe.yeast, **changes)
    return change_recipe(batch, yeast=yeast)


_LINES = {
    "fruits": FruitLine,
    "honeys": HoneyLine,
    "feeds": Feed,
    "step_feeds": StepFeed,
    "temperatures": TemperatureStep,
}


def add_line(batch: Batch, lines: str, line: FruitLine | HoneyLine | Feed | StepFeed | TemperatureStep) -> Batch:
    """The batch with one more line at the end of the recipe's `fruits`, `honeys`, `feeds`, `step_feeds` or `temperatures`."""
    _must_be(lines)
    return change_recipe(batch, **{lines: (*getattr(batch.recipe, lines), changed(line))})


def change_line(batch: Batch, lines: str, index: int, **changes: Any) -> Batch:
    """The batch with fields of one line of the recipe changed."""
    _must_be(lines)
    before = getattr(batch.recipe, lines)
    return change_recipe(batch, **{lines: _with_line(before, index, changed(before[index], **changes))})


def remove_line(batch: Batch, lines: str, index: int) -> Batch:
    """The batch without one line of the recipe."""
    _must_be(lines)
    return change_recipe(batch, **{lines: _without_line(getattr(batch.recipe, lines), index)})


def _must_be(lines: str) -> None:
    if lines not in _LINES:
        raise KeyError(f"{lines!r} is not one of {', '.join(_LINES)}")


def change_log(batch: Batch, **changes: Any) -> Batch:
    """The batch with fields of its log changed: `pitched_at`, `hydrometer`, `refractometer`, `readings`."""
    entries = batch.log.entries if "readings" not in changes else changed(Log(), readings=changes["readings"]).entries
    bare = msgspec.structs.replace(batch.log, readings=())
    log: Log = changed(bare, **{name: value for name, value in changes.items() if name != "readings"})
    return msgspec.structs.replace(batch, log=msgspec.structs.replace(log, readings=entries))


def add_readings(batch: Batch, *readings: Entry) -> Batch:
    """The batch with more entries at the end of its log: readings and events."""
    return add_entries(batch, Entries(readings))


def add_entries(batch: Batch, entries: Entries[Entry]) -> Batch:
    """The same; of a run, whose columns were tried when they were read, only what all its readings share is tried here."""
    for piece in entries.pieces:
        if isinstance(piece, Run):
            changed(piece.like)
        else:
            changed(Log(), readings=piece)
    return _with_entries(batch, batch.log.entries + entries.gathered())


def change_reading(batch: Batch, index: int, **changes: Any) -> Batch:
    """The batch with fields of one reading changed: `gravity`, `temperature` [K], `note`, `excluded` and the like."""
    before = batch.log.readings[_there(batch.log.readings, index)]
    return replace_reading(batch, index, msgspec.structs.replace(before, **changes))


def replace_reading(batch: Batch, index: int, reading: Entry) -> Batch:
    """The batch with another entry in the place of one of its log."""
    return _with_entries(batch, batch.log.entries.with_one(_there(batch.log.readings, index), changed(reading)))


def remove_readings(batch: Batch, indices: Collection[int]) -> Batch:
    """The batch without some readings."""
    return _with_entries(batch, batch.log.entries.without(indices))


def leave_out(batch: Batch, indices: Collection[int], excluded: bool = True) -> Batch:
    """The batch with some readings left out of all that is worked out, or counted again."""
    return _with_entries(batch, batch.log.entries.leaving_out(indices, excluded))


def _with_entries(batch: Batch, entries: Entries[Entry]) -> Batch:
    """The batch with other entries, each of which was tried before: a log may hold a hundred thousand."""
    return msgspec.structs.replace(batch, log=msgspec.structs.replace(batch.log, readings=entries))


def change_adjustment(batch: Batch, **changes: Any) -> Batch:
    """The batch with fields of its adjustment changed: `volume` [m^3], `gravity`, `ph`, `stabilised` and the like."""
    adjustment: Adjustment = changed(batch.adjustment, **changes)
    return msgspec.structs.replace(batch, adjustment=adjustment)


def add_addition(batch: Batch, addition: Addition) -> Batch:
    """The batch with one more addition to the finished mead."""
    return change_adjustment(batch, additions=(*batch.adjustment.additions, changed(addition)))


def change_addition(batch: Batch, index: int, **changes: Any) -> Batch:
    """The batch with one addition's `key` or `mass` [kg] changed."""
    before = batch.adjustment.additions
    return change_adjustment(batch, additions=_with_line(before, index, changed(before[index], **changes)))


def remove_addition(batch: Batch, index: int) -> Batch:
    """The batch without one addition."""
    return change_adjustment(batch, additions=_without_line(batch.adjustment.additions, index))


def log_doses(batch: Batch, *doses: Addition, at: str | None = None, note: str = "") -> Batch:
    """The batch with a step logged: what was really stirred in, and when (ISO 8601 with its offset from UTC)."""
    events = (Event(what=What.DOSE, key=dose.key, mass=dose.mass, at=at, note=note) for dose in doses)
    return add_readings(batch, *(changed(event) for event in events))


def add_trial(batch: Batch, trial: Trial) -> Batch:
    """The batch with one more trial of glasses."""
    return change_adjustment(batch, trials=(*batch.adjustment.trials, changed(trial)))


def change_trial(batch: Batch, index: int, **changes: Any) -> Batch:
    """The batch with one trial's `parts`, `glasses`, `glass` [m^3], moment `at` or `note` changed."""
    before = batch.adjustment.trials
    return change_adjustment(batch, trials=_with_line(before, index, changed(before[index], **changes)))


def score_glass(batch: Batch, index: int, place: int, **changes: Any) -> Batch:
    """The batch with the `score` [of 10] or `rank` of one glass of a trial changed."""
    glasses = batch.adjustment.trials[index].glasses
    return change_trial(batch, index, glasses=_with_line(glasses, place, changed(glasses[place], **changes)))


def remove_trial(batch: Batch, index: int) -> Batch:
    """The batch without one trial."""
    return change_adjustment(batch, trials=_without_line(batch.adjustment.trials, index))


def learn(batch: Batch, learning: Learning) -> Batch:
    """The batch with another lot of what earlier ones taught."""
    return msgspec.structs.replace(batch, learning=changed(learning))


def go_by_learning(batch: Batch, used: bool) -> Batch:
    """The batch going by what earlier ones taught, or by the shelf alone."""
    return learn(batch, msgspec.structs.replace(batch.learning, used=used))


def add_tasting(batch: Batch, tasting: Tasting) -> Batch:
    """The batch with one more tasting note."""
    return msgspec.structs.replace(batch, tastings=(*batch.tastings, changed(tasting)))


def change_tasting(batch: Batch, index: int, **changes: Any) -> Batch:
    """The batch with some fields of one tasting changed."""
    after = _with_line(batch.tastings, index, changed(batch.tastings[index], **changes))
    return msgspec.structs.replace(batch, tastings=after)


def remove_tasting(batch: Batch, index: int) -> Batch:
    """The batch without one tasting note."""
    return msgspec.structs.replace(batch, tastings=_without_line(batch.tastings, index))


def mark_tasting(batch: Batch, index: int, line: str, **changes: Any) -> Batch:
    """The batch with the `value` or the `fit` of a line of one tasting's sheet changed; a mark without either is none."""
    tasting = batch.tastings[index]
    mark = changed(tasting.mark(line) or Mark(line=line), **changes)
    others = tuple(one for one in tasting.marks if one.line != line)
    kept = others if mark.value is None and mark.fit is None else (*others, mark)
    return change_tasting(batch, index, marks=kept)


def add_test(batch: Batch, test: BlindTest) -> Batch:
    """The batch with one more blind test."""
    return msgspec.structs.replace(batch, tests=(*batch.tests, changed(test)))


def answer_test(batch: Batch, index: int, place: int, answer: tuple[int, ...]) -> Batch:
    """The batch with the answer to one serving of a blind test."""
    test = batch.tests[index]
    servings = _with_line(test.servings, place, changed(test.servings[place], answer=answer))
    return msgspec.structs.replace(batch, tests=_with_line(batch.tests, index, changed(test, servings=servings)))


def remove_test(batch: Batch, index: int) -> Batch:
    """The batch without one blind test."""
    return msgspec.structs.replace(batch, tests=_without_line(batch.tests, index))


def scaled(batch: Batch, factor: float) -> Batch:
    """The batch for another amount: every mass of recipe and additions times a factor; readings and logged doses stay as they are.

    Parameters
    ----------
    factor : float
        New amount over old. [-]

    Raises
    ------
    EditRefused
        If the factor is not a positive number, or a mass would exceed what a file can hold.
    """
    if not factor > 0.0:
        raise EditRefused("A batch is scaled by a positive number.")
    recipe: Recipe = batch.recipe

    def times(lines: tuple[_V, ...]) -> tuple[_V, ...]:
        return tuple(changed(line, mass=line.mass * factor) for line in lines)  # type: ignore[attr-defined]

    after = change_recipe(
        batch,
        fruits=times(recipe.fruits),
        honeys=times(recipe.honeys),
        water=recipe.water * factor,
        feeds=times(recipe.feeds),
        step_feeds=times(recipe.step_feeds),
        yeast=changed(recipe.yeast, pitch=recipe.yeast.pitch * factor),
        wish=changed(recipe.wish, volume=None if recipe.wish.volume is None else recipe.wish.volume * factor),
    )
    return change_adjustment(after, additions=times(batch.adjustment.additions))
