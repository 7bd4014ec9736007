"""What the log says was done to the finished mead, in its order: stirred in, and left of it where its volume was measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec
import numpy as np

from planner.adjusting.additions import liquid_of, stirred
from planner.document.batch import Addition, Batch, Event, What
from planner.document.pitch_date import days as days_of
from planner.model.liquid import Liquid, volume
from planner.recipe.vessels import measured_volumes
from planner.reference.catalogue import Catalogue


class Done(msgspec.Struct, frozen=True):
    """A dose, or a volume that was measured: whatever the mead had more of it before is gone.

    Attributes
    ----------
    when : (float, int)
        Day since pitching [d], and place in the log.
    key : str
        What was stirred in; empty of a volume.
    mass : float
        How much of it. [kg]
    room : float or None
        What was left; None of a dose. [m^3]
    """

    when: tuple[float, int]
    key: str = ""
    mass: float = 0.0
    room: float | None = None


def done_to(batch: Batch, catalogue: Catalogue) -> tuple[Done, ...]:
    """What was stirred in and can be reckoned with, and volumes that were measured, by time."""
    days = days_of(batch.log)
    found = [Done(when, room=room) for when, room in measured_volumes(batch)]
    for place, entry in batch.log.entries.of_kind(Event):
        if entry.excluded or not np.isfinite(days[place]):
            continue
        when = float(days[place]), place
        if entry.what is What.DOSE and entry.mass and entry.key in catalogue.additives:
            found.append(Done(when, str(entry.key), entry.mass))
    return tuple(sorted(found, key=lambda one: one.when))


def since_first_dose(done: Sequence[Done]) -> tuple[Done, ...]:
    """Those from the first dose on; none where nothing was stirred in."""
    first = next((place for place, one in enumerate(done) if one.room is None), len(done))
    return tuple(done[first:])


def led(base: Liquid, done: Sequence[Done], additions: Sequence[Addition], catalogue: Catalogue) -> Iterator[Liquid]:
    """The mead after each dose and each measured volume.

    Parameters
    ----------
    base : Liquid
        Before them, shape (components, ...). [kg]
    """
    for one in done:
        if one.room is None:
            row = catalogue.additive(one.key)
            planned = next((line for line in additions if line.key == one.key), None)
            base = stirred(base, row, one.mass, liquid_of(row, one.mass, planned))
        else:
            base = base * (one.room / volume(base))
        yield base


def left_of_doses(
    base: Liquid, done: Sequence[Done], additions: Sequence[Addition], catalogue: Catalogue
) -> tuple[Any, dict[str, Any]]:
    """What rackings have left of a mead and of what had been stirred into it by then.

    Parameters
    ----------
    base, done, additions, catalogue
        As those of `led`. [as there]

    Returns
    -------
    array-like
        Share of each mead that is left: what the volume was before it was measured is not known, what is left is. [-]
    dict of str to array-like
        What is gone of each additive, with each mead. [kg]
    """
    kept: Any = 1.0
    there: dict[str, Any] = {}
    before = base
    for one, after in zip(done, led(base, done, additions, catalogue), strict=True):
        if one.room is None:
            there[one.key] = there.get(one.key, 0.0) + one.mass
        else:
            share = one.room / volume(before)
            kept, there = kept * share, {key: mass * share for key, mass in there.items()}
        before = after
    whole: dict[str, float] = {}
    for one in done:
        if one.room is None:
            whole[one.key] = whole.get(one.key, 0.0) + one.mass
    return kept, {key: mass - there[key] for key, mass in whole.items() if np.any(mass != there[key])}
