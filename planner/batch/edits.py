"""Edits of a batch: pure functions that give a new batch and leave the old one as it was.

Each refuses what a file could not hold, so that whatever is on the screen can be saved.
"""

from __future__ import annotations

from typing import Any, TypeVar

import msgspec

from planner.batch.batch import (
    Addition,
    Adjustment,
    Batch,
    Feed,
    FruitLine,
    HoneyLine,
    HydrometerReading,
    Log,
    Recipe,
    SugarReading,
    Tasting,
    TemperatureStep,
    Value,
    Yeast,
)

_V = TypeVar("_V", bound=Value)

_Reading = HydrometerReading | SugarReading


class EditRefused(ValueError):  # noqa: N818  the word says more than "error"
    """The value is impossible; the text says which and why."""


def changed(part: _V, **changes: Any) -> _V:
    """A part of a batch with some of its fields changed.

    Parameters
    ----------
    part : Value
        Any part of a batch. [as its fields]
    **changes
        New values of its fields. [as its fields]

    Raises
    ------
    EditRefused
        A value of the wrong type, beyond its limits, or not finite, or a text that no file can hold.
    """
    after = msgspec.structs.replace(part, **changes)
    try:
        raw = msgspec.json.decode(msgspec.json.encode(after))  # a number that is not finite becomes null here
        again = msgspec.convert(raw, type(part), strict=True)
    except UnicodeEncodeError as problem:
        raise EditRefused("A text holds half of a character, which no file can hold.") from problem
    except msgspec.ValidationError as problem:
        what, _, place = str(problem).partition(" - at `$.")
        raise EditRefused(f"{place.rstrip('`') or 'This value'}: {what[0].lower()}{what[1:]}.") from problem
    if again != after:
        raise EditRefused("A number must be finite.")
    return after


def _with_line(lines: tuple[_V, ...], index: int, line: _V) -> tuple[_V, ...]:
    return (*lines[:index], line, *lines[index + 1 :])


def _without_line(lines: tuple[_V, ...], index: int) -> tuple[_V, ...]:
    return (*lines[:index], *lines[index + 1 :])


def describe(batch: Batch, **changes: Any) -> Batch:
    """The batch with another `name` or other `notes`."""
    return changed(batch, **changes)


def change_recipe(batch: Batch, **changes: Any) -> Batch:
    """The batch with fields of its recipe changed: `water` [kg], `vessel` [m^3], `preparation` and the like."""
    return msgspec.structs.replace(batch, recipe=changed(batch.recipe, **changes))


def change_preparation(batch: Batch, **changes: Any) -> Batch:
    """The batch with its fruit prepared otherwise: `frozen`, `enzyme`, `soak` [d]."""
    return change_recipe(batch, preparation=changed(batch.recipe.preparation, **changes))


def change_yeast(batch: Batch, **changes: Any) -> Batch:
    """The batch with another yeast `key` or `pitch` [kg]."""
    yeast: Yeast = changed(batch.recipe.yeast, **changes)
    return change_recipe(batch, yeast=yeast)


_LINES = {"fruits": FruitLine, "honeys": HoneyLine, "feeds": Feed, "temperatures": TemperatureStep}


def add_line(batch: Batch, lines: str, line: FruitLine | HoneyLine | Feed | TemperatureStep) -> Batch:
    """The batch with one more line at the end of the recipe's `fruits`, `honeys`, `feeds` or `temperatures`."""
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
    """The batch with fields of its log changed: `pitched_at`, `hydrometer`, `readings`."""
    log: Log = changed(batch.log, **changes)
    return msgspec.structs.replace(batch, log=log)


def add_readings(batch: Batch, *readings: _Reading) -> Batch:
    """The batch with more readings at the end of its log."""
    return change_log(batch, readings=(*batch.log.readings, *readings))


def change_reading(batch: Batch, index: int, **changes: Any) -> Batch:
    """The batch with fields of one reading changed: `gravity`, `temperature` [K], `note`, `excluded` and the like."""
    before = batch.log.readings
    return change_log(batch, readings=_with_line(before, index, changed(before[index], **changes)))


def remove_reading(batch: Batch, index: int) -> Batch:
    """The batch without one reading."""
    return change_log(batch, readings=_without_line(batch.log.readings, index))


def change_adjustment(batch: Batch, **changes: Any) -> Batch:
    """The batch with fields of its adjustment changed: `volume` [m^3], `gravity`, `stabilised` and the like."""
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


def add_tasting(batch: Batch, tasting: Tasting) -> Batch:
    """The batch with one more tasting note."""
    return msgspec.structs.replace(batch, tastings=(*batch.tastings, changed(tasting)))


def change_tasting(batch: Batch, index: int, **changes: Any) -> Batch:
    """The batch with one tasting's `note` or moment `at` changed."""
    after = _with_line(batch.tastings, index, changed(batch.tastings[index], **changes))
    return msgspec.structs.replace(batch, tastings=after)


def remove_tasting(batch: Batch, index: int) -> Batch:
    """The batch without one tasting note."""
    return msgspec.structs.replace(batch, tastings=_without_line(batch.tastings, index))


def scaled(batch: Batch, factor: float) -> Batch:
    """The batch for another amount: every mass of recipe and additions times a factor; readings stay as they are.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
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
        yeast=changed(recipe.yeast, pitch=recipe.yeast.pitch * factor),
    )
    return change_adjustment(after, additions=times(batch.adjustment.additions))
