"""What would be said of a mead if it were given doses that nobody has chosen yet, so that they are chosen knowingly."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from planner.adjusting.additions import given_doses
from planner.adjusting.mead import Mead, mead
from planner.adjusting.mead_findings import mead_findings
from planner.document import edits
from planner.document.batch import Addition
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.wording.finding import Finding, Level

WORTH_NAMING = 0.1
"""Sugar that yeast can take from which the ingredient that brings it is named. [kg/m^3] Estimate: a strip's finest mark."""


class WhatIf(msgspec.Struct, frozen=True):
    """What doses would bring with them.

    Attributes
    ----------
    doubts : tuple of Finding
        Warnings and errors that are not said already, the gravest first.
    sugar : tuple of tuple
        Ingredients by name, each with the sugar that yeast can take which it brings [kg/m^3], the largest first.
    """

    doubts: tuple[Finding, ...]
    sugar: tuple[tuple[str, float], ...]


def what_if(outcome: Outcome, additions: Sequence[Addition], catalogue: Catalogue) -> WhatIf:
    """What would be said of a mead with these additions.

    Returns
    -------
    WhatIf
        Nothing where there is no mead. [as its fields]
    """
    now = outcome.mead
    if now is None or outcome.finish is None:
        return WhatIf((), ())
    batch = edits.change_adjustment(outcome.batch, additions=tuple(additions))
    liquid = now.base if now.known is None else now.known.liquid
    then = mead(batch.adjustment, liquid, now.measured, catalogue, given_doses(batch.log.readings), now.known)
    told = {finding.text.template for finding in outcome.findings}
    fresh = [
        finding for finding in mead_findings(batch, catalogue, then, outcome.finish)
        if finding.level >= Level.WARNING and finding.text.template not in told
    ]  # fmt: skip
    return WhatIf(tuple(sorted(fresh, key=_gravity_of)), _brought(then))


def _gravity_of(finding: Finding) -> int:
    """The gravest first."""
    return -finding.level


def _brought(then: Mead) -> tuple[tuple[str, float], ...]:
    """Sugar that yeast can take by the ingredient that brings it."""
    room = then.after.volume.typical
    each = [(effect.name, effect.fermentable / room) for effect in then.effects]
    return tuple(sorted((one for one in each if one[1] >= WORTH_NAMING), key=lambda one: -one[1]))
