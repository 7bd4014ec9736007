"""From the fermenter to the bottle: room for foam and cap, what stays behind at each step, top-up, and bottles by size."""

from __future__ import annotations

from math import exp, floor, inf, isfinite
from typing import NamedTuple

import msgspec

from planner.document.batch import Batch, Event, Losses, VolumeReading, What
from planner.document.bottled import Bottled, bottled
from planner.document.pitch_date import days as days_of
from planner.document.shelf import shelf_of
from planner.model.liquid import volume
from planner.recipe.must import must as must_of
from planner.recipe.preparation import solids
from planner.recipe.step_feeding import together
from planner.reference.catalogue import Catalogue

FOAM_ROOM = 0.15
"""Share of a vessel to be left free above a must of juice. [-] Common practice, no source: 10 to 25 %."""

CAP_ROOM = 0.25
"""The same with fruit in it, whose cap rises. [-] Common practice, no source: a quarter to a third."""

AGEING_ROOM = 0.02
"""Share of a vessel that may stay empty while a mead ages. [-] Common practice, no source: filled into the neck."""


FIRST_RACKING = "first racking"


class Step(msgspec.Struct, frozen=True):
    """One step on the way, and what is left after it. [m^3]"""

    name: str
    lost: float
    left: float


class Bottles(msgspec.Struct, frozen=True):
    """How many bottles of a size. [m^3], [-]"""

    size: float
    number: int


class Way(msgspec.Struct, frozen=True):
    """What becomes of a must.

    Attributes
    ----------
    fermenter : float
        Smallest vessel that leaves room for foam, or for the cap of whole fruit. [m^3]
    steps : tuple of Step
        From the must to the bottle.
    bottled : float
        What reaches the bottle, or by the log did. [m^3]
    bottles : tuple of Bottles
        Largest first; the rest goes into the next smaller size.
    rest : float
        Too little for another bottle. [m^3]
    racked : float
        What comes off the lees at the first racking. [m^3]
    ageing : float
        The fullest vessel for ageing: what is left after the first racking, with next to no room above it. [m^3]
    top_up : float
        What the second racking leaves empty and a topping has to fill. [m^3]
    """

    fermenter: float
    steps: tuple[Step, ...]
    bottled: float
    bottles: tuple[Bottles, ...]
    rest: float
    racked: float
    ageing: float
    top_up: float


def way(batch: Batch, catalogue: Catalogue, must: float, mead: float | None = None) -> Way:
    """What becomes of a must on its way to the bottle.

    Parameters
    ----------
    must : float
        Volume of the must, with all that whole fruit holds. [m^3]
    mead : float or None
        Volume of the mead when it is done and off the fruit, as if nothing else were lost; None for that of the must. [m^3]
        Fermenting shrinks it by some percent, additions let it grow. Where its volume was measured, that is without what
        rackings had left behind by then.

    Returns
    -------
    Way
        Every step's loss and what is left add up to the step before, unless the log counts more bottles than that fills.
    """
    catalogue = shelf_of(batch, catalogue)
    recipe = batch.recipe
    losses, whole = losses_of(batch), recipe.preparation.whole
    fruit = solids(batch, catalogue) if whole else 0.0
    room = CAP_ROOM if whole else FOAM_ROOM
    full = must + added_room(batch, catalogue)
    pomace = pomace_keeps(batch, catalogue)
    left = full - pomace if mead is None else mead
    behind = 0 if mead is None else rackings_behind(batch)
    ended = None if mead is None else bottled(batch)  # what was bottled is not racked any more
    steps = [Step("fermented and racked" if behind else "fermented", max(full - pomace - left, 0.0), left + pomace)]
    if pomace > 0.0:
        steps.append(Step("left in the pomace", pomace, left))
    for number in range(losses.rackings):
        share = 0.0 if number < behind or ended is not None else losses.lees if number == 0 else losses.racking
        steps.append(
            Step(FIRST_RACKING if number == 0 else f"racking {number + 1}", left * share, left * (1.0 - share))
        )
        left = steps[-1].left
    racked = next(step.left for step in steps if step.name == FIRST_RACKING)
    ageing, top_up = racked / (1.0 - AGEING_ROOM), racked - left
    if ended is not None and (lots := _counted(ended)):
        held, rest = sum(lot.number * lot.size for lot in lots), 0.0
        steps.append(Step("bottling", max(left - held, 0.0), held))
    else:
        steps.append(Step("bottling", left * losses.bottling, left * (1.0 - losses.bottling)))
        held = steps[-1].left
        lots, rest = filled(held, recipe.bottles)
    return Way((full + fruit) / (1.0 - room), tuple(steps), held, lots, rest, racked, ageing, top_up)


def _counted(ended: Bottled) -> tuple[Bottles, ...]:
    """The bottles of a log that counted them all and named their sizes, the largest first; else none."""
    sizes = sorted({size for _, size in ended.lots if size}, reverse=True)
    if any(size is None for _, size in ended.lots):
        return ()
    return tuple(Bottles(size, sum(number for number, one in ended.lots if one == size)) for size in sizes)


def losses_of(batch: Batch) -> Losses:
    """What stays behind, by the recipe; where that has the usual shares, as much as earlier batches taught."""
    losses, learnt = batch.recipe.losses, batch.learning.of("losses")
    if learnt is None or losses != msgspec.structs.replace(Losses(), rackings=losses.rackings):
        return losses
    return losing(losses, exp(learnt.mean))


def losing(losses: Losses, power: float) -> Losses:
    """Every share that is kept to a power [-]: all losses grow in the same proportion, and none exceeds the whole."""
    shares = {name: 1.0 - (1.0 - getattr(losses, name)) ** power for name in ("lees", "racking", "bottling")}
    return msgspec.structs.replace(losses, **shares)


def rackings_behind(batch: Batch) -> int:
    """Rackings that were done before the volume of the mead was measured: what they left behind is not lost again. [-]"""
    days = days_of(batch.log)
    racked = [(float(days[place]), place) for place, entry in batch.log.entries.of_kind(Event)
              if entry.what is What.RACKING and not entry.excluded and days[place] > 0.0]  # fmt: skip
    if batch.adjustment.volume is not None:
        return len(racked)
    *_, last = ((-inf, 0), *(one.when for one in measured_volumes(batch)))
    return sum(when <= last for when in racked)


class MeasuredVolume(NamedTuple):
    """A volume by the log: day [d] and place in it, and what there was [m^3]."""

    when: tuple[float, int]
    volume: float


def measured_volumes(batch: Batch) -> list[MeasuredVolume]:
    """Volumes of must and mead that count, by time: what came off the lees at a racking, or was measured as it stood."""
    days, entries = days_of(batch.log), batch.log.entries
    found: list[tuple[int, Event | VolumeReading]] = [
        *((place, entry) for place, entry in entries.of_kind(Event) if entry.what is What.RACKING),
        *entries.of_kind(VolumeReading),
    ]
    return sorted(
        MeasuredVolume((float(days[place]), place), entry.volume) for place, entry in found
        if entry.volume is not None and not entry.excluded and isfinite(days[place])
    )  # fmt: skip


def added_room(batch: Batch, catalogue: Catalogue) -> float:
    """Volume of all that is added while it works. [m^3]"""
    return float(volume(together(batch.recipe, catalogue, 0))[0])


def pomace_keeps(batch: Batch, catalogue: Catalogue) -> float:
    """Volume that whole fruit keeps when it is pressed. [m^3]"""
    pulp = must_of(batch, catalogue, 0).pulp
    return 0.0 if pulp is None else float(pulp.pomace[0])


def filled(room: float, sizes: tuple[float, ...]) -> tuple[tuple[Bottles, ...], float]:
    """Bottles that a volume fills, the largest size first, and what is left over.

    Parameters
    ----------
    room : float
        What there is. [m^3]
    sizes : tuple of float
        Sizes at hand. [m^3]

    Returns
    -------
    float
        Less than the smallest size. [m^3]

    Examples
    --------
    >>> filled(0.0101, (0.75e-3, 0.375e-3))[0]
    (Bottles(size=0.00075, number=13),)
    """
    bottles, rest = [], room
    for size in sorted(set(sizes), reverse=True):
        number = floor(rest / size + 1e-9)
        if number:
            bottles.append(Bottles(size, number))
            rest -= number * size
    return tuple(bottles), max(rest, 0.0)
