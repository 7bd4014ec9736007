"""As last time: what another batch was given per litre, scaled to this one, after what differs between the two."""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from planner.adjusting.mead import Properties, noticed
from planner.document.batch import Addition
from planner.evaluation.outcome import Outcome
from planner.model.span import Span

COMPARED = (
    ("alcohol", "Alcohol", None),
    ("acid", "Acid", None),
    ("gravity", "Gravity", 0.002),
    ("sweetness", "Sweetness", None),
    ("viscosity", "Body", None),
    ("fermentable", "Fermentable sugar", 2.0),
)
"""What is compared before the additions, and the step by which a difference counts: the least that tasters notice, or, where it is
given, what the instrument shows. [-], [kg/m^3]"""


class Difference(NamedTuple):
    """How two meads differ before anything is added, as in `planner.adjusting.mead.Properties`."""

    what: str
    caption: str
    then: Span
    now: Span
    steps: float
    """Of what a taster or instrument notices, with its sign. [-]"""

    @property
    def matters(self) -> bool:
        """Whether it can be noticed."""
        return abs(self.steps) >= 1.0


class Part(NamedTuple):
    """One ingredient then and now."""

    key: str
    dose: float
    """Per volume of the mead before additions. [kg/m^3]"""
    mass: float
    """For the mead of now. [kg]"""
    rests_on_log: bool
    """Whether it is what was really stirred in, and not only what was planned."""


class LastTime(msgspec.Struct, frozen=True):
    """The doses of an earlier batch for this one.

    Attributes
    ----------
    name : str
        Of the earlier batch.
    differences : tuple of Difference
        Before its additions and before these.
    parts : tuple of Part
        Each ingredient once.
    additions : tuple of Addition
        The same as additions for this batch, with their labels. [kg]
    after : Properties
        What the earlier mead became.
    notes : tuple of str
        What was noted when it was tasted.
    """

    name: str
    differences: tuple[Difference, ...]
    parts: tuple[Part, ...]
    additions: tuple[Addition, ...]
    after: Properties
    notes: tuple[str, ...]


def as_last_time(earlier: Outcome, now: Outcome) -> LastTime | None:
    """What to add to have it as last time.

    Returns
    -------
    LastTime or None
        None where one of them has no mead, or the earlier one had no additions. [as its fields]
    """
    then, here = earlier.mead, now.mead
    if then is None or here is None:
        return None
    doses = _doses(earlier)
    if not doses:
        return None
    room, own = then.before.volume.typical, here.before.volume.typical
    labels = {line.key: line for line in earlier.batch.adjustment.additions}
    parts, additions = [], []
    for key, (mass, logged) in doses.items():
        part = Part(key, mass / room, mass / room * own, logged)
        label = labels.get(key, Addition(key=key, mass=0.0))
        parts.append(part)
        additions.append(Addition(key=key, mass=part.mass, alcohol=label.alcohol, sugar=label.sugar, blend=label.blend))
    return LastTime(
        name=earlier.batch.name,
        differences=differences(then.before, here.before),
        parts=tuple(parts),
        additions=tuple(additions),
        after=then.after,
        notes=tuple(tasting.note for tasting in earlier.batch.tastings if tasting.note.strip()),
    )


def _doses(earlier: Outcome) -> dict[str, tuple[float, bool]]:
    """Mass of each ingredient, and whether it was logged; the log is believed for what it speaks of."""
    assert earlier.mead is not None
    planned: dict[str, float] = {}
    for addition in earlier.batch.adjustment.additions:
        planned[addition.key] = planned.get(addition.key, 0.0) + addition.mass
    found = {key: (mass, False) for key, mass in planned.items() if mass > 0.0}
    found |= {one.key: (one.mass, True) for one in earlier.mead.given}
    return found


def differences(then: Properties, now: Properties) -> tuple[Difference, ...]:
    """How two meads differ.

    Parameters
    ----------
    then, now : Properties
        Before anything is added. [as its fields]

    Returns
    -------
    tuple of Difference
        One for each property that is compared. [as its fields]
    """
    made = []
    for what, caption, step in COMPARED:
        one, other = getattr(then, what), getattr(now, what)
        steps = noticed(what, one.typical, other.typical) if step is None else (other.typical - one.typical) / step
        made.append(Difference(what, caption, one, other, steps))
    return tuple(made)
