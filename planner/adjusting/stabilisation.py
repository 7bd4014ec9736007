"""What keeps yeast from working in the finished mead: nothing, something that is only planned, or something done."""

from __future__ import annotations

from enum import IntEnum

from planner.adjusting.additions import given_doses
from planner.adjusting.base_mead import Basis
from planner.adjusting.mead import Mead
from planner.document.batch import Adjustment, Batch, Event, HouseRules, What
from planner.recipe.house_rules import HEAT, SORBATE, SORBATES, SULPHITE, SULPHITES, treatment_objections
from planner.timeline.verdict_rule import STALLED

BY_SALTS, BY_HEAT = "sulphite with sorbate", "heat"
"""What keeps yeast from working, as it is called."""


class Treatment(IntEnum):
    """How far what keeps yeast from working has come."""

    NOTHING = 0
    """Nothing keeps it, and nothing is planned."""
    PLANNED = 1
    """A route plans it, or it is ticked or logged of what still ferments; no bottle is safe by that."""
    DONE = 2
    """Ticked or logged of a mead at rest."""


def treatment(batch: Batch, mead: Mead) -> Treatment:
    """Whether yeast is kept from working by now.

    Parameters
    ----------
    mead : Mead
        By what the mead is known: neither salts nor heat belong into what still ferments. [as its fields]

    Returns
    -------
    Treatment
        Of a stall the tick alone is not enough: the log has to name the stabilising, or both salts. [-]
    """
    adjustment = batch.adjustment
    if not adjustment.stabilised and not logged_as_stabilised(batch):
        return Treatment.PLANNED if adjustment.stabilising else Treatment.NOTHING
    rests = mead.basis in (Basis.AT_REST, Basis.MEASURED)
    stalled = mead.known is not None and mead.known.kind == STALLED
    return Treatment.DONE if rests and (not stalled or logged_as_kept(batch)) else Treatment.PLANNED


def logged_as_stabilised(batch: Batch) -> bool:
    """Whether the log has an entry that it was stabilised, which says what the tick says. [-]"""
    return any(entry.what is What.STABILISED and not entry.excluded for _, entry in batch.log.entries.of_kind(Event))


def logged_as_kept(batch: Batch) -> bool:
    """Whether the log says that the mead was stabilised: by an entry of its own, or by doses of both salts. [-]"""
    given = given_doses(batch.log.readings).keys()
    return logged_as_stabilised(batch) or bool(given & SULPHITES and given & SORBATES)


def planned_way(adjustment: Adjustment) -> str:
    """What is planned to keep yeast from working, in words; empty where nothing is. [-]"""
    return {"": "", "salts": BY_SALTS, "heat": BY_HEAT}[adjustment.stabilising]


def keepers(rules: HouseRules) -> tuple[str, ...]:
    """What the house rules leave to keep yeast from working, in words: `BY_SALTS`, `BY_HEAT`, both or neither. [-]

    Parameters
    ----------
    rules : HouseRules
        What the drinkers do not want. [as its fields]

    Examples
    --------
    >>> keepers(HouseRules(no_sorbate=True))
    ('heat',)
    """
    asked = ((BY_SALTS, (SULPHITE, SORBATE)), (BY_HEAT, (HEAT,)))
    return tuple(name for name, treatments in asked if not treatment_objections(rules, *treatments))
