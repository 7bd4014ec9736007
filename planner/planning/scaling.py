"""Scale a batch to another harvest or vessel, and say what does not scale with it."""

from __future__ import annotations

from math import ceil

from planner.document.batch import Batch
from planner.document.edits import scaled
from planner.recipe.preparation import prepared, solids
from planner.recipe.vessels import CAP_ROOM, FOAM_ROOM, added_room
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.phrases import Words, say

PACKET = 5e-3
"""Dry yeast is sold in packets of about so much. [kg] Common practice, no source; larger ones exist."""


def factor_for_fruit(batch: Batch, mass: float) -> float | None:
    """New amount over old for another harvest; None where the recipe weighs no fruit.

    Parameters
    ----------
    mass : float
        Fruit there is now, all kinds together. [kg]

    Returns
    -------
    float or None
        [-]
    """
    have = sum(line.mass for line in batch.recipe.fruits)
    return mass / have if have > 0.0 else None


def factor_for_vessel(batch: Batch, catalogue: Catalogue, must: float, vessel: float) -> float | None:
    """New amount over old that fills another fermenter up to the room for foam or cap; None where there is no must.

    Parameters
    ----------
    must : float
        Volume of the must as it is. [m^3]
    vessel : float
        The fermenter. [m^3]

    Returns
    -------
    float or None
        [-]
    """
    whole = batch.recipe.preparation.whole
    full = must + added_room(batch, catalogue) + (solids(batch, catalogue) if whole else 0.0)
    return vessel * (1.0 - (CAP_ROOM if whole else FOAM_ROOM)) / full if full > 0.0 else None


def what_does_not_scale(batch: Batch, catalogue: Catalogue, factor: float) -> tuple[Words, ...]:
    """What stays, or comes in whole pieces, when a batch is scaled.

    Parameters
    ----------
    batch : Batch
        Before it is scaled. [as its fields]
    factor : float
        New amount over old. [-]

    Raises
    ------
    EditRefused
        As `edits.scaled`.
    """
    after = scaled(batch, factor)
    pitch = after.recipe.yeast.pitch
    told = [
        say(
            "Yeast comes in packets: {} is about {} of 5 g.",
            phrases.mass(pitch),
            phrases.count(ceil(pitch / PACKET - 1e-9)),
        )
    ]
    if batch.recipe.vessel is not None:
        told.append(say("The vessel stays at {}. Check whether the must fits.", phrases.volume(batch.recipe.vessel)))
    loads = prepared(after, catalogue).loads
    if loads is not None:
        told.append(say("The press takes {} loads.", phrases.count(loads.number)))
    told.append(say("Times stay: days of soak and ferment do not scale. A larger must warms itself more."))
    if batch.log.readings:
        told.append(say("Readings stay as they were taken."))
    if batch.adjustment.volume is not None:
        told.append(say("The measured volume of the mead stays."))
    return tuple(told)
